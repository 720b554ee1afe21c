//! Frequencies.

use super::{Cents, MidiNote};

/// A frequency in hertz, above zero.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Hertz(f64);

impl Hertz {
    /// Concert pitch: A4 = 440 Hz (ISO 16:1975).
    pub const A4: Hertz = Hertz(440.0);

    /// A frequency, or `None` where it is not a finite number above zero.
    pub fn new(hertz: f64) -> Option<Hertz> {
        (hertz.is_finite() && hertz > 0.0).then_some(Hertz(hertz))
    }

    /// The equal-tempered frequency of a note where A4 sounds at `concert_pitch`: f = A4 · 2^((m − 69)/12).
    pub fn of_note(note: MidiNote, concert_pitch: Hertz) -> Hertz {
        Hertz(concert_pitch.0 * ((f64::from(note.get()) - 69.0) / 12.0).exp2())
    }

    /// The number of hertz.
    pub const fn get(self) -> f64 {
        self.0
    }

    /// The frequency an interval higher (lower where the interval is negative).
    pub fn raised_by(self, interval: Cents) -> Hertz {
        Hertz(self.0 * (interval.get() / 1200.0).exp2())
    }

    /// The interval from `lower` up to this frequency.
    pub fn above(self, lower: Hertz) -> Cents {
        Cents::new(1200.0 * (self.0 / lower.0).log2())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Equal temperament from A4 = 440 Hz (ISO 16), open string and raised by a lever: published tables of equal
    /// temperament, two decimals.
    #[test]
    fn frequencies_of_the_strings() {
        let table = [
            ("C2", 36, 65.41, 69.30),
            ("F2", 41, 87.31, 92.50),
            ("C3", 48, 130.81, 138.59),
            ("F3", 53, 174.61, 185.00),
            ("C4", 60, 261.63, 277.18),
            ("F4", 65, 349.23, 369.99),
            ("A4", 69, 440.00, 466.16),
            ("C5", 72, 523.25, 554.37),
            ("F5", 77, 698.46, 739.99),
            ("C6", 84, 1046.50, 1108.73),
            ("A6", 93, 1760.00, 1864.66),
        ];
        for (name, midi, open, raised) in table {
            let hertz = Hertz::of_note(MidiNote::new(midi).unwrap(), Hertz::A4);
            assert!((hertz.get() - open).abs() <= 0.005, "{name} open: {}", hertz.get());
            let up = hertz.raised_by(Cents::SEMITONE);
            assert!((up.get() - raised).abs() <= 0.005, "{name} raised: {}", up.get());
            assert!((up.above(hertz).get() - 100.0).abs() < 1e-9, "{name}");
        }
    }

    /// A lever shortens the sounding length by 1 − 2^(−1/12) = 5.613 % (arithmetic: frequency and length are inverse).
    #[test]
    fn a_lever_takes_the_eighteenth_part_of_the_string() {
        let a4 = Hertz::A4;
        let shortened = 1.0 - a4.get() / a4.raised_by(Cents::SEMITONE).get();
        assert!((shortened - 0.056_13).abs() < 5e-6, "{shortened}");
    }
}
