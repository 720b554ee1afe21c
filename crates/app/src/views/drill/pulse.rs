//! The beat for the eye: a mark that glides from beat to beat through the bar, as a conductor's hand does.
//!
//! Nothing flashes. Where less movement is wanted the mark steps instead, and at most three times a second (WCAG 2.2,
//! 2.3.1: no more than three flashes in any second).

use eframe::egui::{Sense, Stroke, Ui, pos2, vec2};
use leverlane_core::drill::{Accent, Event, EventKind, Timeline};
use leverlane_core::time::{ScoreTime, Ticks};

use crate::state::{Movement, PassPlace, State};
use crate::theme;

/// How high it is drawn.
const HEIGHT: f32 = 22.0;
/// Steps are no nearer to each other than this, in seconds.
const SHORTEST_STEP: f64 = 1.0 / 3.0;

/// Where the mark is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swing {
    /// The beat of the bar that has begun, from 0.
    pub beat: usize,
    /// The beats in the bar.
    pub beats: usize,
    /// How far on to the next beat, 0 to 1.
    pub into: f64,
}

/// Where the mark is at a place; none where no click sounds, for what fades to the ear fades to the eye.
pub fn swing(timeline: &Timeline, place: PassPlace) -> Option<Swing> {
    let (events, at) = if place.is_count_in() {
        (&timeline.count_in, place.at + timeline.count_in_length)
    } else {
        (&timeline.events, place.at)
    };
    let clicks = || events.iter().filter_map(beat_click);
    let bar = clicks().rfind(|(click, accent)| *accent == Accent::Bar && *click <= at);
    let from = bar.map_or(Ticks::ZERO, |(click, _)| click);
    let next = clicks().find(|(click, accent)| *accent == Accent::Bar && *click > at).map(|(click, _)| click);
    let beats: Vec<Ticks> = clicks()
        .map(|(click, _)| click)
        .filter(|click| *click >= from && next.is_none_or(|next| *click < next))
        .collect();
    let beat = beats.iter().rposition(|click| *click <= at)?;
    let length = match (beats.get(beat + 1), beat.checked_sub(1).and_then(|before| beats.get(before))) {
        (Some(&after), _) => after - beats[beat],
        (None, Some(&before)) => beats[beat] - before,
        (None, None) => next.map_or(Ticks::QUARTER, |next| next - beats[beat]),
    };
    let into = (at - beats[beat]).get() as f64 / length.get().max(1) as f64;
    (into < 1.0).then_some(Swing { beat, beats: beats.len(), into })
}

fn beat_click(event: &Event) -> Option<(Ticks, Accent)> {
    match event.kind {
        EventKind::Click(accent) if accent != Accent::Division => Some((event.at, accent)),
        _ => None,
    }
}

/// The place of the mark along its track, 0 to 1: evenly from beat to beat, and back to the first during the last.
pub fn along(swing: Swing, movement: Movement, beat_lasts: f64) -> f64 {
    let last = swing.beats.saturating_sub(1).max(1) as f64;
    let place = |beat: usize| beat as f64 / last;
    match movement {
        Movement::Stepping if beat_lasts < SHORTEST_STEP => place(swing.beat - swing.beat % 2),
        Movement::Stepping => place(swing.beat),
        Movement::Gliding => {
            let next = if swing.beat + 1 < swing.beats { place(swing.beat + 1) } else { 0.0 };
            place(swing.beat) + (next - place(swing.beat)) * swing.into
        }
    }
}

/// Draws the track and the mark on it.
pub fn pulse_ui(state: &State, ui: &mut Ui) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::hover());
    let (Some(looped), Some(place)) = (&state.drill.looped, state.drill.transport.place()) else { return };
    let Some(swing) = swing(&looped.timeline, place) else { return };
    let palette = theme::palette(ui);
    let track = rect.shrink2(vec2(HEIGHT, 0.0));
    let x = |part: f64| track.left() + track.width() * part as f32;
    let last = swing.beats.saturating_sub(1).max(1) as f64;
    for beat in 0..swing.beats {
        let half = if beat == 0 { HEIGHT / 2.0 } else { HEIGHT / 4.0 };
        let x = x(beat as f64 / last);
        let ends = [pos2(x, track.center().y - half), pos2(x, track.center().y + half)];
        ui.painter().line_segment(ends, Stroke::new(2.0, palette.line));
    }
    let tempo = looped.timeline.tempo.tempo_at(ScoreTime::from_start(place.at.max(Ticks::ZERO)));
    let beat_lasts = tempo.lasting(tempo.beat()).get();
    let at = x(along(swing, state.settings.movement, beat_lasts));
    ui.painter().circle_filled(pos2(at, track.center().y), HEIGHT * 0.4, palette.accent);
}

#[cfg(test)]
mod tests {
    use leverlane_core::time::{Tempo, TempoMap};

    use super::*;

    /// Two bars of three quarters, clicked on every beat; one bar of count-in.
    fn timeline() -> Timeline {
        let click = |beat: i64| Event {
            at: Ticks::QUARTER * beat,
            kind: EventKind::Click(if beat % 3 == 0 { Accent::Bar } else { Accent::Beat }),
        };
        Timeline {
            count_in: (0..3).map(click).collect(),
            count_in_length: Ticks::QUARTER * 3,
            length: Ticks::QUARTER * 6,
            events: (0..6).map(click).collect(),
            tempo: TempoMap::steady(Tempo::quarters(60.0).unwrap()),
        }
    }

    /// Arithmetic: the fifth quarter is the second beat of the second bar; three quarters before the start the count-in
    /// begins.
    #[test]
    fn the_mark_is_on_its_beat_when_the_click_is() {
        let timeline = timeline();
        let at = |quarters: f64| PassPlace { pass: 0, at: Ticks::new((quarters * Ticks::PER_QUARTER as f64) as i64) };
        assert_eq!(swing(&timeline, at(4.0)), Some(Swing { beat: 1, beats: 3, into: 0.0 }));
        assert_eq!(swing(&timeline, at(-2.5)), Some(Swing { beat: 0, beats: 3, into: 0.5 }));
        let half = |beat| Swing { beat, beats: 3, into: 0.5 };
        assert_eq!(along(half(0), Movement::Gliding, 1.0), 0.25);
        assert_eq!(along(half(2), Movement::Gliding, 1.0), 0.5, "on its way back to the first beat");
        assert_eq!(along(half(1), Movement::Stepping, 1.0), 0.5);
        assert_eq!(along(half(1), Movement::Stepping, 0.3), 0.0, "no more than three steps a second");
    }

    #[test]
    fn where_no_click_sounds_no_mark_moves() {
        let mut timeline = timeline();
        timeline.events.retain(|event| event.at < Ticks::QUARTER * 3);
        let at = PassPlace { pass: 0, at: Ticks::QUARTER * 4 };
        assert_eq!(swing(&timeline, at), None);
    }
}
