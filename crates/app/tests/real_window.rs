//! The program itself in a real window on a virtual screen, worked by keys, by a pedal, and by the mouse alone. Leaves pictures in the build folder.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::ffi::OsString;
use std::fs;
use std::io::Read;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};

use eframe::egui;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use leverlane_app::app::{App, Start};
use leverlane_app::apply::make_loop;
use leverlane_app::demo;
use leverlane_app::effects::{PlanOrder, make_plan, read_piece};
use leverlane_app::state::{Loop, Origin};
use leverlane_core::drill::{ChunkSize, Cue, GoalHeld, LadderPlan, Layer, RungStep, Scheme};
use leverlane_core::plan::PaceLevel;
use leverlane_core::time::{ScoreTime, Tempo, Ticks};
use leverlane_diary::Diary;
use leverlane_formats::documents::{Lesson, LessonChunk, Piece, Source};

/// How long anything may take to appear; generous, since the machine may be busy.
const PATIENCE: Duration = Duration::from_secs(90);

/// What has not moved for so long stands where it is to be.
const STILL: Duration = Duration::from_secs(1);

/// A process that ends with the test.
struct Ended(Child);

impl Drop for Ended {
    fn drop(&mut self) {
        // It may have ended by itself already.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

struct Screen {
    display: String,
    _server: Ended,
}

impl Screen {
    fn open(runtime: &Path) -> Screen {
        // Without `-noreset` the server starts anew whenever its last client leaves, as each question of `xdotool` does, and
        // turns the program away that comes in that moment.
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "1280x800x24", "-nolisten", "tcp", "-noreset"])
            .env("XDG_RUNTIME_DIR", runtime)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // The server writes the number of its display once it is ready.
        let mut out = server.stdout.take().unwrap();
        let mut number = String::new();
        let mut byte = [0];
        while out.read(&mut byte).unwrap() == 1 && byte[0] != b'\n' {
            number.push(char::from(byte[0]));
        }
        Screen { display: format!(":{number}"), _server: Ended(server) }
    }

    fn command(&self, program: &str, arguments: &[&str]) -> Output {
        Command::new(program).args(arguments).env("DISPLAY", &self.display).output().unwrap()
    }

    fn picture(&self) -> Vec<u8> {
        self.command("import", &["-window", "root", "-depth", "8", "rgb:-"]).stdout
    }

    /// The picture once it differs from another one by more than a share of its pixels, and stands still: what is drawn in
    /// the background comes a moment later.
    fn at_rest_beside(&self, before: &[u8], share: f64) -> Vec<u8> {
        let mut seen = (Vec::new(), 0);
        self.wait_for("another picture", || {
            let now = self.picture();
            seen = if now == seen.0 { (now, seen.1 + 1) } else { (now, 0) };
            let pixels = seen.0.chunks_exact(3).zip(before.chunks_exact(3));
            let others = pixels.filter(|(now, before)| now != before).count();
            let is_other = before.is_empty() || others as f64 > share * (before.len() / 3) as f64;
            (is_other && seen.1 >= 4 && colours(&seen.0) > 20).then(|| seen.0.clone())
        })
    }

    /// Repeats a question until it is answered.
    fn wait_for<T>(&self, what: &str, mut ask: impl FnMut() -> Option<T>) -> T {
        let deadline = Instant::now() + PATIENCE;
        loop {
            if let Some(answer) = ask() {
                return answer;
            }
            assert!(Instant::now() < deadline, "waited in vain for {what}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }
}

fn is_installed(program: &str) -> bool {
    Command::new("which").arg(program).stdout(Stdio::null()).status().is_ok_and(|status| status.success())
}

/// How many colours a picture has: an empty window has few, drawn text many.
fn colours(picture: &[u8]) -> usize {
    let mut seen: Vec<&[u8]> = picture.chunks_exact(3).collect();
    seen.sort_unstable();
    seen.dedup();
    seen.len()
}

/// What opens, drives and pictures a window here.
const TOOLS: [&str; 3] = ["Xvfb", "xdotool", "import"];

/// The program in a window of its own, with folders of its own.
struct Program {
    screen: Screen,
    process: Ended,
    /// Where it keeps its files.
    runtime: PathBuf,
}

impl Program {
    /// Starts it and gives its window the keys; none where a tool is missing.
    fn start(name: &str, arguments: impl FnOnce(&Path) -> Vec<OsString>) -> Option<Program> {
        if !TOOLS.into_iter().all(is_installed) {
            return None;
        }
        let runtime = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}-{}", std::process::id()));
        fs::create_dir_all(&runtime).unwrap();
        fs::set_permissions(&runtime, fs::Permissions::from_mode(0o700)).unwrap();
        let screen = Screen::open(&runtime);
        let words = runtime.join("stderr.txt");
        let mut process = Ended(
            Command::new(env!("CARGO_BIN_EXE_leverlane"))
                .args(arguments(&runtime))
                .env("DISPLAY", &screen.display)
                .env("XDG_RUNTIME_DIR", &runtime)
                .env("XDG_CONFIG_HOME", &runtime)
                .env("XDG_DATA_HOME", &runtime)
                .env_remove("WAYLAND_DISPLAY")
                .stderr(fs::File::create(&words).unwrap())
                .spawn()
                .unwrap(),
        );
        let window = screen.wait_for("the window", || {
            if let Some(status) = process.0.try_wait().unwrap() {
                panic!("the program ended ({status}): {}", fs::read_to_string(&words).unwrap());
            }
            let found = screen.command("xdotool", &["search", "--onlyvisible", "--name", "Leverlane$"]);
            String::from_utf8(found.stdout).unwrap().lines().next().map(str::to_owned)
        });
        screen.command("xdotool", &["windowfocus", "--sync", &window]);
        Some(Program { screen, process, runtime })
    }

    fn click(&self, at: egui::Pos2) {
        let [x, y] = [at.x, at.y].map(|side| format!("{side:.0}"));
        self.screen.command("xdotool", &["mousemove", &x, &y, "click", "1"]);
    }

    fn press(&self, key: &str) {
        self.screen.command("xdotool", &["key", key]);
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        // Whatever is left behind lies in the build folder.
        let _ = fs::remove_dir_all(&self.runtime);
    }
}

/// A lesson on the demo's second flip, its loop, and when in it the flip is made: one rung at a tempo at which a tap is on its beat for more than half a second.
fn lesson() -> (Lesson, Loop, Ticks) {
    let piece = read_piece(Origin::Demo, demo::PIECE).unwrap();
    let written = piece.performance.tempo().opening();
    let slow = Tempo::beats(written.beat(), 30.0).unwrap();
    let order = PlanOrder {
        piece: Arc::new(piece.clone()),
        harp: demo::harp().harp(),
        pace: PaceLevel::Beginner.into(),
        goal: slow,
        edits: Vec::new(),
    };
    let planned = make_plan(&order);
    let flip = planned.plan.gestures[1].flips[0].name(&piece.performance);
    let chunk = LessonChunk {
        flip,
        size: ChunkSize::FlipBar,
        layer: Layer::Both,
        ladder: LadderPlan::new(slow, slow, written, RungStep::Beats(5.0), 2, Scheme::Climb).unwrap(),
    };
    let source = Source::Inside { name: "greensleeves.musicxml".into(), bytes: demo::PIECE.to_vec(), tune: 0 };
    let piece_document = Piece {
        tempo: Some(slow),
        pace: PaceLevel::Beginner.into(),
        ..Piece::new("Greensleeves", source, demo::harp())
    };
    let lesson =
        Lesson { title: "Second flip".into(), note: String::new(), piece: piece_document, chunks: vec![chunk] };
    let looped = make_loop(&piece, &planned, Some(1), ChunkSize::FlipBar, slow, PaceLevel::Beginner.into()).unwrap();
    let flip = looped.gestures(&planned.plan).find(|placed| placed.cue == Cue::Planned(1)).unwrap().at;
    (lesson, looped, flip)
}

/// From a lesson file that is opened with the program to a finished rung, by one pedal alone: it starts the loop, and tells
/// each flip on its beat.
#[test]
fn a_lesson_is_finished_by_a_pedal_in_a_real_window() {
    let (lesson, looped, flip) = lesson();
    let Some(program) = Program::start("lesson", |folder| {
        let file = folder.join("lesson.ron");
        fs::write(&file, lesson.write().unwrap()).unwrap();
        vec![file.into()]
    }) else {
        println!("skipped: needs {TOOLS:?}");
        return;
    };
    let Program { screen, runtime, .. } = &program;
    let diary = runtime.join("leverlane/diary/diary.sqlite");
    let clean = || {
        let diary = Diary::open(&diary).ok()?;
        let flip = diary.all_flips().ok()?.first()?.flip.id;
        let days = diary.flip_days(flip).ok()?;
        days.iter().any(|day| day.practice.goal_held == GoalHeld::Held).then_some(days)
    };
    // The ladder's words are there once the picture is rich in colours and stands still.
    let mut last = Vec::new();
    screen.wait_for("the lesson", || {
        let now = screen.picture();
        let stands = now == last && colours(&now) > 200;
        last = now;
        stands.then_some(())
    });
    let timeline = &looped.timeline;
    let seconds = |ticks: Ticks| timeline.tempo.seconds_at(ScoreTime::from_start(ticks)).get();
    let count_in = timeline.tempo.opening().lasting(timeline.count_in_length).get();
    let started = Instant::now();
    program.press("Page_Down");
    let days = (0..20).find_map(|pass| {
        let at = count_in + f64::from(pass) * seconds(timeline.length) + seconds(flip);
        // Her foot keeps the time; nothing is waited for by it.
        std::thread::sleep(Duration::from_secs_f64(at).saturating_sub(started.elapsed()));
        if let Some(days) = clean() {
            return Some(days);
        }
        program.press("Page_Down");
        None
    });
    let days = days.expect("twice clean in a row within twenty passes");
    assert!(days[0].clean >= 2, "{days:?}");
}

/// A real window under a virtual screen, driven by keys, with a picture kept.
#[test]
fn the_demo_is_looped_by_keys_in_a_real_window() {
    let Some(mut program) = Program::start("demo", |_| vec!["--demo".into()]) else {
        println!("skipped: needs {TOOLS:?}");
        return;
    };
    let screen = &program.screen;
    // The strip and the lists are there once the picture is rich in colours and stands still.
    let mut last = Vec::new();
    let at_rest = screen.wait_for("the demo's strip", || {
        let now = screen.picture();
        let stands = now == last && colours(&now) > 300;
        last = now;
        stands.then(|| last.clone())
    });

    let press = |key: &str| program.press(key);
    press("Page_Down");
    let second_flip = screen.wait_for("the second flip", || Some(screen.picture()).filter(|now| *now != at_rest));
    press("space");
    let in_the_drill = screen.wait_for("the Drill", || Some(screen.picture()).filter(|now| *now != second_flip));
    press("space");
    let mut pictures = vec![in_the_drill];
    screen.wait_for("the strip to move", || {
        let now = screen.picture();
        if pictures.last() != Some(&now) {
            pictures.push(now);
        }
        (pictures.len() >= 5).then_some(())
    });
    let kept = Path::new(env!("CARGO_TARGET_TMPDIR")).join("real-window.png");
    screen.command("import", &["-window", "root", kept.to_str().unwrap()]);
    println!("the window's picture: {}", kept.display());
    press("space");
    let mut last = Vec::new();
    screen.wait_for("the strip to stand still", || {
        let now = screen.picture();
        let stands = now == last;
        last = now;
        stands.then_some(())
    });
    assert!(program.process.0.try_wait().unwrap().is_none(), "the program still runs");
    assert!(fs::metadata(&kept).unwrap().len() > 10_000);
}

/// The same window without a screen, in which the controls are found by their names: where they stand there they stand in
/// the real one.
struct Mirror(Harness<'static, App>);

impl Mirror {
    fn open() -> Mirror {
        let open = |creation: &mut eframe::CreationContext<'_>| App::new(&creation.egui_ctx, Start::Empty, None);
        Mirror(Harness::builder().with_size([1280.0, 800.0]).build_eframe(open))
    }

    /// Clicks on the control of a name once it stands still, and tells where that was.
    fn click(&mut self, label: &str) -> egui::Pos2 {
        let deadline = Instant::now() + PATIENCE;
        let mut last: Option<(egui::Rect, Instant)> = None;
        loop {
            self.0.step();
            let now = self.0.query_all_by_label_contains(label).next().map(|control| control.rect());
            last = match (now, last) {
                (Some(rect), Some((before, since))) if rect == before => Some((before, since)),
                (now, _) => now.map(|rect| (rect, Instant::now())),
            };
            if let Some((rect, _)) = last.filter(|(_, since)| since.elapsed() > STILL) {
                self.0.query_all_by_label_contains(label).next().unwrap().click();
                self.0.step();
                self.0.step();
                return rect.center();
            }
            assert!(Instant::now() < deadline, "waited in vain for {label}");
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

/// From the welcome page to a loop that sounds and stops, by the mouse alone.
#[test]
fn the_demo_is_looped_by_the_mouse_in_a_real_window() {
    let Some(mut program) = Program::start("mouse", |_| Vec::new()) else {
        println!("skipped: needs {TOOLS:?}");
        return;
    };
    let screen = &program.screen;
    let mut mirror = Mirror::open();
    let welcome = screen.at_rest_beside(&[], 0.0);
    program.click(mirror.click("Try the demo piece"));
    let piece = screen.at_rest_beside(&welcome, 0.1);
    // The second flip of the list.
    program.click(mirror.click("G 4 down, left hand, bar 5, beat 2½, up to"));
    let second = screen.at_rest_beside(&piece, 0.005);
    program.click(mirror.click("Drill the flip G 4 down"));
    screen.at_rest_beside(&second, 0.1);
    let start = mirror.click("Start the loop");
    program.click(start);
    let mut pictures = vec![screen.picture()];
    screen.wait_for("the loop to move", || {
        let now = screen.picture();
        if pictures.last() != Some(&now) {
            pictures.push(now);
        }
        (pictures.len() >= 5).then_some(())
    });
    let kept = Path::new(env!("CARGO_TARGET_TMPDIR")).join("real-window-mouse.png");
    screen.command("import", &["-window", "root", kept.to_str().unwrap()]);
    println!("the window's picture: {}", kept.display());
    let playing = screen.picture();
    program.click(start);
    screen.at_rest_beside(&playing, 0.0);
    assert!(program.process.0.try_wait().unwrap().is_none(), "the program still runs");
}
