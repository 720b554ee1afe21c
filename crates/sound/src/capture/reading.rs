//! The half of a microphone that the rest of the program holds.

use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use rtrb::{Consumer, RingBuffer};

use crate::capture::intake::{Intake, IntakeGauge, Piece, Source};
use crate::sample_clock::SampleRate;

/// What can wait unread: so many seconds of sound.
const SECONDS: usize = 4;
/// Pieces that can wait; at four seconds each may be as short as a millisecond.
const PIECES: usize = 4_096;

/// One sample of the microphone, counted from the first that it delivered. The microphone's clock is not the
/// loudspeaker's, so the two counts drift apart.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct HeardIndex(u64);

impl HeardIndex {
    /// The sample at a place in the count, from 0.
    pub const fn new(index: u64) -> HeardIndex {
        HeardIndex(index)
    }

    /// The place in the count, from 0.
    pub const fn get(self) -> u64 {
        self.0
    }
}

/// A place in the microphone's count, between samples too.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct HeardPoint(pub f64);

/// A run of samples without a gap.
#[derive(Clone, Copy, Debug)]
pub struct Block<'a> {
    /// The number of its first sample.
    pub first: HeardIndex,
    /// The samples, one channel, full scale at 1.
    pub samples: &'a [f32],
    /// How many samples are missing before it.
    pub missing: u64,
    /// When the device delivered it.
    pub at: Instant,
    /// How long its first sample had waited by then, by the device's own word; zero where it says nothing.
    pub waited: Duration,
}

/// What has gone wrong with what was heard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CaptureTroubles {
    /// Samples left out because nobody read in time.
    pub dropped: u64,
    /// Samples that were no numbers and became silence.
    pub not_numbers: u64,
}

/// Reads what an [`Intake`] takes.
pub struct Capture {
    samples: Consumer<f32>,
    pieces: Consumer<Piece>,
    gauge: Arc<IntakeGauge>,
    rate: SampleRate,
    next: u64,
    block: Vec<f32>,
}

/// The two halves of a microphone for a source of samples. Allocates everything the intake will ever need.
pub fn pair(source: Source) -> (Intake, Capture) {
    let (samples_in, samples) = RingBuffer::new(source.rate.get() as usize * SECONDS);
    let (pieces_in, pieces) = RingBuffer::new(PIECES);
    let gauge = Arc::new(IntakeGauge::default());
    let capture = Capture { samples, pieces, gauge: Arc::clone(&gauge), rate: source.rate, next: 0, block: Vec::new() };
    (Intake::new(source, samples_in, pieces_in, gauge), capture)
}

impl Capture {
    /// Samples a second.
    pub fn rate(&self) -> SampleRate {
        self.rate
    }

    /// The next run of samples; none while nothing waits.
    pub fn next_block(&mut self) -> Option<Block<'_>> {
        let piece = self.pieces.pop().ok()?;
        let chunk = self.samples.read_chunk(piece.length).ok()?;
        self.block.clear();
        let (one, other) = chunk.as_slices();
        self.block.extend_from_slice(one);
        self.block.extend_from_slice(other);
        chunk.commit_all();
        let missing = piece.first.saturating_sub(self.next);
        self.next = piece.first + piece.length as u64;
        let first = HeardIndex(piece.first);
        Some(Block { first, samples: &self.block, missing, at: piece.at, waited: piece.waited })
    }

    /// How many samples the device has delivered, read or not.
    pub fn delivered(&self) -> HeardIndex {
        HeardIndex(self.gauge.taken.load(Ordering::Acquire))
    }

    /// What has gone wrong so far.
    pub fn troubles(&self) -> CaptureTroubles {
        CaptureTroubles {
            dropped: self.gauge.dropped.load(Ordering::Relaxed),
            not_numbers: self.gauge.not_numbers.load(Ordering::Relaxed),
        }
    }

    /// The one channel that is listened to, from 1; none where it is the mean of all.
    pub fn channel(&self) -> Option<u16> {
        u16::try_from(self.gauge.channel.load(Ordering::Relaxed)).ok().filter(|&channel| channel > 0)
    }
}
