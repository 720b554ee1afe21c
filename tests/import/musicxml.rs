//! What each element of MusicXML becomes. Expectations follow from the standard's text (MusicXML 4.0) or from
//! arithmetic; times are in quarter notes within the bar.

use leverlane_core::score::{Note, NoteKind, Roll, Tie};
use leverlane_core::time::{Tempo, Ticks};
use leverlane_formats::{Imported, Limits, import};

use super::scores::{attributes, bars, note, pitch, read, score};

/// The notes of the first part as `bar:onset pitch length`, graces with their place in braces.
fn notes(imported: &Imported) -> Vec<String> {
    imported.score.parts()[0].notes.iter().map(in_short).collect()
}

fn in_short(note: &Note) -> String {
    let length = match note.kind {
        NoteKind::Timed => note.length.to_string(),
        NoteKind::Grace(place) => format!("{{{place}}}"),
    };
    format!("{}:{} {} {length}", note.bar.get(), note.onset, note.pitch.ascii())
}

fn warnings(imported: &Imported) -> Vec<String> {
    imported.warnings.iter().map(ToString::to_string).collect()
}

fn first(imported: &Imported) -> &Note {
    &imported.score.parts()[0].notes[0]
}

fn in_4_4(content: &str) -> Imported {
    read(&score(&bars([attributes("4", "4") + content])))
}

#[test]
fn voices_chords_and_staves() {
    let left = "<voice>2</voice><staff>2</staff>";
    let chord = format!("<note><chord/>{}<duration>8</duration></note>", pitch("E4"));
    let content = note("C4", 8, "")
        + &chord
        + &note("G4", 8, "")
        + "<backup><duration>16</duration></backup><forward><duration>4</duration></forward>"
        + &note("C3", 12, left);
    let imported = in_4_4(&content);
    assert_eq!(notes(&imported), ["0:0/1 C4 2/1", "0:0/1 E4 2/1", "0:1/1 C3 3/1", "0:2/1 G4 2/1"]);
    let part = &imported.score.parts()[0];
    assert_eq!((part.staves, &part.voices[..]), (2, &["1".to_owned(), "2".to_owned()][..]));
    assert_eq!((part.notes[2].staff, part.notes[2].voice.0), (2, 1));
    assert!(warnings(&imported).is_empty(), "{:?}", warnings(&imported));
}

#[test]
fn divisions_change_in_mid_bar() {
    let thirds = "<attributes><divisions>3</divisions></attributes>";
    let imported = in_4_4(&(note("C4", 4, "") + thirds + &note("D4", 1, "") + &note("E4", 2, "") + &note("F4", 6, "")));
    assert_eq!(notes(&imported), ["0:0/1 C4 1/1", "0:1/1 D4 1/3", "0:4/3 E4 2/3", "0:2/1 F4 2/1"]);
}

/// Thirteen thirteenths of a quarter are a quarter: each is rounded by itself and nothing adds up.
#[test]
fn roundings_never_accumulate() {
    let thirteenths = "<attributes><divisions>13</divisions></attributes>";
    let imported = in_4_4(&(thirteenths.to_owned() + &note("C4", 1, "").repeat(39) + &note("D4", 13, "")));
    let last = imported.score.parts()[0].notes.last().unwrap();
    assert_eq!(in_short(last), "0:3/1 D4 1/1");
    assert_eq!(imported.score.bars()[0].length, Ticks::QUARTER * 4);
    assert_eq!(warnings(&imported).len(), 1, "{:?}", warnings(&imported));
}

#[test]
fn graces_are_counted_to_their_note() {
    let grace = |name: &str, more: &str| format!("<note><grace/>{more}{}</note>", pitch(name));
    let content = note("C4", 8, "")
        + &grace("D4", "")
        + &grace("E4", "")
        + &grace("G4", "<chord/>")
        + &note("F4", 8, "")
        + &grace("A4", "");
    let imported = in_4_4(&content);
    let expected = ["0:0/1 C4 2/1", "0:2/1 D4 {0}", "0:2/1 E4 {1}", "0:2/1 G4 {1}", "0:2/1 F4 2/1", "0:4/1 A4 {0}"];
    assert_eq!(notes(&imported), expected);
}

#[test]
fn ties_are_sound_and_tied_is_print() {
    let content = note("C4", 4, "<tie type=\"start\"/>")
        + &note("C4", 4, "<tie type=\"stop\"/><tie type=\"start\"/>")
        + &note("C4", 4, "<tie type=\"stop\"/>")
        + &note("C4", 4, "<notations><tied type=\"start\"/></notations>");
    let ties: Vec<Tie> = in_4_4(&content).score.parts()[0].notes.iter().map(|note| note.tie).collect();
    assert_eq!(ties, [Tie::Start, Tie::Continue, Tie::Stop, Tie::None]);
}

#[test]
fn notations() {
    let one = |notation: &str| in_4_4(&note("C4", 16, &format!("<notations>{notation}</notations>")));
    assert_eq!(first(&one("<arpeggiate/>")).roll, Some(Roll::Up));
    assert_eq!(first(&one("<arpeggiate direction='down'/>")).roll, Some(Roll::Down));
    assert_eq!(first(&one("<non-arpeggiate type='bottom'/>")).roll, None);
    assert!(first(&one("<tied type='let-ring'/>")).rings_on);
    assert!(first(&one("<fermata/>")).held);
    // A harmonic on the harp sounds an octave above the string (facts of the instrument, common practice).
    let harmonic = |inner: &str| {
        let imported = one(&format!("<technical><harmonic>{inner}</harmonic></technical>"));
        (first(&imported).pitch.ascii(), first(&imported).sounding().ascii())
    };
    let names = |string: &str, sounding: &str| (string.to_owned(), sounding.to_owned());
    assert_eq!(harmonic("<natural/>"), names("C4", "C5"));
    assert_eq!(harmonic("<natural/><base-pitch/>"), names("C4", "C5"));
    assert_eq!(harmonic("<natural/><sounding-pitch/>"), names("C3", "C4"));
    assert_eq!(harmonic("<artificial/>"), names("C4", "C4"));
}

/// `alter` decides; `accidental` is print, also an empty one.
#[test]
fn pitches() {
    let plain = in_4_4(&note("F#4", 16, "<accidental/>"));
    assert_eq!(first(&plain).pitch.ascii(), "F#4");
    assert_eq!(first(&in_4_4(&note("F4", 16, "<accidental>sharp</accidental>"))).pitch.ascii(), "F4");
    let quarter_tone =
        "<note><pitch><step>B</step><alter>-0.5</alter><octave>4</octave></pitch><duration>16</duration></note>";
    let imported = in_4_4(quarter_tone);
    assert_eq!(first(&imported).pitch.ascii(), "B4");
    assert_eq!(warnings(&imported), ["bar index 0: a note between two semitones is rounded to one of them"]);
    let high = in_4_4(&(note("C4", 8, "") + &note("A9", 8, "")));
    assert_eq!(notes(&high).len(), 1);
    assert_eq!(warnings(&high), ["bar index 0: a note beyond the range of pitches is left out"]);
}

/// A part in B♭ that reads D major sounds C major.
#[test]
fn transposing_parts() {
    let transposed = "<attributes><key><fifths>2</fifths></key><transpose><diatonic>-1</diatonic>\
        <chromatic>-2</chromatic></transpose></attributes>";
    let imported = in_4_4(&(transposed.to_owned() + &note("F#4", 16, "")));
    assert_eq!(first(&imported).pitch.ascii(), "E4");
    assert_eq!(imported.score.bars()[0].key.fifths(), 0);
}

#[test]
fn what_does_not_sound_is_no_note() {
    let cue = format!("<note><cue/>{}<duration>4</duration></note>", pitch("E5"));
    let small = format!("<note>{}<duration>4</duration><type size=\"cue\">quarter</type></note>", pitch("D4"));
    let drum = "<note><unpitched/><duration>4</duration></note>";
    let imported = in_4_4(&(note("C4", 4, "") + &cue + &small + drum));
    assert_eq!(notes(&imported), ["0:0/1 C4 1/1", "0:2/1 D4 1/1"], "a cue-sized note sounds");
    assert_eq!(imported.score.bars()[0].length, Ticks::QUARTER * 4);
    assert_eq!(warnings(&imported), ["bar index 0: notes without a pitch are left out"]);
    let cues: Vec<_> = imported.score.markings().cues.iter().map(|cue| in_short(&cue.note)).collect();
    assert_eq!(cues, ["0:1/1 E5 1/1"], "a cue note is kept beside them");
}

fn meters(imported: &Imported) -> Vec<String> {
    imported.score.bars().iter().map(|bar| bar.meter.to_string()).collect()
}

#[test]
fn meters_and_keys() {
    let time = |inner: &str| format!("<attributes><time>{inner}</time></attributes>");
    let content = [
        attributes("3+2", "8") + &note("C4", 10, ""),
        note("C4", 10, ""),
        time("<beats>3</beats><beat-type>4</beat-type><beats>2</beats><beat-type>8</beat-type>") + &note("C4", 16, ""),
        time("<senza-misura/>") + &note("C4", 28, ""),
        time("<beats>4</beats><beat-type>3</beat-type>") + &note("C4", 16, ""),
    ];
    let imported = read(&score(&bars(content)));
    assert_eq!(meters(&imported), ["3+2/8", "3+2/8", "6+2/8", "6+2/8", "6+2/8"]);
    assert_eq!(imported.score.bars()[3].length, Ticks::QUARTER * 7, "as long as its content");
    assert_eq!(warnings(&imported).len(), 2, "{:?}", warnings(&imported));

    let key = |inner: &str| format!("<attributes><key>{inner}</key></attributes>") + &note("C4", 16, "");
    let content = [
        attributes("4", "4") + &key("<fifths>-3</fifths><mode>major</mode>"),
        note("C4", 16, ""),
        key("<fifths>1</fifths>"),
        key("<key-step>F</key-step><key-alter>1</key-alter>"),
    ];
    let imported = read(&score(&bars(content)));
    let keys: Vec<i8> = imported.score.bars().iter().map(|bar| bar.key.fifths()).collect();
    assert_eq!(keys, [-3, -3, 1, 1]);
    assert_eq!(warnings(&imported).len(), 1, "{:?}", warnings(&imported));
}

#[test]
fn tempos() {
    let mark = |unit: &str, text: &str| {
        format!(
            "<direction><direction-type><metronome>{unit}<per-minute>{text}</per-minute></metronome></direction-type></direction>"
        )
    };
    let dotted = mark("<beat-unit>quarter</beat-unit><beat-unit-dot/>", "60");
    let content = [
        attributes("4", "4") + &dotted + &note("C4", 8, "") + "<sound tempo=\"72\"/>" + &note("C4", 8, ""),
        mark("<beat-unit>quarter</beat-unit>", "9999") + &note("C4", 16, ""),
    ];
    let imported = read(&score(&bars(content)));
    let marks = |bar: usize| -> Vec<(String, f64)> {
        let marks = &imported.score.bars()[bar].tempo_marks;
        marks.iter().map(|mark| (mark.at.to_string(), mark.tempo.quarters_per_minute())).collect()
    };
    // A dotted quarter at 60 is 90 quarters a minute (arithmetic).
    assert_eq!(marks(0), [("0/1".to_owned(), 90.0), ("2/1".to_owned(), 72.0)]);
    assert_eq!(
        imported.score.bars()[0].tempo_marks[0].tempo,
        Tempo::beats(Ticks::from_quarters(3, 2).unwrap(), 60.0).unwrap()
    );
    assert_eq!(marks(1), []);
    assert_eq!(warnings(&imported).len(), 1, "{:?}", warnings(&imported));
}

fn lengths(text: &str) -> Vec<(String, String)> {
    read(text).score.bars().iter().map(|bar| (bar.length.to_string(), bar.anacrusis.to_string())).collect()
}

fn pairs<const N: usize>(expected: [(&str, &str); N]) -> Vec<(String, String)> {
    expected.map(|(length, anacrusis)| (length.to_owned(), anacrusis.to_owned())).to_vec()
}

#[test]
fn pickups_and_split_bars() {
    let bar = |implicit: &str, content: String| format!("<measure number=\"X\"{implicit}>{content}</measure>");
    let (yes, no) = (" implicit=\"yes\"", "");
    let quarters = |count: u32| note("C4", 4 * count, "");
    let opening = |count: u32| attributes("4", "4") + &quarters(count);
    // A pickup of one quarter, and a last bar of three that just breaks off.
    let text = score(&(bar(yes, opening(1)) + &bar(no, quarters(4)) + &bar(no, quarters(3))));
    assert_eq!(lengths(&text), pairs([("1/1", "3/1"), ("4/1", "0/1"), ("3/1", "0/1")]));
    // The first bar need not say that it is a pickup.
    let text = score(&(bar(no, opening(1)) + &bar(no, quarters(4))));
    assert_eq!(lengths(&text), pairs([("1/1", "3/1"), ("4/1", "0/1")]));
    // A bar split at a repeat sign, 3 + 1.
    let text = score(&(bar(no, opening(4)) + &bar(no, quarters(3)) + &bar(yes, quarters(1)) + &bar(no, quarters(4))));
    assert_eq!(lengths(&text), pairs([("4/1", "0/1"), ("3/1", "0/1"), ("1/1", "3/1"), ("4/1", "0/1")]));
    // The same in three pieces, 1 + 2 + 1.
    let text = score(&(bar(no, opening(4)) + &bar(no, quarters(1)) + &bar(yes, quarters(2)) + &bar(yes, quarters(1))));
    assert_eq!(lengths(&text), pairs([("4/1", "0/1"), ("1/1", "0/1"), ("2/1", "1/1"), ("1/1", "3/1")]));
    // A pickup within the piece, after a full bar.
    let text = score(&(bar(no, opening(4)) + &bar(yes, quarters(1)) + &bar(no, quarters(4))));
    assert_eq!(lengths(&text), pairs([("4/1", "0/1"), ("1/1", "3/1"), ("4/1", "0/1")]));
    // A cadenza longer than its bar, and a bar with nothing in it.
    let text = score(&(bar(no, opening(7)) + &bar(no, String::new())));
    assert_eq!(lengths(&text), pairs([("7/1", "0/1"), ("4/1", "0/1")]));
}

/// Parts are aligned by the index of their measures; the longest decides, and a silent part is left out.
#[test]
fn several_parts() {
    let part = |id: &str, measures: &str| format!("<part id=\"{id}\">{measures}</part>");
    let short = format!("<measure number=\"7\">{}{}</measure>", attributes("4", "4"), note("C4", 8, ""));
    let long = format!("<measure number=\"8\">{}{}</measure>", attributes("4", "4"), note("D4", 12, ""));
    let rests = "<measure><note><rest/><duration>1</duration></note></measure>";
    let text = format!(
        "<score-partwise><work><work-title> Three\n parts </work-title></work><part-list><score-part id=\"A\"><part-name>\
         Voice</part-name></score-part><score-part id=\"B\"><part-name>Harp</part-name></score-part></part-list>{}{}{}\
         </score-partwise>",
        part("A", &short),
        part("B", &(long + &format!("<measure>{}</measure>", note("E4", 16, "")))),
        part("C", rests)
    );
    let imported = read(&text);
    let names: Vec<&str> = imported.score.parts().iter().map(|part| part.name.as_str()).collect();
    assert_eq!((imported.score.title(), &names[..]), ("Three parts", &["Voice", "Harp"][..]));
    let bars: Vec<_> = imported.score.bars().iter().map(|bar| (bar.number.as_str(), bar.length.to_string())).collect();
    assert_eq!(bars, [("7", "3/1".to_owned()), ("2", "4/1".to_owned())]);
    assert_eq!(warnings(&imported), ["the part \"\" has no pitched notes and is left out"]);
}

/// The same music the other way round.
#[test]
fn timewise() {
    let measure = |inner: &str| format!("<measure number=\"1\">{inner}</measure>");
    let part = |id: &str, inner: String| format!("<part id=\"{id}\">{inner}</part>");
    let text = format!(
        "<score-timewise><part-list><score-part id=\"B\"><part-name>Harp</part-name></score-part></part-list>{}{}\
         </score-timewise>",
        measure(&part("A", attributes("4", "4") + &note("C4", 16, ""))),
        measure(&(part("A", note("D4", 16, "")) + &part("B", attributes("4", "4") + &note("E4", 8, ""))))
    );
    let imported = read(&text);
    assert_eq!(notes(&imported), ["0:0/1 C4 4/1", "1:0/1 D4 4/1"]);
    assert_eq!(in_short(&imported.score.parts()[1].notes[0]), "1:0/1 E4 2/1");
    assert_eq!(imported.score.parts()[1].name, "Harp");
}

#[test]
fn encodings_from_end_to_end() {
    let text = score(&bars([attributes("4", "4") + &note("C4", 16, "")])).replace("Harp", "Härp");
    let plain = read(&text);
    let units = |to_bytes: fn(u16) -> [u8; 2]| -> Vec<u8> { text.encode_utf16().flat_map(to_bytes).collect() };
    let latin: Vec<u8> = text.replace("UTF-8", "ISO-8859-1").chars().map(|c| u8::try_from(c).unwrap()).collect();
    let public =
        "<!DOCTYPE score-partwise PUBLIC '-//Recordare//DTD MusicXML 4.0 Partwise//EN' 'http://x/partwise.dtd'>\n";
    let with_doctype = text.replacen("<score-partwise", &format!("{public}<score-partwise"), 1);
    for bytes in [
        units(u16::to_le_bytes),
        units(u16::to_be_bytes),
        [vec![0xFF, 0xFE], units(u16::to_le_bytes)].concat(),
        [vec![0xFE, 0xFF], units(u16::to_be_bytes)].concat(),
        [vec![0xEF, 0xBB, 0xBF], text.clone().into_bytes()].concat(),
        latin,
        with_doctype.into_bytes(),
        text.replace('"', "'").into_bytes(),
    ] {
        assert_eq!(import(&bytes, &Limits::USUAL).unwrap(), plain);
    }
    assert_eq!(plain.score.parts()[0].name, "Härp");
}
