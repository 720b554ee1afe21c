//! Lever marks in a player's own file: nothing of hers changes, and other programs read the same notes.

use std::io::{Cursor, Read, Write};
use std::path::Path;

use leverlane_core::harp::{Harp, Preset, Tuning};
use leverlane_core::plan::{
    EndOfPiece, FlipMark, HandPace, PaceLevel, Plan, Request, StartList, edits_of_marks, flip_marks, plan,
};
use leverlane_core::score::{Bar, HandRule, Hands, Part, Performance, PlayingOrder};
use leverlane_formats::{Imported, Limits, MarkedFile, Marking, import, mark_score, unmark_score};

use super::conformance::SAMPLE;
use super::reference;

/// Every so many files of the sample are marked and read by music21, which is slow.
const EVERY: usize = 7;

fn harp() -> Harp {
    Preset::with_strings(40).unwrap().tuned(Tuning::EFlat)
}

struct Planned {
    imported: Imported,
    hands: Hands,
    plan: Plan,
    marks: Vec<FlipMark>,
}

fn planned(bytes: &[u8]) -> Planned {
    let imported = import(bytes, &Limits::USUAL).unwrap();
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    let performance = Performance::new(&imported.score, &imported.order, &hands);
    let (harp, pace) = (harp(), HandPace::from(PaceLevel::Fluent));
    let tempo = performance.tempo().clone();
    let request = Request {
        performance: &performance,
        harp: &harp,
        tempo: &tempo,
        pace: &pace,
        edits: &[],
        ending: EndOfPiece::Stop,
    };
    let plan = plan(&request);
    let marks = flip_marks(&plan, &performance, &harp);
    Planned { imported, hands, plan, marks }
}

fn marked(bytes: &[u8]) -> (Planned, MarkedFile) {
    let planned = planned(bytes);
    let start = StartList::of(&planned.plan, &harp());
    let marking =
        Marking { score: &planned.imported.score, hands: &planned.hands, marks: &planned.marks, start: &start };
    let file = mark_score(bytes, &marking, &Limits::USUAL).unwrap();
    (planned, file)
}

/// What sounds, and in which order: everything but what stands beside the notes.
fn music(imported: &Imported) -> (&[Bar], &[Part], &PlayingOrder) {
    (imported.score.bars(), imported.score.parts(), &imported.order)
}

fn demo(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo").join(name)).unwrap()
}

fn utf_16(text: &str) -> Vec<u8> {
    [0xFEFFu16].into_iter().chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect()
}

/// The demo in several encodings: the marks are in, the same music is read, and taking them out gives the bytes back.
#[test]
fn every_byte_stays() {
    let plain = demo("greensleeves.musicxml");
    let text = String::from_utf8(plain.clone()).unwrap();
    let with_accent = text.replacen("<part-name>", "<part-name>Près ", 1);
    let declared = |encoding: &str| with_accent.replacen("UTF-8", encoding, 1);
    let latin: Vec<u8> = declared("ISO-8859-1").chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect();
    let byte_order_mark = [&[0xEF, 0xBB, 0xBF], plain.as_slice()].concat();
    for (name, bytes) in
        [("plain", plain), ("marked", byte_order_mark), ("latin", latin), ("wide", utf_16(&declared("UTF-16")))]
    {
        let (planned, file) = marked(&bytes);
        assert_eq!(file.warnings, [], "{name}");
        assert!(!planned.marks.is_empty());
        assert_ne!(file.bytes, bytes, "{name}");
        assert!(unmark_score(&file.bytes, &Limits::USUAL).unwrap() == bytes, "{name}: not the same bytes");
        let after = import(&file.bytes, &Limits::USUAL).unwrap();
        assert_eq!(music(&after), music(&planned.imported), "{name}");
        // Marking once more puts them in once, not twice.
        let (_, again) = marked(&file.bytes);
        assert!(again.bytes == file.bytes, "{name}: marked twice");
    }
}

/// The mark stands at its offset: bar and beat are the plan's own.
#[test]
fn marks_stand_on_their_beats() {
    let bytes = demo("greensleeves.musicxml");
    let (planned, file) = marked(&bytes);
    let text = String::from_utf8(file.bytes).unwrap();
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..roxmltree::ParsingOptions::default() };
    let document = roxmltree::Document::parse_with_options(&text, options).unwrap();
    let part = document.descendants().find(|node| node.has_tag_name("part")).unwrap();
    let divisions: f64 = document
        .descendants()
        .find(|node| node.has_tag_name("divisions"))
        .and_then(|n| n.text())
        .unwrap()
        .parse()
        .unwrap();
    let mut found = Vec::new();
    for (bar, measure) in part.children().filter(|node| node.has_tag_name("measure")).enumerate() {
        for direction in measure.children().filter(|node| node.has_tag_name("direction")) {
            let child =
                |name: &str| direction.descendants().find(|node| node.has_tag_name(name)).and_then(|n| n.text());
            let boxed = |node: &roxmltree::Node<'_, '_>| node.attribute("enclosure") == Some("rectangle");
            let ours = direction.descendants().any(|node| boxed(&node));
            let Some(words) = child("words").filter(|words| ours && !words.contains(':')) else { continue };
            let offset: f64 = child("offset").map_or(0.0, |text| text.parse().unwrap());
            found.push((
                bar,
                format!("{:.4}", offset / divisions),
                words.to_owned(),
                child("staff").map(str::to_owned),
            ));
        }
    }
    let expected: Vec<_> = planned
        .marks
        .iter()
        .map(|mark| {
            let staff = if mark.hand == leverlane_core::score::Hand::Right { "1" } else { "2" };
            let at = format!("{:.4}", mark.at.quarters());
            (mark.bar.get(), at, mark.text.to_string(), Some(staff.to_owned()))
        })
        .collect();
    assert_eq!(found, expected);
}

#[test]
fn archives_keep_what_else_they_hold() {
    let inner = demo("auld-lang-syne.musicxml");
    let container = "<container><rootfiles><rootfile full-path=\"tune.xml\"/></rootfiles></container>";
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default();
    for (name, content) in [
        ("META-INF/container.xml", container.as_bytes()),
        ("tune.xml", inner.as_slice()),
        ("picture.png", b"\x89PNG not really"),
    ] {
        writer.start_file(name, options).unwrap();
        writer.write_all(content).unwrap();
    }
    let packed = writer.finish().unwrap().into_inner();
    let (planned, file) = marked(&packed);
    assert_eq!(music(&import(&file.bytes, &Limits::USUAL).unwrap()), music(&planned.imported));
    let entry = |bytes: &[u8], name: &str| {
        let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
        let mut content = Vec::new();
        archive.by_name(name).unwrap().read_to_end(&mut content).unwrap();
        content
    };
    assert_eq!(entry(&file.bytes, "picture.png"), b"\x89PNG not really");
    assert_eq!(entry(&file.bytes, "META-INF/container.xml"), container.as_bytes());
    assert_ne!(entry(&file.bytes, "tune.xml"), inner);
    let back = unmark_score(&file.bytes, &Limits::USUAL).unwrap();
    assert!(entry(&back, "tune.xml") == inner);
}

/// Corpus files, plain and in archives: the same notes for music21 with the marks as without, and the bytes come back.
#[test]
fn music21_reads_the_same_notes_in_marked_files() {
    let corpus = match std::env::var("LEVERLANE_PYTHON_MISSING").map_or_else(|_| reference::corpus(), Err) {
        Ok(corpus) => corpus,
        Err(reason) => {
            println!("skipped: music21 can't be imported ({reason}); it comes with pip, given a network");
            return;
        }
    };
    let folder = tempfile::tempdir().unwrap();
    let (mut names, mut count) = (Vec::new(), 0);
    for (index, name) in SAMPLE.lines().enumerate() {
        let bytes = std::fs::read(corpus.folder.join(name)).unwrap();
        if import(&bytes, &Limits::USUAL).is_err() {
            continue;
        }
        let (planned, file) = marked(&bytes);
        assert!(music(&import(&file.bytes, &Limits::USUAL).unwrap()) == music(&planned.imported), "{name}");
        if !bytes.starts_with(b"PK") {
            assert!(unmark_score(&file.bytes, &Limits::USUAL).unwrap() == bytes, "{name}");
        }
        count += planned.marks.len();
        if index % EVERY == 0 {
            let path = folder.path().join(format!("{index}.{}", if bytes.starts_with(b"PK") { "mxl" } else { "xml" }));
            std::fs::write(&path, &file.bytes).unwrap();
            names.push(name.to_owned());
            names.push(path.to_str().unwrap().to_owned());
        }
    }
    println!("{count} marks in the sample, {} files read by music21 with and without them", names.len() / 2);
    assert!(count > 200);
    for pair in reference::read(&names).chunks(2) {
        let [plain, marked] = pair else { panic!("an odd number of readings") };
        assert_eq!(plain.notes, marked.notes, "{}", plain.name);
        assert!(plain.notes.as_ref().is_ok_and(|notes| !notes.is_empty()));
    }
}

/// Read back, the marks are the player's own decisions, and they lead to the same plan.
#[test]
fn marks_read_back_as_decisions() {
    let (before, file) = marked(&demo("auld-lang-syne.musicxml"));
    let after = import(&file.bytes, &Limits::USUAL).unwrap();
    let levers = &after.score.markings().levers;
    let found: Vec<_> = levers.iter().map(|mark| (mark.bar, mark.at, mark.letter, mark.alter, mark.octave)).collect();
    let written = |mark: &FlipMark| (mark.bar, mark.at, mark.text.letter, mark.text.alter, mark.text.octave);
    assert_eq!(found, before.marks.iter().map(written).collect::<Vec<_>>());
    let performance = Performance::new(&after.score, &after.order, &before.hands);
    let (harp, pace, tempo) = (harp(), HandPace::from(PaceLevel::Fluent), performance.tempo().clone());
    let edits = edits_of_marks(levers, &performance, &harp).edits;
    assert_eq!(edits.len(), found.len());
    let request = Request {
        performance: &performance,
        harp: &harp,
        tempo: &tempo,
        pace: &pace,
        edits: &edits,
        ending: EndOfPiece::Stop,
    };
    let again = plan(&request);
    let moved = |plan: &Plan| -> Vec<_> {
        plan.gestures.iter().map(|gesture| (gesture.at, gesture.hand, gesture.flips.clone())).collect()
    };
    assert_eq!(moved(&again), moved(&before.plan));
    assert_eq!(again.start, before.plan.start);
}
