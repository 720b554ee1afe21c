//! The half of a microphone that runs in the device's callback.

use std::num::NonZeroU16;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use rodio::cpal::FromSample;
use rtrb::Producer;

use crate::sample_clock::SampleRate;

/// Channels looked at; a device with more is heard through these.
const MOST_CHANNELS: usize = 64;
/// Another channel must be so many times as strong before it takes over (12 dB).
const TAKES_OVER: f32 = 16.0;
/// The strength of a channel is that of about the last second.
const STRENGTH_SECONDS: f32 = 1.0;

/// Which of a device's channels is listened to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ChannelChoice {
    /// The mean of one or two channels; of more, the one on which most is heard, since a single microphone on a large
    /// interface would drown in the noise of the others.
    #[default]
    Automatic,
    /// This one, from 1. Where there are fewer, the last.
    Only(NonZeroU16),
}

/// What the samples come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// Frames a second.
    pub rate: SampleRate,
    /// Samples in a frame.
    pub channels: NonZeroU16,
    /// Which of them is listened to.
    pub choice: ChannelChoice,
}

/// A run of samples that came in one callback.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Piece {
    /// Number of its first sample.
    pub(crate) first: u64,
    pub(crate) length: usize,
    /// When the callback came.
    pub(crate) at: Instant,
    /// How long its first sample had waited then, by the device's own word.
    pub(crate) waited: Duration,
}

/// Counts that both sides see.
#[derive(Debug, Default)]
pub(crate) struct IntakeGauge {
    pub(crate) taken: AtomicU64,
    pub(crate) dropped: AtomicU64,
    pub(crate) not_numbers: AtomicU64,
    pub(crate) channel: AtomicU32,
}

/// Takes what a device delivers. Made together with its [`crate::capture::Capture`] by [`crate::capture::pair`].
///
/// [`Intake::take`] neither allocates, frees, locks nor waits.
pub struct Intake {
    samples: Producer<f32>,
    pieces: Producer<Piece>,
    gauge: Arc<IntakeGauge>,
    source: Source,
    next: u64,
    /// Squares of each channel's samples, smoothed.
    strengths: [f32; MOST_CHANNELS],
    listened: usize,
}

impl Intake {
    pub(crate) fn new(
        source: Source,
        samples: Producer<f32>,
        pieces: Producer<Piece>,
        gauge: Arc<IntakeGauge>,
    ) -> Intake {
        Intake { samples, pieces, gauge, source, next: 0, strengths: [0.0; MOST_CHANNELS], listened: 0 }
    }

    /// Takes frames, their channels in turn, that came just now; the first had waited for `waited` by the device's own
    /// word. Samples that are no numbers become silence and are counted. Of an unfinished last frame nothing is taken.
    pub fn take(&mut self, interleaved: &[f32], at: Instant, waited: Duration) {
        self.take_as(interleaved, at, waited);
    }

    pub(crate) fn take_as<T: Copy>(&mut self, interleaved: &[T], at: Instant, waited: Duration)
    where
        f32: FromSample<T>,
    {
        let channels = usize::from(self.source.channels.get());
        let length = interleaved.len() / channels;
        let piece = Piece { first: self.next, length, at, waited };
        self.next += length as u64;
        self.gauge.taken.store(self.next, Ordering::Release);
        if length == 0 {
            return;
        }
        let mixing = self.mixing(channels, interleaved);
        if self.pieces.is_full() {
            self.gauge.dropped.fetch_add(length as u64, Ordering::Relaxed);
            return;
        }
        let Ok(room) = self.samples.write_chunk_uninit(length) else {
            self.gauge.dropped.fetch_add(length as u64, Ordering::Relaxed);
            return;
        };
        let mut not_numbers = 0;
        room.fill_from_iter(interleaved.chunks_exact(channels).map(|frame| {
            let sample = mixing.sample(frame);
            if sample.is_finite() {
                sample
            } else {
                not_numbers += 1;
                0.0
            }
        }));
        if not_numbers > 0 {
            self.gauge.not_numbers.fetch_add(not_numbers, Ordering::Relaxed);
        }
        // There is room: it was looked for above, and nobody else writes.
        if self.pieces.push(piece).is_err() {
            self.gauge.dropped.fetch_add(length as u64, Ordering::Relaxed);
        }
    }

    fn mixing<T: Copy>(&mut self, channels: usize, interleaved: &[T]) -> Mixing
    where
        f32: FromSample<T>,
    {
        let mixing = match self.source.choice {
            ChannelChoice::Only(channel) => Mixing::Channel(usize::from(channel.get()).min(channels) - 1),
            ChannelChoice::Automatic if channels <= 2 => Mixing::Mean,
            ChannelChoice::Automatic => {
                self.listen_to_the_strongest(channels, interleaved);
                Mixing::Channel(self.listened)
            }
        };
        let number = match mixing {
            Mixing::Channel(channel) => channel as u32 + 1,
            Mixing::Mean => 0,
        };
        self.gauge.channel.store(number, Ordering::Relaxed);
        mixing
    }

    fn listen_to_the_strongest<T: Copy>(&mut self, channels: usize, interleaved: &[T])
    where
        f32: FromSample<T>,
    {
        let looked_at = channels.min(MOST_CHANNELS);
        let length = (interleaved.len() / channels) as f32;
        let part = (length / (STRENGTH_SECONDS * self.source.rate.get() as f32)).min(1.0);
        for (channel, strength) in self.strengths[..looked_at].iter_mut().enumerate() {
            let squares = interleaved.chunks_exact(channels).map(|frame| f32::from_sample_(frame[channel]).powi(2));
            let mean = squares.filter(|square| square.is_finite()).sum::<f32>() / length;
            *strength += part * (mean - *strength);
        }
        let strongest = (0..looked_at).max_by(|&a, &b| self.strengths[a].total_cmp(&self.strengths[b])).unwrap_or(0);
        if self.strengths[strongest] > TAKES_OVER * self.strengths[self.listened] {
            self.listened = strongest;
        }
    }
}

/// What is made of a frame.
#[derive(Clone, Copy)]
enum Mixing {
    Mean,
    Channel(usize),
}

impl Mixing {
    fn sample<T: Copy>(self, frame: &[T]) -> f32
    where
        f32: FromSample<T>,
    {
        match self {
            Mixing::Mean => frame.iter().map(|&sample| f32::from_sample_(sample)).sum::<f32>() / frame.len() as f32,
            Mixing::Channel(channel) => f32::from_sample_(frame[channel]),
        }
    }
}
