//! The window's wiring: results in, keys in, views out, intents applied, effects started.

use leverlane_formats::said;
use std::ffi::OsString;
use std::path::PathBuf;
use std::time::Duration;

use eframe::egui;

use crate::apply::apply;
use crate::effects::{self, Effect, Executor, Folders, settings_file};
use crate::intent::{DrillIntent, FileIntent, Intent, MidiIntent, PracticeIntent};
use crate::shortcuts;
use crate::state::{Colours, Filling, Notice, Origin, State, WindowPlace};
use crate::theme;
use crate::views::{self, ViewState};

/// While something plays the window is drawn at most 60 times a second.
const FRAME: Duration = Duration::from_micros(16_667);
/// Without a graphics processor every picture costs the processor that also makes the sound: 30 times a second then.
const FRAME_IN_SOFTWARE: Duration = Duration::from_micros(33_333);

const NAME: &str = "Leverlane";

/// What to open with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Start {
    /// The welcome page.
    Empty,
    /// A piece.
    With(Origin),
}

/// Arguments that can't be followed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Usage {
    /// More than one file.
    TooMany,
    /// An option that doesn't exist.
    UnknownOption,
}

impl std::fmt::Display for Usage {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let what = match self {
            Usage::TooMany => "more than one file",
            Usage::UnknownOption => "an unknown option",
        };
        write!(f, "leverlane: found {what}; expected leverlane [FILE | --demo]")
    }
}

impl Start {
    /// From the command line: nothing, a file's name, or `--demo`.
    ///
    /// # Errors
    /// More than one argument, or an option that doesn't exist.
    pub fn from_arguments(arguments: impl IntoIterator<Item = OsString>) -> Result<Start, Usage> {
        let mut arguments = arguments.into_iter();
        let start = match arguments.next() {
            None => Start::Empty,
            Some(option) if option == "--demo" => Start::With(Origin::Demo),
            Some(option) if option.to_string_lossy().starts_with("--") => return Err(Usage::UnknownOption),
            Some(file) => Start::With(Origin::File(PathBuf::from(file))),
        };
        if arguments.next().is_some() { Err(Usage::TooMany) } else { Ok(start) }
    }
}

/// Opens the window and stays until it is closed.
///
/// # Errors
/// No display, or no way to draw on it.
pub fn run(start: Start) -> eframe::Result {
    let folders = Folders::of_platform();
    // A file that can't be read is told of in the window.
    let known = folders.as_ref().and_then(|folders| settings_file::read(&folders.settings_file()).ok()?.window);
    let centered = known.is_none_or(|place| place.corner.is_none());
    let options = eframe::NativeOptions { viewport: viewport(known), centered, ..Default::default() };
    eframe::run_native(
        NAME,
        options,
        Box::new(|creation| {
            let mut app = App::new(&creation.egui_ctx, start, folders);
            if draws_in_software(creation) {
                app.frame = FRAME_IN_SOFTWARE;
            }
            Ok(Box::new(app))
        }),
    )
}

/// The smallest window in which nothing is cut off.
const LEAST_SIZE: [f32; 2] = [960.0, 680.0];

/// The window as it was left, or of its usual size.
fn viewport(known: Option<WindowPlace>) -> egui::ViewportBuilder {
    let usual = WindowPlace { size: [1280.0, 800.0], corner: None, filling: Filling::OwnSize };
    let WindowPlace { size, corner, filling } = known.unwrap_or(usual);
    let fits = |side: f32, least: f32| if side.is_finite() { side.clamp(least, 16_384.0) } else { least };
    let mut viewport = egui::ViewportBuilder::default()
        .with_title(NAME)
        .with_app_id("leverlane")
        .with_inner_size([fits(size[0], LEAST_SIZE[0]), fits(size[1], LEAST_SIZE[1])])
        .with_min_inner_size(LEAST_SIZE)
        .with_maximized(filling == Filling::Screen);
    if let Some(corner) = corner.filter(|corner| corner.iter().all(|side| side.is_finite())) {
        viewport = viewport.with_position(corner);
    }
    viewport
}

/// The window's place now; of one that fills the screen the size that it had before. None while it isn't to be seen.
fn window_place(window: &egui::ViewportInfo, before: Option<WindowPlace>) -> Option<WindowPlace> {
    if window.minimized == Some(true) {
        return before;
    }
    let now = WindowPlace {
        size: window.inner_rect?.size().into(),
        corner: window.outer_rect.map(|frame| frame.min.into()),
        filling: Filling::OwnSize,
    };
    match window.maximized {
        Some(true) => Some(WindowPlace { filling: Filling::Screen, ..before.unwrap_or(now) }),
        _ => Some(now),
    }
}

fn draws_in_software(creation: &eframe::CreationContext<'_>) -> bool {
    let kind = creation.wgpu_render_state.as_ref().map(|graphics| graphics.adapter.get_info().device_type);
    kind == Some(eframe::wgpu::DeviceType::Cpu)
}

/// The window.
pub struct App {
    state: State,
    views: ViewState,
    executor: Executor,
    /// From one picture to the next while something plays.
    frame: Duration,
    /// What the window is called.
    title: String,
    /// The colours that the window has been given.
    colours: Colours,
}

impl App {
    /// The window as it opens.
    pub fn new(context: &egui::Context, start: Start, folders: Option<Folders>) -> App {
        theme::install(context);
        let mut state = State::default();
        if let Some(folders) = &folders {
            match settings_file::read(&folders.settings_file()) {
                Ok(settings) => state.settings = settings,
                Err(reason) => state.notice = Some(Notice::error(state.words().said(&reason))),
            }
        }
        context.set_theme(preference(state.settings.colours));
        let mut app = App {
            colours: state.settings.colours,
            state,
            views: ViewState::default(),
            executor: Executor::new(context, folders),
            frame: FRAME,
            title: NAME.to_owned(),
        };
        app.carry_out(PracticeIntent::Now(effects::now()).into());
        if let Some(pedal) = app.state.settings.midi_pedal.clone() {
            app.carry_out(MidiIntent::Use(Some(pedal)).into());
        }
        if let Start::With(origin) = start {
            app.carry_out(FileIntent::Open(origin).into());
        }
        app
    }

    /// What the window knows, for tests to look at.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// The window is called after its piece.
    fn show_title(&mut self, context: &egui::Context) {
        let title = self.state.piece.as_ref().map_or_else(
            || NAME.to_owned(),
            |piece| {
                let changed = if self.state.has_unsaved_changes() { "* " } else { "" };
                format!("{changed}{} – {NAME}", piece.title(self.state.words()))
            },
        );
        if title != self.title {
            context.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    /// Keeps the window's place for the next time.
    fn keep_place(&mut self, context: &egui::Context) {
        let before = self.state.settings.window;
        self.state.settings.window = context.input(|input| window_place(input.viewport(), before));
        if self.state.settings.window != before {
            self.executor.run(Effect::KeepSettings(Box::new(self.state.settings.clone())));
        }
    }

    fn carry_out(&mut self, intent: Intent) {
        for effect in apply(&mut self.state, intent) {
            self.executor.run(effect);
        }
    }
}

impl eframe::App for App {
    fn logic(&mut self, context: &egui::Context, _frame: &mut eframe::Frame) {
        for intent in self.executor.results() {
            self.carry_out(intent);
        }
        let now = effects::now();
        if now != self.state.now {
            self.carry_out(PracticeIntent::Now(now).into());
        }
        if let Some(place) = self.executor.place() {
            self.carry_out(DrillIntent::Moved(place).into());
        }
        if self.state.drill.transport.is_playing() {
            context.request_repaint_after(self.frame);
        }
        self.show_title(context);
        if self.colours != self.state.settings.colours {
            self.colours = self.state.settings.colours;
            context.set_theme(preference(self.colours));
        }
        let closing = context.input(|input| input.viewport().close_requested());
        if closing {
            self.keep_place(context);
        }
        if closing && self.state.has_unsaved_changes() && !self.executor.is_closing() {
            context.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            self.carry_out(FileIntent::Close.into());
            context.request_repaint();
        }
    }

    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        let mut intents = shortcuts::read(ui, &self.state);
        intents.extend(dropped_files(ui));
        intents.extend(views::view(&self.state, &mut self.views, ui));
        let acted = !intents.is_empty();
        for intent in intents {
            self.carry_out(intent);
        }
        if acted {
            // What was just changed is not in the picture yet.
            ui.ctx().request_repaint();
        }
    }
}

fn preference(colours: Colours) -> egui::ThemePreference {
    match colours {
        Colours::AsSystem => egui::ThemePreference::System,
        Colours::Light => egui::ThemePreference::Light,
        Colours::Dark => egui::ThemePreference::Dark,
    }
}

/// A file with a name that can be opened is read by its reader; other drops bring their bytes along.
fn dropped_files(ui: &egui::Ui) -> Option<Intent> {
    let dropped = ui.ctx().input(|input| input.raw.dropped_files.first().cloned())?;
    let path = dropped.path();
    if path.exists() {
        return Some(FileIntent::Open(Origin::File(path.to_owned())).into());
    }
    let name = path.display().to_string();
    Some(match dropped.bytes() {
        Ok(bytes) => FileIntent::OpenBytes { name, bytes: bytes.into() }.into(),
        Err(reason) => Intent::Trouble(said!(
            "{name}: {reason}; open the file by its name instead",
            name,
            reason = reason.to_string()
        )),
    })
}
