//! Small scores as text, for tests.

use leverlane_formats::{ImportError, Imported, Limits, import};

/// A partwise score of one part: the measures' own text goes inside.
pub fn score(measures: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\">\
         <part-name>Harp</part-name></score-part></part-list><part id=\"P1\">{measures}</part></score-partwise>"
    )
}

/// The attributes of a first bar: four divisions to the quarter, and a meter.
pub fn attributes(beats: &str, beat_type: &str) -> String {
    format!(
        "<attributes><divisions>4</divisions><time><beats>{beats}</beats><beat-type>{beat_type}</beat-type></time>\
         </attributes>"
    )
}

/// A note, its pitch such as `F#4`, so many sixteenths long; `more` goes after the duration.
pub fn note(pitch: &str, sixteenths: u32, more: &str) -> String {
    format!("<note>{}<duration>{sixteenths}</duration>{more}</note>", self::pitch(pitch))
}

/// A `pitch` element.
pub fn pitch(pitch: &str) -> String {
    let (step, rest) = pitch.split_at(1);
    let (alter, octave) = match rest.split_at(1) {
        ("#", octave) => (1, octave),
        ("b", octave) => (-1, octave),
        _ => (0, rest),
    };
    format!("<pitch><step>{step}</step><alter>{alter}</alter><octave>{octave}</octave></pitch>")
}

/// Bars of given content, numbered from 1.
pub fn bars<const N: usize>(contents: [String; N]) -> String {
    let bar = |(index, content): (usize, &String)| format!("<measure number=\"{}\">{content}</measure>", index + 1);
    contents.iter().enumerate().map(bar).collect()
}

pub fn read(text: &str) -> Imported {
    import(text.as_bytes(), &Limits::USUAL).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

pub fn refusal(bytes: &[u8]) -> ImportError {
    let error = import(bytes, &Limits::USUAL).expect_err("a refusal");
    let text = error.to_string();
    assert_eq!(text.lines().count(), 1, "one line: {text}");
    assert!(text.len() < 500, "a line that can be read: {text}");
    error
}
