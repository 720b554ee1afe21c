//! From paper to the drill: flips as they are said, and a few bars typed for both hands.

use leverlane_core::drill::{Chunk, ChunkRequest, ChunkSize, Cue, EventKind, Timeline, TimelineOptions};
use leverlane_core::harp::{LeverState, Preset, Tuning};
use leverlane_core::meter::Meter;
use leverlane_core::pitch::Key;
use leverlane_core::plan::{BareRequest, EndOfPiece, HandPace, PaceLevel, Request, bare_plan, plan};
use leverlane_core::score::{HandRule, Hands, Performance};
use leverlane_core::time::{Tempo, Ticks};
use leverlane_formats::abc::{PassageSettings, passage};
use leverlane_formats::paper::{PaperSettings, bare_passage};
use leverlane_formats::{Imported, Limits};

fn performed(imported: &Imported) -> Performance {
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    Performance::new(&imported.score, &imported.order, &hands)
}

/// Counting: the chunk begins a bar before the flip's, so its cue comes after one bar and three beats.
#[test]
fn a_bare_passage_is_drilled_with_its_cue() {
    let tempo = Tempo::quarters(72.0).unwrap();
    let settings = PaperSettings { title: String::new(), meter: Meter::common(), tempo, key: Key::NATURAL, bars: 16 };
    let bare = bare_passage("bar 12 beat 4: C5 up\nbar 14 beat 2 1/2: C5 down", &settings, &Limits::USUAL).unwrap();
    let performance = performed(&bare.imported);
    let harp = Preset::with_strings(34).unwrap().tuned(Tuning::C);
    let pace = HandPace::from(PaceLevel::Improver);
    let request = BareRequest {
        performance: &performance,
        harp: &harp,
        tempo: performance.tempo(),
        pace: &pace,
        flips: &bare.flips,
    };
    let planned = bare_plan(&request);
    assert!(planned.unmet.is_empty() && planned.plan.problems.is_empty());
    assert_eq!(performance.tempo().opening(), tempo);
    let request = ChunkRequest { performance: &performance, plan: &planned.plan, harp: &harp, pace: &pace, tempo };
    let chunk = Chunk::around(&request, 0, ChunkSize::BarEachSide).unwrap();
    assert_eq!((chunk.first, chunk.last), (10, 12));
    let timeline = Timeline::of(&chunk, &performance, &planned.plan, TimelineOptions::default());
    let cues: Vec<Ticks> = timeline
        .events
        .iter()
        .filter(|event| event.kind == EventKind::Cue(Cue::Planned(0)))
        .map(|event| event.at)
        .collect();
    assert_eq!(cues, [Ticks::QUARTER * 7]);
    assert!(timeline.events.iter().any(|event| matches!(event.kind, EventKind::Cue(Cue::Reset(_)))), "C5 comes down");
}

/// From E flat set to C major, F4 F sharp 4 F4 needs F4 up and down again (worked case 1: a lever changes one string).
#[test]
fn typed_bars_are_planned_like_any_piece() {
    let typed = passage("c8|c8|c8|", "F,8|^F,8|F,8|", &PassageSettings::default(), &Limits::USUAL).unwrap();
    let performance = performed(&typed);
    let harp = Preset::with_strings(34).unwrap().tuned(Tuning::EFlat);
    let pace = HandPace::from(PaceLevel::Fluent);
    let answer = plan(&Request {
        performance: &performance,
        harp: &harp,
        tempo: performance.tempo(),
        pace: &pace,
        edits: &[],
        ending: EndOfPiece::Stop,
    });
    let flips: Vec<(String, LeverState)> = answer
        .gestures
        .iter()
        .flat_map(|gesture| &gesture.flips)
        .map(|flip| (harp.string(flip.string).unwrap().open.ascii(), flip.to))
        .collect();
    assert_eq!(flips, [("F3".to_owned(), LeverState::Up), ("F3".to_owned(), LeverState::Down)]);
}
