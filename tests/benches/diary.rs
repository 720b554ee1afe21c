//! A million passes in the diary: how long it takes to open it, to draw each chart and to say what is due, and how
//! large it is.
#![allow(clippy::expect_used, reason = "a benchmark without its diary has nothing to measure")]
#![allow(clippy::print_stdout, reason = "the table is what this is for")]

use std::time::Instant;

use leverlane_core::drill::Day;
use leverlane_core::verdict::Steadiness;
use leverlane_diary::{Diary, FlipId};
use leverlane_tests::diary_passes::{flip_of, pass};

/// Forty pieces of ten flips, practised over ten years of 250 days with 400 passes each.
const PIECES: u32 = 40;
const FLIPS: u32 = 10;
const DAYS: i32 = 2_500;
const PASSES_A_DAY: i32 = 400;

fn main() {
    let folder = tempfile::TempDir::new().expect("a place for temporary files");
    let path = folder.path().join("diary.sqlite");
    let begun = Instant::now();
    let flips = fill(&path);
    println!("written in {:.0} s", begun.elapsed().as_secs_f64());
    let today = Day::new(20_000 + DAYS);
    let diary = measured("opening", || Diary::open(&path).expect("it was just made"));
    println!("{:.0} MB for {} passes", diary.size().expect("readable") as f64 / 1e6, DAYS * PASSES_A_DAY);
    measured("one flip by day", || diary.flip_days(flips[0]).expect("readable").len());
    let mut diary = diary;
    let piece =
        diary.piece(&leverlane_diary::PieceName { title: "piece 0".into(), digest: "digest of piece 0".into() });
    let piece = piece.expect("writable");
    measured("one piece's flips", || diary.piece_flips(piece).expect("readable").len());
    measured("all flips", || diary.all_flips().expect("readable").len());
    let due = measured("due list", || diary.due_list(today).expect("readable").len());
    measured("week", || diary.days_until(today, 7).expect("readable").len());
    let session = diary.session(0).expect("writable");
    let one = pass(today, 60.0, Steadiness::Steady);
    measured("writing a pass", || diary.write(session, flips[0], &one).expect("writable"));
    println!("{due} flips due");
    let begun = Instant::now();
    Diary::check_everything(&path).expect("sound");
    println!("{:<22}{:>9.1} ms (on its own thread)", "checking every page", begun.elapsed().as_secs_f64() * 1e3);
}

/// The slowest of three, the first with nothing of it in memory of ours.
fn measured<T>(what: &str, mut run: impl FnMut() -> T) -> T {
    let mut slowest: f64 = 0.0;
    for _ in 0..2 {
        let begun = Instant::now();
        std::hint::black_box(run());
        slowest = slowest.max(begun.elapsed().as_secs_f64());
    }
    let begun = Instant::now();
    let value = run();
    slowest = slowest.max(begun.elapsed().as_secs_f64());
    println!("{what:<22}{:>9.1} ms", slowest * 1e3);
    value
}

fn fill(path: &std::path::Path) -> Vec<FlipId> {
    let mut diary = Diary::open(path).expect("writable");
    let flips: Vec<FlipId> = (0..PIECES)
        .flat_map(|piece| (0..FLIPS).map(move |bar| (piece, bar)))
        .map(|(piece, bar)| flip_of(&mut diary, &format!("piece {piece}"), bar))
        .collect();
    let session = diary.session(0).expect("writable");
    for day in 0..DAYS {
        // Eight flips a day, fifty passes each; four of five are clean.
        let passes: Vec<_> = (0..PASSES_A_DAY)
            .map(|number| {
                let flip = flips[((day * 8 + number / 50) as usize) % flips.len()];
                let steady = if number % 5 == 4 { Steadiness::NotYet } else { Steadiness::Steady };
                (flip, pass(Day::new(20_000 + day), 60.0 + f64::from(number % 50 / 10 * 5), steady))
            })
            .collect();
        diary.write_all(session, &passes).expect("writable");
    }
    flips
}
