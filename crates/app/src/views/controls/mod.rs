//! The foot: what is done while the hands are busy, each with its key.

use eframe::egui::{ComboBox, RichText, Role, Slider, Ui, WidgetInfo};
use leverlane_core::score::Hand;

use crate::intent::Intent;
use crate::names;
use crate::shortcuts::{SIZES, TEMPO_STEP};
use crate::state::{Level, State, Voice};
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};

/// Draws the foot.
pub fn controls_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    ui.horizontal_wrapped(|ui| {
        transport_ui(state, ui, intents);
        ui.add_space(theme::FAR);
        tempo_ui(state, ui, intents);
        ui.add_space(theme::FAR);
        size_ui(state, ui, intents);
    });
    ui.add_space(2.0);
    ui.horizontal_wrapped(|ui| {
        for voice in Voice::ALL {
            level_ui(state, voice, ui, intents);
            ui.add_space(theme::NEAR);
        }
        ui.add_space(theme::NEAR);
        for hand in Hand::BOTH {
            hand_ui(state, hand, ui, intents);
        }
    });
}

fn transport_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (label, name) =
        if state.drill.transport.is_playing() { ("Stop", "Stop the loop") } else { ("Start", "Start the loop") };
    ui.add_enabled_ui(state.drill.looped.is_some(), |ui| {
        if key_button_ui(ui, label, "Space", name, Weight::Main).clicked() {
            intents.push(Intent::StartOrStop);
        }
    });
    let has_flips = state.plan.as_ref().is_some_and(|planned| !planned.plan.gestures.is_empty());
    ui.add_enabled_ui(has_flips, |ui| {
        if key_button_ui(ui, "← Previous", "Page Up", "Previous flip", Weight::Plain).clicked() {
            intents.push(Intent::PreviousFlip);
        }
        if key_button_ui(ui, "Next flip →", "Page Down", "Next flip", Weight::Plain).clicked() {
            intents.push(Intent::NextFlip);
        }
    });
}

fn tempo_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let Some(tempo) = state.drill.tempo else { return };
    if key_button_ui(ui, "−", "↓", "Practise slower", Weight::Plain).clicked() {
        intents.push(Intent::ChangeTempo(-TEMPO_STEP));
    }
    let figure = names::number(tempo.per_minute());
    let response = ui.label(RichText::new(&figure).font(theme::display(30.0)));
    let spoken = format!("Practice tempo: {}", names::tempo(tempo));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &spoken));
    if key_button_ui(ui, "+", "↑", "Practise faster", Weight::Plain).clicked() {
        intents.push(Intent::ChangeTempo(TEMPO_STEP));
    }
    match state.wishes.goal {
        Some(goal) if goal != tempo => {
            let label = format!("to {}", names::number(goal.per_minute()));
            if key_button_ui(ui, &label, "G", "Practise at the wanted tempo", Weight::Plain).clicked() {
                intents.push(Intent::TempoToGoal);
            }
        }
        _ if ui.max_rect().width() < 1100.0 => {}
        _ => {
            ui.label(muted(ui, format!("{} a minute", names::beat_unit(tempo.beat()))));
        }
    }
}

fn size_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    ui.label(muted(ui, "Loop"));
    let size = state.drill.size;
    let shown = ComboBox::from_id_salt("loop size").selected_text(names::chunk_size(size)).show_ui(ui, |ui| {
        for choice in SIZES {
            if ui.selectable_label(choice == size, names::chunk_size(choice)).clicked() {
                intents.push(Intent::UseChunkSize(choice));
            }
        }
    });
    let name = format!("Loop: {}", names::chunk_size(size));
    shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
    ui.label(muted(ui, "B").font(theme::text(15.0)));
}

fn level_ui(state: &State, voice: Voice, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (word, keys) = match voice {
        Voice::Click => ("Click", ["1", "2"]),
        Voice::Cue => ("Cue tone", ["3", "4"]),
        Voice::Notes => ("Notes", ["5", "6"]),
    };
    let level = state.wishes.mix.level(voice);
    let key = |ui: &Ui, key: &str| muted(ui, key).font(theme::text(15.0));
    ui.label(word);
    ui.label(key(ui, keys[0]));
    let mut tenths = level.in_tenths();
    let response = ui
        .scope(|ui| {
            ui.spacing_mut().interact_size.y = 22.0;
            ui.add(Slider::new(&mut tenths, 0..=10).show_value(false).trailing_fill(true))
        })
        .inner;
    let name = format!("{word} volume");
    response.widget_info(|| WidgetInfo::slider(true, f64::from(level.in_tenths()), &name));
    if response.changed() {
        intents.push(Intent::SetLevel(voice, Level::tenths(tenths)));
    }
    ui.label(key(ui, keys[1]));
}

fn hand_ui(state: &State, hand: Hand, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let heard = state.wishes.mix.hears(hand);
    let (mark, key) = match hand {
        Hand::Left => ("◆", "L"),
        Hand::Right => ("○", "R"),
    };
    let label = format!("{mark} {} {}", names::hand(hand), if heard { "heard" } else { "silent" });
    let response = key_button_ui(ui, &label, key, &format!("Hear the {}", names::hand(hand)), Weight::Plain);
    let name = format!("Hear the {}", names::hand(hand));
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, heard, &name));
    if response.clicked() {
        intents.push(Intent::SwitchHand(hand));
    }
}
