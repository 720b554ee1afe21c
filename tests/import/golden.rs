//! Whole scores beside what they hold, written down by hand: `tests/golden/musicxml/NAME.musicxml` and `NAME.expected`.

use std::fmt::Write;
use std::path::Path;

use leverlane_core::score::{Note, NoteKind, Roll, Tie};
use leverlane_formats::{Imported, Limits, import};

#[test]
fn scores_hold_what_is_written_beside_them() {
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/golden/musicxml"));
    let mut checked = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let source = entry.unwrap().path();
        if source.extension().is_none_or(|extension| extension != "musicxml") {
            continue;
        }
        let expected = std::fs::read_to_string(source.with_extension("expected")).unwrap();
        // Lines that begin with # say where the expectation comes from.
        let expected: Vec<&str> = expected.lines().filter(|line| !line.starts_with('#')).collect();
        let imported = import(&std::fs::read(&source).unwrap(), &Limits::USUAL).unwrap();
        let found = in_words(&imported);
        let found: Vec<&str> = found.lines().collect();
        assert_eq!(found, expected, "{}\n{}", source.display(), found.join("\n"));
        checked += 1;
    }
    assert!(checked >= 2);
}

/// Title, bars, order, notes and warnings, a line each.
fn in_words(imported: &Imported) -> String {
    let score = &imported.score;
    let mut text = format!("title {}\n", score.title());
    for bar in score.bars() {
        let signs = bar
            .tempo_marks
            .iter()
            .map(|mark| format!(" tempo {} of {} at {}", mark.tempo.per_minute(), mark.tempo.beat(), mark.at));
        writeln!(
            text,
            "bar {} {} lasts {} missing {} key {}{}",
            bar.number,
            bar.meter,
            bar.length,
            bar.anacrusis,
            bar.key.fifths(),
            signs.collect::<String>()
        )
        .unwrap();
    }
    let order: Vec<String> = imported.order.bars().iter().map(|bar| bar.get().to_string()).collect();
    writeln!(text, "order {}", order.join(" ")).unwrap();
    for part in score.parts() {
        writeln!(text, "part {} on {}", part.name, part.staves).unwrap();
        for note in &part.notes {
            writeln!(text, "{}", note_in_words(note, &part.voices)).unwrap();
        }
    }
    for warning in &imported.warnings {
        writeln!(text, "warning {warning}").unwrap();
    }
    text
}

fn note_in_words(note: &Note, voices: &[String]) -> String {
    let length = match note.kind {
        NoteKind::Timed => note.length.to_string(),
        NoteKind::Grace(place) => format!("grace {place}"),
    };
    let tie = match note.tie {
        Tie::None => "",
        Tie::Start => " tied on",
        Tie::Continue => " tied through",
        Tie::Stop => " tied",
    };
    let roll = match note.roll {
        None => "",
        Some(Roll::Up) => " rolled up",
        Some(Roll::Down) => " rolled down",
    };
    let harmonic = note.harmonic.map_or(String::new(), |sounding| format!(" sounding {}", sounding.ascii()));
    format!(
        "{} {} {} {length} staff {} voice {}{tie}{roll}{harmonic}{}{}",
        note.bar.get(),
        note.onset,
        note.pitch.ascii(),
        note.staff,
        voices[usize::from(note.voice.0)],
        if note.rings_on { " ringing" } else { "" },
        if note.held { " held" } else { "" }
    )
}
