//! The whole program with its threads, without a screen: opened with a file, given bad ones, and dropped on.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use eframe::egui;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use leverlane_app::app::{App, Start, Usage};
use leverlane_app::effects::{Folders, settings_file};
use leverlane_app::state::{Filling, Origin, Question, State, WindowPlace};

/// How long the threads may take; generous, since the machine may be busy.
const PATIENCE: Duration = Duration::from_secs(60);

fn program<'a>(start: Start) -> Harness<'a, App> {
    Harness::builder().with_size([1280.0, 800.0]).build_eframe(|creation| App::new(&creation.egui_ctx, start, None))
}

fn wait_for<T>(harness: &mut Harness<'_, App>, mut answer: impl FnMut(&State) -> Option<T>) -> T {
    let deadline = Instant::now() + PATIENCE;
    loop {
        harness.step();
        if let Some(found) = answer(harness.state().state()) {
            return found;
        }
        assert!(Instant::now() < deadline, "waited in vain; the notice is {:?}", harness.state().state().notice);
        std::thread::yield_now();
    }
}

fn file(path: &Path) -> Start {
    Start::With(Origin::File(path.to_owned()))
}

fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name)
}

#[test]
fn a_named_file_is_opened_and_planned() {
    let mut harness = program(file(&demo("auld-lang-syne.musicxml")));
    let title = wait_for(&mut harness, |state| {
        state.plan.as_ref().and(state.piece.as_ref()).map(|piece| piece.title(state.words()))
    });
    assert_eq!(title, "Auld Lang Syne");
    assert!(harness.state().state().drill.looped.is_some());
}

/// Bad input, each with a one-line error that says which file, what is wrong and what to do.
#[test]
fn bad_files_are_refused_in_one_line() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("bad files");
    fs::create_dir_all(&folder).unwrap();
    let write = |name: &str, bytes: &[u8]| {
        let path = folder.join(name);
        fs::write(&path, bytes).unwrap();
        path
    };
    let bad = [
        folder.clone(),
        folder.join("missing.musicxml"),
        write("empty.musicxml", b""),
        write("words.txt", b"This is no music."),
        write("cut.musicxml", b"<?xml version=\"1.0\"?><score-partwise><part-list>"),
        write("bomb.xml", b"<!DOCTYPE a [<!ENTITY b \"c\">]><score-partwise>&b;</score-partwise>"),
    ];
    for path in bad {
        let mut harness = program(file(&path));
        let text = wait_for(&mut harness, |state| state.notice.clone()).text;
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        assert!(text.contains(&name) && !text.contains('\n') && text.contains("; "), "{}: {text}", path.display());
        assert!(harness.state().state().piece.is_none());
    }
    fs::remove_dir_all(&folder).unwrap();
}

#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        fs::read(&self.0).map_err(|error| error.to_string())
    }
}

#[test]
fn a_file_dropped_on_the_window_is_opened() {
    let mut harness = program(Start::Empty);
    harness.step();
    assert!(harness.state().state().piece.is_none());
    harness.input_mut().dropped_files.push(Arc::new(Dropped(demo("greensleeves.musicxml"))));
    let origin = wait_for(&mut harness, |state| state.piece.as_ref().map(|piece| piece.origin.clone()));
    assert_eq!(origin, Origin::Demo, "the demo is known by its bytes");
}

/// Closing asks about what isn't saved; once it may close, the window's place is kept and comes back.
#[test]
fn closing_asks_first_and_keeps_the_window_s_place() {
    let folder = tempfile::tempdir().unwrap();
    let folders = Folders::inside(folder.path());
    let start = || Start::With(Origin::Demo);
    let mut harness = Harness::builder()
        .with_size([1280.0, 800.0])
        .build_eframe(|creation| App::new(&creation.egui_ctx, start(), Some(folders.clone())));
    wait_for(&mut harness, |state| state.plan.clone());
    harness.key_press(egui::Key::P);
    harness.step();
    assert!(harness.state().state().has_unsaved_changes());
    let close = |harness: &mut Harness<'_, App>| {
        let window = harness.input_mut().viewports.get_mut(&egui::ViewportId::ROOT).unwrap();
        let corner = egui::pos2(60.0, 40.0);
        window.inner_rect = Some(egui::Rect::from_min_size(corner, egui::vec2(1100.0, 750.0)));
        window.outer_rect = Some(egui::Rect::from_min_size(corner, egui::vec2(1110.0, 780.0)));
        window.events.push(egui::ViewportEvent::Close);
        harness.step();
        harness.output().viewport_output[&egui::ViewportId::ROOT].commands.clone()
    };
    let commands = close(&mut harness);
    assert!(commands.contains(&egui::ViewportCommand::CancelClose), "{commands:?}");
    assert!(matches!(harness.state().state().question, Some(Question::SaveFirst(_))));
    harness.step();
    harness.get_by_label("Don’t save").click();
    harness.step();
    let closing = |harness: &Harness<'_, App>| {
        let commands = &harness.output().viewport_output[&egui::ViewportId::ROOT].commands;
        commands.contains(&egui::ViewportCommand::Close)
    };
    let asked_to_close = (0..4).any(|_| {
        let found = closing(&harness);
        harness.step();
        found
    });
    assert!(asked_to_close);
    let commands = close(&mut harness);
    assert!(!commands.contains(&egui::ViewportCommand::CancelClose), "{commands:?}");
    drop(harness);
    let kept = settings_file::read(&folders.settings_file()).unwrap().window.unwrap();
    let place = WindowPlace { size: [1100.0, 750.0], corner: Some([60.0, 40.0]), filling: Filling::OwnSize };
    assert_eq!(kept, place);
}

#[test]
fn arguments_are_one_file_or_nothing() {
    let start = |arguments: &[&str]| Start::from_arguments(arguments.iter().map(Into::into));
    assert_eq!(start(&[]), Ok(Start::Empty));
    assert_eq!(start(&["--demo"]), Ok(Start::With(Origin::Demo)));
    assert_eq!(start(&["a piece.mxl"]), Ok(Start::With(Origin::File("a piece.mxl".into()))));
    assert_eq!(start(&["a", "b"]), Err(Usage::TooMany));
    assert_eq!(start(&["--loud"]), Err(Usage::UnknownOption));
}
