//! The tuner: which string was plucked, levers down, and how far it is from its pitch.
//!
//! The string is known from the pitch alone: it is the one whose own is nearest. Strings are a semitone or a whole tone
//! apart, so that a string half of that off could be either; then neither is named, for whoever tightens a string to its
//! neighbour's pitch may snap it.

use leverlane_core::harp::{Harp, StringNumber};
use leverlane_core::pitch::{Cents, Hertz};

/// Within this of its pitch a string is in tune (common practice: 2 to 3 cents).
const IN_TUNE: f64 = 3.0;
/// A string is known where its own pitch is nearer by this than any other string's.
const NEARER_BY: f64 = 30.0;
/// Further than this from every string's pitch it is none of them.
const FURTHEST: f64 = 150.0;

/// Knows what a harp's strings should sound with all levers down.
#[derive(Clone, Debug)]
pub struct Tuner {
    strings: Vec<(StringNumber, Hertz)>,
}

/// What a pitch says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TunerReading {
    /// This string sounded.
    Known(StringTuning),
    /// Two strings could have sounded so; the nearer one first.
    Between(StringNumber, StringNumber),
    /// No string of this harp is near.
    NoString,
}

/// How a string is tuned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StringTuning {
    /// The string.
    pub string: StringNumber,
    /// What it should sound.
    pub target: Hertz,
    /// What it sounds.
    pub hertz: Hertz,
}

/// What is to be done about a string.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TuningAdvice {
    /// It is too low.
    Tighten,
    /// It is in tune.
    Leave,
    /// It is too high.
    Slacken,
}

impl StringTuning {
    /// How far above its pitch it sounds; negative is too low.
    pub fn off(&self) -> Cents {
        self.hertz.above(self.target)
    }

    /// What is to be done.
    pub fn advice(&self) -> TuningAdvice {
        match self.off().get() {
            off if off < -IN_TUNE => TuningAdvice::Tighten,
            off if off > IN_TUNE => TuningAdvice::Slacken,
            _ => TuningAdvice::Leave,
        }
    }
}

impl Tuner {
    /// For a harp, tuned in its own tuning where A4 is tuned to `concert_pitch`.
    pub fn new(harp: &Harp, concert_pitch: Hertz) -> Tuner {
        let target = |(number, string): (StringNumber, &leverlane_core::harp::HarpString)| {
            (number, Hertz::of_note(string.open.midi(), concert_pitch))
        };
        Tuner { strings: harp.numbered().map(target).collect() }
    }

    /// What each string should sound, from the top.
    pub fn targets(&self) -> &[(StringNumber, Hertz)] {
        &self.strings
    }

    /// Which string sounds like this, and how far it is off.
    pub fn read(&self, hertz: Hertz) -> TunerReading {
        let off = |target: Hertz| hertz.above(target).get().abs();
        let mut nearest: Vec<(f64, StringNumber, Hertz)> =
            self.strings.iter().map(|&(string, target)| (off(target), string, target)).collect();
        nearest.sort_by(|a, b| a.0.total_cmp(&b.0));
        match nearest[..] {
            [(off, string, target), (next, other, _), ..] if off <= FURTHEST => {
                if next - off >= NEARER_BY {
                    TunerReading::Known(StringTuning { string, target, hertz })
                } else {
                    TunerReading::Between(string, other)
                }
            }
            [(off, string, target)] if off <= FURTHEST => TunerReading::Known(StringTuning { string, target, hertz }),
            _ => TunerReading::NoString,
        }
    }

    /// Each string that was known from some of these pitches, by the median of its own, from the top.
    pub fn each(&self, pitches: impl IntoIterator<Item = Hertz>) -> Vec<StringTuning> {
        let known = |reading| match reading {
            TunerReading::Known(tuning) => Some(tuning),
            _ => None,
        };
        let mut all: Vec<StringTuning> = pitches.into_iter().filter_map(|hertz| known(self.read(hertz))).collect();
        all.sort_by(|a, b| a.string.cmp(&b.string).then(a.hertz.get().total_cmp(&b.hertz.get())));
        all.chunk_by(|a, b| a.string == b.string).map(|own| own[own.len() / 2]).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use leverlane_core::harp::{Preset, Tuning};

    fn tuner(a4: f64) -> (Harp, Tuner) {
        let harp = Preset::with_strings(34).unwrap().tuned(Tuning::EFlat);
        let tuner = Tuner::new(&harp, Hertz::new(a4).unwrap());
        (harp, tuner)
    }

    fn named(harp: &Harp, tuner: &Tuner, hertz: f64) -> Option<(String, f64, TuningAdvice)> {
        let TunerReading::Known(tuning) = tuner.read(Hertz::new(hertz).unwrap()) else { return None };
        let open = harp.string(tuning.string).unwrap().open;
        Some((open.ascii(), tuning.off().get(), tuning.advice()))
    }

    /// Arithmetic: in E flat at 440 Hz the strings around A are A♭4 = 415.305 and B♭4 = 466.164 Hz; 20 cents are a factor
    /// of 1.011619. Half-way between the two lies A4, which is neither.
    #[test]
    fn a_string_is_known_by_its_pitch() {
        let (harp, tuner) = tuner(440.0);
        let (name, off, advice) = named(&harp, &tuner, 415.305 / 1.011_619).unwrap();
        assert!(name == "Ab4" && (off + 20.0).abs() < 0.01 && advice == TuningAdvice::Tighten, "{name} {off}");
        let (name, off, advice) = named(&harp, &tuner, 466.164 * 1.011_619).unwrap();
        assert!(name == "Bb4" && (off - 20.0).abs() < 0.01 && advice == TuningAdvice::Slacken, "{name} {off}");
        assert_eq!(named(&harp, &tuner, 466.5).unwrap().2, TuningAdvice::Leave);
        let TunerReading::Between(one, other) = tuner.read(Hertz::A4) else { panic!("A4 is no string in E flat") };
        let mut both = [one, other].map(|string| harp.string(string).unwrap().open.ascii());
        both.sort();
        assert_eq!(both, ["Ab4", "Bb4"]);
        assert_eq!(tuner.read(Hertz::new(30.0).unwrap()), TunerReading::NoString);
    }

    /// Arithmetic: at A4 = 415 Hz the string B♭4 is to sound 415 · 2^(1/12) = 439.68 Hz.
    #[test]
    fn the_concert_pitch_is_the_players() {
        let (harp, tuner) = tuner(415.0);
        let (name, off, _) = named(&harp, &tuner, 439.68).unwrap();
        assert!(name == "Bb4" && off.abs() < 0.1, "{name} {off}");
    }

    /// Of three plucks the middle one tells: 4, −20 and 5 cents off are 4. A string is told once.
    #[test]
    fn each_string_is_told_once_by_its_median() {
        let (harp, tuner) = tuner(443.0);
        let pitches = tuner
            .targets()
            .iter()
            .flat_map(|&(_, target)| [4.0, -20.0, 5.0].map(|cents| target.raised_by(Cents::new(cents))));
        let each = tuner.each(pitches.collect::<Vec<_>>());
        assert_eq!(each.len(), harp.strings().len());
        assert!(each.iter().all(|tuning| (tuning.off().get() - 4.0).abs() < 1e-6), "{each:?}");
    }
}
