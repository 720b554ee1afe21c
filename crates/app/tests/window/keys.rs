use super::*;
use leverlane_app::keys::Action;

/// A pedal that sends another key than usual is given its work by pressing it, even one that buttons are pressed with.
#[test]
fn a_key_is_changed_by_pressing_it() {
    let mut harness = drilling(egui::Theme::Light);
    harness.state_mut().act(SettingsIntent::WantKey(None).into());
    harness.run();
    let change = |harness: &mut Harness<'_, Bench>, key| {
        harness.get_by_label("Change the key: Next flip").click();
        harness.run();
        harness.key_press(key);
        harness.run();
        assert_eq!(harness.state().state.sheet, Some(Sheet::Keys { wanted: None }));
    };
    change(&mut harness, egui::Key::F9);
    change(&mut harness, egui::Key::Space);
    change(&mut harness, egui::Key::ArrowRight);
    let keys = |harness: &Harness<'_, Bench>, action| {
        let keys = &harness.state().state.settings.keys;
        keys.of_action(action).map(|binding| binding.key).collect::<Vec<_>>()
    };
    assert_eq!(keys(&harness, Action::NextFlip), [egui::Key::F9, egui::Key::Space], "the usual one is taken away");
    assert_eq!(keys(&harness, Action::StartOrStop), [egui::Key::Enter]);
    // Escape is no key to be given away.
    harness.get_by_label("Change the key: Next flip").click();
    harness.run();
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert_eq!(harness.state().state.sheet, Some(Sheet::Keys { wanted: None }));
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert_eq!(harness.state().state.sheet, None);

    let selected = |harness: &Harness<'_, Bench>| harness.state().state.drill.selected;
    harness.key_press(egui::Key::F9);
    harness.run();
    assert_eq!(selected(&harness), Some(1));
    harness.key_press(egui::Key::ArrowRight);
    harness.run();
    assert_eq!(selected(&harness), Some(1));
    harness.state_mut().act(SettingsIntent::UsualKeys.into());
    harness.key_press(egui::Key::ArrowRight);
    harness.run();
    assert_eq!(selected(&harness), Some(2));
}

#[test]
fn the_table_of_keys_waits_for_one() {
    let mut harness = drilling(egui::Theme::Light);
    harness.state_mut().act(SettingsIntent::WantKey(Some(Action::LeftPedal)).into());
    harness.run();
    harness.snapshot("keys_light");
}
