//! Systems onto pages, and pages into a PDF file.

use krilla::Document;
use krilla::geom::{Size, Transform};
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla_svg::{SurfaceExt, SvgSettings};

use super::heading::Heading;
use super::text::{Anchor, Drawn, Weight};
use super::{Item, MARGIN, PAGE, Page, Points};
use crate::EngravingError;
use crate::picture::tree;

/// Pages as they fill.
pub(super) struct Filling {
    pages: Vec<Page>,
    /// Where the next system's top goes on the last page.
    next: Points,
    /// Systems on the last page, their places still to be spread.
    rows: Vec<(usize, Points)>,
}

/// Room between systems: at least this, and at most this more where a page is nearly full.
const GAP: Points = 10.0;
const MOST_SPREAD: Points = 14.0;
/// What the page number takes at the foot.
const FOOT: Points = 22.0;

impl Filling {
    pub(super) fn new(heading: Heading) -> Filling {
        let item = Item { svg: heading.svg, left: MARGIN, top: MARGIN, width: heading.width };
        Filling { pages: vec![Page { items: vec![item] }], next: MARGIN + heading.height, rows: Vec::new() }
    }

    /// Puts a system under the last one, or on a new page where it doesn't fit.
    pub(super) fn add(&mut self, svg: &str, width: Points, height: Points) {
        let bottom = PAGE.1 - MARGIN - FOOT;
        if self.next + height > bottom && !self.rows.is_empty() {
            self.spread();
            self.pages.push(Page { items: Vec::new() });
            self.next = MARGIN;
        }
        if let Some(page) = self.pages.last_mut() {
            self.rows.push((page.items.len(), height));
            page.items.push(Item { svg: svg.to_owned(), left: MARGIN, top: self.next, width });
        }
        self.next += height + GAP;
    }

    /// Spreads the systems of a full page so that it ends at its foot, as far as that looks natural.
    fn spread(&mut self) {
        let rest = PAGE.1 - MARGIN - FOOT - (self.next - GAP);
        let gaps = self.rows.len().saturating_sub(1);
        if gaps > 0
            && let Some(page) = self.pages.last_mut()
        {
            let each = (rest / gaps as f32).clamp(0.0, MOST_SPREAD);
            for (place, &(item, _)) in self.rows.iter().enumerate() {
                page.items[item].top += each * place as f32;
            }
        }
        self.rows.clear();
    }

    /// The pages with their numbers.
    pub(super) fn finish(mut self, title: &str) -> Vec<Page> {
        let count = self.pages.len();
        for (index, page) in self.pages.iter_mut().enumerate() {
            let width = PAGE.0 - 2.0 * MARGIN;
            let mut foot = Drawn::default();
            let number = if count == 1 { String::new() } else { format!("{} of {count}", index + 1) };
            foot.text((width / 2.0, 10.0), 10.0, Anchor::Middle, Weight::Regular, &number);
            if index > 0 {
                foot.text((0.0, 10.0), 10.0, Anchor::Start, Weight::Regular, title);
            }
            let top = PAGE.1 - MARGIN - 12.0;
            page.items.push(Item { svg: foot.finish(width, 14.0), left: MARGIN, top, width });
        }
        self.pages
    }
}

/// The file.
pub(super) fn pdf(pages: &[Page], title: &str) -> Result<Vec<u8>, EngravingError> {
    let failed = |what: &str| EngravingError::Pages(what.to_owned());
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title(title.to_owned()).creator("Leverlane".to_owned()));
    for page in pages {
        let settings = PageSettings::from_wh(PAGE.0, PAGE.1).ok_or_else(|| failed("a page of no size"))?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        for item in &page.items {
            let tree = tree(&item.svg)?;
            let scale = item.width / tree.size().width();
            let size = Size::from_wh(item.width, tree.size().height() * scale);
            let size = size.ok_or_else(|| failed("a system of no size"))?;
            surface.push_transform(&Transform::from_translate(item.left, item.top));
            let drawn = surface.draw_svg(&tree, size, SvgSettings::default());
            surface.pop();
            drawn.ok_or_else(|| failed("a system that can't be drawn"))?;
        }
        surface.finish();
        sheet.finish();
    }
    document.finish().map_err(|error| EngravingError::Pages(format!("{error:?}")))
}
