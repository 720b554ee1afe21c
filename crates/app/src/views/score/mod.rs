//! The engraved score, system under system; under each its beats and flips on the same axis.
//!
//! [`model`] says what stands on each system, [`layout`] where the systems are, [`paint`] how they look. The drawing and
//! its pictures come from the engraver's thread; until they are there the plain strip is shown instead. In the Piece
//! bars are chosen on it by dragging (`choosing`).

mod choosing;
pub mod layout;
pub mod model;
pub mod paint;

use std::collections::HashMap;
use std::sync::Arc;

use eframe::egui::{
    ColorImage, Label, Role, ScrollArea, Sense, TextureHandle, TextureOptions, Ui, Vec2, WidgetInfo, vec2,
};
use leverlane_engraving::Drawing;
use leverlane_formats::Said;

use crate::intent::{DrillIntent, Intent, ScoreIntent};
use crate::state::{Cut, Engraved, State};
use crate::views::Open;
use crate::widgets::{Weight, key_button_ui, muted};
use layout::Layout;
use model::{Drilled, ScoreModel};

/// What the score remembers between frames.
#[derive(Default)]
pub struct ScoreView {
    revision: u64,
    model: ScoreModel,
    pictures: Pictures,
    /// The selected flip that was last brought into sight.
    shown: Option<usize>,
    /// What is being chosen.
    hold: Option<choosing::Hold>,
}

/// The pictures of a drawing's systems, ready to be shown.
#[derive(Default)]
pub struct Pictures {
    drawing: Option<Arc<Drawing>>,
    textures: HashMap<(usize, u32), (TextureHandle, usize)>,
    /// Counts frames, to drop textures that are long out of sight.
    frame: usize,
}

/// Textures unseen for so many frames are given back.
const FRAMES_KEPT: usize = 120;

/// Asks for a drawing, where it isn't there or on its way.
pub fn want_drawing(open: Open<'_>, cut: Cut, intents: &mut Vec<Intent>) {
    if !open.state.score.is_asked(open.piece, open.planned, &cut) {
        intents.push(ScoreIntent::Draw(cut).into());
    }
}

/// Says why the music is shown without notation; gives back how high that is.
pub fn trouble_ui(state: &State, reason: &Said, ui: &mut Ui, intents: &mut Vec<Intent>) -> f32 {
    let words = state.words();
    let says = words.with("score-failed", [("reason", words.said(reason).into())]);
    let line = ui.horizontal(|ui| {
        let (copy, spoken) = (words.text("notice-copy"), words.text("notice-copy-spoken"));
        if key_button_ui(ui, &copy, "", &spoken, Weight::Plain).clicked() {
            intents.push(Intent::Copy(says.clone()));
        }
        ui.add(Label::new(muted(ui, &says)).truncate()).on_hover_text(&says);
    });
    line.response.rect.height()
}

/// Draws the score in a place of the given size.
pub fn score_ui(
    open: Open<'_>,
    drawing: &Arc<Drawing>,
    view: &mut ScoreView,
    size: Vec2,
    ui: &mut Ui,
    intents: &mut Vec<Intent>,
) {
    let Open { state, piece, planned } = open;
    if view.pictures.begin_frame(drawing) || view.revision != state.revision {
        view.revision = state.revision;
        view.model = ScoreModel::of_piece(state.words(), piece, planned, drawing, Drilled::of(state));
    }
    let layout = Layout::of_piece(drawing);
    let target = view.shown != state.drill.selected;
    view.shown = state.drill.selected;
    let wanted = state.drill.selected.filter(|_| target).and_then(|flip| view.model.system_of(flip));
    ui.allocate_ui(size, |ui| {
        ScrollArea::vertical().auto_shrink(false).id_salt("score").show_viewport(ui, |ui, seen| {
            let whole = vec2(ui.available_width(), layout.height());
            let (whole, response) = ui.allocate_exact_size(whole, Sense::click_and_drag());
            response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &view.model.summary));
            if let Some(system) = wanted {
                ui.scroll_to_rect(layout.system(system).translate(whole.min.to_vec2()), None);
            }
            for index in layout.in_sight(seen) {
                let place = layout.system(index).translate(whole.min.to_vec2());
                let picture = view.pictures.of(&state.score.engraved, index, layout.sizes().space, ui, intents);
                let shown = paint::Shown { layout: &layout, place, index, model: &view.model, moment: None };
                paint::page(ui, place);
                paint::system(state, ui, &shown, &drawing.systems[index], picture);
                flips_to_click(state, ui, &shown, intents);
            }
            let page = choosing::Page { drawing, layout: &layout, corner: whole.min };
            view.hold = choosing::choosing_ui(state, piece, page, view.hold, &response, ui, intents);
        });
    });
    view.pictures.end_frame();
}

impl Pictures {
    /// Begins a frame that shows a drawing; tells whether it is another one than before.
    pub fn begin_frame(&mut self, drawing: &Arc<Drawing>) -> bool {
        self.frame += 1;
        let is_new = self.drawing.as_ref().is_none_or(|known| !Arc::ptr_eq(known, drawing));
        if is_new {
            self.textures.clear();
            self.drawing = Some(drawing.clone());
        }
        is_new
    }

    /// Ends it: what has long been out of sight is given back.
    pub fn end_frame(&mut self) {
        let frame = self.frame;
        self.textures.retain(|_, (_, used)| frame - *used < FRAMES_KEPT);
    }

    /// The picture of a system, so many points to the staff space, at the screen's own scale; asked for where it isn't
    /// there.
    pub fn of(
        &mut self,
        engraved: &Engraved,
        system: usize,
        space: f32,
        ui: &Ui,
        intents: &mut Vec<Intent>,
    ) -> Option<TextureHandle> {
        let scale = space * ui.ctx().pixels_per_point();
        let key = (system, (scale * 1000.0).round() as u32);
        let frame = self.frame;
        if let Some((texture, used)) = self.textures.get_mut(&key) {
            *used = frame;
            return Some(texture.clone());
        }
        let request = engraved.request(system, scale)?;
        let Some(picture) = engraved.picture(&request) else {
            if !engraved.has_asked(&request) {
                intents.push(ScoreIntent::Picture(request).into());
            }
            // One of another size is better than none.
            return self
                .textures
                .iter()
                .find(|((other, _), _)| *other == system)
                .map(|(_, (texture, _))| texture.clone());
        };
        let pixels = picture.ink.iter().map(|&ink| eframe::egui::Color32::from_white_alpha(ink)).collect();
        let image = ColorImage::new([picture.width, picture.height], pixels);
        let texture = ui.ctx().load_texture(format!("system {system}"), image, TextureOptions::LINEAR);
        self.textures.insert(key, (texture.clone(), frame));
        Some(texture)
    }
}

/// Every flip in sight can be clicked and is named to screen readers.
pub fn flips_to_click(state: &State, ui: &mut Ui, shown: &paint::Shown<'_>, intents: &mut Vec<Intent>) {
    for (flip, rect) in shown.layout.flip_rects(ui.painter(), shown.place, shown.model, shown.index) {
        let Some(gesture) = flip.gesture() else { continue };
        let id = ui.scope_id().with(("score flip", gesture));
        let response = ui.interact(rect, id, Sense::click()).on_hover_text(&flip.spoken);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &flip.spoken));
        if response.clicked() && state.drill.selected != Some(gesture) {
            intents.push(DrillIntent::Select(gesture).into());
        }
    }
}
