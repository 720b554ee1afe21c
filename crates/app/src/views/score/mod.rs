//! The engraved score, system under system; under each its beats and flips on the same axis.
//!
//! [`model`] says what stands on each system, [`layout`] where the systems are, [`paint`] how they look. The drawing and
//! its pictures come from the engraver's thread; until they are there the plain strip is shown instead.

pub mod layout;
pub mod model;
mod paint;

use std::collections::HashMap;
use std::sync::Arc;

use eframe::egui::{ColorImage, Role, ScrollArea, Sense, TextureHandle, TextureOptions, Ui, Vec2, WidgetInfo, vec2};
use leverlane_engraving::Drawing;

use crate::intent::{DrillIntent, Intent, ScoreIntent};
use crate::state::{Piece, Planned, State};
use crate::views::Open;
use layout::{Layout, SPACE};
use model::ScoreModel;

/// What the score remembers between frames.
#[derive(Default)]
pub struct ScoreView {
    revision: u64,
    drawing: Option<Arc<Drawing>>,
    model: ScoreModel,
    textures: HashMap<(usize, u32), (TextureHandle, usize)>,
    /// The selected flip that was last brought into sight.
    shown: Option<usize>,
    /// Counts frames, to drop textures that are long out of sight.
    frame: usize,
}

/// Textures unseen for so many frames are given back.
const FRAMES_KEPT: usize = 120;

/// Asks for the drawing that fits the width, where it isn't there or on its way.
pub fn want_drawing(state: &State, piece: &Piece, planned: &Planned, width: f32, intents: &mut Vec<Intent>) {
    let spaces = layout::spaces_across(width);
    if !state.score.is_asked(piece, planned, spaces) {
        intents.push(ScoreIntent::Draw { spaces }.into());
    }
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
    view.frame += 1;
    let is_new = view.drawing.as_ref().is_none_or(|known| !Arc::ptr_eq(known, drawing));
    if is_new {
        view.textures.clear();
        view.drawing = Some(drawing.clone());
    }
    if is_new || view.revision != state.revision {
        view.revision = state.revision;
        view.model = ScoreModel::new(state.words(), piece, planned, drawing, state.drill.looped.as_deref());
    }
    let layout = Layout::new(drawing);
    let target = view.shown != state.drill.selected;
    view.shown = state.drill.selected;
    let wanted = state.drill.selected.filter(|_| target).and_then(|flip| view.model.system_of(flip));
    ui.allocate_ui(size, |ui| {
        ScrollArea::vertical().auto_shrink(false).id_salt("score").show_viewport(ui, |ui, seen| {
            let (whole, response) = ui.allocate_exact_size(vec2(ui.available_width(), layout.height()), Sense::hover());
            response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &view.model.summary));
            if let Some(system) = wanted {
                ui.scroll_to_rect(layout.system(system).translate(whole.min.to_vec2()), None);
            }
            for index in layout.in_sight(seen) {
                let place = layout.system(index).translate(whole.min.to_vec2());
                let picture = texture(state, view, index, ui, intents);
                let shown = paint::Shown { layout: &layout, place, index, model: &view.model };
                paint::system(state, ui, &shown, &drawing.systems[index], picture);
                flips_to_click(state, ui, &shown, intents);
            }
        });
    });
    let frame = view.frame;
    view.textures.retain(|_, (_, used)| frame - *used < FRAMES_KEPT);
}

/// The picture of a system at the screen's own scale; asked for where it isn't there.
fn texture(
    state: &State,
    view: &mut ScoreView,
    system: usize,
    ui: &Ui,
    intents: &mut Vec<Intent>,
) -> Option<TextureHandle> {
    let scale = SPACE * ui.ctx().pixels_per_point();
    let key = (system, (scale * 1000.0).round() as u32);
    let frame = view.frame;
    if let Some((texture, used)) = view.textures.get_mut(&key) {
        *used = frame;
        return Some(texture.clone());
    }
    let Some(picture) = state.score.picture(system, scale) else {
        if !state.score.has_asked(system, scale) {
            intents.push(ScoreIntent::Picture { system, pixels_per_space: scale }.into());
        }
        // One of another size is better than none.
        return view.textures.iter().find(|((other, _), _)| *other == system).map(|(_, (texture, _))| texture.clone());
    };
    let pixels = picture.ink.iter().map(|&ink| eframe::egui::Color32::from_white_alpha(ink)).collect();
    let image = ColorImage::new([picture.width, picture.height], pixels);
    let texture = ui.ctx().load_texture(format!("system {system}"), image, TextureOptions::LINEAR);
    view.textures.insert(key, (texture.clone(), frame));
    Some(texture)
}

/// Every flip in sight can be clicked and is named to screen readers.
fn flips_to_click(state: &State, ui: &mut Ui, shown: &paint::Shown<'_>, intents: &mut Vec<Intent>) {
    let paint::Shown { layout, place, index, model } = *shown;
    for (flip, rect) in layout.flip_rects(ui.painter(), place, model, index) {
        let id = ui.scope_id().with(("score flip", flip.gesture));
        let response = ui.interact(rect, id, Sense::click()).on_hover_text(&flip.spoken);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &flip.spoken));
        if response.clicked() && state.drill.selected != Some(flip.gesture) {
            intents.push(DrillIntent::Select(flip.gesture).into());
        }
    }
}
