//! What notes and octaves are called.

use leverlane_core::pitch::{Letter, SpelledPitch};

use super::Words;

/// What the player calls the notes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum NoteNames {
    /// C D E F G A B, with signs.
    #[default]
    English,
    /// C D E F G A H, with endings: Fis, Es, and B for the lowered H.
    German,
    /// Do Re Mi Fa Sol La Si, with signs.
    Solfege,
}

impl NoteNames {
    /// All of them.
    pub const ALL: [NoteNames; 3] = [NoteNames::English, NoteNames::German, NoteNames::Solfege];
}

/// How octaves are counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Octaves {
    /// From the bass up, C to B; middle C is C4.
    #[default]
    Scientific,
    /// From the top down, E down to F, as harpists do; the number stands before the name: middle C is 4C.
    Harpists,
}

impl Octaves {
    /// Both.
    pub const ALL: [Octaves; 2] = [Octaves::Scientific, Octaves::Harpists];
}

/// The harpists' octave of a pitch: 7 − ⌊(d − 3) / 7⌋ with d = 7 · octave + letter, so that octaves run from E down to F
/// and what lies above the first-octave E is 0 (common practice; arithmetic).
pub(super) fn harpists_octave(pitch: SpelledPitch) -> i16 {
    7 - (pitch.staff_steps() - 3).div_euclid(7)
}

impl Words {
    /// A letter without a sign: `B`, `H`, `Si`.
    pub fn letter(self, letter: Letter) -> &'static str {
        let [english, german, solfege] = match letter {
            Letter::C => ["C", "C", "Do"],
            Letter::D => ["D", "D", "Re"],
            Letter::E => ["E", "E", "Mi"],
            Letter::F => ["F", "F", "Fa"],
            Letter::G => ["G", "G", "Sol"],
            Letter::A => ["A", "A", "La"],
            Letter::B => ["B", "H", "Si"],
        };
        match self.notes {
            NoteNames::English => english,
            NoteNames::German => german,
            NoteNames::Solfege => solfege,
        }
    }

    /// A pitch without its octave: `F♯`, `Fis`, `Fa♯`; a natural without a sign.
    pub fn note(self, pitch: SpelledPitch) -> String {
        let (letter, alter) = (pitch.letter(), pitch.alter());
        let times = usize::from(alter.unsigned_abs());
        if self.notes != NoteNames::German {
            return format!("{}{}", self.letter(letter), if alter < 0 { "♭" } else { "♯" }.repeat(times));
        }
        let name = self.letter(letter);
        match (letter, alter) {
            (Letter::B, -1) => "B".to_owned(),
            (Letter::E | Letter::A, ..0) => format!("{name}s{}", "es".repeat(times - 1)),
            (_, ..0) => format!("{name}{}", "es".repeat(times)),
            _ => format!("{name}{}", "is".repeat(times)),
        }
    }

    /// A pitch without its octave as flips name it: a natural has its sign, but in German, where the name alone says it.
    pub fn flip_note(self, pitch: SpelledPitch) -> String {
        let natural = if pitch.alter() == 0 && self.notes != NoteNames::German { "♮" } else { "" };
        format!("{}{natural}", self.note(pitch))
    }

    /// A name with the octave of its pitch: `F♯4`, or `4F♯` as harpists count.
    pub fn in_octave(self, name: &str, pitch: SpelledPitch) -> String {
        match self.octaves {
            Octaves::Scientific => format!("{name}{}", pitch.octave()),
            Octaves::Harpists => format!("{}{name}", harpists_octave(pitch)),
        }
    }

    /// A pitch with its octave: `F♯4`.
    pub fn pitch(self, pitch: SpelledPitch) -> String {
        self.in_octave(&self.note(pitch), pitch)
    }

    /// A string by letter and octave, whatever its tuning: `F4`.
    pub fn string(self, open: SpelledPitch) -> String {
        self.in_octave(self.letter(open.letter()), open)
    }

    /// A pitch for the ear: `F sharp 4`.
    pub fn pitch_spoken(self, pitch: SpelledPitch) -> String {
        if self.notes == NoteNames::German {
            return match self.octaves {
                Octaves::Scientific => format!("{} {}", self.note(pitch), pitch.octave()),
                Octaves::Harpists => format!("{} {}", harpists_octave(pitch), self.note(pitch)),
            };
        }
        let sign = match pitch.alter() {
            0 => String::new(),
            alter => {
                let key = if alter > 0 { "sharp" } else { "flat" };
                format!(" {}", vec![self.text(key); usize::from(alter.unsigned_abs())].join(" "))
            }
        };
        let name = format!("{}{sign}", self.letter(pitch.letter()));
        match self.octaves {
            Octaves::Scientific => format!("{name} {}", pitch.octave()),
            Octaves::Harpists => format!("{} {name}", harpists_octave(pitch)),
        }
    }
}
