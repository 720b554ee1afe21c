//! The tables, and how an older diary becomes one of today.

use rusqlite::Connection;

/// Each step takes a diary from its own place in the list to the next version; steps are added, never changed.
pub(crate) const STEPS: [&str; 1] = [FIRST];

/// The first version.
///
/// `pass` has every pass. `flip_day` and `day` hold their sums, moved with each pass; `first_*` are of the day's first
/// three judged passes, `run_*` of the clean passes in a row that are still going on. Tempos are thousandths of a quarter
/// note a minute, times microseconds; codes of choices stand in `records::codes`.
const FIRST: &str = "
CREATE TABLE piece (
    id INTEGER PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    title TEXT NOT NULL
) STRICT;
CREATE TABLE flip (
    id INTEGER PRIMARY KEY,
    piece INTEGER NOT NULL REFERENCES piece(id) ON DELETE CASCADE,
    played_bar INTEGER NOT NULL,
    at_ticks INTEGER NOT NULL,
    string INTEGER NOT NULL,
    up INTEGER NOT NULL,
    words TEXT NOT NULL,
    UNIQUE (piece, at_ticks, string)
) STRICT;
CREATE TABLE session (
    id INTEGER PRIMARY KEY,
    began INTEGER NOT NULL,
    ended INTEGER NOT NULL
) STRICT;
CREATE TABLE pass (
    id INTEGER PRIMARY KEY,
    flip INTEGER NOT NULL REFERENCES flip(id) ON DELETE CASCADE,
    session INTEGER NOT NULL REFERENCES session(id) ON DELETE CASCADE,
    at INTEGER NOT NULL,
    day INTEGER NOT NULL,
    lasted_ms INTEGER NOT NULL,
    tempo INTEGER NOT NULL,
    goal INTEGER NOT NULL,
    layer INTEGER NOT NULL,
    size INTEGER NOT NULL,
    cues INTEGER NOT NULL,
    steady INTEGER NOT NULL,
    outcome INTEGER NOT NULL,
    notes INTEGER NOT NULL,
    missed INTEGER NOT NULL,
    extra INTEGER NOT NULL,
    bias_us INTEGER,
    spread_us INTEGER,
    hesitation_us INTEGER,
    hesitation_of_beat INTEGER
) STRICT;
CREATE TABLE flip_day (
    flip INTEGER NOT NULL REFERENCES flip(id) ON DELETE CASCADE,
    day INTEGER NOT NULL,
    passes INTEGER NOT NULL,
    judged INTEGER NOT NULL,
    clean INTEGER NOT NULL,
    first_judged INTEGER NOT NULL,
    first_clean INTEGER NOT NULL,
    run_tempo INTEGER NOT NULL,
    run_layer INTEGER NOT NULL,
    run_clean INTEGER NOT NULL,
    held_both INTEGER,
    held_part INTEGER,
    goal_held INTEGER NOT NULL,
    spread_sum INTEGER NOT NULL,
    spreads INTEGER NOT NULL,
    hesitation_sum INTEGER NOT NULL,
    hesitations INTEGER NOT NULL,
    PRIMARY KEY (flip, day)
) STRICT, WITHOUT ROWID;
CREATE TABLE day (
    day INTEGER PRIMARY KEY,
    passes INTEGER NOT NULL,
    judged INTEGER NOT NULL,
    clean INTEGER NOT NULL,
    lasted_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE student_day (
    student TEXT NOT NULL,
    piece TEXT NOT NULL,
    flip TEXT NOT NULL,
    day INTEGER NOT NULL,
    passes INTEGER NOT NULL,
    judged INTEGER NOT NULL,
    clean INTEGER NOT NULL,
    held INTEGER,
    PRIMARY KEY (student, piece, flip, day)
) STRICT, WITHOUT ROWID;
";

/// The version that a file has.
pub(crate) fn version(connection: &Connection) -> rusqlite::Result<u32> {
    connection.query_row("PRAGMA user_version", [], |row| row.get(0))
}

/// Takes a diary through the steps that it has not seen, each whole or not at all.
pub(crate) fn migrate(connection: &mut Connection, from: u32, steps: &[&str]) -> rusqlite::Result<()> {
    for (place, step) in (0u32..).zip(steps).skip(from as usize) {
        let transaction = connection.transaction()?;
        transaction.execute_batch(step)?;
        transaction.execute_batch(&format!("PRAGMA user_version = {}", place + 1))?;
        transaction.commit()?;
    }
    Ok(())
}
