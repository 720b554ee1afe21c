//! Pieces that come from paper, and tunes chosen from a file of many.

use super::*;

/// Of several tunes one is chosen, and that one opens. Its sharp holds to the end of the bar (the ABC standard 2.1,
/// section 4.2).
#[test]
fn one_of_several_tunes_is_chosen() {
    let mut harness = window(egui::Theme::Light);
    let book = "X:1\nT:First\nM:4/4\nL:1/4\nK:C\nCDEF|\n\nX:2\nT:Second\nM:4/4\nL:1/4\nK:C\nCD^FF|\n";
    let bytes: Arc<[u8]> = book.as_bytes().into();
    harness.state_mut().act(FileIntent::OpenBytes { name: "tunes.abc".to_owned(), bytes }.into());
    harness.run();
    harness.get_by_label("1 First");
    assert!(harness.state().state.piece.is_none());
    harness.get_by_label("2 Second").click();
    harness.run();
    let state = &harness.state().state;
    let piece = state.piece.as_ref().unwrap();
    assert_eq!((piece.score.title(), state.place, &state.sheet), ("Second", Place::Piece, &None));
    let pitches: Vec<String> = piece.performance.plucks().iter().map(|pluck| pluck.pitch.ascii()).collect();
    assert_eq!(pitches, ["C4", "D4", "F#4", "F#4"]);
}

/// From paper, a bare passage: typed, read as it is typed, planned and ready to drill with its cue.
#[test]
fn flips_are_written_down_from_paper() {
    use egui::accesskit::Role;
    let mut harness = window(egui::Theme::Light);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::N);
    harness.run();
    let field = harness.get_by_role(Role::MultilineTextInput);
    field.focus();
    field.type_text("bar 12 beat 5: C5 up");
    harness.run();
    // 4/4 has no fifth beat.
    harness.get_by_label(
        "Line 1: found beat 5, expected a beat from 1 to 4 (and parts of the last) in 4/4; correct the beat, or the meter \
         of the passage",
    );
    harness.snapshot("paper_fault_light");
    let results = harness.take_snapshot_results();
    let mut draft = harness.state().state.paper.draft.clone();
    draft.flips = "bar 12 beat 4: C5 up".to_owned();
    harness.state_mut().act(FileIntent::ChangeDraft(Box::new(draft)).into());
    harness.run();
    harness.get_by_label("Plan and drill it").click();
    harness.run();
    let state = &harness.state().state;
    let plan = &state.plan.as_ref().unwrap().plan;
    assert_eq!(plan.gestures.len(), 1);
    assert_eq!(plan.gestures[0].flips[0].to, LeverState::Up);
    assert!(state.has_unsaved_changes(), "it is in no file yet");
    assert!(harness.state().recovery.is_some());
    harness.get_by_label_contains("bar 12, beat 4, ");
    drop(results);
}

/// From paper, notes for both hands.
#[test]
fn notes_are_written_down_from_paper() {
    let mut harness = window(egui::Theme::Light);
    let draft = Draft {
        way: DraftWay::Notes,
        right: "c2 d2 e2 f2 | ^f4 g4 |".to_owned(),
        left: "C,8 | G,8 |".to_owned(),
        ..Draft::default()
    };
    harness.state_mut().act(FileIntent::ChangeDraft(Box::new(draft)).into());
    harness.state_mut().act(FileIntent::MakeDraft.into());
    harness.run();
    let state = &harness.state().state;
    // Eight notes in two bars; F5 goes up for F sharp after F natural, on the usual harp in E flat (arithmetic).
    assert_eq!(state.piece.as_ref().unwrap().performance.plucks().len(), 8);
    let flips: Vec<String> = state
        .plan
        .as_ref()
        .unwrap()
        .plan
        .gestures
        .iter()
        .flat_map(|gesture| &gesture.flips)
        .map(|flip| flip.sounds.ascii())
        .collect();
    assert_eq!(flips, ["F#5"]);
}
