//! Changing a few places of a file and leaving every other byte as it is.

use std::ops::Range;

use encoding_rs::{UTF_8, UTF_16BE, UTF_16LE};

use super::decode::Decoded;
use crate::{Detail, ImportError, Said, said};

/// What is to stand in place of a range of the text; it is ASCII.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Change {
    /// Which bytes of the decoded text, on the edges of characters.
    pub(super) range: Range<usize>,
    /// What takes their place.
    pub(super) by: String,
}

impl Change {
    /// Something put in between.
    pub(super) fn insert(at: usize, text: String) -> Change {
        Change { range: at..at, by: text }
    }
}

/// The file with the changes made, in the same encoding. The changes are in order and don't overlap.
///
/// # Errors
/// An encoding in which the text's places can't be found again in the bytes.
pub(super) fn spliced(file: &Decoded<'_>, changes: &[Change]) -> Result<Vec<u8>, ImportError> {
    let mut out = file.mark.to_vec();
    let mut taken = Place { text: 0, bytes: 0 };
    for change in changes {
        let start = taken.moved_to(file, change.range.start)?;
        out.extend_from_slice(&file.body[taken.bytes..start.bytes]);
        out.extend(encoded(file, &change.by));
        taken = start.moved_to(file, change.range.end)?;
    }
    out.extend_from_slice(&file.body[taken.bytes..]);
    Ok(out)
}

/// A place in the text and in the bytes.
#[derive(Clone, Copy, Debug)]
struct Place {
    text: usize,
    bytes: usize,
}

impl Place {
    /// The place further on. The text between, encoded again, must be the very bytes that stand there.
    fn moved_to(self, file: &Decoded<'_>, text: usize) -> Result<Place, ImportError> {
        let between = file.text.get(self.text..text).ok_or_else(|| unplaced(file))?;
        let bytes = encoded(file, between);
        let end = self.bytes + bytes.len();
        match file.body.get(self.bytes..end) {
            Some(found) if found == bytes => Ok(Place { text, bytes: end }),
            _ => Err(unplaced(file)),
        }
    }
}

fn encoded(file: &Decoded<'_>, text: &str) -> Vec<u8> {
    // The Encoding Standard encodes UTF-16 as UTF-8, so these two are ours.
    if file.encoding == UTF_16LE {
        text.encode_utf16().flat_map(u16::to_le_bytes).collect()
    } else if file.encoding == UTF_16BE {
        text.encode_utf16().flat_map(u16::to_be_bytes).collect()
    } else if file.encoding == UTF_8 {
        text.as_bytes().to_vec()
    } else {
        file.encoding.encode(text).0.into_owned()
    }
}

fn unplaced(file: &Decoded<'_>) -> ImportError {
    ImportError::Unsupported(Detail {
        place: Said::default(),
        found: said!("text in {encoding} that can't be written back as it stands", encoding = file.encoding.name()),
        expected: said!("UTF-8, UTF-16 or ISO-8859-1"),
        remedy: said!("export the piece again as UTF-8"),
    })
}
