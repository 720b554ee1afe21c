//! Diaries in a folder of their own.

use std::fs;
use std::path::PathBuf;

use leverlane_core::drill::{ChunkSize, CueLevel, Day, GoalHeld, Layer, Standing};
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::time::Tempo;
use leverlane_core::verdict::{FlipOutcome, Steadiness};
use tempfile::TempDir;

use super::*;

struct Place {
    _folder: TempDir,
    path: PathBuf,
}

fn place() -> Place {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("diary.sqlite");
    Place { _folder: folder, path }
}

fn flip_name(bar: u32) -> FlipName {
    FlipName {
        played_bar: bar,
        at_ticks: i64::from(bar) * 443_520,
        string: StringNumber::new(13).unwrap(),
        to: LeverState::Up,
        words: format!("bar {bar}, beat 4: C5 up"),
    }
}

fn piece_name(title: &str) -> PieceName {
    PieceName { title: title.to_owned(), digest: format!("digest of {title}") }
}

fn pass(day: i32, tempo: f64, steady: Steadiness) -> PassRecord {
    PassRecord {
        at: i64::from(day) * 86_400 + 3_600,
        day: Day::new(day),
        lasted_ms: 9_000,
        tempo: Tempo::quarters(tempo).unwrap(),
        goal: Tempo::quarters(80.0).unwrap(),
        clean_to_hold: 3,
        layer: Layer::Both,
        size: ChunkSize::BarEachSide,
        cues: CueLevel::Everything,
        steady,
        outcome: FlipOutcome::Clean,
        notes: [20, 0, 0],
        bias_us: Some(-18_000),
        spread_us: Some(20_000),
        hesitation_us: Some(50_000),
        hesitation_of_beat: Some(66),
    }
}

fn with_flip(diary: &mut Diary) -> (SessionId, FlipId) {
    let piece = diary.piece(&piece_name("Greensleeves")).unwrap();
    (diary.session(0).unwrap(), diary.flip(piece, &flip_name(12)).unwrap())
}

#[test]
fn pieces_and_flips_are_entered_once() {
    let place = place();
    let mut diary = Diary::open(&place.path).unwrap();
    let piece = diary.piece(&piece_name("Greensleeves")).unwrap();
    assert_eq!(diary.piece(&piece_name("Greensleeves")).unwrap(), piece);
    assert_ne!(diary.piece(&piece_name("Another")).unwrap(), piece);
    let flip = diary.flip(piece, &flip_name(12)).unwrap();
    assert_eq!(diary.flip(piece, &flip_name(12)).unwrap(), flip);
    drop(diary);
    let mut again = Diary::open(&place.path).unwrap();
    assert_eq!(again.piece(&piece_name("Greensleeves")).unwrap(), piece);
    let flips = again.piece_flips(piece).unwrap();
    assert_eq!((flips.len(), flips[0].standing, flips[0].due), (1, Standing::NotBegun, None));
}

/// Three clean passes at 60, two at 70 with a miss between: 60 is held, 70 is not (arithmetic: three in a row count).
#[test]
fn a_day_adds_up() {
    let place = place();
    let mut diary = Diary::open(&place.path).unwrap();
    let (session, flip) = with_flip(&mut diary);
    let (clean, not_yet, unheard) = (Steadiness::Steady, Steadiness::NotYet, Steadiness::Unheard);
    for (tempo, steady) in [
        (60.0, not_yet),
        (60.0, clean),
        (60.0, clean),
        (60.0, unheard),
        (60.0, clean),
        (70.0, clean),
        (70.0, not_yet),
        (70.0, clean),
    ] {
        diary.write(session, flip, &pass(100, tempo, steady)).unwrap();
    }
    let mut hurried = pass(100, 50.0, not_yet);
    (hurried.spread_us, hurried.hesitation_of_beat) = (Some(47_000), Some(-624));
    diary.write(session, flip, &hurried).unwrap();
    let days = diary.flip_days(flip).unwrap();
    let [day] = days[..] else { panic!("one day: {days:?}") };
    assert_eq!((day.passes, day.judged, day.clean), (9, 8, 5));
    assert_eq!((day.held_both, day.held_part), (Some(60.0), None));
    assert_eq!((day.practice.first_judged, day.practice.first_clean), (3, 2));
    // (8 · 20 + 47) / 9 = 23 ms; (8 · 66 − 624) / 9 = −10.67 thousandths.
    assert!((day.spread.unwrap().get() - 0.023).abs() < 1e-9);
    assert!((day.hesitation_of_beat.unwrap() + 0.010_666_7).abs() < 1e-6);
    let held = diary.held_flips("digest of Greensleeves").unwrap();
    let [held] = held[..] else { panic!("one flip: {held:?}") };
    assert_eq!((held.held, held.goal_held, held.string.get()), (60.0, GoalHeld::NotYet, 13));
    assert!(diary.held_flips("another piece").unwrap().is_empty());
    let week = diary.days_until(Day::new(102), 7).unwrap();
    assert_eq!(week.len(), 7);
    assert_eq!((week[4].passes, week[4].clean, week[4].practised.get()), (9, 5, 81.0));
    assert_eq!(week[5].passes, 0);
}

#[test]
fn due_and_standing_come_from_the_days() {
    let place = place();
    let mut diary = Diary::open(&place.path).unwrap();
    let (session, flip) = with_flip(&mut diary);
    for day in [100, 101] {
        for _ in 0..3 {
            diary.write(session, flip, &pass(day, 80.0, Steadiness::Steady)).unwrap();
        }
    }
    let flips = diary.all_flips().unwrap();
    assert_eq!((flips[0].standing, flips[0].due), (Standing::Ready, Some(Day::new(103))), "kept twice: two days");
    assert!(diary.due_list(Day::new(102)).unwrap().is_empty());
    let due = diary.due_list(Day::new(110)).unwrap();
    assert_eq!((due.len(), due[0].since, due[0].flip.words.as_str()), (1, Day::new(103), "bar 12, beat 4: C5 up"));
}

#[test]
fn a_later_version_is_refused_and_stays_as_it_is() {
    let place = place();
    drop(Diary::open(&place.path).unwrap());
    let connection = rusqlite::Connection::open(&place.path).unwrap();
    connection.execute_batch("PRAGMA user_version = 9").unwrap();
    drop(connection);
    let error = Diary::open(&place.path).err().unwrap();
    assert_eq!(error.trouble, Trouble::TooNew { found: 9, known: 1 });
    assert_eq!(error.to_string().lines().count(), 1);
}

#[test]
fn an_older_version_is_copied_before_it_is_changed() {
    let place = place();
    let (session, flip) = with_flip(&mut Diary::open(&place.path).unwrap());
    Diary::open(&place.path).unwrap().write(session, flip, &pass(1, 60.0, Steadiness::Steady)).unwrap();
    let later = [crate::schema::STEPS[0], "CREATE TABLE wish (id INTEGER PRIMARY KEY) STRICT"];
    let diary = Diary::open_with(&place.path, &later).unwrap();
    assert_eq!(crate::schema::version(&diary.connection).unwrap(), 2);
    assert_eq!(diary.flip_days(flip).unwrap().len(), 1, "nothing is lost");
    let copy = place.path.with_file_name("diary.sqlite.version-1");
    assert_eq!(Diary::open(&copy).unwrap().flip_days(flip).unwrap().len(), 1);
    let broken = [later[0], later[1], "CREATE TABLE other (id INTEGER PRIMARY KEY) STRICT; NONSENSE"];
    assert!(Diary::open_with(&place.path, &broken).is_err());
    let diary = Diary::open_with(&place.path, &later).unwrap();
    let half = diary
        .connection
        .query_row("SELECT count(*) FROM sqlite_schema WHERE name = 'other'", [], |row| row.get::<_, i64>(0));
    assert_eq!(half.unwrap(), 0, "a step is whole or not at all");
}

#[test]
fn a_damaged_file_is_set_aside() {
    let place = place();
    let (session, flip) = with_flip(&mut Diary::open(&place.path).unwrap());
    let mut diary = Diary::open(&place.path).unwrap();
    for day in 0..400 {
        diary.write(session, flip, &pass(day, 60.0, Steadiness::Steady)).unwrap();
    }
    drop(diary);
    let mut bytes = fs::read(&place.path).unwrap();
    let from = bytes.len() / 3;
    for byte in &mut bytes[from..] {
        *byte ^= 0x5A;
    }
    fs::write(&place.path, &bytes).unwrap();
    assert!(matches!(Diary::open(&place.path).err().unwrap().trouble, Trouble::Damaged(_)));
    let (diary, aside) = Diary::open_or_set_aside(&place.path).unwrap();
    assert_eq!(fs::read(aside.unwrap()).unwrap(), bytes, "what can still be saved is kept");
    assert!(diary.all_flips().unwrap().is_empty());
    fs::write(place.path.with_file_name("text"), "not a diary at all, but long enough to be looked at ".repeat(99))
        .unwrap();
    let text = Diary::open(&place.path.with_file_name("text")).err().unwrap();
    assert!(matches!(text.trouble, Trouble::Damaged(_)));
}

#[test]
fn everything_comes_out_and_everything_goes() {
    let place = place();
    let mut diary = Diary::open(&place.path).unwrap();
    let (session, flip) = with_flip(&mut diary);
    diary.write(session, flip, &pass(100, 60.0, Steadiness::Steady)).unwrap();
    let mut out = Vec::new();
    diary.export(&mut out).unwrap();
    let lines: Vec<serde_json::Value> =
        String::from_utf8(out).unwrap().lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let tables: Vec<_> = lines.iter().map(|line| line["table"].as_str().unwrap()).collect();
    assert_eq!(tables, ["piece", "flip", "session", "pass", "flip_day", "day"]);
    assert_eq!(lines[3]["tempo"], 60_000, "60 quarters a minute in thousandths");
    assert_eq!(lines[0]["title"], "Greensleeves");
    diary.delete_everything().unwrap();
    let mut out = Vec::new();
    diary.export(&mut out).unwrap();
    assert!(out.is_empty());
    drop(diary);
    let bytes = fs::read(&place.path).unwrap();
    assert!(!bytes.windows(12).any(|window| window == b"Greensleeves"), "nothing of it is left in the file");
}

/// SQLite's own limit of pages stands in for a disk without room.
#[test]
fn a_full_disk_is_told_and_practice_goes_on() {
    let place = place();
    let mut diary = Diary::open(&place.path).unwrap();
    let (_, flip) = with_flip(&mut diary);
    let pages: i64 = diary.connection.query_row("PRAGMA page_count", [], |row| row.get(0)).unwrap();
    let mut journal = Journal::new(diary);
    let limit = |journal: &mut Journal, pages: i64| {
        let set = format!("PRAGMA max_page_count = {pages}");
        journal.diary().connection.query_row(&set, [], |row| row.get::<_, i64>(0)).unwrap();
    };
    limit(&mut journal, pages);
    let mut told = None;
    for day in 0..500 {
        if let Err(error) = journal.write(flip, pass(day, 60.0, Steadiness::Steady)) {
            told = Some(error.trouble);
        }
    }
    assert_eq!(told, Some(Trouble::DiskFull));
    assert!(journal.waiting() > 0);
    limit(&mut journal, 100_000);
    journal.try_again().unwrap();
    assert_eq!((journal.waiting(), journal.given_up()), (0, 0));
    assert_eq!(journal.diary().flip_days(flip).unwrap().len(), 500, "not one is lost");
}

#[test]
fn a_diary_that_may_not_be_written_is_told() {
    let place = place();
    let (session, flip) = with_flip(&mut Diary::open(&place.path).unwrap());
    let mut diary = Diary::open(&place.path).unwrap();
    diary.connection.execute_batch("PRAGMA query_only = ON").unwrap();
    let error = diary.write(session, flip, &pass(1, 60.0, Steadiness::Steady)).unwrap_err();
    assert_eq!(error.trouble, Trouble::ReadOnly);
    assert_eq!(error.to_string().lines().count(), 1);
    // A file where a folder would have to be.
    let nowhere = place.path.join("diary.sqlite");
    assert!(matches!(Diary::open(&nowhere).err().unwrap().trouble, Trouble::Unopened(_)));
}

#[test]
fn students_stand_beside_each_other() {
    let place = place();
    let mut diary = Diary::open(&place.path).unwrap();
    let day = |day, held| StudentDay { day: Day::new(day), passes: 9, judged: 8, clean: 6, held };
    let flip = |student: &str, days| StudentFlip {
        student: student.to_owned(),
        piece: "Greensleeves".to_owned(),
        flip: "bar 12, beat 4: C5 up".to_owned(),
        days,
    };
    diary
        .take_in(&[flip("Zoe", vec![day(3, Some(72.5))]), flip("Ann", vec![day(1, None), day(2, Some(60.0))])])
        .unwrap();
    diary.take_in(&[flip("Ann", vec![day(2, Some(66.0))])]).unwrap();
    let students = diary.students().unwrap();
    assert_eq!(students.iter().map(|flip| flip.student.as_str()).collect::<Vec<_>>(), ["Ann", "Zoe"]);
    assert_eq!(students[0].days, [day(1, None), day(2, Some(66.0))]);
}
