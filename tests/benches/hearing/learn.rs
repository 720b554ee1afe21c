//! Plucks with known truth to learn odds from, for `learn_onsets.py` and `learn_plucks.py`: frames and whether something
//! begins in them, signs and whether the string was plucked.
//!
//! None of them is of the harp by which hearing is measured, and none of the passages.

use std::collections::BTreeSet;
use std::io::Write;

use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::pitch::{Hertz, MidiNote};
use leverlane_hearing::{Excerpt, FirstLook, PassEar, SampleIndex, SampleRate, frame_levels};
use leverlane_tests::harp_recordings::room::{in_a_room, pink, speech};
use leverlane_tests::harp_recordings::{Bank, Chance, Instrument, Kind, Passage, RATE, TrueNote};

use crate::passes::{Drill, first_look};

const FLUID: &str = "/usr/share/sounds/sf2/FluidR3_GM.sf2";
const TIM: &str = "/usr/share/sounds/sf2/TimGM6mb.sf2";

/// By General MIDI: 15 dulcimer, 24 and 25 guitars, 46 harp, 107 koto. The harp stands here twice: it is what is listened to.
const INSTRUMENTS: [Instrument; 9] = [
    Instrument { sound_font: FLUID, program: 46 },
    Instrument { sound_font: TIM, program: 24 },
    Instrument { sound_font: FLUID, program: 24 },
    Instrument { sound_font: FLUID, program: 46 },
    Instrument { sound_font: TIM, program: 107 },
    Instrument { sound_font: FLUID, program: 15 },
    Instrument { sound_font: FLUID, program: 25 },
    Instrument { sound_font: TIM, program: 15 },
    Instrument { sound_font: FLUID, program: 107 },
];
/// Seeds of the drills begin here, far from those by which hearing is measured.
const SEEDS: u64 = 1_000_000;
/// Of so many notes one is not played.
const UNPLAYED: usize = 9;
/// A moment this near to a pluck is it, and one this far from it is another.
const NEAR: (f64, f64) = (0.010, 0.020);

/// Writes records of 32-bit numbers: which drill, whether plucked (0 or 1), the signs.
pub fn write_plucks(of_each: u64, into: &mut impl Write) {
    let harp = Preset::with_strings(40).unwrap().tuned(Tuning::C);
    let rate = SampleRate::new(RATE).unwrap();
    for (place, instrument) in INSTRUMENTS.into_iter().enumerate() {
        let seeds = (0..of_each).map(|n| SEEDS + n + 100_000 * place as u64);
        let drills: Vec<(u64, Drill)> = seeds
            .map(|seed| {
                let kind = Kind::ALL[(seed % 3) as usize];
                let mut drill = Drill::of(kind, seed, Chance::seeded(seed ^ 0x1ea2));
                let mut chance = Chance::seeded(seed ^ 0x0317);
                drill.leave_out(|| chance.below(UNPLAYED) == 0);
                (seed, drill)
            })
            .collect();
        let kinds: BTreeSet<_> = drills.iter().flat_map(|(_, drill)| drill.kinds()).collect();
        let bank = Bank::of(instrument, &kinds).unwrap();
        for (seed, drill) in &drills {
            let dry = drill.played().sound(&bank);
            let sound = if seed % 4 == 0 { dry } else { in_a_room(&dry, *seed) };
            let expected = drill.expected(&harp);
            let (attacks, notes) = first_look(&expected, &sound);
            let first = FirstLook { notes: &notes, attacks: &attacks };
            let excerpt = Excerpt { starts: SampleIndex::new(0), samples: &sound };
            for (open, at, signs) in PassEar::new(rate).signs(&expected, &harp, first, excerpt) {
                let hertz = |note: &TrueNote| Hertz::of_note(MidiNote::new(note.kind.open).unwrap(), Hertz::A4).get();
                let own = drill.played().notes.iter().filter(|note| (hertz(note) / open.get() - 1.0).abs() < 1e-3);
                let nearest = own.map(|note| (note.time() - at.get()).abs()).fold(f64::INFINITY, f64::min);
                if nearest > NEAR.0 && nearest < NEAR.1 {
                    continue;
                }
                let plucked = if nearest <= NEAR.0 { 1.0 } else { 0.0 };
                let record = [*seed as f32, plucked].into_iter().chain(signs);
                for number in record {
                    into.write_all(&number.to_le_bytes()).unwrap();
                }
            }
        }
        println!("{instrument:?}: {} drills", drills.len());
    }
}

/// Writes recordings: how many frames (32 bits), then for each its levels in bytes (90 to the decade) and whether
/// something begins in it.
pub fn write_frames(of_each: u64, into: &mut impl Write) {
    let rate = SampleRate::new(RATE).unwrap();
    for (place, instrument) in INSTRUMENTS.into_iter().enumerate() {
        let seeds: Vec<u64> = (0..of_each).map(|n| SEEDS + n + 100_000 * place as u64).collect();
        let passages: Vec<Passage> =
            seeds.iter().map(|seed| Passage::new(Kind::ALL[(seed % 3) as usize], *seed)).collect();
        let bank = Bank::of(instrument, &passages.iter().flat_map(Passage::kinds).collect()).unwrap();
        for (seed, passage) in seeds.iter().zip(&passages) {
            let mut chance = Chance::seeded(seed ^ 0xf4a3);
            let mut begins: Vec<f64> = passage.notes.iter().map(TrueNote::time).collect();
            let mut sound = passage.sound(&bank);
            match chance.below(8) {
                0 => {
                    begins.clear();
                    let noise = if chance.below(2) == 0 { pink } else { speech };
                    let loud = 10f64.powf(chance.between(-4.5, -2.0)) as f32;
                    sound = noise(RATE as usize * 6, &mut chance).into_iter().map(|sample| sample * loud).collect();
                }
                1 => {
                    for _ in 0..6 {
                        let at = chance.between(0.3, sound.len() as f64 / f64::from(RATE) - 0.5);
                        knock(&mut sound, at, &mut chance);
                        begins.push(at);
                    }
                }
                _ => {}
            }
            if seed % 4 != 0 && !begins.is_empty() {
                sound = in_a_room(&sound, *seed);
            }
            let (hop, frames) = frame_levels(rate, &sound);
            let mut labels = vec![0u8; frames.len()];
            for at in begins {
                labels[(at * f64::from(RATE) / hop as f64).round() as usize] = 1;
            }
            into.write_all(&(frames.len() as u32).to_le_bytes()).unwrap();
            for (levels, label) in frames.iter().zip(labels) {
                let bytes = levels.map(|level| (level * 90.0).round().clamp(0.0, 255.0) as u8);
                into.write_all(&bytes).unwrap();
                into.write_all(&[label]).unwrap();
            }
        }
        println!("{instrument:?}: {} passages", passages.len());
    }
}

/// A knuckle on wood.
fn knock(sound: &mut [f32], at: f64, chance: &mut Chance) {
    let (hertz, fades) = (chance.between(120.0, 400.0), chance.between(20.0, 60.0));
    let (loud, sharp) = (chance.between(0.02, 0.3), chance.between(80.0, 300.0));
    let from = (at * f64::from(RATE)) as usize;
    for (index, sample) in sound[from..].iter_mut().enumerate().take(RATE as usize / 4) {
        let time = index as f64 / f64::from(RATE);
        let board = (-time * fades).exp() * (std::f64::consts::TAU * hertz * time).sin();
        *sample += (loud * (board + 0.5 * (-time * sharp).exp() * chance.normal(0.6))) as f32;
    }
}
