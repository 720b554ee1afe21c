//! One line: `bar 12 beat 4: C5 up`.

use leverlane_core::harp::LeverState;
use leverlane_core::meter::Counting;
use leverlane_core::pitch::{Letter, SpelledPitch};
use leverlane_core::plan::WantedFlip;
use leverlane_core::score::Hand;
use leverlane_core::time::Ticks;

use super::{PaperError, PaperSettings, bar_of_number};
use crate::{Detail, Said, said};

/// A word or mark with its column, from 1.
#[derive(Clone, Copy, Debug)]
struct Word<'a> {
    column: usize,
    text: &'a str,
}

/// The words of one line, read from the left.
struct Words<'a> {
    line: usize,
    words: Vec<Word<'a>>,
    next: usize,
    /// The column after the last character.
    end: usize,
}

/// The flips of a line; none for an empty one or a remark.
pub(super) fn flips(text: &str, line: usize, settings: &PaperSettings) -> Result<Vec<WantedFlip>, PaperError> {
    if text.trim().is_empty() || text.trim_start().starts_with('#') {
        return Ok(Vec::new());
    }
    let mut words = Words::of(text, line);
    words.keyword("bar")?;
    let (number, word) = words.number(said!("a bar's number"))?;
    let found = || said!("bar {number}", number);
    let bar = usize::try_from(number).ok().and_then(|number| bar_of_number(number, settings)).ok_or_else(|| {
        let expected = said!("a bar from 1 to {bars}", bars = settings.bars);
        words.error(word, found(), expected, said!("correct the number, or make the passage longer"))
    })?;
    words.pass(",");
    words.keyword("beat")?;
    let at = place_of_beat(&mut words, settings)?;
    words.pass(":");
    words.pass(",");
    let mut flips = Vec::new();
    loop {
        let string = words.string()?;
        let to = words.direction()?;
        let hand = words.hand();
        flips.push(WantedFlip { bar, at, string, to, hand });
        if words.peek().is_none() {
            return Ok(flips);
        }
        if !words.pass(",") && !words.pass("and") {
            let word = words.peek();
            return Err(words.unexpected(
                word,
                said!("a comma and another flip, or nothing more"),
                said!("take it out"),
            ));
        }
    }
}

/// Where a beat lies in the bar: its number, with a part of a beat as `2.5`, `2 1/2` or `5/2`.
fn place_of_beat(words: &mut Words<'_>, settings: &PaperSettings) -> Result<Ticks, PaperError> {
    let expected = said!("a beat such as 4, 2.5 or 2 1/2");
    let first = words.peek();
    let remedy = said!("write the beat after the word \"beat\"");
    let (mut above, mut below) = match first.and_then(|word| ratio(word.text)) {
        Some(ratio) => ratio,
        None => return Err(words.unexpected(first, expected, remedy)),
    };
    words.next += 1;
    if let Some(part) = words.peek().filter(|word| word.text.contains('/')) {
        let Some((more, parts)) = ratio(part.text).filter(|&(more, parts)| more < parts && below == 1) else {
            return Err(words.unexpected(
                Some(part),
                said!("a part of a beat such as 1/2"),
                said!("write it as in 2 1/2"),
            ));
        };
        words.next += 1;
        (above, below) = (above * parts + more, parts);
    }
    let beats = settings.meter.beats(Counting::Beats);
    let count = i64::try_from(beats.len()).unwrap_or(i64::MAX);
    let whole = above / below;
    if !(1..=count).contains(&whole) {
        let found = said!("beat {found}", found = first.map_or("", |word| word.text));
        let expected = said!(
            "a beat from 1 to {count} (and parts of the last) in {meter}",
            count,
            meter = settings.meter.to_string()
        );
        return Err(words.error(first, found, expected, said!("correct the beat, or the meter of the passage")));
    }
    let index = usize::try_from(whole - 1).unwrap_or(0);
    let before: Ticks = beats[..index].iter().copied().sum();
    // A part of this very beat, in its own length.
    let scaled = i128::from(above - whole * below) * i128::from(beats[index].get());
    if scaled % i128::from(below) != 0 {
        let found = first.map_or("", |word| word.text);
        let expected = said!("a part of a beat that notes can have, such as 1/2 or 1/3");
        return Err(words.error(
            first,
            said!("beat {found}", found),
            expected,
            said!("write the part as a fraction, as in 2 1/3"),
        ));
    }
    let part = i64::try_from(scaled / i128::from(below)).unwrap_or(0);
    Ok(before + Ticks::new(part))
}

/// `4`, `2.5` or `5/2` as a fraction.
fn ratio(text: &str) -> Option<(i64, i64)> {
    let number = |digits: &str| {
        let plain = !digits.is_empty() && digits.len() <= 6 && digits.bytes().all(|byte| byte.is_ascii_digit());
        plain.then(|| digits.parse::<i64>().ok()).flatten()
    };
    if let Some((above, below)) = text.split_once('/') {
        return Some((number(above)?, number(below).filter(|&below| below > 0)?));
    }
    if let Some((whole, part)) = text.split_once('.') {
        let below = 10i64.pow(u32::try_from(part.len()).ok().filter(|&places| places <= 6)?);
        return Some((number(whole)? * below + number(part)?, below));
    }
    Some((number(text)?, 1))
}

impl<'a> Words<'a> {
    fn of(text: &'a str, line: usize) -> Words<'a> {
        let mut words = Vec::new();
        let mut begun: Option<(usize, usize)> = None;
        for (index, (byte, c)) in text.char_indices().enumerate() {
            let column = index + 1;
            let mark = matches!(c, ':' | ',' | ';');
            if (mark || c.is_whitespace())
                && let Some((from, column)) = begun.take()
            {
                words.push(Word { column, text: &text[from..byte] });
            }
            if mark {
                words.push(Word { column, text: &text[byte..byte + 1] });
            } else if !c.is_whitespace() {
                begun.get_or_insert((byte, column));
            }
        }
        if let Some((from, column)) = begun {
            words.push(Word { column, text: &text[from..] });
        }
        Words { line, words, next: 0, end: text.trim_end().chars().count() + 1 }
    }

    fn peek(&self) -> Option<Word<'a>> {
        self.words.get(self.next).copied()
    }

    /// Passes over a word or mark if it comes next; a semicolon counts as a comma.
    fn pass(&mut self, text: &str) -> bool {
        let next = self.peek().map(|word| if word.text == ";" { "," } else { word.text });
        let passed = next.is_some_and(|next| next.eq_ignore_ascii_case(text));
        self.next += usize::from(passed);
        passed
    }

    fn keyword(&mut self, keyword: &str) -> Result<(), PaperError> {
        if self.pass(keyword) {
            return Ok(());
        }
        let word = self.peek();
        Err(self.unexpected(
            word,
            said!("the word \"{keyword}\"", keyword),
            said!("write as in \"bar 12 beat 4: C5 up\""),
        ))
    }

    fn number(&mut self, what: Said) -> Result<(u32, Option<Word<'a>>), PaperError> {
        let word = self.peek();
        match word.and_then(|word| word.text.parse().ok()) {
            Some(number) => {
                self.next += 1;
                Ok((number, word))
            }
            None => Err(self.unexpected(word, what, said!("write as in \"bar 12 beat 4: C5 up\""))),
        }
    }

    fn string(&mut self) -> Result<SpelledPitch, PaperError> {
        let word = self.peek();
        let text = word.map_or("", |word| word.text);
        if let Ok(pitch) = text.parse() {
            self.next += 1;
            return Ok(pitch);
        }
        let remedy = match text.chars().next().and_then(Letter::from_char) {
            Some(letter) => said!(
                "name the octave too, such as {letter}5: each string has its own lever",
                letter = letter.to_string()
            ),
            None => said!("name the string by letter and octave"),
        };
        Err(self.unexpected(word, said!("a string such as C5"), remedy))
    }

    fn direction(&mut self) -> Result<LeverState, PaperError> {
        if self.pass("up") || self.pass("↑") {
            return Ok(LeverState::Up);
        }
        if self.pass("down") || self.pass("↓") {
            return Ok(LeverState::Down);
        }
        let word = self.peek();
        Err(self.unexpected(word, said!("up or down"), said!("say where the lever goes")))
    }

    fn hand(&mut self) -> Hand {
        if self.pass("right") {
            return Hand::Right;
        }
        self.pass("left");
        Hand::Left
    }

    fn unexpected(&self, word: Option<Word<'_>>, expected: Said, remedy: Said) -> PaperError {
        let found = match word {
            Some(word) => Said::quoted(format!("\"{}\"", word.text.chars().take(40).collect::<String>())),
            None => said!("the end of the line"),
        };
        self.error(word, found, expected, remedy)
    }

    fn error(&self, word: Option<Word<'_>>, found: Said, expected: Said, remedy: Said) -> PaperError {
        let (line, column) = (self.line, word.map_or(self.end, |word| word.column));
        PaperError {
            line,
            column,
            detail: Detail { place: said!("line {line} column {column}", line, column), found, expected, remedy },
        }
    }
}
