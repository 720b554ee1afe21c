//! The strings that a glissando crosses.

use super::{PlayedBar, Pluck, Stroke};
use crate::pitch::{Key, Letter, SpelledPitch};
use crate::score::Score;
use crate::time::Ticks;

/// A 480th of a quarter: swept strings lie on it where there is time enough, as files of other programs can say it.
const GRID: Ticks = Ticks::new(Ticks::PER_QUARTER / 480);

/// Adds a pluck for every string between the two written notes of each glissando.
///
/// The strings are those of the letters between, at the pitches of the key signature; but a letter that one of the two
/// written notes alters is altered so in every octave, the first note's word before the second's (common practice: a
/// glissando is prepared in one scale). They are spread evenly over the time of the first note and ring to its end.
pub(super) fn sweep(score: &Score, bars: &[PlayedBar], plucks: &mut Vec<Pluck>) {
    let mut swept = Vec::new();
    for pluck in plucks.iter() {
        let Some(note) = score.parts().get(pluck.note.part).and_then(|part| part.notes.get(pluck.note.note)) else {
            continue;
        };
        let Some(to) = note.glissando_to else { continue };
        let key = bars.get(pluck.played_bar).and_then(|bar| score.bar(bar.bar)).map_or(Key::NATURAL, |bar| bar.key);
        let crossed = crossed(pluck.pitch, to, key);
        let parts = i64::try_from(crossed.len()).unwrap_or(i64::MAX - 1) + 1;
        let lasts = pluck.written_end - pluck.at;
        swept.extend(crossed.into_iter().zip(1..).map(|(pitch, place)| {
            let exact = lasts.get() / parts * place + lasts.get() % parts * place / parts;
            let on_grid = if lasts.get() >= parts * GRID.get() { exact - exact % GRID.get() } else { exact };
            let at = pluck.at + Ticks::new(on_grid);
            let played_bar = bars.partition_point(|bar| bar.starts <= at).saturating_sub(1);
            Pluck { at, pitch, sounds: pitch, stroke: Stroke::Swept, played_bar, roll: None, ..pluck.clone() }
        }));
    }
    plucks.extend(swept);
}

/// The pitches strictly between two, one for each letter, in the order of the movement.
fn crossed(from: SpelledPitch, to: SpelledPitch, key: Key) -> Vec<SpelledPitch> {
    let pitch = |steps: i16| {
        let letter = Letter::from_steps(i32::from(steps));
        let alter =
            [from, to].into_iter().find(|end| end.letter() == letter).map_or(key.alter(letter), |end| end.alter());
        SpelledPitch::new(letter, alter, i8::try_from(steps.div_euclid(7)).ok()?).ok()
    };
    let (low, high) = (from.staff_steps().min(to.staff_steps()), from.staff_steps().max(to.staff_steps()));
    let upward: Vec<SpelledPitch> = (low + 1..high).filter_map(pitch).collect();
    if from.staff_steps() <= to.staff_steps() { upward } else { upward.into_iter().rev().collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: between C4 and C5 in G major lie six letters, of which the signature sharpens F; between two F♯ of C
    /// major the F on the way is sharp like its ends. Neighbours have nothing between them.
    #[test]
    fn strings_between_two_notes() {
        let names = |from: &str, to: &str, fifths| {
            let key = Key::from_fifths(fifths).unwrap();
            let crossed = crossed(from.parse().unwrap(), to.parse().unwrap(), key);
            crossed.into_iter().map(SpelledPitch::ascii).collect::<Vec<_>>().join(" ")
        };
        assert_eq!(names("C4", "C5", 1), "D4 E4 F#4 G4 A4 B4");
        assert_eq!(names("E5", "A4", -3), "D5 C5 Bb4");
        assert_eq!(names("F#4", "F#6", 0), "G4 A4 B4 C5 D5 E5 F#5 G5 A5 B5 C6 D6 E6");
        assert_eq!(names("E4", "F4", 0), "");
        assert_eq!(
            names("G9", "C-1", 0).split(' ').count(),
            73,
            "7 × 10 + 4 letters lie from C-1 up to below G9, less C-1"
        );
    }
}
