//! Lines of music: tokens into the current voice.

use crate::{Said, said};
use leverlane_core::score::JumpTarget;

use super::super::decorations::{Effect, effect};
use super::super::fields::MeterField;
use super::super::fraction::Fraction;
use super::super::lexer::{Mark, Multiplier, Token, cut};
use super::super::repeats::SIGN;
use super::super::source::{Fault, Origin, Place, SourceLine};
use super::super::voice::{EventOutcome, WrittenNote};
use super::{Parser, shortened};

/// What a quantity of notes is written inside.
#[derive(Debug)]
pub(super) enum Bracket {
    None,
    Chord { notes: Vec<WrittenNote>, tied: Vec<bool>, place: Place },
    Grace { chord: Option<u8> },
}

const ONCE: Multiplier = Multiplier { above: 1, below: 1 };

/// Bytes in a line of music; nobody writes as many.
const LONGEST_LINE: usize = 1 << 20;
/// So many voices may have as many bars as a score may have; more voices have to share.
const VOICES_FULL_OF_BARS: usize = 8;
/// More than all fingers.
const MOST_IN_CHORD: usize = 64;

impl Parser<'_> {
    pub(super) fn music(&mut self, line: &SourceLine<'_>) -> Result<(), Fault> {
        if line.text.len() > LONGEST_LINE {
            let found = said!("a line of {line} bytes", line = line.text.len());
            return Err(Fault::limit(line.place(0), found, said!("at most {most}", most = LONGEST_LINE)));
        }
        for token in cut(line)? {
            self.token(token)?;
            self.check_limits(line)?;
        }
        Ok(())
    }

    fn check_limits(&self, line: &SourceLine<'_>) -> Result<(), Fault> {
        let voice = &self.voices[self.voice];
        if self.notes > self.limits.notes {
            let (found, allowed) = (said!("more than {most} notes", most = self.limits.notes), self.limits.notes);
            return Err(Fault::limit(line.place(0), found, said!("at most {most}", most = allowed)));
        }
        if voice.bar() >= self.limits.bars {
            let found = said!("more than {most} bars", most = self.limits.bars);
            return Err(Fault::limit(line.place(0), found, said!("at most {most}", most = self.limits.bars)));
        }
        Ok(())
    }

    fn token(&mut self, token: Token) -> Result<(), Fault> {
        let Token { place, mark } = token;
        match (&mut self.bracket, mark) {
            (_, Mark::Note { accidental, letter, octaves, length }) => {
                return self.note(WrittenNote { accidental, letter, octaves, length, place });
            }
            (Bracket::None, Mark::ChordOpen) => {
                self.bracket = Bracket::Chord { notes: Vec::new(), tied: Vec::new(), place };
            }
            (Bracket::Grace { chord }, Mark::ChordOpen) => *chord = Some(self.voices[self.voice].waiting_graces()),
            (Bracket::Grace { chord }, Mark::ChordClose(_)) => *chord = None,
            (Bracket::Chord { .. }, Mark::ChordClose(length)) => {
                if let Bracket::Chord { notes, tied, place } = std::mem::replace(&mut self.bracket, Bracket::None) {
                    return self.chord(&notes, &tied, length, place);
                }
            }
            (Bracket::Chord { tied, .. }, Mark::Tie) => {
                if let Some(last) = tied.last_mut() {
                    *last = true;
                }
            }
            (Bracket::None, Mark::GraceOpen) => self.bracket = Bracket::Grace { chord: None },
            (Bracket::Grace { .. }, Mark::GraceClose) => self.bracket = Bracket::None,
            (_, Mark::Symbol(letter)) => self.symbol(letter),
            (_, Mark::Decoration(name)) => self.decoration(&name),
            (_, Mark::Text(text)) => self.text(&text),
            (_, Mark::Stray(found)) => return self.stray(Said::quoted(shortened(&found)), place),
            (Bracket::Chord { .. }, Mark::Rest(_)) => return self.stray(said!("a rest in a chord"), place),
            // Ties, lengths and slurs of grace notes say nothing: they have no time of their own.
            (Bracket::Grace { .. }, Mark::Tie | Mark::Broken(_) | Mark::Tuplet { .. }) => {}
            (Bracket::None, mark) => return self.between_brackets(mark, place),
            (_, mark) => {
                let found = said!("{mark} inside a chord or grace notes", mark = described(&mark));
                return Err(Fault::malformed(place, found, said!("notes only"), said!("close the bracket before it")));
            }
        }
        Ok(())
    }

    fn between_brackets(&mut self, mark: Mark, place: Place) -> Result<(), Fault> {
        let voice = &mut self.voices[self.voice];
        match mark {
            Mark::Rest(length) => {
                self.notes += 1;
                let outcome = voice.add_event(&[], &[], length, place, self.propagation)?;
                self.told(outcome);
                self.check_bar(place)?;
            }
            Mark::BarRest(bars) => self.bar_rest(bars, place)?,
            Mark::Broken(signs) => {
                if !voice.break_rhythm(signs, place)? {
                    self.warn(said!(
                        "{place}: a broken-rhythm sign has no note before it in its bar: left out",
                        place = place.said()
                    ));
                }
            }
            Mark::Tuplet { p, q, r } => self.tuplet(p, q, r, place)?,
            Mark::Bar(sign) => voice.bar_line(sign),
            Mark::Ending(passes) => voice.begin_ending(passes),
            Mark::Tie => {
                if !voice.open_tie(None) {
                    self.warn(said!("{place}: a tie has no note before it: left out", place = place.said()));
                }
            }
            Mark::Overlay => {
                if !voice.overlay() {
                    return Err(Fault::malformed(
                        place,
                        said!("too many overlays in one bar"),
                        said!("at most {most}", most = 15),
                        said!("use voices (V:)"),
                    ));
                }
            }
            Mark::Field(letter, text) => {
                let line = SourceLine {
                    origin: place.origin,
                    number: place.line,
                    first_column: place.column + 3,
                    text: &text,
                };
                self.body_field(letter, &line)?;
            }
            // Closing brackets without opening ones; the lexer tells those apart.
            other => return self.stray(described(&other), place),
        }
        Ok(())
    }

    fn note(&mut self, note: WrittenNote) -> Result<(), Fault> {
        self.notes += 1;
        let voice = &mut self.voices[self.voice];
        match &mut self.bracket {
            Bracket::Chord { notes, .. } if notes.len() == MOST_IN_CHORD => {
                let found = said!("a chord of more than {most} notes", most = MOST_IN_CHORD);
                return Err(Fault::limit(note.place, found, said!("at most {most}", most = MOST_IN_CHORD)));
            }
            Bracket::Chord { notes, tied, .. } => {
                notes.push(note);
                tied.push(false);
            }
            Bracket::Grace { chord } => {
                let row = chord.unwrap_or_else(|| voice.waiting_graces());
                if voice.add_grace(note, row, self.propagation) {
                    self.carried();
                }
            }
            Bracket::None => {
                let outcome = voice.add_event(&[note], &[false], ONCE, note.place, self.propagation)?;
                self.told(outcome);
                self.check_bar(note.place)?;
            }
        }
        Ok(())
    }

    fn chord(&mut self, notes: &[WrittenNote], tied: &[bool], length: Multiplier, place: Place) -> Result<(), Fault> {
        if notes.is_empty() {
            self.warn(said!("{place}: a chord without notes: left out", place = place.said()));
            return Ok(());
        }
        let outcome = self.voices[self.voice].add_event(notes, tied, length, place, self.propagation)?;
        self.told(outcome);
        self.check_bar(place)
    }

    /// A bar may not be longer than the limits allow.
    fn check_bar(&self, place: Place) -> Result<(), Fault> {
        let longest = self.limits.bar_quarters;
        match Fraction::new(longest, 1) {
            Some(limit) if self.voices[self.voice].length_so_far() > limit => Err(Fault::limit(
                place,
                said!("a bar of over {longest} quarter notes", longest),
                said!("at most {most}", most = longest),
            )),
            _ => Ok(()),
        }
    }

    fn told(&mut self, outcome: EventOutcome) {
        if outcome.lost_tie {
            let bar = self.voices[self.voice].bar();
            self.warnings.add_to_bar(bar, said!("a tie leads to no note of its pitch: left out"));
        }
        if outcome.carried {
            self.carried();
        }
    }

    fn carried(&mut self) {
        self.warn(said!(
            "an accidental holds for its letter in the other octaves of the bar too, as ABC 2.1 has it; \
             %%propagate-accidentals octave keeps it to its own"
        ));
    }

    fn bar_rest(&mut self, bars: i64, place: Place) -> Result<(), Fault> {
        let in_all: usize = self.voices.iter().map(|voice| voice.bar()).sum();
        let voice = &mut self.voices[self.voice];
        // Two signs are enough to ask for thousands of bars, and every voice may ask again.
        let left = (VOICES_FULL_OF_BARS * self.limits.bars).saturating_sub(in_all);
        let room = i64::try_from(self.limits.bars.saturating_sub(voice.bar()).min(left)).unwrap_or(i64::MAX);
        if bars > room {
            let found = said!("a rest of {bars} bars", bars);
            return Err(Fault::limit(place, found, said!("at most {bars} bars in all", bars = self.limits.bars)));
        }
        for bar in 0..bars {
            let full = voice.meter.bar().or_else(|| Fraction::new(4, 1)).unwrap_or(Fraction::ONE);
            let unit = std::mem::replace(&mut voice.unit, full);
            let outcome = voice.add_event(&[], &[], ONCE, place, self.propagation);
            voice.unit = unit;
            outcome?;
            if bar + 1 < bars {
                voice.finish_bar();
            }
        }
        Ok(())
    }

    /// `(p:q:r`: p notes in the time of q for the next r notes (ABC 2.1 §4.13).
    fn tuplet(&mut self, p: i64, q: Option<i64>, r: Option<i64>, place: Place) -> Result<(), Fault> {
        let voice = &mut self.voices[self.voice];
        let compound = matches!(&voice.meter, MeterField::Counted(meter) if meter.is_compound());
        let q = q.filter(|&q| q > 0).unwrap_or(match p {
            2 | 4 | 8 => 3,
            3 | 6 => 2,
            _ if compound => 3,
            _ => 2,
        });
        let r = r.filter(|&r| r > 0).unwrap_or(p);
        let sound = (1..=64).contains(&p) && q <= 64 && r <= 1024;
        let Some(ratio) = Fraction::new(q, p).filter(|_| sound) else {
            let expected = said!("2 to 9 notes in the time of some others, such as (3 or (5:4:5");
            return Err(Fault::malformed(place, said!("a tuplet of {p}", p), expected, said!("correct its numbers")));
        };
        if !voice.begin_tuplet(r, ratio) {
            self.warn(said!("{place}: a tuplet begins before the one before it is complete", place = place.said()));
        }
        Ok(())
    }

    fn symbol(&mut self, letter: char) {
        match self.symbols.name(letter).map(str::to_owned) {
            Some(name) => self.decoration(&name),
            None => self.warn(said!("the symbol \"{letter}\" is not known: left out", letter)),
        }
    }

    fn decoration(&mut self, name: &str) {
        let voice = &mut self.voices[self.voice];
        match effect(name) {
            Some(Effect::None) => {}
            Some(Effect::Hold) => voice.hold_next(),
            Some(Effect::Roll) => voice.roll_next(),
            Some(Effect::Finger(finger)) => voice.finger_next(finger),
            Some(Effect::Segno) => voice.marks().segno = true,
            Some(Effect::Coda) => voice.marks().coda = true,
            Some(Effect::ToCoda) => voice.marks().to_coda = true,
            Some(Effect::Fine) => voice.marks().fine = true,
            Some(Effect::DaCapo) => voice.marks().jump = Some(JumpTarget::DaCapo),
            Some(Effect::DalSegno) => voice.marks().jump = Some(JumpTarget::DalSegno(SIGN.to_owned())),
            None => self.warn(said!("the decoration \"{name}\" is not known: left out", name = shortened(name))),
        }
    }

    /// Chord symbols and annotations are passed over; words that mean a jump are told.
    fn text(&mut self, text: &str) {
        let plain = text.trim_start_matches(['^', '_', '<', '>', '@']).to_ascii_lowercase();
        let jumps = ["d.c", "dc", "da capo", "d.s", "dal segno", "fine", "al coda"];
        if jumps.iter().any(|word| plain.starts_with(word)) {
            self.warn(said!("the words \"{text}\" were not followed in the order of playing", text = shortened(text)));
        }
    }

    /// What means nothing is passed over in a file, which nobody may want to mend; where someone types it, the caret
    /// goes there.
    fn stray(&mut self, found: Said, place: Place) -> Result<(), Fault> {
        if matches!(place.origin, Origin::RightHand | Origin::LeftHand) {
            let expected = said!("notes (A to G, a to g), rests (z), chords or bar lines");
            return Err(Fault::malformed(place, found, expected, said!("correct it, or take it out")));
        }
        self.warn(said!("{place}: \"{found}\" means nothing here: left out", place = place.said(), found));
        Ok(())
    }
}

fn described(mark: &Mark) -> Said {
    match mark {
        Mark::Rest(_) | Mark::BarRest(_) => said!("a rest"),
        Mark::ChordOpen | Mark::ChordClose(_) => said!("a chord's bracket"),
        Mark::GraceOpen | Mark::GraceClose => said!("a grace note's bracket"),
        Mark::Broken(_) => said!("a broken-rhythm sign"),
        Mark::Tuplet { .. } => said!("a tuplet"),
        Mark::Bar(_) => said!("a bar line"),
        Mark::Ending(_) => said!("an ending"),
        Mark::Tie => said!("a tie"),
        Mark::Overlay => said!("an overlay"),
        Mark::Field(..) => said!("a field"),
        _ => said!("a mark"),
    }
}
