//! Pieces saved, opened again, and asked about before they are lost.

use std::path::PathBuf;

use super::*;

/// Saving writes a document from which everything comes back.
#[test]
fn a_saved_piece_comes_back_as_it_was() {
    let mut harness = with_demo(egui::Theme::Light);
    harness.key_press(egui::Key::X);
    harness.run();
    harness.key_press(egui::Key::P);
    harness.run();
    harness.get_by_label("Save").click();
    harness.run();
    let (path, document) = harness.state().saved.last().cloned().unwrap();
    assert_eq!(path, PathBuf::from("Greensleeves.ron"));
    assert!(!harness.state().state.has_unsaved_changes());
    assert!(harness.state().recovery.is_none(), "it is in a file now");
    let (wishes, plan) = (harness.state().state.wishes.clone(), harness.state().state.plan.clone());
    let bytes: Arc<[u8]> = document.write().unwrap().into();
    drop(harness);

    let mut harness = window(egui::Theme::Light);
    harness.state_mut().act(FileIntent::OpenBytes { name: "Greensleeves.ron".to_owned(), bytes }.into());
    harness.run();
    assert_eq!(harness.state().state.wishes, wishes);
    assert_eq!(harness.state().state.plan, plan);
}

/// Unsaved changes are asked about before another piece takes their place, by mouse and by key.
#[test]
fn unsaved_changes_are_asked_about() {
    let changed = || {
        let mut harness = with_demo(egui::Theme::Light);
        harness.key_press(egui::Key::P);
        harness.run();
        harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::O);
        harness.run();
        assert!(matches!(harness.state().state.question, Some(Question::SaveFirst(_))));
        assert!(!harness.state().asked_for_file);
        harness
    };
    let mut harness = changed();
    harness.snapshot("question_light");
    let results = harness.take_snapshot_results();
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert_eq!(harness.state().state.question, None);
    assert!(!harness.state().asked_for_file && harness.state().state.has_unsaved_changes());

    let mut harness = changed();
    harness.get_by_label("Don’t save").click();
    harness.run();
    assert!(harness.state().asked_for_file && harness.state().saved.is_empty());

    let mut harness = changed();
    harness.key_press(egui::Key::Enter);
    harness.run();
    assert!(harness.state().asked_for_file && harness.state().saved.len() == 1);

    let mut harness = changed();
    harness.state_mut().act(FileIntent::Answer(Answer::Cancel).into());
    harness.state_mut().act(FileIntent::Close.into());
    assert!(!harness.state().closed);
    harness.state_mut().act(FileIntent::Answer(Answer::Discard).into());
    assert!(harness.state().closed && harness.state().recovery.is_none());
    drop(results);
}
