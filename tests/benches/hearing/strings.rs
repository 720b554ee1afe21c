//! Pitches of known strings and lever intervals.
//!
//! The truth of an interval is the bend of one key within its own sample, which fluidsynth makes; that of a pitch is a
//! synthetic stiff string's.

use std::collections::BTreeSet;
use std::f64::consts::TAU;

use leverlane_core::harp::{Harp, Preset, Tuning};
use leverlane_core::pitch::{Cents, Hertz, MidiNote};
use leverlane_core::time::Seconds;
use leverlane_hearing::{
    BuzzHint, Excerpt, MeasuredPluck, PitchReader, PluckMeter, SampleIndex, SampleRate, check_levers,
};
use leverlane_tests::harp_recordings::{Bank, Chance, PluckKind, RATE};

use crate::figures::Target::{AtMost, None as NoTarget};
use crate::figures::{Table, quantile, share};

const VELOCITIES: [u8; 3] = [70, 90, 110];
const RAISES: [u8; 4] = [93, 97, 100, 104];

/// The strings of an octave in every register, C3 to C6, each open and raised by several amounts.
fn strings() -> impl Iterator<Item = u8> {
    (48..=84).step_by(3)
}

pub fn kinds() -> BTreeSet<PluckKind> {
    let all = strings().flat_map(|open| VELOCITIES.map(|velocity| (open, velocity)));
    let buzzing = CHECKED.into_iter().flat_map(|open| VELOCITIES.map(|velocity| (open, velocity)));
    all.chain(buzzing)
        .flat_map(|(open, velocity)| {
            [0].into_iter().chain(RAISES).map(move |cents| PluckKind { open, cents, velocity })
        })
        .collect()
}

/// The strings of a harp in C whose levers are checked for buzzing.
const CHECKED: [u8; 15] = [48, 50, 52, 55, 57, 60, 62, 64, 67, 69, 72, 74, 76, 79, 81];
/// How near a buzzing string comes to what it touches, as a share of how far it swings at first: a light touch, and a
/// gap that is closed only by the first swings.
const GAPS: [(&str, f32); 2] = [("a light touch", 0.02), ("a gap of a fifth", 0.2)];

fn buzz(bank: &Bank, table: &mut Table) {
    let never_checked = Preset::with_strings(40).unwrap().tuned(Tuning::C);
    let checked = known_not_to_buzz(&never_checked, bank);
    for (harp, known) in [(&never_checked, "first check"), (&checked, "against its own record")] {
        for (name, gap) in GAPS {
            // What hits a wall is thrown back by half.
            let touched = |pluck: &[f32]| {
                let wall = gap * pluck.iter().fold(0.0f32, |peak, sample| peak.max(sample.abs()));
                pluck.iter().map(|&sample| sample.min(wall + 0.5 * (wall - sample).min(0.0))).collect()
            };
            table.add(format!("buzz, {name}, {known}: told that it may"), told(harp, bank, &touched), NoTarget);
        }
        let none = told(harp, bank, &|pluck| pluck.to_vec());
        table.add(format!("buzz, none, {known}: told that it may"), none, NoTarget);
    }
}

fn measured(meter: &mut PluckMeter, samples: &[f32], open: u8, raise: u8) -> Option<MeasuredPluck> {
    let about = Hertz::of_note(MidiNote::new(open + raise / 100).unwrap(), Hertz::A4);
    meter.measure(Excerpt { starts: SampleIndex::new(0), samples }, SampleIndex::new(0), about)
}

/// How many of the strings are told to buzz whose raised sound is `touched`, plucked once in each state.
fn told(harp: &Harp, bank: &Bank, touched: &dyn Fn(&[f32]) -> Vec<f32>) -> f64 {
    let mut meter = PluckMeter::new(SampleRate::new(RATE).unwrap());
    let (mut told, mut checked) = (0, 0);
    for open in CHECKED {
        for velocity in VELOCITIES {
            let pluck = |cents: u8| bank.pluck(PluckKind { open, cents, velocity });
            let raised = touched(pluck(100));
            let plucks = [measured(&mut meter, pluck(0), open, 0), measured(&mut meter, &raised, open, 100)];
            let plucks: Vec<MeasuredPluck> = plucks.into_iter().flatten().collect();
            let findings = check_levers(harp, Hertz::A4, &plucks);
            checked += 1;
            told += usize::from(findings.iter().any(|finding| finding.buzz == Some(BuzzHint::MayBuzz)));
        }
    }
    share(told, checked)
}

/// The harp after a check in which nothing buzzed.
fn known_not_to_buzz(harp: &Harp, bank: &Bank) -> Harp {
    let mut meter = PluckMeter::new(SampleRate::new(RATE).unwrap());
    let states = CHECKED.into_iter().flat_map(|open| [(open, 0), (open, 100)]);
    let all = states.flat_map(|(open, cents)| VELOCITIES.map(|velocity| PluckKind { open, cents, velocity }));
    let plucks: Vec<MeasuredPluck> =
        all.filter_map(|kind| measured(&mut meter, bank.pluck(kind), kind.open, kind.cents)).collect();
    let mut strings = harp.strings().to_vec();
    for finding in check_levers(harp, Hertz::A4, &plucks) {
        let string = &mut strings[finding.string.index()];
        *string = finding.kept_in(string);
    }
    Harp::new("checked", strings).unwrap()
}

pub fn measure(bank: &Bank, table: &mut Table) {
    buzz(bank, table);
    let rate = SampleRate::new(RATE).unwrap();
    let mut reader = PitchReader::new(rate, Seconds::new(0.372));
    let mut read = |samples: &[f32], about: Hertz| {
        let between = (about.raised_by(Cents::new(-70.0)), about.raised_by(Cents::new(70.0)));
        let sound = Excerpt { starts: SampleIndex::new(0), samples };
        reader.read(sound, SampleIndex::new(2_646), between).unwrap().hertz
    };
    let mut intervals = Vec::new();
    for open in strings() {
        let about = Hertz::of_note(MidiNote::new(open).unwrap(), Hertz::A4);
        for raise in RAISES {
            let mut of_three = |cents: u8| {
                let about = about.raised_by(Cents::new(f64::from(cents)));
                let pitches = VELOCITIES.map(|velocity| read(bank.pluck(PluckKind { open, cents, velocity }), about));
                Hertz::new(quantile(&pitches.map(Hertz::get), 0.5)).unwrap()
            };
            let interval = of_three(raise).above(of_three(0)).get();
            intervals.push((interval - f64::from(raise)).abs());
        }
    }
    table.add("lever interval, three plucks: error in cents, p95", quantile(&intervals, 0.95), AtMost(2.0));
    let mut errors = Vec::new();
    let mut chance = Chance::seeded(6);
    for _ in 0..300 {
        let open = Hertz::of_note(MidiNote::new(48 + chance.below(40) as u8).unwrap(), Hertz::A4);
        let f0 = open.raised_by(Cents::new(chance.between(-50.0, 50.0))).get();
        let stiffness = chance.between(0.5e-4, 2.2e-4);
        let partials: Vec<(f64, f64, f64)> = (1..=10)
            .map(f64::from)
            .map(|k| (k * f0 * (1.0 + stiffness * k * k).sqrt(), chance.between(0.2, 1.0) / k, chance.share() * TAU))
            .collect();
        let noise: Vec<f64> = (0..22_050).map(|_| chance.normal(0.001)).collect();
        let samples: Vec<f32> = (0..22_050)
            .map(|n| {
                let time = f64::from(n) / f64::from(RATE);
                let fade = |hertz: f64| (-time * (1.0 + hertz / 400.0)).exp();
                let sum: f64 = partials
                    .iter()
                    .map(|(hertz, a, phase)| a * fade(*hertz) * (TAU * hertz * time + phase).sin())
                    .sum();
                (0.1 * sum + noise[n as usize]) as f32
            })
            .collect();
        let truth = Hertz::new(f0 * (1.0 + stiffness).sqrt()).unwrap();
        errors.push(read(&samples, open).above(truth).get().abs());
    }
    table.add("pitch from C3 up, 372 ms: error in cents, median", quantile(&errors, 0.5), AtMost(0.5));
    table.add("pitch from C3 up, 372 ms: error in cents, p95", quantile(&errors, 0.95), AtMost(3.0));
}
