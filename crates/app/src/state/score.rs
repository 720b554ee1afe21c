//! The engraved score, as far as it is drawn.

use leverlane_formats::Said;
use std::ops::Range;
use std::sync::Arc;

use leverlane_engraving::{Drawing, DrawingId};

use super::{Engraved, Piece, Planned};

/// What of a score is to be drawn, and on what page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cut {
    /// Which written bars, by their index.
    pub bars: Range<usize>,
    /// The gestures whose marks are printed, by their places in the plan.
    pub flips: Range<usize>,
    /// On what page.
    pub page: Page,
}

/// A page for notation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    /// Systems of so many staff spaces.
    Systems(u32),
    /// One system, as wide as its music asks for.
    OneSystem,
}

impl Cut {
    /// The whole piece in systems of so many staff spaces.
    pub fn whole(piece: &Piece, planned: &Planned, spaces: u32) -> Cut {
        let flips = 0..planned.plan.gestures.len();
        Cut { bars: 0..piece.score.bars().len(), flips, page: Page::Systems(spaces) }
    }
}

/// The open piece and its plan, engraved.
#[derive(Clone, Debug, Default)]
pub struct EngravedScore {
    /// What was asked for last.
    asked: Option<Asked>,
    /// Its drawing and pictures; an older drawing of the same bars stays until the next is there.
    pub engraved: Engraved,
}

#[derive(Clone, Debug)]
struct Asked {
    piece: Arc<Piece>,
    planned: Arc<Planned>,
    cut: Cut,
    standing: Standing,
}

/// Whether what was asked for still counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Standing {
    /// It is here or on its way.
    Good,
    /// The engraver has turned to something else since.
    Lapsed,
}

impl EngravedScore {
    /// Whether the drawing of this piece and plan, cut so, is here or on its way.
    pub fn is_asked(&self, piece: &Piece, planned: &Planned, cut: &Cut) -> bool {
        self.asked.as_ref().is_some_and(|asked| {
            let is_same = std::ptr::eq(&*asked.piece, piece) && std::ptr::eq(&*asked.planned, planned);
            is_same && asked.cut == *cut && asked.standing == Standing::Good
        })
    }

    /// Whether a drawing was asked for that isn't here yet.
    pub fn is_awaited(&self) -> bool {
        self.engraved.is_awaited()
    }

    /// Notes that a drawing is asked for. A drawing of another piece or of other bars is no longer shown.
    pub(crate) fn ask(&mut self, id: DrawingId, piece: &Arc<Piece>, planned: &Arc<Planned>, cut: Cut) {
        let is_like = |asked: &Asked| asked.piece.score == piece.score && asked.cut.bars == cut.bars;
        if !self.asked.as_ref().is_some_and(is_like) {
            self.engraved.clear();
        }
        self.asked = Some(Asked { piece: piece.clone(), planned: planned.clone(), cut, standing: Standing::Good });
        self.engraved.wait_for(id);
    }

    /// The engraver has turned to something else: what is wanted has to be asked for again.
    pub(crate) fn ask_again(&mut self) {
        if let Some(asked) = &mut self.asked {
            asked.standing = Standing::Lapsed;
        }
    }

    /// The drawing to show; none where the one that was asked for last failed.
    pub fn drawing(&self) -> Option<&Arc<Drawing>> {
        self.engraved.drawing().filter(|_| self.trouble().is_none())
    }

    /// Why there is no drawing, if it failed.
    pub fn trouble(&self) -> Option<&Said> {
        self.engraved.trouble()
    }
}
