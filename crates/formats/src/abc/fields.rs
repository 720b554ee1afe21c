//! The fields that set meter, unit length, tempo and voices: `M:`, `L:`, `Q:`, `V:` and the properties of `K:` and `V:`
//! (ABC 2.1 §3.1.6–3.1.8, §4.6, §7.1).

use leverlane_core::meter::Meter;
use leverlane_core::time::{Tempo, Ticks};

use super::fraction::Fraction;

/// What `M:` says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum MeterField {
    /// A meter.
    Counted(Meter),
    /// `M:none` or an empty field: bars are as long as their content.
    Free,
}

impl MeterField {
    /// A full bar, if there is such a thing.
    pub(super) fn bar(&self) -> Option<Fraction> {
        match self {
            MeterField::Counted(meter) => fraction_of(meter.bar_length()),
            MeterField::Free => None,
        }
    }

    /// The unit length where no `L:` says one: a sixteenth below three quarters of a whole note, else an eighth.
    pub(super) fn default_unit(&self) -> Option<Fraction> {
        match self {
            MeterField::Counted(meter) if meter.bar_length() < Ticks::QUARTER * 3 => Fraction::new(1, 4),
            _ => Fraction::new(1, 2),
        }
    }
}

fn fraction_of(length: Ticks) -> Option<Fraction> {
    let (numerator, denominator) = length.quarters_ratio();
    Fraction::new(numerator, denominator)
}

/// Reads what stands after `M:`. None for what is no meter.
pub(super) fn parse_meter(text: &str) -> Option<MeterField> {
    let text = text.trim();
    match text {
        "" | "none" | "None" => return Some(MeterField::Free),
        "C" => return Meter::new(&[4], 4).ok().map(MeterField::Counted),
        "C|" => return Meter::new(&[2], 2).ok().map(MeterField::Counted),
        _ => {}
    }
    let (above, below) = text.split_once('/')?;
    let above = above.trim().trim_start_matches('(').trim_end_matches(')');
    let groups = above.split('+').map(|group| group.trim().parse().ok()).collect::<Option<Vec<u8>>>()?;
    Meter::new(&groups, below.trim().parse().ok()?).ok().map(MeterField::Counted)
}

/// Reads what stands after `L:`, such as `1/8`; in quarter notes. None for what is no length.
pub(super) fn parse_unit(text: &str) -> Option<Fraction> {
    note_value(text.trim()).filter(|unit| !unit.is_zero())
}

/// A share of a whole note, in quarter notes.
fn note_value(text: &str) -> Option<Fraction> {
    let (above, below) = text.split_once('/').unwrap_or((text, "1"));
    let (above, below): (i64, i64) = (above.trim().parse().ok()?, below.trim().parse().ok()?);
    Fraction::new(above.checked_mul(4)?, below)
}

/// What `Q:` says.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum TempoField {
    /// A tempo.
    Counted(Tempo),
    /// Words without a number.
    Words(String),
    /// A number of beats whose length nobody wrote: the outdated form, counted in unit lengths (ABC 2.1 §10.1).
    InUnits(Tempo),
    /// Nothing that can be understood, or out of range.
    Unreadable,
}

/// Reads what stands after `Q:`. `unit` is the unit length in force.
pub(super) fn parse_tempo(text: &str, unit: Fraction) -> TempoField {
    let mut plain = String::new();
    let mut words = String::new();
    for (index, piece) in text.split('"').enumerate() {
        if index % 2 == 0 { &mut plain } else { &mut words }.push_str(piece);
    }
    let plain = plain.trim();
    if plain.is_empty() {
        return if words.is_empty() { TempoField::Unreadable } else { TempoField::Words(words) };
    }
    let counted = |beat: Option<Fraction>, per_minute: &str| {
        let (beat, _) = beat?.ticks();
        Tempo::beats(beat, per_minute.trim().parse().ok()?).ok()
    };
    let Some((beat, per_minute)) = plain.split_once('=') else {
        return counted(Some(unit), plain).map_or(TempoField::Unreadable, TempoField::InUnits);
    };
    let beat = beat.trim();
    let units = beat.strip_prefix('C').map(|count| if count.is_empty() { Some(1) } else { count.parse().ok() });
    let length = match units {
        // "C3=40", outdated: three units to the beat.
        Some(count) => count.and_then(|count: i64| unit.times(Fraction::new(count, 1)?)),
        // Several values make one beat together: "1/4 3/8 1/4 3/8=40".
        None => beat
            .split_whitespace()
            .map(note_value)
            .try_fold(Fraction::ZERO, |sum, value| sum.plus(value?))
            .filter(|sum| !sum.is_zero()),
    };
    counted(length, per_minute).map_or(TempoField::Unreadable, TempoField::Counted)
}

/// What a clef and its neighbours say about a voice.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Properties {
    /// A name to print.
    pub(super) name: Option<String>,
    /// Where the clef puts the voice; none where no clef is named.
    pub(super) register: Option<Register>,
    /// Octaves that the notes are shifted by: `octave=`, which is in the text, and `treble-8`, which the player does.
    pub(super) octaves: Option<i8>,
    /// Semitones that the player transposes by.
    pub(super) semitones: Option<i8>,
}

/// Where a clef puts its voice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Register {
    /// A treble, alto or tenor clef.
    Upper,
    /// A bass clef.
    Lower,
}

/// Reads properties such as `clef=bass octave=-1 name="Left hand"`, and a clef standing alone.
pub(super) fn parse_properties(text: &str) -> Properties {
    let mut properties = Properties::default();
    let mut clef_octaves = None;
    let mut octaves = None;
    for (name, value) in pairs(text) {
        match name.as_str() {
            "name" | "nm" => properties.name = Some(value),
            "clef" => (properties.register, clef_octaves) = clef(&value),
            "octave" => octaves = value.parse().ok().filter(|shift: &i8| shift.abs() <= 8),
            "transpose" => properties.semitones = value.parse().ok().filter(|shift: &i8| shift.abs() <= 60),
            bare if value.is_empty() && super::key::is_clef(bare) => (properties.register, clef_octaves) = clef(bare),
            _ => {}
        }
    }
    if clef_octaves.is_some() || octaves.is_some() {
        properties.octaves = Some(clef_octaves.unwrap_or(0) + octaves.unwrap_or(0));
    }
    properties
}

fn clef(name: &str) -> (Option<Register>, Option<i8>) {
    let octaves = if name.ends_with("+8") {
        1
    } else if name.ends_with("-8") {
        -1
    } else {
        0
    };
    let register = if name.starts_with("bass") { Register::Lower } else { Register::Upper };
    (Some(register), Some(octaves))
}

/// Words and `name=value` pairs; a value may be quoted and then hold spaces.
fn pairs(text: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut rest = text.trim_start();
    while !rest.is_empty() {
        let end = rest.find(|c: char| c.is_whitespace() || c == '=').unwrap_or(rest.len());
        let (name, after) = rest.split_at(end);
        let (value, after) = match after.strip_prefix('=') {
            None => ("", after),
            Some(value) => match value.strip_prefix('"') {
                Some(quoted) => quoted.split_once('"').unwrap_or((quoted, "")),
                None => value.split_at(value.find(char::is_whitespace).unwrap_or(value.len())),
            },
        };
        found.push((name.to_owned(), value.to_owned()));
        rest = after.trim_start();
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meter(text: &str) -> Option<String> {
        match parse_meter(text)? {
            MeterField::Counted(meter) => Some(meter.to_string()),
            MeterField::Free => Some("free".to_owned()),
        }
    }

    /// ABC 2.1 §3.1.6 (from memory).
    #[test]
    fn meters_and_default_units() {
        for (text, expected) in [
            ("C", Some("4/4")),
            ("C|", Some("2/2")),
            (" 6/8 ", Some("6/8")),
            ("(2+3)/8", Some("2+3/8")),
            ("2+2+3/8", Some("2+2+3/8")),
            ("none", Some("free")),
            ("", Some("free")),
            ("4", None),
            ("0/4", None),
            ("4/3", None),
            ("300/4", None),
        ] {
            assert_eq!(meter(text).as_deref(), expected, "{text}");
        }
        // §3.1.7: 2/4 = 0.5 gives a sixteenth; 6/8 and 3/4 are 0.75 and give an eighth.
        let unit = |text| parse_meter(text).and_then(|meter| meter.default_unit());
        assert_eq!(unit("2/4"), parse_unit("1/16"));
        assert_eq!(unit("6/8"), parse_unit("1/8"));
        assert_eq!(unit("3/4"), parse_unit("1/8"));
        assert_eq!(unit("none"), parse_unit("1/8"));
        assert_eq!(parse_unit("1/0"), None);
        assert_eq!(parse_unit("0"), None);
    }

    /// ABC 2.1 §3.1.8 and §10.1 (from memory).
    #[test]
    fn tempos() {
        let eighth = parse_unit("1/8").unwrap();
        let quarters = |text| match parse_tempo(text, eighth) {
            TempoField::Counted(tempo) | TempoField::InUnits(tempo) => Some(tempo.quarters_per_minute()),
            _ => None,
        };
        assert_eq!(quarters("1/4=120"), Some(120.0));
        assert_eq!(quarters("3/8=60"), Some(90.0));
        assert_eq!(quarters("\"Allegro\" 1/4=120"), Some(120.0));
        assert_eq!(quarters("3/8=50 \"Slowly\""), Some(75.0));
        assert_eq!(quarters("1/4 3/8 1/4 3/8=40"), Some(200.0));
        assert_eq!(quarters("120"), Some(60.0));
        assert_eq!(quarters("C=100"), Some(50.0));
        assert_eq!(quarters("C3=40"), Some(60.0));
        assert_eq!(parse_tempo("\"Andante\"", eighth), TempoField::Words("Andante".to_owned()));
        for bad in ["", "fast", "1/4=", "1/0=120", "1/4=100000", "=", "C9999999999999=3"] {
            assert_eq!(parse_tempo(bad, eighth), TempoField::Unreadable, "{bad}");
        }
    }

    #[test]
    fn voice_properties() {
        let left = parse_properties("clef=bass octave=-1 name=\"Left hand\"");
        assert_eq!((left.register, left.octaves), (Some(Register::Lower), Some(-1)));
        assert_eq!(left.name.as_deref(), Some("Left hand"));
        assert_eq!(parse_properties("treble-8 transpose=-2").octaves, Some(-1));
        assert_eq!(parse_properties("treble-8 transpose=-2").semitones, Some(-2));
        assert_eq!(parse_properties("bass").register, Some(Register::Lower));
        assert_eq!(parse_properties("midi program 1 74"), Properties::default());
        assert_eq!(parse_properties("name=\"open"), Properties { name: Some("open".to_owned()), ..Default::default() });
    }
}
