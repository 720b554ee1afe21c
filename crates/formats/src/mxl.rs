//! Compressed MusicXML: the score is taken out of its archive in memory, within bounds, and nothing touches the disk.

use std::io::{Cursor, Read, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use crate::musicxml::{Warnings, parse_xml};
use crate::{Detail, ImportError, Limits, Said, said};

/// The entry that names the score (MusicXML 4.0, "Compressed MusicXML files").
const CONTAINER: &str = "META-INF/container.xml";
/// A list of files needs no more.
const CONTAINER_BYTES: usize = 1 << 20;
const CONTAINER_NODES: u32 = 10_000;
/// An archive of a score holds a few files: the score, images, a container.
const MOST_ENTRIES: usize = 10_000;

/// The bytes of the score in an archive: the first `rootfile` of the container, else the first .musicxml or .xml file
/// outside META-INF.
///
/// # Errors
/// No archive, none of the two, or more bytes than allowed. Bytes are counted while they are unpacked; the sizes that
/// the archive declares are not believed.
pub(crate) fn unpack(bytes: &[u8], limits: &Limits, warnings: &mut Warnings) -> Result<Vec<u8>, ImportError> {
    let mut archive = opened(bytes)?;
    let index = score_index(&mut archive, warnings)?;
    entry(&mut archive, index, limits.unpacked_bytes)
}

/// The archive with other bytes for its score, everything else in it as it was.
///
/// # Errors
/// As [`unpack`]; an archive that can't be put together again.
pub(crate) fn repack(bytes: &[u8], score: &[u8]) -> Result<Vec<u8>, ImportError> {
    let mut archive = opened(bytes)?;
    let index = score_index(&mut archive, &mut Warnings::default())?;
    let mut packed = ZipWriter::new(Cursor::new(Vec::new()));
    for place in 0..archive.len() {
        let file = archive.by_index_raw(place).map_err(|error| damaged("", &error))?;
        if place == index {
            let name = file.name().map_err(|error| damaged("", &error))?.to_string();
            let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
            packed.start_file(name, options).map_err(|error| damaged("", &error))?;
            packed.write_all(score).map_err(|error| damaged("", &error))?;
        } else {
            packed.raw_copy_file(file).map_err(|error| damaged("", &error))?;
        }
    }
    let packed = packed.finish().map_err(|error| damaged("", &error))?;
    Ok(packed.into_inner())
}

fn opened(bytes: &[u8]) -> Result<ZipArchive<Cursor<&[u8]>>, ImportError> {
    let archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| damaged("", &error))?;
    if archive.len() > MOST_ENTRIES {
        return Err(ImportError::LimitReached(Detail {
            place: Said::default(),
            found: said!("an archive of {files} files", files = archive.len()),
            expected: said!("at most {most}", most = MOST_ENTRIES),
            remedy: said!("export the piece again, or unpack it and open the .musicxml inside"),
        }));
    }
    Ok(archive)
}

/// Which entry is the score.
fn score_index(archive: &mut ZipArchive<Cursor<&[u8]>>, warnings: &mut Warnings) -> Result<usize, ImportError> {
    let named = match archive.index_for_name(CONTAINER) {
        Some(index) => root_file(&entry(archive, index, CONTAINER_BYTES)?),
        None => None,
    };
    match named.as_deref().and_then(|name| archive.index_for_name(name)) {
        Some(index) => Ok(index),
        None => {
            warnings
                .in_score(said!("the archive doesn't say which file is the score; its first MusicXML file is taken"));
            first_score(archive).ok_or_else(|| {
                ImportError::Malformed(Detail {
                    place: Said::default(),
                    found: said!("an archive without a MusicXML file"),
                    expected: said!("a score named by META-INF/container.xml"),
                    remedy: said!("export the piece again as MusicXML"),
                })
            })
        }
    }
}

/// The path of the first root file that a container names.
fn root_file(container: &[u8]) -> Option<String> {
    let text = std::str::from_utf8(container).ok()?;
    let limits = Limits { nodes: CONTAINER_NODES, ..Limits::USUAL };
    let document = parse_xml(text.trim_start_matches('\u{feff}'), &limits).ok()?;
    let file = document.descendants().find(|node| node.has_tag_name("rootfile"))?;
    file.attribute("full-path").map(str::to_owned)
}

fn first_score(archive: &ZipArchive<Cursor<&[u8]>>) -> Option<usize> {
    (0..archive.len()).find(|&index| {
        archive.name_for_index(index).and_then(Result::ok).is_some_and(|name| {
            let lower = name.to_ascii_lowercase();
            !lower.starts_with("meta-inf/")
                && !lower.starts_with("__macosx/")
                && (lower.ends_with(".xml") || lower.ends_with(".musicxml"))
        })
    })
}

/// One entry, unpacked up to a limit.
fn entry(archive: &mut ZipArchive<Cursor<&[u8]>>, index: usize, most: usize) -> Result<Vec<u8>, ImportError> {
    let mut file = archive.by_index(index).map_err(|error| damaged("", &error))?;
    let name = file.name().map_or_else(|_| String::new(), |name| name.chars().take(80).collect());
    let mut unpacked = Vec::new();
    let bound = u64::try_from(most).unwrap_or(u64::MAX).saturating_add(1);
    file.by_ref().take(bound).read_to_end(&mut unpacked).map_err(|error| damaged(&name, &error))?;
    if unpacked.len() > most {
        return Err(ImportError::LimitReached(Detail {
            place: Said::quoted(format!("\"{}\"", name.escape_debug())),
            found: said!("more than {most} bytes once unpacked", most),
            expected: said!("a score of ordinary size"),
            remedy: said!("split the piece into smaller files"),
        }));
    }
    Ok(unpacked)
}

/// An archive, or an entry of it, that can't be unpacked.
fn damaged(entry: &str, error: &dyn std::fmt::Display) -> ImportError {
    let cause: String = error.to_string().chars().map(|c| if c.is_control() { ' ' } else { c }).take(120).collect();
    let found = said!("an archive that can't be unpacked ({cause})", cause);
    ImportError::Malformed(Detail {
        place: if entry.is_empty() { Said::default() } else { Said::quoted(format!("\"{}\"", entry.escape_debug())) },
        found,
        expected: said!("a whole .mxl file"),
        remedy: said!("copy or export the file again"),
    })
}
