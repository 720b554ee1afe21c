//! What a listener must keep to: nothing allocated while it listens, and the same heard however the sound is divided.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::f64::consts::TAU;

use assert_no_alloc::{AllocDisabler, assert_no_alloc};
use leverlane_core::pitch::Hertz;
use leverlane_hearing::{Heard, Listener, SampleRate};

/// Aborts the test run on any allocation or release inside `assert_no_alloc`.
#[global_allocator]
static GUARD: AllocDisabler = AllocDisabler;

/// Two seconds with plucks of E4 at 0.5 s, G4 at 1 s and a chord of C4 and E5 at 1.4 s: sums of eight partials that fade.
fn plucks(rate: u32) -> Vec<f32> {
    let mut sound = vec![0.0f32; 2 * rate as usize];
    for (at, hertz) in [(0.5, 329.63), (1.0, 392.0), (1.4, 261.63), (1.4, 659.26)] {
        for (n, sample) in sound[(at * f64::from(rate)) as usize..].iter_mut().enumerate() {
            let time = n as f64 / f64::from(rate);
            let partial = |k: f64| (TAU * hertz * k * time).sin() * (-time * (1.0 + k)).exp() / k;
            let carried = (1..=8).map(f64::from).filter(|k| hertz * k < f64::from(rate) * 0.45);
            *sample += 0.1 * carried.map(partial).sum::<f64>() as f32;
        }
    }
    sound
}

fn heard(sound: &[f32], rate: u32, block: usize) -> Vec<Heard> {
    let likely = [329.63, 392.0].map(|hertz| Hertz::new(hertz).unwrap());
    let mut listener = Listener::new(SampleRate::new(rate).unwrap(), &likely);
    let mut all = Vec::with_capacity(1000);
    assert_no_alloc(|| {
        for block in sound.chunks(block) {
            listener.listen(block, |heard| all.push(heard));
        }
        listener.finish(|heard| all.push(heard));
    });
    all
}

#[test]
fn what_is_heard_does_not_depend_on_the_blocks() {
    let sound = plucks(44_100);
    let whole = heard(&sound, 44_100, sound.len());
    assert!(whole.len() >= 6, "three onsets and four notes were to be heard: {whole:?}");
    for block in [1, 17, 64, 441, 4096] {
        assert_eq!(heard(&sound, 44_100, block), whole, "blocks of {block}");
    }
}

/// Truth: the sums above. Rates that devices and files have.
#[test]
fn the_same_is_heard_at_every_rate() {
    for rate in [8_000, 16_000, 22_050, 44_100, 48_000, 96_000, 192_000] {
        let heard = heard(&plucks(rate), rate, 1000);
        let notes: Vec<(f64, u8)> = heard
            .iter()
            .filter_map(|heard| match heard {
                Heard::Note(note) if note.certainty > 0.5 => {
                    Some((note.at.get() as f64 / f64::from(rate), note.note.get()))
                }
                _ => None,
            })
            .collect();
        let found: Vec<u8> = notes.iter().map(|note| note.1).collect();
        assert_eq!(found[..2], [64, 67], "at {rate} a second");
        for ((at, _), truth) in notes.iter().zip([0.5, 1.0, 1.4]) {
            assert!((at - truth).abs() < 0.004, "at {rate} a second: {at} for {truth}");
        }
    }
}

/// Silence, a steady tone that has always been there, and numbers that are none tell of no note.
#[test]
fn where_nothing_is_plucked_nothing_is_heard() {
    let hum: Vec<f32> = (0..88_200).map(|n| 0.1 * (TAU * 50.0 * f64::from(n) / 44_100.0).sin() as f32).collect();
    for (name, sound) in [("silence", vec![0.0; 88_200]), ("no numbers", vec![f32::NAN; 44_100]), ("hum", hum)] {
        let heard = heard(&sound, 44_100, 512);
        assert!(!heard.iter().any(|heard| matches!(heard, Heard::Note(_))), "{name}: {heard:?}");
    }
}
