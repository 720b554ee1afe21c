//! Onsets against the truth, and against other detectors.

use std::path::Path;
use std::process::Command;
use std::time::Instant;

use leverlane_hearing::{Heard, Listener, SampleRate};
use leverlane_tests::harp_recordings::room::in_a_room;
use leverlane_tests::harp_recordings::{Bank, Kind, Passage, RATE};

use crate::figures::Target::{AtLeast, AtMost, None as NoTarget};
use crate::figures::{Table, quantile, share};

/// As many pairs within the window as can be had, each onset used once (mir_eval's matching; on a line the greedy walk
/// finds as many).
fn pairs(truth: &[f64], heard: &[f64], window: f64) -> Vec<f64> {
    let (mut t, mut h) = (0, 0);
    let mut errors = Vec::new();
    while t < truth.len() && h < heard.len() {
        let error = heard[h] - truth[t];
        if error.abs() <= window {
            errors.push(error);
            (t, h) = (t + 1, h + 1);
        } else if error < 0.0 {
            h += 1;
        } else {
            t += 1;
        }
    }
    errors
}

/// The onsets that are told of a sound.
pub fn heard(sound: &[f32]) -> Vec<f64> {
    let rate = SampleRate::new(RATE).unwrap();
    let mut listener = Listener::new(rate, &[]);
    let mut onsets = Vec::new();
    let mut tell = |heard: Heard| {
        if let Heard::Onset(onset) = heard {
            onsets.push(rate.time_of(onset.at).get());
        }
    };
    listener.listen(sound, &mut tell);
    listener.finish(&mut tell);
    onsets
}

/// Targets of F at 50 ms, dry and in a room.
fn targets(kind: Kind) -> [f64; 2] {
    match kind {
        Kind::Line => [0.99, 0.975],
        Kind::TwoHands => [0.975, 0.94],
        Kind::Rolled => [0.93, 0.87],
    }
}

pub fn measure(passages: &[(u64, Passage)], bank: &Bank, table: &mut Table) {
    let folder = tempfile::tempdir().unwrap();
    let (mut spent, mut length) = (0.0, 0.0);
    for kind in Kind::ALL {
        for (place, room) in ["dry", "room"].into_iter().enumerate() {
            let (mut hits, mut truths, mut founds) = ([0, 0], [0, 0], [0, 0]);
            let mut errors = Vec::new();
            for (seed, passage) in passages.iter().filter(|(_, passage)| passage.kind == kind) {
                let dry = passage.sound(bank);
                let sound = if place == 1 { in_a_room(&dry, *seed) } else { dry };
                let started = Instant::now();
                let found = heard(&sound);
                spent += started.elapsed().as_secs_f64();
                length += sound.len() as f64 / f64::from(RATE);
                let truth = passage.onsets();
                let matched = pairs(&truth, &found, 0.05);
                let held_out = usize::from(seed % 4 == 3);
                hits[held_out] += matched.len();
                truths[held_out] += truth.len();
                founds[held_out] += found.len();
                errors.extend(matched);
                if held_out == 1 {
                    keep(
                        folder.path(),
                        &format!("{}-{room}-{seed}", kind.name().replace(' ', "_")),
                        &sound,
                        &truth,
                        &found,
                    );
                }
            }
            let f = |hits: usize, truths: usize, founds: usize| 2.0 * hits as f64 / (truths + founds) as f64;
            let name = |what: &str| format!("{}, {room}: {what}", kind.name());
            let all = |pair: [usize; 2]| pair[0] + pair[1];
            table.add(name("onset F at 50 ms"), f(all(hits), all(truths), all(founds)), AtLeast(targets(kind)[place]));
            table.add(name("the same, held out"), f(hits[1], truths[1], founds[1]), AtLeast(targets(kind)[place]));
            let bias = quantile(&errors, 0.5);
            let off: Vec<f64> = errors.iter().map(|error| (error - bias).abs()).collect();
            let near = off.iter().filter(|off| **off <= 0.005).count();
            let (least, spread) = match kind {
                Kind::Line => (AtLeast(0.99), AtMost(1.0)),
                Kind::TwoHands => (AtLeast(0.90), AtMost(1.7)),
                Kind::Rolled => (NoTarget, NoTarget),
            };
            table.add(name("share of the matched within 5 ms"), share(near, off.len()), least);
            table.add(name("spread in ms"), 1.48e3 * quantile(&off, 0.5), spread);
        }
    }
    table.add("listening, times real time on one core", length / spent, AtLeast(20.0));
    outside(folder.path());
}

/// Keeps a recording for the outside detectors: the sound, and a line of what is true and a line of what we heard.
fn keep(folder: &Path, name: &str, sound: &[f32], truth: &[f64], found: &[f64]) {
    let spec =
        hound::WavSpec { channels: 1, sample_rate: RATE, bits_per_sample: 16, sample_format: hound::SampleFormat::Int };
    let mut writer = hound::WavWriter::create(folder.join(format!("{name}.wav")), spec).unwrap();
    let peak = sound.iter().fold(1e-3f32, |peak, sample| peak.max(sample.abs()));
    for sample in sound {
        writer.write_sample((sample / peak * 30_000.0) as i16).unwrap();
    }
    writer.finalize().unwrap();
    let line = |times: &[f64]| times.iter().map(|time| format!("{time:.6}")).collect::<Vec<_>>().join(" ");
    std::fs::write(folder.join(format!("{name}.txt")), format!("{}\n{}\n", line(truth), line(found))).unwrap();
}

fn outside(folder: &Path) {
    let Ok(python) = std::env::var("LEVERLANE_PYTHON") else {
        return println!("no comparison with other detectors: LEVERLANE_PYTHON is not set");
    };
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/hearing/outside.py");
    match Command::new(python).arg(script).arg(folder).output() {
        Ok(done) if done.status.success() => println!("{}", String::from_utf8_lossy(&done.stdout)),
        Ok(done) => println!("no comparison: {}", String::from_utf8_lossy(&done.stderr).lines().last().unwrap_or("")),
        Err(error) => println!("no comparison: {error}"),
    }
}
