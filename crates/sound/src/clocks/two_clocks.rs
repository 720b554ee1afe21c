//! The loudspeaker's and the microphone's clock, and the way between them.

use leverlane_core::time::Seconds;

use crate::SampleIndex;
use crate::capture::HeardIndex;
use crate::clocks::device_clock::{ClockMark, DeviceClock};
use crate::clocks::steady_line::{PartsPerMillion, SteadyLine, Unsteadiness};
use crate::sample_clock::SampleRate;

/// So many of our own sounds heard again say more than a latency from another day.
const ENOUGH_ECHOES: usize = 5;
/// A rate so far off is another rate than the device says.
const UNTRUE: f64 = 1_000.0;

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
    #[error("the sound's way to the microphone has changed by {} ms: measure the latency again", milliseconds(.0))]
    LatencyJumped(Seconds),
    /// The way wanders.
    #[error(
        "the sound's way to the microphone wanders by {} ms, as wireless devices make it: use a cable for listening",
        milliseconds(.0)
    )]
    LatencyWanders(Seconds),
    /// A device runs at another rate than it says.
    #[error("a sound device runs {:.0} parts in a million away from its rate: choose another device", .0.get())]
    RateUntrue(PartsPerMillion),
}

fn milliseconds(seconds: &Seconds) -> String {
    format!("{:.0}", seconds.get().abs() * 1_000.0)
}

/// Relates what is played to what is heard, both by their counts of samples. Its memory doesn't grow.
#[derive(Clone, Debug)]
pub struct TwoClocks {
    output: DeviceClock,
    input: DeviceClock,
    latency: Option<Seconds>,
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
            echoes: SteadyLine::new(),
            rate_told: false,
        }
    }

    /// Takes a mark of the loudspeaker.
    pub fn note_output(&mut self, mark: ClockMark) -> Option<ClockNews> {
        let news = self.output.note(mark);
        self.news_of(news, ClockNews::OutputJumped)
    }

    /// Takes a mark of the microphone.
    pub fn note_input(&mut self, mark: ClockMark) -> Option<ClockNews> {
        let news = self.input.note(mark);
        self.news_of(news, ClockNews::InputJumped)
    }

    fn news_of(&mut self, news: Option<Unsteadiness>, jumped: impl FnOnce(Seconds) -> ClockNews) -> Option<ClockNews> {
        if let Some(Unsteadiness::Jumped(by)) = news {
            return Some(jumped(by));
        }
        let untrue =
            [self.output.drift(), self.input.drift()].into_iter().flatten().find(|ppm| ppm.get().abs() > UNTRUE);
        if let Some(ppm) = untrue
            && !self.rate_told
        {
            self.rate_told = true;
            return Some(ClockNews::RateUntrue(ppm));
        }
        // Late callbacks by themselves are the machine's business: the way is judged by echoes.
        None
    }

    /// Takes a sound of ours that was heard again: played on one sample, heard on another.
    pub fn note_echo(&mut self, played: SampleIndex, heard: HeardIndex) -> Option<ClockNews> {
        let way = self.way(played.get() as f64, heard.get() as f64)?;
        let time = played.get() as f64 / f64::from(self.output.rate().get());
        match self.echoes.note(time, way)? {
            Unsteadiness::Jumped(by) => Some(ClockNews::LatencyJumped(by)),
            Unsteadiness::Wanders(by) => Some(ClockNews::LatencyWanders(by)),
        }
    }

    /// How long after its callback a sample comes back through the microphone's callback; to be measured as the
    /// latency. None while the clocks are not known yet.
    pub fn round_trip(&self, played: SampleIndex, heard: HeardIndex) -> Option<Seconds> {
        self.way(played.get() as f64, heard.get() as f64).map(Seconds::new)
    }

    /// As [`TwoClocks::round_trip`], in seconds, for places between samples too.
    pub(crate) fn way(&self, played: f64, heard: f64) -> Option<f64> {
        let played = self.output.moment_of(played)?;
        Some(self.input.moment_of(heard)?.since(played).get())
    }

    /// The latency that counts just now: by our own sounds heard again where there were enough, else as it was given.
    pub fn latency(&self, played: SampleIndex) -> Option<Seconds> {
        let time = played.get() as f64 / f64::from(self.output.rate().get());
        if self.echoes.len() >= ENOUGH_ECHOES { self.echoes.at(time).map(Seconds::new) } else { self.latency }
    }

    /// Which of the played samples sounded in the room when this one was heard. None before both clocks are known (the
    /// first two seconds) or without a latency.
    pub fn played_when_heard(&self, heard: HeardIndex) -> Option<SampleIndex> {
        let arrived = self.input.moment_of(heard.get() as f64)?;
        let about = self.output.count_at(arrived)?;
        let latency = self.latency(SampleIndex::new(about.max(0.0) as u64))?;
        let count = self.output.count_at(arrived.after(Seconds::new(-latency.get())))?;
        (count > -0.5).then(|| SampleIndex::new(count.round() as u64))
    }

    /// On which sample of the microphone a played one is heard; the other way round.
    pub fn heard_when_played(&self, played: SampleIndex) -> Option<HeardIndex> {
        let left = self.output.moment_of(played.get() as f64)?;
        let count = self.input.count_at(left.after(self.latency(played)?))?;
        (count > -0.5).then(|| HeardIndex::new(count.round() as u64))
    }

    /// The sample of the microphone that comes in while a played one goes out: before it nothing of that can be heard.
    pub(crate) fn arrives_at_once(&self, played: SampleIndex) -> Option<HeardIndex> {
        let count = self.input.count_at(self.output.moment_of(played.get() as f64)?)?;
        Some(HeardIndex::new(count.max(0.0) as u64))
    }

    /// How much faster the microphone counts than the loudspeaker; none before that is known.
    pub fn drift(&self) -> Option<PartsPerMillion> {
        let (output, input) = (self.output.drift()?, self.input.drift()?);
        Some(PartsPerMillion::of_slope((input.get() - output.get()) * 1e-6))
    }

    /// How far the latency wanders, where it does: then listening can't be trusted.
    pub fn wanders(&self) -> Option<Seconds> {
        self.echoes.wanders()
    }
}
