//! Lever marks put into a player's own file: every byte of hers stays, and taking the marks out gives her file back.
//!
//! In each bar the marks stand between two processing instructions, which any XML may hold and no reader minds, before
//! the bar's first note and after its leading attributes; `offset` moves each to its beat. A file that has marks of
//! ours already loses them first.

use leverlane_core::plan::{FlipMark, StartList};
use leverlane_core::score::{BarIndex, Hand, Hands, NoteRef, Score};
use roxmltree::Node;

use super::bars::BarReadings;
use super::decode::{Decoded, decoded};
use super::document::{self, text_of};
use super::mark_elements;
use super::measures::{self, Measure, PartSource};
use super::part;
use super::quarters::Quarters;
use super::splice::{Change, spliced};
use super::warnings::Warnings;
use crate::{ImportError, Limits, Warning, said};

const BEGINS: &str = "\n<?lever-marks begin?>";
const ENDS: &str = "<?lever-marks end?>";

/// What to put into a score.
#[derive(Clone, Copy, Debug)]
pub struct Marking<'a> {
    /// The score as it was read from the same bytes.
    pub score: &'a Score,
    /// Which notes are the harp's, and in which hand: marks go to the staff where a hand has most of its notes.
    pub hands: &'a Hands,
    /// The flips.
    pub marks: &'a [FlipMark],
    /// The levers to list at the head.
    pub start: &'a StartList,
}

/// A score's file with marks in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MarkedFile {
    /// The file, in the encoding it came in.
    pub bytes: Vec<u8>,
    /// Marks that could not be put in.
    pub warnings: Vec<Warning>,
}

/// Puts marks into a MusicXML file (not its archive).
///
/// # Errors
/// As reading the file; an encoding that can't be written back.
pub fn mark(bytes: &[u8], marking: &Marking<'_>, limits: &Limits) -> Result<MarkedFile, ImportError> {
    let bytes = unmark(bytes)?;
    let file = decoded(&bytes)?;
    let document = document::parse(&file.text, limits)?;
    let sources = measures::parts(document.root_element(), limits)?;
    let played = with_notes(&sources, limits)?;
    let mut warnings = Vec::new();
    let mut changes: Vec<Change> = Vec::new();
    let places = hand_places(marking);
    let mut harps: Vec<usize> = places.iter().map(|place| place.part).collect();
    harps.dedup();
    for part in harps {
        let Some(&source) = played.get(part) else { continue };
        let inserts = Inserts { marking, places, part, file: &file };
        inserts.gather(source, &mut changes, &mut warnings);
    }
    changes.sort_by_key(|change| change.range.start);
    let bytes = spliced(&file, &changes)?;
    Ok(MarkedFile { bytes, warnings })
}

/// Takes the marks out again that [`mark`] has put in.
///
/// # Errors
/// Bytes that are no text, or an encoding that can't be written back.
pub fn unmark(bytes: &[u8]) -> Result<Vec<u8>, ImportError> {
    let file = decoded(bytes)?;
    let mut changes = Vec::new();
    let mut from = 0;
    while let Some(begins) = file.text[from..].find(BEGINS).map(|at| from + at)
        && let Some(ends) = file.text[begins..].find(ENDS).map(|at| begins + at + ENDS.len())
    {
        changes.push(Change { range: begins..ends, by: String::new() });
        from = ends;
    }
    if changes.is_empty() { Ok(bytes.to_vec()) } else { spliced(&file, &changes) }
}

/// The file's parts that have notes, which are those of the score.
fn with_notes<'s, 'a, 'input>(
    sources: &'s [PartSource<'a, 'input>],
    limits: &Limits,
) -> Result<Vec<&'s PartSource<'a, 'input>>, ImportError> {
    let mut found = Vec::new();
    for source in sources {
        let (mut bars, mut warnings) = (BarReadings::default(), Warnings::default());
        if !part::read(source, &mut bars, 0, limits, &mut warnings)?.part.notes.is_empty() {
            found.push(source);
        }
    }
    Ok(found)
}

/// Where a hand's marks go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct HandPlace {
    part: usize,
    /// None where the part has one staff.
    staff: Option<u8>,
}

/// The places of the right hand's marks and of the left's.
fn hand_places(marking: &Marking<'_>) -> [HandPlace; 2] {
    let [right, left] = [Hand::Right, Hand::Left].map(|hand| usual_place(marking, hand));
    let beside = |other: HandPlace, hand: Hand| {
        let staves = marking.score.parts().get(other.part).map_or(1, |part| part.staves);
        let staff = if hand == Hand::Right { 1 } else { staves };
        HandPlace { part: other.part, staff: (staves > 1).then_some(staff) }
    };
    match (right, left) {
        (Some(right), Some(left)) => [right, left],
        (Some(right), None) => [right, beside(right, Hand::Left)],
        (None, Some(left)) => [beside(left, Hand::Right), left],
        (None, None) => [HandPlace { part: 0, staff: None }; 2],
    }
}

/// The staff on which a hand has most of its notes.
fn usual_place(marking: &Marking<'_>, hand: Hand) -> Option<HandPlace> {
    let mut counts: std::collections::BTreeMap<(usize, u8), usize> = std::collections::BTreeMap::new();
    for (reference, note) in marking.score.notes() {
        let NoteRef { part, .. } = reference;
        if marking.hands.of(reference) == Some(hand) {
            *counts.entry((part, note.staff)).or_default() += 1;
        }
    }
    let (&(part, staff), _) = counts.iter().rev().max_by_key(|&(_, &count)| count)?;
    let staves = marking.score.parts().get(part)?.staves;
    Some(HandPlace { part, staff: (staves > 1).then_some(staff) })
}

/// The marks that go into one part.
struct Inserts<'a> {
    marking: &'a Marking<'a>,
    /// Of the right hand and of the left.
    places: [HandPlace; 2],
    part: usize,
    file: &'a Decoded<'a>,
}

impl Inserts<'_> {
    fn gather(&self, source: &PartSource<'_, '_>, changes: &mut Vec<Change>, warnings: &mut Vec<Warning>) {
        let mut divisions = Quarters::whole(1);
        for measure in &source.measures {
            let (head, rest) = leading(measure.music);
            take_divisions(&head, &mut divisions);
            let elements = self.elements(measure, divisions);
            if !elements.is_empty() {
                match self.opening(measure.music, head.last().copied()) {
                    Some(at) => {
                        let text = format!("{BEGINS}\n{}\n{ENDS}", elements.join("\n"));
                        changes.push(Change::insert(at, text));
                    }
                    None => {
                        let reason = said!("the bar is written without any content here, so its marks have no place");
                        warnings.push(Warning { bar: Some(BarIndex::new(measure.index)), reason });
                    }
                }
            }
            take_divisions(&rest, &mut divisions);
        }
    }

    fn elements(&self, measure: &Measure<'_, '_>, divisions: Quarters) -> Vec<String> {
        let [right, left] = self.places;
        let mut elements = Vec::new();
        if measure.index == 0 && right.part == self.part {
            elements.push(mark_elements::start_list(self.marking.start, right.staff));
        }
        for mark in self.marking.marks.iter().filter(|mark| mark.bar.get() == measure.index) {
            let place = if mark.hand == Hand::Right { right } else { left };
            if place.part == self.part {
                elements.push(mark_elements::flip(mark, place.staff, divisions));
            }
        }
        elements
    }

    /// Where in the text the bar's music begins: after its leading elements, else after its own tag; none where the tag
    /// closes itself.
    fn opening(&self, bar: Node<'_, '_>, last_leading: Option<Node<'_, '_>>) -> Option<usize> {
        if let Some(last) = last_leading {
            return Some(last.range().end);
        }
        if let Some(first) = bar.first_child() {
            return Some(first.range().start);
        }
        let range = bar.range();
        let text = self.file.text.get(range.clone())?;
        text.rfind("</").map(|closes| range.start + closes)
    }
}

/// A bar's elements before its music, and the rest.
fn leading<'a, 'input>(bar: Node<'a, 'input>) -> (Vec<Node<'a, 'input>>, Vec<Node<'a, 'input>>) {
    let opens = |node: &Node<'_, '_>| match node.tag_name().name() {
        "print" | "attributes" => true,
        "barline" => node.attribute("location") == Some("left"),
        _ => false,
    };
    let elements: Vec<Node<'_, '_>> = bar.children().filter(Node::is_element).collect();
    let count = elements.iter().take_while(|node| opens(node)).count();
    let (head, rest) = elements.split_at(count);
    (head.to_vec(), rest.to_vec())
}

fn take_divisions(elements: &[Node<'_, '_>], divisions: &mut Quarters) {
    let stated = elements
        .iter()
        .filter(|node| node.has_tag_name("attributes"))
        .filter_map(|node| document::child(*node, "divisions"))
        .filter_map(|node| Quarters::from_decimal(text_of(node)));
    if let Some(last) = stated.rev().find(|found| !found.is_negative() && !found.is_zero()) {
        *divisions = last;
    }
}
