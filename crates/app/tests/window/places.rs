//! The four places, whatever language, colours and notation they are shown in.

use leverlane_app::words::{Language, NoteNames};
use leverlane_core::time::Ticks;

use super::*;

/// A window that draws its notes, the demo open.
fn engraved<'a>(theme: egui::Theme) -> Harness<'a, Bench> {
    let mut bench = Bench::engraving(Engraving::Drawn);
    bench.act(FileIntent::Open(Origin::Demo).into());
    window_over(theme, bench)
}

/// Everything that can be pressed or set has a name, in every place, the music drawn as notes and as strings; what is told
/// by its role too.
#[test]
fn everything_that_can_be_pressed_has_a_name() {
    use egui::accesskit::{Action, Role};
    for mut harness in [with_demo(egui::Theme::Light), engraved(egui::Theme::Light)] {
        for (place, least) in [(Place::Piece, 30), (Place::Harp, 70), (Place::Drill, 18), (Place::Diary, 8)] {
            harness.state_mut().act(Intent::Go(place));
            harness.run();
            let mut count = 0;
            for node in harness.root().children_recursive() {
                let node = node.accesskit_node();
                let is_control = ![Role::Label, Role::ScrollBar].contains(&node.role())
                    && node.data().supports_action(Action::Click)
                    || [Role::Slider, Role::ComboBox, Role::CheckBox, Role::TextInput].contains(&node.role());
                if is_control {
                    count += 1;
                    assert!(!node.label().unwrap_or_default().trim().is_empty(), "{place:?}: {:?}", node.role());
                }
            }
            assert!(count >= least, "{place:?} has {count} controls");
        }
        harness.state_mut().act(Intent::Go(Place::Drill));
        harness.run();
        for name in ["Click volume", "Cue tone volume", "Notes volume"] {
            harness.get_by_role_and_label(Role::Slider, name);
        }
        for name in ["Hear the left hand", "Hear the right hand"] {
            harness.get_by_role_and_label(Role::CheckBox, name);
        }
    }
}

/// Over engraved notes too the next flip is told as text, and how many beats it is away.
#[test]
fn the_next_flip_is_announced_over_engraved_notes() {
    let mut harness = engraved(egui::Theme::Light);
    harness.state_mut().act(DrillIntent::Select(0).into());
    harness.state_mut().act(Intent::Go(Place::Drill));
    harness.state_mut().act(DrillIntent::StartOrStop.into());
    harness.run();
    assert!(harness.query_by_label_contains("Score of").is_some());
    let flip = first_gesture(&harness);
    let looped = harness.state().sounding.clone().unwrap();
    let at = flip.at - looped.chunk.starts - Ticks::QUARTER * 3;
    harness.state_mut().act(DrillIntent::Moved(PassPlace { pass: 0, at }).into());
    harness.run();
    harness.get_by_label_contains("Next flip: G sharp 4 up, left hand, bar 3, beat 2⅓, in 2 beats");
}

/// Reviewed pictures of the four places: dark, and in German with German names of notes.
#[test]
fn pictures_of_the_places_in_dark_and_in_german() {
    let mut dark = engraved(egui::Theme::Dark);
    dark.snapshot("piece_notes_dark");
    let mut results = dark.take_snapshot_results();
    dark.state_mut().act(Intent::Go(Place::Harp));
    dark.run();
    dark.snapshot("harp_dark");
    results.extend(dark.take_snapshot_results());
    drop(dark);

    let mut german = engraved(egui::Theme::Light);
    german.state_mut().act(SettingsIntent::UseLanguage(Language::German).into());
    german.state_mut().act(SettingsIntent::UseNotes(NoteNames::German).into());
    german.state_mut().act(Intent::Go(Place::Harp));
    german.run();
    german.snapshot("harp_german_light");
    results.extend(german.take_snapshot_results());
    german.state_mut().act(DrillIntent::Select(1).into());
    german.state_mut().act(Intent::Go(Place::Drill));
    german.state_mut().act(leverlane_app::intent::PracticeIntent::SwitchLadder.into());
    german.run();
    german.snapshot("ladder_german_light");
    results.extend(german.take_snapshot_results());
    german.state_mut().act(leverlane_app::intent::DiaryIntent::Seen(Arc::new(ladder::picture())).into());
    german.state_mut().act(Intent::Go(Place::Diary));
    german.run();
    german.snapshot("diary_german_light");
    results.extend(german.take_snapshot_results());
}
