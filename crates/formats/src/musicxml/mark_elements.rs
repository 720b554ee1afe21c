//! Lever marks as `direction` elements: boxed words at an `offset` from the bar's beginning, on the staff of the hand
//! that flips. Only ASCII is written, so that they fit into a file of any encoding.

use leverlane_core::plan::{FlipMark, StartList};
use leverlane_core::score::Hand;

use super::quarters::Quarters;
use super::write::xml::escaped_in_ascii;

/// A flip; `staff` where the part has several. Right-hand marks stand above, left-hand ones below.
pub(super) fn flip(mark: &FlipMark, staff: Option<u8>, divisions: Quarters) -> String {
    let placement = if mark.hand == Hand::Right { "above" } else { "below" };
    let offset = match offset(mark, divisions) {
        None => String::new(),
        Some(offset) => format!("<offset>{offset}</offset>"),
    };
    boxed(&mark.text.to_string(), placement, &offset, staff)
}

/// The list of set levers, above the first bar.
pub(super) fn start_list(start: &StartList, staff: Option<u8>) -> String {
    boxed(&start.to_string(), "above", "", staff)
}

fn boxed(words: &str, placement: &str, offset: &str, staff: Option<u8>) -> String {
    let words = escaped_in_ascii(words);
    let staff = staff.map_or(String::new(), |staff| format!("<staff>{staff}</staff>"));
    format!(
        "<direction placement=\"{placement}\"><direction-type><words enclosure=\"rectangle\">{words}</words>\
         </direction-type>{offset}{staff}</direction>"
    )
}

/// The place in the file's divisions, as a decimal number where it is no whole one: six digits are finer than a tick.
fn offset(mark: &FlipMark, divisions: Quarters) -> Option<String> {
    let place = mark.at.quarters() * divisions.as_f64();
    let text = format!("{place:.6}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    (short != "0").then(|| short.to_owned())
}
