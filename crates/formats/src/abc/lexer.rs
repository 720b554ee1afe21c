//! A line of ABC music cut into its marks (ABC 2.1 §4).

use super::source::{Fault, Place, SourceLine};
use crate::{Said, said};

/// One mark with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) place: Place,
    pub(super) mark: Mark,
}

/// A length as it is written after a note: `3/2`, `/`, nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Multiplier {
    pub(super) above: i64,
    pub(super) below: i64,
}

/// What can stand in a line of music.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    /// A note: its accidental in semitones if it has one, its letter as written, octave marks, length.
    Note { accidental: Option<i8>, letter: char, octaves: i32, length: Multiplier },
    /// `z` or `x`.
    Rest(Multiplier),
    /// `Z` or `X`: so many bars.
    BarRest(i64),
    /// `[` of a chord.
    ChordOpen,
    /// `]` of a chord, with the length after it.
    ChordClose(Multiplier),
    /// `{`.
    GraceOpen,
    /// `}`.
    GraceClose,
    /// So many `>` (positive) or `<` (negative).
    Broken(i32),
    /// `(p:q:r`.
    Tuplet { p: i64, q: Option<i64>, r: Option<i64> },
    /// A bar sign.
    Bar(BarSign),
    /// `[1`, `|1`: the times through on which what follows is played.
    Ending(Vec<u8>),
    /// `-`.
    Tie,
    /// `&`.
    Overlay,
    /// `"…"`.
    Text(String),
    /// `!name!` or `+name+`.
    Decoration(String),
    /// A letter that stands for a decoration.
    Symbol(char),
    /// `[K:…]` and the like: the letter, and what follows the colon.
    Field(char, String),
    /// Something that means nothing here, to be told.
    Stray(String),
}

/// A bar sign, as far as it means something to the playing order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct BarSign {
    /// Colons before the line: the passage is played once more for each.
    pub(super) repeats_before: u8,
    /// Colons after the line.
    pub(super) repeats_after: u8,
    /// Thick or double: a section ends here.
    pub(super) ends_section: bool,
}

/// Cuts a line, its comment taken off before.
///
/// # Errors
/// Text, grace notes, chords or inline fields that are not closed on the line; accidentals of no known kind.
pub(super) fn cut(line: &SourceLine<'_>) -> Result<Vec<Token>, Fault> {
    let chars: Vec<char> = line.text.chars().collect();
    let mut cutter = Cutter { line, chars: &chars, at: 0, tokens: Vec::new(), chord: None, grace: None };
    while cutter.at < chars.len() {
        cutter.next()?;
    }
    let unclosed = |at: usize, found: Said, expected: Said| {
        Err(Fault::malformed(line.place(at), found, expected, said!("close it, or take it out")))
    };
    match (cutter.chord, cutter.grace) {
        (Some(at), _) => {
            unclosed(at, said!("a chord that is not closed"), said!("a \"{bracket}\" on the same line", bracket = ']'))
        }
        (_, Some(at)) => unclosed(
            at,
            said!("grace notes that are not closed"),
            said!("a \"{bracket}\" on the same line", bracket = '}'),
        ),
        _ => Ok(cutter.tokens),
    }
}

struct Cutter<'a> {
    line: &'a SourceLine<'a>,
    chars: &'a [char],
    at: usize,
    tokens: Vec<Token>,
    chord: Option<usize>,
    grace: Option<usize>,
}

impl Cutter<'_> {
    fn peek(&self, ahead: usize) -> Option<char> {
        self.chars.get(self.at + ahead).copied()
    }

    fn push(&mut self, from: usize, mark: Mark) {
        self.tokens.push(Token { place: self.line.place(from), mark });
    }

    fn next(&mut self) -> Result<(), Fault> {
        let from = self.at;
        let Some(c) = self.peek(0) else { return Ok(()) };
        match c {
            'A'..='G' | 'a'..='g' | '^' | '_' | '=' => return self.note(),
            'z' | 'x' => {
                self.at += 1;
                let length = self.multiplier();
                self.push(from, Mark::Rest(length));
            }
            'Z' | 'X' => {
                self.at += 1;
                let bars = self.number().unwrap_or(1);
                self.push(from, Mark::BarRest(bars));
            }
            'y' => {
                self.at += 1;
                self.multiplier();
            }
            '[' => return self.square_bracket(),
            ']' if self.chord.is_some() => {
                self.chord = None;
                self.at += 1;
                let length = self.multiplier();
                self.push(from, Mark::ChordClose(length));
            }
            '{' => {
                self.grace = Some(from);
                self.at += if self.peek(1) == Some('/') { 2 } else { 1 };
                self.push(from, Mark::GraceOpen);
            }
            '}' => {
                self.at += 1;
                let mark = if self.grace.take().is_some() { Mark::GraceClose } else { Mark::Stray("}".to_owned()) };
                self.push(from, mark);
            }
            '>' | '<' => {
                while self.peek(0) == Some(c) {
                    self.at += 1;
                }
                let count = i32::try_from(self.at - from).unwrap_or(i32::MAX);
                self.push(from, Mark::Broken(if c == '>' { count } else { -count }));
            }
            '(' if self.peek(1).is_some_and(|next| next.is_ascii_digit()) => self.tuplet(),
            '|' | ':' => self.bar(),
            '.' if self.peek(1) == Some('|') => {
                self.at += 1;
                self.bar();
            }
            '.' if matches!(self.peek(1), Some('(' | '-')) => self.at += 1,
            '-' => {
                self.at += 1;
                self.push(from, Mark::Tie);
            }
            '&' => {
                self.at += 1;
                self.push(from, Mark::Overlay);
            }
            '"' => return self.quoted(),
            '!' => return self.decoration('!'),
            '+' => return self.decoration('+'),
            '~' | '.' | 'H'..='W' | 'h'..='w' => {
                self.at += 1;
                self.push(from, Mark::Symbol(c));
            }
            // Slurs, beams, spaces, line ends and the marks that older programs put at the ends of lines.
            '(' | ')' | '`' | '\\' | '*' | '$' => self.at += 1,
            c if c.is_whitespace() => self.at += 1,
            _ => {
                self.at += 1;
                self.push(from, Mark::Stray(c.to_string()));
            }
        }
        Ok(())
    }

    fn number(&mut self) -> Option<i64> {
        let from = self.at;
        let mut value: i64 = 0;
        while let Some(digit) = self.peek(0).and_then(|c| c.to_digit(10)) {
            value = value.saturating_mul(10).saturating_add(i64::from(digit));
            self.at += 1;
        }
        (self.at > from).then_some(value)
    }

    /// `3`, `3/2`, `/2`, `/`, `//` (§4.3).
    fn multiplier(&mut self) -> Multiplier {
        let above = self.number().unwrap_or(1);
        let mut below: i64 = 1;
        while self.peek(0) == Some('/') {
            self.at += 1;
            below = below.saturating_mul(self.number().unwrap_or(2));
        }
        Multiplier { above, below }
    }

    fn note(&mut self) -> Result<(), Fault> {
        let from = self.at;
        while matches!(self.peek(0), Some('^' | '_' | '=')) {
            self.at += 1;
        }
        let signs: String = self.chars[from..self.at].iter().collect();
        let accidental = match signs.as_str() {
            "" => None,
            "=" => Some(0),
            "^" => Some(1),
            "^^" => Some(2),
            "_" => Some(-1),
            "__" => Some(-2),
            _ => {
                let remedy = said!("write ^, ^^, _, __ or =");
                return Err(Fault::malformed(
                    self.line.place(from),
                    Said::quoted(format!("\"{signs}\"")),
                    said!("an accidental"),
                    remedy,
                ));
            }
        };
        let Some(letter) = self.peek(0).filter(|c| matches!(c, 'A'..='G' | 'a'..='g')) else {
            self.push(from, Mark::Stray(signs));
            return Ok(());
        };
        self.at += 1;
        let mut octaves: i32 = 0;
        while let Some(mark @ (',' | '\'')) = self.peek(0) {
            octaves = octaves.saturating_add(if mark == '\'' { 1 } else { -1 });
            self.at += 1;
        }
        let length = self.multiplier();
        self.push(from, Mark::Note { accidental, letter, octaves, length });
        Ok(())
    }

    fn square_bracket(&mut self) -> Result<(), Fault> {
        let from = self.at;
        match (self.peek(1), self.peek(2)) {
            (Some('|'), _) => self.bar(),
            (Some(']'), _) => self.at += 2,
            (Some(digit), _) if digit.is_ascii_digit() => {
                self.at += 1;
                self.ending(from);
            }
            (Some(letter), Some(':')) if letter.is_ascii_alphabetic() => {
                let length = self.chars[from..].iter().position(|&c| c == ']').ok_or_else(|| {
                    let expected = said!("a \"{bracket}\" on the same line", bracket = ']');
                    Fault::malformed(
                        self.line.place(from),
                        said!("a field that is not closed"),
                        expected,
                        said!("close it"),
                    )
                })?;
                let text = self.chars[from + 3..from + length].iter().collect();
                self.at = from + length + 1;
                self.push(from, Mark::Field(letter, text));
            }
            _ if self.chord.is_some() => {
                let remedy = said!("close the first chord before the second begins");
                return Err(Fault::malformed(
                    self.line.place(from),
                    said!("a chord inside a chord"),
                    said!("notes or \"]\""),
                    remedy,
                ));
            }
            _ => {
                self.chord = Some(from);
                self.at += 1;
                self.push(from, Mark::ChordOpen);
            }
        }
        Ok(())
    }

    /// `(3`, `(3:2`, `(3:2:4`, `(3::4` (§4.13).
    fn tuplet(&mut self) {
        let from = self.at;
        self.at += 1;
        let p = self.number().unwrap_or(0);
        let mut further = [None, None];
        for value in &mut further {
            if self.peek(0) != Some(':') {
                break;
            }
            self.at += 1;
            *value = self.number();
        }
        let [q, r] = further;
        self.push(from, Mark::Tuplet { p, q, r });
    }

    /// Bar signs of any shape (§4.8), one or several without a space: bars, colons, and square brackets beside a bar.
    fn bar(&mut self) {
        loop {
            let from = self.at;
            let before = self.colons();
            let lines_from = self.at;
            while let Some(c) = self.peek(0) {
                let any = self.at > lines_from;
                match c {
                    '|' => {}
                    ']' if any && self.chord.is_none() => {}
                    '[' if !any && self.peek(1) == Some('|') => {}
                    _ => break,
                }
                self.at += 1;
            }
            let lines: String = self.chars[lines_from..self.at].iter().collect();
            if lines.is_empty() {
                self.push(from, colons_alone(before));
                break;
            }
            // Colons between two lines belong to the second: "|]:|" ends a repeat.
            let ahead = self.chars[self.at..].iter().take_while(|&&c| c == ':').count();
            let after = if self.chars.get(self.at + ahead) == Some(&'|') { 0 } else { self.colons() };
            // "[|]" is a bar line that isn't seen.
            let ends_section = lines.len() > 1 && lines != "[|]";
            self.push(from, Mark::Bar(BarSign { repeats_before: before, repeats_after: after, ends_section }));
            let goes_on = matches!((self.peek(0), self.peek(1)), (Some('|' | ':'), _) | (Some('['), Some('|')));
            if !goes_on {
                break;
            }
        }
        if self.peek(0).is_some_and(|c| c.is_ascii_digit()) {
            self.ending(self.at);
        }
    }

    fn colons(&mut self) -> u8 {
        let from = self.at;
        while self.peek(0) == Some(':') {
            self.at += 1;
        }
        u8::try_from(self.at - from).unwrap_or(u8::MAX)
    }

    /// `1`, `1,3`, `1-3` (§4.9–4.10); the place is at the first digit.
    fn ending(&mut self, from: usize) {
        let mut passes = Vec::new();
        while let Some(first) = self.number() {
            let mut last = first;
            if self.peek(0) == Some('-') && self.peek(1).is_some_and(|c| c.is_ascii_digit()) {
                self.at += 1;
                last = self.number().unwrap_or(first);
            }
            // Nobody plays a passage more often; more would only cost memory.
            passes.extend((first.max(1)..=last.min(99)).filter_map(|pass| u8::try_from(pass).ok()));
            if !(self.peek(0) == Some(',') && self.peek(1).is_some_and(|c| c.is_ascii_digit())) || passes.len() > 99 {
                break;
            }
            self.at += 1;
        }
        if passes.is_empty() {
            let found = self.chars[from..self.at].iter().collect();
            return self.push(from, Mark::Stray(found));
        }
        passes.sort_unstable();
        passes.dedup();
        self.push(from, Mark::Ending(passes));
    }

    fn quoted(&mut self) -> Result<(), Fault> {
        let from = self.at;
        let Some(length) = self.chars[from + 1..].iter().position(|&c| c == '"') else {
            let remedy = said!("close it, or take it out");
            let expected = said!("a second quotation mark on the same line");
            return Err(Fault::malformed(self.line.place(from), said!("text that is not closed"), expected, remedy));
        };
        let text = self.chars[from + 1..from + 1 + length].iter().collect();
        self.at = from + length + 2;
        self.push(from, Mark::Text(text));
        Ok(())
    }

    /// `!trill!` (§4.14) and the older `+trill+`. A sign that no second one closes was a line break in older ABC.
    fn decoration(&mut self, sign: char) -> Result<(), Fault> {
        let from = self.at;
        self.at += 1;
        let rest = &self.chars[self.at..];
        let Some(length) = rest.iter().position(|&c| c == sign) else { return Ok(()) };
        let name = &rest[..length];
        if sign == '+' && self.chord.is_none() && is_old_chord(name) {
            return self.old_chord(from, from + 1 + length);
        }
        let plausible = !name.is_empty() && !name.iter().any(|&c| matches!(c, ' ' | '|' | '[' | ']' | '"'));
        if plausible {
            let name = name.iter().collect();
            self.at += length + 1;
            self.push(from, Mark::Decoration(name));
        }
        Ok(())
    }

    /// `+CEG+`, the chord of ABC 1.6 (§10.2.4 of ABC 2.1 names it as outdated).
    fn old_chord(&mut self, from: usize, closing: usize) -> Result<(), Fault> {
        self.push(from, Mark::ChordOpen);
        while self.at < closing {
            // An accidental alone leaves its length or octave marks behind.
            match self.peek(0) {
                Some(c @ (',' | '\'' | '/' | '0'..='9')) => {
                    self.push(self.at, Mark::Stray(c.to_string()));
                    self.at += 1;
                }
                _ => self.note()?,
            }
        }
        self.at = closing + 1;
        let length = self.multiplier();
        self.push(closing, Mark::ChordClose(length));
        Ok(())
    }
}

/// `::` ends one repeat and begins another; a colon alone means nothing.
fn colons_alone(colons: u8) -> Mark {
    match colons {
        1 => Mark::Stray(":".to_owned()),
        _ => Mark::Bar(BarSign { repeats_before: colons / 2, repeats_after: colons - colons / 2, ends_section: false }),
    }
}

/// Whether what stands between two plus signs are notes, and no decoration such as `+f+`.
fn is_old_chord(inner: &[char]) -> bool {
    let name: String = inner.iter().collect();
    let fits = |c: &char| matches!(c, 'A'..='G' | 'a'..='g' | '^' | '_' | '=' | ',' | '\'' | '/' | '0'..='9');
    let begins = inner.first().is_some_and(|c| matches!(c, 'A'..='G' | 'a'..='g' | '^' | '_' | '='));
    begins && inner.iter().all(fits) && super::decorations::effect(&name).is_none()
}

#[cfg(test)]
mod tests;
