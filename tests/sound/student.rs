//! A student made up for the tests: she plays the piece of [`super::piece`], pass after pass, each in a known way.

use leverlane_core::drill::{Event, EventKind, Timeline};
use leverlane_core::pitch::MidiNote;
use leverlane_core::score::Hand;
use leverlane_core::time::{Seconds, Tempo, TempoMap, Ticks};
use leverlane_core::verdict::{FlipOutcome, NoteOutcome, Steadiness, Verdict};
use leverlane_sound::offline::{Extent, render};
use leverlane_sound::{Mix, Program, SampleRate};

/// What she does in a pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// All as written.
    Clean,
    /// The lever stays down.
    LeverForgotten,
    /// The F4 of the first bar is left out.
    NoteLeftOut,
}

/// What she does in one pass after the other.
pub const WAYS: [Way; 4] = [Way::Clean, Way::LeverForgotten, Way::NoteLeftOut, Way::Clean];
/// How early she plays, in seconds.
pub const EARLY: f64 = 0.012;
/// Quarters of count-in, and of a pass.
pub const COUNT_IN: i64 = 4;
pub const PASS: i64 = 12;

/// Her notes in a pass: half quarters from its start, MIDI notes.
fn notes(way: Way) -> Vec<(i64, u8)> {
    let raised = if way == Way::LeverForgotten { 65 } else { 66 };
    let mut notes = vec![(0, 48), (0, 72), (3, 65), (8, 48), (12, raised)];
    if way == Way::NoteLeftOut {
        notes.remove(2);
    }
    notes
}

/// The sound of her playing by our own plucked voice, from the count-in on, at this tempo. She is early by [`EARLY`], and
/// uneven by some milliseconds.
pub fn plays(quarters_a_minute: f64, rate: SampleRate) -> Vec<f32> {
    let half = Ticks::new(Ticks::PER_QUARTER / 2);
    let mut events = Vec::new();
    for (pass, &way) in WAYS.iter().enumerate() {
        let begins = 2 * (COUNT_IN + PASS * pass as i64);
        for (place, note) in notes(way) {
            let uneven = 0.003 * ((pass as f64 * 5.0 + place as f64) * 1.7).sin();
            let kind = EventKind::Pluck {
                note: MidiNote::new(note).unwrap(),
                string: None,
                hand: if note < 60 { Hand::Left } else { Hand::Right },
                pluck: 0,
                shift: Seconds::new(uneven - EARLY),
            };
            events.push(Event { at: half * (begins + place), kind });
        }
    }
    let timeline = Timeline {
        count_in: Vec::new(),
        count_in_length: Ticks::ZERO,
        length: half * 2 * (COUNT_IN + PASS * WAYS.len() as i64),
        events,
        tempo: TempoMap::steady(Tempo::quarters(quarters_a_minute).unwrap()),
    };
    let frames = render(Program::new(&timeline, rate), Mix::default(), Extent::Passes(std::num::NonZeroU32::MIN));
    frames.iter().map(|[left, right]| 0.5 * (left + right)).collect()
}

/// Whether a verdict says what she did.
pub fn assert_true(way: Way, verdict: &Verdict, within: f64) {
    let outcomes: Vec<NoteOutcome> = verdict.notes.iter().map(|note| note.outcome).collect();
    let expected = match way {
        Way::Clean => [NoteOutcome::Hit; 5],
        Way::LeverForgotten => {
            [NoteOutcome::Hit, NoteOutcome::Hit, NoteOutcome::Hit, NoteOutcome::Hit, NoteOutcome::WrongLever]
        }
        Way::NoteLeftOut => {
            [NoteOutcome::Hit, NoteOutcome::Hit, NoteOutcome::Missed, NoteOutcome::Hit, NoteOutcome::Hit]
        }
    };
    assert_eq!(outcomes, expected, "{way:?}: {verdict:?}");
    let flip = if way == Way::LeverForgotten { FlipOutcome::Missed } else { FlipOutcome::Clean };
    assert_eq!(verdict.flips[0].outcome, flip, "{way:?}: {verdict:?}");
    assert_eq!(verdict.extra.len(), 0, "{way:?}: {verdict:?}");
    assert_eq!(verdict.steady == Steadiness::Steady, way == Way::Clean, "{way:?}: {verdict:?}");
    let bias = verdict.bias.unwrap().get();
    assert!((bias + EARLY).abs() < within, "{way:?}: a bias of {:.1} ms", bias * 1_000.0);
}
