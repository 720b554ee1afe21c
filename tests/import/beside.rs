//! What stands beside the notes, and what becomes of it in playing. Expectations are derived by hand from the elements'
//! definitions in MusicXML 4.0, and from common practice where they say nothing.

use leverlane_core::score::{Finger, HandRule, Hands, Performance, Stroke};
use leverlane_core::time::Ticks;
use leverlane_formats::Imported;

use super::scores::{attributes, bars, note, pitch, read, score};

fn in_4_4<const N: usize>(contents: [String; N]) -> Imported {
    let mut contents = contents;
    contents[0] = attributes("4", "4") + &contents[0];
    read(&score(&bars(contents)))
}

fn words(text: &str, more: &str) -> String {
    format!("<direction><direction-type><words>{text}</words></direction-type>{more}</direction>")
}

fn notations(text: &str) -> String {
    format!("<notations>{text}</notations>")
}

fn played(imported: &Imported) -> Performance {
    Performance::new(&imported.score, &imported.order, &Hands::assign(&imported.score, &HandRule::Usual))
}

#[test]
fn lever_marks_are_kept_where_they_are_printed() {
    let symbol = "<direction placement='below'><direction-type><words>B</words><symbol>accidentalFlat</symbol>\
                  </direction-type></direction>";
    let first = note("C4", 8, "") + &words("F♯", "<offset>2</offset><staff>2</staff>") + &note("C4", 8, "");
    let second = words("Bb 3, C#", "") + &note("C4", 16, "") + &words("F♯4", "");
    let third = words("A", "") + &words("Fine", "") + symbol + &note("C4", 16, "") + &words("G♮", "");
    let imported = in_4_4([first, words("dolce", "") + &second, third]);
    let marks: Vec<String> = imported
        .score
        .markings()
        .levers
        .iter()
        .map(|mark| format!("{}:{} {}{:+} {:?}", mark.bar.get(), mark.at, mark.letter, mark.alter, mark.octave))
        .collect();
    // The offset moves the mark by half a quarter; a mark after a bar's last note belongs to the next bar, after the
    // last bar's to its end. "Bb 3" is no lever mark, and so neither is the rest of its line.
    let expected = ["0:5/2 F+1 None", "2:0/1 F+1 Some(4)", "2:0/1 B-1 None", "2:4/1 G+0 None"];
    assert_eq!(marks, expected);
}

#[test]
fn fingers_brackets_and_fermatas_are_kept() {
    let bracket = |kind: &str| {
        format!(
            "<direction><direction-type><bracket type='{kind}' number='2' line-end='none'/></direction-type>\
                 <staff>2</staff></direction>"
        )
    };
    let fingered =
        notations("<technical><fingering>3</fingering><fingering substitution='yes'>1</fingering></technical>");
    let odd = notations("<technical><fingering>i</fingering><harmonic><natural/></harmonic></technical>");
    let held_rest = "<note><rest/><duration>4</duration><notations><fermata/></notations></note>";
    let content = bracket("start") + &note("C4", 4, &fingered) + &note("D4", 4, &odd) + &bracket("stop") + held_rest;
    let barline = "<barline location='right'><fermata/></barline>";
    let imported = in_4_4([content + &note("E4", 4, &notations("<fermata/>")) + barline]);
    let notes = &imported.score.parts()[0].notes;
    assert_eq!(notes[0].fingers, [Finger::new(3).unwrap(), Finger::new(1).unwrap()]);
    assert_eq!((notes[1].fingers.len(), notes[1].sounding().ascii()), (0, "D5".to_owned()));
    let warnings: Vec<String> = imported.warnings.iter().map(ToString::to_string).collect();
    assert_eq!(warnings, ["bar index 0: the fingering \"i\" is not kept"]);
    let markings = imported.score.markings();
    let bracket = markings.brackets[0];
    assert_eq!((bracket.staff, bracket.begins.1, bracket.ends.1), (2, Ticks::ZERO, Ticks::QUARTER * 2));
    let holds: Vec<String> = markings.holds.iter().map(|hold| hold.at.to_string()).collect();
    assert_eq!(holds, ["2/1", "4/1"], "the rest's and the bar line's");
    assert!(notes[2].held);
}

/// A glissando from C4 over a half note to C5 in D major crosses six strings, the signature's F♯ among them, a seventh
/// of the half note (2/7 of a quarter) after each other, on 480ths of a quarter.
#[test]
fn a_glissando_sweeps_every_string_between_its_ends() {
    let key = "<attributes><key><fifths>2</fifths></key></attributes>";
    let gliss = |kind: &str| notations(&format!("<glissando type='{kind}' number='1'>gliss.</glissando>"));
    let content = key.to_owned() + &note("C4", 8, &gliss("start")) + &note("C5", 8, &gliss("stop"));
    let imported = in_4_4([content]);
    assert_eq!(imported.warnings, []);
    let performance = played(&imported);
    let plucks: Vec<_> = performance.plucks().iter().map(|pluck| (pluck.pitch.ascii(), pluck.stroke)).collect();
    let names: Vec<&str> = plucks.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["C4", "D4", "E4", "F#4", "G4", "A4", "B4", "C5"]);
    let swept = plucks.iter().filter(|(_, stroke)| *stroke == Stroke::Swept).count();
    assert_eq!(swept, 6);
    let apart: Vec<i64> = performance.plucks().windows(2).map(|two| (two[1].at - two[0].at).get()).collect();
    for (place, apart) in apart.iter().enumerate() {
        let exact = Ticks::PER_QUARTER * 2 / 7;
        assert!((apart - exact).abs() <= Ticks::PER_QUARTER / 480, "string {place} comes {apart} ticks later");
    }
}

#[test]
fn glissandi_without_an_end_are_told() {
    let gliss = |kind: &str| notations(&format!("<slide type='{kind}'/>"));
    let imported = in_4_4([note("C4", 8, &gliss("start")) + &note("C5", 8, ""), note("C5", 16, "")]);
    let warnings: Vec<String> = imported.warnings.iter().map(ToString::to_string).collect();
    assert_eq!(warnings, ["bar index 0: a glissando that never ends is left out"]);
    let imported = in_4_4([note("C4", 8, "") + &note("C5", 8, &gliss("stop"))]);
    assert_eq!(imported.warnings.len(), 1);
    assert_eq!(played(&imported).plucks().len(), 2);
}

/// A harmonic is plucked on its string and heard an octave higher (the instrument).
#[test]
fn harmonics_keep_their_string_and_their_sound() {
    let harmonic = notations("<technical><harmonic><natural/></harmonic></technical>");
    let performance = played(&in_4_4([note("F#4", 16, &harmonic)]));
    let pluck = &performance.plucks()[0];
    assert_eq!((pluck.pitch.ascii(), pluck.sounds.ascii()), ("F#4".to_owned(), "F#5".to_owned()));
}

/// Small notes of a singer beside the harp's: kept, silent, and never over the limit.
#[test]
fn a_singers_cues_stay_beside_the_harp() {
    let cue = format!("<note><cue/>{}<duration>8</duration><voice>2</voice></note>", pitch("A4"));
    let imported = in_4_4([note("C4", 16, "") + "<backup><duration>16</duration></backup>" + &cue]);
    assert_eq!(played(&imported).plucks().len(), 1);
    let cues = &imported.score.markings().cues;
    assert_eq!((cues.len(), cues[0].part, cues[0].note.pitch.ascii()), (1, 0, "A4".to_owned()));
}
