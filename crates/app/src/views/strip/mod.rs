//! The strip: coming flips, the strings with their levers and plucks, and the click track, all on one time axis.
//!
//! Time runs to the left under an upright line that marks the present moment. [`model`] says what there is, [`layout`]
//! where it stands, [`paint`] how it looks.

pub mod layout;
pub mod model;
mod paint;

use eframe::egui::{Role, Sense, Ui, Vec2, WidgetInfo};
use leverlane_core::drill::Cue;
use leverlane_core::time::Ticks;

use crate::intent::{DrillIntent, Intent};
use crate::state::{Piece, Planned, State};
use layout::{Layout, Rounds};
use model::StripModel;

/// How much of the piece a strip shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// What is looped, moving while it sounds.
    Loop,
    /// The whole piece once through, at rest.
    WholePiece,
}

/// What the strip remembers between frames.
#[derive(Default)]
pub struct StripView {
    revision: u64,
    model: Option<StripModel>,
    /// The first and last bar of the model's loop.
    bars: Option<(usize, usize)>,
    /// How far the stopped strip is scrolled, in quarter notes.
    scrolled: f64,
    /// The selected flip that was last brought into sight.
    shown: Option<usize>,
}

/// A flip that is brought into sight has so many quarter notes before it.
const QUARTERS_BEFORE: f64 = 2.0;

/// Draws the strip in a place of the given size.
pub fn strip_ui(
    state: &State,
    piece: &Piece,
    planned: &Planned,
    scope: Scope,
    view: &mut StripView,
    size: Vec2,
    ui: &mut Ui,
    intents: &mut Vec<Intent>,
) {
    if view.revision != state.revision {
        view.revision = state.revision;
        let looped = match scope {
            Scope::Loop => state.drill.looped.as_ref(),
            Scope::WholePiece => state.whole.as_ref(),
        };
        view.model = looped.map(|looped| StripModel::new(state.words(), piece, planned, looped));
        let bars = looped.map(|looped| (looped.chunk.first, looped.chunk.last));
        if view.bars != bars {
            view.bars = bars;
            view.scrolled = 0.0;
        }
    }
    let Some(model) = &view.model else { return };
    if scope == Scope::WholePiece && view.shown != state.drill.selected {
        view.shown = state.drill.selected;
        let is_selected = |flip: &&model::FlipPlace| Some(flip.cue) == view.shown.map(Cue::Planned);
        if let Some(flip) = model.flips.iter().find(is_selected) {
            view.scrolled = (flip.at.quarters() - QUARTERS_BEFORE).max(0.0);
        }
    }
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let summary = model.summary(state.words());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &summary));
    let place = match scope {
        Scope::Loop => state.drill.transport.place(),
        Scope::WholePiece => None,
    };
    if place.is_none() {
        let wheel = if response.hovered() { ui.input(|input| input.smooth_scroll_delta()) } else { Default::default() };
        let moved = response.drag_delta().x + wheel.x + wheel.y;
        let most = (model.length.quarters() - 1.0).max(0.0);
        view.scrolled = (view.scrolled - f64::from(moved / layout::QUARTER_WIDTH)).clamp(0.0, most);
    }
    let now = place.map_or(Ticks::new((view.scrolled * Ticks::PER_QUARTER as f64) as i64), |place| place.at);
    let rounds = match (scope, place) {
        (Scope::WholePiece, _) => Rounds::Once,
        (Scope::Loop, Some(place)) if place.pass > 0 => Rounds::BeforeAndAfter,
        (Scope::Loop, _) => Rounds::After,
    };
    let layout = Layout::new(rect, model, now, rounds);
    let selected = state.drill.selected;
    let next = place.and_then(|place| model.next_flip(place.at));
    paint::paint(state.words(), ui, &layout, model, &paint::Moment { next, selected, playing: place.is_some() });
    flips_to_click(ui, &layout, model, intents);
}

/// Every flip in sight can be clicked and is named to screen readers.
fn flips_to_click(ui: &mut Ui, layout: &Layout, model: &StripModel, intents: &mut Vec<Intent>) {
    let placed = layout.flip_rects(ui.painter(), model);
    for (round, index, rect) in placed {
        let flip = &model.flips[index];
        let Cue::Planned(gesture) = flip.cue else { continue };
        let id = ui.scope_id().with(("strip flip", round, index));
        let response = ui.interact(rect, id, Sense::click()).on_hover_text(&flip.spoken);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &flip.spoken));
        if response.clicked() {
            intents.push(DrillIntent::Select(gesture).into());
        }
    }
}
