//! The tuner: which string was plucked, and how far it is from its pitch.

use eframe::egui::{Align2, CentralPanel, Frame, Margin, Panel, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use leverlane_core::harp::{LeverState, Setting, StringNumber};
use leverlane_hearing::{StringTuning, Tuner, TunerReading, TuningAdvice};

use super::{ask_ui, is_lit, microphone_ui};
use crate::intent::{Intent, RegulatingIntent};
use crate::names;
use crate::state::{ConcertPitch, State};
use crate::theme;
use crate::views::harp::picture::{Does, Figure, Mark, Shown, picture_ui};
use crate::views::sheets::heading_ui;
use crate::widgets::{Weight, key_button_ui, muted};

/// The scale reaches so many cents to either side.
const REACH: f64 = 50.0;
/// Its size.
const SCALE: [f32; 2] = [520.0, 58.0];

/// Draws the page.
pub fn tuner_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    heading_ui(words, &words.text("tuner"), ui, intents);
    let harp = state.wishes.harp.harp();
    let tuner = Tuner::new(&harp, state.settings.concert_pitch.hertz());
    let last = state.regulating.tuner.last;
    ui.horizontal_top(|ui| {
        ui.vertical(|ui| {
            ui.set_width(ui.available_width() - SCALE[0] - 24.0);
            let (ask, amiss) = said(state, last);
            ask_ui(&ask, amiss.as_deref(), &words.text("tuner-how"), ui);
        });
        if let Some(TunerReading::Known(tuning)) = last {
            scale_ui(state, tuning, ui);
        }
    });
    ui.add_space(theme::NEAR);
    let ground = Frame::NONE.fill(theme::palette(ui).ground);
    Panel::bottom("tuner foot").frame(ground.inner_margin(Margin::symmetric(0, 8))).show_separator_line(false).show(
        ui,
        |ui| {
            microphone_ui(state, ui, intents);
            pitch_ui(state, ui, intents);
            ui.label(muted(ui, words.text("tuner-caution")));
        },
    );
    CentralPanel::default().frame(ground).show(ui, |ui| {
        let palette = theme::palette(ui);
        let mark = |number: StringNumber| {
            let lit = harp.string(number).is_some_and(|string| is_lit(state, string, LeverState::Down));
            let Some(tuning) = state.regulating.tuner.tuning(&tuner, number) else {
                return Mark { lit, ..Mark::default() };
            };
            let in_tune = tuning.advice() == TuningAdvice::Leave;
            let ink = if in_tune { palette.accent } else { palette.alarm };
            let figure = Figure { text: names::signed(words, tuning.off().get()), ink, is_framed: !in_tune };
            Mark { lit, figure: Some(figure), said: how_far(state, tuning) }
        };
        let selected = match last {
            Some(TunerReading::Known(tuning)) => Some(tuning.string),
            _ => None,
        };
        let shown = Shown { harp: &harp, setting: Setting::all_down(&harp), selected, does: Does::Shows, mark: &mark };
        picture_ui(state, &shown, ui, intents);
    });
}

fn name(state: &State, string: StringNumber) -> String {
    let harp = state.wishes.harp.harp();
    harp.string(string).map_or_else(String::new, |own| state.words().pitch(own.open))
}

fn how_far(state: &State, tuning: StringTuning) -> String {
    let words = state.words();
    let key = match tuning.advice() {
        TuningAdvice::Tighten => "tuner-tighten",
        TuningAdvice::Leave => "tuner-leave",
        TuningAdvice::Slacken => "tuner-slacken",
    };
    words.with(key, [("cents", words.number(tuning.off().get().abs().round()).into())])
}

fn said(state: &State, last: Option<TunerReading>) -> (String, Option<String>) {
    let words = state.words();
    match last {
        None => (words.text("tuner-ask"), None),
        Some(TunerReading::Known(tuning)) => {
            let gaps = [("string", name(state, tuning.string).into()), ("far", how_far(state, tuning).into())];
            (words.with("tuner-string", gaps), None)
        }
        Some(TunerReading::Between(one, other)) => {
            let gaps = [("one", name(state, one).into()), ("other", name(state, other).into())];
            (words.text("tuner-ask"), Some(words.with("tuner-between", gaps)))
        }
        Some(TunerReading::NoString) => (words.text("tuner-ask"), Some(words.text("tuner-no-string"))),
    }
}

/// Fifty cents to either side of the pitch; the band in which a string is in tune is filled.
fn scale_ui(state: &State, tuning: StringTuning, ui: &mut Ui) {
    let words = state.words();
    let (rect, response) = ui.allocate_exact_size(SCALE.into(), Sense::hover());
    let gaps = [("string", name(state, tuning.string).into()), ("far", how_far(state, tuning).into())];
    let spoken = words.with("tuner-scale", gaps);
    response.widget_info(|| WidgetInfo::labeled(Role::Meter, true, &spoken));
    let palette = theme::palette(ui);
    let line = rect.top() + 22.0;
    let x = |cents: f64| rect.center().x + (cents.clamp(-REACH, REACH) / REACH) as f32 * (rect.width() / 2.0 - 14.0);
    let painter = ui.painter();
    let band = Rect::from_min_max(pos2(x(-3.0), line - 12.0), pos2(x(3.0), line + 12.0));
    painter.rect_filled(band, 2.0, palette.accent.gamma_multiply(0.35));
    painter.line_segment([pos2(x(-REACH), line), pos2(x(REACH), line)], Stroke::new(1.5, palette.muted));
    for cents in [-50.0, -25.0, 0.0, 25.0, 50.0] {
        painter.line_segment([pos2(x(cents), line - 7.0), pos2(x(cents), line + 7.0)], Stroke::new(1.5, palette.muted));
        let at = pos2(x(cents), line + 24.0);
        painter.text(at, Align2::CENTER_CENTER, names::signed(words, cents), theme::text(15.0), palette.muted);
    }
    let in_tune = tuning.advice() == TuningAdvice::Leave;
    let ink = if in_tune { palette.accent } else { palette.alarm };
    let needle = Rect::from_center_size(pos2(x(tuning.off().get()), line), vec2(8.0, 30.0));
    painter.rect_filled(needle, 3.0, ink);
}

fn pitch_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let present = state.settings.concert_pitch.hertz().get();
    ui.horizontal(|ui| {
        ui.label(muted(ui, words.text("tuner-pitch")));
        for (sign, by, name) in [("−", -1.0, "tuner-pitch-lower"), ("+", 1.0, "tuner-pitch-higher")] {
            if by > 0.0 {
                ui.label(words.with("tuner-hertz", [("hertz", words.number(present).into())]));
            }
            let wanted = ConcertPitch::of(present + by);
            let enabled = wanted.is_some();
            let button = |ui: &mut Ui| key_button_ui(ui, sign, "", &words.text(name), Weight::Plain);
            if ui.add_enabled_ui(enabled, button).inner.clicked()
                && let Some(wanted) = wanted
            {
                intents.push(RegulatingIntent::UsePitch(wanted).into());
            }
        }
    });
}
