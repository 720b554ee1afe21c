//! What the player has decided about a piece: her harp, her hands, the tempo she wants, and single flips.

use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::plan::{Edit, Pace};
use leverlane_core::score::{HandRule, Rewrite};
use leverlane_core::time::Tempo;
use leverlane_formats::documents::HarpDocument;

/// All of it; this is what undo goes back over and what a piece document keeps.
#[derive(Clone, Debug, PartialEq)]
pub struct Wishes {
    /// Her harp.
    pub harp: HarpDocument,
    /// How fast her hands are.
    pub pace: Pace,
    /// The tempo the plan must hold at; none until a piece has been opened.
    pub goal: Option<Tempo>,
    /// Which hand plays what.
    pub hands: HandRule,
    /// Another player's part that is kept as a cue line, by its place in the score.
    pub cue_line: Option<usize>,
    /// What she has decided about single flips.
    pub edits: Vec<Edit>,
    /// What she plays otherwise than it is written.
    pub rewrites: Vec<Rewrite>,
}

impl Default for Wishes {
    fn default() -> Wishes {
        Wishes {
            harp: usual_harp(),
            pace: Pace::default(),
            goal: None,
            hands: HandRule::default(),
            cue_line: None,
            edits: Vec::new(),
            rewrites: Vec::new(),
        }
    }
}

/// 34 strings in E♭ tuning, the commonest fully levered harp (common practice).
pub fn usual_harp() -> HarpDocument {
    let preset = Preset::with_strings(34).unwrap_or(Preset::ALL[0]);
    HarpDocument::Preset { name: String::new(), preset, tuning: Tuning::EFlat, levers_on: None }
}

/// The range of a usual harp.
pub fn preset_of(harp: &HarpDocument) -> Option<Preset> {
    match harp {
        HarpDocument::Preset { preset, .. } => Some(*preset),
        HarpDocument::Listed(_) => None,
    }
}

/// The usual tuning that all its strings follow, if there is one.
pub fn tuning_of(harp: &HarpDocument) -> Option<Tuning> {
    match harp {
        HarpDocument::Preset { tuning, .. } => Some(*tuning),
        HarpDocument::Listed(harp) => Tuning::ALL.into_iter().find(|tuning| {
            harp.strings().iter().all(|string| string.open.alter() == tuning.alter(string.open.letter()))
        }),
    }
}
