//! What stands beside the notes: placing brackets, and fermatas over rests and bar lines.

use leverlane_core::score::{BarIndex, Hand, Hands, Note, NoteRef, PlacingBracket, Score};
use leverlane_core::time::Ticks;

/// Numbers that tell brackets apart that are open at the same time (the standard has 1 to 16, `number-level`).
const NUMBERS: usize = 16;

/// A bracket on the staff on which it is written.
pub(super) struct Placed {
    number: usize,
    staff: usize,
    begins: (BarIndex, Ticks),
    ends: (BarIndex, Ticks),
}

/// The brackets over the harp's notes within some bars, each on the staff of the hand that plays the first note under
/// it.
pub(super) fn brackets_of_harp(score: &Score, hands: &Hands, bars: &std::ops::Range<usize>) -> Vec<Placed> {
    let within =
        |bracket: &&PlacingBracket| bars.contains(&bracket.begins.0.get()) && bars.contains(&bracket.ends.0.get());
    let placed = |(index, bracket): (usize, &PlacingBracket)| {
        let staff = match first_hand(score, hands, bracket)? {
            Hand::Right => 1,
            Hand::Left => 2,
        };
        Some(Placed { number: index % NUMBERS + 1, staff, begins: bracket.begins, ends: bracket.ends })
    };
    score.markings().brackets.iter().filter(within).enumerate().filter_map(placed).collect()
}

/// The hand of the first note under a bracket; none where the harp plays none of them.
fn first_hand(score: &Score, hands: &Hands, bracket: &PlacingBracket) -> Option<Hand> {
    let notes = score.parts().get(bracket.part)?.notes.iter().enumerate();
    let under =
        |note: &Note| note.staff == bracket.staff && (bracket.begins..=bracket.ends).contains(&(note.bar, note.onset));
    notes.filter(|(_, note)| under(note)).find_map(|(note, _)| hands.of(NoteRef { part: bracket.part, note }))
}

/// The directions of a bar's beginning and ending brackets; `divided` makes divisions of a length.
pub(super) fn directions(brackets: &[Placed], bar: BarIndex, divided: impl Fn(Ticks) -> i64, out: &mut String) {
    for Placed { number, staff, begins, ends } in brackets {
        for (kind, (in_bar, at)) in [("start", begins), ("stop", ends)] {
            if *in_bar != bar {
                continue;
            }
            *out += &format!(
                "<direction placement=\"above\"><direction-type><bracket type=\"{kind}\" number=\"{number}\" \
                 line-end=\"down\" line-type=\"solid\"/></direction-type><offset>{}</offset><staff>{staff}</staff>\
                 </direction>\n",
                divided(*at)
            );
        }
    }
}

/// Where in a bar fermatas stand over no note; what stands at the bar's end is the bar line's.
pub(super) fn holds_in(score: &Score, bar: BarIndex) -> Vec<Ticks> {
    score.markings().holds.iter().filter(|hold| hold.bar == bar).map(|hold| hold.at).collect()
}
