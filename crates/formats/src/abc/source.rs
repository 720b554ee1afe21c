//! Lines of ABC with where they stand, and what can be wrong with them.

use crate::{Detail, ImportError, Limits, Said, said};

/// Which text a line comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Origin {
    /// A file.
    File,
    /// What was typed for the right hand.
    RightHand,
    /// What was typed for the left hand.
    LeftHand,
    /// A header line made from settings; nobody typed it.
    Settings,
}

/// A place in a text: line and column in characters, both from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) origin: Origin,
    pub(super) line: usize,
    pub(super) column: usize,
}

impl Place {
    /// Where it is, in words.
    pub(super) fn said(self) -> Said {
        let Place { origin, line, column } = self;
        match origin {
            Origin::File => said!("line {line} column {column}", line, column),
            Origin::RightHand => said!("right hand, line {line} column {column}", line, column),
            Origin::LeftHand => said!("left hand, line {line} column {column}", line, column),
            Origin::Settings => said!("settings, line {line} column {column}", line, column),
        }
    }
}

/// One line of a tune, its line end taken off.
#[derive(Clone, Copy, Debug)]
pub(super) struct SourceLine<'a> {
    pub(super) origin: Origin,
    /// From 1.
    pub(super) number: usize,
    /// The column of the first character, from 1: what follows a field's colon keeps its place.
    pub(super) first_column: usize,
    pub(super) text: &'a str,
}

impl<'a> SourceLine<'a> {
    pub(super) fn place(&self, characters: usize) -> Place {
        Place { origin: self.origin, line: self.number, column: self.first_column + characters }
    }

    /// The line from a byte on; the byte begins a character.
    pub(super) fn after_byte(&self, byte: usize) -> SourceLine<'a> {
        let skipped = self.text[..byte].chars().count();
        SourceLine { first_column: self.first_column + skipped, text: &self.text[byte..], ..*self }
    }

    /// The line without its comment: a percent sign that no backslash stands before, and all after it.
    pub(super) fn without_comment(&self) -> SourceLine<'a> {
        let mut escaped = false;
        for (byte, c) in self.text.char_indices() {
            if c == '%' && !escaped {
                return SourceLine { text: &self.text[..byte], ..*self };
            }
            escaped = c == '\\' && !escaped;
        }
        *self
    }
}

/// A tune that can't be read, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Fault {
    pub(super) place: Place,
    kind: FaultKind,
    found: Said,
    expected: Said,
    remedy: Said,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum FaultKind {
    Malformed,
    LimitReached,
}

impl Fault {
    pub(super) fn malformed(place: Place, found: Said, expected: Said, remedy: Said) -> Fault {
        Fault { place, kind: FaultKind::Malformed, found, expected, remedy }
    }

    pub(super) fn limit(place: Place, found: Said, expected: Said) -> Fault {
        let remedy = said!("check the numbers there, or split the tune");
        Fault { place, kind: FaultKind::LimitReached, found, expected, remedy }
    }
}

impl From<Fault> for ImportError {
    fn from(fault: Fault) -> ImportError {
        let detail =
            Detail { place: fault.place.said(), found: fault.found, expected: fault.expected, remedy: fault.remedy };
        match fault.kind {
            FaultKind::Malformed => ImportError::Malformed(detail),
            FaultKind::LimitReached => ImportError::LimitReached(detail),
        }
    }
}

/// The file as text: UTF-8, with or without its mark; bytes that are no UTF-8 are taken as Windows-1252, which holds
/// Latin-1 (ABC 2.1 §1.1 wants UTF-8; older files are Latin-1).
///
/// # Errors
/// More bytes than allowed, or UTF-16.
pub(super) fn decode<'a>(bytes: &'a [u8], limits: &Limits) -> Result<std::borrow::Cow<'a, str>, ImportError> {
    let detail = |found: Said, expected: Said, remedy: Said| Detail { place: Said::default(), found, expected, remedy };
    if bytes.len() > limits.bytes {
        let (found, expected) =
            (said!("{bytes} bytes", bytes = bytes.len()), said!("at most {most}", most = limits.bytes));
        return Err(ImportError::LimitReached(detail(found, expected, said!("split the file into several"))));
    }
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        let (found, expected) = (said!("UTF-16 text"), said!("UTF-8"));
        return Err(ImportError::Unsupported(detail(found, expected, said!("save the file as UTF-8"))));
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    Ok(match std::str::from_utf8(bytes) {
        Ok(text) => text.into(),
        Err(_) => encoding_rs::WINDOWS_1252.decode_without_bom_handling(bytes).0,
    })
}
