//! The engine's SVG: its boxes are read and then taken out, so that what is left is only ink.

use std::hash::{BuildHasher, BuildHasherDefault, DefaultHasher};

use leverlane_core::score::{BarIndex, Score};
use leverlane_formats::note_of_id;
use roxmltree::{Document, Node};

use crate::EngravingError;
use crate::drawing::{BarBox, NoteBox, Span, System};
use crate::engine::UNITS_PER_SPACE;
use crate::onsets::OnsetMap;

/// Reads one page of the engine's.
///
/// # Errors
/// A page that is not built as the engine builds them.
pub(crate) fn system(page: &str, score: &Score) -> Result<System, EngravingError> {
    let document = Document::parse(page).map_err(|error| unexpected(&error.to_string()))?;
    let inner = document
        .descendants()
        .find(|node| has_class(*node, "definition-scale"))
        .ok_or_else(|| unexpected("no scale"))?;
    let view = numbers(inner.attribute("viewBox").unwrap_or(""));
    let [_, _, width, height] = view[..] else { return Err(unexpected("no size")) };
    let margin =
        document.descendants().find(|node| has_class(*node, "page-margin")).ok_or_else(|| unexpected("no margin"))?;
    let shift = numbers(margin.attribute("transform").unwrap_or(""));
    let [left, top] = shift[..] else { return Err(unexpected("no margins")) };
    let reader = Reader { left, top };
    let (mut bars, mut notes, mut staves) = (Vec::new(), Vec::new(), Vec::new());
    for node in document.descendants().filter(Node::is_element) {
        if has_class(node, "measure") && !has_class(node, "bounding-box") {
            if staves.is_empty() {
                staves =
                    children(node, "staff").filter_map(|staff| reader.boxed(staff)).map(|boxed| boxed.down).collect();
            }
            bars.extend(reader.bar(node));
        } else if has_class(node, "note") && !has_class(node, "bounding-box") {
            let note = node.attribute("id").and_then(note_of_id);
            if let (Some(note), Some(Boxed { across, down })) = (note, reader.boxed(node)) {
                notes.push(NoteBox { note, across, down });
            }
        }
    }
    let onsets = OnsetMap::new(&bars, &notes, score);
    let space = |units: f64| (units / UNITS_PER_SPACE) as f32;
    // The engine measures texts as Times, than which our serif is a little wider: smaller, it stays within its frames.
    let svg = without_boxes(page, &document).replace("font-size=\"405px\"", "font-size=\"380px\"");
    let fingerprint = BuildHasherDefault::<DefaultHasher>::default().hash_one(&svg);
    Ok(System { svg, fingerprint, width: space(width), height: space(height), staves, bars, notes, onsets })
}

fn unexpected(what: &str) -> EngravingError {
    EngravingError::Drawing(what.to_owned())
}

struct Boxed {
    across: Span,
    down: Span,
}

/// Reads boxes; knows the page's margins.
struct Reader {
    left: f64,
    top: f64,
}

impl Reader {
    /// The box of an element: the rectangle in the group that the engine puts first inside it.
    fn boxed(&self, node: Node<'_, '_>) -> Option<Boxed> {
        let group = node.children().find(|child| has_class(*child, "bounding-box"))?;
        let rect = group.children().find(|child| child.has_tag_name("rect") || child.tag_name().name() == "rect")?;
        let number = |name| rect.attribute(name)?.parse::<f64>().ok();
        let (x, y) = (number("x")? + self.left, number("y")? + self.top);
        let (width, height) = (number("width")?, number("height")?);
        let span = |from: f64, length: f64| Span {
            from: (from / UNITS_PER_SPACE) as f32,
            to: ((from + length) / UNITS_PER_SPACE) as f32,
        };
        Some(Boxed { across: span(x, width), down: span(y, height) })
    }

    fn bar(&self, measure: Node<'_, '_>) -> Option<BarBox> {
        let index = measure.attribute("id")?.strip_prefix('b')?.parse().ok()?;
        let staff = children(measure, "staff").next()?;
        let across = self.boxed(staff)?.across;
        // Clef, key and meter stand before the music, a clef that changes for the next bar after it.
        let before = ["clef", "keySig", "meterSig"]
            .into_iter()
            .flat_map(|class| children(staff, class))
            .filter_map(|sign| self.boxed(sign))
            .map(|boxed| boxed.across.to)
            .filter(|&right| right < across.middle())
            .fold(across.from, f32::max);
        Some(BarBox { bar: BarIndex::new(index), across, music: before + AFTER_SIGNS })
    }
}

/// From a bar line or sign to where the middle of a first note's head stands, about (looked at in drawings).
const AFTER_SIGNS: f32 = 1.6;

fn has_class(node: Node<'_, '_>, class: &str) -> bool {
    node.attribute("class").is_some_and(|classes| classes.split(' ').any(|found| found == class))
}

fn children<'a, 'input: 'a>(node: Node<'a, 'input>, class: &'a str) -> impl Iterator<Item = Node<'a, 'input>> {
    node.children().filter(move |child| has_class(*child, class) && !has_class(*child, "bounding-box"))
}

/// The numbers in an attribute, whatever stands between them.
fn numbers(text: &str) -> Vec<f64> {
    let parts = text.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
    parts.filter_map(|part| part.parse().ok()).collect()
}

/// The drawing without its boxes and without the small marks for sections, which would be invisible in print too.
fn without_boxes(page: &str, document: &Document<'_>) -> String {
    let mut kept = String::with_capacity(page.len());
    let mut from = 0;
    for node in
        document.descendants().filter(|node| has_class(*node, "bounding-box") || has_class(*node, "placeholder"))
    {
        let range = node.range();
        if range.start >= from {
            kept.push_str(&page[from..range.start]);
            from = range.end;
        }
    }
    kept.push_str(&page[from..]);
    kept
}
