//! The XML document: parsed within bounds, and read element by element.

use roxmltree::{Document, Node, ParsingOptions, TextPos};

use crate::{Detail, ImportError, Limits};

const EXPORT_AGAIN: &str = "export the piece again as MusicXML";

/// Parses the text of a MusicXML file.
///
/// # Errors
/// Text that is no XML, a document type with declarations of its own, or more nodes than allowed.
pub(super) fn parse<'a>(text: &'a str, limits: &Limits) -> Result<Document<'a>, ImportError> {
    if has_internal_subset(text) {
        return Err(ImportError::Unsupported(Detail {
            place: "document type".to_owned(),
            found: "declarations inside the DOCTYPE".to_owned(),
            expected: "a DOCTYPE that only names MusicXML's own".to_owned(),
            remedy: "remove the part between [ and ] from the DOCTYPE".to_owned(),
        }));
    }
    let options = ParsingOptions { allow_dtd: true, nodes_limit: limits.nodes, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|error| match error {
        roxmltree::Error::NodesLimitReached => ImportError::LimitReached(Detail {
            place: String::new(),
            found: format!("more than {} XML nodes", limits.nodes),
            expected: "a score of ordinary size".to_owned(),
            remedy: "split the piece into smaller files".to_owned(),
        }),
        error => {
            // These two know no place of their own.
            let breaks_off =
                matches!(error, roxmltree::Error::UnexpectedEndOfStream | roxmltree::Error::UnclosedRootNode);
            let place = if breaks_off { end_of(text) } else { error.pos() };
            ImportError::Malformed(Detail {
                place: format!("line {}, column {}", place.row, place.col),
                found: one_line(&error.to_string()),
                expected: "well-formed XML".to_owned(),
                remedy: EXPORT_AGAIN.to_owned(),
            })
        }
    })
}

fn end_of(text: &str) -> TextPos {
    let (row, last) = text.lines().enumerate().last().map_or((0, ""), |(row, line)| (row, line));
    let bounded = |count: usize| u32::try_from(count + 1).unwrap_or(u32::MAX);
    TextPos::new(bounded(row), bounded(last.chars().count()))
}

/// Whether the DOCTYPE, if there is one, holds declarations of its own. Entities can be declared only there.
fn has_internal_subset(text: &str) -> bool {
    let mut rest = text.trim_start_matches('\u{feff}');
    loop {
        rest = rest.trim_start();
        let end = if rest.starts_with("<?") {
            "?>"
        } else if rest.starts_with("<!--") {
            "-->"
        } else {
            break;
        };
        match rest.split_once(end) {
            Some((_, after)) => rest = after,
            None => return false,
        }
    }
    let Some(mut rest) = rest.strip_prefix("<!DOCTYPE") else { return false };
    // Quoted names may hold any sign.
    while let Some(at) = rest.find(['"', '\'', '[', '>']) {
        match rest.as_bytes()[at] {
            b'[' => return true,
            b'>' => return false,
            quote => match rest[at + 1..].split_once(char::from(quote)) {
                Some((_, after)) => rest = after,
                None => return false,
            },
        }
    }
    false
}

/// The first child element of a name.
pub(super) fn child<'a, 'input>(node: Node<'a, 'input>, name: &str) -> Option<Node<'a, 'input>> {
    children(node, name).next()
}

/// The child elements of a name.
pub(super) fn children<'a, 'input: 'a>(node: Node<'a, 'input>, name: &str) -> impl Iterator<Item = Node<'a, 'input>> {
    node.children().filter(move |child| child.has_tag_name(name))
}

/// The text of an element without the space around it; empty where it has none.
pub(super) fn text_of<'a>(node: Node<'a, '_>) -> &'a str {
    node.text().map_or("", str::trim)
}

/// The text of the first child of a name, if there is such a child.
pub(super) fn child_text<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    child(node, name).map(text_of)
}

/// Where an element stands, for errors.
pub(super) fn place_of(node: Node<'_, '_>) -> String {
    let place = node.document().text_pos_at(node.range().start);
    format!("line {}, column {}", place.row, place.col)
}

/// An element that can't be read.
pub(super) fn malformed(node: Node<'_, '_>, found: impl Into<String>, expected: &str) -> ImportError {
    ImportError::Malformed(Detail {
        place: place_of(node),
        found: found.into(),
        expected: expected.to_owned(),
        remedy: EXPORT_AGAIN.to_owned(),
    })
}

/// A text as it may stand in a message: quoted, in one line, not too long.
pub(super) fn quoted(text: &str) -> String {
    let mut short: String = text.chars().take(40).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    format!("\"{}\"", short.escape_debug())
}

fn one_line(text: &str) -> String {
    text.chars().take(200).map(|c| if c.is_control() { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn internal_subsets_are_seen() {
        let public = "<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD [4.0] Partwise//EN\" 'a>b.dtd'>";
        for (text, subset) in [
            (format!("<?xml version='1.0'?>\n<!-- [ --> {public}<a/>"), false),
            ("<!DOCTYPE a [<!ENTITY x 'y'>]><a/>".to_owned(), true),
            ("\u{feff}<!DOCTYPE a SYSTEM 'x' [\n]><a/>".to_owned(), true),
            ("<a><![CDATA[<!DOCTYPE a [ ]]></a>".to_owned(), false),
            ("<!DOCTYPE a '".to_owned(), false),
        ] {
            assert_eq!(has_internal_subset(&text), subset, "{text}");
        }
    }
}
