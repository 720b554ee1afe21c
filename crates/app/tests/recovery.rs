//! Kill -9 at any moment of editing; at the next start everything up to two seconds before is there.
//!
//! The test runs itself as a child process without a window: the child opens the demo, makes one decision after another
//! and has each kept as the window does, saying on its output which it has made. It is killed at a random moment.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::mpsc::channel;
use std::time::{Duration, Instant};

use leverlane_app::apply::apply;
use leverlane_app::effects::recovery::{Recovery, left_behind};
use leverlane_app::effects::{Effect, read_bytes};
use leverlane_app::intent::{FileIntent, HarpIntent, Intent, PlanIntent};
use leverlane_app::state::{Origin, State};
use leverlane_app::{demo, effects};
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::plan::Edit;

/// Names the child's folder; where it is set, this process is the child.
const CHILD: &str = "LEVERLANE_RECOVERY_TEST_FOLDER";

/// The decision of a number: from string to string round the harp, each lever up in one round and down in the next. How
/// many are made tells from the strings and their states.
fn decision(number: u32) -> Intent {
    let string = StringNumber::new(u8::try_from(number % 34 + 1).unwrap()).unwrap();
    let to = if (number / 34).is_multiple_of(2) { LeverState::Up } else { LeverState::Down };
    HarpIntent::SetBefore(string, Some(to)).into()
}

/// The decisions after so many of them.
fn decided(count: u32) -> Vec<Edit> {
    let mut state = opened();
    for number in 0..count {
        drop(apply(&mut state, decision(number)));
    }
    state.wishes.edits
}

fn opened() -> State {
    let mut state = State::default();
    let mut effects = apply(&mut state, FileIntent::Open(Origin::Demo).into());
    let Some(Effect::Read { job, origin }) = effects.pop() else { panic!("{effects:?}") };
    let result = read_bytes(origin, demo::PIECE).map(std::sync::Arc::new);
    drop(apply(&mut state, FileIntent::Opened { job, result }.into()));
    state
}

/// Edits until it is killed.
fn edit_for_ever(folder: &Path) {
    let recovery = Recovery::begin(folder, |reason| panic!("{reason}")).unwrap();
    let mut state = opened();
    let mut out = std::io::stdout().lock();
    for number in 0.. {
        for effect in apply(&mut state, decision(number)) {
            if let Effect::KeepForRecovery(piece) = effect {
                recovery.keep(*piece);
            }
        }
        writeln!(out, "made {}", number + 1).unwrap();
        out.flush().unwrap();
        // A player decides no faster.
        std::thread::sleep(Duration::from_millis(15));
    }
}

#[test]
fn child() {
    if let Some(folder) = std::env::var_os(CHILD) {
        edit_for_ever(Path::new(&folder));
    }
}

/// One child, killed after so long; how many decisions it had made two seconds before, and how many are found again.
fn killed_after(folder: &Path, lifetime: Duration) -> (u32, u32, Vec<Edit>) {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "child", "--nocapture"])
        .env(CHILD, folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let (sender, made) = channel();
    let reading = std::thread::spawn(move || {
        for line in lines.map_while(Result::ok) {
            if let Some(number) = line.strip_prefix("made ").and_then(|number| number.parse::<u32>().ok())
                && sender.send((Instant::now(), number)).is_err()
            {
                break;
            }
        }
    });
    let (began, first) = made.recv().unwrap();
    std::thread::sleep(lifetime);
    let killed = Instant::now();
    child.kill().unwrap();
    child.wait().unwrap();
    reading.join().unwrap();
    let all: Vec<(Instant, u32)> = [(began, first)].into_iter().chain(made.try_iter()).collect();
    let two_seconds_before = |(at, _): &&(Instant, u32)| *at + Duration::from_secs(2) <= killed;
    let surely = all.iter().rev().find(two_seconds_before).map_or(0, |(_, number)| *number);
    let last = all.last().map_or(0, |(_, number)| *number);
    let found = left_behind(folder).into_iter().next().map_or_else(Vec::new, |(_, piece)| piece.edits);
    (surely, last, found)
}

/// Splitmix64 (Steele, Lea & Flood 2014): random moments that are the same in every run.
fn random(seed: &mut u64) -> u64 {
    *seed = seed.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut z = *seed;
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

#[test]
fn fifty_kills_lose_nothing_older_than_two_seconds() {
    let mut seed = 5;
    let lifetimes: Vec<Duration> =
        (0..50).map(|_| Duration::from_micros(2_000_000 + random(&mut seed) % 1_000_000)).collect();
    let mut with_something_due = 0;
    // Ten at a time: they sleep most of the time.
    for group in lifetimes.chunks(10) {
        let running: Vec<_> = group
            .iter()
            .map(|&lifetime| {
                std::thread::spawn(move || {
                    let folder = tempfile::tempdir().unwrap();
                    killed_after(folder.path(), lifetime)
                })
            })
            .collect();
        for run in running {
            let (surely, last, found) = run.join().unwrap();
            let is_found = (surely..=last + 2).any(|count| decided(count) == found);
            assert!(is_found, "of {surely} decisions older than two seconds ({last} in all) {} are found", found.len());
            with_something_due += u32::from(surely > 0);
        }
    }
    assert!(with_something_due >= 45, "only {with_something_due} kills came after anything was due");
}

/// A run that ends well leaves nothing; what is taken up is discarded only after it is kept anew.
#[test]
fn a_good_end_leaves_nothing_behind() {
    let folder = tempfile::tempdir().unwrap();
    let mut state = opened();
    drop(apply(&mut state, decision(0)));
    let document = state.to_document().unwrap();
    let recovery = Recovery::begin(folder.path(), |reason| panic!("{reason}")).unwrap();
    recovery.keep(document.clone());
    assert!(left_behind(folder.path()).is_empty(), "this run still lives");
    drop(recovery);
    // It ended without forgetting, as if it had crashed.
    let left = left_behind(folder.path());
    assert_eq!(left.len(), 1);
    assert_eq!(left[0].1, document);

    let next = Recovery::begin(folder.path(), |reason| panic!("{reason}")).unwrap();
    next.keep(document);
    next.discard(left[0].0.clone());
    drop(next);
    let left = left_behind(folder.path());
    assert_eq!(left.len(), 1, "the piece is kept once");
    let last = Recovery::begin(folder.path(), |reason| panic!("{reason}")).unwrap();
    last.discard(left[0].0.clone());
    last.forget();
    drop(last);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0, "not even a lock is left");
}

/// Taking up what was left behind gives the decisions back, unsaved still.
#[test]
fn what_was_left_behind_is_taken_up() {
    let mut state = opened();
    drop(apply(&mut state, decision(0)));
    drop(apply(&mut state, PlanIntent::ChangeGoal(-4.0).into()));
    let bytes = state.to_document().unwrap().write().unwrap();
    let opened = effects::read_bytes(Origin::Dropped("left behind".to_owned()), &bytes).unwrap();
    let mut next = State::default();
    drop(apply(&mut next, FileIntent::Open(Origin::Demo).into()));
    let job = next.work.opening.unwrap();
    drop(apply(&mut next, FileIntent::Opened { job, result: Ok(std::sync::Arc::new(opened)) }.into()));
    assert_eq!(next.wishes, state.wishes);
    assert!(next.has_unsaved_changes(), "it is in no file of hers");
}
