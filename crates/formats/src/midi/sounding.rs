//! Which notes of a channel are sounding: note beginnings and ends put together.

use std::collections::VecDeque;

use leverlane_core::pitch::MidiNote;

use super::read::PlayedNote;

/// The notes of one channel so far.
///
/// Of notes with one key that overlap, the one that began first ends first. An end without a beginning is passed over,
/// unless a beginning of that key follows at the same tick: some programs write a note of no length that way, end
/// first. Such a note is a grace note.
#[derive(Debug, Default)]
pub(super) struct Sounding {
    notes: Vec<PlayedNote>,
    keys: Vec<KeyState>,
}

/// What is open on one key.
#[derive(Clone, Debug, Default)]
struct KeyState {
    /// The notes that have not ended, by their place in [`Sounding::notes`].
    open: VecDeque<usize>,
    /// How many ends without a beginning the latest tick with any had.
    early_ends: u32,
    early_ends_at: u64,
}

impl Sounding {
    fn key(&mut self, key: MidiNote) -> &mut KeyState {
        if self.keys.is_empty() {
            self.keys = vec![KeyState::default(); 128];
        }
        &mut self.keys[usize::from(key.get())]
    }

    /// A note begins.
    pub(super) fn begin(&mut self, now: u64, key: MidiNote) {
        let index = self.notes.len();
        self.notes.push(PlayedNote { on: now, off: now, key });
        let state = self.key(key);
        if state.early_ends > 0 && state.early_ends_at == now {
            state.early_ends -= 1;
        } else {
            state.open.push_back(index);
        }
    }

    /// A note ends.
    pub(super) fn end(&mut self, now: u64, key: MidiNote) {
        let state = self.key(key);
        match state.open.pop_front() {
            Some(note) => self.notes[note].off = now,
            None if state.early_ends_at == now => state.early_ends += 1,
            None => (state.early_ends_at, state.early_ends) = (now, 1),
        }
    }

    /// The notes by their beginning, and how many were never ended. Those last to the channel's next note, the last
    /// ones to the end of the track.
    pub(super) fn finish(mut self, end: u64) -> (Vec<PlayedNote>, usize) {
        let mut unended = 0;
        for note in self.keys.into_iter().flat_map(|state| state.open) {
            let on = self.notes[note].on;
            // Notes stand in the order of their beginnings.
            let next = self.notes.partition_point(|other| other.on <= on);
            self.notes[note].off = self.notes.get(next).map_or(end, |other| other.on);
            unended += 1;
        }
        // Stable, so graces of one tick keep the order of the file; they stand before what they lead to.
        self.notes.sort_by_key(|note| match note.off > note.on {
            false => (note.on, false, None),
            true => (note.on, true, Some(note.key)),
        });
        (self.notes, unended)
    }
}
