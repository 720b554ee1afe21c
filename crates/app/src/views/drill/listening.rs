//! The microphone's row: switch, choice, level, what is heard, and the one thing to know about it.

use eframe::egui::{ComboBox, Rect, RichText, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};
use leverlane_listening::{HeardLevel, Route};
use leverlane_sound::capture::LevelWarning;

use crate::intent::{Intent, ListeningIntent};
use crate::keys::Action;
use crate::names;
use crate::state::{Ear, KnownMicrophone, Measuring, Pulse, Sheet, State};
use crate::theme;
use crate::views::Open;
use crate::widgets::{Weight, key_button_ui, muted};

/// The meter's size.
const METER: [f32; 2] = [150.0, 14.0];

/// Whether the microphone is open.
pub fn switch_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let on = state.listening.is_on();
    let label = words.text(if on { "listen-on" } else { "listen" });
    let name = words.text("listen-spoken");
    let response = key_button_ui(ui, &label, &names::hint(state, Action::Listen), &name, Weight::Plain);
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, on, &name));
    if response.clicked() {
        intents.push(ListeningIntent::Switch.into());
    }
}

/// Whether the beat can be seen.
pub fn pulse_switch_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let mut shown = state.settings.pulse == Pulse::Shown;
    let response = ui.checkbox(&mut shown, words.text("pulse"));
    let name = words.text("pulse-spoken");
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, shown, &name));
    if response.changed() {
        intents.push(ListeningIntent::SwitchPulse.into());
    }
    ui.label(muted(ui, names::hint(state, Action::Pulse)).font(theme::text(15.0)));
}

/// The row while the microphone is open, or can't be.
pub fn listening_ui(open: Open<'_>, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let state = open.state;
    let desk = &state.listening;
    if desk.ear == Ear::Closed {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        choice_ui(state, ui, intents);
        headphones_ui(state, ui, intents);
        if let Some(level) = &desk.level {
            meter_ui(state, level, ui);
        }
        if desk.ear == Ear::Open {
            strings_ui(open, ui);
        }
        if desk.is_on() {
            ui.label(muted(ui, state.words().text("listen-nothing-kept")));
        }
    });
    let (told, weight) = to_know(state);
    if told.is_empty() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        let ink = match weight {
            Weight::Main => theme::palette(ui).alarm,
            Weight::Plain => theme::palette(ui).ink,
        };
        ui.label(RichText::new(told).color(ink));
        if desk.can_measure() && (desk.latency.is_none() || matches!(desk.measuring, Measuring::Failed(_))) {
            let label = state.words().text("latency-measure");
            if key_button_ui(ui, &label, "", &label, Weight::Plain).clicked() {
                intents.push(ListeningIntent::Measure.into());
            }
            if desk.can_tap() {
                let label = state.words().text("latency-tap");
                let key = names::hint(state, Action::TapAlong);
                if key_button_ui(ui, &label, &key, &label, Weight::Plain).clicked() {
                    intents.push(Intent::Switch(Sheet::TapAlong));
                }
            }
        }
    });
}

/// The microphone where no drill is listened to: which it is, how loud it hears, and what keeps it from hearing.
pub fn ear_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    ui.horizontal_wrapped(|ui| {
        if !state.listening.is_on() {
            switch_ui(state, ui, intents);
        }
        if state.listening.ear != Ear::Closed {
            choice_ui(state, ui, intents);
        }
        if let Some(level) = &state.listening.level {
            meter_ui(state, level, ui);
        }
        if let Some((told, weight)) = ear_to_know(state) {
            let palette = theme::palette(ui);
            ui.label(RichText::new(told).color(if weight == Weight::Main { palette.alarm } else { palette.muted }));
        } else if state.listening.is_on() {
            ui.label(muted(ui, state.words().text("listen-nothing-kept")));
        }
    });
}

/// What is heard, in short, for the time while she plays.
pub fn heard_ui(open: Open<'_>, ui: &mut Ui) {
    let desk = &open.state.listening;
    if desk.ear == Ear::Open {
        if let Some(level) = &desk.level {
            meter_ui(open.state, level, ui);
        }
        strings_ui(open, ui);
    }
}

/// What keeps her from being heard, for the time while she plays.
pub fn warning_ui(state: &State, ui: &mut Ui) {
    if let (told, Weight::Main) = to_know(state) {
        ui.label(RichText::new(told).color(theme::palette(ui).alarm));
    }
}

fn choice_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let usual = words.text("microphone-usual");
    let chosen = state.settings.ears.microphone.as_ref();
    let shown = chosen.map_or_else(|| usual.clone(), |known| known.shown.clone());
    let combo = ComboBox::from_id_salt("microphone").width(210.0).truncate().selected_text(&shown).show_ui(ui, |ui| {
        if ui.selectable_label(chosen.is_none(), &usual).clicked() {
            intents.push(ListeningIntent::UseMicrophone(None).into());
        }
        for microphone in &state.listening.microphones {
            let is_chosen = chosen.is_some_and(|known| known.id == microphone.id());
            if ui.selectable_label(is_chosen, microphone.shown()).clicked() {
                let (id, shown) = (microphone.id().to_owned(), microphone.shown().to_owned());
                intents.push(ListeningIntent::UseMicrophone(Some(KnownMicrophone { id, shown })).into());
            }
        }
        if ui.button(words.text("microphone-look")).clicked() {
            intents.push(ListeningIntent::LookForMicrophones.into());
        }
        if state.listening.can_measure() && ui.button(words.text("latency-again")).clicked() {
            intents.push(ListeningIntent::Measure.into());
        }
        if state.listening.can_tap() && ui.button(words.text("taps")).clicked() {
            intents.push(Intent::Switch(Sheet::TapAlong));
        }
    });
    let name = words.with("microphone-spoken", [("microphone", shown.into())]);
    combo.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
}

fn headphones_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let mut worn = state.settings.ears.route == Route::Headphones;
    let response = ui.checkbox(&mut worn, words.text("headphones"));
    let name = words.text("headphones-spoken");
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, worn, &name));
    if response.changed() {
        intents.push(ListeningIntent::SwitchHeadphones.into());
    }
}

/// How loud it is, and with a stroke how loud the room is between the notes.
fn meter_ui(state: &State, level: &HeardLevel, ui: &mut Ui) {
    let words = state.words();
    let (rect, response) = ui.allocate_exact_size(METER.into(), Sense::hover());
    let decibels = words.number(f64::from(level.peak.get().round()));
    let spoken = words.with("level-spoken", [("level", decibels.into())]);
    response.widget_info(|| WidgetInfo::labeled(Role::Meter, true, &spoken));
    let palette = theme::palette(ui);
    let clipped = level.warnings.contains(&LevelWarning::Clipping);
    let ink = if clipped { palette.alarm } else { palette.accent };
    let x = |part: f32| rect.left() + rect.width() * part;
    let filled = Rect::from_min_max(rect.min, pos2(x(level.peak.on_meter()), rect.bottom()));
    ui.painter().rect_filled(filled, 2.0, ink);
    if let Some(floor) = level.floor {
        let x = x(floor.on_meter());
        ui.painter().line_segment([pos2(x, rect.top()), pos2(x, rect.bottom())], Stroke::new(2.0, palette.ink));
    }
    ui.painter().rect_stroke(rect, 2.0, Stroke::new(1.0, palette.muted), StrokeKind::Inside);
}

/// The strings that were heard of late, by name.
fn strings_ui(open: Open<'_>, ui: &mut Ui) {
    let words = open.state.words();
    let setting = open.state.drill.looped.as_ref().map_or(&open.planned.plan.start, |looped| &looped.chunk.start);
    let strings = &open.state.listening.strings;
    let named = strings.iter().filter_map(|string| names::heard_string(&open.planned.harp, setting, string.note));
    let named: Vec<String> = named.map(|pitch| words.pitch(pitch)).collect();
    ui.label(muted(ui, words.text("heard")));
    // Always the same room, so that nothing else moves.
    let (rect, response) = ui.allocate_exact_size(vec2(210.0, 22.0), Sense::hover());
    let shown = named.join("  ");
    let spoken = words.with("heard-spoken", [("strings", named.join(", ").into())]);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &spoken));
    let ink = theme::palette(ui).accent;
    let at = rect.left_center();
    ui.painter_at(rect).text(at, eframe::egui::Align2::LEFT_CENTER, shown, theme::strong(19.0), ink);
}

/// What keeps the microphone from hearing well, and how pressing it is; none where nothing does.
fn ear_to_know(state: &State) -> Option<(String, Weight)> {
    let words = state.words();
    let level = state.listening.level.as_ref();
    Some(match &state.listening.ear {
        Ear::Closed => return None,
        Ear::Opening => (words.text("ear-opening"), Weight::Plain),
        Ear::Lost(loss) => (names::loss(words, *loss), Weight::Main),
        Ear::Refused(error) => (names::refusal(words, error), Weight::Main),
        Ear::NoSound => (words.text("ear-no-sound"), Weight::Main),
        Ear::NoThread => (words.text("ear-no-thread"), Weight::Main),
        Ear::Open => {
            let warning = level.and_then(|level| level.warnings.first())?;
            (names::level_warning(words, *warning), Weight::Main)
        }
    })
}

/// The one thing to know, and how pressing it is.
fn to_know(state: &State) -> (String, Weight) {
    let words = state.words();
    let desk = &state.listening;
    match desk.ear {
        Ear::Closed => return (String::new(), Weight::Plain),
        Ear::Open => {}
        _ => return ear_to_know(state).unwrap_or((String::new(), Weight::Plain)),
    }
    if let Measuring::Running(played) = desk.measuring {
        return (words.with("latency-running", [("played", played.into())]), Weight::Plain);
    }
    if let Some(told) = ear_to_know(state) {
        return told;
    }
    match (desk.measuring, desk.latency, desk.trouble) {
        (Measuring::Failed(error), _, _) => (names::latency_error(words, error), Weight::Main),
        (_, None, _) if state.settings.ears.route == Route::Headphones => {
            (words.text("latency-unknown-headphones"), Weight::Plain)
        }
        (_, None, _) => (words.text("latency-unknown"), Weight::Plain),
        (_, Some(_), Some(trouble)) => (names::clock_trouble(words, trouble), Weight::Plain),
        (_, Some(_), None) => (String::new(), Weight::Plain),
    }
}
