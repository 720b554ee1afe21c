//! The XML document: parsed within bounds, and read element by element.

use roxmltree::{Document, Node, ParsingOptions, TextPos};

use super::screening::screen;
use crate::{Detail, ImportError, Limits, Said, said};

/// Parses the text of a MusicXML file.
///
/// # Errors
/// Text that is no XML, or that asks for more than a score needs.
pub(crate) fn parse<'a>(text: &'a str, limits: &Limits) -> Result<Document<'a>, ImportError> {
    screen(text)?;
    let options = ParsingOptions { allow_dtd: true, nodes_limit: limits.nodes, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|error| match error {
        roxmltree::Error::NodesLimitReached => ImportError::LimitReached(Detail {
            place: Said::default(),
            found: said!("more than {nodes} XML nodes", nodes = limits.nodes),
            expected: said!("a score of ordinary size"),
            remedy: said!("split the piece into smaller files"),
        }),
        error => {
            // These two know no place of their own.
            let breaks_off =
                matches!(error, roxmltree::Error::UnexpectedEndOfStream | roxmltree::Error::UnclosedRootNode);
            let place = if breaks_off { end_of(text) } else { error.pos() };
            // The parser says the place in its text too.
            let (text, known) = (error.to_string(), format!(" at {}", error.pos()));
            ImportError::Malformed(Detail {
                place: said!("line {line}, column {column}", line = place.row, column = place.col),
                found: Said::quoted(one_line(text.strip_suffix(&known).unwrap_or(&text))),
                expected: said!("well-formed XML"),
                remedy: said!("export the piece again as MusicXML"),
            })
        }
    })
}

fn end_of(text: &str) -> TextPos {
    let (row, last) = text.lines().enumerate().last().map_or((0, ""), |(row, line)| (row, line));
    let bounded = |count: usize| u32::try_from(count + 1).unwrap_or(u32::MAX);
    TextPos::new(bounded(row), bounded(last.chars().count()))
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
pub(super) fn place_of(node: Node<'_, '_>) -> Said {
    let place = node.document().text_pos_at(node.range().start);
    said!("line {line}, column {column}", line = place.row, column = place.col)
}

/// An element that can't be read.
pub(super) fn malformed(node: Node<'_, '_>, found: Said, expected: Said) -> ImportError {
    ImportError::Malformed(Detail {
        place: place_of(node),
        found,
        expected,
        remedy: said!("export the piece again as MusicXML"),
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
