//! What the fuzz targets do with any bytes: read them, and write what was read and read it again where that is possible.
//! Nothing may panic, hang, or take memory without end.
//!
//! The ordinary suite does the same with the seeds beside this crate (`tests/fuzz/seeds`), among which is every input
//! that ever went wrong.

use leverlane_core::meter::Meter;
use leverlane_core::pitch::Key;
use leverlane_core::score::{HandRule, Hands, Performance};
use leverlane_core::time::Tempo;
use leverlane_formats::abc::{PassageSettings, Tunebook, passage};
use leverlane_formats::documents::{HarpDocument, Lesson, Piece, Results};
use leverlane_formats::paper::{PaperSettings, bare_passage};
use leverlane_formats::wav::WavSound;
use leverlane_formats::{Imported, Limits, MidiSource, import, read_midi, write_midi};
use leverlane_hearing::{Listener, SampleRate};

/// A target: any bytes, tried.
pub type Target = fn(&[u8]);

/// Every target by its name.
pub const TARGETS: [(&str, Target); 7] = [
    ("musicxml", musicxml),
    ("mxl", mxl),
    ("abc", abc),
    ("midi", midi),
    ("documents", documents),
    ("paper", paper),
    ("wav", wav),
];

/// A recording, heard from its beginning to its end or to where it breaks off.
pub fn wav(bytes: &[u8]) {
    let Ok(mut sound) = WavSound::new(bytes) else { return };
    let Some(mut listener) = SampleRate::new(sound.rate()).map(|rate| Listener::new(rate, &[])) else { return };
    let mut block = Vec::new();
    while sound.next_block(&mut block).is_ok() && !block.is_empty() {
        listener.listen(&block, |_| {});
    }
}

/// MusicXML as text.
pub fn musicxml(bytes: &[u8]) {
    if let Ok(imported) = import(bytes, &Limits::USUAL) {
        perform(&imported);
    }
}

/// MusicXML in its archive.
pub fn mxl(bytes: &[u8]) {
    if bytes.starts_with(b"PK") {
        musicxml(bytes);
    }
}

/// A file of ABC, and a passage typed for both hands, which a zero byte parts.
pub fn abc(bytes: &[u8]) {
    let limits = Limits::USUAL;
    if let Ok(book) = Tunebook::open(bytes, &limits) {
        for tune in 0..book.tunes().len() {
            if let Ok(imported) = book.read(tune) {
                perform(&imported);
            }
        }
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        let (right, left) = text.split_once('\u{0}').unwrap_or((text, ""));
        if let Ok(imported) = passage(right, left, &PassageSettings::default(), &limits) {
            perform(&imported);
        }
    }
}

/// A MIDI file; what was read is written out and read again.
pub fn midi(bytes: &[u8]) {
    let Ok(imported) = read_midi(bytes, &Limits::USUAL) else { return };
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    let (score, order) = (&imported.score, &imported.order);
    if let Ok(file) = write_midi(&MidiSource { score, order, hands: &hands, plan: None, tempo: None }) {
        let _ = read_midi(&file.bytes, &Limits::USUAL);
    }
}

/// A harp, a piece, a lesson and results on file. One that can be read must come back the same once written.
pub fn documents(bytes: &[u8]) {
    if let Ok(harp) = HarpDocument::read(bytes) {
        let written = harp.write().expect("a harp that was read can be written");
        assert_eq!(HarpDocument::read(&written).expect("and read again"), harp);
    }
    if let Ok(piece) = Piece::read(bytes) {
        let written = piece.write().expect("a piece that was read can be written");
        assert_eq!(Piece::read(&written).expect("and read again"), piece);
    }
    if let Ok(lesson) = Lesson::read(bytes, &Limits::USUAL) {
        let written = lesson.write().expect("a lesson that was read can be written");
        assert_eq!(Lesson::read(&written, &Limits::USUAL).expect("and read again"), lesson);
    }
    if let Ok(results) = Results::read(bytes, &Limits::USUAL) {
        let written = results.write().expect("results that were read can be written");
        assert_eq!(Results::read(&written, &Limits::USUAL).expect("and read again"), results);
    }
}

/// The lines of a bare passage.
pub fn paper(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    for (groups, unit) in [(&[4][..], 4), (&[6], 8), (&[3, 2], 8)] {
        let Ok(meter) = Meter::new(groups, unit) else { continue };
        let settings =
            PaperSettings { title: String::new(), meter, tempo: Tempo::UNWRITTEN, key: Key::NATURAL, bars: 40 };
        if let Ok(passage) = bare_passage(text, &settings, &Limits::USUAL) {
            perform(&passage.imported);
        }
    }
}

fn perform(imported: &Imported) {
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    let _ = Performance::new(&imported.score, &imported.order, &hands);
}
