//! What has been typed, as notation. While there is a fault the last good drawing stays.

use eframe::egui::{Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};

use crate::intent::{Intent, ScoreIntent};
use crate::state::State;
use crate::theme;
use crate::views::score::layout::{SPACE, spaces_across};
use crate::views::score::{Pictures, paint};
use crate::widgets::muted;

/// Draws it, system under system.
pub fn drawn_ui(state: &State, pictures: &mut Pictures, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (words, paper) = (state.words(), &state.paper);
    let spaces = spaces_across(ui.available_width());
    if !paper.is_asked(spaces) {
        intents.push(ScoreIntent::DrawDraft { spaces }.into());
    }
    if let Some(reason) = paper.engraved.trouble() {
        ui.label(muted(ui, words.said(reason)));
    }
    let (Some(drawing), Some(notes)) = (paper.engraved.drawing(), &paper.notes) else { return };
    pictures.begin_frame(drawing);
    let gaps = [("bars", notes.bars().len().into()), ("notes", notes.notes().count().into())];
    let name = words.with("paper-drawn-spoken", gaps);
    for (index, system) in drawing.systems.iter().enumerate() {
        let (place, response) =
            ui.allocate_exact_size(vec2(system.width * SPACE, system.height * SPACE), Sense::hover());
        if index == 0 {
            response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
        }
        if ui.is_rect_visible(place) {
            paint::page(ui, place);
            if let Some(picture) = pictures.of(&paper.engraved, index, SPACE, ui, intents) {
                let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
                let _ = ui.painter().image(picture.id(), place, whole, theme::palette(ui).ink);
            }
        }
        ui.add_space(theme::NEAR);
    }
    pictures.end_frame();
}
