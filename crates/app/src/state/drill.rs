//! What is drilled: the selected flip, the bars around it, and the tempo.

use std::sync::Arc;

use leverlane_core::drill::{Chunk, ChunkSize, Cue, Session, Speech, Timeline};
use leverlane_core::plan::{Gesture, Plan};
use leverlane_core::time::{Tempo, Ticks};
use leverlane_listening::Asked;

use super::{PassDesk, PracticeDesk, Standings, Transport};

/// The selected flip and all that follows from it.
#[derive(Clone, Debug, Default)]
pub struct Drill {
    /// The selected gesture, by its place in the plan.
    pub selected: Option<usize>,
    /// How much music the loop takes around it.
    pub size: ChunkSize,
    /// The tempo to practise at, which may be slower than the goal; none until a piece has been opened.
    pub tempo: Option<Tempo>,
    /// What is looped.
    pub looped: Option<Arc<Loop>>,
    /// What is looped from the next pass on, while another tempo waits for it.
    pub waiting: Option<Arc<Loop>>,
    /// Whether it sounds.
    pub transport: Transport,
    /// Counts the starts, each of which begins with a count-in and pass 0.
    pub take: u64,
    /// The selected flip's practice on its ladder; none while she loops at a tempo of her own.
    pub practice: Option<PracticeDesk>,
    /// Its passes.
    pub pass: PassDesk,
    /// Where the practice of each flip of the piece stands.
    pub standings: Standings,
    /// Whether the count and the flips are spoken.
    pub speech: Speech,
    /// How the music is shown.
    pub notes: Notes,
    /// How long has been practised, once it has begun.
    pub session: Option<Session>,
}

/// How the music is shown in the Drill.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Notes {
    /// Engraved; as strings where that can't be.
    #[default]
    Engraved,
    /// As strings over time.
    Strings,
    /// Not at all: the hands find their strings by feel.
    Hidden,
}

impl Notes {
    /// All three.
    pub const ALL: [Notes; 3] = [Notes::Engraved, Notes::Strings, Notes::Hidden];
}

/// Some bars and what sounds in one pass through them.
#[derive(Clone, Debug, PartialEq)]
pub struct Loop {
    /// The tempo it was made for: the one that the piece would begin with.
    pub tempo: Tempo,
    /// The bars, the levers they begin with, and the resets at their seam.
    pub chunk: Chunk,
    /// What sounds when.
    pub timeline: Timeline,
    /// What a pass asks of the player; none where nothing is judged.
    pub asked: Option<Arc<Asked>>,
    /// Where the eyes are around its flips; none where they are not told.
    pub looks: Vec<Look>,
}

/// Where the eyes are around a flip, from the start of the pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// They go to the lever.
    pub to_lever: Ticks,
    /// The flip beat.
    pub flip: Ticks,
    /// They must be on the strings again; none where nothing has to be found there.
    pub to_strings: Option<Ticks>,
}

/// A gesture within a pass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed<'a> {
    /// The flip beat, from the start of the pass.
    pub at: Ticks,
    /// Which one it is.
    pub cue: Cue,
    /// The gesture.
    pub gesture: &'a Gesture,
}

impl Loop {
    /// The gestures of one pass by time: the plan's, then the resets at the seam.
    pub fn gestures<'a>(&'a self, plan: &'a Plan) -> impl Iterator<Item = Placed<'a>> {
        let planned = self.chunk.gestures.clone().filter_map(move |index| {
            let gesture = plan.gestures.get(index)?;
            Some(Placed { at: gesture.at - self.chunk.starts, cue: Cue::Planned(index), gesture })
        });
        let closing = self.chunk.music_length();
        let resets = self.chunk.resets.iter().enumerate().map(move |(index, gesture)| Placed {
            at: closing + gesture.at.since_start(),
            cue: Cue::Reset(index),
            gesture,
        });
        planned.chain(resets)
    }
}
