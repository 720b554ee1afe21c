//! Plucks with known truth to learn odds from, for `learn_onsets.py`, `learn_plucks.py` and `learn_levers.py`: frames and
//! whether something begins in them, signs and whether the string was plucked, signs and how its lever stood.
//!
//! None of them is of the harp by which hearing is measured, and none of the passages.

use std::collections::BTreeSet;
use std::io::Write;

use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::pitch::{Hertz, MidiNote};
use leverlane_core::verdict::{ExpectedNote, ExpectedPass};
use leverlane_hearing::{Excerpt, FirstLook, PassEar, SampleIndex, SampleRate, frame_levels};
use leverlane_tests::harp_recordings::room::{in_a_room, pink, speech};
use leverlane_tests::harp_recordings::{Bank, Chance, Instrument, Kind, Passage, RATE, TrueNote};

use crate::passes::{Drill, LATE, RINGS_ON, checked, checked_harp, first_look};

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
/// Further ones that onsets alone are learnt from: 6 harpsichord, 10 music box, 11 vibraphone, 12 marimba, 26 electric guitar,
/// 45 strings plucked by violinists, 104 sitar, 105 banjo, 106 shamisen, 108 kalimba.
const FURTHER: [Instrument; 14] = [
    Instrument { sound_font: FLUID, program: 45 },
    Instrument { sound_font: FLUID, program: 104 },
    Instrument { sound_font: FLUID, program: 105 },
    Instrument { sound_font: FLUID, program: 106 },
    Instrument { sound_font: FLUID, program: 10 },
    Instrument { sound_font: TIM, program: 25 },
    Instrument { sound_font: TIM, program: 105 },
    Instrument { sound_font: TIM, program: 45 },
    Instrument { sound_font: TIM, program: 104 },
    Instrument { sound_font: FLUID, program: 6 },
    Instrument { sound_font: FLUID, program: 11 },
    Instrument { sound_font: FLUID, program: 12 },
    Instrument { sound_font: FLUID, program: 26 },
    Instrument { sound_font: FLUID, program: 108 },
];
/// Further ones that levers are learnt from, half as many drills of each: struck and plucked strings of every sort, so that what
/// holds for the nine alone is not learnt. 0 piano, 27 electric guitar; the others as above.
const STRINGS: [Instrument; 16] = [
    Instrument { sound_font: FLUID, program: 0 },
    Instrument { sound_font: TIM, program: 25 },
    Instrument { sound_font: FLUID, program: 45 },
    Instrument { sound_font: TIM, program: 6 },
    Instrument { sound_font: FLUID, program: 105 },
    Instrument { sound_font: TIM, program: 0 },
    Instrument { sound_font: FLUID, program: 26 },
    Instrument { sound_font: TIM, program: 104 },
    Instrument { sound_font: FLUID, program: 106 },
    Instrument { sound_font: TIM, program: 27 },
    Instrument { sound_font: FLUID, program: 6 },
    Instrument { sound_font: TIM, program: 45 },
    Instrument { sound_font: FLUID, program: 27 },
    Instrument { sound_font: TIM, program: 105 },
    Instrument { sound_font: FLUID, program: 104 },
    Instrument { sound_font: TIM, program: 26 },
];
/// Seeds of the drills begin here, far from those by which hearing is measured.
const SEEDS: u64 = 1_000_000;
/// Of so many notes one is not played.
const UNPLAYED: usize = 9;
/// A moment this near to a pluck is it, and one this far from it is another.
const NEAR: (f64, f64) = (0.010, 0.020);
/// A note that was found so far from its pluck is none.
const ANOTHER: f64 = 0.05;

/// Plucks and levers are learnt from drills of these kinds in turn: two hands, who cover each other, are what is hard.
const KINDS: [Kind; 4] = [Kind::Line, Kind::TwoHands, Kind::Rolled, Kind::TwoHands];

/// How hard the soft notes are plucked that onsets are learnt from: 8 to 20 dB softer than the usual ones (General MIDI, by
/// which loudness goes with the square of the velocity).
const SOFT: [u8; 3] = [30, 42, 56];

/// Writes records of 32-bit numbers: which drill, whether plucked (0 or 1), the signs.
pub fn write_plucks(of_each: u64, into: &mut impl Write) {
    let harp = Preset::with_strings(40).unwrap().tuned(Tuning::C);
    let rate = SampleRate::new(RATE).unwrap();
    for (place, instrument) in INSTRUMENTS.into_iter().enumerate() {
        let seeds = (0..of_each).map(|n| SEEDS + n + 100_000 * place as u64);
        let drills: Vec<(u64, Drill)> = seeds
            .map(|seed| {
                let kind = KINDS[(seed / 4 % 4) as usize];
                let mut drill = Drill::of(kind, seed, Chance::seeded(seed ^ 0x1ea2));
                let mut chance = Chance::seeded(seed ^ 0x0317);
                drill.leave_out(|| chance.below(UNPLAYED) == 0);
                (seed, drill)
            })
            .collect();
        let kinds: BTreeSet<_> = drills.iter().flat_map(|(_, drill)| drill.kinds()).collect();
        let bank = Bank::of(instrument, &kinds).unwrap();
        write_each(&drills, into, |(seed, drill)| {
            let dry = drill.played().sound(&bank);
            let sound = if seed % 4 == 0 { dry } else { in_a_room(&dry, *seed) };
            let expected = drill.expected(&harp);
            let (attacks, notes) = first_look(&expected, &sound);
            let first = FirstLook { notes: &notes, attacks: &attacks };
            let excerpt = Excerpt { starts: SampleIndex::new(0), samples: &sound };
            let mut records = Vec::new();
            for (open, at, signs) in PassEar::new(rate).signs(&expected, &harp, first, excerpt) {
                let hertz = |note: &TrueNote| Hertz::of_note(MidiNote::new(note.kind.open).unwrap(), Hertz::A4).get();
                let own = drill.played().notes.iter().filter(|note| (hertz(note) / open.get() - 1.0).abs() < 1e-3);
                let nearest = own.map(|note| (note.time() - at.get()).abs()).fold(f64::INFINITY, f64::min);
                if nearest > NEAR.0 && nearest < NEAR.1 {
                    continue;
                }
                let plucked = if nearest <= NEAR.0 { 1.0 } else { 0.0 };
                records.extend([*seed as f32, plucked].into_iter().chain(signs));
            }
            records
        });
        println!("{instrument:?}: {} drills", drills.len());
    }
}

/// What became of a lever, in the order of `learn_levers.py`.
#[derive(Clone, Copy)]
enum Lever {
    AsAsked,
    Otherwise,
    HalfWay,
    Late,
    NotPlucked,
}

/// Writes records of 32-bit numbers: which drill, what became of the lever, the signs.
pub fn write_levers(of_each: u64, into: &mut impl Write) {
    let unchecked = Preset::with_strings(40).unwrap().tuned(Tuning::C);
    let rate = SampleRate::new(RATE).unwrap();
    let nine = INSTRUMENTS.into_iter().map(|instrument| (instrument, of_each));
    let instruments = nine.chain(STRINGS.into_iter().map(|instrument| (instrument, of_each / 2)));
    for (place, (instrument, count)) in instruments.enumerate() {
        let seeds: Vec<u64> = (0..count).map(|n| SEEDS + n + 100_000 * place as u64).collect();
        let drills: Vec<Drill> = seeds
            .iter()
            .map(|seed| {
                let kind = KINDS[(seed / 4 % 4) as usize];
                let mut drill = Drill::of(kind, *seed, Chance::seeded(seed ^ 0x5e7e));
                let mut chance = Chance::seeded(seed ^ 0x0317);
                drill.leave_out(|| chance.below(UNPLAYED) == 0);
                drill
            })
            .collect();
        let passes: Vec<(u64, ExpectedPass, Passage)> = seeds
            .iter()
            .zip(&drills)
            .map(|(seed, drill)| {
                let (mut expected, mut played) = (drill.expected(&unchecked), drill.played().clone());
                levers_as_chance_has_it(&mut expected, &mut played, &mut Chance::seeded(seed ^ 0xc4a7));
                (*seed, expected, played)
            })
            .collect();
        let mut kinds: BTreeSet<_> = passes.iter().flat_map(|(_, _, played)| played.kinds()).collect();
        kinds.extend(checked(&drills));
        let bank = Bank::of(instrument, &kinds).unwrap();
        let with_spectra = checked_harp(&unchecked, &drills, &bank);
        write_each(&passes, into, |(seed, expected, played)| {
            let dry = played.sound(&bank);
            let sound = if seed % 4 == 0 { dry } else { in_a_room(&dry, *seed) };
            // Of three harps one has had its levers checked.
            let harp = if seed / 3 % 3 == 0 { &with_spectra } else { &unchecked };
            let (attacks, notes) = first_look(expected, &sound);
            let first = FirstLook { notes: &notes, attacks: &attacks };
            let excerpt = Excerpt { starts: SampleIndex::new(0), samples: &sound };
            let mut records = Vec::new();
            for (index, at, signs) in PassEar::new(rate).lever_signs(expected, harp, first, excerpt) {
                let lever = lever_of(&expected.notes[index], at.get(), played);
                records.extend([*seed as f32, f32::from(lever as u8)].into_iter().chain(signs));
            }
            records
        });
        println!("{instrument:?}: {} drills", drills.len());
    }
}

/// Some strings are to be raised all through; of all plucks most are as they should be.
fn levers_as_chance_has_it(expected: &mut ExpectedPass, played: &mut Passage, chance: &mut Chance) {
    let flipped = expected.flips[0].open.midi().get();
    let strings: BTreeSet<u8> =
        played.notes.iter().map(|note| note.kind.open).filter(|open| *open != flipped).collect();
    let raised: BTreeSet<u8> = strings.into_iter().filter(|_| chance.below(5) < 2).collect();
    for note in &mut expected.notes {
        if let Some(other) = note.other_state.filter(|_| raised.contains(&note.note.get())) {
            note.other_state = Some(std::mem::replace(&mut note.note, other));
        }
    }
    let times: Vec<(u8, f64)> = played.notes.iter().map(|note| (note.kind.open, note.time())).collect();
    for note in &mut played.notes {
        if raised.contains(&note.kind.open) {
            note.kind.cents = 100;
        }
        if !matches!(note.kind.cents, 0 | 100) || note.moved_after.is_some() {
            continue;
        }
        let late = chance.between(LATE.0, LATE.1);
        let again = times.iter().filter(|(open, at)| *open == note.kind.open && *at > note.time());
        let rings = again.map(|(_, at)| at - note.time()).fold(f64::INFINITY, f64::min);
        match chance.below(20) {
            0 | 1 => note.kind.cents = 100 - note.kind.cents,
            2 | 3 => note.kind.cents = 30 + 10 * chance.below(5) as u8,
            4 | 5 if rings >= late + RINGS_ON => {
                note.kind.cents = 100 - note.kind.cents;
                note.moved_after = Some((late * f64::from(RATE)).round() as u64);
            }
            _ => {}
        }
    }
}

/// What became of the lever of a note that was found at a moment: a little beside its pluck too, where two hands pluck almost
/// together and the one's moment is taken for the other's.
fn lever_of(note: &ExpectedNote, at: f64, played: &Passage) -> Lever {
    let states = [Some(note.note), note.other_state].map(|state| state.map_or(0, MidiNote::get));
    let open = states[0].min(states[1]);
    let asked = if states[0] > open { 100 } else { 0 };
    let away = |own: &TrueNote| (own.time() - at).abs();
    let own = played.notes.iter().filter(|own| own.kind.open == open && away(own) < ANOTHER);
    match own.min_by(|a, b| away(a).total_cmp(&away(b))) {
        None => Lever::NotPlucked,
        Some(own) if own.kind.cents == asked => Lever::AsAsked,
        Some(own) if !matches!(own.kind.cents, 0 | 100) => Lever::HalfWay,
        Some(own) if own.moved_after.is_some() => Lever::Late,
        Some(_) => Lever::Otherwise,
    }
}

/// Writes the numbers that come of each of several things, which are worked at on all cores.
fn write_each<T: Sync>(all: &[T], into: &mut impl Write, numbers: impl Fn(&T) -> Vec<f32> + Sync) {
    write_each_as_bytes(all, into, |one| numbers(one).into_iter().flat_map(f32::to_le_bytes).collect());
}

fn write_each_as_bytes<T: Sync>(all: &[T], into: &mut impl Write, bytes: impl Fn(&T) -> Vec<u8> + Sync) {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZeroUsize::get);
    let part = |some: &[T]| some.iter().flat_map(&bytes).collect::<Vec<u8>>();
    let parts: Vec<Vec<u8>> = std::thread::scope(|scope| {
        let part = &part;
        let started: Vec<_> =
            all.chunks(all.len().div_ceil(cores).max(1)).map(|some| scope.spawn(move || part(some))).collect();
        started.into_iter().map(|thread| thread.join().unwrap()).collect()
    });
    for part in parts {
        into.write_all(&part).unwrap();
    }
}

/// Writes recordings: how many frames (32 bits), then for each its levels in bytes (90 to the decade) and whether
/// something begins in it.
pub fn write_frames(of_each: u64, into: &mut impl Write) {
    let rate = SampleRate::new(RATE).unwrap();
    for (place, instrument) in INSTRUMENTS.into_iter().chain(FURTHER).enumerate() {
        let seeds: Vec<u64> = (0..of_each).map(|n| SEEDS + n + 100_000 * place as u64).collect();
        let passages: Vec<Passage> = seeds.iter().map(|seed| softly(*seed)).collect();
        let bank = Bank::of(instrument, &passages.iter().flat_map(Passage::kinds).collect()).unwrap();
        let seeded: Vec<(u64, Passage)> = seeds.into_iter().zip(passages).collect();
        write_each_as_bytes(&seeded, into, |(seed, passage)| {
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
            let mut bytes = (frames.len() as u32).to_le_bytes().to_vec();
            for (levels, label) in frames.iter().zip(labels) {
                bytes.extend(levels.map(|level| (level * 90.0).round().clamp(0.0, 255.0) as u8));
                bytes.push(label);
            }
            bytes
        });
        println!("{instrument:?}: {} passages", seeded.len());
    }
}

/// A passage, of which some notes are much softer than the rest.
fn softly(seed: u64) -> Passage {
    let mut passage = Passage::new(Kind::ALL[(seed % 3) as usize], seed);
    let mut chance = Chance::seeded(seed ^ 0x50f7);
    for note in &mut passage.notes {
        if chance.below(3) == 0 {
            note.kind.velocity = SOFT[chance.below(SOFT.len())];
        }
    }
    passage
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
