//! Strings plucked one after the other, each measured: what the lever check and the tuner listen to.

use leverlane_core::harp::{Harp, LeverState};
use leverlane_core::pitch::Hertz;
use leverlane_core::time::Seconds;
use leverlane_hearing::{HeardNote, MeasuredPluck, PluckMeter};

use crate::hear::pitches;
use crate::recording::Recording;
use crate::refusal::Refusal;

/// A note this doubtful is not measured.
const LEAST_CERTAIN: f64 = 0.3;
/// Of notes that begin within this the surest is the string: one is plucked at a time.
const ONE_PLUCK: Seconds = Seconds::new(0.15);

/// The plucks of a recording by time, as far as their pitches are clear.
///
/// # Errors
/// As [`Recording::listen`].
pub fn single_plucks(
    recording: &Recording,
    harp: &Harp,
    concert_pitch: Hertz,
) -> Result<Vec<(Seconds, MeasuredPluck)>, Refusal> {
    let states = [LeverState::Down, LeverState::Up];
    let notes = harp.strings().iter().flat_map(|string| states.map(|state| string.sounds(state).midi()));
    let heard = recording.listen(&pitches(notes, concert_pitch), concert_pitch)?;
    let rate = heard.rate;
    let mut surest: Vec<HeardNote> = Vec::new();
    for note in heard.notes.iter().filter(|note| note.certainty >= LEAST_CERTAIN) {
        match surest.last_mut() {
            Some(last) if rate.time_of(note.at) - rate.time_of(last.at) < ONE_PLUCK => {
                if note.certainty > last.certainty {
                    *last = *note;
                }
            }
            _ => surest.push(*note),
        }
    }
    let stretch =
        |note: &HeardNote| (note.at, rate.index_at(rate.time_of(note.at) + PluckMeter::NEEDS + Seconds::new(0.1)));
    let stretches: Vec<_> = surest.iter().map(stretch).collect();
    let (mut meter, mut plucks) = (PluckMeter::new(rate), Vec::new());
    recording.look_into(&stretches, None, |index, sound| {
        let note = surest[index];
        let about = Hertz::of_note(note.note, concert_pitch).raised_by(note.cents);
        plucks.extend(meter.measure(sound, note.at, about).map(|pluck| (rate.time_of(note.at), pluck)));
    })?;
    Ok(plucks)
}
