//! The ladder as it is read from the harp: the tempo, the clean passes in a row, the last ones, and one sentence; off the
//! ladder the sentence alone.

use eframe::egui::{Label, RichText, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use super::practice;
use crate::intent::Intent;
use crate::names;
use crate::state::{PracticeDesk, State};
use crate::theme;
use crate::widgets::{ResultMark, paint_result_mark};

/// How high the band is.
pub(super) const HEIGHT: f32 = 188.0;
/// How high its sentence is alone.
pub(super) const SENTENCE: f32 = 104.0;
/// Capitals of this size are 48 points high.
const WORDS: f32 = 75.0;
/// So many of the latest passes are shown.
const PASSES: usize = 5;
/// From one sign to the next.
const STEP: f32 = 62.0;

/// Draws the band below the card.
pub(super) fn afar_ui(state: &State, desk: &PracticeDesk, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let ladder = &desk.practice.ladder;
    let palette = theme::palette(ui);
    ui.horizontal(|ui| {
        let tempo = ui.label(RichText::new(words.number(ladder.tempo().per_minute())).font(theme::display(WORDS)));
        let gap = [("tempo", names::tempo(words, ladder.tempo()).into())];
        tempo.widget_info(|| WidgetInfo::labeled(Role::Label, true, words.with("tempo-spoken", gap.clone())));
        ui.add_space(theme::FAR);
        let (clean, needed) = (ladder.clean_in_a_row(), ladder.plan().clean_to_climb());
        let (rect, response) = ui.allocate_exact_size(vec2(f32::from(needed) * STEP, STEP), Sense::hover());
        let gaps = [("clean", clean.into()), ("needed", needed.into())];
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words.with("afar-clean-spoken", gaps.clone())));
        for place in 0..needed {
            let centre = pos2(rect.left() + STEP * (f32::from(place) + 0.5), rect.center().y);
            if place < clean {
                ui.painter().circle_filled(centre, 25.0, palette.accent);
            } else {
                ui.painter().circle_stroke(centre, 23.0, Stroke::new(4.0, palette.muted));
            }
        }
        ui.add_space(theme::FAR);
        let latest = &desk.marks[desk.marks.len().saturating_sub(PASSES)..];
        let (rect, response) = ui.allocate_exact_size(vec2(latest.len() as f32 * STEP, STEP), Sense::hover());
        let said: Vec<String> = latest.iter().map(|mark| practice::spoken_mark(state, *mark)).collect();
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, said.join(", ")));
        for (place, mark) in latest.iter().enumerate() {
            let centre = pos2(rect.left() + STEP * (place as f32 + 0.5), rect.center().y);
            paint_result_mark(ui.painter(), palette, centre, ResultMark::from(*mark), 22.0);
        }
        practice::offers_ui(state, desk, ui, intents);
    });
    sentence_ui(practice::told(state, desk), ui);
}

/// Off the ladder: what was heard of the latest pass.
pub(super) fn listened_ui(state: &State, ui: &mut Ui) {
    sentence_ui(practice::listened(state), ui);
}

fn sentence_ui((lead, rest): (String, String), ui: &mut Ui) {
    let said = [lead, rest].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ");
    // A long sentence is read in smaller letters rather than not at all.
    let size = if said.chars().count() > 48 { WORDS * 0.55 } else { WORDS };
    ui.add(Label::new(RichText::new(said).font(theme::strong(size))).truncate());
}
