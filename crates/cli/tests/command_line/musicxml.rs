//! Small scores for the tests.

use std::io::{Cursor, Write};

use zip::write::SimpleFileOptions;

/// A part of its own, a bar for each text.
pub fn score(bars: &[&str]) -> String {
    let bars: String = bars
        .iter()
        .enumerate()
        .map(|(index, content)| format!("<measure number=\"{}\">{content}</measure>", index + 1))
        .collect();
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\">\
         <part-name>Harp</part-name></score-part></part-list><part id=\"P1\">{bars}</part></score-partwise>"
    )
}

/// Divisions of one to the quarter, 4/4.
pub const HEAD: &str =
    "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>";

/// A note such as `C4`, so many divisions long.
pub fn note(pitch: &str, duration: &str) -> String {
    let (step, octave) = pitch.split_at(1);
    let (alter, octave) = match octave.strip_prefix('#') {
        Some(octave) => ("<alter>1</alter>", octave),
        None => ("", octave),
    };
    format!(
        "<note><pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch><duration>{duration}</duration></note>"
    )
}

/// An archive whose only score is this text.
pub fn archive(score: &[u8]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let deflated = SimpleFileOptions::default();
    zip.start_file("META-INF/container.xml", deflated).unwrap();
    zip.write_all(
        b"<container><rootfiles><rootfile full-path=\"score.xml\" \
          media-type=\"application/vnd.recordare.musicxml+xml\"/></rootfiles></container>",
    )
    .unwrap();
    zip.start_file("score.xml", deflated).unwrap();
    zip.write_all(score).unwrap();
    zip.finish().unwrap().into_inner()
}
