//! How the time from bytes to plan grows with the length of a score, from 100 to 10,000 bars: with a growth of bars to
//! the power of 1 twice the bars take twice the time.
#![allow(clippy::expect_used, reason = "a benchmark without its files has nothing to measure")]
#![allow(clippy::print_stdout, reason = "the table is what this is for")]

use std::hint::black_box;
use std::time::Instant;

use leverlane_formats::{Limits, import};
use leverlane_tests::large_score::large_score;
use leverlane_tests::read_and_plan::plan_imported;

/// Lengths in bars, and how often each is measured; the quickest time counts.
const STEPS: [(usize, u32); 5] = [(100, 10), (300, 10), (1_000, 5), (3_000, 3), (10_000, 2)];

fn main() {
    // The test harness and `cargo bench -- FILTER` pass arguments; there is nothing to choose here.
    println!("{:>8}{:>10}{:>12}{:>12}{:>14}", "bars", "notes", "read ms", "plan ms", "together ms");
    let (mut reading, mut planning, mut together) = (Vec::new(), Vec::new(), Vec::new());
    for (bars, times) in STEPS {
        let bytes = large_score(bars).into_bytes();
        let imported = import(&bytes, &Limits::USUAL).expect("the score was made to be read");
        let read = quickest(times, || import(&bytes, &Limits::USUAL));
        let plan = quickest(times, || plan_imported(&imported));
        println!(
            "{bars:>8}{:>10}{:>12.2}{:>12.2}{:>14.2}",
            imported.score.notes().count(),
            read * 1e3,
            plan * 1e3,
            (read + plan) * 1e3
        );
        let bars = bars as f64;
        reading.push((bars, read));
        planning.push((bars, plan));
        together.push((bars, read + plan));
    }
    println!(
        "grows with the bars to the power of: reading {:.2}, planning {:.2}, together {:.2}",
        exponent(&reading),
        exponent(&planning),
        exponent(&together)
    );
}

/// The quickest of so many runs, in seconds: what disturbs a run only ever makes it longer.
fn quickest<T>(times: u32, mut run: impl FnMut() -> T) -> f64 {
    (0..times)
        .map(|_| {
            let from = Instant::now();
            black_box(run());
            from.elapsed().as_secs_f64()
        })
        .fold(f64::INFINITY, f64::min)
}

/// The slope of the straight line through the points with both axes logarithmic, by least squares.
fn exponent(points: &[(f64, f64)]) -> f64 {
    let count = points.len() as f64;
    let logarithms: Vec<(f64, f64)> = points.iter().map(|(x, y)| (x.ln(), y.ln())).collect();
    let (mean_x, mean_y) =
        logarithms.iter().fold((0.0, 0.0), |(x, y), point| (x + point.0 / count, y + point.1 / count));
    let (across, along) = logarithms.iter().fold((0.0, 0.0), |(across, along), (x, y)| {
        (across + (x - mean_x) * (y - mean_y), along + (x - mean_x).powi(2))
    });
    across / along
}
