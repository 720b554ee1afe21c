//! Two devices made up for the test, whose clocks part, jump, and whose way wanders.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::time::{Duration, Instant};

use leverlane_core::time::Seconds;
use leverlane_sound::capture::{HeardIndex, HeardPoint};
use leverlane_sound::clocks::{ClockMark, ClockNews, EchoKind, TwoClocks};
use leverlane_sound::{SampleIndex, SampleRate};

/// Numbers that look random, the same every time (the constants of Numerical Recipes' quick generator).
struct Dice(u32);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(self.0 >> 8) / f64::from(1u32 << 24)
    }

    /// How late a callback comes: mostly a fraction of a millisecond, now and then many (seconds).
    fn late(&mut self) -> f64 {
        let scale = if self.unit() < 0.02 { 0.01 } else { 0.000_7 };
        -scale * (1.0 - self.unit()).ln()
    }
}

/// A device: its callbacks every hundredth of a second by its own clock.
struct Device {
    rate: f64,
    nominal: f64,
    count: u64,
    /// Seconds by which its samples come later than if it had never halted.
    halted: f64,
    opened: Instant,
}

impl Device {
    fn new(nominal: u32, ppm: f64, opened: Instant) -> Device {
        let nominal = f64::from(nominal);
        Device { rate: nominal * (1.0 + ppm * 1e-6), nominal, count: 0, halted: 0.0, opened }
    }

    /// When a sample goes through the device, in true seconds.
    fn time_of(&self, sample: f64) -> f64 {
        sample / self.rate + self.halted
    }

    fn sample_at(&self, time: f64) -> f64 {
        (time - self.halted) * self.rate
    }

    fn callback(&mut self, dice: &mut Dice) -> ClockMark {
        self.count += (self.nominal / 100.0) as u64;
        let at = self.time_of(self.count as f64) + dice.late();
        ClockMark { count: self.count, at: self.opened + Duration::from_secs_f64(at) }
    }
}

/// The pair, and the way of the sound from the one to the other.
struct Pair {
    output: Device,
    input: Device,
    clocks: TwoClocks,
    dice: Dice,
    news: Vec<ClockNews>,
}

/// The way of sound in all these cases.
const WAY: f64 = 0.087;

impl Pair {
    fn new(output: (u32, f64), input: (u32, f64), seed: u32) -> Pair {
        let opened = Instant::now();
        let rate = |rate| SampleRate::new(rate).unwrap();
        Pair {
            output: Device::new(output.0, output.1, opened),
            input: Device::new(input.0, input.1, opened + Duration::from_millis(333)),
            clocks: TwoClocks::new(rate(output.0), rate(input.0), Some(Seconds::new(WAY))),
            dice: Dice(seed),
            news: Vec::new(),
        }
    }

    fn run(&mut self, seconds: u32) {
        for _ in 0..seconds * 100 {
            let (out, heard) = (self.output.callback(&mut self.dice), self.input.callback(&mut self.dice));
            self.news.extend(self.clocks.note_output(out));
            self.news.extend(self.clocks.note_input(heard));
        }
    }

    /// The microphone's sample on which a played sample is heard, in truth, by so long a way.
    fn truly_heard(&self, played: f64, way: f64) -> f64 {
        self.input.sample_at(self.output.time_of(played) + way - 0.333)
    }

    /// By how much the clocks are wrong just now, in seconds.
    fn error(&self) -> f64 {
        let played = self.output.count as f64 - self.output.nominal * 0.4;
        let heard = HeardIndex::new(self.truly_heard(played, WAY).round() as u64);
        let told = self.clocks.played_when_heard(heard).unwrap().get() as f64;
        // There and back again.
        let back = self.clocks.heard_when_played(SampleIndex::new(told as u64)).unwrap();
        assert!(back.get().abs_diff(heard.get()) <= 2, "{back:?} {heard:?}");
        (told - played) / self.output.nominal
    }
}

/// Crystals that part by up to 300 parts per million, at all kinds of rates: for two minutes, from the third second on, the
/// error stays under a millisecond; the drift is known to 5 parts per million, and nothing is told.
#[test]
fn clocks_that_drift_are_related_within_a_millisecond() {
    let mut worst: f64 = 0.0;
    for (n, (output, input)) in [
        ((48_000, 0.0), (48_000, 0.0)),
        ((48_000, 20.0), (48_000, -20.0)),
        ((48_000, -150.0), (44_100, 150.0)),
        ((44_100, 100.0), (48_000, -50.0)),
        ((48_000, 300.0), (8_000, 0.0)),
        ((192_000, 0.0), (48_000, 300.0)),
    ]
    .into_iter()
    .enumerate()
    {
        let mut pair = Pair::new(output, input, n as u32 + 1);
        pair.run(3);
        for second in 3..120 {
            let error = pair.error();
            worst = worst.max(error.abs());
            assert!(error.abs() < 0.001, "{output:?} {input:?} at {second} s: {error}");
            pair.run(1);
        }
        let drift = pair.clocks.drift().unwrap().get();
        assert!((drift - (input.1 - output.1)).abs() < 5.0, "{output:?} {input:?}: {drift} ppm");
        assert_eq!(pair.news, []);
    }
    println!("worst error {:.3} ms", worst * 1_000.0);
}

/// A device that halts for 30 ms: told within two seconds, to the millisecond, and right again after it.
#[test]
fn jumps_are_told_and_followed() {
    for which in ["output", "input"] {
        let mut pair = Pair::new((48_000, 40.0), (48_000, -60.0), 9);
        pair.run(30);
        let device = if which == "output" { &mut pair.output } else { &mut pair.input };
        device.halted += 0.03;
        pair.run(3);
        let by = match (which, &pair.news[..]) {
            ("output", &[ClockNews::OutputJumped(by)]) | ("input", &[ClockNews::InputJumped(by)]) => by.get(),
            other => panic!("{other:?}"),
        };
        assert!((by - 0.03).abs() < 0.001, "{by}");
        for _ in 0..30 {
            assert!(pair.error().abs() < 0.001, "{which}: {}", pair.error());
            pair.run(1);
        }
        assert_eq!(pair.news.len(), 1);
    }
}

/// A device that runs at 44,100 while it says 48,000.
#[test]
fn an_untrue_rate_is_told_once() {
    let mut pair = Pair::new((48_000, 0.0), (48_000, -5_000.0), 3);
    pair.run(30);
    assert!(matches!(pair.news[..], [ClockNews::RateUntrue(_)]), "{:?}", pair.news);
}

/// Clicks twice a second, heard again by a way that may change. A steady way that is 12 ms longer than it was another
/// day is learned from them; one that jumps is told; one that wanders by some 10 ms like that of wireless devices is told.
#[test]
fn the_way_is_watched_by_what_is_heard_of_our_own_clicks() {
    type Way = fn(u32, &mut Dice) -> f64;
    let ways: [(&str, Way); 4] = [
        ("steady", |_, dice| WAY + 0.012 + 0.000_2 * dice.unit()),
        ("jumps", |click, dice| WAY + if click < 40 { 0.0 } else { 0.025 } + 0.000_2 * dice.unit()),
        ("wanders", |click, dice| WAY + 0.012 * (f64::from(click) * 0.35).sin() + 0.006 * dice.unit()),
        ("with outliers", |_, dice| WAY + if dice.unit() < 0.15 { 0.05 * dice.unit() } else { 0.000_2 * dice.unit() }),
    ];
    for (name, way) in ways {
        let mut pair = Pair::new((48_000, 30.0), (48_000, -30.0), 17);
        pair.run(3);
        let mut news = Vec::new();
        let mut truth = 0.0;
        for click in 0..80 {
            pair.run(1);
            let played = pair.output.count as f64 - 24_000.0;
            truth = way(click, &mut pair.dice);
            let heard = pair.truly_heard(played, truth);
            news.extend(pair.clocks.note_echo(EchoKind::default(), SampleIndex::new(played as u64), HeardPoint(heard)));
        }
        assert!(pair.clocks.is_exact());
        let played = pair.output.count as f64;
        let heard = pair.clocks.heard_when_played(SampleIndex::new(pair.output.count)).unwrap().get() as f64;
        let latency = WAY + (heard - pair.truly_heard(played, WAY)) / pair.input.rate;
        match name {
            "steady" => {
                assert_eq!(news, []);
                assert!((latency - truth).abs() < 0.001, "{latency} {truth}");
            }
            "with outliers" => {
                assert_eq!(news, []);
                assert!((latency - WAY).abs() < 0.001, "{latency}");
            }
            "jumps" => {
                let [ClockNews::WayJumped(by)] = news[..] else { panic!("{news:?}") };
                assert!((by.get() - 0.025).abs() < 0.001, "{by:?}");
                assert!((latency - truth).abs() < 0.001, "{latency} {truth}");
            }
            _ => {
                assert!(matches!(news[..], [ClockNews::WayWanders(_), ..]), "{news:?}");
                assert!(pair.clocks.wanders().is_some());
                assert!(news[0].to_string().contains("use a cable"), "{}", news[0]);
            }
        }
    }
}

/// Four clicks of a count-in, of which the first, of another pitch, is found 0.8 ms late by the room's doing. The clocks are one:
/// what lies between the kinds is no drift, and the next of the second kind is heard where its own kind says, to two samples.
#[test]
fn sounds_of_one_kind_tell_of_the_next_of_their_kind() {
    let (first, other) = (EchoKind(0), EchoKind(1));
    let mut pair = Pair::new((48_000, 0.0), (48_000, 0.0), 5);
    pair.run(3);
    for (kind, late) in [(first, 0.0008), (other, 0.0), (other, 0.0), (other, 0.0)] {
        let played = pair.output.count;
        pair.run(1);
        let heard = pair.truly_heard(played as f64, WAY + late);
        pair.clocks.note_echo(kind, SampleIndex::new(played), HeardPoint(heard));
    }
    let later = pair.output.count + 3 * 48_000;
    for (kind, late) in [(first, 0.0008), (other, 0.0)] {
        let told = pair.clocks.echo_point(kind, SampleIndex::new(later)).unwrap().0;
        let truth = pair.truly_heard(later as f64, WAY + late);
        assert!((told - truth).abs() < 2.0, "{kind:?}: {told} {truth}");
    }
}
