//! What the player looks at in the Harp place.

use leverlane_core::harp::StringNumber;

/// What she looks at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct HarpDesk {
    /// The string whose details are shown.
    pub selected: Option<StringNumber>,
}
