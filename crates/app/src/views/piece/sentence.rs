//! On which harp, with whose hands and at which tempo: one sentence in which every choice is made.

use eframe::egui::{ComboBox, Label, RichText, Role, Ui, WidgetInfo};
use leverlane_core::plan::{Pace, PaceLevel};

use crate::intent::{Intent, PlanIntent};
use crate::names;
use crate::shortcuts::GOAL_STEP;
use crate::state::State;
use crate::theme;
use crate::views::harp::harp_choice_ui;
use crate::widgets::{Weight, key_button_ui, muted};

/// Draws the sentence.
pub fn sentence_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (words, wishes) = (state.words(), &state.wishes);
    harp_choice_ui(state, ui, intents);
    ui.label(muted(ui, words.text("sentence-pace")));
    let chosen = names::pace(words, wishes.pace);
    let pace = ComboBox::from_id_salt("pace").selected_text(&chosen).show_ui(ui, |ui| {
        for pace in PaceLevel::ALL.map(Pace::from) {
            if ui.selectable_label(wishes.pace == pace, names::pace(words, pace)).clicked() {
                intents.push(PlanIntent::UsePace(pace).into());
            }
        }
        let measure = ui.selectable_label(matches!(wishes.pace, Pace::Measured(_)), words.text("pace-measure"));
        if measure.on_hover_text(words.text("pace-measure-why")).clicked() {
            intents.push(PlanIntent::MeasurePace.into());
        }
    });
    let spoken = words.with("sentence-pace-spoken", [("pace", chosen.into())]);
    pace.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &spoken));
    ui.label(muted(ui, words.text("sentence-goal")));
    if let Some(goal) = wishes.goal {
        if key_button_ui(ui, "−", "", &words.text("goal-lower-spoken"), Weight::Plain).clicked() {
            intents.push(PlanIntent::ChangeGoal(-GOAL_STEP).into());
        }
        ui.add(Label::new(RichText::new(names::tempo(words, goal)).font(theme::strong(19.0))).extend());
        if key_button_ui(ui, "+", "", &words.text("goal-raise-spoken"), Weight::Plain).clicked() {
            intents.push(PlanIntent::ChangeGoal(GOAL_STEP).into());
        }
    }
    let forget = words.text("forget-edits");
    if !wishes.edits.is_empty() && key_button_ui(ui, &forget, "", &forget, Weight::Plain).clicked() {
        intents.push(PlanIntent::ForgetEdits.into());
    }
}
