//! The strip: coming flips, the strings with their levers and plucks, and the click track, all on one time axis.
//!
//! Time runs to the left under an upright line that marks the present moment. [`model`] says what there is, [`layout`]
//! where it stands, [`paint`] how it looks.

mod drag;
pub mod layout;
pub mod model;
mod paint;

use eframe::egui::{Role, Sense, Ui, Vec2, WidgetInfo};
use leverlane_core::drill::{Accent, Cue};
use leverlane_core::time::Ticks;

use crate::intent::{DrillIntent, Intent, PlanIntent};
use crate::state::{Movement, PassPlace};
use crate::theme;
use crate::views::Open;
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
    /// The flip that is being moved.
    held: Option<drag::Held>,
}

/// A flip that is brought into sight has so many quarter notes before it.
const QUARTERS_BEFORE: f64 = 2.0;

/// Draws the strip in a place of the given size.
pub fn strip_ui(
    open: Open<'_>,
    scope: Scope,
    view: &mut StripView,
    size: Vec2,
    ui: &mut Ui,
    intents: &mut Vec<Intent>,
) {
    let Open { state, piece, planned } = open;
    if view.revision != state.revision {
        view.revision = state.revision;
        let looped = match scope {
            Scope::Loop => state.drill.looped.as_ref(),
            Scope::WholePiece => state.whole.as_ref(),
        };
        let model = looped.map(|looped| StripModel::new(state.words(), piece, planned, looped));
        view.model = match scope {
            Scope::Loop => model,
            Scope::WholePiece => model.map(StripModel::without_seam),
        };
        let bars = looped.map(|looped| (looped.chunk.first, looped.chunk.last));
        if view.bars != bars {
            view.bars = bars;
            view.scrolled = 0.0;
        }
    }
    let Some(model) = &view.model else { return };
    if scope == Scope::WholePiece && view.shown != state.drill.selected {
        view.shown = state.drill.selected;
        let is_held = view.held.is_some();
        let is_selected = |flip: &&model::FlipPlace| Some(flip.cue) == view.shown.map(Cue::Planned);
        if let Some(flip) = model.flips.iter().find(is_selected).filter(|_| !is_held) {
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
    let rounds = match (scope, place) {
        (Scope::WholePiece, _) => Rounds::Once,
        (Scope::Loop, Some(place)) if place.pass > 0 => Rounds::BeforeAndAfter,
        (Scope::Loop, _) => Rounds::After,
    };
    let scrolled = Ticks::new((view.scrolled * Ticks::PER_QUARTER as f64) as i64);
    let layout = match (place, state.settings.movement) {
        (None, _) => Layout::new(rect, model, scrolled, rounds),
        (Some(place), Movement::Gliding) => Layout::new(rect, model, place.at, rounds),
        (Some(place), Movement::Stepping) => stepping(rect, model, place, rounds),
    };
    let selected = state.drill.selected;
    let next = place.and_then(|place| model.next_flip(place.at));
    // What is held shows where it would go, and stays behind as an outline.
    let foremost = selected.filter(|selected| view.held.is_none_or(|held| held.gesture != *selected));
    let moment = paint::Moment { next, selected: foremost, playing: place.is_some() };
    paint::paint(state.words(), ui, &layout, model, &moment);
    let movable = scope == Scope::WholePiece;
    view.held = flips_to_press(ui, &layout, model, movable, view.held, intents);
    if let Some(held) = view.held {
        moved_ui(open, &layout, model, held, ui, intents);
    }
}

/// The strip stands while the line steps from beat to beat; where the line would leave it, the strip turns like a page.
fn stepping(rect: eframe::egui::Rect, model: &StripModel, place: PassPlace, rounds: Rounds) -> Layout {
    let beats = model.count_in.iter().chain(&model.clicks).filter(|click| click.accent != Accent::Division);
    let beat = beats.map(|click| click.at).take_while(|at| *at <= place.at).last().unwrap_or(place.at);
    let still = Layout::new(rect, model, Ticks::ZERO, rounds);
    let page = still.ticks_to_the_right();
    let turned = Ticks::new(beat.get().div_euclid(page.get().max(1)) * page.get());
    Layout::new(rect, model, turned.max(Ticks::ZERO), rounds).with_line_at(beat, model.length)
}

/// Every flip in sight can be pressed, moved where that is meant, and is named to screen readers. Gives back the flip
/// that is held.
fn flips_to_press(
    ui: &mut Ui,
    layout: &Layout,
    model: &StripModel,
    movable: bool,
    held: Option<drag::Held>,
    intents: &mut Vec<Intent>,
) -> Option<drag::Held> {
    let mut holds = None;
    for (round, index, rect) in layout.flip_rects(ui.painter(), model) {
        let flip = &model.flips[index];
        let Cue::Planned(gesture) = flip.cue else { continue };
        let id = ui.scope_id().with(("strip flip", round, index));
        let sense = if movable { Sense::click_and_drag() } else { Sense::click() };
        let response = ui.interact(rect, id, sense).on_hover_text(&flip.spoken);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &flip.spoken));
        if response.clicked() || response.drag_started() {
            intents.push(DrillIntent::Select(gesture).into());
        }
        if response.drag_started()
            && let Some(pointer) = ui.input(|input| input.pointer.press_origin())
        {
            holds = Some(drag::Held { gesture, grip: pointer.x - layout.x(flip.at, model.length, round) });
        } else if response.dragged() || response.drag_stopped() {
            holds = held;
        }
    }
    holds
}

/// Shows where the held flip could go, and moves it there once it is let go.
fn moved_ui(
    open: Open<'_>,
    layout: &Layout,
    model: &StripModel,
    held: drag::Held,
    ui: &mut Ui,
    intents: &mut Vec<Intent>,
) {
    let Some(gesture) = open.planned.plan.gestures.get(held.gesture) else { return };
    let Some(costs) = open.state.costs.as_ref().filter(|costs| costs.gesture == held.gesture) else { return };
    let Some(pointer) = ui.input(|input| input.pointer.latest_pos()) else { return };
    let Some(target) = drag::nearest(costs, gesture, layout, model, pointer.x - held.grip) else { return };
    let painter = ui.painter_at(layout.whole.shrink(2.0).with_min_x(layout.strings.left()));
    drag::Picture { open, palette: theme::palette(ui), layout, model, gesture, costs, target }.paint(&painter);
    if ui.input(|input| input.pointer.any_released()) && target.at != gesture.at {
        intents.push(PlanIntent::MoveTo(target.at).into());
    }
}
