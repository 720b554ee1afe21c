//! The loop engraved in the Drill.

use leverlane_app::intent::PracticeIntent;
use leverlane_core::drill::Cue;
use leverlane_core::time::Ticks;
use leverlane_core::verdict::{Basis, FlipOutcome, FlipVerdict, Mend, NoteOutcome, NoteVerdict, Steadiness, Verdict};

use super::*;

fn drilling<'a>(theme: egui::Theme) -> Harness<'a, Bench> {
    let mut harness = window(theme);
    harness.state_mut().act(DrillIntent::Select(0).into());
    harness.state_mut().act(Intent::Go(Place::Drill));
    harness.run();
    harness
}

/// A place in the first pass, so long before the first flip.
fn before_the_flip(harness: &mut Harness<'_, Bench>, before: Ticks) {
    let state = &harness.state().state;
    let (looped, plan) = (state.drill.looped.clone().unwrap(), state.plan.clone().unwrap());
    let flip = looped.gestures(&plan.plan).find(|placed| placed.cue == Cue::Planned(0)).unwrap().at;
    harness.state_mut().act(DrillIntent::Moved(PassPlace { pass: 0, at: flip - before }).into());
    harness.run();
}

#[test]
fn the_loop_stands_there_as_notes_until_they_are_hidden() {
    let mut harness = drilling(egui::Theme::Light);
    assert!(harness.query_by_label_contains("Score of 3 bars").is_some());
    let mut press = |notes: Notes| {
        harness.key_press(egui::Key::N);
        harness.run();
        assert_eq!(harness.state().state.drill.notes, notes);
        ["Score of 3 bars", "Strip of 3 bars"].map(|what| harness.query_by_label_contains(what).is_some())
    };
    assert_eq!(press(Notes::Strings), [false, true]);
    assert_eq!(press(Notes::Hidden), [false, false]);
    assert_eq!(press(Notes::Engraved), [true, false]);
}

/// A drawing that fails leaves the plain picture with a message that can be copied, in the Piece and in the Drill; the next
/// one is tried again.
#[test]
fn a_failed_drawing_shows_the_strings_and_says_so() {
    let bench = opened_where(Engraving::Refused, demo::PIECE.to_vec());
    let mut harness = window_over(egui::Theme::Light, bench);
    for place in [Place::Piece, Place::Drill] {
        harness.state_mut().act(Intent::Go(place));
        harness.run();
        assert!(harness.query_by_label_contains("Strip of").is_some(), "{place:?}");
        let says = "The notes can’t be drawn, so they are shown as strings: the engraver refused the music";
        assert!(harness.query_by_label(says).is_some(), "{place:?}");
    }
    harness.get_by_label("Copy the message").click();
    harness.run();
    assert!(harness.state().copied[0].contains("the engraver refused the music"));
    harness.state_mut().engraving = Engraving::Drawn;
    harness.state_mut().act(DrillIntent::Select(2).into());
    harness.run();
    assert!(harness.query_by_label_contains("Score of").is_some());
}

/// Of a system of which no picture can be made nothing is drawn, and the strings are shown.
#[test]
fn a_picture_that_fails_takes_the_drawing_with_it() {
    let mut bench = opened(demo::PIECE.to_vec());
    let cut = Cut::whole(bench.state.piece.as_ref().unwrap(), bench.state.plan.as_ref().unwrap(), 90);
    let Some(Effect::Engrave { id, music, size }) = apply(&mut bench.state, ScoreIntent::Draw(cut).into()).pop() else {
        panic!("a drawing is asked for")
    };
    bench.engraver().draw(id, music, size);
    bench.take_answer();
    assert!(bench.state.score.drawing().is_some());
    bench.act(ScoreIntent::Drawn { id, drawing: Err(Said::quoted("no picture")) }.into());
    assert_eq!((bench.state.score.drawing(), bench.state.score.trouble()), (None, Some(&Said::quoted("no picture"))));
}

/// Reviewed pictures: before the start, and while it plays.
#[test]
fn pictures_of_the_drill() {
    let mut harness = drilling(egui::Theme::Light);
    harness.snapshot("drill_notes_light");
    let mut results = harness.take_snapshot_results();
    drop(harness);
    let mut harness = drilling(egui::Theme::Dark);
    harness.key_press(egui::Key::Space);
    harness.run();
    before_the_flip(&mut harness, Ticks::new(Ticks::PER_QUARTER * 5 / 4));
    harness.snapshot("drill_notes_playing_dark");
    results.extend(harness.take_snapshot_results());
}

/// What became of every note and of the flip is drawn on them after a pass, and told.
#[test]
fn hits_and_misses_stand_on_the_notes() {
    let mut harness = drilling(egui::Theme::Light);
    harness.key_press(egui::Key::K);
    harness.run();
    {
        let bench = harness.state_mut();
        let expected = bench.state.drill.looped.as_ref().unwrap().asked.as_ref().unwrap().expected.clone();
        let outcome = |place: usize| match place {
            4 => NoteOutcome::Missed,
            7 => NoteOutcome::WrongLever,
            9 => NoteOutcome::NotHeard,
            _ => NoteOutcome::Hit,
        };
        let desk = &mut bench.state.drill.pass;
        let plucks = expected.notes.iter().map(|note| note.pluck);
        desk.heard_notes = plucks.enumerate().map(|(place, pluck)| (pluck, outcome(place))).collect();
        let flip = expected.flips[0];
        let late = FlipVerdict {
            string: flip.string,
            to: flip.to,
            outcome: FlipOutcome::Late,
            cents: None,
            tap_error: None,
            hesitation: None,
        };
        let evidence = leverlane_core::verdict::Evidence::default();
        let thresholds = leverlane_core::verdict::Thresholds::of_level(leverlane_core::plan::PaceLevel::Fluent);
        let judged = leverlane_core::verdict::judge(&expected, &evidence, &thresholds);
        desk.verdict = Some(Verdict {
            basis: Basis::Heard,
            steady: Steadiness::NotYet,
            mend: Some(Mend::FlipLate { open: flip.open }),
            notes: (0..expected.notes.len())
                .map(|place| NoteVerdict { outcome: outcome(place), heard: None, error: None })
                .collect(),
            flips: vec![late],
            ..judged
        });
        bench.act(PracticeIntent::UseCues(leverlane_core::drill::CueLevel::Everything).into());
        let count = expected.notes.len();
        assert!(count > 12);
        harness.run();
        let says = format!("The last pass: {} notes came, 1 did not, 1 with the wrong lever, 1 not heard.", count - 3);
        harness.get_by_label_contains(&says);
    }
    harness.snapshot("drill_notes_pass_light");
}
