//! What was read otherwise than it stands.

use super::*;

/// Three bars of whole notes over which lever marks stand; on the usual harp in E flat the strings of F sound F or F
/// sharp and those of C sound C or C sharp (arithmetic), so F flat is on no string, and C natural holds already.
const MARKED: &str = r#"<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions><key><fifths>-3</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time></attributes>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><type>whole</type></note></measure>
<measure number="2"><direction placement="above"><direction-type><words>F♭</words></direction-type></direction>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><type>whole</type></note></measure>
<measure number="3"><direction placement="above"><direction-type><words>C♮</words></direction-type></direction>
<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><type>whole</type></note></measure></part></score-partwise>"#;

#[test]
fn lever_marks_that_could_not_be_met_are_listed_with_bar_and_reason() {
    let mut harness = window(egui::Theme::Light);
    let bytes: Arc<[u8]> = MARKED.as_bytes().into();
    harness.state_mut().act(FileIntent::OpenBytes { name: "marked.musicxml".to_owned(), bytes }.into());
    harness.run();
    harness.get_by_label("More").click();
    harness.run();
    harness.get_by_label("Everything read otherwise").click();
    harness.run();
    harness.get_by_label_contains("The lever mark F♭ asks for what no string of this harp can sound");
    harness.get_by_label_contains("The lever mark C♮ changes nothing");
    harness.get_by_label("bar 2");
    harness.get_by_label("bar 3");
    harness.get_by_label("Copy all").click();
    harness.run();
    assert!(harness.state().copied[0].starts_with("bar 2: The lever mark F♭ asks"), "{:?}", harness.state().copied);
}

/// What a reader refuses or bends is said in the window's language.
#[test]
fn readers_speak_the_players_language() {
    let mut harness = window(egui::Theme::Light);
    harness.state_mut().act(SettingsIntent::UseLanguage(leverlane_app::words::Language::German).into());
    let mut open = |name: &str, bytes: &[u8]| {
        harness.state_mut().act(FileIntent::OpenBytes { name: name.to_owned(), bytes: bytes.into() }.into());
        harness.run();
        harness.state().state.notice.clone().unwrap().text
    };
    assert_eq!(
        open("leer.musicxml", b""),
        "leer.musicxml: gefunden: eine leere Datei; erwartet: MusicXML (.musicxml, .xml, .mxl), MIDI (.mid) oder ABC \
         (.abc). Abhilfe: exportiere das Stück als MusicXML aus dem Programm, in dem es geschrieben ist"
    );
    let without_meter = MARKED.replace("<time><beats>4</beats><beat-type>4</beat-type></time>", "");
    let said = open("ohne.musicxml", without_meter.as_bytes());
    assert!(said.contains("keine Taktangabe am Anfang: als 4/4 gelesen"), "{said}");
}

/// A piece that was read as it stands has no such page.
#[test]
fn nothing_read_otherwise_is_not_offered() {
    let mut harness = with_demo(egui::Theme::Light);
    assert!(harness.state().state.piece.as_ref().unwrap().warnings.is_empty());
    harness.get_by_label("More").click();
    harness.run();
    harness.get_by_label("Save as …");
    assert!(harness.query_by_label("Everything read otherwise").is_none());
}
