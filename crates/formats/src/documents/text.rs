//! The head that all documents share, and the way between RON text and their structures.

use ron::Options;
use ron::error::SpannedError;
use ron::extensions::Extensions;
use ron::ser::PrettyConfig;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::DocumentError;
use super::error::{shortened, value};
use crate::{Detail, Limits, Said, said};

/// What a document is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// One harp.
    Harp,
    /// One piece with the player's decisions about it.
    Piece,
    /// A teacher's lesson.
    Lesson,
    /// What a student sends back.
    Results,
}

impl Kind {
    fn name(self) -> Said {
        match self {
            Kind::Harp => said!("a harp"),
            Kind::Piece => said!("a piece"),
            Kind::Lesson => said!("a lesson"),
            Kind::Results => said!("a results file"),
        }
    }

    /// The newest version that this program reads, and the one that it writes.
    pub fn newest(self) -> u32 {
        match self {
            Kind::Harp | Kind::Piece | Kind::Lesson | Kind::Results => 1,
        }
    }
}

/// The two fields that every version of every document has; all others are passed over.
#[derive(Deserialize)]
struct Head {
    document: Kind,
    version: u32,
}

fn options() -> Options {
    // `Some` is left out in our files: a field that is there has a value.
    Options::default().with_default_extension(Extensions::IMPLICIT_SOME)
}

/// Whether bytes look like a document of ours, of whatever kind: `(`, then `document`, remarks and spaces aside.
pub fn is_document(bytes: &[u8]) -> bool {
    let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let inside = past_remarks(text).strip_prefix(b"(");
    inside.is_some_and(|inside| past_remarks(inside).starts_with(b"document"))
}

fn past_remarks(mut text: &[u8]) -> &[u8] {
    loop {
        text = text.trim_ascii_start();
        let Some(remark) = text.strip_prefix(b"//") else { return text };
        text = remark.iter().position(|&byte| byte == b'\n').map_or(&[], |end| &remark[end..]);
    }
}

/// Which version of a document the bytes are; at most [`Kind::newest`].
///
/// # Errors
/// No document, one of another kind, or one of a version that is unknown here.
pub fn version(bytes: &[u8], wanted: Kind) -> Result<u32, DocumentError> {
    let Head { document, version } = parse(bytes)?;
    if document != wanted {
        return Err(DocumentError::OtherKind(Detail {
            place: said!("document"),
            found: document.name(),
            expected: wanted.name(),
            remedy: said!("choose a file that describes {wanted}", wanted = wanted.name()),
        }));
    }
    if version == 0 {
        return Err(DocumentError::invalid("version", value(version), said!("1 to {most}", most = wanted.newest())));
    }
    if version > wanted.newest() {
        return Err(DocumentError::Newer(Detail {
            place: said!("version"),
            found: value(version),
            expected: said!("at most {most}", most = wanted.newest()),
            remedy: said!("the file was written by a newer Leverlane and is left as it is: open it with that one"),
        }));
    }
    Ok(version)
}

/// Refuses what is larger than may be read.
///
/// # Errors
/// More bytes than the limit.
pub fn check_size(bytes: &[u8], limits: &Limits) -> Result<(), DocumentError> {
    if bytes.len() <= limits.bytes {
        return Ok(());
    }
    Err(DocumentError::Invalid(Detail {
        place: said!("the file"),
        found: said!("{bytes} bytes", bytes = bytes.len()),
        expected: said!("at most {most}", most = limits.bytes),
        remedy: said!("make sure that it is the right file"),
    }))
}

/// Reads RON.
///
/// # Errors
/// With line and column where the text is no RON or of another structure.
pub fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, DocumentError> {
    let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    options().from_bytes(text).map_err(|error| malformed(&error))
}

fn malformed(error: &SpannedError) -> DocumentError {
    let at = error.span.start;
    DocumentError::Malformed(Detail {
        place: said!("line {line}, column {column}", line = at.line, column = at.col),
        found: said!("text that can't be read ({code})", code = shortened(&error.code.to_string())),
        expected: said!("a Leverlane document (RON)"),
        remedy: said!("correct that line, or take the file's previous version"),
    })
}

/// Writes RON, a field to a line.
///
/// # Errors
/// None is known for our structures; RON reports one all the same.
pub fn write<T: Serialize>(document: &T) -> Result<Vec<u8>, DocumentError> {
    let layout = PrettyConfig::new().new_line("\n").compact_structs(false).depth_limit(3);
    let mut text = options().to_string_pretty(document, layout).map_err(|error| {
        DocumentError::Invalid(Detail {
            place: Said::default(),
            found: value(&error),
            expected: said!("values that RON can hold"),
            remedy: said!("undo the last change"),
        })
    })?;
    text.push('\n');
    Ok(text.into_bytes())
}
