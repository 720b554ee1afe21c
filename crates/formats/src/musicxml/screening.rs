//! What is refused before the XML parser sees it.
//!
//! Entities can only be declared inside the DOCTYPE, so refusing those declarations refuses entity bombs. Two more
//! things cost a parser time that grows with their square: attributes of one element, which it compares with each other,
//! and namespaces, which every element looks up. MusicXML needs few of either.

use crate::{Detail, ImportError, Said, said};

/// More attributes than any element of MusicXML 4.0 has.
const MOST_ATTRIBUTES: usize = 200;
/// Namespaces are declared at the root, or where something is linked to.
const MOST_NAMESPACES: usize = 200;

/// Looks through the text of an XML file.
///
/// # Errors
/// A document type with declarations of its own, too many attributes, too many namespaces.
pub(super) fn screen(text: &str) -> Result<(), ImportError> {
    if has_internal_subset(text) {
        return Err(ImportError::Unsupported(Detail {
            place: said!("document type"),
            found: said!("declarations inside the DOCTYPE"),
            expected: said!("a DOCTYPE that only names MusicXML's own"),
            remedy: said!("remove the part between [ and ] from the DOCTYPE"),
        }));
    }
    if text.match_indices("xmlns").nth(MOST_NAMESPACES).is_some() {
        return Err(too_many(said!("namespaces"), MOST_NAMESPACES));
    }
    if most_attributes(text) > MOST_ATTRIBUTES {
        return Err(too_many(said!("attributes of one element"), MOST_ATTRIBUTES));
    }
    Ok(())
}

fn too_many(what: Said, most: usize) -> ImportError {
    ImportError::LimitReached(Detail {
        place: Said::default(),
        found: said!("more than {most} {what}", most, what),
        expected: said!("a score of ordinary making"),
        remedy: said!("export the piece again as MusicXML"),
    })
}

/// Whether the DOCTYPE, if there is one, holds declarations of its own.
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

/// The most attributes that one tag of the text has, as far as the text goes well: where it doesn't, the parser says so.
fn most_attributes(text: &str) -> usize {
    let mut most = 0;
    let mut rest = text;
    while let Some((_, tag)) = rest.split_once('<') {
        let skipped =
            [("!--", "-->"), ("![CDATA[", "]]>"), ("?", "?>")].into_iter().find(|(begins, _)| tag.starts_with(begins));
        if let Some((_, end)) = skipped {
            rest = tag.split_once(end).map_or("", |(_, after)| after);
            continue;
        }
        let (count, after) = attributes_of(tag);
        most = most.max(count);
        rest = after;
    }
    most
}

/// How many quoted values come before the end of a tag, and what comes after it.
fn attributes_of(tag: &str) -> (usize, &str) {
    let mut count = 0;
    let mut rest = tag;
    while let Some(at) = rest.find(['"', '\'', '>']) {
        let (sign, after) = (rest.as_bytes()[at], &rest[at + 1..]);
        if sign == b'>' {
            return (count, after);
        }
        count += 1;
        rest = after.split_once(char::from(sign)).map_or("", |(_, after)| after);
    }
    (count, "")
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

    #[test]
    fn attributes_are_counted_by_tag() {
        for (text, most) in [
            ("<a b='1' c=\"'\"><d e='>' f='' g=''/></a>", 3),
            ("<!-- a='' b='' --><a b=''/>", 1),
            ("<a><![CDATA[<a b='' c=''>]]></a>", 0),
            ("<?x a='' b=''?><a", 0),
            ("it's <a b='", 1),
        ] {
            assert_eq!(most_attributes(text), most, "{text}");
        }
    }
}
