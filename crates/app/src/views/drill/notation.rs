//! The loop engraved, with its beats, its flips and the present moment on the same axis.

use eframe::egui::{Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, vec2};
use leverlane_core::drill::{Accent, EventKind};
use leverlane_core::score::NoteKind;
use leverlane_core::time::Ticks;

use crate::intent::Intent;
use crate::state::{Cut, Loop, Movement, Notes, Page, PassPlace, Piece, State};
use crate::theme;
use crate::views::Open;
use crate::views::score::layout::{Layout, fits_one_system, spaces_of_loop};
use crate::views::score::model::{Drilled, ScoreModel};
use crate::views::score::{self, Pictures, paint};

/// What the notation remembers between frames.
#[derive(Default)]
pub struct NotationView {
    revision: u64,
    model: ScoreModel,
    pictures: Pictures,
}

/// Whether the loop is shown as notation: it is wanted, and there is something to draw and no trouble with it.
pub fn is_shown(state: &State) -> bool {
    state.drill.notes == Notes::Engraved && (state.score.drawing().is_some() || state.score.is_awaited())
}

/// Asks for the drawing of the loop that fits the room.
pub fn want_drawing(open: Open<'_>, room: Vec2, intents: &mut Vec<Intent>) {
    let Some(looped) = open.state.drill.looped.as_deref() else { return };
    if open.state.drill.notes == Notes::Engraved {
        let room = room - vec2(HANDS + 20.0, 12.0);
        score::want_drawing(open, cut(open.piece, looped, room), intents);
    }
}

/// The written bars of a loop, on one system where they can be read so. Where the loop jumps, what lies between is drawn
/// as well.
fn cut(piece: &Piece, looped: &Loop, room: Vec2) -> Cut {
    let played = piece.performance.bars().get(looped.chunk.first..=looped.chunk.last).unwrap_or_default();
    let indices = || played.iter().map(|bar| bar.bar.get());
    let bars = indices().min().unwrap_or(0)..indices().max().map_or(0, |last| last + 1);
    let one = fits_one_system(room, usual_width(piece, &bars) + looped.chunk.seam_length().quarters() as f32 * 4.5);
    let page = if one { Page::OneSystem } else { Page::Systems(spaces_of_loop(room)) };
    Cut { bars, flips: looped.chunk.gestures.clone(), page }
}

/// About how many staff spaces some bars take: clef, key and meter, then bar lines and onsets (looked at in drawings).
fn usual_width(piece: &Piece, bars: &std::ops::Range<usize>) -> f32 {
    let mut onsets: Vec<(usize, Ticks)> = piece
        .score
        .notes()
        .filter(|(_, note)| bars.contains(&note.bar.get()) && note.kind == NoteKind::Timed)
        .map(|(_, note)| (note.bar.get(), note.onset))
        .collect();
    onsets.sort_unstable();
    onsets.dedup();
    12.0 + 3.0 * bars.len() as f32 + 3.4 * onsets.len() as f32
}

/// Room for what says which staff is whose.
const HANDS: f32 = 34.0;

/// Draws the notation in a place of the given size.
pub fn notation_ui(open: Open<'_>, view: &mut NotationView, room: Vec2, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let Open { state, piece, planned } = open;
    let (Some(drawing), Some(drilled)) = (state.score.drawing(), Drilled::of(state)) else {
        // In a moment it is there; till then nothing else flashes up in its place.
        let (rect, _) = ui.allocate_exact_size(room, Sense::hover());
        card(ui, rect);
        return;
    };
    if view.pictures.begin_frame(drawing) || view.revision != state.revision {
        view.revision = state.revision;
        view.model = ScoreModel::of_loop(state.words(), piece, planned, drawing, drilled);
    }
    let (rect, _) = ui.allocate_exact_size(room, Sense::hover());
    card(ui, rect);
    let inner = rect.shrink2(vec2(10.0, 6.0));
    // At the left it says which staff is whose.
    let music = inner.with_min_x(inner.left() + HANDS);
    let layout = Layout::of_loop(drawing, view.model.seam_width(), music.size());
    let place = state.drill.transport.place().map(|place| shown_place(state, drilled.looped, place));
    let moment = place.and_then(|place| {
        let (system, x) = view.model.place_of(piece, drawing, drilled.looped, place.at)?;
        Some((system, paint::Moment { x, at: place.at }))
    });
    let mut inside = ui.new_child(eframe::egui::UiBuilder::new().max_rect(inner));
    let mut area = ScrollArea::vertical().auto_shrink(false).id_salt("notation");
    if let Some((system, _)) = moment {
        // The page turns with the music.
        let most = (layout.height() - inner.height()).max(0.0);
        area = area.vertical_scroll_offset(layout.system(system).top().min(most));
    }
    area.show_viewport(&mut inside, |ui, seen| {
        // What fits stands in the middle of its room.
        let left_over = vec2(music.width() - layout.width(), music.height() - layout.height()).max(Vec2::ZERO);
        let size = vec2(ui.available_width(), layout.height().max(inner.height()));
        let (whole, response) = ui.allocate_exact_size(size, Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &view.model.summary));
        let corner = whole.min + vec2(HANDS, 0.0) + left_over * 0.5;
        for index in layout.in_sight(seen) {
            let place = layout.system(index).translate(corner.to_vec2());
            let picture = view.pictures.of(&state.score.engraved, index, layout.sizes().space, ui, intents);
            let moment = moment.filter(|(system, _)| *system == index).map(|(_, moment)| moment);
            let shown = paint::Shown { layout: &layout, place, index, model: &view.model, moment };
            paint::system(state, ui, &shown, &drawing.systems[index], picture);
            paint::hands(state, ui, &shown, &drawing.systems[index]);
            score::flips_to_click(state, ui, &shown, intents);
        }
    });
    view.pictures.end_frame();
}

fn card(ui: &Ui, rect: Rect) {
    let palette = theme::palette(ui);
    ui.painter().rect(rect, theme::ROUND, palette.card, Stroke::new(1.0, palette.line), StrokeKind::Inside);
}

/// The moment as it is shown: with less movement, the beat that has begun.
fn shown_place(state: &State, looped: &Loop, place: PassPlace) -> PassPlace {
    match state.settings.movement {
        Movement::Gliding => place,
        Movement::Stepping => {
            let clicks = looped.timeline.events.iter().filter(|event| {
                matches!(event.kind, EventKind::Click(Accent::Bar | Accent::Beat)) && event.at <= place.at
            });
            let at = clicks.map(|click| click.at).max().unwrap_or(place.at.min(Ticks::ZERO));
            PassPlace { at, ..place }
        }
    }
}
