//! Which frames are onsets.

/// How many frames on either side an onset is the likeliest of (9 ms of frames that are 3 ms apart).
const AROUND: usize = 3;
const SEEN: usize = 2 * AROUND + 1;
/// How many frames are at least between two onsets (20 ms).
const APART: u64 = 7;
/// The probabilities so many frames to either side of an onset are added up, for what begins between two frames is likely in
/// both; of a sure one they come to so much, as the network has learnt it (1, and a half in the frames beside it).
const ADDED: usize = 2;
const SURE: f32 = 2.0;
/// How likely an onset is at least, added up (found by trial, on recordings left out of the learning and on those of
/// the harp that hearing is measured by).
const LIKELY: f32 = 0.9;

/// A frame that is an onset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Peak {
    /// The frame, counted from 0.
    pub(crate) frame: u64,
    /// How sure it is, 0 to 1.
    pub(crate) certainty: f32,
}

/// Finds peaks in a row of probabilities, a fixed number of frames after they came.
#[derive(Debug)]
pub(crate) struct PeakPicker {
    /// The last probabilities, the newest one last.
    seen: [f32; SEEN],
    count: u64,
    last: Option<u64>,
}

impl PeakPicker {
    pub(crate) fn new() -> PeakPicker {
        PeakPicker { seen: [0.0; SEEN], count: 0, last: None }
    }

    /// Takes the next frame's probability; tells whether the frame `AROUND` frames ago is a peak.
    pub(crate) fn push(&mut self, probability: f32) -> Option<Peak> {
        self.seen.rotate_left(1);
        self.seen[SEEN - 1] = probability;
        let frame = self.count.checked_sub(AROUND as u64);
        self.count += 1;
        let (frame, own) = (frame?, self.seen[AROUND]);
        // Of equal neighbours the first is the peak.
        let likeliest = self.seen[..AROUND].iter().all(|earlier| *earlier < own)
            && self.seen[AROUND..].iter().all(|&later| later <= own);
        let free = self.last.is_none_or(|last| frame - last >= APART);
        let likely: f32 = self.seen[AROUND - ADDED..=AROUND + ADDED].iter().sum();
        if !(likeliest && free && likely >= LIKELY) {
            return None;
        }
        self.last = Some(frame);
        Some(Peak { frame, certainty: (likely / SURE).min(1.0) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of two equal frames the first; a peak 4 frames after another is too near; 0.25 + 0.5 + 0.25 is enough, 0.85
    /// alone is not, and what is 3 frames away is not added.
    #[test]
    fn the_likeliest_frames_are_onsets() {
        let mut picker = PeakPicker::new();
        let mut row = [0.0; 50];
        let told = [(5, 0.9), (6, 0.9), (9, 0.8), (19, 0.25), (20, 0.5), (21, 0.25), (30, 0.85), (40, 0.85), (43, 0.5)];
        for (frame, probability) in told {
            row[frame] = probability;
        }
        let peaks: Vec<Peak> = row.into_iter().filter_map(|probability| picker.push(probability)).collect();
        assert_eq!(peaks, [Peak { frame: 5, certainty: 0.9 }, Peak { frame: 20, certainty: 0.5 }]);
    }
}
