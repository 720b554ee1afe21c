//! From bar signs, endings and parts to what steers the playing order (ABC 2.1 §4.8–4.10, §3.1.9).

use leverlane_core::score::{Ending, Jump, Navigation, RepeatEnd, ToCoda};

use super::measure::BarMarks;

/// The one name that a segno or coda has: ABC gives them none.
pub(super) const SIGN: &str = "1";

/// What steers the way through the bars.
///
/// A passage that ends in a repeat and has no sign at its beginning begins where its section does: after the last
/// repeat, double or thick bar line, ending or part label before it, else at the start (ABC 2.1 §4.8 lets the sign at
/// the start of a tune be left out; the rest is common practice in tune books).
pub(super) fn navigation(marks: &[BarMarks]) -> Vec<Navigation> {
    let mut bars: Vec<Navigation> = marks.iter().map(signs).collect();
    spread_endings(marks, &mut bars);
    let mut section = 0;
    let mut opened = false;
    for index in 0..bars.len() {
        if marks[index].part.is_some() {
            (section, opened) = (index, false);
        }
        if bars[index].repeat_start {
            (section, opened) = (index, true);
        }
        if bars[index].repeat_end.is_some() && !opened {
            // A second ending's repeat sign belongs to the passage of the first.
            bars[section].repeat_start = true;
            opened = true;
        }
        let last_of_endings =
            bars[index].ending.as_ref().is_some_and(|ending| ending.stops) && !continues(&bars, index + 1);
        let repeat_without_endings = bars[index].repeat_end.is_some() && bars[index].ending.is_none();
        let closes_section = marks[index].ends_section && !opened && !continues(&bars, index + 1);
        let repeat_before_more = bars[index].repeat_end.is_some() && !continues(&bars, index + 1);
        if last_of_endings || repeat_without_endings && repeat_before_more || closes_section {
            (section, opened) = (index + 1, false);
        }
    }
    sort_coda_signs(marks, &mut bars);
    bars
}

/// Whether another ending of the same passage begins at a bar.
fn continues(bars: &[Navigation], index: usize) -> bool {
    bars.get(index)
        .and_then(|bar| bar.ending.as_ref())
        .is_some_and(|ending| ending.starts && !ending.passes.contains(&1))
}

fn signs(marks: &BarMarks) -> Navigation {
    let times = marks.closes_repeat.saturating_add(1);
    Navigation {
        repeat_start: marks.opens_repeat > 0,
        repeat_end: (marks.closes_repeat > 0).then_some(RepeatEnd { times, after_jump: false }),
        segno: marks.segno.then(|| SIGN.to_owned()),
        coda: marks.coda.then(|| SIGN.to_owned()),
        to_coda: marks.to_coda.then(|| ToCoda { coda: SIGN.to_owned(), passes: Vec::new() }),
        jump: marks.jump.clone().map(|target| Jump { target, passes: Vec::new() }),
        fine: marks.fine,
        ending: None,
    }
}

/// Gives every bar of an ending its bracket: it runs to a repeat sign, a double or thick bar line, a repeat's beginning
/// the next ending or the end of the tune.
fn spread_endings(marks: &[BarMarks], bars: &mut [Navigation]) {
    let begins = |index: usize| marks[index].ending.is_some();
    for start in (0..marks.len()).filter(|&index| begins(index)) {
        let Some(passes) = &marks[start].ending else { continue };
        let ends_at = |&index: &usize| {
            let next = marks.get(index + 1);
            marks[index].closes_repeat > 0
                || marks[index].ends_section
                || next.is_none_or(|next| next.ending.is_some() || next.opens_repeat > 0 || next.part.is_some())
        };
        let Some(stop) = (start..marks.len()).find(ends_at) else { continue };
        for (index, bar) in bars.iter_mut().enumerate().take(stop + 1).skip(start) {
            bar.ending = Some(Ending { passes: passes.clone(), starts: index == start, stops: index == stop });
        }
    }
}

/// One symbol serves for "to coda" and for the coda itself: where two stand and the music jumps back, the first is the
/// way out and the last the place to go to.
fn sort_coda_signs(marks: &[BarMarks], bars: &mut [Navigation]) {
    let places: Vec<usize> = (0..marks.len()).filter(|&index| marks[index].coda).collect();
    let jumps = bars.iter().any(|bar| bar.jump.is_some());
    if let [first, .., _] = places[..]
        && jumps
        && bars.iter().all(|bar| bar.to_coda.is_none())
    {
        bars[first].coda = None;
        bars[first].to_coda = Some(ToCoda { coda: SIGN.to_owned(), passes: Vec::new() });
    }
    for bar in bars.iter_mut() {
        // A coda sign that nothing leads to only marks the page.
        if !jumps {
            (bar.coda, bar.to_coda, bar.segno) = (None, None, None);
        }
    }
}

/// The labels of a `P:` order such as `A2(BC)3.D`, written out. None for what is no order, or one of more than `limit`
/// labels.
pub(super) fn written_out(order: &str, limit: usize) -> Option<Vec<char>> {
    let mut open: Vec<Vec<char>> = vec![Vec::new()];
    let mut chars = order.chars().peekable();
    while let Some(c) = chars.next() {
        let last = match c {
            c if c.is_ascii_alphabetic() => vec![c],
            '(' if open.len() < 20 => {
                open.push(Vec::new());
                continue;
            }
            ')' if open.len() > 1 => open.pop()?,
            '.' => continue,
            c if c.is_whitespace() => continue,
            _ => return None,
        };
        let mut times = 0usize;
        while let Some(digit) = chars.peek().and_then(|c| c.to_digit(10)) {
            times = times.saturating_mul(10).saturating_add(digit as usize);
            chars.next();
        }
        let times = times.max(1);
        let inner = open.last_mut()?;
        if inner.len().saturating_add(last.len().saturating_mul(times)) > limit {
            return None;
        }
        for _ in 0..times {
            inner.extend(&last);
        }
    }
    if open.len() == 1 { open.pop() } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ABC 2.1 §3.1.9 (from memory): dots only separate, numbers repeat a part or a group.
    #[test]
    fn orders_of_parts() {
        let order = |text| written_out(text, 100).map(|labels| labels.into_iter().collect::<String>());
        assert_eq!(order("ABA").as_deref(), Some("ABA"));
        assert_eq!(order("A2(BC)2.D").as_deref(), Some("AABCBCD"));
        assert_eq!(order("((AB)3.(CD)3)2").as_deref(), Some("ABABABCDCDCDABABABCDCDCD"));
        for bad in ["A99999999999999999999", "(AB", "AB)", "A-B", "((((((((((((((((((((((((A"] {
            assert_eq!(order(bad), None, "{bad}");
        }
    }
}
