//! A file of one tune or many (ABC 2.1 §2.2).

use std::borrow::Cow;
use std::ops::Range;

use super::lower::lower;
use super::parser::{read_tune, shortened};
use super::source::{Origin, SourceLine, decode};
use crate::{Detail, ImportError, Imported, Limits, Said, Warning, said};

/// One tune of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TuneEntry {
    /// The number after `X:`; empty for a tune that has none.
    pub reference: String,
    /// Its first title, or empty.
    pub title: String,
    /// Where it stands in the file's bytes, from its `X:` to the next.
    pub bytes: Range<usize>,
}

/// A file of ABC, its tunes told apart but not yet read.
#[derive(Clone, Debug)]
pub struct Tunebook<'a> {
    text: Cow<'a, str>,
    limits: Limits,
    /// Before the first tune: fields for all of them.
    header: Range<usize>,
    tunes: Vec<Tune>,
}

#[derive(Clone, Debug)]
struct Tune {
    entry: TuneEntry,
    /// In the text.
    range: Range<usize>,
    /// The line on which it begins, from 1.
    line: usize,
}

impl<'a> Tunebook<'a> {
    /// Finds the tunes of a file. A file without an `X:` line is one tune.
    ///
    /// # Errors
    /// A file too large, or in UTF-16.
    pub fn open(bytes: &'a [u8], limits: &Limits) -> Result<Tunebook<'a>, ImportError> {
        let text = decode(bytes, limits)?;
        let starts: Vec<(usize, usize)> = numbered_lines(&text, 0, 1)
            .filter(|(_, line)| begins_tune(line))
            .map(|(byte, line)| (byte, line.number))
            .collect();
        let first = starts.first().map_or(0, |&(byte, _)| byte);
        let starts = if starts.is_empty() { vec![(0, 1)] } else { starts };
        // Windows-1252 has a byte for each character; UTF-8 may begin with its mark.
        let skipped = if matches!(text, Cow::Borrowed(_)) { bytes.len() - text.len() } else { 0 };
        let mut counted = (0, 0);
        let mut place_in_file = |byte: usize| match &text {
            Cow::Borrowed(_) => skipped + byte,
            Cow::Owned(text) => {
                counted = (byte, counted.1 + text[counted.0..byte].chars().count());
                counted.1
            }
        };
        let mut tunes = Vec::with_capacity(starts.len());
        for (index, &(from, line)) in starts.iter().enumerate() {
            let to = starts.get(index + 1).map_or(text.len(), |&(next, _)| next);
            let lines = || numbered_lines(&text[from..to], from, line).map(|(_, line)| line);
            let field = |letter: &str| lines().find_map(|line| line.text.strip_prefix(letter));
            let entry = TuneEntry {
                reference: field("X:").unwrap_or_default().trim().to_owned(),
                title: field("T:").unwrap_or_default().trim().to_owned(),
                bytes: place_in_file(from)..place_in_file(to),
            };
            tunes.push(Tune { entry, range: from..to, line });
        }
        Ok(Tunebook { header: 0..first, limits: *limits, tunes, text })
    }

    /// The tunes in the order of the file; at least one.
    pub fn tunes(&self) -> impl ExactSizeIterator<Item = &TuneEntry> {
        self.tunes.iter().map(|tune| &tune.entry)
    }

    /// Reads one tune, by its place in the file from 0.
    ///
    /// # Errors
    /// One line that says what is wrong, at which line and column of the file, and what to do.
    pub fn read(&self, tune: usize) -> Result<Imported, ImportError> {
        let Some(tune) = self.tunes.get(tune) else {
            return Err(ImportError::NothingToPlay(Detail {
                place: Said::default(),
                found: said!("{tunes} tunes", tunes = self.tunes.len()),
                expected: said!("a tune at place {tune}", tune = tune + 1),
                remedy: said!("choose one that the file has"),
            }));
        };
        let header = numbered_lines(&self.text[self.header.clone()], 0, 1).map(|(_, line)| line).filter(for_all_tunes);
        let own = numbered_lines(&self.text[tune.range.clone()], tune.range.start, tune.line).map(|(_, line)| line);
        let read = read_tune(header.chain(own), &self.limits)?;
        lower(read, &self.limits).map_err(|refused| *refused.error)
    }

    /// Reads the first tune; where there are more, a warning names them.
    ///
    /// # Errors
    /// As [`Tunebook::read`].
    pub fn read_first(&self) -> Result<Imported, ImportError> {
        let mut imported = self.read(0)?;
        let others = self.tunes.len() - 1;
        if others > 0 {
            let named = 8;
            let names: Vec<String> = self.tunes[1..].iter().take(named).map(|tune| name(&tune.entry)).collect();
            let names = names.join(", ");
            let reason = if others > named {
                let more = others - named;
                said!(
                    "the file has {others} more tunes, only its first was read: {names}, and {more} more",
                    others,
                    names,
                    more
                )
            } else {
                said!("the file has {others} more tunes, only its first was read: {names}", others, names)
            };
            imported.warnings.insert(0, Warning { bar: None, reason });
        }
        Ok(imported)
    }
}

fn name(entry: &TuneEntry) -> String {
    shortened(&format!("{} {}", entry.reference, entry.title)).trim().to_owned()
}

fn begins_tune(line: &SourceLine<'_>) -> bool {
    // "X:|" would be a bar's rest and a bar line.
    line.text.strip_prefix("X:").is_some_and(|rest| !rest.starts_with(['|', ':']))
}

/// Fields before the first tune hold for all, except those that belong to one (§2.2.2).
fn for_all_tunes(line: &SourceLine<'_>) -> bool {
    let mut chars = line.text.chars();
    match (chars.next(), chars.next()) {
        (Some('%'), Some('%')) => true,
        (Some(letter), Some(':')) => "ILMQUm".contains(letter),
        _ => false,
    }
}

/// The lines of a text with the byte at which each begins in the whole; a line ends with LF, CR LF or CR.
fn numbered_lines(text: &str, from: usize, first_number: usize) -> impl Iterator<Item = (usize, SourceLine<'_>)> {
    let mut rest = text;
    let mut at = from;
    let mut number = first_number;
    std::iter::from_fn(move || {
        if rest.is_empty() {
            return None;
        }
        let end = rest.find(['\n', '\r']).unwrap_or(rest.len());
        let line = SourceLine { origin: Origin::File, number, first_column: 1, text: &rest[..end] };
        let begins = at;
        let ending = if rest[end..].starts_with("\r\n") { 2 } else { usize::from(end < rest.len()) };
        rest = &rest[end + ending..];
        at += end + ending;
        number += 1;
        Some((begins, line))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOOK: &str =
        "M:3/4\n%%propagate-accidentals octave\n\nX:1\nT:One\nK:C\nABc|\n\nX:7\r\nT:Two\r\nK:G\r\nfga|\r\n";

    #[test]
    fn tunes_are_listed_with_their_bytes() {
        let book = Tunebook::open(BOOK.as_bytes(), &Limits::USUAL).unwrap();
        let tunes: Vec<_> = book.tunes().collect();
        assert_eq!(tunes.len(), 2);
        assert_eq!((tunes[1].reference.as_str(), tunes[1].title.as_str()), ("7", "Two"));
        assert!(BOOK[tunes[1].bytes.clone()].starts_with("X:7") && tunes[1].bytes.end == BOOK.len());
        let first = book.read_first().unwrap();
        assert!(first.warnings[0].reason.contains("7 Two"), "{}", first.warnings[0]);
        assert_eq!(first.score.bars()[0].meter.to_string(), "3/4", "the file's header holds for every tune");
        assert_eq!(book.read(1).unwrap().score.title(), "Two");
        assert!(book.read(2).is_err());
    }

    /// In Windows-1252 the byte E9 is é; its places count bytes all the same.
    #[test]
    fn latin_1_files_keep_their_byte_ranges() {
        let bytes = b"X:1\nT:\xe9t\xe9\nK:C\nABc|\n\nX:2\nT:b\nK:C\nabc|\n";
        let book = Tunebook::open(bytes, &Limits::USUAL).unwrap();
        let tunes: Vec<_> = book.tunes().cloned().collect();
        assert_eq!(tunes[0].title, "été");
        assert!(bytes[tunes[1].bytes.clone()].starts_with(b"X:2"));
        assert_eq!(tunes[1].bytes.end, bytes.len());
        let marked = [b"\xef\xbb\xbf".as_slice(), BOOK.as_bytes()].concat();
        let book = Tunebook::open(&marked, &Limits::USUAL).unwrap();
        assert!(marked[book.tunes().next().unwrap().bytes.clone()].starts_with(b"X:1"));
        assert!(Tunebook::open(b"\xff\xfeX\0:\0", &Limits::USUAL).is_err());
    }
}
