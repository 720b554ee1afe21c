//! Which moment each note of a passage was plucked at, all of them together.
//!
//! Every note has some moments at which its string may have been plucked, each with its odds. Players keep their distance
//! from the written time from one note to the next, or wait and then keep the new one; nobody plucks a string twice at once.
//! Dynamic programming finds the moments that are likeliest together, leaving out notes that were not played.

/// A moment at which a note may have been plucked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Moment {
    /// In seconds.
    pub(crate) at: f64,
    /// Natural logarithm of its odds.
    pub(crate) log_odds: f64,
}

/// A note with its moments.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Placed<'a> {
    /// When it is written, in seconds.
    pub(crate) written: f64,
    /// Which string it is.
    pub(crate) string: usize,
    pub(crate) moments: &'a [Moment],
}

/// What a note costs that is left out: the logarithm of the odds below which none of its moments is believed alone (found by
/// trial).
const LEFT_OUT: f64 = -5.5;
/// How far a player's distance from the written time usually changes from note to note, in seconds.
const CHANGES: f64 = 0.02;
/// What she does otherwise, such as waiting, is so likely.
const OTHERWISE: f64 = 0.02;
/// Nothing is less or more likely than these odds.
const SUREST: f64 = 6.0;
/// How far a note may come before one that is written before it, in seconds: within a chord.
const BEFORE: f64 = 0.06;
/// A string is not plucked twice within so many seconds.
const AGAIN: f64 = 0.03;
/// So many notes in a row may be left out at most before the distance is forgotten.
const MEMORY: usize = 6;

/// The best of the ways that end with a note at one of its moments.
#[derive(Clone, Copy, Debug)]
struct Way {
    worth: f64,
    /// The note before and its moment.
    before: Option<(usize, usize)>,
}

/// Which of its moments each note has, if any.
pub(crate) fn align(notes: &[Placed<'_>]) -> Vec<Option<usize>> {
    let mut best: Vec<Vec<Way>> = Vec::with_capacity(notes.len());
    for (index, note) in notes.iter().enumerate() {
        let ends = note.moments.iter().map(|moment| {
            let mut way = Way { worth: LEFT_OUT * index as f64, before: None };
            for before in index.saturating_sub(MEMORY)..index {
                let left_out = LEFT_OUT * (index - before - 1) as f64;
                for (place, last) in notes[before].moments.iter().enumerate() {
                    let Some(step) = step(&notes[before], last, note, moment) else { continue };
                    let worth = best[before][place].worth + left_out + step;
                    if worth > way.worth {
                        way = Way { worth, before: Some((before, place)) };
                    }
                }
            }
            Way { worth: way.worth + moment.log_odds.clamp(-SUREST, SUREST), ..way }
        });
        best.push(ends.collect());
    }
    let mut chosen = vec![None; notes.len()];
    let all = |index: usize| LEFT_OUT * (notes.len() - index - 1) as f64;
    let ends = best.iter().enumerate().flat_map(|(index, ends)| {
        ends.iter().enumerate().map(move |(place, end)| (end.worth + all(index), (index, place)))
    });
    let nothing = LEFT_OUT * notes.len() as f64;
    let mut end = ends.filter(|end| end.0 > nothing).max_by(|a, b| a.0.total_cmp(&b.0)).map(|end| end.1);
    while let Some((index, place)) = end {
        chosen[index] = Some(place);
        end = best[index][place].before;
    }
    chosen
}

/// How likely one note's moment is after another's; none where it can't be.
fn step(last: &Placed<'_>, was: &Moment, note: &Placed<'_>, is: &Moment) -> Option<f64> {
    let least = if last.string == note.string { AGAIN } else { -BEFORE };
    if is.at - was.at < least {
        return None;
    }
    let changed = ((is.at - note.written) - (was.at - last.written)).abs();
    Some(((1.0 - OTHERWISE) * (-changed / CHANGES).exp() + OTHERWISE).ln())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moment(at: f64, log_odds: f64) -> Moment {
        Moment { at, log_odds }
    }

    /// By hand: the second note's likeliest moment alone, 1.3, would be 0.3 s late between notes that are on time; together
    /// with them 1.0 is likelier. The fourth has only moments that are unlikely: it was not played.
    #[test]
    fn notes_are_placed_together() {
        let moments = [
            vec![moment(0.5, 4.0)],
            vec![moment(1.0, 2.0), moment(1.3, 3.0)],
            vec![moment(1.51, 4.0)],
            vec![moment(2.0, -6.0)],
            vec![moment(2.5, 4.0)],
        ];
        let written = [0.5, 1.0, 1.5, 2.0, 2.5];
        let notes: Vec<Placed<'_>> =
            (0..5).map(|n| Placed { written: written[n], string: n, moments: &moments[n] }).collect();
        assert_eq!(align(&notes), [Some(0), Some(0), Some(0), None, Some(0)]);
    }

    /// By hand: from the third note on all come 0.4 s later; a wait is one step, however many notes follow it.
    #[test]
    fn a_wait_is_followed() {
        let moments: Vec<Vec<Moment>> = (0..6)
            .map(|n| {
                let at = 0.5 * f64::from(n);
                if n < 3 { vec![moment(at, 3.0)] } else { vec![moment(at, 0.5), moment(at + 0.4, 3.0)] }
            })
            .collect();
        let notes: Vec<Placed<'_>> =
            (0..6).map(|n| Placed { written: 0.5 * n as f64, string: n % 2, moments: &moments[n] }).collect();
        assert_eq!(align(&notes), [Some(0), Some(0), Some(0), Some(1), Some(1), Some(1)]);
    }
}
