//! What a pass through a chunk asks of the player.

use crate::drill::{Chunk, EventKind, PlayedHands, Timeline, TimelineOptions};
use crate::harp::{Harp, LeverState, StringNumber};
use crate::pitch::{MidiNote, SpelledPitch};
use crate::plan::{Flip, Plan};
use crate::score::{Hand, Performance, Pluck};
use crate::time::{ScoreTime, Seconds, Ticks};

/// The notes and flips of one pass, at its tempo.
#[derive(Clone, Debug, PartialEq)]
pub struct ExpectedPass {
    /// The notes she is to play, by time.
    pub notes: Vec<ExpectedNote>,
    /// The flips she is to make, by time.
    pub flips: Vec<ExpectedFlip>,
    /// How long a beat lasts at the opening tempo.
    pub beat: Seconds,
}

/// A note to be played.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExpectedNote {
    /// From the start of the pass.
    pub at: Seconds,
    /// What it is to sound.
    pub note: MidiNote,
    /// What it would sound, were its lever in the other state; none for a string without a lever or an unknown string.
    pub other_state: Option<MidiNote>,
    /// The string; none where the note can't be played on this harp.
    pub string: Option<StringNumber>,
    /// The hand.
    pub hand: Hand,
    /// Whether its time is judged.
    pub freedom: Freedom,
    /// Notes of one number belong together: a chord, rolled or not.
    pub chord: usize,
    /// The pluck's place in the performance.
    pub pluck: usize,
    /// The bar, by its place in the performance.
    pub played_bar: usize,
    /// How far into that bar it is written.
    pub onset: Ticks,
}

/// Whether a note's time is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Freedom {
    /// It stands on its written time.
    Strict,
    /// A grace note, or a later string of a rolled chord: the player takes her own time.
    Free,
}

/// A flip to be made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExpectedFlip {
    /// The flip beat, from the start of the pass.
    pub at: Seconds,
    /// The string.
    pub string: StringNumber,
    /// Where its lever is to go.
    pub to: LeverState,
    /// The string's open pitch.
    pub open: SpelledPitch,
    /// The note that tells whether the flip was made, by its place in [`ExpectedPass::notes`]: the string's next pluck
    /// that the player herself makes in this pass.
    pub told_by: Option<usize>,
    /// How long a beat lasts there.
    pub beat: Seconds,
}

/// What an [`ExpectedPass`] is made of. Chunk and plan are of this performance on this harp.
#[derive(Clone, Copy, Debug)]
pub struct PassRequest<'a> {
    /// The chunk; its tempo is that of the pass.
    pub chunk: &'a Chunk,
    /// The piece as it is played.
    pub performance: &'a Performance,
    /// Its plan.
    pub plan: &'a Plan,
    /// The player's harp.
    pub harp: &'a Harp,
    /// The hands she plays.
    pub hands: PlayedHands,
}

impl ExpectedPass {
    /// One pass through the chunk, the seam left out.
    pub fn of(request: &PassRequest<'_>) -> ExpectedPass {
        let notes = notes(request);
        let flips = flips(request, &notes);
        let opening = request.chunk.tempo.opening();
        ExpectedPass { notes, flips, beat: opening.lasting(opening.beat()) }
    }
}

fn notes(request: &PassRequest<'_>) -> Vec<ExpectedNote> {
    let PassRequest { chunk, performance, plan, harp, hands } = *request;
    let timeline = Timeline::of(chunk, performance, plan, TimelineOptions::default());
    let plucks = performance.plucks();
    let mut notes: Vec<ExpectedNote> = Vec::new();
    for event in &timeline.events {
        let EventKind::Pluck { note, string, hand, pluck: index, shift } = event.kind else { continue };
        let Some(pluck) = plucks.get(index).filter(|_| hands.plays(hand)) else { continue };
        let state = plan.strings.get(index).copied().flatten();
        let other_state = state.and_then(|(string, state)| {
            let string = harp.string(string)?;
            string.lever.is_fitted().then(|| string.sounds(!state).midi())
        });
        notes.push(ExpectedNote {
            at: chunk.tempo.seconds_at(ScoreTime::from_start(event.at)) + shift,
            note,
            other_state,
            string,
            hand,
            freedom: freedom(pluck, shift),
            chord: first_of_chord(index, plucks),
            pluck: index,
            played_bar: pluck.played_bar,
            onset: performance.bars().get(pluck.played_bar).map_or(Ticks::ZERO, |bar| pluck.at - bar.starts),
        });
    }
    notes.sort_by(|a, b| a.at.get().total_cmp(&b.at.get()));
    notes
}

fn freedom(pluck: &Pluck, shift: Seconds) -> Freedom {
    let on_its_place = pluck.grace_order == u8::MAX && shift == Seconds::ZERO;
    if on_its_place { Freedom::Strict } else { Freedom::Free }
}

/// The first pluck of the same instant and grace order, by which a chord is named.
fn first_of_chord(index: usize, plucks: &[Pluck]) -> usize {
    let same = |other: &Pluck| (other.at, other.grace_order) == (plucks[index].at, plucks[index].grace_order);
    index - plucks[..index].iter().rev().take_while(|other| same(other)).count()
}

fn flips(request: &PassRequest<'_>, notes: &[ExpectedNote]) -> Vec<ExpectedFlip> {
    let PassRequest { chunk, plan, harp, .. } = *request;
    let mut flips = Vec::new();
    for gesture in plan.gestures.get(chunk.gestures.clone()).unwrap_or_default() {
        let place = ScoreTime::from_start(gesture.at - chunk.starts);
        let (at, tempo) = (chunk.tempo.seconds_at(place), chunk.tempo.tempo_at(place));
        for flip in &gesture.flips {
            let Some(string) = harp.string(flip.string) else { continue };
            flips.push(ExpectedFlip {
                at,
                string: flip.string,
                to: flip.to,
                open: string.open,
                told_by: told_by(flip, request, notes),
                beat: tempo.lasting(tempo.beat()),
            });
        }
    }
    flips
}

/// The string's next pluck after the flip, if it lies in this pass, is the player's own, and no other flip of the
/// string comes before it.
fn told_by(flip: &Flip, request: &PassRequest<'_>, notes: &[ExpectedNote]) -> Option<usize> {
    let plucks = request.performance.plucks();
    notes.iter().position(|note| {
        let at = plucks.get(note.pluck).map(|pluck| pluck.at);
        note.string == Some(flip.string) && at == Some(flip.window.before)
    })
}
