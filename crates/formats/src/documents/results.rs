//! What a student sends back: how often she played each flip on which day, and how fast she held it. Nothing else is in
//! it, and no name but the one that she types.
//!
//! ```text
//! (
//!     document: results,
//!     version: 1,
//!     student: "Ann",
//!     lesson: "The G levers",
//!     piece: "Greensleeves",
//!     flips: [
//!         (flip: "bar 4, beat 2: G4 up", days: [(day: 20782, passes: 31, judged: 29, clean: 21, held: 66.0)]),
//!     ],
//! )
//! ```
//!
//! Days are counted from 1 January 1970; tempos are quarter notes a minute.

use super::error::value;
use leverlane_core::drill::Day;
use leverlane_core::time::Tempo;
use serde::{Deserialize, Serialize};

use super::DocumentError;
use super::text::{self, Kind};
use crate::{Limits, said};

/// A student's results.
#[derive(Clone, Debug, PartialEq)]
pub struct Results {
    /// What she has typed as her name.
    pub student: String,
    /// The lesson's title.
    pub lesson: String,
    /// The piece's title.
    pub piece: String,
    /// Her flips.
    pub flips: Vec<FlipResult>,
}

/// One flip.
#[derive(Clone, Debug, PartialEq)]
pub struct FlipResult {
    /// What it is called.
    pub flip: String,
    /// Its days, in order.
    pub days: Vec<DayResult>,
}

/// One day of one flip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayResult {
    /// The day.
    pub day: Day,
    /// Passes played.
    pub passes: u32,
    /// Passes judged, at most all.
    pub judged: u32,
    /// Clean ones among them.
    pub clean: u32,
    /// The fastest tempo held.
    pub held: Option<Tempo>,
}

/// More rows than years of practice give.
const MOST_DAYS: usize = 1_000_000;
/// The longest name, title or name of a flip, in letters.
const LONGEST: usize = 400;
/// Days from 1970 until the year 2500 (arithmetic).
const DAYS: std::ops::RangeInclusive<i32> = 0..=193_578;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenResults {
    document: Kind,
    version: u32,
    student: String,
    lesson: String,
    piece: String,
    flips: Vec<WrittenFlipResult>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenFlipResult {
    flip: String,
    days: Vec<WrittenDay>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenDay {
    day: i32,
    passes: u32,
    judged: u32,
    clean: u32,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    held: Option<f64>,
}

impl Results {
    /// Reads results.
    ///
    /// # Errors
    /// More bytes than the limits take, bytes that are no results, those of a newer version, or values that can't be.
    pub fn read(bytes: &[u8], limits: &Limits) -> Result<Results, DocumentError> {
        text::check_size(bytes, limits)?;
        text::version(bytes, Kind::Results)?;
        text::parse::<WrittenResults>(bytes)?.read()
    }

    /// Writes the results in the newest version.
    ///
    /// # Errors
    /// None is known.
    pub fn write(&self) -> Result<Vec<u8>, DocumentError> {
        let day = |day: &DayResult| WrittenDay {
            day: day.day.get(),
            passes: day.passes,
            judged: day.judged,
            clean: day.clean,
            held: day.held.map(Tempo::quarters_per_minute),
        };
        let flip = |flip: &FlipResult| WrittenFlipResult {
            flip: flip.flip.clone(),
            days: flip.days.iter().map(day).collect(),
        };
        text::write(&WrittenResults {
            document: Kind::Results,
            version: Kind::Results.newest(),
            student: self.student.clone(),
            lesson: self.lesson.clone(),
            piece: self.piece.clone(),
            flips: self.flips.iter().map(flip).collect(),
        })
    }
}

impl WrittenResults {
    fn read(self) -> Result<Results, DocumentError> {
        let days: usize = self.flips.iter().map(|flip| flip.days.len()).sum();
        if days > MOST_DAYS {
            return Err(DocumentError::invalid(
                "flips",
                said!("{days} days", days),
                said!("at most {most}", most = MOST_DAYS),
            ));
        }
        let flip = |(index, flip): (usize, WrittenFlipResult)| -> Result<FlipResult, DocumentError> {
            let place = format!("flip {}", index + 1);
            let days = flip.days.iter().map(|day| day.read(&place)).collect::<Result<_, DocumentError>>()?;
            Ok(FlipResult { flip: name(&place, flip.flip)?, days })
        };
        Ok(Results {
            student: name("student", self.student)?,
            lesson: name("lesson", self.lesson)?,
            piece: name("piece", self.piece)?,
            flips: self.flips.into_iter().enumerate().map(flip).collect::<Result<_, _>>()?,
        })
    }
}

fn name(place: &str, text: String) -> Result<String, DocumentError> {
    let letters = text.chars().count();
    if letters <= LONGEST && !text.chars().any(char::is_control) {
        return Ok(text);
    }
    Err(DocumentError::invalid(
        place,
        said!("{letters} letters", letters),
        said!("one line of at most {most} letters", most = LONGEST),
    ))
}

impl WrittenDay {
    fn read(&self, place: &str) -> Result<DayResult, DocumentError> {
        let place = format!("{place}, day {}", self.day);
        if !DAYS.contains(&self.day) {
            return Err(DocumentError::invalid(
                place,
                value(self.day),
                said!("a day from 1970 to 2500, counted from 1 January 1970"),
            ));
        }
        if self.clean > self.judged || self.judged > self.passes {
            let found = said!(
                "{clean} clean of {judged} judged of {passes} passes",
                clean = self.clean,
                judged = self.judged,
                passes = self.passes
            );
            return Err(DocumentError::invalid(
                place,
                found,
                said!("no more clean than judged, no more judged than passes"),
            ));
        }
        let tempo = |held| {
            let refused = |_| {
                DocumentError::invalid(format!("{place}, held"), value(held), said!("5 to 400 quarter notes a minute"))
            };
            Tempo::quarters(held).map_err(refused)
        };
        Ok(DayResult {
            day: Day::new(self.day),
            passes: self.passes,
            judged: self.judged,
            clean: self.clean,
            held: self.held.map(tempo).transpose()?,
        })
    }
}
