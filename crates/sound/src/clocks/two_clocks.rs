//! The loudspeaker's and the microphone's clock, and the way between them.

use leverlane_core::time::Seconds;

use crate::SampleIndex;
use crate::capture::{HeardIndex, HeardPoint};
use crate::clocks::device_clock::{ClockMark, DeviceClock};
use crate::clocks::steady_line::{Kind, PartsPerMillion, SteadyLine, Unsteadiness};
use crate::sample_clock::SampleRate;

/// So many of our own sounds heard again say more than the devices' callbacks and a latency from another day.
const ENOUGH_ECHOES: usize = 4;
/// A step of the way from this on is a jump: sound covers a metre in it.
const WAY_JUMP: Seconds = Seconds::new(0.003);
/// A rate so far off is another rate than the device says, in parts per million. Callbacks through a sound server seem to
/// be a thousand off for seconds.
const UNTRUE: f64 = 5_000.0;
/// The callbacks' word on the drift counts from so many seconds on, and only where it is one that crystals have.
const DRIFT_FROM: (f64, f64) = (30.0, 500.0);

/// Something the player should know about the clocks.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ClockNews {
    /// The loudspeaker's clock jumped: the device ran out of samples.
    #[error("the sound halted for {} ms: this pass can't be judged", milliseconds(.0))]
    OutputJumped(Seconds),
    /// The microphone's clock jumped: sound was lost.
    #[error("the microphone lost {} ms of sound: this pass can't be judged", milliseconds(.0))]
    InputJumped(Seconds),
    /// The way through loudspeaker and microphone became longer or shorter at once.
    #[error("the sound's way to the microphone has changed by {} ms: this pass can't be judged", milliseconds(.0))]
    WayJumped(Seconds),
    /// The way wanders.
    #[error(
        "the sound's way to the microphone wanders by {} ms, as wireless devices make it: use a cable for listening",
        milliseconds(.0)
    )]
    WayWanders(Seconds),
    /// A device runs at another rate than it says.
    #[error("a sound device runs {:.0} parts in a million away from its rate: choose another device", .0.get())]
    RateUntrue(PartsPerMillion),
}

fn milliseconds(seconds: &Seconds) -> String {
    format!("{:.0}", seconds.get().abs() * 1_000.0)
}

/// Relates what is played to what is heard, both by their counts of samples. Its memory doesn't grow.
///
/// Two things tell the relation. The devices' callbacks, together with a latency measured before, are good to some
/// milliseconds, and all there is with headphones. Sounds of ours that are heard again relate the counts themselves, to
/// the sample; from the fourth on they decide.
#[derive(Clone, Debug)]
pub struct TwoClocks {
    output: DeviceClock,
    input: DeviceClock,
    latency: Option<Seconds>,
    /// By how many seconds of its own count a sound is heard later than it was played by the other count, over that.
    echoes: SteadyLine,
    rate_told: bool,
}

impl TwoClocks {
    /// Two devices that have just been opened, with the latency of this pair where it was measured before.
    pub fn new(output: SampleRate, input: SampleRate, latency: Option<Seconds>) -> TwoClocks {
        TwoClocks {
            output: DeviceClock::new(output),
            input: DeviceClock::new(input),
            latency,
            echoes: SteadyLine::with_jumps_from(WAY_JUMP),
            rate_told: false,
        }
    }

    /// Takes a mark of the loudspeaker.
    pub fn note_output(&mut self, mark: ClockMark) -> Option<ClockNews> {
        let Some(Unsteadiness::Jumped(by)) = self.output.note(mark) else { return self.untrue_rate() };
        self.echoes.shift(by);
        Some(ClockNews::OutputJumped(by))
    }

    /// Takes a mark of the microphone.
    pub fn note_input(&mut self, mark: ClockMark) -> Option<ClockNews> {
        let Some(Unsteadiness::Jumped(by)) = self.input.note(mark) else { return self.untrue_rate() };
        self.echoes.shift(Seconds::new(-by.get()));
        Some(ClockNews::InputJumped(by))
    }

    fn untrue_rate(&mut self) -> Option<ClockNews> {
        let drifts = [self.output.drift(), self.input.drift()];
        let untrue = drifts.into_iter().flatten().find(|ppm| ppm.get().abs() > UNTRUE)?;
        if self.rate_told {
            return None;
        }
        self.rate_told = true;
        Some(ClockNews::RateUntrue(untrue))
    }

    /// Takes a sound of ours that was heard again: played on one sample, heard on another. A room bends sounds of one pitch
    /// otherwise than those of another, so sounds are of one kind only if they are the same.
    pub fn note_echo(&mut self, kind: Kind, played: SampleIndex, heard: HeardPoint) -> Option<ClockNews> {
        if let Some(slope) = self.drift_of_callbacks() {
            self.echoes.expect_slope(slope);
        }
        let played = self.played_seconds(played.get() as f64);
        match self.echoes.note_of(kind, played, self.heard_seconds(heard.0) - played)? {
            Unsteadiness::Jumped(by) => Some(ClockNews::WayJumped(by)),
            Unsteadiness::Wanders(by) => Some(ClockNews::WayWanders(by)),
        }
    }

    fn played_seconds(&self, played: f64) -> f64 {
        played / f64::from(self.output.rate().get())
    }

    fn heard_seconds(&self, heard: f64) -> f64 {
        heard / f64::from(self.input.rate().get())
    }

    fn drift_of_callbacks(&self) -> Option<f64> {
        let watched = self.output.watched().get().min(self.input.watched().get());
        let parts = self.input.drift()?.get() - self.output.drift()?.get();
        (watched >= DRIFT_FROM.0 && parts.abs() <= DRIFT_FROM.1).then_some(parts * 1e-6)
    }

    /// The time from a sample's way out to its way in, by the devices' callbacks, for places between samples too. None
    /// while the clocks are not known yet.
    pub(crate) fn way(&self, played: f64, heard: f64) -> Option<f64> {
        let played = self.output.moment_of(played)?;
        Some(self.input.moment_of(heard)?.since(played).get())
    }

    /// Gives a latency that was measured in the meantime.
    pub fn set_latency(&mut self, latency: Seconds) {
        self.latency = Some(latency);
    }

    /// Whether sounds of ours that were heard again decide.
    pub fn is_exact(&self) -> bool {
        self.echoes.len() >= ENOUGH_ECHOES
    }

    /// Which of the played samples sounded in the room when this one was heard. None before both clocks are known (the
    /// first two seconds) or without a latency.
    pub fn played_when_heard(&self, heard: HeardIndex) -> Option<SampleIndex> {
        let heard = heard.get() as f64;
        let count = if self.is_exact() {
            let heard = self.heard_seconds(heard);
            // The lag changes by parts per million: a second look leaves nothing of it.
            let mut played = heard - self.echoes.at(heard)?;
            played = heard - self.echoes.at(played)?;
            played * f64::from(self.output.rate().get())
        } else {
            let arrived = self.input.moment_of(heard)?;
            self.output.count_at(arrived.after(Seconds::new(-self.latency?.get())))?
        };
        (count > -0.5).then(|| SampleIndex::new(count.round() as u64))
    }

    /// On which sample of the microphone a played one is heard; the other way round.
    pub fn heard_when_played(&self, played: SampleIndex) -> Option<HeardIndex> {
        let HeardPoint(count) = self.heard_point(played)?;
        (count > -0.5).then(|| HeardIndex::new(count.round() as u64))
    }

    /// As [`TwoClocks::heard_when_played`], not rounded.
    pub fn heard_point(&self, played: SampleIndex) -> Option<HeardPoint> {
        let played = played.get() as f64;
        let count = if self.is_exact() {
            let played = self.played_seconds(played);
            (played + self.echoes.at(played)?) * f64::from(self.input.rate().get())
        } else {
            self.input.count_at(self.output.moment_of(played)?.after(self.latency?))?
        };
        Some(HeardPoint(count))
    }

    /// The same of a sound of a kind: where it is found, by others of its kind. None while the clocks aren't exact.
    pub fn echo_point(&self, kind: Kind, played: SampleIndex) -> Option<HeardPoint> {
        let played = self.played_seconds(played.get() as f64);
        let echo = self.is_exact().then(|| self.echoes.at_of(kind, played)).flatten()?;
        Some(HeardPoint((played + echo) * f64::from(self.input.rate().get())))
    }

    /// The sample of the microphone that comes in while a played one goes out: before it nothing of that can be heard.
    pub fn arrives_at_once(&self, played: SampleIndex) -> Option<HeardIndex> {
        let count = self.input.count_at(self.output.moment_of(played.get() as f64)?)?;
        Some(HeardIndex::new(count.max(0.0) as u64))
    }

    /// How much faster the microphone counts than the loudspeaker; none before that is known.
    pub fn drift(&self) -> Option<PartsPerMillion> {
        let by_callbacks = || Some((self.input.drift()?.get() - self.output.drift()?.get()) * 1e-6);
        self.echoes.slope().or_else(by_callbacks).map(PartsPerMillion::of_slope)
    }

    /// How far the way wanders, where it does: then listening can't be trusted.
    pub fn wanders(&self) -> Option<Seconds> {
        self.echoes.wanders()
    }

    /// How unsteady the echoes were: how far they stray from their line, and how fast that changes, in seconds a second.
    pub(crate) fn unsteadiness(&self) -> Option<(f64, f64)> {
        Some((self.echoes.spread()?, self.echoes.drawn_slope()?))
    }
}
