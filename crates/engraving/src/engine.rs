//! The C++ engine, kept behind a door that lets only our own writer's MusicXML in and only drawings out.
//!
//! The engine ends the process on documents that it doesn't expect, so they are looked at first. It writes
//! its log to the terminal unless it is told to be silent, which it is; what matters of it comes back as errors.

use cxx::UniquePtr;
use verovio_sys::ffi;

use crate::{EngravingError, MusicFonts};

/// Internal units of the engine's drawings to a staff space: half a space is 9 units of ten.
pub(crate) const UNITS_PER_SPACE: f64 = 180.0;

/// How a page is to be laid out, in staff spaces (a staff is four high).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PageSize {
    /// As many systems as the music needs, each so wide.
    Systems(f32),
    /// One system, as wide as its music asks for.
    OneSystem,
}

/// A few bars are wider than no page of this width.
const WIDEST: f64 = 60_000.0;

/// The engine with one document at a time.
pub(crate) struct Engine {
    toolkit: UniquePtr<ffi::Toolkit>,
    _fonts: MusicFonts,
}

impl Engine {
    /// Starts the engine.
    ///
    /// # Errors
    /// Fonts that it doesn't find.
    pub(crate) fn start(fonts: MusicFonts) -> Result<Engine, EngravingError> {
        ffi::enable_log(0);
        let mut toolkit = ffi::new_toolkit(false);
        let folder = fonts.folder().to_str().ok_or(EngravingError::Refused("a folder whose name is no text"))?;
        if !ffi::set_resource_path(toolkit.pin_mut(), folder) {
            return Err(EngravingError::Refused("its fonts were not found"));
        }
        Ok(Engine { toolkit, _fonts: fonts })
    }

    /// Draws a document: one SVG for each system, with bounding boxes.
    ///
    /// # Errors
    /// Where the engine refuses it.
    pub(crate) fn systems(&mut self, musicxml: &str, size: PageSize) -> Result<Vec<String>, EngravingError> {
        check(musicxml)?;
        if !ffi::set_options(self.toolkit.pin_mut(), &options(size)) {
            return Err(EngravingError::Refused("its options"));
        }
        ffi::reset_xml_id_seed(self.toolkit.pin_mut(), 1);
        if !ffi::load_data(self.toolkit.pin_mut(), musicxml) {
            return Err(EngravingError::Refused("it could not be read"));
        }
        let pages = ffi::page_count(self.toolkit.pin_mut());
        if pages < 1 {
            return Err(EngravingError::Refused("nothing to draw"));
        }
        let mut drawn = Vec::new();
        for page in 1..=pages {
            let svg = ffi::render_to_svg(self.toolkit.pin_mut(), page, false);
            if svg.is_empty() {
                return Err(EngravingError::Refused("a page stayed empty"));
            }
            drawn.push(svg);
        }
        Ok(drawn)
    }
}

/// The engine's own checks end the process, so what it takes for granted is looked at before: a partwise score with bars
/// that hold notes or rests.
fn check(musicxml: &str) -> Result<(), EngravingError> {
    let document = roxmltree::Document::parse(musicxml).map_err(|_| EngravingError::Refused("it is no XML"))?;
    let root = document.root_element();
    if !root.has_tag_name("score-partwise") {
        return Err(EngravingError::Refused("it is no score"));
    }
    let mut parts = root.children().filter(|node| node.has_tag_name("part")).peekable();
    if parts.peek().is_none() {
        return Err(EngravingError::Refused("it has no parts"));
    }
    for part in parts {
        let mut bars = part.children().filter(|node| node.has_tag_name("measure")).peekable();
        let has_notes = |bar: &roxmltree::Node<'_, '_>| bar.children().any(|node| node.has_tag_name("note"));
        if bars.peek().is_none() || !bars.all(|bar| has_notes(&bar)) {
            return Err(EngravingError::Refused("it has a part without bars, or a bar without notes and rests"));
        }
    }
    Ok(())
}

/// A page is made as low as the engine allows, so that each holds one system and can be drawn by itself.
///
/// Staff lines and bar lines are drawn a little wider than in print: under a pixel they would fade on the screen.
fn options(size: PageSize) -> String {
    let (width, breaks) = match size {
        PageSize::Systems(width) => ((f64::from(width) * UNITS_PER_SPACE / 10.0).round().clamp(100.0, WIDEST), "auto"),
        PageSize::OneSystem => (WIDEST, "none"),
    };
    let fits_its_music = size == PageSize::OneSystem;
    format!(
        "{{\"inputFrom\":\"musicxml\",\"font\":\"Leipzig\",\"breaks\":\"{breaks}\",\"pageWidth\":{width},\
         \"adjustPageWidth\":{fits_its_music},\"pageHeight\":100,\
         \"adjustPageHeight\":true,\"pageMarginLeft\":32,\"pageMarginRight\":18,\"pageMarginTop\":9,\
         \"pageMarginBottom\":9,\"header\":\"none\",\"footer\":\"none\",\"scale\":100,\"svgBoundingBoxes\":true,\
         \"staffLineWidth\":0.18,\"barLineWidth\":0.3,\"mnumInterval\":0,\"lyricSize\":4.5,\"spacingStaff\":10,\"condense\":\"none\",\
         \"smuflTextFont\":\"none\"}}"
    )
}
