//! What stands on each system beside the notation, derived when the drawing or the plan changes.

use leverlane_core::meter::Counting;
use leverlane_core::score::{BarIndex, Hand};
use leverlane_core::time::Ticks;
use leverlane_engraving::{Drawing, Span, System};

use crate::names;
use crate::state::{Loop, Piece, Planned};
use crate::widgets::FlipMark;
use crate::words::Words;

/// All systems.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ScoreModel {
    /// In the drawing's order.
    pub systems: Vec<SystemModel>,
    /// For the ear.
    pub summary: String,
}

/// One system; places are staff spaces from its left.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SystemModel {
    /// The counted beats.
    pub beats: Vec<Beat>,
    /// Bar lines with the number of the bar that begins there.
    pub bars: Vec<(f32, String)>,
    /// The flips in order of place.
    pub flips: Vec<FlipPlace>,
    /// What is looped.
    pub looped: Vec<Span>,
}

/// A counted beat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beat {
    /// The bar.
    pub bar: BarIndex,
    /// Where in it.
    pub at: Ticks,
    /// Where it stands.
    pub x: f32,
    /// Its number in the bar, from 1.
    pub number: u32,
}

/// A flip's place.
#[derive(Clone, Debug, PartialEq)]
pub struct FlipPlace {
    /// Its place in the plan.
    pub gesture: usize,
    /// Where it stands.
    pub x: f32,
    /// Its mark.
    pub mark: FlipMark,
    /// The hand.
    pub hand: Hand,
    /// For the ear.
    pub spoken: String,
}

impl ScoreModel {
    /// What stands on the systems of a drawing.
    pub fn new(words: Words, piece: &Piece, planned: &Planned, drawing: &Drawing, looped: Option<&Loop>) -> ScoreModel {
        let systems = drawing.systems.iter().map(|system| SystemModel {
            beats: beats(piece, system),
            bars: system
                .bars
                .iter()
                .map(|shown| {
                    (shown.across.from, piece.score.bar(shown.bar).map_or_else(String::new, |b| b.number.clone()))
                })
                .collect(),
            flips: flips(words, piece, planned, system),
            looped: looped.map_or_else(Vec::new, |looped| looped_spans(piece, looped, system)),
        });
        let gaps = [("bars", piece.score.bars().len().into()), ("flips", planned.plan.gestures.len().into())];
        ScoreModel { systems: systems.collect(), summary: words.with("score-spoken", gaps) }
    }

    /// The system on which a flip stands.
    pub fn system_of(&self, gesture: usize) -> Option<usize> {
        self.systems.iter().position(|system| system.flips.iter().any(|flip| flip.gesture == gesture))
    }
}

fn beats(piece: &Piece, system: &System) -> Vec<Beat> {
    let mut beats = Vec::new();
    for shown in &system.bars {
        let Some(bar) = piece.score.bar(shown.bar) else { continue };
        let mut at = -bar.anacrusis;
        for (index, length) in bar.meter.beats(Counting::Beats).into_iter().enumerate() {
            if at >= Ticks::ZERO
                && at < bar.length
                && let Some(x) = system.onsets.x(shown.bar, at)
            {
                beats.push(Beat { bar: shown.bar, at, x, number: u32::try_from(index + 1).unwrap_or(u32::MAX) });
            }
            at += length;
        }
    }
    beats
}

/// Of flips that stand on one written place on several times through the first is shown; the others are reached in the
/// list.
fn flips(words: Words, piece: &Piece, planned: &Planned, system: &System) -> Vec<FlipPlace> {
    let mut found: Vec<FlipPlace> = Vec::new();
    for (index, gesture) in planned.plan.gestures.iter().enumerate() {
        let Some(played) = piece.performance.bars().get(gesture.played_bar) else { continue };
        let Some(x) = system.onsets.x(played.bar, gesture.at - played.starts) else { continue };
        let mark = FlipMark::of(words, gesture);
        if found.iter().any(|known| known.mark == mark && (known.x - x).abs() < 0.01) {
            continue;
        }
        let place = names::place(words, piece, gesture.played_bar, gesture.at);
        let gaps = [
            ("flip", names::gesture_spoken(words, gesture).into()),
            ("hand", names::hand(words, gesture.hand).into()),
            ("place", place.into()),
        ];
        let spoken = words.with("strip-flip-spoken", gaps);
        found.push(FlipPlace { gesture: index, x, mark, hand: gesture.hand, spoken });
    }
    found.sort_by(|one, other| one.x.total_cmp(&other.x));
    found
}

fn looped_spans(piece: &Piece, looped: &Loop, system: &System) -> Vec<Span> {
    let played = piece.performance.bars().get(looped.chunk.first..=looped.chunk.last).unwrap_or_default();
    let mut spans: Vec<Span> = Vec::new();
    for shown in system.bars.iter().filter(|shown| played.iter().any(|bar| bar.bar == shown.bar)) {
        match spans.last_mut() {
            Some(last) if (last.to - shown.across.from).abs() < 0.2 => last.to = shown.across.to,
            _ => spans.push(shown.across),
        }
    }
    spans
}
