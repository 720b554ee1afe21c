//! The engraved score, as far as it is drawn.

use std::sync::Arc;

use leverlane_engraving::{Drawing, DrawingId, Picture, PictureRequest};

use super::{Piece, Planned};

/// The drawing that is wanted, the one that is shown, and its pictures.
#[derive(Clone, Debug, Default)]
pub struct EngravedScore {
    /// What was asked for last.
    asked: Option<Asked>,
    /// The newest drawing of the open piece; an older one stays until the next is there.
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
    spaces: u32,
}

/// Pictures kept for a window that is scrolled back and forth; the views keep textures of their own.
const MOST_PICTURES: usize = 24;

impl EngravedScore {
    /// Whether the drawing of this piece and plan, so many staff spaces wide, is here or on its way.
    pub fn is_asked(&self, piece: &Piece, planned: &Planned, spaces: u32) -> bool {
        self.asked.as_ref().is_some_and(|asked| {
            std::ptr::eq(&*asked.piece, piece) && std::ptr::eq(&*asked.planned, planned) && asked.spaces == spaces
        })
    }

    /// Notes that a drawing is asked for, and gives its number. Another piece's drawing is no longer shown.
    pub(crate) fn ask(&mut self, piece: &Arc<Piece>, planned: &Arc<Planned>, spaces: u32) -> DrawingId {
        if self.asked.as_ref().is_none_or(|asked| asked.piece.score != piece.score) {
            self.drawing = None;
        }
        self.asked = Some(Asked { piece: piece.clone(), planned: planned.clone(), spaces });
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
        match drawing {
            Ok(drawing) => self.drawing = Some((id, drawing)),
            Err(reason) => {
                self.drawing = None;
                self.trouble = Some(reason);
            }
        }
    }

    /// The drawing to show.
    pub fn drawing(&self) -> Option<&Arc<Drawing>> {
        self.drawing.as_ref().map(|(_, drawing)| drawing)
    }

    /// Why there is no drawing, if it failed.
    pub fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }

    /// The order for a picture of the drawing that is shown; none where it was given already.
    pub(crate) fn ask_for_picture(&mut self, system: usize, pixels_per_space: f32) -> Option<PictureRequest> {
        let (drawing, _) = self.drawing.as_ref()?;
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
