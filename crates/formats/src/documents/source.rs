//! The score that a piece belongs to: inside its document, or a file beside it.

use std::fmt;
use std::path::Path;

use serde::de::{SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::Digest;

use super::DocumentError;
use super::error::shortened;
use crate::{Detail, files};

/// A fingerprint of bytes (SHA-256, FIPS 180-4): tells whether a file is still the one that was planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Sha256([u8; 32]);

impl Sha256 {
    /// The fingerprint of these bytes.
    pub fn of(bytes: &[u8]) -> Sha256 {
        Sha256(sha2::Sha256::digest(bytes).into())
    }
}

/// 64 hexadecimal digits.
impl fmt::Display for Sha256 {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

/// Where the score of a piece is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// In the document itself, byte for byte.
    Inside {
        /// The name of the file it came from.
        name: String,
        /// The file's content.
        bytes: Vec<u8>,
    },
    /// In a file.
    File {
        /// The file, from the document's folder unless it is absolute.
        path: String,
        /// What it was when the piece was saved.
        sha256: Sha256,
    },
}

impl Source {
    /// The score's bytes.
    ///
    /// `folder` is the document's own; at most `limit` bytes are read.
    ///
    /// # Errors
    /// A file that can't be read, or is not the one that it was.
    pub fn bytes(&self, folder: &Path, limit: usize) -> Result<Vec<u8>, DocumentError> {
        match self {
            Source::Inside { bytes, .. } => Ok(bytes.clone()),
            Source::File { path, sha256 } => {
                let bytes = files::read(&folder.join(path), limit)?;
                if Sha256::of(&bytes) == *sha256 {
                    return Ok(bytes);
                }
                Err(DocumentError::SourceChanged(Detail {
                    place: "source".to_owned(),
                    found: format!("{} with other content than when the piece was saved", shortened(path)),
                    expected: "the same score, since the plan's edits name its bars and notes".to_owned(),
                    remedy: "put the old score back, or open the new one as a piece of its own".to_owned(),
                }))
            }
        }
    }
}

/// Version 1 of a source.
#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum WrittenSource {
    Inside { name: String, content: Content },
    File { path: String, sha256: String },
}

impl From<&Source> for WrittenSource {
    fn from(source: &Source) -> WrittenSource {
        match source {
            Source::Inside { name, bytes } => {
                WrittenSource::Inside { name: name.clone(), content: Content(bytes.clone()) }
            }
            Source::File { path, sha256 } => WrittenSource::File { path: path.clone(), sha256: sha256.to_string() },
        }
    }
}

impl WrittenSource {
    pub(super) fn read(self) -> Result<Source, DocumentError> {
        match self {
            WrittenSource::Inside { name, content } => Ok(Source::Inside { name, bytes: content.0 }),
            WrittenSource::File { path, sha256 } => match fingerprint(&sha256) {
                Some(sha256) => Ok(Source::File { path, sha256 }),
                None => {
                    Err(DocumentError::invalid("source.file.sha256", format!("\"{sha256}\""), "64 hexadecimal digits"))
                }
            },
        }
    }
}

fn fingerprint(hexadecimal: &str) -> Option<Sha256> {
    let digits: Vec<u8> = hexadecimal
        .chars()
        .map(|c| c.to_digit(16).and_then(|digit| u8::try_from(digit).ok()))
        .collect::<Option<_>>()?;
    let bytes: Vec<u8> = digits.chunks(2).map(|pair| pair.iter().fold(0, |byte, digit| byte << 4 | digit)).collect();
    (digits.len() == 64).then_some(())?;
    bytes.try_into().ok().map(Sha256)
}

/// A file's bytes, written as RON's byte string (`b"<?xml …"`), in which text stays readable.
pub(super) struct Content(Vec<u8>);

impl Serialize for Content {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_bytes(&self.0)
    }
}

impl<'de> Deserialize<'de> for Content {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Content, D::Error> {
        deserializer.deserialize_byte_buf(ContentVisitor)
    }
}

struct ContentVisitor;

impl<'de> Visitor<'de> for ContentVisitor {
    type Value = Content;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the bytes of a score")
    }

    fn visit_bytes<E>(self, bytes: &[u8]) -> Result<Content, E> {
        Ok(Content(bytes.to_vec()))
    }

    fn visit_byte_buf<E>(self, bytes: Vec<u8>) -> Result<Content, E> {
        Ok(Content(bytes))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut numbers: A) -> Result<Content, A::Error> {
        let mut bytes = Vec::new();
        while let Some(byte) = numbers.next_element()? {
            bytes.push(byte);
        }
        Ok(Content(bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4's example "abc".
    #[test]
    fn fingerprints() {
        let text = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(Sha256::of(b"abc").to_string(), text);
        assert_eq!(fingerprint(text), Some(Sha256::of(b"abc")));
        for bad in ["", "ba", &text[1..], &text.replace('b', "g"), &format!("{text}00")] {
            assert_eq!(fingerprint(bad), None, "{bad}");
        }
    }

    #[test]
    fn a_changed_score_is_noticed() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("a.musicxml"), b"one").unwrap();
        let source = Source::File { path: "a.musicxml".to_owned(), sha256: Sha256::of(b"one") };
        assert_eq!(source.bytes(folder.path(), 100).unwrap(), b"one");
        std::fs::write(folder.path().join("a.musicxml"), b"two").unwrap();
        assert!(matches!(source.bytes(folder.path(), 100), Err(DocumentError::SourceChanged(_))));
        std::fs::remove_file(folder.path().join("a.musicxml")).unwrap();
        assert!(matches!(source.bytes(folder.path(), 100), Err(DocumentError::Source(_))));
    }
}
