//! The table of hearing: what is heard of recordings with known truth, beside what it is meant to reach.
//!
//! Every fourth recording was never listened to while hearing was made. With `LEVERLANE_PYTHON` (mir_eval, librosa) and
//! the program aubioonset, their onset detectors are measured on those too, by mir_eval's rules, and ours by the same.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout, reason = "a measurement speaks and stops")]

mod clicks;
mod figures;
mod learn;
mod long;
mod onsets;
mod passes;
mod strings;

use std::collections::BTreeSet;
use std::fs::File;
use std::io::BufWriter;

use leverlane_tests::harp_recordings::{Bank, Kind, Passage};

/// So many passages of each kind.
const OF_EACH_KIND: u64 = 100;

fn main() {
    let wanted = std::env::args().nth(1).filter(|argument| !argument.starts_with("--")).unwrap_or_default();
    let of_each = std::env::var("LEVERLANE_PASSAGES").ok().and_then(|n| n.parse().ok()).unwrap_or(OF_EACH_KIND);
    if let Some(file) = wanted.strip_prefix("learn-plucks=") {
        return learn::write_plucks(of_each, &mut BufWriter::new(File::create(file).unwrap()));
    }
    if let Some(file) = wanted.strip_prefix("learn-levers=") {
        return learn::write_levers(of_each, &mut BufWriter::new(File::create(file).unwrap()));
    }
    if let Some(file) = wanted.strip_prefix("learn-frames=") {
        return learn::write_frames(of_each, &mut BufWriter::new(File::create(file).unwrap()));
    }
    let passages: Vec<(u64, Passage)> =
        Kind::ALL.into_iter().flat_map(|kind| (0..of_each).map(move |seed| (seed, Passage::new(kind, seed)))).collect();
    let drills: Vec<passes::Drill> = (0..10 * of_each).map(passes::Drill::new).collect();
    let mut kinds: BTreeSet<_> = passages.iter().flat_map(|(_, passage)| passage.kinds()).collect();
    kinds.extend(drills.iter().flat_map(passes::Drill::kinds));
    kinds.extend(passes::checked(&drills));
    kinds.extend(strings::kinds());
    let clicked: Vec<clicks::Clicked> = (0..of_each).map(clicks::Clicked::new).collect();
    kinds.extend(clicked.iter().flat_map(clicks::Clicked::kinds));
    let bank = match Bank::render(&kinds) {
        Ok(bank) => bank,
        Err(reason) => return println!("nothing to listen to: {reason}"),
    };
    let mut table = figures::Table::default();
    let all = wanted.is_empty();
    if all || wanted == "onsets" {
        onsets::measure(&passages, &bank, &mut table);
    }
    if all || wanted == "strings" {
        strings::measure(&bank, &mut table);
    }
    if all || wanted == "passes" {
        passes::measure(&drills, &bank, &mut table);
    }
    if all || wanted == "clicks" {
        clicks::measure(&clicked, &bank, &mut table);
    }
    if all || wanted == "long" {
        long::measure(&passages, &drills, &bank, &mut table);
    }
    table.print();
}
