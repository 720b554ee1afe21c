//! The music that a piece belongs to: a score inside its document, a file beside it, or what was typed.

use std::borrow::Cow;
use std::fmt;
use std::path::Path;

use serde::de::{SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::Digest;

use super::DocumentError;
use super::error::{shortened, value};
use super::musical::{self, WrittenTempo};
use crate::abc::PassageSettings;
use crate::paper::PaperSettings;
use crate::{Detail, files, said};

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

/// Where the music of a piece is.
#[derive(Clone, Debug, PartialEq)]
pub enum Source {
    /// A score in the document itself, byte for byte.
    Inside {
        /// The name of the file it came from.
        name: String,
        /// The file's content.
        bytes: Vec<u8>,
        /// Which of its tunes, from 0; always 0 but for ABC.
        tune: usize,
    },
    /// A score in a file.
    File {
        /// The file, from the document's folder unless it is absolute.
        path: String,
        /// What it was when the piece was saved.
        sha256: Sha256,
        /// Which of its tunes, from 0; always 0 but for ABC.
        tune: usize,
    },
    /// A bare passage: bars without notes, and flips in the text form of [`crate::paper`].
    Passage {
        /// Its bars; the title is the piece's.
        settings: PaperSettings,
        /// Its flips, line by line.
        flips: String,
    },
    /// Bars typed for both hands, in the text form of [`crate::abc::passage`].
    Typed {
        /// What a header would say; the title is the piece's.
        settings: PassageSettings,
        /// The right hand's.
        right: String,
        /// The left hand's.
        left: String,
    },
}

impl Source {
    /// A score's content; none for what was typed.
    ///
    /// `folder` is the document's own; at most `limit` bytes are read.
    ///
    /// # Errors
    /// A file that can't be read, or is not the one that it was.
    pub fn bytes(&self, folder: &Path, limit: usize) -> Result<Option<Cow<'_, [u8]>>, DocumentError> {
        match self {
            Source::Inside { bytes, .. } => Ok(Some(Cow::Borrowed(bytes))),
            Source::File { path, sha256, .. } => {
                let bytes = files::read(&folder.join(path), limit)?;
                if Sha256::of(&bytes) == *sha256 {
                    return Ok(Some(Cow::Owned(bytes)));
                }
                Err(DocumentError::SourceChanged(Detail {
                    place: said!("source"),
                    found: said!("{path} with other content than when the piece was saved", path = shortened(path)),
                    expected: said!("the same score, since the plan's edits name its bars and notes"),
                    remedy: said!("put the old score back, or open the new one as a piece of its own"),
                }))
            }
            Source::Passage { .. } | Source::Typed { .. } => Ok(None),
        }
    }
}

/// Version 1 of a source.
#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum WrittenSource {
    Inside {
        name: String,
        #[serde(default, skip_serializing_if = "is_first")]
        tune: usize,
        content: Content,
    },
    File {
        path: String,
        sha256: String,
        #[serde(default, skip_serializing_if = "is_first")]
        tune: usize,
    },
    Passage {
        meter: String,
        tempo: WrittenTempo,
        #[serde(default)]
        key: i8,
        bars: usize,
        flips: Vec<String>,
    },
    Typed {
        meter: String,
        unit: String,
        tempo: WrittenTempo,
        #[serde(default)]
        key: i8,
        #[serde(default)]
        right: Vec<String>,
        #[serde(default)]
        left: Vec<String>,
    },
}

fn is_first(tune: &usize) -> bool {
    *tune == 0
}

impl From<&Source> for WrittenSource {
    fn from(source: &Source) -> WrittenSource {
        match source {
            Source::Inside { name, bytes, tune } => {
                WrittenSource::Inside { name: name.clone(), tune: *tune, content: Content(bytes.clone()) }
            }
            Source::File { path, sha256, tune } => {
                WrittenSource::File { path: path.clone(), sha256: sha256.to_string(), tune: *tune }
            }
            Source::Passage { settings, flips } => WrittenSource::Passage {
                meter: settings.meter.to_string(),
                tempo: settings.tempo.into(),
                key: settings.key.fifths(),
                bars: settings.bars,
                flips: musical::lines_of(flips),
            },
            Source::Typed { settings, right, left } => WrittenSource::Typed {
                meter: settings.meter.to_string(),
                unit: settings.unit.to_string(),
                tempo: settings.tempo.into(),
                key: settings.key.fifths(),
                right: musical::lines_of(right),
                left: musical::lines_of(left),
            },
        }
    }
}

impl WrittenSource {
    /// `title` is the piece's.
    pub(super) fn read(self, title: &str) -> Result<Source, DocumentError> {
        let title = title.to_owned();
        Ok(match self {
            WrittenSource::Inside { name, tune, content } => Source::Inside { name, bytes: content.0, tune },
            WrittenSource::File { path, sha256, tune } => {
                let place = "source.file.sha256";
                let sha256 = fingerprint(&sha256).ok_or_else(|| {
                    DocumentError::invalid(place, value(format!("\"{sha256}\"")), said!("64 hexadecimal digits"))
                })?;
                Source::File { path, sha256, tune }
            }
            WrittenSource::Passage { meter, tempo, key, bars, flips } => Source::Passage {
                settings: PaperSettings {
                    title,
                    meter: musical::meter("source.passage.meter", &meter)?,
                    tempo: tempo.read("source.passage.tempo")?,
                    key: musical::key("source.passage.key", key)?,
                    bars,
                },
                flips: flips.join("\n"),
            },
            WrittenSource::Typed { meter, unit, tempo, key, right, left } => Source::Typed {
                settings: PassageSettings {
                    title,
                    meter: musical::meter("source.typed.meter", &meter)?,
                    unit: musical::length("source.typed.unit", &unit)?,
                    key: musical::key("source.typed.key", key)?,
                    tempo: tempo.read("source.typed.tempo")?,
                },
                right: right.join("\n"),
                left: left.join("\n"),
            },
        })
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
        let source = Source::File { path: "a.musicxml".to_owned(), sha256: Sha256::of(b"one"), tune: 0 };
        assert_eq!(source.bytes(folder.path(), 100).unwrap().unwrap(), b"one".as_slice());
        std::fs::write(folder.path().join("a.musicxml"), b"two").unwrap();
        assert!(matches!(source.bytes(folder.path(), 100), Err(DocumentError::SourceChanged(_))));
        std::fs::remove_file(folder.path().join("a.musicxml")).unwrap();
        assert!(matches!(source.bytes(folder.path(), 100), Err(DocumentError::File(_))));
    }
}
