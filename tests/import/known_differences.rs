//! Files on which music21 and we differ, each with its reason.

/// Written notes.
pub const NOTES: &[(&str, &str)] = &[];

/// Playing order.
pub const ORDER: &[(&str, &str)] = &[];
