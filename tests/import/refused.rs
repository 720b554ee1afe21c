//! Bad input: every one gets one clear line, and nothing goes down with it.

use std::io::{Cursor, Write};
use std::thread;

use leverlane_formats::{ImportError, Limits, import};
use zip::write::SimpleFileOptions;

use super::scores::{attributes, bars, note, pitch, read, refusal, score};

/// A pattern for the kind of refusal and the text that must stand in its line.
macro_rules! refused {
    ($bytes:expr, $kind:ident, $text:expr) => {{
        let error = refusal($bytes.as_ref());
        assert!(matches!(error, ImportError::$kind(_)), "{error:?}");
        assert!(error.to_string().contains($text), "{error}");
    }};
}

fn one_bar(content: &str) -> String {
    score(&bars([attributes("4", "4") + content]))
}

#[test]
fn files_that_are_no_xml() {
    refused!(b"", Unsupported, "an empty file");
    refused!(b"\x00\x01\x02\x03", Unsupported, "no kind that is known");
    refused!(b"<", Malformed, "well-formed XML");
    refused!(b"<not closed", Malformed, "line 1");
    refused!(b"< 3 my harp", Malformed, "line 1");
    refused!(b"<html><body>Not found</body></html>", Unsupported, "<html>");
    refused!(b"<score-partwise>\xff\xfe</score-partwise>", Malformed, "UTF-8");
}

/// Wherever a file breaks off, it is refused.
#[test]
fn truncated_files() {
    let whole = one_bar(&note("C4", 16, ""));
    read(&whole);
    for end in 0..whole.len() {
        let error = refusal(&whole.as_bytes()[..end]);
        assert!(matches!(error, ImportError::Malformed(_) | ImportError::Unsupported(_)), "{end}: {error}");
    }
    let error = refusal(&whole.as_bytes()[..whole.len() - 30]);
    assert!(error.to_string().starts_with("line 2, column "), "{error}");
}

#[test]
fn entity_bombs() {
    let laughs: String =
        (1..10).map(|n| format!("<!ENTITY l{n} \"{}\">", format!("&l{};", n - 1).repeat(10))).collect();
    let bomb = format!(
        "<?xml version='1.0'?>\n<!DOCTYPE score-partwise [<!ENTITY l0 \"ha\">{laughs}]>\n<score-partwise>&l9;</score-partwise>"
    );
    refused!(bomb, Unsupported, "DOCTYPE");
    let outside = "<!DOCTYPE score-partwise SYSTEM 'x' [<!ENTITY e SYSTEM 'file:///etc/hostname'>]><score-partwise>&e;</score-partwise>";
    refused!(outside, Unsupported, "DOCTYPE");
    refused!("<score-partwise>&undeclared;</score-partwise>", Malformed, "line 1");
}

fn deep(levels: usize) -> String {
    format!("<score-partwise>{}{}</score-partwise>", "<a>".repeat(levels), "</a>".repeat(levels))
}

/// A thread of 256 KiB, a quarter of what the smallest platform gives a main thread.
#[test]
fn deep_nesting_on_a_small_stack() {
    let small = thread::Builder::new().stack_size(256 << 10);
    let read = small.spawn(|| {
        // Whether it is refused as too deep or as empty doesn't matter here; that it comes back does.
        refusal(deep(1_000_000).as_bytes());
        refusal("<a>".repeat(1_000_000).as_bytes());
    });
    read.unwrap().join().unwrap();
}

#[test]
fn too_many_nodes() {
    let limits = Limits { nodes: 1_000, ..Limits::USUAL };
    let error = import(deep(2_000).as_bytes(), &limits).unwrap_err();
    assert!(matches!(error, ImportError::LimitReached(_)), "{error}");
}

/// Both took a parser more than ten seconds a megabyte.
#[test]
fn too_many_attributes_and_namespaces() {
    let attributes: String = (0..80_000).map(|n| format!(" a{n}=\"\"")).collect();
    refused!(format!("<score-partwise{attributes}/>"), LimitReached, "more than 200 attributes");
    let nested: String = (0..20_000).map(|n| format!("<a xmlns:n{n}=\"x\">")).collect();
    refused!(format!("<score-partwise>{nested}"), LimitReached, "more than 200 namespaces");
    let container = format!("<container{attributes}/>");
    refused!(archive(&[("META-INF/container.xml", container.as_bytes())]), Malformed, "without a MusicXML file");
}

#[test]
fn numbers_that_make_no_sense() {
    let divisions = |text: &str| {
        let attributes = format!("<attributes><divisions>{text}</divisions></attributes>");
        score(&bars([attributes + &note("C4", 4, "")]))
    };
    for text in ["0", "-1", "", "x", "1e9", "NaN"] {
        refused!(divisions(text), Malformed, "divisions of a quarter");
    }
    let duration = |text: &str| one_bar(&format!("<note>{}<duration>{text}</duration></note>", pitch("C4")));
    refused!(duration("-4"), Malformed, "negative duration \"-4\"");
    refused!(duration("four"), Malformed, "duration \"four\"");
    refused!(duration("99999999999999999999"), Malformed, "duration");
    refused!(duration("1000000000"), LimitReached, "1000 quarter notes");
    refused!(one_bar(&format!("<note>{}</note>", pitch("C4"))), Malformed, "without duration");
    refused!(one_bar("<backup><duration>-1</duration></backup>"), Malformed, "negative duration");
    refused!(one_bar("<forward><duration>1000000000</duration></forward>"), LimitReached, "a bar that goes on");
    refused!(one_bar(&note("H4", 4, "")), Malformed, "step \"H\"");
    let octave = "<note><pitch><step>C</step><octave>400</octave></pitch><duration>4</duration></note>";
    refused!(one_bar(octave), Malformed, "octave \"400\"");
    // Divisions that share no factor add up to fractions that no machine number holds.
    let primes = [1_000_003, 1_000_033, 1_000_037, 1_000_039, 1_000_081];
    let fine: String = primes
        .iter()
        .map(|prime| format!("<attributes><divisions>{prime}</divisions></attributes>{}", note("C4", 1, "")))
        .collect();
    refused!(one_bar(&fine), Malformed, "too finely divided");
}

#[test]
fn too_many_notes() {
    let limits = Limits { notes: 10, ..Limits::USUAL };
    let eleven = one_bar(&note("C4", 1, "").repeat(11));
    let error = import(eleven.as_bytes(), &limits).unwrap_err();
    assert!(error.to_string().contains("at most 10 notes"), "{error}");
    let ten = one_bar(&note("C4", 1, "").repeat(10));
    assert!(import(ten.as_bytes(), &limits).is_ok());

    // A million notes and some, packed small. The bound on XML nodes speaks before the one on notes.
    let plain = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note>";
    let bar = format!("<measure>{}</measure>", plain.repeat(1_000));
    let packed = archive(&[("score.xml", score(&bar.repeat(1_001)).as_bytes())]);
    refused!(packed, LimitReached, "more than 4000000 XML nodes");
}

#[test]
fn too_many_bars() {
    let limits = Limits { bars: 3, ..Limits::USUAL };
    let text = score(&format!("<measure>{}</measure>", note("C4", 4, "")).repeat(4));
    let error = import(text.as_bytes(), &limits).unwrap_err();
    assert!(error.to_string().contains("4 bars, expected at most 3"), "{error}");
    let repeat = "<barline><repeat direction=\"backward\" times=\"200\"/></barline>";
    let bar = format!("<measure>{}{repeat}</measure>", note("C4", 4, ""));
    refused!(score(&bar.repeat(600)), LimitReached, "at most 100000 played bars");
}

/// Few bars and few notes, but many once they are repeated: 100 of 100 notes, 200 times each, are two million.
#[test]
fn too_many_notes_once_repeated() {
    let repeated = |notes: usize, times: usize| {
        let repeat = format!("<barline><repeat direction=\"backward\" times=\"{times}\"/></barline>");
        format!("<measure>{}{repeat}</measure>", note("C4", 1, "").repeat(notes))
    };
    let limits = Limits { played_notes: 60, ..Limits::USUAL };
    let sixty = import(score(&repeated(12, 5)).as_bytes(), &limits).unwrap();
    assert_eq!(sixty.order.bars().len(), 5);
    let error = import(score(&repeated(12, 6)).as_bytes(), &limits).unwrap_err();
    assert!(matches!(error, ImportError::LimitReached(_)), "{error}");
    assert!(error.to_string().contains("72 notes of 12, expected at most 60 played notes"), "{error}");
    refused!(score(&repeated(100, 200).repeat(100)), LimitReached, "2000000 notes of 10000");
}

#[test]
fn nothing_to_play() {
    refused!("<score-partwise/>", NothingToPlay, "empty score (0 bars");
    refused!(score(""), NothingToPlay, "empty score");
    refused!(one_bar("<note><rest/><duration>16</duration></note>"), NothingToPlay, "no notes");
    let drum = "<note><unpitched/><duration>4</duration></note>";
    refused!(one_bar(drum), NothingToPlay, "only percussion (1 notes");
}

fn archive(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in entries {
        writer.start_file(*name, SimpleFileOptions::default()).unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

const CONTAINER: &str = "<container><rootfiles><rootfile full-path=\"music/piece.musicxml\" \
    media-type=\"application/vnd.recordare.musicxml+xml\"/><rootfile full-path=\"other.xml\"/></rootfiles></container>";

#[test]
fn archives() {
    let (piece, other) = (one_bar(&note("C4", 16, "")), one_bar(&note("D4", 16, "")));
    let entries: [(&str, &[u8]); 3] = [
        ("other.xml", other.as_bytes()),
        ("META-INF/container.xml", CONTAINER.as_bytes()),
        ("music/piece.musicxml", piece.as_bytes()),
    ];
    let imported = import(&archive(&entries), &Limits::USUAL).unwrap();
    assert_eq!(imported.score.parts()[0].notes[0].pitch.ascii(), "C4", "the first root file");
    assert!(imported.warnings.is_empty(), "{:?}", imported.warnings);
    let imported = import(&archive(&entries[..1]), &Limits::USUAL).unwrap();
    assert_eq!(imported.score.parts()[0].notes[0].pitch.ascii(), "D4");
    assert!(imported.warnings[0].reason.contains("doesn't say which file"), "{:?}", imported.warnings);

    refused!(archive(&[("readme.txt", b"hello")]), Malformed, "without a MusicXML file");
    refused!(archive(&[("META-INF/container.xml", CONTAINER.as_bytes())]), Malformed, "without a MusicXML file");
    let whole = archive(&entries);
    for end in (4..whole.len()).step_by(7) {
        refusal(&whole[..end]);
    }
    refused!(b"PK\x03\x04 and nothing else", Malformed, "an archive that can't be unpacked");
}

/// 200 MB of spaces in some 200 KB, and a container of its own size.
#[test]
fn zip_bombs() {
    let spaces = vec![b' '; 200 << 20];
    let bomb = archive(&[("META-INF/container.xml", CONTAINER.as_bytes()), ("music/piece.musicxml", &spaces)]);
    assert!(bomb.len() < 1 << 20);
    refused!(bomb, LimitReached, "bytes once unpacked");
    refused!(archive(&[("META-INF/container.xml", &spaces[..4 << 20])]), LimitReached, "bytes once unpacked");
    // The size that the archive declares is a lie in both places where it stands: counted while unpacking.
    let mut liar = archive(&[("score.xml", &spaces)]);
    let size = (200u32 << 20).to_le_bytes();
    while let Some(at) = liar.windows(4).position(|window| window == size) {
        liar[at..at + 4].copy_from_slice(&10u32.to_le_bytes());
    }
    refusal(&liar);
}

#[test]
fn a_file_beyond_the_limit() {
    let limits = Limits { bytes: 100, ..Limits::USUAL };
    let error = import(one_bar(&note("C4", 16, "")).as_bytes(), &limits).unwrap_err();
    assert!(matches!(error, ImportError::LimitReached(_)), "{error}");
}

/// A score with a bit of everything, bent in ten thousand ways by a fixed little generator: every outcome is a score or
/// one line.
#[test]
fn bent_files_never_panic() {
    let everything = include_str!("../golden/musicxml/two_hands.musicxml");
    let mut state = 1u64;
    let mut below = |bound: usize| {
        // Knuth's MMIX constants.
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(state >> 33).unwrap() % bound
    };
    let numbers = ["0", "-1", "1000000000", "", "0.3", "255", "65536", "<a/>", "1-300", "x"];
    let mut scores = 0;
    for _ in 0..10_000 {
        let mut lines: Vec<String> = everything.lines().map(str::to_owned).collect();
        for _ in 0..=below(4) {
            // The opening and closing lines stay, so that the reader is reached.
            let at = 6 + below(lines.len() - 7);
            match below(8) {
                0 | 1 => drop(lines.remove(at)),
                2 | 3 => lines.insert(6 + below(lines.len() - 7), lines[at].clone()),
                4 => {
                    let cut = below(lines[at].len() + 1);
                    lines[at].truncate(cut);
                }
                _ => {
                    let line = lines[at].clone();
                    let digits: Vec<usize> =
                        line.match_indices(|c: char| c.is_ascii_digit()).map(|(at, _)| at).collect();
                    if !digits.is_empty() {
                        let digit = digits[below(digits.len())];
                        lines[at].replace_range(digit..=digit, numbers[below(numbers.len())]);
                    }
                }
            }
        }
        match import(lines.join("\n").as_bytes(), &Limits::USUAL) {
            Ok(_) => scores += 1,
            Err(error) => assert_eq!(error.to_string().lines().count(), 1, "{error}"),
        }
    }
    assert!((2_000..9_000).contains(&scores), "{scores} of 10,000 were still scores");
}
