//! What stands in `attributes`: meter, key, transposition.

use crate::{Said, said};
use leverlane_core::meter::Meter;
use leverlane_core::pitch::{Key, Letter, SpelledPitch};
use roxmltree::Node;

use super::document::{child, child_text, children, quoted, text_of};

/// How far the sounding pitch lies from the written one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Transposition {
    /// Staff steps, octaves included.
    steps: i32,
    /// Semitones, octaves included.
    semitones: i32,
}

impl Transposition {
    /// A `transpose` element: `chromatic`, `diatonic` for the spelling, `octave-change`.
    pub(super) fn read(node: Node<'_, '_>) -> Transposition {
        let number = |name| child_text(node, name).and_then(|text| text.parse::<f64>().ok()).map(f64::round);
        let bounded = |number: f64| number.clamp(-120.0, 120.0) as i32;
        let semitones = number("chromatic").map_or(0, bounded);
        let octaves = number("octave-change").map_or(0, bounded);
        // Without `diatonic`: the usual interval of so many semitones (the tritone as an augmented fourth).
        const STEPS: [i32; 12] = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];
        let usual = || {
            let size = semitones.unsigned_abs() as usize;
            semitones.signum() * (STEPS[size % 12] + 7 * (semitones.abs() / 12))
        };
        let steps = number("diatonic").map_or_else(usual, bounded);
        Transposition { steps: steps + 7 * octaves, semitones: semitones + 12 * octaves }
    }

    /// The sounding pitch of a written one; none beyond MIDI's range. Where the spelling would need more than a double
    /// accidental, the neighbouring letter is taken.
    pub(super) fn sounding(self, letter: Letter, alter: i32, octave: i32) -> Option<SpelledPitch> {
        let semitones =
            |steps: i32| 12 * steps.div_euclid(7) + i32::from(Letter::from_steps(steps).semitones_above_c());
        let written = 7 * octave + i32::from(letter.steps_above_c());
        let wanted = semitones(written) + alter + self.semitones;
        let moved = written + self.steps;
        let most = if self == Transposition::default() { 3 } else { 2 };
        let steps = [moved, moved + 1, moved - 1, moved + 2, moved - 2]
            .into_iter()
            .find(|&steps| (wanted - semitones(steps)).abs() <= most)?;
        let alter = i8::try_from(wanted - semitones(steps)).ok()?;
        SpelledPitch::new(Letter::from_steps(steps), alter, i8::try_from(steps.div_euclid(7)).ok()?).ok()
    }

    /// The sounding key of a written one: an interval of d steps and c semitones moves it by 7c − 12d fifths.
    pub(super) fn sounding_key(self, written: Key) -> Key {
        let fifths = i32::from(written.fifths()) + 7 * self.semitones - 12 * self.steps;
        let usual = if (-7..=7).contains(&fifths) { fifths } else { (fifths + 5).rem_euclid(12) - 5 };
        i8::try_from(usual).ok().and_then(Key::from_fifths).unwrap_or(written)
    }
}

/// A `key` element, or what is wrong with it.
pub(super) fn key(node: Node<'_, '_>) -> Result<Key, Said> {
    let Some(fifths) = child_text(node, "fifths") else {
        return Err(said!("a key signature that is none of the usual ones; the key before it stays"));
    };
    fifths
        .parse()
        .ok()
        .and_then(Key::from_fifths)
        .ok_or_else(|| said!("a key signature of {fifths} fifths; the key before it stays", fifths = quoted(fifths)))
}

/// A `time` element: its meter, none for a senza-misura, or what is wrong with it.
pub(super) fn meter(node: Node<'_, '_>) -> Result<Option<Meter>, Said> {
    if child(node, "senza-misura").is_some() {
        return Ok(None);
    }
    let wrong = |what: Said| said!("a time signature of {what}; the meter before it stays", what);
    let above = children(node, "beats").map(text_of);
    let below = children(node, "beat-type").map(text_of);
    let mut pairs: Vec<(Vec<u32>, u32)> = Vec::new();
    for (beats, unit) in above.zip(below) {
        let groups = beats.split('+').map(|group| group.trim().parse::<u32>());
        let groups = groups.collect::<Result<Vec<u32>, _>>().map_err(|_| wrong(Said::quoted(quoted(beats))))?;
        let unit = unit.parse::<u32>().ok().filter(|unit| unit.is_power_of_two() && *unit <= 64);
        let unit = unit.ok_or_else(|| {
            wrong(Said::quoted(format!("{}/{}", quoted(beats), child_text(node, "beat-type").unwrap_or(""))))
        })?;
        pairs.push((groups, unit));
    }
    // Pairs over different note values are counted in the smallest: 3/4 + 2/8 is 6+2 over 8.
    let Some(unit) = pairs.iter().map(|&(_, unit)| unit).max() else {
        return Err(wrong(said!("no numbers")));
    };
    let groups =
        pairs.iter().flat_map(|(groups, own)| groups.iter().map(move |group| group.saturating_mul(unit / own)));
    let groups: Vec<u8> = groups.map(|group| u8::try_from(group).unwrap_or(u8::MAX)).collect();
    Meter::new(&groups, unit)
        .map(Some)
        .map_err(|_| wrong(said!("{groups} groups over {unit}, 64 units at most", groups = groups.len(), unit)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with_element<T>(xml: &str, read: impl Fn(Node<'_, '_>) -> T) -> T {
        read(roxmltree::Document::parse(xml).unwrap().root_element())
    }

    /// Common practice: a horn in F sounds a fifth lower, a clarinet in B♭ a tone lower, a double bass an octave lower.
    #[test]
    fn transposing_parts() {
        let pitch = |xml: &str, letter, alter, octave| {
            let sounding = with_element(xml, |node| Transposition::read(node).sounding(letter, alter, octave));
            sounding.map(SpelledPitch::ascii).unwrap_or_default()
        };
        let horn = "<t><diatonic>-4</diatonic><chromatic>-7</chromatic></t>";
        assert_eq!(pitch(horn, Letter::C, 0, 5), "F4");
        let clarinet = "<t><chromatic>-2</chromatic></t>";
        assert_eq!(pitch(clarinet, Letter::C, 1, 4), "B3");
        assert_eq!(pitch(clarinet, Letter::D, -1, 5), "Cb5", "a tone below D♭");
        let bass = "<t><diatonic>0</diatonic><chromatic>0</chromatic><octave-change>-1</octave-change></t>";
        assert_eq!(pitch(bass, Letter::E, -1, 2), "Eb1");
        assert_eq!(pitch("<t/>", Letter::B, 1, 3), "B#3");
        let key = with_element(clarinet, |node| Transposition::read(node).sounding_key(Key::from_fifths(2).unwrap()));
        assert_eq!(key, Key::NATURAL, "a clarinet that reads D major sounds C major");
        let key = with_element(horn, |node| Transposition::read(node).sounding_key(Key::from_fifths(-6).unwrap()));
        assert_eq!(key.fifths(), -7);
    }

    #[test]
    fn meters() {
        let read = |xml: &str| with_element(xml, meter).map(|meter| meter.map(|meter| meter.to_string()));
        let text = |inner: &str| format!("<time>{inner}</time>");
        let plain = text("<beats>6</beats><beat-type>8</beat-type>");
        assert_eq!(read(&plain), Ok(Some("6/8".to_owned())));
        let additive = text("<beats>3+2</beats><beat-type>8</beat-type>");
        assert_eq!(read(&additive), Ok(Some("3+2/8".to_owned())));
        let mixed = text("<beats>3</beats><beat-type>4</beat-type><beats>2</beats><beat-type>8</beat-type>");
        assert_eq!(read(&mixed), Ok(Some("6+2/8".to_owned())));
        assert_eq!(read(&text("<senza-misura/>")), Ok(None));
        for bad in ["", "<beats>x</beats><beat-type>4</beat-type>", "<beats>4</beats><beat-type>3</beat-type>"] {
            assert!(read(&text(bad)).is_err(), "{bad}");
        }
    }
}
