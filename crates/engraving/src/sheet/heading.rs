//! What stands above the music: title, harp and tempo, the levers to set.

use super::text::{Anchor, Drawn, Weight, about_width, wrapped};
use super::{MARGIN, PAGE, Points, Sheet};

/// The heading, from the top of the page's content.
pub(super) struct Heading {
    pub(super) svg: String,
    pub(super) width: Points,
    pub(super) height: Points,
}

const TITLE: Points = 22.0;
const TEXT: Points = 11.0;
const LEADING: Points = 15.0;
const PADDING: Points = 9.0;

pub(super) fn heading(sheet: &Sheet) -> Heading {
    let width = PAGE.0 - 2.0 * MARGIN;
    let mut drawn = Drawn::default();
    let mut y = 0.0;
    let title = sheet.music.score.title();
    for line in wrapped(title, TITLE, width) {
        y += TITLE * 1.2;
        drawn.text((width / 2.0, y), TITLE, Anchor::Middle, Weight::Bold, &line);
    }
    for line in &sheet.about {
        for line in wrapped(line, TEXT, width) {
            y += LEADING;
            drawn.text((width / 2.0, y), TEXT, Anchor::Middle, Weight::Regular, &line);
        }
    }
    y += LEADING;
    y = start_list(sheet, &mut drawn, y, width);
    Heading { svg: drawn.finish(width, y + 4.0), width, height: y + LEADING }
}

/// A framed list with a small square to tick for each entry; gives where it ends.
fn start_list(sheet: &Sheet, drawn: &mut Drawn, top: Points, width: Points) -> Points {
    let start = &sheet.start;
    let letters = start.letters.iter().map(ToString::to_string);
    let entries: Vec<String> = letters.chain(start.single_strings.iter().map(ToString::to_string)).collect();
    let label = "Before you start";
    let label_width = about_width(label, TEXT) * 1.15 + 2.0 * PADDING;
    let mut y = top + PADDING + TEXT;
    drawn.text((PADDING, y), TEXT, Anchor::Start, Weight::Bold, label);
    if entries.is_empty() {
        drawn.text((label_width, y), TEXT, Anchor::Start, Weight::Regular, "all levers down");
    } else {
        let mut x = label_width;
        drawn.text((x, y), TEXT, Anchor::Start, Weight::Regular, "levers up:");
        x += about_width("levers up:", TEXT) + 8.0;
        let indent = x;
        for entry in entries {
            let needed = TEXT + 5.0 + about_width(&entry, TEXT) + 12.0;
            if x > indent && x + needed > width - PADDING {
                x = indent;
                y += LEADING;
            }
            drawn.frame((x, y - TEXT * 0.72), (TEXT * 0.75, TEXT * 0.75), 0.6);
            drawn.text((x + TEXT + 1.0, y), TEXT, Anchor::Start, Weight::Regular, &entry);
            x += needed;
        }
        if !start.letters.is_empty() {
            y += LEADING;
            let note = "A letter without a number means all its strings; every other lever is down.";
            drawn.text((indent, y), TEXT * 0.85, Anchor::Start, Weight::Regular, note);
        }
    }
    let end = y + PADDING;
    drawn.frame((0.3, top), (width - 0.6, end - top), 0.6);
    end
}
