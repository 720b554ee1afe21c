//! Writing down.

use leverlane_core::drill::{FIRST_PASSES, Layer};
use leverlane_core::harp::LeverState;
use leverlane_core::verdict::Steadiness;
use rusqlite::{OptionalExtension, Transaction, params};

use crate::error::DiaryError;
use crate::records::{FlipId, FlipName, PassRecord, PieceId, PieceName, SessionId, codes};
use crate::store::Diary;

impl Diary {
    /// The piece's place in the diary; a new one is entered, a new title replaces the old.
    ///
    /// # Errors
    /// The diary can't be written.
    pub fn piece(&mut self, piece: &PieceName) -> Result<PieceId, DiaryError> {
        let sql = "INSERT INTO piece (digest, title) VALUES (?1, ?2)
                   ON CONFLICT (digest) DO UPDATE SET title = excluded.title RETURNING id";
        let id = self.connection.query_row(sql, params![piece.digest, piece.title], |row| row.get(0));
        id.map(PieceId).map_err(|error| self.failed(&error))
    }

    /// The flip's place in the diary; a new one is entered.
    ///
    /// # Errors
    /// The diary can't be written.
    pub fn flip(&mut self, piece: PieceId, flip: &FlipName) -> Result<FlipId, DiaryError> {
        let sql = "INSERT INTO flip (piece, played_bar, at_ticks, string, up, words) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
                   ON CONFLICT (piece, at_ticks, string) DO UPDATE SET words = excluded.words, up = excluded.up
                   RETURNING id";
        let up = flip.to == LeverState::Up;
        let values = params![piece.0, flip.played_bar, flip.at_ticks, flip.string.get(), up, flip.words];
        let id = self.connection.query_row(sql, values, |row| row.get(0));
        id.map(FlipId).map_err(|error| self.failed(&error))
    }

    /// Begins a session, at seconds since 1970.
    ///
    /// # Errors
    /// The diary can't be written.
    pub fn session(&mut self, began: i64) -> Result<SessionId, DiaryError> {
        let sql = "INSERT INTO session (began, ended) VALUES (?1, ?1) RETURNING id";
        let id = self.connection.query_row(sql, [began], |row| row.get(0));
        id.map(SessionId).map_err(|error| self.failed(&error))
    }

    /// Writes a pass and all sums that it moves, whole or not at all.
    ///
    /// # Errors
    /// The diary can't be written; it is then as it was before.
    pub fn write(&mut self, session: SessionId, flip: FlipId, pass: &PassRecord) -> Result<(), DiaryError> {
        self.write_all(session, std::slice::from_ref(&(flip, pass.clone())))
    }

    /// Writes several passes, all or none.
    ///
    /// # Errors
    /// As [`Diary::write`].
    pub fn write_all(&mut self, session: SessionId, passes: &[(FlipId, PassRecord)]) -> Result<(), DiaryError> {
        let path = self.path.clone();
        let write = |transaction: Transaction<'_>| {
            for (flip, pass) in passes {
                write_pass(&transaction, session, *flip, pass)?;
                add_to_flip_day(&transaction, *flip, pass)?;
                add_to_day(&transaction, pass)?;
            }
            transaction.commit()
        };
        self.connection.transaction().and_then(write).map_err(|error| DiaryError::of(&path, &error))
    }
}

fn write_pass(
    transaction: &Transaction<'_>,
    session: SessionId,
    flip: FlipId,
    pass: &PassRecord,
) -> rusqlite::Result<()> {
    let sql = "INSERT INTO pass (flip, session, at, day, lasted_ms, tempo, goal, layer, size, cues, steady, outcome,
                                 notes, missed, extra, bias_us, spread_us, hesitation_us, hesitation_of_beat)
               VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19)";
    let [notes, missed, extra] = pass.notes;
    transaction.prepare_cached(sql)?.execute(params![
        flip.0,
        session.0,
        pass.at,
        pass.day.get(),
        pass.lasted_ms,
        codes::tempo(pass.tempo),
        codes::tempo(pass.goal),
        codes::layer(pass.layer),
        codes::size(pass.size),
        codes::cues(pass.cues),
        codes::steady(pass.steady),
        codes::outcome(pass.outcome),
        notes,
        missed,
        extra,
        pass.bias_us,
        pass.spread_us,
        pass.hesitation_us,
        pass.hesitation_of_beat,
    ])?;
    let sql = "UPDATE session SET ended = max(ended, ?2) WHERE id = ?1";
    transaction.prepare_cached(sql)?.execute(params![session.0, pass.at])?;
    Ok(())
}

/// A row of `flip_day`.
#[derive(Default)]
struct FlipDayRow {
    passes: i64,
    judged: i64,
    clean: i64,
    first_judged: i64,
    first_clean: i64,
    run_tempo: i64,
    run_layer: u8,
    run_clean: i64,
    held_both: Option<i64>,
    held_part: Option<i64>,
    goal_held: bool,
    spread_sum: i64,
    spreads: i64,
    hesitation_sum: i64,
    hesitations: i64,
}

impl FlipDayRow {
    fn add(&mut self, pass: &PassRecord) {
        self.passes += 1;
        if let Some(spread) = pass.spread_us {
            self.spread_sum += i64::from(spread);
            self.spreads += 1;
        }
        if let Some(hesitation) = pass.hesitation_of_beat {
            self.hesitation_sum += i64::from(hesitation);
            self.hesitations += 1;
        }
        let clean = match pass.steady {
            Steadiness::Unheard => return,
            Steadiness::Steady => 1,
            Steadiness::NotYet => 0,
        };
        self.judged += 1;
        self.clean += clean;
        if self.first_judged < i64::from(FIRST_PASSES) {
            self.first_judged += 1;
            self.first_clean += clean;
        }
        self.run(pass, clean);
    }

    /// A tempo is held once enough passes in a row were clean at it, in one layer.
    fn run(&mut self, pass: &PassRecord, clean: i64) {
        let (tempo, layer) = (codes::tempo(pass.tempo), codes::layer(pass.layer));
        let goes_on = (self.run_tempo, self.run_layer) == (tempo, layer);
        self.run_clean = if goes_on { (self.run_clean + 1) * clean } else { clean };
        (self.run_tempo, self.run_layer) = (tempo, layer);
        if self.run_clean < i64::from(pass.clean_to_hold.max(1)) {
            return;
        }
        let held = if pass.layer == Layer::Both { &mut self.held_both } else { &mut self.held_part };
        *held = (*held).max(Some(tempo));
        self.goal_held |= pass.layer == Layer::Both && tempo >= codes::tempo(pass.goal);
    }
}

fn add_to_flip_day(transaction: &Transaction<'_>, flip: FlipId, pass: &PassRecord) -> rusqlite::Result<()> {
    let sql = "SELECT passes, judged, clean, first_judged, first_clean, run_tempo, run_layer, run_clean, held_both,
                      held_part, goal_held, spread_sum, spreads, hesitation_sum, hesitations
               FROM flip_day WHERE flip = ?1 AND day = ?2";
    let read = |row: &rusqlite::Row<'_>| {
        Ok(FlipDayRow {
            passes: row.get(0)?,
            judged: row.get(1)?,
            clean: row.get(2)?,
            first_judged: row.get(3)?,
            first_clean: row.get(4)?,
            run_tempo: row.get(5)?,
            run_layer: row.get(6)?,
            run_clean: row.get(7)?,
            held_both: row.get(8)?,
            held_part: row.get(9)?,
            goal_held: row.get(10)?,
            spread_sum: row.get(11)?,
            spreads: row.get(12)?,
            hesitation_sum: row.get(13)?,
            hesitations: row.get(14)?,
        })
    };
    let day = pass.day.get();
    let mut row =
        transaction.prepare_cached(sql)?.query_row([flip.0, i64::from(day)], read).optional()?.unwrap_or_default();
    row.add(pass);
    let sql = "INSERT OR REPLACE INTO flip_day VALUES
               (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17)";
    transaction.prepare_cached(sql)?.execute(params![
        flip.0,
        day,
        row.passes,
        row.judged,
        row.clean,
        row.first_judged,
        row.first_clean,
        row.run_tempo,
        row.run_layer,
        row.run_clean,
        row.held_both,
        row.held_part,
        row.goal_held,
        row.spread_sum,
        row.spreads,
        row.hesitation_sum,
        row.hesitations,
    ])?;
    Ok(())
}

fn add_to_day(transaction: &Transaction<'_>, pass: &PassRecord) -> rusqlite::Result<()> {
    let sql = "INSERT INTO day VALUES (?1, 1, ?2, ?3, ?4) ON CONFLICT (day) DO UPDATE SET passes = passes + 1,
               judged = judged + excluded.judged, clean = clean + excluded.clean, lasted_ms = lasted_ms + excluded.lasted_ms";
    let (judged, clean) = (pass.steady != Steadiness::Unheard, pass.steady == Steadiness::Steady);
    transaction.prepare_cached(sql)?.execute(params![pass.day.get(), judged, clean, pass.lasted_ms])?;
    Ok(())
}
