//! Onsets against the truth.

use std::collections::BTreeSet;

use leverlane_hearing::{Heard, Listener, SampleRate};
use leverlane_tests::harp_recordings::room::in_a_room;
use leverlane_tests::harp_recordings::{Bank, Kind, Passage, RATE};

/// mir_eval's matching of onsets: as many pairs within the window as can be had, each used once. For points on a line the
/// greedy walk finds as many.
pub fn pairs(truth: &[f64], heard: &[f64], window: f64) -> Vec<(f64, f64)> {
    let (mut t, mut h) = (0, 0);
    let mut pairs = Vec::new();
    while t < truth.len() && h < heard.len() {
        let error = heard[h] - truth[t];
        if error.abs() <= window {
            pairs.push((truth[t], heard[h]));
            t += 1;
            h += 1;
        } else if error < 0.0 {
            h += 1;
        } else {
            t += 1;
        }
    }
    pairs
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}

pub fn listen(sound: &[f32]) -> Vec<f64> {
    let rate = SampleRate::new(RATE).unwrap();
    let mut listener = Listener::new(rate);
    let mut onsets = Vec::new();
    let Ok(()) = Ok::<(), ()>(listener.listen(sound, |heard| {
        if let Heard::Onset(onset) = heard {
            onsets.push(rate.time_of(onset.at).get());
        }
    })) else { return onsets };
    onsets
}

pub fn measure() {
    let count: u64 = std::env::var("N").ok().and_then(|n| n.parse().ok()).unwrap_or(20);
    let passages: Vec<(u64, Passage)> =
        Kind::ALL.into_iter().flat_map(|kind| (0..count).map(move |seed| (seed, Passage::new(kind, seed)))).collect();
    let kinds: BTreeSet<_> = passages.iter().flat_map(|(_, passage)| passage.kinds()).collect();
    let started = std::time::Instant::now();
    let bank = Bank::render(&kinds).unwrap();
    println!("bank {} kinds {:?}", kinds.len(), started.elapsed());
    for room in [false, true] {
        for kind in Kind::ALL {
            let (mut truths, mut found, mut hit) = (0, 0, 0);
            let mut errors = Vec::new();
            let mut spent = 0.0;
            let mut length = 0.0;
            let mut fps = Vec::new();
            for (seed, passage) in passages.iter().filter(|(_, passage)| passage.kind == kind) {
                let dry = passage.sound(&bank);
                let sound = if room { in_a_room(&dry, *seed) } else { dry };
                let started = std::time::Instant::now();
                let heard = listen(&sound);
                spent += started.elapsed().as_secs_f64();
                length += sound.len() as f64 / f64::from(RATE);
                let truth = passage.onsets();
                let pairs = pairs(&truth, &heard, 0.05);
                truths += truth.len();
                found += heard.len();
                hit += pairs.len();
                errors.extend(pairs.iter().map(|(t, h)| h - t));
                if std::env::var("V").is_ok() {
                    for h in heard.iter().filter(|h| !pairs.iter().any(|p| p.1 == **h)) {
                        let since = truth.iter().filter(|t| *t < h).last().map(|t| h - t);
                        fps.push(format!("{seed}: extra {h:.3} since {since:.3?}"));
                    }
                    for t in truth.iter().filter(|t| !pairs.iter().any(|p| p.0 == **t)) {
                        let n: Vec<_> = passage.notes.iter().filter(|n| (n.time() - t).abs() < 0.05).map(|n| (n.kind.open, n.kind.velocity, ((n.time() - t)*1000.0) as i32)).collect();
                        fps.push(format!("{seed}: missed {t:.3} {n:?}"));
                    }
                }
            }
            let (p, r) = (f64::from(hit as u32) / found as f64, hit as f64 / truths as f64);
            let bias = median(&mut errors.clone());
            let mut deviations: Vec<f64> = errors.iter().map(|e| (e - bias).abs()).collect();
            let within = deviations.iter().filter(|d| **d <= 0.005).count() as f64 / truths as f64;
            let spread = 1.48 * median(&mut deviations);
            println!(
                "{:10} {} P {p:.3} R {r:.3} F {:.3}  bias {:.1} ms  5ms {within:.3} ({:.3} of hits) spread {:.2} ms  p95 {:.1}  x{:.0}",
                kind.name(),
                if room { "room" } else { "dry " },
                2.0 * p * r / (p + r),
                bias * 1e3,
                within * truths as f64 / hit as f64,
                spread * 1e3,
                deviations[deviations.len() * 95 / 100] * 1e3,
                length / spent
            );
            for fp in fps { println!("   {fp}"); }
        }
    }
}
