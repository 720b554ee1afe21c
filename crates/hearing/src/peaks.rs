//! Which frames are onsets.

/// How many frames on either side an onset is the likeliest of (9 ms of frames that are 3 ms apart).
const AROUND: usize = 3;
const SEEN: usize = 2 * AROUND + 1;
/// How many frames are at least between two onsets (20 ms).
const APART: u64 = 7;
/// How likely an onset is at least.
const LIKELY: f32 = 0.3;

/// A frame that is an onset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Peak {
    /// The frame, counted from 0.
    pub(crate) frame: u64,
    /// How likely it is, up to 1.
    pub(crate) probability: f32,
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
        if !(likeliest && free && own >= LIKELY) {
            return None;
        }
        self.last = Some(frame);
        Some(Peak { frame, probability: own })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of two equal frames the first; a peak 4 frames after another is too near, one below 0.3 too unlikely.
    #[test]
    fn the_likeliest_frames_are_onsets() {
        let mut picker = PeakPicker::new();
        let mut row = [0.0; 40];
        for (frame, probability) in [(5, 0.8), (6, 0.8), (10, 0.7), (20, 0.5), (30, 0.2)] {
            row[frame] = probability;
        }
        let peaks: Vec<Peak> = row.into_iter().filter_map(|probability| picker.push(probability)).collect();
        assert_eq!(peaks, [Peak { frame: 5, probability: 0.8 }, Peak { frame: 20, probability: 0.5 }]);
    }
}
