//! Measuring the latency between a player and a microphone.

use leverlane_core::time::Seconds;

use crate::capture::{HeardIndex, Microphone};
use crate::clocks::{ClockMark, TwoClocks};
use crate::latency::measure::{Latency, LatencyError, SEARCHED, measure};
use crate::latency::probes::{Probe, Probes};
use crate::monitor::{Overhearing, Sounding};
use crate::{SampleIndex, SampleRate};

/// Sweeps played.
const SWEEPS: u32 = 7;
/// From one to the next: so far that the longest latency still leaves no doubt which one was heard.
const APART: Seconds = Seconds::new(0.7);
/// The clocks are watched for so long before anything is played, in seconds.
const WATCHED: f64 = 2.5;

/// How far a run has got.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RunState {
    /// It goes on; so many sweeps were played.
    Running(usize),
    /// It is over.
    Over(Result<Latency, LatencyError>),
}

/// Measures the latency between a player and a microphone that are both open. To be stepped a few times a second at least;
/// what is heard is forgotten with the run.
pub struct SweepRun {
    clocks: TwoClocks,
    rate: SampleRate,
    heard: Vec<f32>,
    first: Option<HeardIndex>,
    played: Vec<SampleIndex>,
    asked: bool,
}

impl SweepRun {
    /// A run for devices that were just opened or have been running; what waits unread is from before and forgotten.
    pub fn new(overhearing: &mut Overhearing, microphone: &mut Microphone) -> SweepRun {
        overhearing.skip_waiting();
        while microphone.next_block().is_some() {}
        let clocks = TwoClocks::new(overhearing.rate(), microphone.rate(), None);
        SweepRun { clocks, rate: microphone.rate(), heard: Vec::new(), first: None, played: Vec::new(), asked: false }
    }

    /// Takes up what has happened since the last step. It takes about eight seconds in all, five of which sound. Once,
    /// `play` is asked to have the sweeps played ([`Player::play_probes`](crate::Player::play_probes)), here or on
    /// another thread.
    pub fn step(
        &mut self,
        overhearing: &mut Overhearing,
        microphone: &mut Microphone,
        play: impl FnOnce(Probes),
    ) -> RunState {
        while let Some(mark) = overhearing.next_clock_mark() {
            self.clocks.note_output(mark);
        }
        while overhearing.monitor().next_block().is_some() {}
        while let Some(sound) = overhearing.monitor().next_sound() {
            if sound.what == Sounding::Sweep {
                self.played.push(sound.at);
            }
        }
        while let Some(block) = microphone.next_block() {
            let count = block.first.get() + block.samples.len() as u64;
            self.clocks.note_input(ClockMark { count, at: block.at });
            self.first.get_or_insert(block.first);
            self.heard.extend(std::iter::repeat_n(0.0, usize::try_from(block.missing).unwrap_or(0)));
            self.heard.extend_from_slice(block.samples);
        }
        let heard = self.heard.len() as f64 / f64::from(self.rate.get());
        if !self.asked && heard > WATCHED {
            play(Probes { what: Probe::Sweep, count: SWEEPS, apart: APART });
            self.asked = true;
        }
        let mut needed = WATCHED + f64::from(SWEEPS + 2) * APART.get() + SEARCHED;
        if self.played.len() < SWEEPS as usize {
            // Whoever plays them may be busy.
            needed += WATCHED;
        }
        if heard < needed {
            return RunState::Running(self.played.len());
        }
        let first = self.first.unwrap_or_default();
        let measured = measure(first, &self.heard, self.rate, &self.played, &mut self.clocks);
        if let Ok(latency) = measured {
            self.clocks.set_latency(latency.seconds);
        }
        self.heard = Vec::new();
        RunState::Over(measured)
    }

    /// The clocks with what was learnt, to go on with as long as both devices stay open.
    pub fn into_clocks(self) -> TwoClocks {
        self.clocks
    }
}
