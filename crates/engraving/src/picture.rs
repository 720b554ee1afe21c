//! Drawings as pictures.

use std::sync::{Arc, OnceLock};

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{self, fontdb};

use crate::EngravingError;
use crate::drawing::System;

/// How much ink is on each pixel; the colour is the viewer's choice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// Ink from 0 to 255, row by row from the top.
    pub ink: Vec<u8>,
}

/// Larger pictures are no use on any screen, and would fill the memory.
const MOST_PIXELS: f32 = 16_384.0;

impl Picture {
    /// Draws a system at so many pixels to a staff space.
    ///
    /// # Errors
    /// A drawing that can't be read, or a picture of no size or of more than 16,384 pixels a side.
    pub fn of(system: &System, pixels_per_space: f32) -> Result<Picture, EngravingError> {
        let tree = tree(&system.svg)?;
        let (width, height) = (system.width * pixels_per_space, system.height * pixels_per_space);
        let fits = |side: f32| (1.0..=MOST_PIXELS).contains(&side);
        if !fits(width) || !fits(height) {
            return Err(EngravingError::Drawing(format!("a picture of {width:.0} by {height:.0} pixels")));
        }
        let mut pixels = Pixmap::new(width.ceil() as u32, height.ceil() as u32)
            .ok_or_else(|| EngravingError::Drawing("a picture of no size".to_owned()))?;
        let scale = system.width * pixels_per_space / tree.size().width();
        resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixels.as_mut());
        let ink = pixels.pixels().iter().map(|pixel| pixel.alpha()).collect();
        Ok(Picture { width: pixels.width() as usize, height: pixels.height() as usize, ink })
    }
}

/// The drawing read for resvg, at a tenth of the engine's internal units.
///
/// # Errors
/// A drawing that can't be read.
pub(crate) fn tree(svg: &str) -> Result<usvg::Tree, EngravingError> {
    let options = usvg::Options { fontdb: fonts(), font_family: "Libertinus Serif".to_owned(), ..Default::default() };
    usvg::Tree::from_str(svg, &options).map_err(|error| EngravingError::Drawing(error.to_string()))
}

/// The text fonts: the window's own serif, and the music font for the note values in tempo marks.
pub(crate) fn fonts() -> Arc<fontdb::Database> {
    static FONTS: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    let load = || {
        let mut fonts = fontdb::Database::new();
        for font in [REGULAR, BOLD, MUSIC] {
            fonts.load_font_data(font.to_vec());
        }
        // The engine names Times, which we don't have: any unknown font is drawn with the serif.
        fonts.set_serif_family("Libertinus Serif");
        Arc::new(fonts)
    };
    FONTS.get_or_init(load).clone()
}

pub(crate) const REGULAR: &[u8] = include_bytes!("../../../assets/fonts/LibertinusSerif-Regular.otf");
pub(crate) const BOLD: &[u8] = include_bytes!("../../../assets/fonts/LibertinusSerif-Bold.otf");
const MUSIC: &[u8] = include_bytes!("../../../assets/fonts/Leipzig.ttf");
