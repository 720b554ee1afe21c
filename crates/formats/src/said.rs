//! What readers and writers tell their user: sentences that can be said in other languages too.

use std::fmt;
use std::ops::Deref;

/// A sentence or phrase in English, made with [`said!`](macro@crate::said): it reads like a text, and it still knows the
/// words around its gaps and what fills them, so that another language can be put in their place.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Said(Box<Sentence>);

/// Kept apart so that errors made of several stay small.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Sentence {
    english: String,
    sentence: &'static str,
    gaps: Vec<(&'static str, Gap)>,
}

/// What fills a gap of a sentence.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Gap {
    /// A whole number.
    Number(i64),
    /// A number with decimals, with a point before them.
    Decimal(String),
    /// A name, a part of the file, or what the system or a library reports; it is the same in every language.
    Text(String),
    /// A phrase of ours.
    Said(Said),
}

impl Said {
    /// What [`said!`](macro@crate::said) makes.
    pub fn new(sentence: &'static str, english: String, gaps: Vec<(&'static str, Gap)>) -> Said {
        Said(Box::new(Sentence { english: on_one_line(english), sentence, gaps }))
    }

    /// What is no sentence of ours: a name, a part of the file, or what the system or a library reports.
    pub fn quoted(text: impl Into<String>) -> Said {
        Said(Box::new(Sentence { english: on_one_line(text.into()), sentence: "", gaps: Vec::new() }))
    }

    /// The sentence as it stands in the code, its gaps by their names in braces; empty for what is no sentence of ours.
    pub fn sentence(&self) -> &'static str {
        self.0.sentence
    }

    /// What fills the gaps, each by its name.
    pub fn gaps(&self) -> &[(&'static str, Gap)] {
        &self.0.gaps
    }
}

/// Whatever a file holds that a message quotes, the message stays one line.
fn on_one_line(text: String) -> String {
    let breaks = |c: char| c.is_control() || matches!(c, '\u{2028}' | '\u{2029}');
    if text.contains(breaks) { text.replace(breaks, " ") } else { text }
}

impl Default for Said {
    fn default() -> Said {
        Said::quoted("")
    }
}

impl Deref for Said {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0.english
    }
}

impl fmt::Display for Said {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.english)
    }
}

impl From<Said> for Gap {
    fn from(said: Said) -> Gap {
        Gap::Said(said)
    }
}

impl From<String> for Gap {
    fn from(text: String) -> Gap {
        Gap::Text(on_one_line(text))
    }
}

impl From<&str> for Gap {
    fn from(text: &str) -> Gap {
        Gap::from(text.to_owned())
    }
}

impl From<&String> for Gap {
    fn from(text: &String) -> Gap {
        Gap::from(text.clone())
    }
}

impl From<char> for Gap {
    fn from(text: char) -> Gap {
        Gap::from(text.to_string())
    }
}

impl From<f64> for Gap {
    fn from(number: f64) -> Gap {
        Gap::Decimal(number.to_string())
    }
}

impl From<usize> for Gap {
    fn from(number: usize) -> Gap {
        // No count of anything in a file comes near the end of the numbers.
        i64::try_from(number).map_or_else(|_| Gap::Text(number.to_string()), Gap::Number)
    }
}

macro_rules! gap_of_numbers {
    ($($number:ty)*) => {
        $(impl From<$number> for Gap {
            fn from(number: $number) -> Gap {
                Gap::Number(number.into())
            }
        })*
    };
}

gap_of_numbers!(u8 u16 u32 i8 i16 i32 i64);

/// A sentence with its gaps: `said!("voice \"{name}\" has {bars} bars", name = &voice.id, bars)`. Every gap is named, and
/// its value given; a gap whose value is a variable of its name needs no more than the name.
#[macro_export]
macro_rules! said {
    ($sentence:literal $(, $gap:ident $(= $value:expr)?)* $(,)?) => {{
        $($(let $gap = $value;)?)*
        let english = format!($sentence);
        $crate::Said::new($sentence, english, vec![$((stringify!($gap), $crate::Gap::from($gap))),*])
    }};
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_reads_as_text_and_knows_its_gaps() {
        let bars = 3_usize;
        let said = said!("voice \"{name}\" has {bars} bars", name = "alto".to_owned(), bars);
        assert_eq!(&*said, "voice \"alto\" has 3 bars");
        assert_eq!(said.to_string(), "voice \"alto\" has 3 bars");
        assert_eq!(said.sentence(), "voice \"{name}\" has {bars} bars");
        assert_eq!(said.gaps(), [("name", Gap::Text("alto".to_owned())), ("bars", Gap::Number(3))]);
        assert_eq!(Said::quoted("as it stands").sentence(), "");
    }

    #[test]
    fn what_a_file_holds_breaks_no_line() {
        // U+2028 is Unicode's line separator.
        let name = "al\nto\r\u{2028}";
        let said = said!("voice \"{name}\"", name);
        assert_eq!(&*said, "voice \"al to  \"");
        assert_eq!(said.gaps(), [("name", Gap::Text("al to  ".to_owned()))]);
        assert_eq!(&*Said::quoted("two\nlines"), "two lines");
    }
}
