//! Whole ladders, played by students who get better, wait, or can't.

use leverlane_core::drill::{ChunkSize, CueLevel, Cueing, LadderPlan, Layer, Move, Offer, Practice, RungStep, Scheme};
use leverlane_core::plan::PaceLevel;
use leverlane_core::time::Tempo;
use leverlane_core::verdict::{Mend, Thresholds, judge};

use crate::piece::Piece;
use crate::student::{Fault, Student};

fn tempo(beats: f64) -> Tempo {
    Tempo::quarters(beats).unwrap()
}

/// From 50 to 80 in steps of 5: seven rungs.
fn practice() -> Practice {
    let plan = LadderPlan::new(tempo(50.0), tempo(80.0), tempo(80.0), RungStep::Beats(5.0), 3, Scheme::Climb).unwrap();
    Practice::new(plan, Layer::Both, ChunkSize::BarEachSide, Cueing::default())
}

/// Plays until the ladder ends, or so many passes; what was to be mended comes with every pass.
fn play(
    practice: &mut Practice,
    passes: usize,
    mut fault: impl FnMut(usize, &Practice, &mut Student) -> Fault,
) -> Vec<Option<Mend>> {
    let (piece, limits) = (Piece::demo(), Thresholds::of_level(PaceLevel::Improver));
    let mut student = Student::seeded(7);
    let mut mends = Vec::new();
    for number in 0..passes {
        let pass = piece.pass(0, practice.size(), practice.layer(), practice.ladder.tempo());
        let fault = fault(number, practice, &mut student);
        let (evidence, _) = student.play(&pass, fault, &limits);
        let verdict = judge(&pass, &evidence, &limits);
        mends.push(verdict.mend);
        if matches!(practice.pass_over(verdict.steady.into()), Move::Reached | Move::Stops) {
            break;
        }
    }
    mends
}

/// Arithmetic: seven rungs of three clean passes.
#[test]
fn a_steady_student_climbs_to_the_goal() {
    let mut practice = practice();
    let mends = play(&mut practice, 60, |_, _, _| Fault::None);
    assert_eq!(practice.ladder.ended(), Some(Move::Reached));
    assert_eq!(practice.ladder.tempo(), tempo(80.0));
    assert!(mends.len() <= 24, "21 clean passes, and room for a slip: {}", mends.len());
    assert_eq!(practice.cueing.level(), CueLevel::CountInOnly, "by then the cues have faded");
}

#[test]
fn a_hesitant_student_is_held_back_and_told_why() {
    let mut practice = practice();
    let mends = play(&mut practice, 30, |_, _, student| match student.random.below(10) {
        0..6 => Fault::Hesitates,
        _ => Fault::None,
    });
    let told = mends.iter().filter(|mend| matches!(mend, Some(Mend::Hesitation { .. }))).count();
    assert!(told * 2 >= mends.len(), "told {told} times in {}", mends.len());
    assert_ne!(practice.ladder.ended(), Some(Move::Reached));
    assert!(practice.ladder.rung() <= 1, "rung {}", practice.ladder.rung());
    assert!(practice.cueing.level() <= CueLevel::ToneOnly, "the cues have come back");
}

/// She can do it up to 60 and never above.
#[test]
fn a_student_at_her_limit_is_stopped_and_offered_something_easier() {
    let mut practice = practice();
    let limit = |practice: &Practice| practice.ladder.tempo().per_minute() > 61.0;
    play(&mut practice, 100, |_, practice, _| if limit(practice) { Fault::Forgets } else { Fault::None });
    assert_eq!(practice.ladder.ended(), Some(Move::Stops));
    assert_eq!(practice.ladder.tempo(), tempo(65.0));
    let offers = practice.offers();
    assert_eq!(offers[0], Offer::SmallerChunk(ChunkSize::FlipBar));
    assert_eq!(offers[1], Offer::EasierLayer(Layer::OtherHandByFeel));
    practice.take(offers[0]);
    play(&mut practice, 60, |_, _, _| Fault::None);
    assert_eq!(practice.ladder.ended(), Some(Move::Reached), "with less music around the flip it goes on to the goal");
}

/// At first nine passes in ten go wrong, after sixty none.
#[test]
fn practice_makes_better() {
    let mut practice = practice();
    let mut played = 0;
    for _ in 0..8 {
        let before = played;
        played += play(&mut practice, 120, |number, _, student| {
            let wrong = (0.9 - (before + number) as f64 / 60.0).max(0.0);
            if student.random.share() < wrong { Fault::Forgets } else { Fault::None }
        })
        .len();
        match practice.offers().first() {
            Some(&offer @ (Offer::SmallerChunk(_) | Offer::EasierLayer(_))) => practice.take(offer),
            _ => break,
        }
    }
    assert_eq!(practice.ladder.ended(), Some(Move::Reached), "after {played} passes");
    assert!(played > 21, "not at once: {played}");
}
