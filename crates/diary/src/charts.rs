//! What the charts are drawn from. Nothing here reads single passes.

use leverlane_core::drill::{Day, DayOfPractice, GoalHeld, Standing, due, standing};
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::time::Seconds;
use rusqlite::{Row, params};

use crate::error::DiaryError;
use crate::records::{FlipEntry, FlipId, PieceId};
use crate::store::Diary;

/// One day of one flip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlipDay {
    /// What it shows of keeping.
    pub practice: DayOfPractice,
    /// Passes played.
    pub passes: u32,
    /// Passes judged.
    pub judged: u32,
    /// Clean ones among them.
    pub clean: u32,
    /// The fastest tempo held with both hands, in quarter notes a minute.
    pub held_both: Option<f64>,
    /// The fastest tempo held in any other layer, likewise.
    pub held_part: Option<f64>,
    /// The mean of the passes' spreads.
    pub spread: Option<Seconds>,
    /// The mean hesitation at the flip as a share of the beat; negative where she hurried.
    pub hesitation_of_beat: Option<f64>,
}

/// How one flip of a piece stands.
#[derive(Clone, Debug, PartialEq)]
pub struct PieceFlip {
    /// The flip.
    pub flip: FlipEntry,
    /// How well it is known.
    pub standing: Standing,
    /// When it is due again; none where it has never been judged.
    pub due: Option<Day>,
}

/// The fastest tempo at which a flip was held with both hands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldFlip {
    /// When the flip is made: ticks from the start of the piece as played.
    pub at_ticks: i64,
    /// Its string.
    pub string: StringNumber,
    /// Where its lever goes.
    pub to: LeverState,
    /// The tempo, in quarter notes a minute, as the piece would begin with it.
    pub held: f64,
    /// Whether it is the tempo that was worked for.
    pub goal_held: GoalHeld,
}

/// A flip that is asked again.
#[derive(Clone, Debug, PartialEq)]
pub struct DueFlip {
    /// The flip.
    pub flip: FlipEntry,
    /// Since when it is due.
    pub since: Day,
}

/// One day of everything.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayTotal {
    /// The day.
    pub day: Day,
    /// Passes played.
    pub passes: u32,
    /// Passes judged.
    pub judged: u32,
    /// Clean ones among them.
    pub clean: u32,
    /// How long the passes lasted together.
    pub practised: Seconds,
}

impl Diary {
    /// Every day of a flip, in order.
    ///
    /// # Errors
    /// The diary can't be read.
    pub fn flip_days(&self, flip: FlipId) -> Result<Vec<FlipDay>, DiaryError> {
        let sql = "SELECT day, first_judged, first_clean, goal_held, passes, judged, clean, held_both, held_part,
                          spread_sum, spreads, hesitation_sum, hesitations
                   FROM flip_day WHERE flip = ?1 ORDER BY day";
        let read = |row: &Row<'_>| {
            let tempo = |thousandths: Option<i64>| thousandths.map(|tempo| tempo as f64 / 1000.0);
            let mean = |sum: i64, count: i64| (count > 0).then(|| sum as f64 / count as f64);
            Ok(FlipDay {
                practice: practice_of(row)?,
                passes: row.get(4)?,
                judged: row.get(5)?,
                clean: row.get(6)?,
                held_both: tempo(row.get(7)?),
                held_part: tempo(row.get(8)?),
                spread: mean(row.get(9)?, row.get(10)?).map(|spread| Seconds::new(spread / 1e6)),
                hesitation_of_beat: mean(row.get(11)?, row.get(12)?).map(|share| share / 1000.0),
            })
        };
        self.rows(sql, params![flip.0], read)
    }

    /// Every flip of a piece that the diary knows, in the order of playing.
    ///
    /// # Errors
    /// The diary can't be read.
    pub fn piece_flips(&self, piece: PieceId) -> Result<Vec<PieceFlip>, DiaryError> {
        self.flips_with_days("WHERE piece.id = ?1", params![piece.0])
    }

    /// What was held of the flips of a piece, known by its digest.
    ///
    /// # Errors
    /// The diary can't be read.
    pub fn held_flips(&self, digest: &str) -> Result<Vec<HeldFlip>, DiaryError> {
        let sql = "SELECT at_ticks, string, up, MAX(held_both), MAX(goal_held)
                   FROM flip JOIN piece ON piece.id = flip.piece JOIN flip_day ON flip_day.flip = flip.id
                   WHERE piece.digest = ?1 AND held_both IS NOT NULL GROUP BY flip.id ORDER BY at_ticks, string";
        let read = |row: &Row<'_>| {
            Ok(HeldFlip {
                at_ticks: row.get(0)?,
                string: StringNumber::new(row.get(1)?).ok_or(rusqlite::Error::IntegralValueOutOfRange(1, 0))?,
                to: if row.get(2)? { LeverState::Up } else { LeverState::Down },
                held: row.get::<_, i64>(3)? as f64 / 1000.0,
                goal_held: goal_held(row.get(4)?),
            })
        };
        self.rows(sql, params![digest], read)
    }

    /// Every flip of every piece.
    ///
    /// # Errors
    /// The diary can't be read.
    pub fn all_flips(&self) -> Result<Vec<PieceFlip>, DiaryError> {
        self.flips_with_days("", params![])
    }

    /// What is due on a day, longest due first.
    ///
    /// # Errors
    /// The diary can't be read.
    pub fn due_list(&self, today: Day) -> Result<Vec<DueFlip>, DiaryError> {
        let flips = self.all_flips()?.into_iter();
        let due =
            flips.filter_map(|flip| Some(DueFlip { since: flip.due.filter(|&due| due <= today)?, flip: flip.flip }));
        let mut due: Vec<DueFlip> = due.collect();
        due.sort_by_key(|flip| (flip.since, flip.flip.id));
        Ok(due)
    }

    /// The days that end with this one, so many of them; a day without practice is there with nothing.
    ///
    /// # Errors
    /// The diary can't be read.
    pub fn days_until(&self, today: Day, count: u16) -> Result<Vec<DayTotal>, DiaryError> {
        let first = today.after(1 - i32::from(count));
        let sql = "SELECT day, passes, judged, clean, lasted_ms FROM day WHERE day BETWEEN ?1 AND ?2 ORDER BY day";
        let read = |row: &Row<'_>| {
            Ok(DayTotal {
                day: Day::new(row.get(0)?),
                passes: row.get(1)?,
                judged: row.get(2)?,
                clean: row.get(3)?,
                practised: Seconds::new(row.get::<_, i64>(4)? as f64 / 1000.0),
            })
        };
        let found = self.rows(sql, params![first.get(), today.get()], read)?;
        let nothing = |day| DayTotal { day, passes: 0, judged: 0, clean: 0, practised: Seconds::ZERO };
        let days = (0..i32::from(count)).map(|offset| first.after(offset));
        Ok(days.map(|day| found.iter().copied().find(|total| total.day == day).unwrap_or(nothing(day))).collect())
    }

    fn flips_with_days(&self, which: &str, values: &[&dyn rusqlite::ToSql]) -> Result<Vec<PieceFlip>, DiaryError> {
        let sql = format!(
            "SELECT day, first_judged, first_clean, goal_held, flip.id, piece.title, flip.words
             FROM flip JOIN piece ON piece.id = flip.piece LEFT JOIN flip_day ON flip_day.flip = flip.id {which}
             ORDER BY piece.id, flip.at_ticks, flip.string, flip.id, day"
        );
        let read = |row: &Row<'_>| {
            let day = row.get::<_, Option<i32>>(0)?.map(|_| practice_of(row)).transpose()?;
            Ok((FlipEntry { id: FlipId(row.get(4)?), piece: row.get(5)?, words: row.get(6)? }, day))
        };
        let mut flips: Vec<(FlipEntry, Vec<DayOfPractice>)> = Vec::new();
        for (flip, day) in self.rows(&sql, values, read)? {
            match flips.last_mut() {
                Some((last, days)) if last.id == flip.id => days.extend(day),
                _ => flips.push((flip, day.into_iter().collect())),
            }
        }
        let stand = |(flip, days): (FlipEntry, Vec<DayOfPractice>)| PieceFlip {
            flip,
            standing: standing(&days),
            due: due(&days),
        };
        Ok(flips.into_iter().map(stand).collect())
    }

    pub(crate) fn rows<T>(
        &self,
        sql: &str,
        values: &[&dyn rusqlite::ToSql],
        read: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Vec<T>, DiaryError> {
        let rows =
            || -> rusqlite::Result<Vec<T>> { self.connection.prepare_cached(sql)?.query_map(values, read)?.collect() };
        rows().map_err(|error| self.failed(&error))
    }
}

fn practice_of(row: &Row<'_>) -> rusqlite::Result<DayOfPractice> {
    Ok(DayOfPractice {
        day: Day::new(row.get(0)?),
        first_judged: row.get(1)?,
        first_clean: row.get(2)?,
        goal_held: goal_held(row.get(3)?),
    })
}

fn goal_held(held: bool) -> GoalHeld {
    if held { GoalHeld::Held } else { GoalHeld::NotYet }
}
