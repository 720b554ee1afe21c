//! Two thousand passes whose truth is known.

use std::collections::BTreeMap;

use leverlane_core::drill::{ChunkSize, Layer};
use leverlane_core::plan::PaceLevel;
use leverlane_core::time::Tempo;
use leverlane_core::verdict::{Mend, Thresholds, judge};

use crate::piece::Piece;
use crate::student::{Fault, Student};

/// 98 of 100 are asked for; each fault is asked alone too, so that none hides behind the others.
const RIGHT: f64 = 0.98;

#[test]
fn verdicts_agree_with_the_truth() {
    let piece = Piece::demo();
    let mut right: BTreeMap<Fault, (usize, usize)> = BTreeMap::new();
    let mut wrong = Vec::new();
    for seed in 0..2_000_u64 {
        let mut student = Student::seeded(seed);
        let fault = Fault::ALL[student.random.below(Fault::ALL.len())];
        let gesture = student.random.below(piece.gestures());
        let size = [ChunkSize::BarEachSide, ChunkSize::TwoBarsEachSide][student.random.below(2)];
        let tempo = Tempo::quarters(student.random.between(40.0, 120.0).round()).unwrap();
        let level = PaceLevel::ALL[student.random.below(4)];
        let limits = Thresholds::of_level(level);
        let pass = piece.pass(gesture, size, Layer::Both, tempo);
        let (evidence, truth) = student.play(&pass, fault, &limits);
        let verdict = judge(&pass, &evidence, &limits);
        let flips: Vec<_> = verdict.flips.iter().map(|flip| flip.outcome).collect();
        let agrees = flips == truth.flips && verdict.steady == truth.steady && names(fault, verdict.mend);
        let (good, all) = right.entry(fault).or_default();
        *good += usize::from(agrees);
        *all += 1;
        if !agrees {
            wrong.push((seed, fault, tempo.per_minute(), level, verdict.steady, verdict.mend, flips, truth.flips));
        }
    }
    for example in wrong.iter().take(12) {
        println!("{example:?}");
    }
    println!("right by fault: {right:?}");
    let (good, all) = right.values().fold((0, 0), |sum, part| (sum.0 + part.0, sum.1 + part.1));
    println!("{good} of {all} right");
    assert!(good as f64 >= RIGHT * all as f64, "{good} of {all}");
}

/// Whether the one thing to mend is the fault that was committed.
fn names(fault: Fault, mend: Option<Mend>) -> bool {
    match (fault, mend) {
        (Fault::None, None | Some(Mend::FlipUnheard { .. })) => true,
        (Fault::Forgets, Some(Mend::FlipMissed { .. })) => true,
        (Fault::HalfWay, Some(Mend::FlipHalf { .. })) => true,
        (Fault::Late, Some(Mend::FlipLate { .. })) => true,
        (Fault::Hesitates, Some(Mend::Hesitation { hesitation, .. })) => hesitation.longer_by.get() > 0.0,
        (Fault::Hurries, Some(Mend::Hesitation { hesitation, .. })) => hesitation.longer_by.get() < 0.0,
        (Fault::LeavesOut, Some(Mend::NotesMissed { .. })) => true,
        (Fault::AddsNotes, Some(Mend::NotesExtra { .. })) => true,
        // A player who scatters that much may seem to wait or to lose notes as well.
        (Fault::Scatters, Some(Mend::Uneven { .. } | Mend::Hesitation { .. } | Mend::NotesMissed { .. })) => true,
        _ => false,
    }
}
