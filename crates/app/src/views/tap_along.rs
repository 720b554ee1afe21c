//! The page on which the latency is measured by the player's taps: one thing to do in large words, a dot for each click, and
//! how much the result can be trusted.

use eframe::egui::{RichText, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use leverlane_listening::TapCount;
use leverlane_sound::latency::{Latency, MeasuredBy};

use crate::intent::{Intent, ListeningIntent};
use crate::keys::Action;
use crate::names;
use crate::state::{Ear, Measuring, State};
use crate::theme;
use crate::views::drill::listening::ear_ui;
use crate::views::sheets::heading_ui;
use crate::widgets::{Weight, key_button_ui, muted};

/// From dot to dot, and how large each is.
const STEP: f32 = 40.0;
const DOT: f32 = 12.0;
/// Lines are read no wider than this.
const COLUMN: f32 = 820.0;

/// Draws the page.
pub fn tap_along_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (words, desk) = (state.words(), &state.listening);
    heading_ui(words, &words.text("taps"), ui, intents);
    let count = match desk.measuring {
        Measuring::Tapping(count) => Some(count),
        _ => None,
    };
    ui.label(RichText::new(words.text(ask(count, state))).font(theme::display(36.0)));
    ui.add_space(theme::NEAR);
    dots_ui(state, count.unwrap_or_default(), ui);
    if let Some(count) = count {
        ui.label(words.with("taps-heard", [("taps", count.taps.into())]));
    } else if desk.can_tap() {
        let (begin, key) = (words.text("taps-begin"), names::hint(state, Action::StartOrStop));
        if key_button_ui(ui, &begin, &key, &begin, Weight::Main).clicked() {
            intents.push(ListeningIntent::MeasureByTaps.into());
        }
    }
    ui.add_space(theme::NEAR);
    if let Measuring::TapsFailed(error) = desk.measuring {
        let told = RichText::new(names::taps_error(words, error)).font(theme::strong(19.0));
        ui.add(eframe::egui::Label::new(told.color(theme::palette(ui).alarm)).wrap());
    } else if let Some(latency) = desk.latency.filter(|_| count.is_none()) {
        ui.label(RichText::new(known(state, latency)).font(theme::strong(19.0)));
    }
    ui.add_space(theme::FAR);
    ear_ui(state, ui, intents);
    ui.add_space(theme::FAR);
    ui.scope(|ui| {
        ui.set_max_width(COLUMN);
        let clicks = [("listened", TapCount::LISTENED.into()), ("tapped", TapCount::TAPPED.into())];
        ui.label(words.with("taps-why", clicks));
        ui.add_space(theme::NEAR);
        ui.label(muted(ui, words.text("taps-doubt")));
    });
}

/// What there is to do now.
fn ask(count: Option<TapCount>, state: &State) -> &'static str {
    match count.map(|count| count.clicks) {
        None if state.listening.ear != Ear::Open => "taps-needs-ear",
        None => "taps-ask",
        Some(0) => "taps-ready",
        Some(clicks) if clicks < TapCount::LISTENED => "taps-listen",
        // Said with the last click before, so that the first is not missed.
        Some(clicks) if clicks < TapCount::LISTENED + TapCount::TAPPED => "taps-now",
        Some(_) => "taps-ringing",
    }
}

fn known(state: &State, latency: Latency) -> String {
    let key = match latency.by {
        MeasuredBy::Sweeps => "taps-surer",
        MeasuredBy::Taps => "taps-known",
    };
    let ms = state.words().number((latency.seconds.get() * 1000.0).round());
    state.words().with(key, [("ms", ms.into())])
}

/// The clicks, rings for those that are only listened to; what has sounded is filled.
fn dots_ui(state: &State, count: TapCount, ui: &mut Ui) {
    let all = TapCount::LISTENED + TapCount::TAPPED;
    let gap = STEP / 2.0;
    let size = vec2(STEP * all as f32 + gap, STEP);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let said = state
        .words()
        .with("taps-count-spoken", [("clicks", count.clicks.into()), ("all", all.into()), ("taps", count.taps.into())]);
    response.widget_info(|| WidgetInfo::labeled(Role::ProgressIndicator, true, &said));
    let palette = theme::palette(ui);
    for click in 0..all {
        let is_tapped = click >= TapCount::LISTENED;
        let x = rect.left() + STEP * (click as f32 + 0.5) + if is_tapped { gap } else { 0.0 };
        let ink = if is_tapped { palette.accent } else { palette.muted };
        let radius = if is_tapped { DOT } else { 0.6 * DOT };
        if click < count.clicks {
            ui.painter().circle_filled(pos2(x, rect.center().y), radius, ink);
        } else {
            ui.painter().circle_stroke(pos2(x, rect.center().y), radius, Stroke::new(2.0, ink));
        }
    }
}
