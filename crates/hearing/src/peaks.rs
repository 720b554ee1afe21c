//! Which frames are onsets.

use std::collections::VecDeque;

/// How many frames on either side an onset is the greatest of (9 ms of frames that are 3 ms apart).
const AROUND: usize = 3;
/// From how many frames before it is taken what is usual (120 ms), and how: seven tenths of them are below it.
const BEFORE: usize = 41;
const USUAL: f32 = 0.7;
/// How many frames are at least between two onsets (21 ms).
const APART: u64 = 7;
/// What an onset has more than is usual, in decades.
const MORE: f32 = 0.014;

/// A frame that is an onset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Peak {
    /// The frame, counted from 0.
    pub(crate) frame: u64,
    /// By how much it exceeds what was needed: 1 is just enough.
    pub(crate) excess: f32,
}

/// Finds peaks in a row of numbers, a fixed number of frames after they came.
#[derive(Debug)]
pub(crate) struct PeakPicker {
    window: VecDeque<f32>,
    count: u64,
    last: Option<u64>,
}

impl PeakPicker {
    pub(crate) fn new() -> PeakPicker {
        PeakPicker { window: VecDeque::with_capacity(BEFORE + AROUND + 2), count: 0, last: None }
    }

    /// Takes the next frame's number; tells whether the frame `AROUND` frames ago is a peak.
    pub(crate) fn push(&mut self, value: f32) -> Option<Peak> {
        self.window.push_back(value);
        if self.window.len() > BEFORE + AROUND + 1 {
            self.window.pop_front();
        }
        let frame = self.count.checked_sub(AROUND as u64);
        self.count += 1;
        let (frame, place) = (frame?, self.window.len() - 1 - AROUND);
        let value = self.window[place];
        let around = place.saturating_sub(AROUND)..self.window.len();
        // Of equal neighbours the first is the peak.
        let greatest = around.into_iter().all(|other| {
            self.window[other] < value || other == place || (other > place && self.window[other] <= value)
        });
        let before = self.usual_before(place);
        let free = self.last.is_none_or(|last| frame - last >= APART);
        if !(greatest && free && value >= before + MORE) {
            return None;
        }
        self.last = Some(frame);
        Some(Peak { frame, excess: value / (before + MORE) })
    }

    /// What most of the frames before a place stay below.
    fn usual_before(&self, place: usize) -> f32 {
        let mut sorted = [0.0; BEFORE];
        let used = place.min(BEFORE);
        for (sorted, &earlier) in sorted.iter_mut().zip(self.window.range(place - used..place)) {
            *sorted = earlier;
        }
        sorted[..used].sort_unstable_by(f32::total_cmp);
        sorted[(used as f32 * USUAL) as usize]
    }
}
