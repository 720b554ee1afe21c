//! How the ladder is set up, and by which limits its passes are judged.

use std::ops::RangeInclusive;

use eframe::egui::{Grid, RichText, ScrollArea, Ui};
use leverlane_core::drill::{RungStep, Scheme};
use leverlane_core::time::Seconds;
use leverlane_core::verdict::Thresholds;

use super::sheets::heading_ui;
use crate::intent::{Intent, LadderSetUp, PracticeIntent, SettingsIntent};
use crate::names;
use crate::state::State;
use crate::theme;
use crate::widgets::{Weight, choice_button_ui, key_button_ui, muted, number_field_ui};
use crate::words::Words;

/// Draws the page.
pub(super) fn ladder_setup_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    heading_ui(words, &words.text("ladder-set-up"), ui, intents);
    ScrollArea::vertical().show(ui, |ui| {
        ui.take_available_width();
        ladder_ui(state, ui, intents);
        ui.add_space(theme::FAR);
        limits_ui(state, ui, intents);
    });
}

fn ladder_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (words, Some(desk)) = (state.words(), &state.drill.practice) else { return };
    let plan = desk.practice.ladder.plan();
    let before = LadderSetUp::from(plan);
    let mut wanted = before;
    let goal = plan.goal();
    let unit = names::beat_unit(words, goal.beat());
    Grid::new("ladder").num_columns(2).spacing([28.0, 10.0]).show(ui, |ui| {
        let per_minute = words.with("a-minute", [("unit", unit.into())]);
        number_ui(words, ui, &words.text("ladder-start"), &mut wanted.start, 5.0..=wanted.goal, 1.0, &per_minute);
        number_ui(words, ui, &words.text("ladder-goal"), &mut wanted.goal, before.start..=400.0, 1.0, &per_minute);
        ui.label(words.text("ladder-step"));
        ui.horizontal(|ui| {
            let (RungStep::Beats(mut size) | RungStep::PerCent(mut size)) = wanted.step;
            number_field_ui(words, ui, &mut size, 0.5..=50.0, 0.1, words.text("ladder-step"));
            let is_beats = matches!(wanted.step, RungStep::Beats(_));
            wanted.step = if is_beats { RungStep::Beats(size) } else { RungStep::PerCent(size) };
            let said = words.text("ladder-step-beats");
            if choice_button_ui(ui, &said, &said, is_beats) {
                wanted.step = RungStep::Beats(size);
            }
            let said = words.text("ladder-step-per-cent");
            if choice_button_ui(ui, &said, &said, !is_beats) {
                wanted.step = RungStep::PerCent(size);
            }
        });
        ui.end_row();
        let mut clean = f64::from(wanted.clean_to_climb);
        number_ui(words, ui, &words.text("ladder-clean"), &mut clean, 1.0..=20.0, 1.0, "");
        wanted.clean_to_climb = clean as u8;
        ui.label(words.text("ladder-scheme"));
        ui.horizontal(|ui| {
            for (scheme, said) in [(Scheme::Climb, "ladder-climb"), (Scheme::Alternate, "ladder-alternate")] {
                let said = words.text(said);
                if choice_button_ui(ui, &said, &said, wanted.scheme == scheme) {
                    wanted.scheme = scheme;
                }
            }
        });
        ui.end_row();
    });
    ui.label(muted(ui, words.text("ladder-sources")));
    if wanted != before {
        intents.push(PracticeIntent::SetUp(wanted).into());
    }
}

fn limits_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let before = state.limits();
    let mut limits = before;
    ui.label(RichText::new(words.text("limits")).font(theme::strong(22.0)));
    let level = names::pace(words, state.wishes.pace.level().into());
    ui.horizontal(|ui| {
        let own = state.settings.limits.is_some();
        let said = if own { words.text("limits-own") } else { words.with("limits-level", [("level", level.into())]) };
        ui.label(said);
        let usual = words.text("limits-usual");
        if own && key_button_ui(ui, &usual, "", &usual, Weight::Plain).clicked() {
            intents.push(SettingsIntent::UseLimits(None).into());
        }
    });
    Grid::new("limits").num_columns(2).spacing([28.0, 10.0]).show(ui, |ui| {
        let mut spread = limits.spread.get() * 1000.0;
        number_ui(words, ui, &words.text("limit-spread"), &mut spread, 5.0..=1000.0, 1.0, "ms");
        limits.spread = Seconds::new(spread / 1000.0);
        let shares = [
            ("limit-hesitation", &mut limits.hesitation_of_beat),
            ("limit-wrong-notes", &mut limits.wrong_notes),
            ("limit-tap", &mut limits.tap_of_beat),
        ];
        for (said, share) in shares {
            let mut per_cent = *share * 100.0;
            number_ui(words, ui, &words.text(said), &mut per_cent, 0.0..=100.0, 1.0, "%");
            *share = per_cent / 100.0;
        }
    });
    ui.label(muted(ui, words.text("limits-sources")));
    if differ(&limits, &before) {
        intents.push(SettingsIntent::UseLimits(Some(limits)).into());
    }
}

/// Whether a limit has been changed by more than reckoning with it does.
fn differ(a: &Thresholds, b: &Thresholds) -> bool {
    let of =
        |limits: &Thresholds| [limits.spread.get(), limits.hesitation_of_beat, limits.wrong_notes, limits.tap_of_beat];
    of(a).into_iter().zip(of(b)).any(|(a, b)| (a - b).abs() > 1e-9)
}

fn number_ui(
    words: Words,
    ui: &mut Ui,
    name: &str,
    value: &mut f64,
    range: RangeInclusive<f64>,
    speed: f64,
    unit: &str,
) {
    ui.label(name);
    ui.horizontal(|ui| {
        number_field_ui(words, ui, value, range, speed, name);
        ui.label(muted(ui, unit));
    });
    ui.end_row();
}
