//! A program that is killed while it writes passes loses at most the one that was being written.
//!
//! The test runs its own program again as a child that writes without end and tells each pass that it has written; the
//! child is killed (SIGKILL on Unix) after so many. How often: 12 times in the ordinary run, 200 with
//! `LEVERLANE_KILLS=200` (`cargo xtask bench diary`).

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

use leverlane_core::drill::Day;
use leverlane_core::verdict::Steadiness;
use leverlane_diary::Diary;
use leverlane_tests::diary_passes::{entered, pass};
use tempfile::TempDir;

const CHILD: &str = "LEVERLANE_DIARY_CHILD";

/// The child: not a test of its own.
#[test]
fn writes_until_it_is_killed() {
    let Ok(path) = std::env::var(CHILD) else { return };
    let mut diary = Diary::open(Path::new(&path)).unwrap();
    let (session, flip) = entered(&mut diary);
    for number in 0.. {
        diary.write(session, flip, &pass(Day::new(number / 50), 60.0, Steadiness::Steady)).unwrap();
        println!("written {number}");
    }
}

#[test]
fn killed_in_the_middle_of_writing() {
    if std::env::var_os(CHILD).is_some() {
        return;
    }
    let kills: u32 = std::env::var("LEVERLANE_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(12);
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("diary.sqlite");
    let (mut told, mut lost) = (0u32, 0u32);
    for kill in 0..kills {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "killed::writes_until_it_is_killed", "--nocapture"])
            .env(CHILD, &path)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        // Between one and some forty passes later; the number is spread by a multiplier without a common pattern.
        let mut wanted = 1 + kill.wrapping_mul(2_654_435_761) % 40;
        let mut busy = 0u32;
        while wanted > 0 {
            let line = lines.next().expect("the child writes on").unwrap();
            if line.contains("written") {
                told += 1;
                wanted -= 1;
            }
        }
        // A little into the next one: how far, only chance knows.
        while busy < kill.wrapping_mul(7_919) % 20_000 {
            busy = std::hint::black_box(busy + 1);
        }
        child.kill().unwrap();
        child.wait().unwrap();
        // What it told before it died but was not read yet.
        told += u32::try_from(lines.map_while(Result::ok).filter(|line| line.contains("written")).count()).unwrap();
        Diary::check_everything(&path).unwrap();
        let diary = Diary::open(&path).unwrap();
        let written: u32 = passes_of(&diary);
        // One more than told is possible: written, and killed before it could be told.
        assert!(written + lost >= told && written <= told + kill + 1, "told {told}, written {written} after {kill}");
        lost += told.saturating_sub(written + lost);
        assert_eq!(sums_of(&diary), written, "the sums agree with the passes");
    }
    assert_eq!(lost, 0, "what was told as written is there");
    println!("{kills} kills, {told} passes told, none lost");
}

fn passes_of(diary: &Diary) -> u32 {
    let mut out = Vec::new();
    diary.export(&mut out).unwrap();
    let lines = String::from_utf8(out).unwrap();
    u32::try_from(lines.lines().filter(|line| line.contains(r#""table":"pass""#)).count()).unwrap()
}

fn sums_of(diary: &Diary) -> u32 {
    let flips = diary.all_flips().unwrap();
    flips.iter().flat_map(|flip| diary.flip_days(flip.flip.id).unwrap()).map(|day| day.passes).sum()
}
