//! Measuring the latency by the player's taps, where the microphone can't hear the loudspeaker.

use leverlane_core::time::Seconds;
use leverlane_hearing::{Heard, Listener, SampleRate as HearingRate};
use leverlane_sound::capture::{Block, HeardIndex};
use leverlane_sound::clocks::{ClockMark, TwoClocks};
use leverlane_sound::latency::{Latency, Probe, Probes, TapsError, by_taps};
use leverlane_sound::{Played, SampleIndex, SampleRate, Sounding};

/// Clicks that she only listens to.
const LISTENED: usize = 4;
/// Clicks that she then taps with.
const TAPPED: usize = 12;
/// From one click to the next: 100 a minute, at which taps are steady.
const APART: Seconds = Seconds::new(0.6);
/// The clocks are watched for so long before anything is played, in seconds.
const WATCHED: f64 = 2.5;
/// A second attack so soon after one is the same tap, as wood and strings answer it.
const ONE_TAP: Seconds = Seconds::new(0.2);

/// How far a run has got.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct TapCount {
    /// Clicks that were played.
    pub clicks: usize,
    /// Taps that were heard.
    pub taps: usize,
}

/// One measurement. Touches no device.
pub(crate) struct TapRun {
    clocks: TwoClocks,
    listener: Listener,
    rate: HearingRate,
    first: Option<HeardIndex>,
    /// Samples heard.
    heard: u64,
    clicks: Vec<SampleIndex>,
    taps: Vec<HeardIndex>,
    is_asked: bool,
}

impl TapCount {
    /// Clicks that are only listened to, before those that are tapped with.
    pub const LISTENED: usize = LISTENED;
    /// Clicks that are tapped with.
    pub const TAPPED: usize = TAPPED;
}

impl TapRun {
    /// A run for devices that were just opened or have been running; none where the microphone runs at a rate that nothing
    /// can be heard at.
    pub(crate) fn new(output: SampleRate, input: SampleRate) -> Option<TapRun> {
        let rate = HearingRate::new(input.get())?;
        Some(TapRun {
            clocks: TwoClocks::new(output, input, None),
            listener: Listener::new(rate, &[]),
            rate,
            first: None,
            heard: 0,
            clicks: Vec::new(),
            taps: Vec::new(),
            is_asked: false,
        })
    }

    pub(crate) fn note_output(&mut self, mark: ClockMark) {
        self.clocks.note_output(mark);
    }

    pub(crate) fn note_played(&mut self, played: Played) {
        if let Sounding::Click(_) = played.what {
            self.clicks.push(played.at);
        }
    }

    pub(crate) fn hear(&mut self, block: &Block<'_>) {
        let count = block.first.get() + block.samples.len() as u64;
        self.clocks.note_input(ClockMark { count, at: block.at });
        let first = *self.first.get_or_insert(block.first);
        for _ in 0..block.missing {
            self.listener.listen(&[0.0], |_| {});
        }
        self.heard = count - first.get();
        let apart = self.rate.samples_in(ONE_TAP) as u64;
        let (taps, plays) = (&mut self.taps, !self.clicks.is_empty());
        self.listener.listen(block.samples, |news| {
            if let Heard::Onset(onset) = news
                && plays
            {
                let at = HeardIndex::new(first.get() + onset.at.get());
                if taps.last().is_none_or(|last| at.get() >= last.get() + apart) {
                    taps.push(at);
                }
            }
        });
    }

    /// What is to be played, once it is time.
    pub(crate) fn asks(&mut self) -> Option<Probes> {
        if self.is_asked || self.heard_seconds() < WATCHED {
            return None;
        }
        self.is_asked = true;
        Some(Probes { what: Probe::Click, count: (LISTENED + TAPPED) as u32, apart: APART })
    }

    pub(crate) fn count(&self) -> TapCount {
        TapCount { clicks: self.clicks.len(), taps: self.taps.len() }
    }

    /// The result, once there is nothing more to wait for.
    pub(crate) fn result(&mut self) -> Option<Result<Latency, TapsError>> {
        let clicks = LISTENED + TAPPED;
        let mut needed = WATCHED + (clicks + 3) as f64 * APART.get();
        if self.clicks.len() < clicks {
            // Whoever plays them may be busy.
            needed += WATCHED;
        }
        if self.heard_seconds() < needed {
            return None;
        }
        let (listened, tapped) = self.clicks.split_at(LISTENED.min(self.clicks.len()));
        let measured = by_taps(listened, tapped, &self.taps, &self.clocks);
        if let Ok(latency) = measured {
            self.clocks.set_latency(latency.seconds);
        }
        Some(measured)
    }

    /// The clocks with what was learnt, to go on with as long as both devices stay open.
    pub(crate) fn into_clocks(self) -> TwoClocks {
        self.clocks
    }

    fn heard_seconds(&self) -> f64 {
        self.heard as f64 / f64::from(self.rate.get())
    }
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use leverlane_core::drill::Accent;

    use leverlane_sound::{Click, ClickSound};

    use super::*;

    const RATE: u32 = 48_000;
    /// From the renderer to her ear, and from her knuckle to us.
    const WAY: f64 = 0.07;

    /// Numbers that look random, the same every time (the constants of Numerical Recipes' quick generator).
    struct Dice(u32);

    impl Dice {
        fn around_zero(&mut self) -> f64 {
            self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(self.0 >> 8) / f64::from(1u32 << 23) - 1.0
        }
    }

    /// A knuckle on wood: noise and the board's own low tone, over within a tenth of a second.
    fn knock(sound: &mut [f32], at: f64, dice: &mut Dice) {
        let from = (at * f64::from(RATE)) as usize;
        for (index, sample) in sound[from..].iter_mut().enumerate().take(RATE as usize / 4) {
            let time = index as f64 / f64::from(RATE);
            let board = (-time * 40.0).exp() * (std::f64::consts::TAU * 180.0 * time).sin();
            *sample += (0.2 * board + 0.1 * (-time * 150.0).exp() * dice.around_zero()) as f32;
        }
    }

    /// What a run tells of knocks by clicks that are counted from the first, each so late; clicks are played when it asks.
    fn told(knocks: &mut dyn FnMut(usize) -> Option<f64>) -> (TapCount, Result<Latency, TapsError>) {
        let rate = SampleRate::new(RATE).unwrap();
        let mut run = TapRun::new(rate, rate).unwrap();
        let mut dice = Dice(3);
        let begins = 3.0;
        let click = |n: usize| begins + n as f64 * APART.get();
        let mut sound: Vec<f32> = (0..RATE * 20).map(|_| (0.0005 * dice.around_zero()) as f32).collect();
        let clicks = LISTENED + TAPPED;
        for n in 0..clicks {
            if let Some(late) = knocks(n) {
                knock(&mut sound, click(n) + WAY + late, &mut dice);
            }
        }
        let opened = Instant::now();
        let mut asked = None;
        for (number, block) in sound.chunks(480).enumerate() {
            let count = (number as u64 + 1) * 480;
            let at = opened + Duration::from_secs_f64(count as f64 / f64::from(RATE));
            run.note_output(ClockMark { count, at });
            let first = HeardIndex::new(count - 480);
            run.hear(&Block { first, samples: block, missing: 0, at, waited: Duration::ZERO });
            asked = asked.or(run.asks());
            if let Some(n) = (0..clicks).find(|n| ((click(*n) * f64::from(RATE)) as u64).wrapping_sub(count) < 480) {
                let at = SampleIndex::new((click(n) * f64::from(RATE)) as u64);
                run.note_played(Played {
                    at,
                    what: Sounding::Click(Click { sound: ClickSound::Usual, accent: Accent::Beat }),
                });
            }
            if let Some(result) = run.result() {
                let wanted = Probes { what: Probe::Click, count: 16, apart: APART };
                assert_eq!(asked, Some(wanted), "it was asked for while the room was quiet");
                return (run.count(), result);
            }
        }
        panic!("it never came to an end");
    }

    /// Knocks 20 ms early, as musicians are by the middle of 10 to 30 ms (from memory), straying by up to 15 ms: the latency is
    /// found to 10 ms. And: nobody knocks; or the click itself is heard.
    #[test]
    fn knocks_along_with_the_click_tell_the_latency() {
        let mut dice = Dice(5);
        let (count, measured) = told(&mut |n| (n >= LISTENED).then(|| -0.02 + 0.015 * dice.around_zero()));
        let latency = measured.unwrap();
        assert_eq!(count, TapCount { clicks: 16, taps: 12 });
        assert!((latency.seconds.get() - WAY).abs() < 0.01, "{latency:?}");
        assert_eq!(latency.by, leverlane_sound::latency::MeasuredBy::Taps);
        assert!(matches!(told(&mut |_| None).1, Err(TapsError::TooFew { found: 0 })));
        assert_eq!(told(&mut |_| Some(0.0)).1, Err(TapsError::ClickHeard { heard: 4, listened: 4 }));
    }
}
