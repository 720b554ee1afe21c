//! What our writer writes, read again: by our own reader and by music21, the same notes.

use std::path::Path;

use leverlane_core::score::{Finger, HandRule, Hands, Performance, Score, Stroke, Tie, cue_line};
use leverlane_core::time::Ticks;
use leverlane_formats::{Imported, Limits, MusicXmlSource, OtherParts, import, write_musicxml};

use super::conformance::{SAMPLE, rows};
use super::reference::{self, Fraction, NoteRow};
use super::scores::{attributes, bars, note, read, score};

/// Every so many files of the sample are read by music21 too, which is slow.
const MUSIC21_READS_EVERY: usize = 6;

fn demo(name: &str) -> Imported {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo").join(name);
    import(&std::fs::read(path).unwrap(), &Limits::USUAL).unwrap()
}

fn written(score: &Score) -> String {
    let hands = Hands::assign(score, &HandRule::Usual);
    let source = MusicXmlSource {
        score,
        hands: &hands,
        bars: 0..score.bars().len(),
        marks: &[],
        start: None,
        cues: &[],
        others: OtherParts::Kept,
    };
    let file = write_musicxml(&source);
    assert_eq!(file.warnings, [], "nothing is bent");
    file.text
}

/// How many strings glissandi cross.
fn swept(imported: &Imported) -> usize {
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    let performance = Performance::new(&imported.score, &imported.order, &hands);
    performance.plucks().iter().filter(|pluck| pluck.stroke == Stroke::Swept).count()
}

/// The notes without the parts and staves they stand on, since the writer puts the harp on two staves of its own; those
/// that one length needed several values for joined again.
fn sounding(rows: &[NoteRow], joined: &[bool]) -> Vec<NoteRow> {
    let mut found: Vec<NoteRow> = Vec::new();
    for (row, &joins) in rows.iter().zip(joined) {
        let sum = |a: Fraction, b: Fraction| Fraction(a.0 * b.1 + b.0 * a.1, a.1 * b.1);
        let before = found.iter_mut().rev().find(|before| {
            (before.bar, before.midi, before.part, before.staff) == (row.bar, row.midi, row.part, row.staff)
                && sum(before.onset, before.quarters) == row.onset
        });
        match before {
            Some(before) if joins => before.quarters = sum(before.quarters, row.quarters),
            _ => found.push(row.clone()),
        }
    }
    for row in &mut found {
        (row.part, row.staff) = (0, 0);
    }
    found.sort();
    found
}

fn all_tied_joined(score: &Score) -> Vec<NoteRow> {
    let joins: Vec<bool> = score.notes().map(|(_, note)| matches!(note.tie, Tie::Stop | Tie::Continue)).collect();
    sounding(&rows(score), &joins)
}

fn in_words(rows: &[NoteRow]) -> String {
    rows.iter().take(4).map(|row| format!("{row:?}")).collect::<Vec<_>>().join("; ")
}

fn lacking(of: &[NoteRow], from: &[NoteRow]) -> Vec<NoteRow> {
    of.iter().filter(|row| !from.contains(row)).cloned().collect()
}

#[test]
fn the_demo_pieces_come_back_as_they_were() {
    for name in ["greensleeves.musicxml", "auld-lang-syne.musicxml"] {
        let before = demo(name);
        let after = import(written(&before.score).as_bytes(), &Limits::USUAL).unwrap();
        assert_eq!(after.warnings, []);
        assert_eq!(after.order, before.order);
        assert_eq!(after.score.bars(), before.score.bars());
        let notes = |score: &Score| {
            let mut notes: Vec<_> = score.notes().map(|(_, note)| note.clone()).collect();
            for note in &mut notes {
                note.voice = leverlane_core::score::VoiceIndex(0);
            }
            notes.sort_by_key(|note| (note.bar, note.onset, note.kind.order(), note.pitch, note.staff, note.length));
            notes
        };
        assert_eq!(notes(&after.score), notes(&before.score));
    }
}

/// Fingers, a placing bracket over the left hand's notes, fermatas over a rest, a bar line and one note of a chord: they
/// stand where they stood. The place of each is counted by hand.
#[test]
fn what_stands_beside_the_notes_comes_back() {
    let fingered =
        |pitch: &str, length: u32, more: &str| note(pitch, length, &format!("<notations>{more}</notations>"));
    let fingers = "<technical><fingering>4</fingering><fingering substitution='yes'>2</fingering></technical>";
    let bracket = |kind: &str| {
        format!(
            "<direction><direction-type><bracket type='{kind}' number='1' line-end='down'/></direction-type>\
             <staff>2</staff></direction>"
        )
    };
    let on = |staff: u8, note: String| note.replace("</note>", &format!("<staff>{staff}</staff></note>"));
    let held_rest = "<note><rest/><duration>8</duration><staff>1</staff><notations><fermata/></notations></note>";
    let first = attributes("4", "4").replace("</attributes>", "<staves>2</staves></attributes>")
        + &on(1, fingered("C5", 8, fingers))
        + held_rest
        + "<backup><duration>16</duration></backup>"
        + &bracket("start")
        + &on(2, note("C3", 8, ""))
        + &bracket("stop")
        + &on(2, note("G3", 8, ""));
    let chord = "<note><chord/><pitch><step>E</step><octave>5</octave></pitch><duration>16</duration><staff>1</staff>\
                 <notations><fermata/></notations></note>";
    let second = on(1, note("C5", 16, "")) + chord + "<barline location='right'><fermata/></barline>";
    let before = read(&score(&bars([first, second])));
    assert_eq!(before.warnings, []);
    let after = import(written(&before.score).as_bytes(), &Limits::USUAL).unwrap();
    assert_eq!(after.warnings, []);
    let fingers = |score: &Score| score.notes().map(|(_, note)| note.fingers.clone()).collect::<Vec<_>>();
    assert_eq!(fingers(&after.score).concat(), [4, 2].map(|finger| Finger::new(finger).unwrap()));
    assert_eq!(fingers(&after.score), fingers(&before.score));
    let (markings, expected) = (after.score.markings(), before.score.markings());
    assert_eq!((&markings.brackets, &markings.holds), (&expected.brackets, &expected.holds));
    assert_eq!((markings.brackets.len(), markings.holds.len()), (1, 2));
    assert_eq!(markings.brackets[0].ends.1, Ticks::QUARTER * 2);
    let held: Vec<String> =
        after.score.notes().filter(|(_, note)| note.held).map(|(_, note)| note.pitch.ascii()).collect();
    assert_eq!(held, ["C5"], "one fermata for the chord");
}

/// Two glissandi that are open together, one in each hand, the left hand's from staff to staff: each leads where it led, and sweeps
/// the same strings. Cut off from the bar where they end they are not drawn.
#[test]
fn glissandi_come_back() {
    let gliss = |kind: &str, number: u8| {
        format!("<notations><glissando type='{kind}' number='{number}'>gliss.</glissando></notations>")
    };
    let on = |staff: u8, note: String| note.replace("</note>", &format!("<staff>{staff}</staff></note>"));
    let back = "<backup><duration>16</duration></backup>";
    let first = attributes("4", "4").replace("</attributes>", "<staves>2</staves></attributes>")
        + &on(1, note("C5", 16, &gliss("start", 1)))
        + back
        + &on(2, note("C2", 16, &gliss("start", 2)));
    let second = on(1, note("C7", 8, &gliss("stop", 1)))
        + &on(1, note("C4", 8, &gliss("stop", 2)))
        + back
        + &on(2, note("C3", 16, ""));
    let before = read(&score(&bars([first, second])));
    assert_eq!(before.warnings, []);
    let text = written(&before.score);
    let after = import(text.as_bytes(), &Limits::USUAL).unwrap();
    assert_eq!(after.warnings, []);
    let leads = |score: &Score| {
        let notes = score.notes().filter_map(|(_, note)| Some((note.pitch.ascii(), note.glissando_to?.ascii())));
        let mut leads: Vec<(String, String)> = notes.collect();
        leads.sort();
        leads
    };
    let expected = [("C2", "C4"), ("C5", "C7")].map(|(from, to)| (from.to_owned(), to.to_owned()));
    assert_eq!(leads(&after.score), expected);
    // Fourteen letters lie from C to the C two octaves higher, thirteen of them between.
    assert_eq!((swept(&before), swept(&after)), (26, 26));

    let hands = Hands::assign(&before.score, &HandRule::Usual);
    let cut = write_musicxml(&MusicXmlSource {
        score: &before.score,
        hands: &hands,
        bars: 0..1,
        marks: &[],
        start: None,
        cues: &[],
        others: OtherParts::Kept,
    });
    assert!(!cut.text.contains("glissando"), "{}", cut.text);
    assert_eq!(cut.warnings, []);
}

/// A sweep from the lower staff to the upper one within a bar: the document has its end before its beginning (MusicXML 4.0,
/// `number-level`: "the ordering within a MusicXML document can differ from musical score order").
#[test]
fn a_glissando_up_to_the_upper_staff_comes_back() {
    let gliss = |kind: &str| format!("<notations><glissando type='{kind}'>gliss.</glissando></notations>");
    let on = |staff: u8, note: String| note.replace("</note>", &format!("<staff>{staff}</staff></note>"));
    let later = |note: String| "<forward><duration>8</duration></forward>".to_owned() + &note;
    let content = attributes("4", "4").replace("</attributes>", "<staves>2</staves></attributes>")
        + &later(on(1, note("C5", 8, &gliss("stop"))))
        + "<backup><duration>16</duration></backup>"
        + &on(2, note("C3", 8, &gliss("start")));
    let before = read(&score(&bars([content])));
    assert_eq!(before.warnings, []);
    let after = read(&written(&before.score));
    assert_eq!(after.warnings, []);
    for imported in [&before, &after] {
        let leads: Vec<_> = imported.score.notes().filter_map(|(_, note)| note.glissando_to).collect();
        assert_eq!(leads.iter().map(|to| to.ascii()).collect::<Vec<_>>(), ["C5"]);
        assert_eq!(swept(imported), 13);
    }
}

/// A singer's part kept as a cue line: small, silent notes above the harp (MusicXML 4.0, `cue`: no sounding ties).
#[test]
fn a_cue_line_is_written_as_cue_notes() {
    let singer = |content: String| attributes("4", "4") + &content;
    let tied = |kind: &str| format!("<tie type='{kind}'/><notations><tied type='{kind}'/></notations>");
    let song = "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Voice</part-name></score-part>\
                <score-part id='P2'><part-name>Harp</part-name></score-part></part-list><part id='P1'>"
        .to_owned()
        + &bars([singer(note("G4", 16, &tied("start"))), note("G4", 8, &tied("stop")) + &note("A4", 8, "")])
        + "</part><part id='P2'>"
        + &bars([singer(note("C4", 16, "")), note("E4", 16, "")])
        + "</part></score-partwise>";
    let before = read(&song);
    let rule = HandRule::Usual.with_parts(&before.score, &[1]);
    let cues = cue_line(&before.score, &rule.parts(&before.score), Some(0));
    assert_eq!(cues.len(), 3);
    let hands = Hands::assign(&before.score, &rule);
    let source = MusicXmlSource {
        score: &before.score,
        hands: &hands,
        bars: 0..2,
        marks: &[],
        start: None,
        cues: &cues,
        others: OtherParts::LeftOut,
    };
    let text = write_musicxml(&source).text;
    let after = read(&text);
    let notes: Vec<String> = after.score.notes().map(|(_, note)| note.pitch.ascii()).collect();
    assert_eq!(notes, ["C4", "E4"], "only the harp is played");
    let cues: Vec<&str> = text.lines().filter(|line| line.contains("<cue/>")).collect();
    assert_eq!(cues.len(), 3);
    assert!(cues.iter().all(|cue| !cue.contains("<tie ") && !cue.contains(" id=")), "{cues:?}");
    assert_eq!(cues.iter().filter(|cue| cue.contains("<tied ")).count(), 2);
}

#[test]
fn corpus_files_come_back_with_their_notes() {
    let corpus = match std::env::var("LEVERLANE_PYTHON_MISSING").map_or_else(|_| reference::corpus(), Err) {
        Ok(corpus) => corpus,
        Err(reason) => {
            println!("skipped: music21 can't be imported ({reason}); it comes with pip, given a network");
            return;
        }
    };
    let folder = tempfile::tempdir().unwrap();
    let mut to_read: Vec<(String, Vec<NoteRow>)> = Vec::new();
    let (mut files, mut notes) = (0, 0);
    for (index, name) in SAMPLE.lines().enumerate() {
        let Ok(before) = import(&std::fs::read(corpus.folder.join(name)).unwrap(), &Limits::USUAL) else { continue };
        let text = written(&before.score);
        let after = import(text.as_bytes(), &Limits::USUAL).unwrap_or_else(|error| panic!("{name}: {error}"));
        let (expected, found) = (all_tied_joined(&before.score), all_tied_joined(&after.score));
        let (lost, gained) = (lacking(&expected, &found), lacking(&found, &expected));
        assert!(lost.is_empty() && gained.is_empty(), "{name}: lost {}; gained {}", in_words(&lost), in_words(&gained));
        assert_eq!(found.len(), expected.len(), "{name}");
        assert_eq!(after.order, before.order, "{name}");
        files += 1;
        notes += expected.len();
        if index % MUSIC21_READS_EVERY == 0 {
            let path = folder.path().join(format!("{index}.musicxml"));
            std::fs::write(&path, &text).unwrap();
            to_read.push((path.to_str().unwrap().to_owned(), rows(&after.score)));
        }
    }
    println!("{files} files, {notes} notes");
    assert!(files > 80);
    let names: Vec<String> = to_read.iter().map(|(name, _)| name.clone()).collect();
    for (reading, (name, ours)) in reference::read(&names).into_iter().zip(to_read) {
        let theirs = reading.notes.unwrap_or_else(|error| panic!("{name}: music21: {error}"));
        let plain = |rows: &[NoteRow]| sounding(rows, &vec![false; rows.len()]);
        let (expected, found) = (plain(&ours), plain(&theirs));
        let (lost, gained) = (lacking(&expected, &found), lacking(&found, &expected));
        assert!(lost.is_empty() && gained.is_empty(), "{name}: lost {}; gained {}", in_words(&lost), in_words(&gained));
        assert_eq!(found.len(), expected.len(), "{name}");
    }
}
