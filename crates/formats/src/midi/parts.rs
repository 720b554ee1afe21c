//! Placed notes → parts: staves, voices, ties over bar lines.

use leverlane_core::pitch::MidiNote;
use leverlane_core::score::{Bar, Note, NoteKind, Part, Tie, VoiceIndex};
use leverlane_core::time::Ticks;

use super::BarSpan;
use super::quantise::PlacedNote;
use super::read::{Recording, Stream, too_much};
use super::spell::spell;
use crate::{ImportError, Limits, said};

/// The parts of the score: two streams make one part of two staves, any other number as many parts.
///
/// # Errors
/// Where notes that last over many bars make more tied notes than the limits allow.
pub(super) fn parts(
    recording: &Recording,
    placed: &[Vec<PlacedNote>],
    bars: &[Bar],
    spans: &[BarSpan],
    limits: &Limits,
) -> Result<Vec<Part>, ImportError> {
    let mut room = limits.notes;
    let mut notes = tied_notes(placed, bars, spans, &mut room).ok_or_else(|| {
        let found = said!("more than {notes} notes once they are tied over the bar lines", notes = limits.notes);
        too_much(said!("the long notes"), found, said!("notes of ordinary length"))
    })?;
    if let [first, second] = &mut notes[..] {
        let second_is_higher = mean_pitch(&recording.streams[1]) > mean_pitch(&recording.streams[0]);
        let (upper, lower) = if second_is_higher { (second, first) } else { (first, second) };
        let upper_voices = upper.voices;
        for note in &mut lower.notes {
            note.staff = 2;
            note.voice = VoiceIndex(note.voice.0.saturating_add(upper_voices));
        }
        let mut both = std::mem::take(&mut upper.notes);
        both.append(&mut lower.notes);
        let names = || recording.streams.iter().map(|stream| &stream.name);
        let name = names().find(|name| !name.is_empty()).cloned().unwrap_or_default();
        let voices = voice_names(upper_voices.saturating_add(lower.voices));
        return Ok(vec![Part { name, staves: 2, voices, notes: both }]);
    }
    let part = |(stream, found): (&Stream, Written)| Part {
        name: stream.name.clone(),
        staves: 1,
        voices: voice_names(found.voices),
        notes: found.notes,
    };
    Ok(recording.streams.iter().zip(notes).map(part).collect())
}

fn mean_pitch(stream: &Stream) -> f64 {
    stream.notes.iter().map(|note| f64::from(note.key.get())).sum::<f64>() / stream.notes.len().max(1) as f64
}

fn voice_names(count: u16) -> Vec<String> {
    (1..=count).map(|number| number.to_string()).collect()
}

/// The notes of one stream as they are written, and how many voices they need.
struct Written {
    notes: Vec<Note>,
    voices: u16,
}

/// Spells the notes of all streams together, gives them voices and cuts them at the bar lines. None where there would
/// be more than `room` of them.
fn tied_notes(placed: &[Vec<PlacedNote>], bars: &[Bar], spans: &[BarSpan], room: &mut usize) -> Option<Vec<Written>> {
    let bar_of = |at: Ticks| spans.partition_point(|span| span.start <= at).saturating_sub(1);
    let mut together: Vec<(Ticks, MidiNote, usize, usize)> = Vec::with_capacity(placed.iter().map(Vec::len).sum());
    for (stream, notes) in placed.iter().enumerate() {
        together.extend(notes.iter().enumerate().map(|(index, note)| (note.onset, note.key, stream, index)));
    }
    // Each stream is in order already, which this sort makes use of.
    together.sort();
    let first_bars: Vec<usize> = together.iter().map(|&(onset, ..)| bar_of(onset)).collect();
    let in_keys: Vec<_> = together.iter().zip(&first_bars).map(|(&(_, key, ..), &bar)| (key, bars[bar].key)).collect();
    let empty = |notes: &Vec<PlacedNote>| Written { notes: Vec::with_capacity(notes.len()), voices: 0 };
    let mut written: Vec<Written> = placed.iter().map(empty).collect();
    // For each stream, which voice is free from when on, and the chord that each voice sounds.
    let mut voices: Vec<Vec<(Ticks, Ticks)>> = vec![Vec::new(); placed.len()];
    let mut graces: Vec<(Ticks, u8)> = vec![(Ticks::new(-1), 0); placed.len()];
    for ((&(_, _, stream, index), pitch), &first_bar) in together.iter().zip(spell(&in_keys)).zip(&first_bars) {
        let (note, Some(pitch)) = (placed[stream][index], pitch) else { continue };
        let grace = note.end == note.onset;
        let kind = if grace {
            let count = &mut graces[stream];
            *count =
                if count.0 == note.onset { (note.onset, count.1.saturating_add(1).min(254)) } else { (note.onset, 0) };
            NoteKind::Grace(count.1)
        } else {
            NoteKind::Timed
        };
        let voice = if grace { 0 } else { free_voice(&mut voices[stream], note.onset, note.end) };
        written[stream].voices = written[stream].voices.max(voice + 1);
        let mut at = note.onset;
        for span in &spans[first_bar..] {
            *room = room.checked_sub(1)?;
            let until = note.end.min(span.end);
            let tie = match (at > note.onset, until < note.end) {
                (false, false) => Tie::None,
                (false, true) => Tie::Start,
                (true, true) => Tie::Continue,
                (true, false) => Tie::Stop,
            };
            written[stream].notes.push(Note {
                bar: span.bar,
                onset: at - span.start,
                length: until - at,
                pitch,
                harmonic: None,
                kind,
                staff: 1,
                voice: VoiceIndex(voice),
                tie,
                roll: note.roll.filter(|_| at == note.onset),
                rings_on: false,
                held: false,
                fingers: Vec::new(),
                glissando_to: None,
            });
            at = until;
            if at >= note.end {
                break;
            }
        }
    }
    Some(written)
}

/// The first voice that is free at the onset or sounds a chord of just this onset and end; a new one where there is
/// none. Many overlapping notes share the last of `MOST_VOICES`.
fn free_voice(voices: &mut Vec<(Ticks, Ticks)>, onset: Ticks, end: Ticks) -> u16 {
    const MOST_VOICES: usize = 8;
    let free = voices.iter().position(|&(began, ends)| ends <= onset || (began, ends) == (onset, end));
    let voice = match free {
        Some(voice) => voice,
        None if voices.len() < MOST_VOICES => {
            voices.push((onset, end));
            voices.len() - 1
        }
        None => MOST_VOICES - 1,
    };
    voices[voice] = (onset, end);
    voice as u16
}
