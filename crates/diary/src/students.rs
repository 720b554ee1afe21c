//! What students' result files have brought, beside each other.

use leverlane_core::drill::Day;
use rusqlite::{Row, params};

use crate::error::DiaryError;
use crate::store::Diary;

/// One day of one student's flip, as her result file tells it.
#[derive(Clone, Debug, PartialEq)]
pub struct StudentDay {
    /// The day.
    pub day: Day,
    /// Passes played.
    pub passes: u32,
    /// Passes judged.
    pub judged: u32,
    /// Clean ones among them.
    pub clean: u32,
    /// The fastest tempo held, in quarter notes a minute.
    pub held: Option<f64>,
}

/// One student's flip with all its days.
#[derive(Clone, Debug, PartialEq)]
pub struct StudentFlip {
    /// What the student has typed as her name.
    pub student: String,
    /// The piece's title.
    pub piece: String,
    /// What the flip is called.
    pub flip: String,
    /// Its days, in order.
    pub days: Vec<StudentDay>,
}

impl Diary {
    /// Takes in a student's results; days that are there already are replaced.
    ///
    /// # Errors
    /// The diary can't be written.
    pub fn take_in(&mut self, flips: &[StudentFlip]) -> Result<(), DiaryError> {
        let path = self.path.clone();
        let write = |transaction: rusqlite::Transaction<'_>| {
            let sql = "INSERT OR REPLACE INTO student_day VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)";
            for flip in flips {
                for day in &flip.days {
                    let held = day.held.map(|tempo| (tempo * 1000.0).round() as i64);
                    transaction.prepare_cached(sql)?.execute(params![
                        flip.student,
                        flip.piece,
                        flip.flip,
                        day.day.get(),
                        day.passes,
                        day.judged,
                        day.clean,
                        held
                    ])?;
                }
            }
            transaction.commit()
        };
        self.connection.transaction().and_then(write).map_err(|error| DiaryError::of(&path, &error))
    }

    /// Every student's flips, by piece, flip and student.
    ///
    /// # Errors
    /// The diary can't be read.
    pub fn students(&self) -> Result<Vec<StudentFlip>, DiaryError> {
        let sql = "SELECT student, piece, flip, day, passes, judged, clean, held FROM student_day
                   ORDER BY piece, flip, student, day";
        let read = |row: &Row<'_>| {
            let held: Option<i64> = row.get(7)?;
            let day = StudentDay {
                day: Day::new(row.get(3)?),
                passes: row.get(4)?,
                judged: row.get(5)?,
                clean: row.get(6)?,
                held: held.map(|tempo| tempo as f64 / 1000.0),
            };
            Ok(StudentFlip { student: row.get(0)?, piece: row.get(1)?, flip: row.get(2)?, days: vec![day] })
        };
        let mut flips: Vec<StudentFlip> = Vec::new();
        for flip in self.rows(sql, &[], read)? {
            let same = |last: &StudentFlip| {
                (&last.student, &last.piece, &last.flip) == (&flip.student, &flip.piece, &flip.flip)
            };
            match flips.last_mut() {
                Some(last) if same(last) => last.days.extend(flip.days),
                _ => flips.push(flip),
            }
        }
        Ok(flips)
    }
}
