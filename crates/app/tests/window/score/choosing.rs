//! Bars chosen by dragging over the score, by their ends, and by keys.

use leverlane_core::drill::ChunkSize;
use leverlane_engraving::Span;

use super::*;

/// The middle of a written bar on the first system that shows it, in the window.
fn on_bar(harness: &Harness<'_, Bench>, index: usize, part: fn(Span) -> f32) -> egui::Pos2 {
    let corner = harness.get_by_label_contains("Score of").rect().min;
    let drawing = drawing(harness.state());
    let layout = Layout::of_piece(&drawing);
    let (system, across) = drawing
        .systems
        .iter()
        .enumerate()
        .find_map(|(number, system)| Some((number, system.bars.iter().find(|shown| shown.bar.get() == index)?.across)))
        .unwrap();
    let place = layout.system(system).translate(corner.to_vec2());
    // Over the staves, where no mark stands.
    egui::pos2(layout.x(place, part(across)), place.top() + 60.0)
}

fn drag(harness: &mut Harness<'_, Bench>, from: egui::Pos2, to: egui::Pos2) {
    harness.drag_at(from);
    harness.run();
    harness.hover_at(to);
    harness.run();
    harness.drop_at(to);
    harness.run();
}

/// The first and the last bar of the loop, in playing order.
fn looped(harness: &Harness<'_, Bench>) -> (usize, usize) {
    let looped = harness.state().state.drill.looped.clone().unwrap();
    (looped.chunk.first, looped.chunk.last)
}

#[test]
fn bars_are_chosen_by_dragging_and_moved_by_their_ends() {
    let mut harness = window(egui::Theme::Light);
    let (second, third) = (on_bar(&harness, 2, Span::middle), on_bar(&harness, 3, Span::middle));
    drag(&mut harness, second, third);
    assert_eq!(looped(&harness), (2, 3));
    assert!(matches!(harness.state().state.drill.size, ChunkSize::Bars { first: 2, last: 3 }));
    // Backwards is as good.
    drag(&mut harness, third, second);
    assert_eq!(looped(&harness), (2, 3));
    // By its end, a bar less; by its beginning, a bar more.
    let end = on_bar(&harness, 3, |across| across.to);
    drag(&mut harness, end, second);
    assert_eq!(looped(&harness), (2, 2));
    let begin = on_bar(&harness, 2, |across| across.from);
    let before = on_bar(&harness, 1, Span::middle);
    drag(&mut harness, begin, before);
    assert_eq!(looped(&harness), (1, 2));
    harness.snapshot("score_bars_light");
}

#[test]
fn the_ends_are_moved_by_keys() {
    let mut harness = window(egui::Theme::Light);
    harness.state_mut().act(Intent::Go(Place::Drill));
    harness.state_mut().act(DrillIntent::Select(0).into());
    harness.run();
    let (first, last) = looped(&harness);
    let mut press = |modifiers, key| {
        harness.key_press_modifiers(modifiers, key);
        harness.run();
        let (from, to) = looped(&harness);
        (from as i64 - first as i64, to as i64 - last as i64)
    };
    let (none, shift) = (egui::Modifiers::NONE, egui::Modifiers::SHIFT);
    assert_eq!(press(none, egui::Key::End), (0, 1));
    assert_eq!(press(none, egui::Key::Home), (-1, 1));
    assert_eq!(press(shift, egui::Key::Home), (0, 1));
    assert_eq!(press(shift, egui::Key::End), (0, 0));
}

/// Bars without flips are a loop like any other.
#[test]
fn bars_without_flips_are_looped_by_themselves() {
    let mut harness = window(egui::Theme::Light);
    harness.state_mut().act(DrillIntent::Select(3).into());
    harness.state_mut().act(DrillIntent::TakeBars { first: 1, last: 0 }.into());
    assert_eq!((looped(&harness), harness.state().state.drill.selected), ((0, 1), None));
    harness.run();
    harness.get_by_label("Play bars 0 to 1");
}
