//! Engraved music as it comes from the engraver's thread: a drawing, and pictures of its systems.

use leverlane_formats::Said;
use std::sync::Arc;

use leverlane_engraving::{Drawing, DrawingId, Picture, PictureRequest};

/// The drawing that is wanted, the one that is shown, and its pictures.
#[derive(Clone, Debug, Default)]
pub struct Engraved {
    /// What was asked for last.
    newest: Option<DrawingId>,
    /// Whether its answer is still to come.
    awaited: bool,
    /// The newest drawing; an older one stays until the next is there.
    drawing: Option<(DrawingId, Arc<Drawing>)>,
    /// Why the last one failed, if it did.
    trouble: Option<Said>,
    /// Pictures of its systems, the oldest first; none where one is on its way or can't be made.
    pictures: Vec<(PictureRequest, Option<Arc<Picture>>)>,
}

/// Pictures kept for a window that is scrolled back and forth; the views keep textures of their own.
const MOST_PICTURES: usize = 24;

impl Engraved {
    /// Notes that this drawing is asked for; answers to older questions are dropped.
    pub(crate) fn wait_for(&mut self, id: DrawingId) {
        self.newest = Some(id);
        self.awaited = true;
        self.trouble = None;
    }

    /// Shows the drawing no longer, and waits for none.
    pub(crate) fn clear(&mut self) {
        self.drawing = None;
        self.awaited = false;
    }

    /// Whether a drawing was asked for that isn't here yet.
    pub fn is_awaited(&self) -> bool {
        self.awaited
    }

    /// Takes the answer to the newest question. A drawing of which no picture can be made is taken back by a second one.
    pub(crate) fn take(&mut self, id: DrawingId, drawing: &Result<Arc<Drawing>, Said>) {
        if self.newest != Some(id) {
            return;
        }
        self.awaited = false;
        match drawing {
            Ok(drawing) => {
                self.pictures.clear();
                self.drawing = Some((id, Arc::clone(drawing)));
            }
            Err(reason) => self.trouble = Some(reason.clone()),
        }
    }

    /// The last good drawing.
    pub fn drawing(&self) -> Option<&Arc<Drawing>> {
        self.drawing.as_ref().map(|(_, drawing)| drawing)
    }

    /// Why the drawing that was asked for last failed, if it did.
    pub fn trouble(&self) -> Option<&Said> {
        self.trouble.as_ref()
    }

    /// The order for a picture of a system of the drawing that is shown, so many pixels to a staff space; none where the
    /// drawing has no such system.
    pub fn request(&self, system: usize, pixels_per_space: f32) -> Option<PictureRequest> {
        let (drawing, _) = self.drawing.as_ref().filter(|(_, drawn)| system < drawn.systems.len())?;
        Some(PictureRequest { drawing: *drawing, system, pixels_per_space })
    }

    /// Whether this order is for the drawing that is shown and new; it is known from here on.
    pub(crate) fn order(&mut self, request: PictureRequest) -> bool {
        let is_shown = self.drawing.as_ref().is_some_and(|(id, _)| *id == request.drawing);
        if !is_shown || self.has_asked(&request) {
            return false;
        }
        if self.pictures.len() >= MOST_PICTURES {
            self.pictures.remove(0);
        }
        self.pictures.push((request, None));
        true
    }

    pub(crate) fn take_picture(&mut self, request: PictureRequest, picture: &Arc<Picture>) {
        if let Some((_, place)) = self.pictures.iter_mut().find(|(known, _)| *known == request) {
            *place = Some(Arc::clone(picture));
        }
    }

    /// A picture, if it is here.
    pub fn picture(&self, request: &PictureRequest) -> Option<&Arc<Picture>> {
        let known = self.pictures.iter().find(|(known, _)| known == request);
        known.and_then(|(_, picture)| picture.as_ref())
    }

    /// Whether a picture is here or was asked for.
    pub fn has_asked(&self, request: &PictureRequest) -> bool {
        self.pictures.iter().any(|(known, _)| known == request)
    }
}
