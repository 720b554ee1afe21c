//! What stands on each system beside the notation, derived when the drawing, the plan or a verdict changes.

use leverlane_core::drill::{Cue, PassResult, PlayedHands};
use leverlane_core::meter::Counting;
use leverlane_core::plan::Gesture;
use leverlane_core::score::{BarIndex, Hand, NoteRef};
use leverlane_core::time::Ticks;
use leverlane_core::verdict::NoteOutcome;
use leverlane_engraving::{Drawing, Span, System};

use crate::names;
use crate::state::{Loop, Piece, Placed, Planned, State};
use crate::widgets::FlipMark;
use crate::words::Words;

/// All systems.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ScoreModel {
    /// In the drawing's order.
    pub systems: Vec<SystemModel>,
    /// The bars counted at the loop's seam, behind the last system; none in the Piece, and where a loop needs none.
    pub seam: Option<Seam>,
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
    /// The loop's notes that are the player's.
    pub notes: Vec<NotePlace>,
}

/// The bars without notes in which the levers are brought back.
#[derive(Clone, Debug, PartialEq)]
pub struct Seam {
    /// Where they stand, in staff spaces from the left of the last system.
    pub across: Span,
    /// Their beats, with their numbers.
    pub beats: Vec<(f32, u32)>,
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
    /// Which flip.
    pub cue: Cue,
    /// Where it stands.
    pub x: f32,
    /// Its mark.
    pub mark: FlipMark,
    /// What became of it in the last pass.
    pub outcome: Option<PassResult>,
    /// For the ear.
    pub spoken: String,
}

impl FlipPlace {
    /// Its place in the plan; none for one that brings a lever back at the seam.
    pub fn gesture(&self) -> Option<usize> {
        match self.cue {
            Cue::Planned(gesture) => Some(gesture),
            Cue::Reset(_) => None,
        }
    }
}

/// A note of the loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NotePlace {
    /// Its head's left and right edges.
    pub across: Span,
    /// Its head's top and bottom edges.
    pub down: Span,
    /// The hand that plays it.
    pub hand: Hand,
    /// When it is plucked, from the start of the pass.
    pub from: Ticks,
    /// Where its written length ends.
    pub until: Ticks,
    /// What became of it in the last pass that was heard.
    pub outcome: Option<NoteOutcome>,
}

/// What the drill adds to a score.
#[derive(Clone, Copy, Debug)]
pub struct Drilled<'a> {
    /// What is looped.
    pub looped: &'a Loop,
    /// The hands that are the player's.
    pub hands: PlayedHands,
    /// What became of the notes in the last pass that was heard, by their plucks.
    pub notes: &'a [(usize, NoteOutcome)],
    /// What became of a gesture in the last pass.
    pub flip: Option<(usize, PassResult)>,
}

impl<'a> Drilled<'a> {
    /// Of what the window knows; none while nothing is looped.
    pub fn of(state: &'a State) -> Option<Drilled<'a>> {
        let looped = state.drill.looped.as_deref()?;
        let desk = &state.drill.pass;
        let flip = || Some((state.drill.selected?, desk.flip_result()?));
        let notes = &desk.heard_notes;
        Some(Drilled { looped, hands: state.played_hands(), notes, flip: flip() })
    }
}

/// A quarter note of the seam, in staff spaces: about as wide as one with a note.
const SEAM_QUARTER: f32 = 4.5;
/// Between the last bar line and the seam.
const BEFORE_SEAM: f32 = 1.0;

impl ScoreModel {
    /// What stands on the systems of the whole piece.
    pub fn of_piece(
        words: Words,
        piece: &Piece,
        planned: &Planned,
        drawing: &Drawing,
        drilled: Option<Drilled<'_>>,
    ) -> ScoreModel {
        let flips = |system: &System| flips_of_piece(words, piece, planned, system, drilled);
        let mut model = ScoreModel::new(piece, drawing, drilled, flips);
        for (shown, system) in model.systems.iter_mut().zip(&drawing.systems) {
            shown.looped = drilled.map_or_else(Vec::new, |drilled| looped_spans(piece, drilled.looped, system));
        }
        let gaps = [("bars", piece.score.bars().len().into()), ("flips", planned.plan.gestures.len().into())];
        model.summary = words.with("score-spoken", gaps);
        model
    }

    /// What stands on the systems of a loop alone, its seam included.
    pub fn of_loop(
        words: Words,
        piece: &Piece,
        planned: &Planned,
        drawing: &Drawing,
        drilled: Drilled<'_>,
    ) -> ScoreModel {
        let gestures: Vec<Placed<'_>> = drilled.looped.gestures(&planned.plan).collect();
        let flips = |system: &System| flips_of_loop(words, piece, &gestures, system, drilled);
        let mut model = ScoreModel::new(piece, drawing, Some(drilled), flips);
        model.seam = seam(drawing, drilled.looped);
        if let (Some(seam), Some(last)) = (&model.seam, model.systems.last_mut()) {
            let music = drilled.looped.chunk.music_length();
            for placed in gestures.iter().filter(|placed| matches!(placed.cue, Cue::Reset(_))) {
                let x = seam.across.from + (placed.at - music).quarters() as f32 * SEAM_QUARTER;
                last.flips.push(flip_place(words, piece, placed.cue, placed.gesture, x, None));
            }
        }
        model.summary = spoken_loop(words, &model, drilled);
        model
    }

    fn new(
        piece: &Piece,
        drawing: &Drawing,
        drilled: Option<Drilled<'_>>,
        flips: impl Fn(&System) -> Vec<FlipPlace>,
    ) -> ScoreModel {
        let systems = drawing.systems.iter().map(|system| SystemModel {
            beats: beats(piece, system),
            bars: system
                .bars
                .iter()
                .map(|shown| {
                    (shown.across.from, piece.score.bar(shown.bar).map_or_else(String::new, |b| b.number.clone()))
                })
                .collect(),
            flips: flips(system),
            looped: Vec::new(),
            notes: drilled.map_or_else(Vec::new, |drilled| notes(piece, drilled, system)),
        });
        ScoreModel { systems: systems.collect(), seam: None, summary: String::new() }
    }

    /// How many staff spaces stand behind the last system.
    pub fn seam_width(&self) -> f32 {
        self.seam.as_ref().map_or(0.0, |seam| seam.across.to - seam.across.from + BEFORE_SEAM)
    }

    /// The system on which a flip stands.
    pub fn system_of(&self, gesture: usize) -> Option<usize> {
        let is_it = |flip: &FlipPlace| flip.gesture() == Some(gesture);
        self.systems.iter().position(|system| system.flips.iter().any(is_it))
    }

    /// Where a moment of the pass stands: its system, and the place on it. The count-in stands where the pass begins.
    pub fn place_of(&self, piece: &Piece, drawing: &Drawing, looped: &Loop, at: Ticks) -> Option<(usize, f32)> {
        let (chunk, at) = (&looped.chunk, at.max(Ticks::ZERO));
        if let Some(seam) = self.seam.as_ref().filter(|_| at >= chunk.music_length()) {
            let x = seam.across.from + (at - chunk.music_length()).quarters() as f32 * SEAM_QUARTER;
            return Some((self.systems.len().checked_sub(1)?, x.min(seam.across.to)));
        }
        let moment = chunk.starts + at;
        let played = piece.performance.bars().get(piece.performance.bar_at(moment).clamp(chunk.first, chunk.last))?;
        let system = drawing.system_of(played.bar)?;
        Some((system, drawing.systems.get(system)?.onsets.x(played.bar, moment - played.starts)?))
    }
}

fn spoken_loop(words: Words, model: &ScoreModel, drilled: Drilled<'_>) -> String {
    let chunk = &drilled.looped.chunk;
    let bars = ("bars", (chunk.last + 1 - chunk.first).into());
    let flips = ("flips", chunk.gestures.len().into());
    let count = |wanted: NoteOutcome| {
        let notes = model.systems.iter().flat_map(|system| &system.notes);
        notes.filter(|note| note.outcome == Some(wanted)).count()
    };
    if drilled.notes.is_empty() {
        return words.with("score-spoken", [bars, flips]);
    }
    let gaps = [
        bars,
        flips,
        ("hit", count(NoteOutcome::Hit).into()),
        ("missed", count(NoteOutcome::Missed).into()),
        ("wrong", count(NoteOutcome::WrongLever).into()),
        ("unheard", count(NoteOutcome::NotHeard).into()),
    ];
    words.with("score-spoken-pass", gaps)
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
fn flips_of_piece(
    words: Words,
    piece: &Piece,
    planned: &Planned,
    system: &System,
    drilled: Option<Drilled<'_>>,
) -> Vec<FlipPlace> {
    let mut found: Vec<FlipPlace> = Vec::new();
    for (index, gesture) in planned.plan.gestures.iter().enumerate() {
        let Some(x) = x_of(piece, gesture, system) else { continue };
        let flip = flip_place(words, piece, Cue::Planned(index), gesture, x, drilled);
        if !found.iter().any(|known| known.mark == flip.mark && (known.x - x).abs() < 0.01) {
            found.push(flip);
        }
    }
    found.sort_by(|one, other| one.x.total_cmp(&other.x));
    found
}

/// The planned flips of one pass through a loop.
fn flips_of_loop(
    words: Words,
    piece: &Piece,
    gestures: &[Placed<'_>],
    system: &System,
    drilled: Drilled<'_>,
) -> Vec<FlipPlace> {
    let planned = gestures.iter().filter(|placed| matches!(placed.cue, Cue::Planned(_)));
    let mut found: Vec<FlipPlace> = planned
        .filter_map(|placed| {
            let x = x_of(piece, placed.gesture, system)?;
            Some(flip_place(words, piece, placed.cue, placed.gesture, x, Some(drilled)))
        })
        .collect();
    found.sort_by(|one, other| one.x.total_cmp(&other.x));
    found
}

fn x_of(piece: &Piece, gesture: &Gesture, system: &System) -> Option<f32> {
    let played = piece.performance.bars().get(gesture.played_bar)?;
    system.onsets.x(played.bar, gesture.at - played.starts)
}

fn flip_place(
    words: Words,
    piece: &Piece,
    cue: Cue,
    gesture: &Gesture,
    x: f32,
    drilled: Option<Drilled<'_>>,
) -> FlipPlace {
    let flip = ("flip", names::gesture_spoken(words, gesture).into());
    let hand = ("hand", names::hand(words, gesture.hand).into());
    let spoken = match cue {
        Cue::Planned(_) => {
            let place = names::place(words, piece, gesture.played_bar, gesture.at);
            words.with("strip-flip-spoken", [flip, hand, ("place", place.into())])
        }
        Cue::Reset(_) => words.with("strip-reset-spoken", [flip, hand]),
    };
    let outcome = drilled.and_then(|drilled| drilled.flip).filter(|(gesture, _)| cue == Cue::Planned(*gesture));
    FlipPlace { cue, x, mark: FlipMark::of(words, gesture), outcome: outcome.map(|(_, outcome)| outcome), spoken }
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

/// The heads of the notes that the player plucks in the loop. A note played twice in it stands there once, as of the last
/// time.
fn notes(piece: &Piece, drilled: Drilled<'_>, system: &System) -> Vec<NotePlace> {
    let chunk = &drilled.looped.chunk;
    let plucks = piece.performance.plucks();
    let from = plucks.partition_point(|pluck| pluck.at < chunk.starts);
    let to = plucks.partition_point(|pluck| pluck.at < chunk.ends);
    let mut played: Vec<(NoteRef, usize)> =
        (from..to).filter(|&index| drilled.hands.plays(plucks[index].hand)).map(|i| (plucks[i].note, i)).collect();
    played.sort_unstable();
    let placed = system.notes.iter().filter_map(|boxed| {
        let after = played.partition_point(|(note, _)| *note <= boxed.note);
        let (note, index) = *played.get(after.checked_sub(1)?)?;
        let pluck = plucks.get(index).filter(|_| note == boxed.note)?;
        let outcome = drilled.notes.iter().find(|(heard, _)| *heard == index).map(|(_, outcome)| *outcome);
        Some(NotePlace {
            across: boxed.across,
            down: boxed.down,
            hand: pluck.hand,
            from: pluck.at - chunk.starts,
            until: pluck.written_end - chunk.starts,
            outcome,
        })
    });
    placed.collect()
}

fn seam(drawing: &Drawing, looped: &Loop) -> Option<Seam> {
    let left = drawing.systems.last()?.width + BEFORE_SEAM;
    let chunk = &looped.chunk;
    let x = |at: Ticks| left + at.quarters() as f32 * SEAM_QUARTER;
    let (mut beats, mut starts) = (Vec::new(), Ticks::ZERO);
    for bar in &chunk.seam {
        let mut at = -bar.anacrusis;
        for (index, length) in bar.meter.beats(Counting::Beats).into_iter().enumerate() {
            if at >= Ticks::ZERO && at < bar.length {
                beats.push((x(starts + at), u32::try_from(index + 1).unwrap_or(u32::MAX)));
            }
            at += length;
        }
        starts += bar.length;
    }
    (starts > Ticks::ZERO).then(|| Seam { across: Span { from: left, to: x(starts) }, beats })
}
