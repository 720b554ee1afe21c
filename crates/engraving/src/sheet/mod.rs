//! The marked part on paper: A4 pages with the title, the levers to set, the music with its flips, and page numbers.
//!
//! A passage without notes (flips noted from paper) is printed as a grid of its bars instead of notation.

mod grid;
mod heading;
mod pages;
mod text;

use leverlane_core::plan::StartList;
use leverlane_core::score::NoteRef;

use crate::drawing::{Drawing, Music};
use crate::engine::{Engine, PageSize};
use crate::{EngravingError, MusicFonts};

/// What is to be printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// The music and its flips; its list of set levers is printed in the heading.
    pub music: Music,
    /// The levers to set before the start.
    pub start: StartList,
    /// Short lines under the title: the harp and its tuning, the tempo.
    pub about: Vec<String>,
}

/// PDF points; 72 to the inch.
type Points = f32;

/// A4 upright (ISO 216: 210 × 297 mm).
const PAGE: (Points, Points) = (595.28, 841.89);
/// 15 mm on every side.
const MARGIN: Points = 42.52;
/// Staves 7 mm high, a usual size for parts (common practice).
const POINTS_PER_SPACE: Points = 4.96;

/// A page's content: drawings at their places.
struct Page {
    items: Vec<Item>,
}

/// An SVG, where its upper left corner lies, and how wide it is to be.
struct Item {
    svg: String,
    left: Points,
    top: Points,
    width: Points,
}

/// A printed sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Printed {
    /// The PDF file.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
}

/// Prints a sheet as a PDF file.
///
/// # Errors
/// Where the engine refuses the music, or the PDF can't be put together.
pub fn print(sheet: &Sheet, fonts: MusicFonts) -> Result<Printed, EngravingError> {
    let pages = laid_out(sheet, fonts)?;
    let pdf = pages::pdf(&pages, sheet.music.score.title())?;
    Ok(Printed { pdf, pages: pages.len() })
}

fn laid_out(sheet: &Sheet, fonts: MusicFonts) -> Result<Vec<Page>, EngravingError> {
    let heading = heading::heading(sheet);
    let mut pages = pages::Filling::new(heading);
    if has_notes(&sheet.music) {
        // The heading says what the list would.
        let music = Music { start: None, ..sheet.music.clone() };
        let size = PageSize::Systems((PAGE.0 - 2.0 * MARGIN) / POINTS_PER_SPACE);
        let drawing = Drawing::of(&music, size, &mut Engine::start(fonts)?)?;
        for system in &drawing.systems {
            pages.add(&system.svg, system.width * POINTS_PER_SPACE, system.height * POINTS_PER_SPACE);
        }
    } else {
        for row in grid::rows(&sheet.music) {
            pages.add(&row.svg, row.width, row.height);
        }
    }
    Ok(pages.finish(sheet.music.score.title()))
}

fn has_notes(music: &Music) -> bool {
    music.score.notes().any(|(note, _): (NoteRef, _)| music.hands.of(note).is_some())
}

#[cfg(test)]
mod tests;
