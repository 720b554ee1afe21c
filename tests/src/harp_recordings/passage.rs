//! What is played.

use std::collections::{BTreeMap, BTreeSet};

use super::{Bank, Chance, PluckKind, RATE};

/// The kinds of passage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// One note after the other.
    Line,
    /// A line over single notes and dyads of the other hand.
    TwoHands,
    /// Chords whose notes follow each other by 30 ms, a line between them.
    Rolled,
}

impl Kind {
    /// All of them.
    pub const ALL: [Kind; 3] = [Kind::Line, Kind::TwoHands, Kind::Rolled];

    /// For tables.
    pub const fn name(self) -> &'static str {
        match self {
            Kind::Line => "lines",
            Kind::TwoHands => "two hands",
            Kind::Rolled => "rolled",
        }
    }
}

/// A pluck as it truly was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrueNote {
    /// When it began, in samples.
    pub at: u64,
    /// What was plucked.
    pub kind: PluckKind,
    /// How many samples later the string's lever was moved to its other state, if it was while it rang.
    pub moved_after: Option<u64>,
}

impl TrueNote {
    /// The pluck of the string in its other state, where its lever came late.
    fn moved(&self) -> Option<PluckKind> {
        self.moved_after.map(|_| PluckKind { cents: 100 - self.kind.cents, ..self.kind })
    }

    /// The time in seconds.
    pub fn time(&self) -> f64 {
        self.at as f64 / f64::from(RATE)
    }
}

/// A passage by its truth.
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// What kind it is.
    pub kind: Kind,
    /// Quarter notes a minute.
    pub bpm: f64,
    /// Every pluck, in order of time.
    pub notes: Vec<TrueNote>,
}

/// The white keys, as strings of a harp tuned in C.
fn string(steps: i32) -> u8 {
    (12 * steps.div_euclid(7) + [0, 2, 4, 5, 7, 9, 11][steps.rem_euclid(7) as usize]) as u8
}

/// C4 in steps of the scale above the lowest C that MIDI has.
const C4: i32 = 35;

impl Passage {
    /// A passage of about eight seconds; the seed decides it.
    pub fn new(kind: Kind, seed: u64) -> Passage {
        let mut chance = Chance::seeded(seed);
        let bpm = [50.0, 60.0, 72.0, 84.0, 100.0, 112.0, 126.0, 138.0, 150.0, 160.0][chance.below(10)];
        let beat = 60.0 / bpm;
        let beats = (8.0 / beat) as usize;
        let spread = chance.between(0.003, 0.020);
        let mut notes = Vec::new();
        let mut step = C4 + 3 + chance.below(10) as i32;
        let mut low = C4 - 9 + chance.below(6) as i32;
        for n in 0..beats {
            let at = 0.4 + n as f64 * beat;
            let mut pluck = |chance: &mut Chance, at: f64, step: i32| {
                let velocity = [70, 90, 110][chance.below(3)];
                notes.push((at.max(0.05), PluckKind { open: string(step), cents: 0, velocity }));
            };
            let rolled = kind == Kind::Rolled && n % 2 == 0;
            // Eighths now and then, but not where they would be faster than fingers.
            let parts = if !rolled && beat > 0.45 && chance.below(3) == 0 { 2 } else { 1 };
            if rolled {
                let size = 3 + chance.below(2) as i32;
                let apart = chance.between(0.027, 0.035);
                let start = at + chance.normal(spread);
                for voice in 0..size {
                    pluck(&mut chance, start + f64::from(voice) * apart, low + 2 * voice + i32::from(voice == 3));
                }
            } else {
                for part in 0..parts {
                    let at = at + f64::from(part) * beat / f64::from(parts) + chance.normal(spread);
                    pluck(&mut chance, at, step);
                    step = (step + chance.below(7) as i32 - 3).clamp(C4 - 3, C4 + 19);
                }
            }
            if kind == Kind::TwoHands && chance.below(3) != 0 {
                let at = at + chance.normal(spread);
                pluck(&mut chance, at, low);
                if chance.below(2) == 0 {
                    let (at, above) = (at + chance.normal(0.003), 2 + chance.below(3) as i32);
                    pluck(&mut chance, at, low + above);
                }
            }
            low = (low + chance.below(5) as i32 - 2).clamp(C4 - 14, C4 - 3);
        }
        Passage::of(kind, bpm, notes)
    }

    /// The same passage with levers standing as chance has it: of ten plucks four are raised, one is raised half-way.
    pub fn with_levers(mut self, seed: u64) -> Passage {
        let mut chance = Chance::seeded(seed ^ 0x1e7e5);
        for note in &mut self.notes {
            note.kind.cents = match chance.below(10) {
                0..5 => 0,
                5..9 => 100,
                _ => 30 + 10 * chance.below(5) as u8,
            };
        }
        self
    }

    /// A passage from times in seconds; each begins at its nearest sample.
    pub fn of(kind: Kind, bpm: f64, notes: Vec<(f64, PluckKind)>) -> Passage {
        let mut notes: Vec<TrueNote> = notes
            .into_iter()
            .map(|(time, kind)| TrueNote { at: (time * f64::from(RATE)).round() as u64, kind, moved_after: None })
            .collect();
        notes.sort_by_key(|note| (note.at, note.kind));
        Passage { kind, bpm, notes }
    }

    /// The same passage with a lever that came late: the string of the pluck nearest to `time` is raised by a semitone so
    /// many seconds after it.
    pub fn with_late_lever(mut self, open: u8, time: f64, after: f64) -> Passage {
        let own = self.notes.iter_mut().filter(|note| note.kind.open == open);
        let distance = |note: &TrueNote| (note.time() - time).abs();
        if let Some(note) = own.min_by(|a, b| distance(a).total_cmp(&distance(b))) {
            note.moved_after = Some((after * f64::from(RATE)).round() as u64);
        }
        self
    }

    /// The kinds of pluck it needs.
    pub fn kinds(&self) -> BTreeSet<PluckKind> {
        self.notes.iter().flat_map(|note| std::iter::once(note.kind).chain(note.moved())).collect()
    }

    /// The moments at which something begins. Plucks less than 20 ms after another belong to it: nobody hears which of
    /// them was first (Hirsh 1959, "Auditory perception of temporal order").
    pub fn onsets(&self) -> Vec<f64> {
        let mut onsets: Vec<f64> = Vec::new();
        for note in &self.notes {
            if onsets.last().is_none_or(|last| note.time() - last >= 0.020) {
                onsets.push(note.time());
            }
        }
        onsets
    }

    /// Its sound, dry, with a second after the last pluck. A string rings until it is plucked again.
    pub fn sound(&self, bank: &Bank) -> Vec<f32> {
        self.sound_of(bank, self.notes.last().map_or(0, |note| note.at) as usize + RATE as usize)
    }

    /// The same of so many samples, in which whatever rings rings on: nothing ends it but itself.
    pub fn sound_of(&self, bank: &Bank, samples: usize) -> Vec<f32> {
        let mut sound = vec![0.0; samples];
        // The finger on a ringing string stops it within some milliseconds before it is plucked.
        let touch = RATE as usize * 6 / 1000;
        let bend = RATE as usize * 15 / 1000;
        let mut next: BTreeMap<u8, u64> = BTreeMap::new();
        for note in self.notes.iter().rev() {
            let pluck = bank.pluck(note.kind);
            let moved = note.moved().map_or(&[][..], |kind| bank.pluck(kind));
            let until = next.get(&note.kind.open).map_or(usize::MAX, |&next| (next - note.at) as usize);
            for (n, (sample, &own)) in sound.iter_mut().skip(note.at as usize).zip(pluck).enumerate() {
                if n >= until {
                    break;
                }
                let stopped = ((until - n) as f32 / touch as f32).min(1.0);
                // A lever bends the string within some hundredths of a second; one sound passes into the other.
                let far =
                    note.moved_after.map_or(0.0, |after| ((n as f32 - after as f32) / bend as f32).clamp(0.0, 1.0));
                let bent = moved.get(n).map_or(0.0, |moved| (moved - own) * far);
                *sample += (own + bent) * stopped;
            }
            next.insert(note.kind.open, note.at);
        }
        sound
    }
}
