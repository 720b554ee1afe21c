//! How long it takes from a file's bytes to a plan: the demo (wanted: under 5 ms) and a long two-hand score of 1,000 bars
//! (wanted: under 100 ms); to plan the demo anew once the player has moved a flip (wanted: under 16 ms, a picture of the
//! window); and to find the ways out of the problems of a piece of 200 bars (wanted: under 1 s).
#![allow(clippy::expect_used, reason = "a benchmark without its files has nothing to measure")]

use divan::{Bencher, black_box};
use leverlane_core::plan::{Edit, Reasons, plan, plan_with_ways_out};
use leverlane_core::time::Tempo;
use leverlane_formats::{Limits, import};
use leverlane_tests::large_score::large_score;
use leverlane_tests::read_and_plan::{Usual, plan_imported, read_and_plan};

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

/// The first flip is moved to the next best beat.
#[divan::bench]
fn demo_plan_after_an_edit(bencher: Bencher<'_, '_>) {
    let imported = import(&demo(), &Limits::USUAL).expect("the demo can be read");
    let usual = Usual::of(&imported);
    let request = usual.request(&[]);
    let free = plan(&request);
    let flip = free.gestures[0].flips[0].name(&usual.performance);
    let next = Reasons::of(&request, &free).why(0).and_then(|why| why.next_best);
    let next = next.expect("the first flip of the demo has more than one beat");
    let bar = &usual.performance.bars()[next.played_bar];
    let edits = [Edit::Place { flip, bar: bar.bar, at: next.at - bar.starts }, Edit::Hand { flip, hand: next.hand }];
    bencher.bench(|| plan(black_box(&usual.request(&edits))));
}

/// At 144 quarter notes a minute, twice the written tempo, many flips are rushed.
#[divan::bench(sample_count = 10)]
fn bars_200_ways_out(bencher: Bencher<'_, '_>) {
    let imported = import(large_score(200).as_bytes(), &Limits::USUAL).expect("the score was made to be read");
    let fast = Tempo::quarters(144.0).expect("a playable tempo");
    let usual = Usual::of(&imported).opening_at(fast).expect("the score keeps to one tempo");
    assert!(!plan(&usual.request(&[])).problems.is_empty(), "there is something to find a way out of");
    bencher.bench(|| plan_with_ways_out(black_box(&usual.request(&[]))));
}
