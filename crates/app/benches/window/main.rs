//! What the window costs: from the start to the first picture, at rest, while a loop plays and while a long score is scrolled, and in
//! memory. What an empty window of the same toolkit takes on the same screen stands beside it: most of that is the graphics
//! stack's, which on a screen in memory draws in software.
#![allow(clippy::expect_used, reason = "a benchmark without its files has nothing to measure")]
#![allow(clippy::print_stdout, reason = "the table is what this is for")]

#[path = "../../tests/window/bench.rs"]
#[allow(dead_code, clippy::panic, clippy::unwrap_used, reason = "it belongs to the tests of the window")]
mod bench;
mod empty_window;
mod frames;
mod process;
mod screen;

use std::path::PathBuf;

use leverlane_tests::large_score::large_score;

use process::{Opened, Running};
use screen::Screen;

/// The bars of the long score.
const BARS: usize = 400;

fn main() {
    if std::env::args().any(|argument| argument == empty_window::ASKED_FOR) {
        return empty_window::open();
    }
    let folder = tempfile::tempdir().expect("a folder for the long score");
    let long = folder.path().join("long.musicxml");
    std::fs::write(&long, large_score(BARS)).expect("the long score can be written");

    frames::playing().print("a frame while the demo's loop plays (wanted: under 4 ms)");
    frames::scrolling(&long).print(&format!("a frame while {BARS} bars are scrolled (wanted: never over 16 ms)"));

    if !cfg!(target_os = "linux") {
        println!("windows are measured on Linux only, through /proc");
        return;
    }
    let demo = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/greensleeves.musicxml"));
    let screen = Screen::start();
    println!("{:<24}{:>12}{:>14}{:>12}{:>12}", "window", "picture s", "processor s", "idle %", "memory MB");
    let empty = measure("empty", Running::empty(&screen), empty_window::TITLE);
    let shown = measure("the demo", Running::program(&screen, &demo), "Greensleeves");
    measure(&format!("{BARS} bars (memory: 250)"), Running::program(&screen, &long), "long");
    println!("first picture of the demo {:.2} s after an empty window's (wanted: within 1 s)", shown - empty);
}

/// Opens a window, leaves it alone, and prints a row. Gives the seconds until it was there.
fn measure(name: &str, running: Running, title: &str) -> f64 {
    let Opened { running, after, processor } = running.opened(title);
    let idle = running.idle();
    println!("{name:<24}{after:>12.2}{processor:>14.2}{:>12.2}{:>12.0}", idle * 100.0, running.memory());
    after
}
