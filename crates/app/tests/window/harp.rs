//! The Harp place: which harp, its strings, its levers before the start.

use super::*;

/// Harp, tuning and pace from the keyboard too.
#[test]
fn the_harp_is_chosen_by_keys() {
    use leverlane_core::harp::{Preset, Tuning};
    use leverlane_core::plan::PaceLevel;
    let mut harness = with_demo(egui::Theme::Light);
    for key in [egui::Key::T, egui::Key::H, egui::Key::P] {
        harness.key_press(key);
        harness.run();
    }
    let wishes = harness.state().state.wishes.clone();
    // After C comes F; after 34 strings the next preset, 36; after fluent, expert.
    assert_eq!(tuning_of(&wishes.harp), Some(Tuning::F));
    assert_eq!(preset_of(&wishes.harp), Preset::with_strings(36));
    assert_eq!(wishes.pace, PaceLevel::Expert.into());
    let goal = wishes.goal.unwrap().per_minute();
    harness.key_press_modifiers(egui::Modifiers::SHIFT, egui::Key::ArrowUp);
    harness.run();
    assert_eq!(harness.state().state.wishes.goal.unwrap().per_minute(), goal + 4.0);
    assert_eq!(harness.state().state.drill.tempo.unwrap().per_minute(), goal + 4.0, "practice at the goal follows it");
}

/// The harp by hand. Each edit is one step that can be undone, and the plan follows.
#[test]
fn a_string_is_tuned_and_its_lever_taken_away() {
    let mut harness = with_demo(egui::Theme::Light);
    harness.get_by_label("Go to Harp").click();
    harness.run();
    let before = harness.state().state.wishes.clone();
    // The strings are counted from the top: on a harp from A6 down, string 14 is B4.
    harness.get_by_label_contains("String 14: B 4").click();
    harness.run();
    harness.get_by_label("Open string tuned to B flat 4").click();
    harness.run();
    let string = |harness: &Harness<'_, Bench>| harness.state().state.wishes.harp.harp().strings()[13].clone();
    assert_eq!(string(&harness).open.ascii(), "Bb4");
    harness.get_by_label("no lever").click();
    harness.run();
    assert!(!string(&harness).lever.is_fitted());
    assert_eq!(harness.state().state.plan.as_ref().unwrap().harp, harness.state().state.wishes.harp.harp());
    for _ in 0..2 {
        harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
        harness.run();
    }
    assert_eq!(harness.state().state.wishes, before);
}

/// A lever clicked on the harp is set before the start, and the plan has it so.
#[test]
fn a_lever_is_set_before_the_start() {
    let mut harness = with_demo(egui::Theme::Light);
    harness.get_by_label("Go to Harp").click();
    harness.run();
    harness.get_by_label("Lever of C2: set it up before the start").click();
    harness.run();
    let state = &harness.state().state;
    let (number, _) = state.plan.as_ref().unwrap().harp.string_of_letter("C2".parse().unwrap()).unwrap();
    assert_eq!(state.plan.as_ref().unwrap().plan.start.of(number), LeverState::Up);
    harness.get_by_label("Lever before the start: as planned").click();
    harness.run();
    assert_eq!(harness.state().state.plan.as_ref().unwrap().plan.start.of(number), LeverState::Down);
}
