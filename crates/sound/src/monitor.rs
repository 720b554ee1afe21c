//! What is played, told to whoever listens: the drill must not hear itself and think it was the harp.
//!
//! A [`Monitor`] gets two things from its renderer. Every sound that begins, with the sample it begins on ([`Played`]);
//! and every sample that is made, as the device gets it, with its number. So a listener knows where to look twice, and
//! can take the very signal off what it hears.

use leverlane_core::drill::Word;
use leverlane_core::pitch::MidiNote;
use leverlane_core::score::Hand;
use rtrb::{Consumer, Producer, RingBuffer};

use crate::click::{Click, click};
use crate::clocks::ClockMark;
use crate::cue_tone::cue_tone;
use crate::latency::sweep;
use crate::program::Sound;
use crate::sample_clock::{SampleIndex, SampleRate};
use crate::spoken::clip;

/// Sounds that can wait to be read.
const SOUNDS: usize = 2_048;
/// Seconds of samples that can wait to be read.
const SECONDS: usize = 4;
/// Runs of samples that can wait: a run is mostly as long as a device's callback or a block of the output, but short
/// ones come where something begins.
const RUNS: usize = 16_384;

/// A sound of ours that began, or a turn of the playing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Played {
    /// Its first sample.
    pub at: SampleIndex,
    /// What it is.
    pub what: Sounding,
}

/// What begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sounding {
    /// A pass.
    Pass {
        /// Its number, from 0 at the start of playing; it counts on when another program takes over.
        number: u64,
        /// Which of the loaded programs it plays, from 0 in the order in which they were loaded.
        program: u64,
    },
    /// The silence after a stop. After the last of a limited number of passes nothing is told.
    Stop,
    /// A click.
    Click(Click),
    /// The cue tone on a flip beat.
    Cue,
    /// A word of the count or of a flip.
    Word(Word),
    /// A sweep by which the latency is measured.
    Sweep,
    /// A note of the cue line.
    Guide(MidiNote),
    /// A string, played for the player.
    Pluck {
        /// Its note.
        note: MidiNote,
        /// The hand that would play it.
        hand: Hand,
    },
}

impl Sounding {
    pub(crate) fn of(sound: Sound) -> Sounding {
        match sound {
            Sound::Click(click) => Sounding::Click(click),
            Sound::Cue => Sounding::Cue,
            Sound::Word(word) => Sounding::Word(word),
            Sound::Sweep => Sounding::Sweep,
            Sound::Guide(note) => Sounding::Guide(note),
            Sound::Pluck { note, hand, .. } => Sounding::Pluck { note, hand },
        }
    }
}

/// The sound itself of a click or cue, at full volume and at a rate: what an echo of it looks like. None for what always
/// sounds otherwise, for what is no sound, and for what such a rate can't hold.
pub fn waveform(what: Sounding, rate: SampleRate) -> Option<Box<[f32]>> {
    match what {
        Sounding::Click(which) => click(which, rate),
        Sounding::Cue => Some(cue_tone(rate)),
        Sounding::Word(word) => clip(word, rate),
        Sounding::Sweep => Some(sweep(rate)),
        Sounding::Guide(_) | Sounding::Pluck { .. } | Sounding::Pass { .. } | Sounding::Stop => None,
    }
}

/// A run of samples as the device got them.
#[derive(Clone, Copy, Debug)]
pub struct PlayedBlock<'a> {
    /// The number of its first sample.
    pub first: SampleIndex,
    /// The mean of left and right.
    pub samples: &'a [f32],
}

/// What a device was given: by sound and sample, and when its callbacks came. Taken from a [`Player`](crate::Player) once for
/// every device it opens, to be read on a thread that listens.
pub struct Overhearing {
    pub(crate) monitor: Monitor,
    pub(crate) marks: Consumer<ClockMark>,
    pub(crate) rate: SampleRate,
}

impl Overhearing {
    /// The device's rate.
    pub fn rate(&self) -> SampleRate {
        self.rate
    }

    /// What is played, told sound by sound and sample by sample.
    pub fn monitor(&mut self) -> &mut Monitor {
        &mut self.monitor
    }

    /// The next moment at which the device took samples, for [`crate::clocks::TwoClocks`]; none while nothing waits.
    pub fn next_clock_mark(&mut self) -> Option<ClockMark> {
        self.marks.pop().ok()
    }

    /// Forgets all that waits unread.
    pub fn skip_waiting(&mut self) {
        while self.monitor.next_sound().is_some() {}
        while self.monitor.next_block().is_some() {}
        while self.next_clock_mark().is_some() {}
    }
}

/// Hears what a renderer plays. Made together with it by [`crate::monitored_pair`].
pub struct Monitor {
    sounds: Consumer<Played>,
    runs: Consumer<Run>,
    samples: Consumer<f32>,
    block: Vec<f32>,
}

#[derive(Clone, Copy, Debug)]
struct Run {
    first: SampleIndex,
    length: usize,
}

/// The renderer's end. What finds no room is left out: the monitor sees by the numbers what is missing.
pub(crate) struct MonitorLine {
    sounds: Producer<Played>,
    runs: Producer<Run>,
    samples: Producer<f32>,
}

pub(crate) fn monitor(rate: SampleRate) -> (MonitorLine, Monitor) {
    let (sounds_in, sounds) = RingBuffer::new(SOUNDS);
    let (runs_in, runs) = RingBuffer::new(RUNS);
    let (samples_in, samples) = RingBuffer::new(rate.get() as usize * SECONDS);
    let line = MonitorLine { sounds: sounds_in, runs: runs_in, samples: samples_in };
    (line, Monitor { sounds, runs, samples, block: Vec::new() })
}

impl MonitorLine {
    pub(crate) fn tell(&mut self, at: SampleIndex, what: Sounding) {
        if !self.sounds.is_full() {
            // There is room.
            self.sounds.push(Played { at, what }).ok();
        }
    }

    pub(crate) fn made(&mut self, first: SampleIndex, frames: &[[f32; 2]]) {
        if self.runs.is_full() {
            return;
        }
        let Ok(room) = self.samples.write_chunk_uninit(frames.len()) else { return };
        room.fill_from_iter(frames.iter().map(|[left, right]| 0.5 * (left + right)));
        // There is room.
        self.runs.push(Run { first, length: frames.len() }).ok();
    }
}

impl Monitor {
    /// The next sound that began; none while nothing waits.
    pub fn next_sound(&mut self) -> Option<Played> {
        self.sounds.pop().ok()
    }

    /// The next run of samples; none while nothing waits. Where nobody read in time, its number shows what is missing.
    pub fn next_block(&mut self) -> Option<PlayedBlock<'_>> {
        let run = self.runs.pop().ok()?;
        let chunk = self.samples.read_chunk(run.length).ok()?;
        self.block.clear();
        let (one, other) = chunk.as_slices();
        self.block.extend_from_slice(one);
        self.block.extend_from_slice(other);
        chunk.commit_all();
        Some(PlayedBlock { first: run.first, samples: &self.block })
    }
}
