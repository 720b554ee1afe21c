//! Which parts are the harp, what is kept as a cue line, and which hand plays what.

use egui::accesskit::{Role, Toggled};
use leverlane_core::score::HandWay;

use super::*;

/// A singer above a harp written on two single staves, three bars of 4/4 (the trade's usual layout of a song).
const SONG: &str = "X:1\nT:Song\nM:4/4\nL:1/4\nV:1 name=\"Voice\"\nV:2 name=\"Harp high\"\nV:3 name=\"Harp low\"\nK:C\n\
V:1\nGGGG|AAAA|GGGG|\nV:2\ncdef|gfed|cdef|\nV:3\nC,4|G,4|C,4|\n";

/// The song with its page of parts and hands in front.
fn song<'a>() -> Harness<'a, Bench> {
    let mut harness = window(egui::Theme::Light);
    let bytes: Arc<[u8]> = SONG.as_bytes().into();
    harness.state_mut().act(FileIntent::OpenBytes { name: "song.abc".to_owned(), bytes }.into());
    harness.run();
    harness.get_by_label("More").click();
    harness.run();
    harness.get_by_label("Who plays what").click();
    harness.run();
    harness
}

/// The hands of all plucks by pitch: `C5R`.
fn plucks(harness: &Harness<'_, Bench>) -> Vec<String> {
    let piece = harness.state().state.piece.as_ref().unwrap();
    let letter = |hand| if hand == Hand::Right { 'R' } else { 'L' };
    piece.performance.plucks().iter().map(|pluck| format!("{}{}", pluck.pitch.ascii(), letter(pluck.hand))).collect()
}

fn click(harness: &mut Harness<'_, Bench>, role: Role, name: &str) {
    harness.get_by_role_and_label(role, name).click();
    harness.run();
}

/// Without the singer the two staves of the harp are one hand each; the last part can't be taken away.
#[test]
fn the_harps_parts_have_check_marks() {
    let mut harness = song();
    assert_eq!(plucks(&harness).len(), 3 * 9, "all three parts: nothing says which is the harp");
    click(&mut harness, Role::CheckBox, "The harp plays: Voice");
    assert!(matches!(harness.state().seen.last(), Some(Intent::Plan(PlanIntent::UseHands(_)))));
    assert_eq!(plucks(&harness)[..5], ["C3L", "C5R", "D5R", "E5R", "F5R"]);
    assert_eq!(plucks(&harness).len(), 3 * 5);
    click(&mut harness, Role::CheckBox, "The harp plays: Harp low");
    assert_eq!(plucks(&harness).len(), 3 * 4);
    click(&mut harness, Role::CheckBox, "The harp plays: Harp high");
    assert_eq!(plucks(&harness).len(), 3 * 4, "something has to be played");
    let shown = harness.get_by_role_and_label(Role::CheckBox, "The harp plays: Harp high");
    assert_eq!(shown.accesskit_node().toggled(), Some(Toggled::True));
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    harness.run();
    assert_eq!(plucks(&harness).len(), 3 * 5, "it can be undone like any decision");
}

/// The singer's line stays as a guide: it sounds beside the harp, is told in the loop, and is kept with the piece.
#[test]
fn a_singers_part_stays_as_a_cue_line() {
    use leverlane_core::drill::EventKind;
    let mut harness = song();
    assert!(harness.query_by_label_contains("Cue line").is_none(), "the harp plays all parts");
    click(&mut harness, Role::CheckBox, "The harp plays: Voice");
    click(&mut harness, Role::RadioButton, "Cue line: Voice");
    assert!(matches!(harness.state().seen.last(), Some(Intent::Plan(PlanIntent::UseCueLine(Some(0))))));
    harness.snapshot("hands_light");
    let results = harness.take_snapshot_results();
    let state = &harness.state().state;
    let guide: Vec<u8> = state.piece.as_ref().unwrap().performance.guide().iter().map(|note| note.note.get()).collect();
    assert_eq!(guide, [67, 67, 67, 67, 69, 69, 69, 69, 67, 67, 67, 67], "four G4, four A4, four G4");
    let whole = state.whole.as_ref().unwrap();
    let heard = whole.timeline.events.iter().filter(|event| matches!(event.kind, EventKind::Guide(_))).count();
    assert_eq!(heard, 12);
    assert_eq!(state.to_document().unwrap().cue_line, Some(0));
    harness.state_mut().act(Intent::Go(Place::Drill));
    harness.run();
    harness.get_by_role_and_label(Role::Slider, "Cue line volume");
    drop(results);
}

/// Bar 2 is given to the left hand alone, as its printed number says; the other bars stay as they were.
#[test]
fn some_bars_have_hands_of_their_own() {
    let mut harness = song();
    click(&mut harness, Role::CheckBox, "The harp plays: Voice");
    let type_into = |harness: &mut Harness<'_, Bench>, name: &str, text: &str| {
        let field = harness.get_by_role_and_label(Role::TextInput, name);
        field.focus();
        field.type_text(text);
        harness.run();
    };
    type_into(&mut harness, "from bar", "2");
    type_into(&mut harness, "to bar", "9");
    harness.get_by_label("The piece has bars 1 to 3; give two of them, the earlier first.");
    harness.state_mut().views.hands = leverlane_app::views::hands::HandsView::default();
    type_into(&mut harness, "from bar", "2");
    type_into(&mut harness, "to bar", "2");
    harness.get_by_role_and_label(Role::ComboBox, "Hands in these bars: upper staff right, the others left").click();
    harness.run();
    harness.get_by_label("all left").click();
    harness.run();
    click(&mut harness, Role::Button, "Add these bars");
    harness.get_by_label("Bars 2 to 2: all left");
    assert_eq!(plucks(&harness)[5..10], ["G3L", "G5L", "F5L", "E5L", "D5L"]);
    assert_eq!(plucks(&harness)[10..12], ["C3L", "C5R"]);
    click(&mut harness, Role::Button, "Remove: Bars 2 to 2: all left");
    assert_eq!(plucks(&harness)[5..7], ["G3L", "G5R"]);
}

/// By pitch the hands part at a string that can be moved.
#[test]
fn hands_part_at_a_pitch() {
    let mut harness = song();
    click(&mut harness, Role::CheckBox, "The harp plays: Voice");
    harness.get_by_role_and_label(Role::ComboBox, "Hands: as usual").click();
    harness.run();
    harness.get_by_label("from C4 up right").click();
    harness.run();
    for _ in 0..8 {
        click(&mut harness, Role::Button, "Part the hands a string higher");
    }
    // Eight strings above C4 is D5.
    let way = harness.state().state.wishes.hands.way();
    assert_eq!(way, HandWay::SplitAt("D5".parse().unwrap()));
    assert_eq!(plucks(&harness)[..4], ["C3L", "C5L", "D5R", "E5R"]);
}
