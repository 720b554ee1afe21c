//! Parts and their measures, whichever way round the file has them.

use std::collections::HashMap;

use roxmltree::Node;

use super::document::{child, child_text, children, text_of};
use crate::{Detail, ImportError, Limits, Said, said};

/// One part's piece of one measure.
#[derive(Clone, Copy, Debug)]
pub(super) struct Measure<'a, 'input> {
    /// Which measure of the score, from 0.
    pub(super) index: usize,
    /// The element with the measure's number.
    pub(super) heading: Node<'a, 'input>,
    /// The element with the part's music.
    pub(super) music: Node<'a, 'input>,
}

/// One part: its name and its measures in order; in a score-timewise some may be missing.
#[derive(Clone, Debug)]
pub(super) struct PartSource<'a, 'input> {
    pub(super) name: String,
    pub(super) measures: Vec<Measure<'a, 'input>>,
}

/// The parts of a score-partwise or score-timewise.
///
/// # Errors
/// Another root element, or more measures than allowed.
pub(super) fn parts<'a, 'input: 'a>(
    root: Node<'a, 'input>,
    limits: &Limits,
) -> Result<Vec<PartSource<'a, 'input>>, ImportError> {
    let parts = match root.tag_name().name() {
        "score-partwise" => partwise(root),
        "score-timewise" => timewise(root),
        other => {
            return Err(ImportError::Unsupported(Detail {
                place: Said::default(),
                found: said!("a document of <{root}>", root = other.chars().take(40).collect::<String>()),
                expected: said!("a score: <score-partwise> or <score-timewise>"),
                remedy: said!("export the piece as MusicXML"),
            }));
        }
    };
    let last = |part: &PartSource<'_, '_>| part.measures.last().map_or(0, |measure| measure.index + 1);
    let most = parts.iter().map(last).max().unwrap_or(0);
    if most > limits.bars {
        return Err(ImportError::LimitReached(Detail {
            place: Said::default(),
            found: said!("{bars} bars", bars = most),
            expected: said!("at most {most}", most = limits.bars),
            remedy: said!("split the piece into smaller files"),
        }));
    }
    Ok(parts)
}

fn partwise<'a, 'input: 'a>(root: Node<'a, 'input>) -> Vec<PartSource<'a, 'input>> {
    let names = part_names(root);
    let part = |node: Node<'a, 'input>| PartSource {
        name: name_of(&names, node.attribute("id")),
        measures: children(node, "measure")
            .enumerate()
            .map(|(index, measure)| Measure { index, heading: measure, music: measure })
            .collect(),
    };
    children(root, "part").map(part).collect()
}

fn timewise<'a, 'input: 'a>(root: Node<'a, 'input>) -> Vec<PartSource<'a, 'input>> {
    let names = part_names(root);
    let mut places: HashMap<&str, usize> = HashMap::new();
    let mut parts: Vec<PartSource<'a, 'input>> = Vec::new();
    for (index, heading) in children(root, "measure").enumerate() {
        for music in children(heading, "part") {
            let id = music.attribute("id").unwrap_or("");
            let place = *places.entry(id).or_insert_with(|| {
                parts.push(PartSource { name: name_of(&names, Some(id)), measures: Vec::new() });
                parts.len() - 1
            });
            parts[place].measures.push(Measure { index, heading, music });
        }
    }
    parts
}

/// The printed names of parts by their ids.
fn part_names<'a>(root: Node<'a, '_>) -> HashMap<&'a str, &'a str> {
    child(root, "part-list")
        .into_iter()
        .flat_map(|list| children(list, "score-part"))
        .filter_map(|part| Some((part.attribute("id")?, child_text(part, "part-name").unwrap_or(""))))
        .collect()
}

fn name_of(names: &HashMap<&str, &str>, id: Option<&str>) -> String {
    id.and_then(|id| names.get(id)).copied().unwrap_or("").to_owned()
}

/// The title: of the work, else of the movement, else the credit that says it is one, else none.
pub(super) fn title(root: Node<'_, '_>) -> String {
    let credit = || {
        children(root, "credit")
            .find(|credit| children(*credit, "credit-type").any(|kind| text_of(kind) == "title"))
            .and_then(|credit| child_text(credit, "credit-words"))
    };
    let written = |text: &&str| !text.is_empty();
    child(root, "work")
        .and_then(|work| child_text(work, "work-title"))
        .filter(written)
        .or_else(|| child_text(root, "movement-title").filter(written))
        .or_else(credit)
        .map(|title| title.split_whitespace().collect::<Vec<_>>().join(" "))
        .unwrap_or_default()
}
