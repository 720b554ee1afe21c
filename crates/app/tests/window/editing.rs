//! The player's decisions about flips, and the ways out.

use super::*;

/// A flip is moved by drag, with its window shown, and snaps to a place the planner knows.
#[test]
fn a_flip_is_dragged_to_another_beat() {
    let mut harness = with_demo(egui::Theme::Light);
    let before = first_gesture(&harness);
    let places = harness.state().state.costs.clone().unwrap().places;
    let other = places.iter().rfind(|place| place.hand == before.hand && place.at != before.at).unwrap().at;
    let mark = harness.get_by_label_contains("Flip G sharp 4 up, left hand, bar 3").rect().left_center();
    // A quarter note is 92 points wide.
    let to = mark + egui::vec2(((other - before.at).quarters() * 92.0) as f32 + 14.0, 0.0);
    let from = mark + egui::vec2(10.0, 0.0);
    harness.hover_at(from);
    harness.run();
    harness.drag_at(from);
    harness.run();
    harness.hover_at(from + egui::vec2(20.0, 0.0));
    harness.run();
    harness.hover_at(to);
    harness.run();
    harness.snapshot("dragging_light");
    let results = harness.take_snapshot_results();
    harness.drop_at(to);
    harness.run();
    let after = first_gesture(&harness);
    assert_eq!(after.at, other);
    assert!(after.locked, "what the player has placed is fixed");
    assert_eq!(harness.state().state.drill.selected, Some(0), "the moved flip stays selected");
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    harness.run();
    assert_eq!(first_gesture(&harness), before);
    drop(results);
}

/// Each edit of a flip by its button and by its key, each undone in one step.
#[test]
fn each_edit_of_a_flip_works_and_is_undone() {
    type Check = fn(&leverlane_core::plan::Plan, &leverlane_core::plan::Gesture, &[Edit]) -> bool;
    let edits: [(&str, egui::Modifiers, egui::Key, Check); 5] = [
        ("Earlier", egui::Modifiers::ALT, egui::Key::ArrowLeft, |plan, old, _| plan.gestures[0].at < old.at),
        ("To the right hand", egui::Modifiers::NONE, egui::Key::X, |plan, _, _| plan.gestures[0].hand == Hand::Right),
        ("Fix it here", egui::Modifiers::NONE, egui::Key::F, |plan, old, _| {
            plan.gestures[0].locked && plan.gestures[0].at == old.at
        }),
        ("Set beforehand", egui::Modifiers::NONE, egui::Key::S, |plan, old, _| {
            plan.start.of(old.flips[0].string) == old.flips[0].to
        }),
        ("Leave it out", egui::Modifiers::NONE, egui::Key::Delete, |_, _, edits| {
            matches!(edits, [Edit::Forbid { .. }])
        }),
    ];
    for (button, modifiers, key, check) in edits {
        for by_key in [false, true] {
            let mut harness = with_demo(egui::Theme::Light);
            let before = (first_gesture(&harness), harness.state().state.wishes.clone());
            if by_key {
                harness.key_press_modifiers(modifiers, key);
            } else {
                harness.get_by_label(button).click();
            }
            harness.run();
            let state = &harness.state().state;
            let plan = &state.plan.as_ref().unwrap().plan;
            assert!(check(plan, &before.0, &state.wishes.edits), "{button}, by key: {by_key}");
            assert!(harness.state().recovery.is_some(), "{button} survives a crash");
            harness.get_by_label("Undo").click();
            harness.run();
            assert_eq!((first_gesture(&harness), harness.state().state.wishes.clone()), before, "{button}");
            assert!(harness.state().recovery.is_none(), "{button} taken back leaves nothing to recover");
        }
    }
}

/// The demo's one problem has ways out, and each is one step.
#[test]
fn a_way_out_is_taken_in_one_step() {
    let mut harness = with_demo(egui::Theme::Light);
    let rushed = |harness: &Harness<'_, Bench>| harness.state().state.plan.as_ref().unwrap().plan.totals.rushed;
    let before = rushed(&harness);
    assert!(before > 0);
    let plan = harness.state().state.plan.clone().unwrap();
    let problem = plan.plan.problems.iter().position(|problem| !problem.ways_out.is_empty()).unwrap();
    harness.state_mut().act(PlanIntent::TakeWayOut { problem, way: 0 }.into());
    harness.run();
    assert!(rushed(&harness) < before);
    harness.get_by_label("Undo").click();
    harness.run();
    assert_eq!(rushed(&harness), before);
}
