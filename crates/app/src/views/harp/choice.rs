//! The harp in a sentence: how many strings, tuned to what, with levers on which.

use eframe::egui::{ComboBox, Response, Role, Ui, WidgetInfo};
use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::pitch::Letter;

use crate::intent::{HarpIntent, Intent};
use crate::keys::Action;
use crate::names;
use crate::state::{Sheet, State, preset_of, tuning_of};
use crate::widgets::{Weight, key_button_ui, muted};
use crate::words::Words;

/// Partial sets of levers that are sold (common practice), beside a lever on every string.
const LEVER_SETS: [&[Letter]; 3] = [&[Letter::F], &[Letter::F, Letter::C], &[Letter::F, Letter::C, Letter::B]];

/// Draws the head of the Harp place.
pub fn choice_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    ui.horizontal_wrapped(|ui| {
        harp_choice_ui(state, ui, intents);
        levers_ui(state, ui, intents);
        ui.add_space(crate::theme::FAR);
        for (sheet, text, action) in
            [(Sheet::LeverCheck, "check-open", Action::LeverCheck), (Sheet::Tuner, "tuner-open", Action::Tuner)]
        {
            let label = words.text(text);
            if key_button_ui(ui, &label, &names::hint(state, action), &label, Weight::Plain).clicked() {
                intents.push(Intent::Switch(sheet));
            }
        }
    });
}

/// The harp and its tuning as part of a sentence.
pub fn harp_choice_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (words, harp) = (state.words(), &state.wishes.harp);
    ui.label(muted(ui, words.text("sentence-harp")));
    let chosen = names::harp(words, harp);
    let shown = ComboBox::from_id_salt("strings").selected_text(&chosen).show_ui(ui, |ui| {
        for preset in Preset::ALL {
            if ui.selectable_label(preset_of(harp) == Some(preset), names::preset(words, preset)).clicked() {
                intents.push(HarpIntent::UsePreset(preset).into());
            }
        }
    });
    name(&shown.response, words.with("sentence-harp-spoken", [("harp", chosen.into())]));
    ui.label(muted(ui, words.text("sentence-tuning")));
    let tuning = tuning_of(harp);
    let chosen = tuning.map_or_else(|| words.text("sentence-tuning-mixed"), |tuning| names::tuning(words, tuning));
    let shown = ComboBox::from_id_salt("tuning").selected_text(&chosen).show_ui(ui, |ui| {
        for choice in Tuning::ALL {
            if ui.selectable_label(tuning == Some(choice), names::tuning(words, choice)).clicked() {
                intents.push(HarpIntent::UseTuning(choice).into());
            }
        }
    });
    name(&shown.response, words.with("sentence-tuning-spoken", [("tuning", chosen.into())]));
}

fn levers_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    ui.label(muted(ui, words.text("sentence-levers")));
    let present = levered(state);
    let said = |letters: Option<&[Letter]>| match letters {
        None => words.text("levers-on-every-string"),
        Some(letters) => letters_in_words(words, letters),
    };
    let chosen = match &present {
        Levered::Letters(letters) => said(letters.as_deref()),
        Levered::ByHand => words.text("levers-by-hand"),
    };
    let shown = ComboBox::from_id_salt("levers").selected_text(&chosen).show_ui(ui, |ui| {
        for set in [None].into_iter().chain(LEVER_SETS.map(Some)) {
            let is_present = present == Levered::Letters(set.map(<[Letter]>::to_vec));
            if ui.selectable_label(is_present, said(set)).clicked() {
                intents.push(HarpIntent::UseLevers(set.map(<[Letter]>::to_vec)).into());
            }
        }
    });
    name(&shown.response, words.with("sentence-levers-spoken", [("levers", chosen.into())]));
}

#[derive(PartialEq)]
enum Levered {
    /// Every string of these letters, or of all.
    Letters(Option<Vec<Letter>>),
    /// Otherwise.
    ByHand,
}

fn levered(state: &State) -> Levered {
    let harp = state.wishes.harp.harp();
    let has = |letters: &[Letter]| {
        harp.strings().iter().all(|string| string.lever.is_fitted() == letters.contains(&string.open.letter()))
    };
    if has(&Letter::ALL) {
        return Levered::Letters(None);
    }
    let set = LEVER_SETS.into_iter().find(|set| has(set));
    set.map_or(Levered::ByHand, |set| Levered::Letters(Some(set.to_vec())))
}

fn letters_in_words(words: Words, letters: &[Letter]) -> String {
    let names: Vec<&str> = letters.iter().map(|&letter| words.letter(letter)).collect();
    let listed = match names.split_last() {
        Some((last, others)) if !others.is_empty() => {
            words.with("list-and", [("first", others.join(", ").into()), ("last", (*last).into())])
        }
        _ => names.concat(),
    };
    words.with("levers-on-letters", [("letters", listed.into())])
}

fn name(response: &Response, name: String) {
    response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
}
