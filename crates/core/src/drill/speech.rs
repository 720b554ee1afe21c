//! The count and the flips as words.

use super::timeline::{Event, EventKind};
use super::{Chunk, TimelineOptions};
use crate::harp::LeverState;
use crate::meter::{BarPlace, Meter};
use crate::pitch::Letter;
use crate::plan::Plan;
use crate::time::{ScoreTime, Seconds, TempoMap, Ticks};

/// A word that is spoken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Word {
    /// A beat's number, 1 to [`MOST_COUNTED`].
    Number(u8),
    /// A string's letter, a little before its flip.
    Letter(Letter),
    /// Where its lever goes, exactly on the flip beat.
    Lever(LeverState),
}

/// Beats beyond this one are not spoken.
pub const MOST_COUNTED: u8 = 12;

/// Whether the count and the flips are spoken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Speech {
    /// They are not.
    #[default]
    Silent,
    /// In the count-in, and in a pass while everything is cued.
    Spoken,
}

/// How long before the flip beat its letter is spoken: as long as the longest letter of our clips, and a breath (a working
/// value of ours).
pub const LETTER_AHEAD: Seconds = Seconds::new(0.4);
/// No number is spoken so shortly before a flip's letter, or it would run into it; the longest takes 0.62 s.
const ROOM_FOR_NUMBER: f64 = 0.35;

/// The numbers of a bar's clicked beats, from where the bar begins. `anacrusis` is how much of it is missing before.
pub(super) fn numbers(
    meter: &Meter,
    anacrusis: Ticks,
    beats: impl Iterator<Item = Ticks>,
    options: TimelineOptions,
) -> Vec<(Ticks, Word)> {
    let number = |at: Ticks| u8::try_from(BarPlace::at(at + anacrusis, meter, options.counting).beat).ok();
    let counted = beats.filter_map(|at| Some((at, number(at).filter(|&number| number <= MOST_COUNTED)?)));
    counted.map(|(at, number)| (at, Word::Number(number))).collect()
}

/// The flips of a pass as words, each letter ahead of its beat and the lever's way on it; of a gesture its first flip.
pub(super) fn calls(chunk: &Chunk, plan: &Plan) -> Vec<Event> {
    let gestures = plan.gestures.get(chunk.gestures.clone()).unwrap_or_default();
    let mut events = Vec::new();
    for gesture in gestures {
        let Some(flip) = gesture.flips.first() else { continue };
        let at = gesture.at - chunk.starts;
        let spoken = |word, shift| Event { at, kind: EventKind::Spoken { word, shift } };
        events.push(spoken(Word::Letter(flip.sounds.letter()), LETTER_AHEAD * -1.0));
        events.push(spoken(Word::Lever(flip.to), Seconds::ZERO));
    }
    events
}

/// Takes out the numbers that would run into a flip's words.
pub(super) fn make_room(events: &mut Vec<Event>, calls: &[Event], tempo: &TempoMap) {
    let seconds = |at: Ticks| tempo.seconds_at(ScoreTime::from_start(at)).get();
    let flips: Vec<f64> = calls.iter().map(|call| seconds(call.at)).collect();
    let clear = |at: f64| {
        flips.iter().all(|flip| at > flip + ROOM_FOR_NUMBER || at < flip - LETTER_AHEAD.get() - ROOM_FOR_NUMBER)
    };
    let is_number = |event: &Event| matches!(event.kind, EventKind::Spoken { word: Word::Number(_), .. });
    events.retain(|event| !is_number(event) || clear(seconds(event.at)));
}
