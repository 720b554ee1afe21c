//! The window by its accessible names: open, plan, loop, next flip. No threads and no clock: effects are carried out at
//! once, and the sound's place is handed in.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bench;
mod editing;
mod hands;
mod harp;
mod keeping;
mod keys;
mod ladder;
mod paper;
mod places;
mod regulating;
mod score;
mod warnings;

use std::sync::Arc;

use bench::{Bench, Engraving, window_over};
use eframe::egui;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use leverlane_app::apply::apply;
use leverlane_app::effects::Effect;
use leverlane_app::intent::{Answer, DrillIntent, FileIntent, Intent, PlanIntent, SettingsIntent};
use leverlane_app::state::{
    Distance, Draft, DraftWay, Notes, Notice, Origin, PassPlace, Place, Pulse, Question, Sheet, preset_of, tuning_of,
};
use leverlane_core::drill::Cue;
use leverlane_core::harp::LeverState;
use leverlane_core::plan::Edit;
use leverlane_core::score::Hand;
use leverlane_core::time::Ticks;
use leverlane_sound::ClickSound;

/// A window whose music is shown as strings.
fn window<'a>(theme: egui::Theme) -> Harness<'a, Bench> {
    let mut bench = Bench::default();
    bench.state.drill.notes = Notes::Strings;
    window_over(theme, bench)
}

fn with_demo<'a>(theme: egui::Theme) -> Harness<'a, Bench> {
    let mut harness = window(theme);
    harness.get_by_label("Try the demo piece").click();
    harness.run();
    harness
}

/// The demo in the Drill, its first flip chosen.
fn drilling<'a>(theme: egui::Theme) -> Harness<'a, Bench> {
    let mut harness = with_demo(theme);
    harness.get_by_label_contains("Drill the flip").click();
    harness.run();
    assert_eq!(harness.state().state.place, Place::Drill);
    harness
}

/// The first gesture of the demo's plan.
fn first_gesture(harness: &Harness<'_, Bench>) -> leverlane_core::plan::Gesture {
    harness.state().state.plan.as_ref().unwrap().plan.gestures[0].clone()
}

/// Open, plan, loop, next flip.
#[test]
fn open_plan_loop_and_on_to_the_next_flip() {
    let mut harness = with_demo(egui::Theme::Light);
    assert!(matches!(harness.state().seen.first(), Some(Intent::File(FileIntent::Open(Origin::Demo)))));
    let plan = harness.state().state.plan.clone().unwrap();
    assert!(plan.plan.gestures.len() >= 6, "the demo was written with at least six flips");
    // What to set up is the plan's, in words a screen reader can say.
    harness.get_by_label_contains("Set up: ");

    harness.get_by_label_contains("Drill the flip").click();
    harness.run();
    harness.get_by_label_contains("Set up: ");
    harness.get_by_label("Start the loop").click();
    harness.run();
    let looped = harness.state().sounding.clone().unwrap();
    assert!(looped.chunk.gestures.contains(&0));
    harness.state_mut().act(DrillIntent::Moved(PassPlace { pass: 0, at: -Ticks::QUARTER }).into());
    harness.run();
    harness.get_by_label_contains("Next flip: ");

    harness.get_by_label("Next flip").click();
    harness.run();
    assert_eq!(harness.state().state.drill.selected, Some(1));
    let second = harness.state().sounding.clone().unwrap();
    assert!(second.chunk.gestures.contains(&1));

    harness.get_by_label("Stop the loop").click();
    harness.run();
    assert!(harness.state().sounding.is_none());
}

#[test]
fn a_click_on_a_flip_in_the_list_selects_it() {
    let mut harness = with_demo(egui::Theme::Light);
    let spoken = {
        let state = &harness.state().state;
        let (piece, plan) = (state.piece.as_ref().unwrap(), &state.plan.as_ref().unwrap().plan);
        leverlane_app::names::place(state.words(), piece, plan.gestures[1].played_bar, plan.gestures[1].at)
    };
    harness
        .get_all_by_role(egui::accesskit::Role::Button)
        .find(|node| {
            let label = node.accesskit_node().label().unwrap_or_default();
            label.contains(&format!(", {spoken}, ")) && !label.starts_with("Flip ")
        })
        .unwrap()
        .click();
    harness.run();
    assert_eq!(harness.state().state.drill.selected, Some(1));
    assert!(matches!(harness.state().seen.last(), Some(Intent::Drill(DrillIntent::Select(1)))));
}

/// The keys that page-turner pedals send: Page Up/Down, arrows, Space, Enter.
#[test]
fn every_pedal_key_works() {
    let mut harness = drilling(egui::Theme::Light);
    let goal = harness.state().state.wishes.goal.unwrap().per_minute();
    let mut press = |key| {
        harness.key_press(key);
        harness.run();
        let drill = &harness.state().state.drill;
        (drill.selected, drill.transport.is_playing(), drill.tempo.unwrap().per_minute() - goal)
    };
    assert_eq!(press(egui::Key::PageDown), (Some(1), false, 0.0));
    assert_eq!(press(egui::Key::ArrowRight), (Some(2), false, 0.0));
    assert_eq!(press(egui::Key::PageUp), (Some(1), false, 0.0));
    assert_eq!(press(egui::Key::ArrowLeft), (Some(0), false, 0.0));
    assert_eq!(press(egui::Key::Space), (Some(0), true, 0.0));
    assert_eq!(press(egui::Key::ArrowDown), (Some(0), true, -2.0));
    assert_eq!(press(egui::Key::ArrowUp), (Some(0), true, 0.0));
    assert_eq!(press(egui::Key::Enter), (Some(0), false, 0.0));
}

#[test]
fn a_bad_file_is_refused_in_one_line_that_can_be_copied() {
    let mut harness = window(egui::Theme::Light);
    let bytes: Arc<[u8]> = b"<score-partwise><part".as_slice().into();
    harness.state_mut().act(FileIntent::OpenBytes { name: "broken.musicxml".to_owned(), bytes }.into());
    harness.run();
    let Notice { text, .. } = harness.state().state.notice.clone().unwrap();
    assert!(text.starts_with("broken.musicxml: ") && !text.contains('\n'), "{text}");
    harness.get_by_label("Copy the message").click();
    harness.run();
    assert_eq!(harness.state().copied, [text]);
    harness.get_by_label("Dismiss the message").click();
    harness.run();
    assert_eq!(harness.state().state.notice, None);
    harness.get_by_label("Open a score").click();
    harness.run();
    assert!(harness.state().asked_for_file);
}

/// Version and licences, on a page that can be copied.
#[test]
fn about_tells_version_and_licences() {
    let mut harness = with_demo(egui::Theme::Light);
    harness.get_by_label("More").click();
    harness.run();
    harness.get_by_label("About Leverlane").click();
    harness.run();
    harness.get_by_label_contains(env!("CARGO_PKG_VERSION"));
    harness.get_by_label_contains("Leipzig (assets/fonts)");
    harness.get_by_label("Copy version and licences").click();
    harness.run();
    let copied = &harness.state().copied[0];
    for inside in ["Libertinus Serif", "GNU Lesser General Public License", "MIT licence", "egui"] {
        assert!(copied.contains(inside), "{inside}");
    }
    harness.snapshot("about_light");
}

/// A plan that isn't waited for: the decision that asked for it is taken back, or the piece closed where it has none.
#[test]
fn planning_can_be_given_up() {
    use leverlane_core::plan::PaceLevel;
    let mut harness = with_demo(egui::Theme::Light);
    let (wishes, plan) = (harness.state().state.wishes.clone(), harness.state().state.plan.clone().unwrap());
    // As if it took long: the order is not carried out.
    let pace = PlanIntent::UsePace(PaceLevel::Beginner.into());
    assert!(
        apply(&mut harness.state_mut().state, pace.into()).iter().any(|effect| matches!(effect, Effect::Plan { .. }))
    );
    harness.step();
    harness.get_by_label("Cancel").click();
    harness.run();
    assert_eq!(harness.state().state.wishes, wishes);
    assert!(
        Arc::ptr_eq(harness.state().state.plan.as_ref().unwrap(), &plan)
            && harness.state().state.work.planning.is_none()
    );
    let state = &mut harness.state_mut().state;
    state.plan = None;
    state.work.planning = Some(7);
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert!(harness.state().state.piece.is_none());
}

/// At rest no frame asks for another.
#[test]
fn nothing_moves_while_nothing_plays() {
    let mut harness = with_demo(egui::Theme::Light);
    harness.run();
    let delay = harness.output().viewport_output[&egui::ViewportId::ROOT].repaint_delay;
    assert_eq!(delay, std::time::Duration::MAX);
}

/// Reviewed pictures of the four places, playing, and of help; light and dark.
#[test]
fn pictures() {
    let mut harness = with_demo(egui::Theme::Light);
    harness.snapshot("piece_light");
    harness.state_mut().act(Intent::Go(Place::Harp));
    harness.run();
    harness.snapshot("harp_light");
    harness.state_mut().act(Intent::Go(Place::Drill));
    harness.run();
    harness.snapshot("drill_light");
    harness.key_press(egui::Key::F1);
    harness.run();
    harness.snapshot("help_light");
    let mut results = harness.take_snapshot_results();
    drop(harness);

    let mut harness = drilling(egui::Theme::Dark);
    harness.key_press(egui::Key::PageDown);
    harness.run();
    harness.key_press(egui::Key::Space);
    harness.run();
    let looped = harness.state().sounding.clone().unwrap();
    let plan = harness.state().state.plan.clone().unwrap();
    // Two beats of the meter (6/8: dotted quarters) before the second flip.
    let flip = looped.gestures(&plan.plan).find(|placed| placed.cue == Cue::Planned(1)).unwrap().at;
    let at = flip - Ticks::QUARTER * 3;
    harness.state_mut().act(DrillIntent::Moved(PassPlace { pass: 1, at }).into());
    harness.run();
    harness.get_by_label_contains("in 2 beats");
    harness.snapshot("playing_dark");
    results.extend(harness.take_snapshot_results());
    drop(harness);

    let mut harness = with_demo(egui::Theme::Dark);
    harness.state_mut().act(Intent::Go(Place::Diary));
    harness.run();
    harness.snapshot("diary_dark");
    results.extend(harness.take_snapshot_results());
}

/// Without a mouse: Tab to a control, then Space works the control and not the loop.
#[test]
fn a_focused_control_gets_its_own_keys() {
    let mut harness = drilling(egui::Theme::Light);
    harness.get_by_label("Practise slower").focus();
    harness.run();
    harness.key_press(egui::Key::Space);
    harness.run();
    assert!(!harness.state().state.drill.transport.is_playing());
    assert!(matches!(harness.state().seen.last(), Some(Intent::Drill(DrillIntent::ChangeTempo(by))) if *by < 0.0));
}

#[test]
fn a_small_window_still_shows_everything_there_is_to_do() {
    let mut harness = with_demo(egui::Theme::Light);
    harness.set_size(egui::vec2(960.0, 680.0));
    harness.run();
    let window = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(960.0, 680.0));
    let inside = |harness: &Harness<'_, Bench>, name: &str| {
        let node = harness.get_by_label_contains(name);
        assert!(window.contains_rect(node.rect()), "{name} stands at {:?}", node.rect());
    };
    for name in ["Drill the flip", "Open a file", "Go to Drill", "Undo"] {
        inside(&harness, name);
    }
    harness.state_mut().act(Intent::Go(Place::Drill));
    harness.run();
    for name in ["Start the loop", "Next flip", "Practise slower", "Open a file", "Help"] {
        let node = harness.get_by_label(name);
        assert!(window.contains_rect(node.rect()), "{name} stands at {:?}", node.rect());
    }
}

/// Names of notes, octaves, language and the harp's side are chosen in the settings, and kept.
#[test]
fn the_window_speaks_as_the_player_does() {
    let mut harness = with_demo(egui::Theme::Light);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Comma);
    harness.run();
    assert_eq!(harness.state().state.sheet, Some(Sheet::Settings));
    harness.get_by_label_contains("Fis  B  H").click();
    harness.run();
    harness.get_by_label_contains("Deutsch").click();
    harness.run();
    harness.snapshot("settings_german_light");
    let mut results = harness.take_snapshot_results();
    harness.key_press(egui::Key::Escape);
    harness.run();
    harness.get_by_label_contains("Hochstellen: F5, F6");
    harness.get_by_label_contains("Klappe Gis 4 hoch üben");
    harness.snapshot("piece_german_light");
    results.extend(harness.take_snapshot_results());
    let kept = harness.state().settings.clone().unwrap();
    assert_eq!(kept.words, harness.state().state.words());
}

/// The high click is chosen in the settings, where it is said that many can't hear it, and by which key the beat is seen.
#[test]
fn a_high_click_is_chosen_knowing_that_it_may_not_be_heard() {
    let mut harness = with_demo(egui::Theme::Light);
    harness.set_size(egui::vec2(1280.0, 1000.0));
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Comma);
    harness.run();
    harness.get_by_label_contains("can’t hear it");
    harness.get_by_label_contains("U hides it or shows it again");
    harness.get_by_label("Click: high and soft").click();
    harness.run();
    harness.snapshot("settings_click_light");
    assert_eq!(harness.state().mix.click_sound, ClickSound::High);
    let kept = harness.state().settings.clone().unwrap();
    assert_eq!((kept.mix.click_sound, kept.pulse), (ClickSound::High, Pulse::Shown));
}

/// The far view, at 1920 by 1080, dark.
#[test]
fn the_far_view_shows_the_flip_and_the_count_alone() {
    let mut harness = drilling(egui::Theme::Dark);
    harness.set_size(egui::vec2(1920.0, 1080.0));
    harness.state_mut().act(SettingsIntent::UseDistance(Distance::Far).into());
    harness.state_mut().act(DrillIntent::StartOrStop.into());
    let flip = first_gesture(&harness);
    let looped = harness.state().sounding.clone().unwrap();
    let at = flip.at - looped.chunk.starts - Ticks::QUARTER * 3;
    harness.state_mut().act(DrillIntent::Moved(PassPlace { pass: 0, at }).into());
    harness.run();
    harness.get_by_label_contains("Next flip: G sharp 4 up, left hand, bar 3");
    harness.snapshot("far_dark");
}
