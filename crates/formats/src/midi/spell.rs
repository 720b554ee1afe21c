//! Names for MIDI notes: the algorithm ps13s1.
//!
//! David Meredith, "The ps13 pitch spelling algorithm", Journal of New Music Research 35(2), 2006, from memory of its
//! published form; the names below are its own. Each note takes the letter for which the tonics of its surroundings
//! speak: were C♯ the tonic, say, the note would have such a letter; the tonics vote as often as they sound in the
//! context. The paper's measure is indifferent to a whole piece being written a diminished second too high or low;
//! here that is settled by the key signatures.

use leverlane_core::pitch::{Key, Letter, MidiNote, SpelledPitch};

/// Notes before the one in question that count as its context, and notes from it on (K_pre and K_post).
const BEFORE: usize = 10;
const FROM_IT_ON: usize = 42;

/// The morph (letter above A) of a chroma (semitones above A) for the very first note.
const FIRST_MORPH: [i32; 12] = [0, 1, 1, 2, 2, 3, 4, 4, 5, 5, 6, 6];
/// Letters above the tonic of a note so many semitones above it.
const MORPH_INTERVAL: [i32; 12] = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];

/// Spells notes that are given by time and from low to high, each with the key signature that it stands under. Every
/// note number has a name, so none is ever missing.
pub(super) fn spell(notes: &[(MidiNote, Key)]) -> Vec<Option<SpelledPitch>> {
    let morphs = morphs(&notes.iter().map(|&(note, _)| chroma(note)).collect::<Vec<_>>());
    // How strange a name is, is the same in every octave: notes that are alike are counted and judged together.
    let mut alike = [[[0i64; 7]; 12]; 15];
    for (&(note, key), &morph) in notes.iter().zip(&morphs) {
        alike[(key.fifths() + 7) as usize][usize::from(note.get() % 12)][morph as usize] += 1;
    }
    let strangeness_of_all = |shift: i32| {
        let mut sum = 0;
        for (signature, of_key) in (-7..).zip(&alike) {
            for (middle, of_note) in (60..).zip(of_key) {
                for (morph, &count) in (0..).zip(of_note).filter(|(_, count)| **count > 0) {
                    let (Some(note), Some(key)) = (MidiNote::new(middle), Key::from_fifths(signature)) else {
                        continue;
                    };
                    sum += count * strangeness(note, morph + shift, key);
                }
            }
        }
        sum
    };
    let shift = [0, 1, -1].into_iter().min_by_key(|&shift| strangeness_of_all(shift)).unwrap_or(0);
    // Notes that are octaves apart have one name.
    let mut names: [[Option<SpelledPitch>; 7]; 12] = [[None; 7]; 12];
    let mut name = |(&(note, key), &morph): (&(MidiNote, Key), &i32)| {
        let morph = morph + shift;
        let known = &mut names[usize::from(note.get() % 12)][morph.rem_euclid(7) as usize];
        *known = known.and_then(|name| in_octave_of(note, name)).or_else(|| pitch(note, morph));
        known.or_else(|| least_strange(note, key))
    };
    notes.iter().zip(&morphs).map(&mut name).collect()
}

/// A name of a note that is octaves away.
fn in_octave_of(note: MidiNote, name: SpelledPitch) -> Option<SpelledPitch> {
    let octaves = (i16::from(note.get()) - i16::from(name.midi().get())) / 12;
    SpelledPitch::new(name.letter(), name.alter(), name.octave() + i8::try_from(octaves).ok()?).ok()
}

/// Semitones above A.
fn chroma(note: MidiNote) -> usize {
    // A0, the lowest key of the piano, is MIDI 21.
    usize::from((note.get() + 12 - 9) % 12)
}

fn morphs(chromas: &[usize]) -> Vec<i32> {
    let Some(&first) = chromas.first() else { return Vec::new() };
    let tonic_morphs: [i32; 12] =
        std::array::from_fn(|tonic| (FIRST_MORPH[first] - MORPH_INTERVAL[(first + 12 - tonic) % 12]).rem_euclid(7));
    // For each chroma the letter that it has in the key of each tonic.
    let letters: [[usize; 12]; 12] = std::array::from_fn(|chroma| {
        std::array::from_fn(|tonic| {
            (MORPH_INTERVAL[(chroma + 12 - tonic) % 12] + tonic_morphs[tonic]).rem_euclid(7) as usize
        })
    });
    let mut context = [0u32; 12];
    for &chroma in &chromas[..chromas.len().min(FROM_IT_ON)] {
        context[chroma] += 1;
    }
    let mut morphs = Vec::with_capacity(chromas.len());
    for (index, &chroma) in chromas.iter().enumerate() {
        if index > 0 {
            if let Some(&entering) = chromas.get(index + FROM_IT_ON - 1) {
                context[entering] += 1;
            }
            if let Some(leaving) = index.checked_sub(BEFORE + 1) {
                context[chromas[leaving]] -= 1;
            }
        }
        let mut strength = [0u32; 7];
        for (&letter, &votes) in letters[chroma].iter().zip(&context) {
            strength[letter] += votes;
        }
        // The first of the strongest.
        let strongest = (0..7).rev().max_by_key(|&morph| strength[morph as usize]).unwrap_or(0);
        morphs.push(strongest);
    }
    morphs
}

/// The pitch of a note number with a letter (above A), in the octave where the alteration is least.
fn pitch(note: MidiNote, morph: i32) -> Option<SpelledPitch> {
    // Letters above C.
    let letter = Letter::from_steps(morph + 5);
    let semitones = i32::from(note.get()) - i32::from(letter.semitones_above_c());
    let octave = (semitones + 6).div_euclid(12);
    let alter = semitones - 12 * octave;
    SpelledPitch::new(letter, i8::try_from(alter).ok()?, i8::try_from(octave - 1).ok()?).ok()
}

/// How far outside its key signature a spelling lies, in fifths: 0 for the seven notes of the key and, as the minor
/// and the usual neighbours have them, up to two more on the flat side and three on the sharp.
fn strangeness(note: MidiNote, morph: i32, key: Key) -> i64 {
    const FROM_F: [i32; 7] = [1, 3, 5, 0, 2, 4, 6];
    let Some(pitch) = pitch(note, morph) else { return 100 };
    let fifths = FROM_F[usize::from(pitch.letter().steps_above_c())] + 7 * i32::from(pitch.alter());
    // In the key signature itself the notes run from 0 (its F) to 6 (its B).
    let relative = fifths - i32::from(key.fifths());
    i64::from((-2 - relative).max(relative - 9).max(0))
}

/// The name that is least strange to the key, for where none of the letter found exists with three accidentals or fewer.
fn least_strange(note: MidiNote, key: Key) -> Option<SpelledPitch> {
    let names = (0..7).filter_map(|morph| Some((strangeness(note, morph, key), pitch(note, morph)?)));
    names.min_by_key(|&(strange, pitch)| (strange, pitch.alter().abs())).map(|(_, pitch)| pitch)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spelled(notes: &[u8], fifths: i8) -> String {
        let key = Key::from_fifths(fifths).unwrap();
        let notes: Vec<_> = notes.iter().map(|&note| (MidiNote::new(note).unwrap(), key)).collect();
        spell(&notes).into_iter().map(|pitch| pitch.unwrap().ascii()).collect::<Vec<_>>().join(" ")
    }

    /// Common practice: the leading note of A minor is G sharp, and a scale has each letter once.
    #[test]
    fn scales_have_each_letter_once() {
        assert_eq!(spelled(&[57, 59, 60, 62, 64, 65, 68, 69], 0), "A3 B3 C4 D4 E4 F4 G#4 A4");
        assert_eq!(spelled(&[61, 63, 65, 66, 68, 70, 72, 73], -5), "Db4 Eb4 F4 Gb4 Ab4 Bb4 C5 Db5");
        assert_eq!(spelled(&[61, 63, 65, 66, 68, 70, 72, 73], 7), "C#4 D#4 E#4 F#4 G#4 A#4 B#4 C#5");
        assert_eq!(spelled(&[], 0), "");
        assert_eq!(spelled(&[0, 127], 0), "C-1 G9");
    }

    /// Every number, alone and under every signature, keeps its pitch.
    #[test]
    fn no_note_changes_its_pitch() {
        for fifths in -7..=7 {
            for number in 0..=127 {
                let (note, key) = (MidiNote::new(number).unwrap(), Key::from_fifths(fifths).unwrap());
                assert_eq!(spell(&[(note, key)])[0].unwrap().midi(), note);
            }
        }
    }
}
