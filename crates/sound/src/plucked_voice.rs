//! A plucked string, as a travelling wave in a loop.
//!
//! The model (Karplus and Strong 1983, Computer Music Journal 7(2), with the extensions of Jaffe and Smith in the same
//! issue): a period of the string's motion runs round a delay line; at every turn a filter takes away a little, more
//! of the high partials than of the low ones. The loop's length is tuned with the filters' own delay at the
//! fundamental taken into account, so that the pitch is right to far less than a cent.

use std::f64::consts::{PI, TAU};

use leverlane_core::pitch::{Hertz, MidiNote};

use crate::sample_clock::SampleRate;

/// Where a string is plucked, as a share of its length: near the middle, which weakens the even partials (practice of
/// harpists).
const PLUCKING_PLACE: f64 = 0.42;
/// The frequency at which the flesh of the finger takes partials away by a factor of e (assumed by ear).
const FINGER_SOFTNESS_HZ: f64 = 3_500.0;
/// No partial above this is put into a string.
const MOST_PARTIALS: f64 = 60.0;
/// Peak amplitude of one string at full volume.
const AMPLITUDE: f64 = 0.18;

/// How long strings ring audibly, down by 60 dB, by note (common practice: C2–C3 6–12 s, C4 3–5 s, C5 about 2 s, C6
/// about 1 s, C7 under 0.5 s). Between these the logarithm is interpolated.
const RING_SECONDS: [(f64, f64); 8] =
    [(24.0, 11.0), (36.0, 9.5), (48.0, 7.5), (60.0, 4.0), (72.0, 2.0), (84.0, 1.0), (96.0, 0.42), (108.0, 0.2)];

/// What a note needs to be plucked, worked out beforehand.
#[derive(Debug)]
pub(crate) struct PreparedNote {
    /// The delay line's first content.
    line: Box<[f32]>,
    /// What the filters remember of the period before.
    filters: Filters,
    loss: LoopLoss,
    /// How far the all-pass filter shifts the loop's length by less than a sample.
    tuning: f32,
    /// Samples until it is no longer heard.
    rings: u32,
    /// Factors on the left and right channel: low strings a little to the left.
    pan: [f32; 2],
}

/// A symmetric filter of three samples: it delays every partial by exactly one sample, and so changes no pitch.
#[derive(Clone, Copy, Debug, Default)]
struct LoopLoss {
    side: f32,
    middle: f32,
}

#[derive(Clone, Copy, Debug, Default)]
struct Filters {
    one_ago: f32,
    two_ago: f32,
    allpass_in: f32,
    allpass_out: f32,
}

impl PreparedNote {
    /// Prepares a note; none where its period is too short for the rate or too long to be heard as a pitch. Allocates.
    pub(crate) fn new(note: MidiNote, rate: SampleRate) -> Option<PreparedNote> {
        let per_second = f64::from(rate.get());
        let hertz = Hertz::of_note(note, Hertz::A4).get();
        let period = per_second / hertz;
        if hertz < 20.0 || period < 6.0 {
            return None;
        }
        // One sample is the loss filter's; the all-pass filter works best between 0.4 and 1.4.
        let whole = (period - 1.4).floor();
        let fraction = period - 1.0 - whole;
        let turn = TAU / period;
        let tuning = ((1.0 - fraction) * turn / 2.0).sin() / ((1.0 + fraction) * turn / 2.0).sin();
        let seconds = ring_seconds(f64::from(note.get()));
        let wave = Wave::new(hertz, per_second);
        let pan = (f64::from(note.get()) - 66.0) / 48.0 * 0.35;
        let angle = (1.0 + pan.clamp(-0.6, 0.6)) * PI / 4.0;
        let at = |sample: f64| wave.at(sample / period) as f32;
        Some(PreparedNote {
            line: (1..=whole as usize).map(|sample| at(sample as f64)).collect(),
            filters: Filters {
                one_ago: at(0.0),
                two_ago: at(-1.0),
                allpass_in: at(-1.0),
                allpass_out: at(-1.0 - fraction),
            },
            loss: loop_loss(turn, 10f64.powf(-3.0 * period / (per_second * seconds))),
            tuning: tuning as f32,
            rings: (per_second * seconds * 1.3) as u32,
            pan: [(angle.cos() * AMPLITUDE) as f32, (angle.sin() * AMPLITUDE) as f32],
        })
    }

    /// How long its delay line is.
    pub(crate) fn line_length(&self) -> usize {
        self.line.len()
    }
}

/// How long a note rings, in seconds.
fn ring_seconds(note: f64) -> f64 {
    let after = RING_SECONDS.partition_point(|&(key, _)| key <= note).clamp(1, RING_SECONDS.len() - 1);
    let ((low, longer), (high, shorter)) = (RING_SECONDS[after - 1], RING_SECONDS[after]);
    let share = ((note - low) / (high - low)).clamp(0.0, 1.0);
    longer * (shorter / longer).powf(share)
}

/// The loss per turn that leaves `kept` of the fundamental, and of its eighth partial as much as four such turns would
/// leave, as far as a filter that stays below 1 everywhere can.
fn loop_loss(turn: f64, kept: f64) -> LoopLoss {
    let at_fundamental = 1.0 - turn.cos();
    let at_eighth = 1.0 - (8.0 * turn).min(PI).cos();
    let wanted = (1.0 - kept.powi(3)) / (at_eighth - at_fundamental * kept.powi(3));
    // At zero frequency the filter passes kept / (1 - damping · at_fundamental), which must not reach 1.
    let damping = wanted.clamp(0.0, 0.48).min(0.9 * (1.0 - kept) / at_fundamental);
    let gain = kept / (1.0 - damping * at_fundamental);
    LoopLoss { side: (gain * damping / 2.0) as f32, middle: (gain * (1.0 - damping)) as f32 }
}

/// One period of a string's motion at the moment it is let go, without anything above what the rate can carry.
struct Wave {
    /// Amplitudes of the partials, the fundamental first; the peak of their sum is 1.
    amplitudes: Vec<f64>,
}

impl Wave {
    fn new(hertz: f64, per_second: f64) -> Wave {
        let most = (0.4 * per_second / hertz).clamp(1.0, MOST_PARTIALS) as usize;
        let amplitudes = (1..=most)
            .map(|partial| {
                let k = partial as f64;
                // A string pulled aside at one point: sin(kπβ)/k in its force on the soundboard.
                (k * PI * PLUCKING_PLACE).sin() / k * (-k * hertz / FINGER_SOFTNESS_HZ).exp()
            })
            .collect();
        let mut wave = Wave { amplitudes };
        let peak = (0..256).map(|step| wave.at(f64::from(step) / 256.0).abs()).fold(0.0, f64::max);
        for amplitude in &mut wave.amplitudes {
            *amplitude /= peak;
        }
        wave
    }

    /// The motion at a place in the period, 0 to 1 and round again. The sines of the multiples follow from each other
    /// (sin kx = 2 cos x · sin (k−1)x − sin (k−2)x).
    fn at(&self, place: f64) -> f64 {
        let angle = TAU * place;
        let twice_cos = 2.0 * angle.cos();
        let (mut before, mut sine) = (0.0, angle.sin());
        let mut sum = 0.0;
        for &amplitude in &self.amplitudes {
            sum += amplitude * sine;
            (before, sine) = (sine, twice_cos * sine - before);
        }
        sum
    }
}

/// One string that can sound, with room for the longest note.
#[derive(Debug)]
pub(crate) struct PluckedVoice {
    line: Box<[f32]>,
    length: usize,
    place: usize,
    filters: Filters,
    loss: LoopLoss,
    tuning: f32,
    pan: [f32; 2],
    /// Samples until it falls silent.
    left: u32,
    /// While it is damped: the factor now, and what is taken from it at every sample.
    damping: Option<(f32, f32)>,
}

impl PluckedVoice {
    /// A silent voice. Allocates.
    pub(crate) fn with_room_for(longest: usize) -> PluckedVoice {
        PluckedVoice {
            line: vec![0.0; longest.max(1)].into(),
            length: 1,
            place: 0,
            filters: Filters::default(),
            loss: LoopLoss::default(),
            tuning: 0.0,
            pan: [0.0; 2],
            left: 0,
            damping: None,
        }
    }

    /// Samples until it falls silent by itself; 0 where it is silent.
    pub(crate) fn samples_left(&self) -> u32 {
        self.left
    }

    /// Plucks it on the next sample, whatever it sounded before.
    pub(crate) fn pluck(&mut self, note: &PreparedNote) {
        let length = note.line.len().min(self.line.len());
        self.line[..length].copy_from_slice(&note.line[..length]);
        self.length = length;
        self.place = 0;
        self.filters = note.filters;
        self.loss = note.loss;
        self.tuning = note.tuning;
        self.pan = note.pan;
        self.left = note.rings;
        self.damping = None;
    }

    /// Lets it fade to silence over so many samples.
    pub(crate) fn damp(&mut self, samples: u32) {
        let factor = self.damping.map_or(1.0, |(factor, _)| factor);
        self.damping = Some((factor, 1.0 / samples.max(1) as f32));
        self.left = self.left.min(samples);
    }

    /// Adds the next samples to `frames`, each times its gain.
    pub(crate) fn add_to(&mut self, frames: &mut [[f32; 2]], gains: &[f32]) {
        for (frame, &gain) in frames.iter_mut().zip(gains) {
            if self.left == 0 {
                return;
            }
            self.left -= 1;
            let mut sample = self.turn() * gain;
            if let Some((factor, step)) = &mut self.damping {
                sample *= *factor;
                *factor = (*factor - *step).max(0.0);
            }
            frame[0] += sample * self.pan[0];
            frame[1] += sample * self.pan[1];
        }
    }

    /// One sample round the loop.
    fn turn(&mut self) -> f32 {
        let filters = &mut self.filters;
        let sample = self.line[self.place];
        let lost = self.loss.side * (sample + filters.two_ago) + self.loss.middle * filters.one_ago;
        filters.two_ago = filters.one_ago;
        filters.one_ago = sample;
        let tuned = self.tuning * (lost - filters.allpass_out) + filters.allpass_in;
        filters.allpass_in = lost;
        filters.allpass_out = tuned;
        self.line[self.place] = tuned;
        self.place += 1;
        if self.place == self.length {
            self.place = 0;
        }
        sample
    }
}
