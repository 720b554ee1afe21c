//! Changes that a way out asks for, and how they are carried out.

use std::borrow::Cow;

use super::{Edit, EndOfPiece, HandPace, Request, with_edit, without_edit};
use crate::harp::{Harp, Preset, StringNumber, Tuning};
use crate::pitch::SpelledPitch;
use crate::score::{Performance, Rewrite};
use crate::time::{Tempo, TempoMap};

/// One step that the player can take, as a value: whoever keeps her wishes applies it to them and plans anew.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Make this decision: [`with_edit`].
    Edit(Edit),
    /// Make this flip there, before the string's last note has died away: touch the string first. As `Edit`.
    DampAndFlip(Edit),
    /// Take this decision back: [`without_edit`].
    Withdraw(Edit),
    /// Change these notes: [`Performance::rewritten`].
    Rewrite(Vec<Rewrite>),
    /// Open the piece no faster than this; later tempos keep their proportion.
    NoFasterThan(Tempo),
    /// Tune one string otherwise before the start: [`Harp::with_string_tuned`].
    Retune {
        /// The string.
        string: StringNumber,
        /// Its new pitch with the lever down.
        open: SpelledPitch,
    },
    /// Retune the whole harp: [`Harp::retuned`].
    Tuning(Tuning),
    /// Play another harp, in the same tuning.
    Harp(Preset, Tuning),
}

/// What a plan is made from, with changes made to it.
#[derive(Clone, Debug)]
pub struct Arrangement<'a> {
    /// The piece.
    pub performance: Cow<'a, Performance>,
    /// The harp.
    pub harp: Cow<'a, Harp>,
    /// The tempo.
    pub tempo: Cow<'a, TempoMap>,
    /// The player's decisions.
    pub edits: Cow<'a, [Edit]>,
    pace: &'a HandPace,
    ending: EndOfPiece,
}

impl<'a> Arrangement<'a> {
    /// A request as it is.
    pub fn of(request: &Request<'a>) -> Arrangement<'a> {
        Arrangement {
            performance: Cow::Borrowed(request.performance),
            harp: Cow::Borrowed(request.harp),
            tempo: Cow::Borrowed(request.tempo),
            edits: Cow::Borrowed(request.edits),
            pace: request.pace,
            ending: request.ending,
        }
    }

    /// What to ask the planner.
    pub fn request(&self) -> Request<'_> {
        Request {
            performance: &self.performance,
            harp: &self.harp,
            tempo: &self.tempo,
            pace: self.pace,
            edits: &self.edits,
            ending: self.ending,
        }
    }
}

impl Change {
    /// A request with this change made; none where it can't be made or would change nothing: a note that isn't there, a
    /// tempo out of range, the harp as it is.
    pub fn applied<'a>(&self, request: &Request<'a>) -> Option<Arrangement<'a>> {
        let mut changed = Arrangement::of(request);
        match self {
            Change::Edit(edit) | Change::DampAndFlip(edit) => {
                changed.edits = Cow::Owned(with_edit(request.edits, *edit));
            }
            Change::Withdraw(edit) => changed.edits = Cow::Owned(without_edit(request.edits, edit)),
            Change::Rewrite(rewrites) => {
                let rewritten = request.performance.rewritten(rewrites);
                if !rewritten.unmet.is_empty() {
                    return None;
                }
                changed.performance = Cow::Owned(rewritten.performance);
            }
            Change::NoFasterThan(tempo) => changed.tempo = Cow::Owned(request.tempo.opening_at(*tempo).ok()?),
            Change::Retune { string, open } => {
                changed.harp = Cow::Owned(request.harp.with_string_tuned(*string, *open).ok()?);
            }
            Change::Tuning(tuning) => changed.harp = Cow::Owned(request.harp.retuned(*tuning).ok()?),
            Change::Harp(preset, tuning) => changed.harp = Cow::Owned(preset.tuned(*tuning)),
        }
        let same_harp = matches!(&changed.harp, Cow::Owned(harp) if harp.strings() == request.harp.strings());
        (!same_harp).then_some(changed)
    }

    /// How much of a change it is to the player, least first: her own decisions, who plays what, the tempo, one string,
    /// the notes, the tuning, the harp. Our order, common practice.
    pub(super) fn effort(&self) -> u8 {
        let dropped = |rewrite: &Rewrite| matches!(rewrite, Rewrite::Drop { .. });
        let moved = |rewrite: &Rewrite| matches!(rewrite, Rewrite::Octaves { .. });
        match self {
            Change::Withdraw(_) | Change::Edit(_) => 0,
            Change::DampAndFlip(_) => 1,
            Change::Rewrite(rewrites) if rewrites.iter().any(dropped) => 6,
            Change::Rewrite(rewrites) if rewrites.iter().any(moved) => 5,
            Change::Rewrite(_) => 2,
            Change::NoFasterThan(_) => 3,
            Change::Retune { .. } => 4,
            Change::Tuning(_) => 7,
            Change::Harp(..) => 8,
        }
    }
}
