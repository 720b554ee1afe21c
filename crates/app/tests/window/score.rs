//! The engraved score in the window: its strip stands under its notes, and it is there for eye, mouse and ear.

mod choosing;
mod drill;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use eframe::egui::{self, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use leverlane_app::apply::apply;
use leverlane_app::demo;
use leverlane_app::effects::Effect;
use leverlane_app::intent::{DrillIntent, FileIntent, Intent, ScoreIntent};
use leverlane_app::state::{Cut, Notes, Origin, Page, PassPlace, Place};
use leverlane_app::views::score::layout::{Layout, SPACE};
use leverlane_app::views::score::model::{Drilled, ScoreModel, SystemModel};
use leverlane_core::score::NoteKind;
use leverlane_engraving::Drawing;
use leverlane_formats::Said;

use crate::bench::{Bench, Engraving, window_over};

/// A bench that draws, with this score open.
fn opened(bytes: Vec<u8>) -> Bench {
    opened_where(Engraving::Drawn, bytes)
}

fn opened_where(engraving: Engraving, bytes: Vec<u8>) -> Bench {
    let mut bench = Bench::engraving(engraving);
    bench.file = Some(bytes);
    bench.act(FileIntent::Open(Origin::Demo).into());
    bench
}

fn drawing(bench: &Bench) -> Arc<Drawing> {
    bench.state.score.drawing().unwrap().clone()
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The demo pieces, golden scores, and small tunes of our own with tuplets, graces, seconds, ties and odd meters.
fn scores() -> Vec<(String, Vec<u8>)> {
    let files = [
        "demo/greensleeves.musicxml",
        "demo/auld-lang-syne.musicxml",
        "tests/golden/musicxml/two_hands.musicxml",
        "tests/golden/musicxml/to_coda.musicxml",
        "tests/golden/abc/greensleeves.abc",
    ];
    let tunes = [
        "X:1\nT:Tuplets\nM:4/4\nL:1/8\nK:D\n(3ABc d2 (3fed A2|(5:4:5A/B/c/d/e/ f2 (3:2:2A4B2|d8|]\n",
        "X:1\nT:Graces\nM:6/8\nL:1/8\nK:G\n{a}g3 {fg}a2 b|{d}[Bd]3 {ef}g3|c'6|]\n",
        "X:1\nT:Seconds\nM:3/4\nL:1/4\nK:C\n[cd][Bc][AB]|[cde] [^c^d] [G_A]|[CDEFG]3|]\n",
        "X:1\nT:Ties\nM:4/4\nL:1/4\nK:Eb\nE F G B-|B2 c2-|c4-|c2 [EG]2|]\n",
        "X:1\nT:Sevens\nM:7/8\nL:1/16\nK:Am\nA2B2c2 d2e2 f2g2|a/g/f/e/d4 c2B2A4|A14|]\n",
    ];
    let read = |name: &&str| (name.to_string(), std::fs::read(root().join(name)).unwrap());
    let own = |tune: &&str| (tune.lines().nth(1).unwrap().to_owned(), tune.as_bytes().to_vec());
    files.iter().map(read).chain(tunes.iter().map(own)).collect()
}

/// How many beats and flips stand under a note's head.
#[derive(Default)]
struct Seen {
    beats: usize,
    flips: usize,
}

/// Compares the beats and flips of a system with the boxes of the heads on their onsets.
fn compare(name: &str, bench: &Bench, drawing: &Drawing, layout: &Layout, systems: &[SystemModel], seen: &mut Seen) {
    let (piece, planned) = (bench.state.piece.clone().unwrap(), bench.state.plan.clone().unwrap());
    for (index, (shown, system)) in systems.iter().zip(&drawing.systems).enumerate() {
        let place = layout.system(index);
        // Where the heads of an onset stand by their boxes.
        let heads = |bar, at| -> Vec<f32> {
            let here = |boxed: &&leverlane_engraving::NoteBox| {
                let note = &piece.score.parts()[boxed.note.part].notes[boxed.note.note];
                (note.bar, note.onset, note.kind) == (bar, at, NoteKind::Timed)
            };
            let boxes = system.notes.iter().filter(here);
            boxes.map(|boxed| layout.boxed(place, boxed.across, boxed.down).center().x).collect()
        };
        let agree = |x: f32, heads: &[f32], what: &str| {
            let nearest = heads.iter().map(|head| (head - x).abs()).fold(f32::INFINITY, f32::min);
            // Two pixels to the point make a pixel half a point.
            assert!(nearest <= 0.5, "{name}, {what}: {x}, heads {heads:?}");
        };
        for beat in &shown.beats {
            let heads = heads(beat.bar, beat.at);
            if !heads.is_empty() {
                agree(layout.x(place, beat.x), &heads, "a beat");
                seen.beats += 1;
            }
        }
        for flip in &shown.flips {
            let Some(gesture) = flip.gesture().map(|gesture| &planned.plan.gestures[gesture]) else { continue };
            let played = &piece.performance.bars()[gesture.played_bar];
            let heads = heads(played.bar, gesture.at - played.starts);
            if !heads.is_empty() {
                agree(layout.x(place, flip.x), &heads, "a flip");
                seen.flips += 1;
            }
        }
    }
}

/// Every beat of the strip, and every flip on a note's onset, stands within a pixel of the middle of that onset's heads,
/// by the boxes, in a window of usual and of narrow width, on screens of one and of two pixels to the point.
#[test]
fn strip_and_staff_agree_within_a_pixel() {
    let mut seen = Seen::default();
    let scores = scores();
    assert_eq!(scores.len(), 10);
    for (name, bytes) in scores {
        let mut bench = opened(bytes);
        for spaces in [60, 90] {
            let (piece, planned) = (bench.state.piece.clone().unwrap(), bench.state.plan.clone().unwrap());
            bench.act(ScoreIntent::Draw(Cut::whole(&piece, &planned, spaces)).into());
            let drawing = drawing(&bench);
            let model = ScoreModel::of_piece(bench.state.words(), &piece, &planned, &drawing, None);
            let layout = Layout::of_piece(&drawing);
            compare(&format!("{name}, {spaces} spaces"), &bench, &drawing, &layout, &model.systems, &mut seen);
        }
    }
    println!("{} beats and {} flips on note heads", seen.beats, seen.flips);
    assert!(seen.beats > 300 && seen.flips > 10);
}

/// The same for every loop of the demo pieces in the Drill, large, small and in a window that was made narrow; and the
/// present moment stands on a note's head when the note begins.
#[test]
fn the_drill_s_notes_and_moments_agree_within_a_pixel() {
    let mut seen = Seen::default();
    let mut moments = 0;
    for (name, bytes) in scores().into_iter().take(2) {
        let mut bench = opened(bytes);
        let flips = bench.state.plan.as_ref().unwrap().plan.gestures.len();
        assert!(flips > 3);
        for flip in 0..flips {
            bench.act(DrillIntent::Select(flip).into());
            let looped = bench.state.drill.looped.clone().unwrap();
            let (piece, planned) = (bench.state.piece.clone().unwrap(), bench.state.plan.clone().unwrap());
            let bars = piece.performance.bars()[looped.chunk.first..=looped.chunk.last].iter().map(|bar| bar.bar.get());
            let bars = bars.clone().min().unwrap()..bars.max().unwrap() + 1;
            for page in [Page::OneSystem, Page::Systems(70)] {
                bench.act(
                    ScoreIntent::Draw(Cut { bars: bars.clone(), flips: looped.chunk.gestures.clone(), page }).into(),
                );
                let drawing = drawing(&bench);
                let drilled = Drilled::of(&bench.state).unwrap();
                let model = ScoreModel::of_loop(bench.state.words(), &piece, &planned, &drawing, drilled);
                for room in [vec2(1210.0, 390.0), vec2(1210.0, 230.0), vec2(880.0, 300.0), vec2(1850.0, 700.0)] {
                    let layout = Layout::of_loop(&drawing, model.seam_width(), room);
                    assert!(layout.width() <= room.x + 0.5, "{name}: nothing is cut off at the side");
                    compare(&format!("{name}, flip {flip}"), &bench, &drawing, &layout, &model.systems, &mut seen);
                }
                for (index, system) in model.systems.iter().enumerate() {
                    for note in &system.notes {
                        let (on, x) = model.place_of(&piece, &drawing, &looped, note.from).unwrap();
                        // A note that comes twice in the loop stands there as of its last time.
                        let away = (x - note.across.middle()).abs();
                        let width = note.across.to - note.across.from;
                        assert!(on == index && away < 1.6 * width, "{name}, flip {flip}: {away} away");
                        moments += usize::from(away < 0.05);
                    }
                }
            }
        }
    }
    println!("{} beats, {} flips, {moments} moments on note heads", seen.beats, seen.flips);
    assert!(seen.beats > 300 && seen.flips > 10 && moments > 500);
}

fn window<'a>(theme: egui::Theme) -> Harness<'a, Bench> {
    window_over(theme, opened(demo::PIECE.to_vec()))
}

/// The score has a name, its flips are buttons by their spoken names, and a click selects one.
#[test]
fn flips_on_the_score_can_be_heard_and_clicked() {
    let mut harness = window(egui::Theme::Light);
    assert!(harness.query_by_label_contains("Score of").is_some());
    let engraved = &harness.state().state.score.engraved;
    let first = engraved.request(0, SPACE).unwrap();
    assert!(engraved.picture(&first).is_some(), "the first system's picture is there");
    harness.get_by_label("Show as strings").click();
    harness.run();
    assert!(harness.query_by_label_contains("Score of").is_none());
    harness.get_by_label("Show as notes").click();
    harness.run();
    assert!(harness.query_by_label_contains("Score of").is_some());
}

/// What is typed is drawn as it is typed; while there is a fault the last good drawing stays, and the fault stands under
/// its place.
#[test]
fn typed_notes_are_drawn_as_they_are_typed() {
    use leverlane_app::state::{Draft, DraftWay, Sheet};
    let mut harness = window(egui::Theme::Light);
    harness.state_mut().act(Intent::Switch(Sheet::Paper));
    let mut type_in = |right: &str, left: &str| {
        let draft = Draft { way: DraftWay::Notes, right: right.to_owned(), left: left.to_owned(), ..Draft::default() };
        harness.state_mut().act(FileIntent::ChangeDraft(Box::new(draft)).into());
        harness.run();
        harness.state().state.paper.engraved.drawing().map(Arc::clone)
    };
    let heads = |drawing: &Drawing| drawing.systems.iter().map(|system| system.notes.len()).sum::<usize>();
    let first = type_in("c2 d2 e2 f2 |", "C,8 |").unwrap();
    assert_eq!(heads(&first), 5, "four notes over one");
    let kept = type_in("c2 d2 e2 f2 | ^f4 [g", "C,8 |").unwrap();
    assert!(Arc::ptr_eq(&first, &kept), "the last good drawing stays");
    let second = type_in("c2 d2 e2 f2 | ^f4 g4 |", "C,8 | G,8 |").unwrap();
    assert_eq!(heads(&second), 8);
    type_in("c2 d2 e2 f2 | ^f4 [g4", "C,8 | G,8 |");
    harness.get_by_label("What is typed, drawn: 2 bars, 8 notes");
    harness.get_by_label_contains("Line 1: found ");
    harness.snapshot("paper_drawn_light");
    let results = harness.take_snapshot_results();
    // Back at the open piece its score is drawn again.
    harness.state_mut().act(Intent::CloseSheet);
    harness.run();
    assert!(harness.query_by_label_contains("Score of").is_some());
    let state = &harness.state().state;
    let (piece, planned, drawing) = (state.piece.as_ref(), state.plan.as_ref(), state.score.drawing());
    assert_eq!(heads(drawing.unwrap()), piece.unwrap().score.notes().count());
    let (piece, planned) = (piece.unwrap(), planned.unwrap());
    let is_asked = |spaces| state.score.is_asked(piece, planned, &Cut::whole(piece, planned, spaces));
    assert!((30..=400).any(is_asked), "it was asked for again");
    drop(results);
}
