//! Decorations: which are known, and which mean something to a player of the harp (ABC 2.1 §4.14, §4.16).

use std::collections::BTreeMap;

use leverlane_core::score::Finger;

/// What a decoration does to the reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Effect {
    /// Printed only.
    None,
    /// A fermata over the next note.
    Hold,
    /// The next chord is rolled.
    Roll,
    /// The next note is plucked with this finger; of several before a chord each goes to one of its notes.
    Finger(Finger),
    Segno,
    Coda,
    /// "To coda".
    ToCoda,
    DaCapo,
    DalSegno,
    Fine,
}

/// What a decoration's name means; none for an unknown one.
pub(super) fn effect(name: &str) -> Option<Effect> {
    if let Some(finger) = name.parse().ok().and_then(Finger::new) {
        return Some(Effect::Finger(finger));
    }
    Some(match name {
        "fermata" | "invertedfermata" => Effect::Hold,
        "arpeggio" => Effect::Roll,
        "segno" => Effect::Segno,
        "coda" => Effect::Coda,
        "dacoda" => Effect::ToCoda,
        "D.C." | "dacapo" => Effect::DaCapo,
        "D.S." => Effect::DalSegno,
        "fine" => Effect::Fine,
        "trill" | "trill(" | "trill)" | "lowermordent" | "uppermordent" | "mordent" | "pralltriller" | "roll"
        | "turn" | "turnx" | "invertedturn" | "invertedturnx" | ">" | "accent" | "emphasis" | "tenuto" | "0" | "+"
        | "plus" | "snap" | "slide" | "wedge" | "upbow" | "downbow" | "open" | "thumb" | "breath" | "pppp" | "ppp"
        | "pp" | "p" | "mp" | "mf" | "f" | "ff" | "fff" | "ffff" | "sfz" | "crescendo(" | "<(" | "crescendo)"
        | "<)" | "diminuendo(" | ">(" | "diminuendo)" | ">)" | "shortphrase" | "mediumphrase" | "longphrase"
        | "staccato" | "marcato" | "^" | "editorial" | "courtesy" | "nil" | "nofingering" => Effect::None,
        _ => return None,
    })
}

/// The letters that stand for decorations, as a tune may redefine them with `U:`.
#[derive(Clone, Debug)]
pub(super) struct Symbols(BTreeMap<char, String>);

impl Default for Symbols {
    /// §4.16: `.`, `~`, `H`, `L`, `M`, `O`, `P`, `S`, `T`, `u`, `v`.
    fn default() -> Symbols {
        let usual = [
            ('.', "staccato"),
            ('~', "roll"),
            ('H', "fermata"),
            ('L', "accent"),
            ('M', "lowermordent"),
            ('O', "coda"),
            ('P', "uppermordent"),
            ('S', "segno"),
            ('T', "trill"),
            ('u', "upbow"),
            ('v', "downbow"),
        ];
        Symbols(usual.into_iter().map(|(letter, name)| (letter, name.to_owned())).collect())
    }
}

impl Symbols {
    /// The decoration that a letter stands for.
    pub(super) fn name(&self, letter: char) -> Option<&str> {
        self.0.get(&letter).map(String::as_str)
    }

    /// Reads what stands after `U:`, such as `T = !trill!`. False for what defines nothing.
    pub(super) fn define(&mut self, text: &str) -> bool {
        let Some((letter, name)) = text.split_once('=') else { return false };
        let mut letters = letter.trim().chars();
        let name = name.trim().trim_matches(['!', '+']);
        match (letters.next(), letters.next()) {
            (Some(letter @ ('H'..='W' | 'h'..='w' | '~')), None) if !name.is_empty() => {
                // A text such as "^slow" is printed only.
                let name = if name.starts_with('"') { "nil" } else { name };
                self.0.insert(letter, name.to_owned());
                true
            }
            _ => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_can_be_redefined() {
        let mut symbols = Symbols::default();
        assert_eq!(symbols.name('T').and_then(effect), Some(Effect::None));
        assert_eq!(symbols.name('H').and_then(effect), Some(Effect::Hold));
        assert!(symbols.define(" T = !fermata!") && symbols.define("W=+arpeggio+") && symbols.define("n=\"^slow\""));
        assert_eq!(symbols.name('T').and_then(effect), Some(Effect::Hold));
        assert_eq!(symbols.name('W').and_then(effect), Some(Effect::Roll));
        assert_eq!(symbols.name('n').and_then(effect), Some(Effect::None));
        assert!(!symbols.define("z=!trill!") && !symbols.define("T") && !symbols.define("T="));
        assert_eq!((effect("4"), effect("0")), (Finger::new(4).map(Effect::Finger), Some(Effect::None)));
        assert_eq!((effect("wobble"), effect("6")), (None, None));
    }
}
