//! How long it takes from a file's bytes to a plan: the demo (wanted: under 5 ms) and a long two-hand score of 1,000 bars
//! (wanted: under 100 ms).
#![allow(clippy::expect_used, reason = "a benchmark without its files has nothing to measure")]

use divan::{Bencher, black_box};
use leverlane_formats::{Limits, import};
use leverlane_tests::large_score::large_score;
use leverlane_tests::read_and_plan::{plan_imported, read_and_plan};

fn main() {
    divan::main();
}

fn demo() -> Vec<u8> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../demo/greensleeves.musicxml");
    std::fs::read(path).expect("the demo piece stands in demo/")
}

#[divan::bench]
fn demo_read_and_plan(bencher: Bencher<'_, '_>) {
    let bytes = demo();
    bencher.bench(|| read_and_plan(black_box(&bytes)));
}

#[divan::bench(sample_count = 20)]
fn bars_1000_read_and_plan(bencher: Bencher<'_, '_>) {
    let bytes = large_score(1_000).into_bytes();
    bencher.bench(|| read_and_plan(black_box(&bytes)));
}

#[divan::bench(sample_count = 20)]
fn bars_1000_read(bencher: Bencher<'_, '_>) {
    let bytes = large_score(1_000).into_bytes();
    bencher.bench(|| import(black_box(&bytes), &Limits::USUAL));
}

#[divan::bench(sample_count = 20)]
fn bars_1000_plan(bencher: Bencher<'_, '_>) {
    let imported = import(large_score(1_000).as_bytes(), &Limits::USUAL).expect("the score was made to be read");
    bencher.bench(|| plan_imported(black_box(&imported)));
}
