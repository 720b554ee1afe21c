//! Choosing bars by dragging over the score, or by the ends of the bars that are chosen.

use eframe::egui::{CursorIcon, Pos2, Rect, Response, Ui};
use leverlane_core::score::BarIndex;
use leverlane_engraving::{Drawing, Span};

use super::layout::Layout;
use super::paint;
use crate::intent::{DrillIntent, Intent};
use crate::state::{Piece, State};
use crate::theme;

/// What the player has taken hold of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hold {
    /// New bars, from this one on.
    From(BarIndex),
    /// The beginning of those that are chosen.
    Begin,
    /// Their end.
    End,
}

/// Bars by their places in playing order, both ends included.
#[derive(Clone, Copy)]
struct Bars {
    first: usize,
    last: usize,
}

/// As near to an end as this, in points, and the end is taken.
const NEAR_END: f32 = 9.0;

/// A score on the screen.
#[derive(Clone, Copy)]
pub(super) struct Page<'a> {
    pub(super) drawing: &'a Drawing,
    pub(super) layout: &'a Layout,
    /// Its upper left corner.
    pub(super) corner: Pos2,
}

impl Page<'_> {
    fn place(&self, system: usize) -> Rect {
        self.layout.system(system).translate(self.corner.to_vec2())
    }

    /// The bar at a point, or the nearest one of the nearest system.
    fn bar_at(&self, point: Pos2) -> Option<BarIndex> {
        let index = self.layout.nearest_system(point.y - self.corner.y);
        let place = self.place(index);
        let x = (point.x - place.left()) / self.layout.sizes().space;
        let bars = &self.drawing.systems.get(index)?.bars;
        let away = |across: Span| (across.from - x).max(x - across.to).max(0.0);
        bars.iter().min_by(|a, b| away(a.across).total_cmp(&away(b.across))).map(|found| found.bar)
    }

    /// The end of the chosen bars at a point.
    fn end_at(&self, point: Pos2, piece: &Piece, chosen: Bars) -> Option<Hold> {
        let written = |played: usize| piece.performance.bars().get(played).map(|bar| bar.bar);
        let edge = |bar: BarIndex, edge: fn(Span) -> f32| {
            let index = self.drawing.system_of(bar)?;
            let place = self.place(index);
            let across = self.drawing.systems.get(index)?.bars.iter().find(|shown| shown.bar == bar)?.across;
            let x = self.layout.x(place, edge(across));
            Some((point.x - x).abs() <= NEAR_END && place.y_range().contains(point.y))
        };
        let is_begin = edge(written(chosen.first)?, |across| across.from) == Some(true);
        let is_end = edge(written(chosen.last)?, |across| across.to) == Some(true);
        match (is_begin, is_end) {
            (_, true) => Some(Hold::End),
            (true, false) => Some(Hold::Begin),
            (false, false) => None,
        }
    }
}

/// Follows the pointer over the score; once it lets go, the bars are looped. Gives back what is held.
pub(super) fn choosing_ui(
    state: &State,
    piece: &Piece,
    page: Page<'_>,
    hold: Option<Hold>,
    response: &Response,
    ui: &Ui,
    intents: &mut Vec<Intent>,
) -> Option<Hold> {
    let chosen = state.drill.looped.as_ref().map(|looped| Bars { first: looped.chunk.first, last: looped.chunk.last });
    if let Some(point) = response.hover_pos().filter(|_| hold.is_none())
        && chosen.is_some_and(|chosen| page.end_at(point, piece, chosen).is_some())
    {
        ui.ctx().set_cursor_icon(CursorIcon::ResizeHorizontal);
    }
    let hold = if response.drag_started() {
        let origin = ui.input(|input| input.pointer.press_origin())?;
        chosen.and_then(|chosen| page.end_at(origin, piece, chosen)).or_else(|| page.bar_at(origin).map(Hold::From))
    } else {
        hold
    }?;
    let far = page.bar_at(ui.input(|input| input.pointer.latest_pos())?)?;
    let bars = held_bars(piece, hold, far, chosen);
    if let Some(bars) = bars {
        show(piece, page, bars, ui);
    }
    if response.dragged() {
        return Some(hold);
    }
    if response.drag_stopped() {
        intents.extend(bars.map(|bars| DrillIntent::TakeBars { first: bars.first, last: bars.last }.into()));
    }
    None
}

/// The bars in playing order that are meant. A bar that is played several times is meant as it is played nearest to the
/// bars that are chosen.
fn held_bars(piece: &Piece, hold: Hold, far: BarIndex, chosen: Option<Bars>) -> Option<Bars> {
    let played = piece.performance.bars();
    let times = |bar: BarIndex| (0..played.len()).filter(move |&index| played[index].bar == bar);
    let near = chosen.map_or(0, |chosen| chosen.first);
    match hold {
        Hold::From(anchor) => {
            let after = |from: BarIndex, to: BarIndex| {
                let pair = move |first: usize| {
                    Some(Bars { first, last: (first..played.len()).find(|&i| played[i].bar == to)? })
                };
                times(from).filter_map(pair).min_by_key(|bars| (bars.last - bars.first, bars.first.abs_diff(near)))
            };
            if anchor <= far { after(anchor, far) } else { after(far, anchor) }
        }
        Hold::Begin => {
            let Bars { first, last } = chosen?;
            let begin = times(far).filter(|&begin| begin <= last).min_by_key(|begin| begin.abs_diff(first))?;
            Some(Bars { first: begin, last })
        }
        Hold::End => {
            let Bars { first, last } = chosen?;
            let end = times(far).filter(|&end| end >= first).min_by_key(|end| end.abs_diff(last))?;
            Some(Bars { first, last: end })
        }
    }
}

fn show(piece: &Piece, page: Page<'_>, bars: Bars, ui: &Ui) {
    let ink = theme::palette(ui).flip;
    let played = piece.performance.bars().get(bars.first..=bars.last).unwrap_or_default();
    for (index, system) in page.drawing.systems.iter().enumerate() {
        for shown in system.bars.iter().filter(|shown| played.iter().any(|bar| bar.bar == shown.bar)) {
            paint::band(ui.painter(), page.layout, page.place(index), shown.across, ink);
        }
    }
}
