//! The engraved score, as far as it is drawn.

use std::ops::Range;
use std::sync::Arc;

use leverlane_engraving::{Drawing, DrawingId, Picture, PictureRequest};

use super::{Piece, Planned};

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

/// The drawing that is wanted, the one that is shown, and its pictures.
#[derive(Clone, Debug, Default)]
pub struct EngravedScore {
    /// What was asked for last.
    asked: Option<Asked>,
    /// Whether its answer is still to come.
    awaited: bool,
    /// The newest drawing of the open piece; an older one of the same bars stays until the next is there.
    drawing: Option<(DrawingId, Arc<Drawing>)>,
    /// Why there is none, if the engraver has given up on it.
    trouble: Option<String>,
    /// Pictures of its systems, the oldest first; none where one is on its way or can't be made.
    pictures: Vec<(PictureRequest, Option<Arc<Picture>>)>,
    last: u64,
}

#[derive(Clone, Debug)]
struct Asked {
    piece: Arc<Piece>,
    planned: Arc<Planned>,
    cut: Cut,
}

/// Pictures kept for a window that is scrolled back and forth; the views keep textures of their own.
const MOST_PICTURES: usize = 24;

impl EngravedScore {
    /// Whether the drawing of this piece and plan, cut so, is here or on its way.
    pub fn is_asked(&self, piece: &Piece, planned: &Planned, cut: &Cut) -> bool {
        self.asked.as_ref().is_some_and(|asked| {
            std::ptr::eq(&*asked.piece, piece) && std::ptr::eq(&*asked.planned, planned) && asked.cut == *cut
        })
    }

    /// Whether a drawing was asked for that isn't here yet.
    pub fn is_awaited(&self) -> bool {
        self.awaited
    }

    /// Notes that a drawing is asked for, and gives its number. A drawing of another piece or of other bars is no longer
    /// shown.
    pub(crate) fn ask(&mut self, piece: &Arc<Piece>, planned: &Arc<Planned>, cut: Cut) -> DrawingId {
        let is_like = |asked: &Asked| asked.piece.score == piece.score && asked.cut.bars == cut.bars;
        if !self.asked.as_ref().is_some_and(is_like) {
            self.drawing = None;
        }
        self.asked = Some(Asked { piece: piece.clone(), planned: planned.clone(), cut });
        self.awaited = true;
        self.trouble = None;
        self.last += 1;
        DrawingId(self.last)
    }

    /// Takes the answer to the newest question; older ones are dropped.
    pub(crate) fn take(&mut self, id: DrawingId, drawing: Result<Arc<Drawing>, String>) {
        if id != DrawingId(self.last) {
            return;
        }
        self.pictures.clear();
        self.awaited = false;
        match drawing {
            Ok(drawing) => self.drawing = Some((id, drawing)),
            Err(reason) => {
                self.drawing = None;
                self.trouble = Some(reason);
            }
        }
    }

    /// What was asked for has no notes to draw.
    pub(crate) fn leave_empty(&mut self) {
        self.awaited = false;
        self.drawing = None;
    }

    /// The drawing to show.
    pub fn drawing(&self) -> Option<&Arc<Drawing>> {
        self.drawing.as_ref().map(|(_, drawing)| drawing)
    }

    /// Why there is no drawing, if it failed.
    pub fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }

    /// The order for a picture of the drawing that is shown; none where it was given already,
    /// or the drawing has no such system.
    pub(crate) fn ask_for_picture(&mut self, system: usize, pixels_per_space: f32) -> Option<PictureRequest> {
        let (drawing, drawn) = self.drawing.as_ref()?;
        if system >= drawn.systems.len() {
            return None;
        }
        let request = PictureRequest { drawing: *drawing, system, pixels_per_space };
        if self.pictures.iter().any(|(known, _)| *known == request) {
            return None;
        }
        if self.pictures.len() >= MOST_PICTURES {
            self.pictures.remove(0);
        }
        self.pictures.push((request, None));
        Some(request)
    }

    pub(crate) fn take_picture(&mut self, request: PictureRequest, picture: Arc<Picture>) {
        if let Some((_, place)) = self.pictures.iter_mut().find(|(known, _)| *known == request) {
            *place = Some(picture);
        }
    }

    /// A picture, if it is here.
    pub fn picture(&self, system: usize, pixels_per_space: f32) -> Option<&Arc<Picture>> {
        self.known(system, pixels_per_space).and_then(|picture| picture.as_ref())
    }

    /// Whether a picture is here or was asked for.
    pub fn has_asked(&self, system: usize, pixels_per_space: f32) -> bool {
        self.known(system, pixels_per_space).is_some()
    }

    fn known(&self, system: usize, pixels_per_space: f32) -> Option<&Option<Arc<Picture>>> {
        let wanted =
            |request: &PictureRequest| request.system == system && request.pixels_per_space == pixels_per_space;
        self.pictures.iter().find(|(request, _)| wanted(request)).map(|(_, picture)| picture)
    }
}
