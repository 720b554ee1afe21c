//! The marked score and the printed part, as a player makes them.

use crate::{demo, leverlane, notes, plan};

fn written(command: &str, score: &str, name: &str) -> (serde_json::Value, Vec<u8>) {
    let folder = tempfile::tempdir().unwrap();
    let (score, out) = (demo(score), folder.path().join(name));
    let answer = leverlane([command, "--json", score.to_str().unwrap(), "-o", out.to_str().unwrap()]).json();
    let bytes = std::fs::read(out).unwrap();
    assert_eq!(answer["bytes"], bytes.len());
    (answer, bytes)
}

/// The player's text is all there, with something added; the program reads the same notes in it.
#[test]
fn marks_are_added_to_the_score() {
    let (answer, bytes) = written("mark", "auld-lang-syne.musicxml", "marked.musicxml");
    let flips = plan(&demo("auld-lang-syne.musicxml"), &[])["totals"]["flips"].as_u64().unwrap();
    assert_eq!(answer["marks"], flips, "no bar of this piece comes by twice");
    let folder = tempfile::tempdir().unwrap();
    let again = folder.path().join("again.musicxml");
    std::fs::write(&again, &bytes).unwrap();
    assert_eq!(notes(&again, &[])["written"], notes(&demo("auld-lang-syne.musicxml"), &[])["written"]);
    let before = std::fs::read_to_string(demo("auld-lang-syne.musicxml")).unwrap();
    let after = String::from_utf8(bytes).unwrap();
    let mut rest = after.as_str();
    let mut kept = String::new();
    while let Some((text, inside)) = rest.split_once("\n<?lever-marks begin?>") {
        kept += text;
        rest = inside.split_once("<?lever-marks end?>").unwrap().1;
    }
    assert!(kept + rest == before);
}

#[test]
fn an_archive_is_not_written_under_a_plain_name() {
    let score = demo("auld-lang-syne.musicxml");
    let line = leverlane(["mark", score.to_str().unwrap(), "-o", "marked.mxl"]).refusal();
    assert!(line.contains(".musicxml"), "{line}");
}

/// An ABC tune has no place for marks: it is written as MusicXML, with the same notes.
#[test]
fn an_abc_tune_is_marked_as_musicxml() {
    let folder = tempfile::tempdir().unwrap();
    let (tune, out) = (folder.path().join("tune.abc"), folder.path().join("out.musicxml"));
    std::fs::write(&tune, "X:1\nT:A tune\nM:3/4\nL:1/4\nK:C\nG A B|^G2 A|=G3|]\n").unwrap();
    leverlane(["mark", tune.to_str().unwrap(), "--tuning", "C", "-o", out.to_str().unwrap()]).text();
    let midi = |file: &std::path::Path| -> Vec<serde_json::Value> {
        notes(file, &[])["written"].as_array().unwrap().iter().map(|note| note["midi"].clone()).collect()
    };
    assert_eq!(midi(&out), midi(&tune));
    assert!(std::fs::read_to_string(&out).unwrap().contains("<words enclosure=\"rectangle\">G"));
}

#[test]
fn the_part_is_printed() {
    let (answer, bytes) = written("sheet", "greensleeves.musicxml", "part.pdf");
    assert!(bytes.starts_with(b"%PDF-"));
    assert_eq!(answer["pages"], 2);
    assert!(answer["flips"].as_u64().unwrap() > 0);
}

/// A passage noted from paper, as the window saves it: no notes, a page with its bars all the same.
#[test]
fn a_passage_from_paper_is_printed() {
    use leverlane_core::meter::Meter;
    use leverlane_core::pitch::Key;
    use leverlane_core::time::Tempo;
    use leverlane_formats::documents::{HarpDocument, Piece, Source};
    use leverlane_formats::paper::PaperSettings;

    let folder = tempfile::tempdir().unwrap();
    let (file, out) = (folder.path().join("passage.ron"), folder.path().join("passage.pdf"));
    let harp = std::fs::read(demo("harps/34-strings.ron")).unwrap();
    let settings = PaperSettings {
        title: String::new(),
        meter: Meter::common(),
        tempo: Tempo::quarters(80.0).unwrap(),
        key: Key::NATURAL,
        bars: 12,
    };
    let source = Source::Passage { settings, flips: "bar 12 beat 4: C5 up".to_owned() };
    Piece::new("From paper", source, HarpDocument::read(&harp).unwrap()).save(&file).unwrap();
    let answer = leverlane(["sheet", "--json", file.to_str().unwrap(), "-o", out.to_str().unwrap()]).json();
    assert_eq!((answer["pages"].as_u64(), answer["flips"].as_u64()), (Some(1), Some(1)));
}
