//! Drawings of real pieces, looked at through their boxes.

use std::path::Path;
use std::sync::Arc;

use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::plan::{EndOfPiece, HandPace, PaceLevel, Request, StartList, flip_marks, plan};
use leverlane_core::score::{HandRule, Hands, NoteKind, Performance};
use leverlane_core::time::Ticks;
use leverlane_formats::{Limits, import};

use crate::drawing::{Drawing, Music};
use crate::engine::{Engine, PageSize};
use crate::{Answer, DrawingId, Engraver, EngravingError, MusicFonts, Picture, PictureRequest};

const WIDTH: PageSize = PageSize::Systems(90.0);

/// Small pieces of our own, each with something that is hard to set: tuplets, graces, seconds and clusters, ties over the
/// bar line, an odd meter, two voices on a staff, a pickup with endings, many accidentals.
const SMALL: [&str; 7] = [
    "X:1\nT:Tuplets\nM:4/4\nL:1/8\nK:D\n(3ABc d2 (3fed A2|(5:4:5A/B/c/d/e/ f2 (3:2:2A4B2|d8|]\n",
    "X:1\nT:Graces\nM:6/8\nL:1/8\nK:G\n{a}g3 {fg}a2 b|{d}[Bd]3 {ef}g3|c'6|]\n",
    "X:1\nT:Seconds\nM:3/4\nL:1/4\nK:C\n[cd][Bc][AB]|[cde] [^c^d] [G_A]|[CDEFG]3|]\n",
    "X:1\nT:Ties\nM:4/4\nL:1/4\nK:Eb\nE F G B-|B2 c2-|c4-|c2 [EG]2|]\n",
    "X:1\nT:Sevens\nM:7/8\nL:1/16\nK:Am\nA2B2c2 d2e2 f2g2|a/g/f/e/d4 c2B2A4|A14|]\n",
    "X:1\nT:Voices\nM:2/2\nL:1/4\nK:F\nV:1\nf g a f|c'4|]\nV:2\nc2 A2|F4|]\n",
    "X:1\nT:Endings\nM:2/4\nL:1/8\nK:A\ne|:^d=d c=c|B_B A=A|1 ^G^F E2:|2 A3|]\n",
];

/// The two demo pieces, the golden scores of the tests, and the small ones.
fn scores() -> Vec<(String, Vec<u8>)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let demo = ["greensleeves.musicxml", "auld-lang-syne.musicxml"].map(|name| root.join("demo").join(name));
    let mut files: Vec<_> =
        std::fs::read_dir(root.join("tests/golden/musicxml")).unwrap().map(|e| e.unwrap().path()).collect();
    files.extend(std::fs::read_dir(root.join("tests/golden/abc")).unwrap().map(|e| e.unwrap().path()));
    files.sort();
    let readable = |path: &std::path::PathBuf| {
        let bytes = std::fs::read(path).unwrap();
        import(&bytes, &Limits::USUAL)
            .is_ok()
            .then(|| (path.file_name().unwrap().to_string_lossy().into_owned(), bytes))
    };
    let mut scores: Vec<(String, Vec<u8>)> = demo.iter().chain(&files).filter_map(readable).collect();
    scores.extend(SMALL.iter().map(|tune| (tune.lines().nth(1).unwrap().to_owned(), tune.as_bytes().to_vec())));
    scores
}

fn music(bytes: &[u8]) -> Music {
    let imported = import(bytes, &Limits::USUAL).unwrap();
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    let performance = Performance::new(&imported.score, &imported.order, &hands);
    let (harp, pace) = (Preset::with_strings(34).unwrap().tuned(Tuning::EFlat), HandPace::from(PaceLevel::Fluent));
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
    let start = Some(StartList::of(&plan, &harp));
    let bars = 0..imported.score.bars().len();
    Music { score: imported.score, hands, cues: Vec::new(), bars, marks, start }
}

/// The first demo piece with its plan.
pub(crate) fn music_of_demo() -> Music {
    music(&scores()[0].1)
}

/// The texts of a drawing, in its order.
pub(crate) fn text_of_svg(svg: &str) -> String {
    let document = roxmltree::Document::parse(svg).unwrap();
    let texts = document.descendants().filter(|node| node.is_text()).filter_map(|node| node.text());
    texts.map(str::trim).filter(|text| !text.is_empty()).collect::<Vec<_>>().join(" ")
}

fn engine() -> Engine {
    Engine::start(MusicFonts::temporary().unwrap()).unwrap()
}

/// Half a tenth of a staff space: half a pixel at ten pixels to the space.
const CLOSE: f32 = 0.05;

#[test]
fn every_onset_stands_under_its_note_heads() {
    let mut engine = engine();
    let mut scores_seen = 0;
    for (name, bytes) in scores() {
        let music = music(&bytes);
        let drawing = Drawing::of(&music, WIDTH, &mut engine).unwrap_or_else(|error| panic!("{name}: {error}"));
        let mut bars_seen = Vec::new();
        for system in &drawing.systems {
            bars_seen.extend(system.bars.iter().map(|bar| bar.bar.get()));
            for bar in &system.bars {
                assert!(bar.across.from < bar.music && bar.music < bar.across.to, "{name}: {bar:?}");
            }
            let places: Vec<_> = system.onsets.places().collect();
            for pair in places.windows(2) {
                let ((bar, at, x), (next_bar, next_at, next_x)) = (pair[0], pair[1]);
                assert!((bar, at) < (next_bar, next_at), "{name}: out of order");
                let rises = if bar == next_bar { x < next_x } else { x <= next_x + CLOSE };
                assert!(rises, "{name}: bar index {} at {at}: x {x} then {next_x}", bar.get());
            }
            for boxed in &system.notes {
                let note = &music.score.parts()[boxed.note.part].notes[boxed.note.note];
                let x = system.onsets.x(note.bar, note.onset).unwrap();
                if note.kind != NoteKind::Timed {
                    // Graces stand before what they lead to.
                    assert!(boxed.across.middle() < x, "{name}: a grace in bar index {}", note.bar.get());
                    continue;
                }
                // The onset is the middle of a head that belongs to it; heads pushed aside by a second or by another
                // voice stand at most their own width and a half away.
                let away = (boxed.across.middle() - x).abs();
                let width = boxed.across.to - boxed.across.from;
                assert!(away < 1.6 * width, "{name}: bar index {} at {}: {away} away", note.bar.get(), note.onset);
            }
            for (bar, at, x) in places {
                let heads: Vec<f32> = system
                    .notes
                    .iter()
                    .filter(|boxed| {
                        let note = &music.score.parts()[boxed.note.part].notes[boxed.note.note];
                        (note.bar, note.onset, note.kind) == (bar, at, NoteKind::Timed)
                    })
                    .map(|boxed| boxed.across.middle())
                    .collect();
                let on_a_head = heads.iter().any(|head| (head - x).abs() < CLOSE);
                assert!(
                    heads.is_empty() || on_a_head,
                    "{name}: bar index {} at {at}: x {x}, heads {heads:?}",
                    bar.get()
                );
            }
        }
        let all: Vec<usize> = (0..music.score.bars().len()).collect();
        assert_eq!(bars_seen, all, "{name}: every bar is drawn once, in order");
        let drawn: usize = drawing.systems.iter().map(|system| system.notes.len()).sum();
        let harp_notes = music.score.notes().filter(|(note, _)| music.hands.of(*note).is_some()).count();
        assert_eq!(drawn, harp_notes, "{name}: every note is drawn once");
        scores_seen += 1;
    }
    println!("{scores_seen} scores");
    assert!(scores_seen >= 10);
}

/// The place half-way between two quarters with nothing on it lies half-way between their heads.
#[test]
fn places_between_follow_evenly() {
    let music = music_of_demo();
    let drawing = Drawing::of(&music, WIDTH, &mut engine()).unwrap();
    let system = &drawing.systems[0];
    let places: Vec<_> = system.onsets.places().collect();
    let pair = places.windows(2).find(|pair| pair[0].0 == pair[1].0).unwrap();
    let ((bar, at, x), (_, next_at, next_x)) = (pair[0], pair[1]);
    let half = Ticks::new((at.get() + next_at.get()) / 2);
    assert!((system.onsets.x(bar, half).unwrap() - x.midpoint(next_x)).abs() < 0.001);
    assert_eq!(system.onsets.x(bar, at), Some(x));
    assert_eq!(system.onsets.x(leverlane_core::score::BarIndex::new(9_999), Ticks::ZERO), None);
}

/// Four bars from the middle of a piece, clef, key and meter before them, and no empty paper behind.
#[test]
fn a_few_bars_stand_on_one_system() {
    let music = Music { bars: 3..7, ..music_of_demo() };
    let drawing = Drawing::of(&music, PageSize::OneSystem, &mut engine()).unwrap();
    let [system] = &drawing.systems[..] else { panic!("{} systems", drawing.systems.len()) };
    let bars: Vec<usize> = system.bars.iter().map(|bar| bar.bar.get()).collect();
    assert_eq!(bars, [3, 4, 5, 6]);
    let (first, last) = (&system.bars[0], &system.bars[3]);
    assert!(first.music > first.across.from + 5.0, "signs stand before the music");
    let margin = system.width - last.across.to;
    assert!((0.0..2.5).contains(&margin), "the page ends with the music, {margin} behind it");
}

#[test]
fn broken_input_is_an_error() {
    let mut engine = engine();
    let music = music_of_demo();
    for broken in ["", "no music", "<score-partwise", "<score-partwise version=\"4.0\"/>"] {
        let drawn = Drawing::of_document(broken, &music.score, WIDTH, &mut engine);
        assert!(drawn.is_err(), "{broken}");
    }
    // The engine is none the worse for it.
    assert!(Drawing::of(&music, WIDTH, &mut engine).is_ok());
    // No bars at all.
    let nothing = Music { bars: 5..5, ..music };
    assert!(Drawing::of(&nothing, WIDTH, &mut engine).is_err());
}

/// The ink of a note's head is where its box says, at two sizes.
#[test]
fn pictures_have_ink_where_the_notes_are() {
    let music = music_of_demo();
    let drawing = Drawing::of(&music, WIDTH, &mut engine()).unwrap();
    let system = &drawing.systems[0];
    for scale in [8.0, 13.7] {
        let picture = Picture::of(system, scale).unwrap();
        assert_eq!(picture.ink.len(), picture.width * picture.height);
        assert!((picture.width as f32 - system.width * scale).abs() <= 1.0);
        for boxed in &system.notes {
            let (left, right) = ((boxed.across.from * scale) as usize, (boxed.across.to * scale) as usize);
            let (top, bottom) = ((boxed.down.from * scale) as usize, (boxed.down.to * scale) as usize);
            let inked = (top..=bottom)
                .flat_map(|y| (left..=right).map(move |x| y * picture.width + x))
                .filter(|&pixel| picture.ink[pixel] > 128)
                .count();
            assert!(inked as f32 > scale * scale * 0.2, "{boxed:?} at {scale}: {inked} pixels");
        }
    }
    assert!(matches!(Picture::of(system, 0.0), Err(EngravingError::Drawing(_))));
    assert!(matches!(Picture::of(system, 1e6), Err(EngravingError::Drawing(_))));
}

#[test]
fn the_engraver_answers_for_the_newest_drawing() {
    let (first, second) = (Arc::new(music_of_demo()), Arc::new(music(&scores()[1].1)));
    let mut engraver = Engraver::start(None, || {}).unwrap();
    engraver.draw(DrawingId(1), first, WIDTH);
    engraver.draw(DrawingId(2), second.clone(), WIDTH);
    let drawing = loop {
        match engraver.wait().expect("the thread works") {
            Answer::Drawn { id: DrawingId(2), drawing } => break drawing.unwrap(),
            Answer::Drawn { id: DrawingId(1), .. } => {}
            other => panic!("{other:?}"),
        }
    };
    // Of old drawings no picture is made; the newer request is answered.
    let of = |drawing| PictureRequest { drawing: DrawingId(drawing), system: 0, pixels_per_space: 9.0 };
    engraver.picture(of(1));
    engraver.picture(of(2));
    let Some(Answer::Pictured { request, picture }) = engraver.wait() else { panic!("a picture") };
    assert_eq!(request, of(2));
    let picture = picture.unwrap();
    // The same music again under another id: the same drawing, and the same picture, not another like it.
    engraver.draw(DrawingId(3), second, WIDTH);
    let Some(Answer::Drawn { drawing: again, .. }) = engraver.wait() else { panic!("a drawing") };
    assert!(Arc::ptr_eq(&again.unwrap(), &drawing));
    engraver.picture(of(3));
    let Some(Answer::Pictured { picture: again, .. }) = engraver.wait() else { panic!("a picture") };
    assert!(Arc::ptr_eq(&again.unwrap(), &picture));
    // Music that can't be drawn is an error, and the engraver goes on.
    let nothing = Music { bars: 7..7, ..music_of_demo() };
    engraver.draw(DrawingId(4), Arc::new(nothing), WIDTH);
    assert!(matches!(engraver.wait(), Some(Answer::Drawn { drawing: Err(_), .. })));
    engraver.draw(DrawingId(5), Arc::new(music(&scores()[1].1)), WIDTH);
    assert!(matches!(engraver.wait(), Some(Answer::Drawn { drawing: Ok(_), .. })));
}

/// Fingers, a placing bracket, a glissando, fermatas over a rest, a chord and a bar line, and a cue line above the harp: all
/// of it is drawn. What is counted is in the document by hand.
#[test]
fn what_stands_beside_the_notes_is_drawn() {
    let one = |pitch: (&str, u8), length: u8, staff: u8, more: &str| {
        let (step, octave) = pitch;
        format!(
            "<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>{length}</duration>\
             <staff>{staff}</staff>{more}</note>"
        )
    };
    let bracket = |kind: &str| {
        format!(
            "<direction><direction-type><bracket type='{kind}' number='1' line-end='down'/></direction-type>\
             <staff>1</staff></direction>"
        )
    };
    let finger = |number: u8| format!("<notations><technical><fingering>{number}</fingering></technical></notations>");
    let harp = "<attributes><divisions>1</divisions><staves>2</staves></attributes>".to_owned()
        + &bracket("start")
        + &one(("C", 5), 1, 1, &finger(3).replace("</notations>", "<glissando type='start'/></notations>"))
        + &one(("E", 5), 1, 1, &finger(2).replace("</notations>", "<glissando type='stop'/></notations>"))
        + &bracket("stop")
        + "<note><rest/><duration>2</duration><staff>1</staff><notations><fermata/></notations></note>"
        + "<backup><duration>4</duration></backup>"
        + &one(("C", 3), 4, 2, "<notations><fermata/></notations>")
        + "<barline location='right'><fermata/></barline>";
    let voice = "<attributes><divisions>1</divisions></attributes>".to_owned()
        + &one(("G", 4), 2, 1, "")
        + &one(("A", 4), 2, 1, "");
    let text = format!(
        "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Voice</part-name></score-part>\
         <score-part id='P2'><part-name>Harp</part-name></score-part></part-list><part id='P1'><measure number='1'>{voice}\
         </measure></part><part id='P2'><measure number='1'>{harp}</measure></part></score-partwise>"
    );
    let score = import(text.as_bytes(), &Limits::USUAL).unwrap().score;
    let hands = Hands::assign(&score, &HandRule::Usual);
    let cues = leverlane_core::score::cue_line(&score, &[1], Some(0));
    let music = Music { score, hands, cues, bars: 0..1, marks: Vec::new(), start: None };
    let mut engine = engine();
    let drawing = Drawing::of(&music, WIDTH, &mut engine).unwrap();
    let [system] = &drawing.systems[..] else { panic!("one bar is one system") };
    assert_eq!(system.staves.len(), 3);
    assert_eq!(system.notes.len(), 3, "the harp's; cue notes have no box");
    let document = roxmltree::Document::parse(&system.svg).unwrap();
    let count = |class: &str| {
        let has = |node: &roxmltree::Node<'_, '_>| {
            node.attribute("class").is_some_and(|classes| classes.split(' ').any(|one| one == class))
        };
        document.descendants().filter(has).count()
    };
    assert_eq!((count("note"), count("fing"), count("bracketSpan"), count("fermata")), (5, 2, 1, 3));
    assert_eq!(count("gliss"), 1);
    // Without the line there are the harp's own staves.
    let alone = Drawing::of(&Music { cues: Vec::new(), ..music }, WIDTH, &mut engine).unwrap();
    assert_eq!(alone.systems[0].staves.len(), 2);
}
