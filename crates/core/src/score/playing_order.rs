//! Repeats, endings and jumps, unrolled.
//!
//! The rules are those of MusicXML 4.0's `repeat`, `ending` and `sound`:
//! - a backward repeat leads to the forward repeat before it, else to where the last repeated passage was left, else to
//!   the beginning (of the coda, within one); the passage is played `times` times, or as often as its endings say;
//! - an ending is played on the passes that its numbers name and left out on the others;
//! - a da capo or dal segno is taken once, when the bar's own repeat is done, or on the passes that `time-only` names;
//! - "to coda" and "fine" count only after such a jump ("to coda" also on the passes that `time-only` names);
//! - after a jump a repeated passage is played once, with its last ending, unless its repeat says `after-jump="yes"`.
//!
//! Not supported: repeats within repeats (an inner forward repeat simply begins a new passage), and jumps that land or
//! leave in the middle of a bar.

use std::collections::HashMap;

use super::{Bar, BarIndex, JumpTarget, Navigation, Score};

/// The bars in the order in which they are played; at least one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlayingOrder(Vec<BarIndex>);

/// A way through the bars that does not end in reasonable time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the repeats and jumps unroll to more than {limit} bars: check their counts, or remove some")]
pub struct OrderError {
    /// How many played bars are allowed.
    pub limit: usize,
}

impl PlayingOrder {
    /// The bars in written order, each once.
    pub fn as_written(score: &Score) -> PlayingOrder {
        PlayingOrder((0..score.bars().len()).map(BarIndex::new).collect())
    }

    /// The bars in an order that something other than their signs gives, such as a list of parts. None where it is
    /// empty, or names a bar that is not among `bars`.
    pub fn explicit(order: Vec<BarIndex>, bars: &[Bar]) -> Option<PlayingOrder> {
        let sound = !order.is_empty() && order.iter().all(|bar| bar.get() < bars.len());
        sound.then_some(PlayingOrder(order))
    }

    /// Follows repeats, endings and jumps. A jump to a sign that stands nowhere is passed over, and so are endings that
    /// would leave nothing to play.
    ///
    /// # Errors
    /// Where more than `limit` bars would be played.
    pub fn unroll(bars: &[Bar], limit: usize) -> Result<PlayingOrder, OrderError> {
        let mut walk = Walk::through(bars);
        let mut played = Vec::new();
        // Every step either plays a bar or skips one on the way ahead, and jumps are only taken from a bar just played:
        // more than `limit` bars played in a row ends it whatever the signs say.
        while let Some(bar) = walk.next_bar() {
            if played.len() == limit {
                return Err(OrderError { limit });
            }
            played.push(BarIndex::new(bar));
        }
        if played.is_empty() {
            if bars.len() > limit {
                return Err(OrderError { limit });
            }
            played = (0..bars.len()).map(BarIndex::new).collect();
        }
        Ok(PlayingOrder(played))
    }

    /// The bars as played.
    pub fn bars(&self) -> &[BarIndex] {
        &self.0
    }
}

/// A repeated passage: its bars from the forward repeat to the last bar of its last ending.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Passage {
    first: usize,
    last: usize,
    /// How often it is played in all.
    passes: u8,
    /// Whether it is repeated after a jump too.
    after_jump: bool,
}

/// The repeated passages in order; they don't overlap.
fn passages(bars: &[Bar]) -> Vec<Passage> {
    let mut found = Vec::new();
    let mut first = 0;
    let mut index = 0;
    while index < bars.len() {
        let here = &bars[index].navigation;
        if here.repeat_start || here.coda.is_some() {
            first = index;
        }
        if here.ending.is_some() || here.repeat_end.is_some() {
            let passage = passage_closing_at(bars, first, index);
            index = passage.last;
            first = passage.last + 1;
            if !is_lone_later_ending(bars, &passage) {
                found.push(passage);
            }
        }
        index += 1;
    }
    found
}

/// Whether no pass could ever reach the passage's endings: none of them is a first, and nothing repeats. Such brackets
/// are remains of an edit, and their bars are played.
fn is_lone_later_ending(bars: &[Bar], passage: &Passage) -> bool {
    let mut endings = bars[passage.first..=passage.last].iter().filter_map(|bar| bar.navigation.ending.as_ref());
    let repeats = bars[passage.first..=passage.last].iter().any(|bar| bar.navigation.repeat_end.is_some());
    !repeats && endings.all(|ending| !ending.passes.contains(&1))
}

/// The passage from `first` whose endings, or whose only backward repeat, begin at bar `index`.
fn passage_closing_at(bars: &[Bar], first: usize, index: usize) -> Passage {
    let mut last = index;
    let mut brackets = 0;
    let mut named: Vec<u8> = Vec::new();
    for (place, bar) in bars.iter().enumerate().skip(index) {
        let Some(ending) = &bar.navigation.ending else { break };
        let new_bracket = place == index || ending.starts;
        let another_passage = new_bracket && place > index && ending.passes.iter().any(|pass| named.contains(pass));
        if place > index && bar.navigation.repeat_start || another_passage {
            break;
        }
        if new_bracket {
            brackets += 1;
            named.extend(&ending.passes);
        }
        last = place;
    }
    let repeats = || bars[index..=last].iter().filter_map(|bar| bar.navigation.repeat_end);
    let times = repeats().map(|repeat| repeat.times).max().unwrap_or(1);
    let highest = named.iter().copied().max().unwrap_or(0);
    let passes = match brackets {
        0 => times,
        // A first ending alone: what comes after the last pass stands without a bracket.
        1 if repeats().next().is_some() => times.max(highest.saturating_add(1)),
        // Where there are several, their numbers say how often, and a repeat sign closing the last of them says nothing.
        _ => highest.max(1),
    };
    Passage { first, last, passes, after_jump: repeats().any(|repeat| repeat.after_jump) }
}

/// Where the player is.
struct Walk<'a> {
    bars: &'a [Bar],
    passages: Vec<Passage>,
    /// The passage of each bar, by its place in `passages`.
    passage_of: Vec<Option<usize>>,
    next: Option<usize>,
    /// The passage last entered and the time through it, from 1.
    within: Option<(usize, u8)>,
    jumps_taken: Vec<bool>,
    /// How many jumps had been taken when each "to coda" was; one is taken once a jump.
    codas_taken: Vec<Option<u32>>,
    jumps: u32,
    segnos: Signs<'a>,
    codas: Signs<'a>,
}

/// The bars of the signs that are jumped to, in order; many signs and many jumps are found without a search bar by bar.
#[derive(Default)]
struct Signs<'a> {
    all: Vec<usize>,
    by_name: HashMap<&'a str, Vec<usize>>,
}

impl<'a> Signs<'a> {
    fn of(bars: &'a [Bar], name: impl Fn(&'a Navigation) -> Option<&'a String>) -> Signs<'a> {
        let mut signs = Signs::default();
        for (bar, name) in bars.iter().enumerate().filter_map(|(bar, it)| Some((bar, name(&it.navigation)?))) {
            signs.all.push(bar);
            signs.by_name.entry(name).or_default().push(bar);
        }
        signs
    }

    fn named(&self, name: &str) -> &[usize] {
        self.by_name.get(name).map_or(&[], Vec::as_slice)
    }
}

/// The last of some bars in order that is no later than another.
fn last_up_to(bars: &[usize], bar: usize) -> Option<usize> {
    bars[..bars.partition_point(|&place| place <= bar)].last().copied()
}

/// The first of some bars in order that is later than another.
fn first_after(bars: &[usize], bar: usize) -> Option<usize> {
    bars.get(bars.partition_point(|&place| place <= bar)).copied()
}

impl<'a> Walk<'a> {
    fn through(bars: &'a [Bar]) -> Walk<'a> {
        let passages = passages(bars);
        let mut passage_of = vec![None; bars.len()];
        for (number, passage) in passages.iter().enumerate() {
            passage_of[passage.first..=passage.last].fill(Some(number));
        }
        Walk {
            bars,
            passages,
            passage_of,
            next: (!bars.is_empty()).then_some(0),
            within: None,
            jumps_taken: vec![false; bars.len()],
            codas_taken: vec![None; bars.len()],
            jumps: 0,
            segnos: Signs::of(bars, |signs| signs.segno.as_ref()),
            codas: Signs::of(bars, |signs| signs.coda.as_ref()),
        }
    }

    /// The next bar to play.
    fn next_bar(&mut self) -> Option<usize> {
        loop {
            let bar = self.next.filter(|&bar| bar < self.bars.len())?;
            self.enter(bar);
            let left_out = |pass| {
                let ending = self.bars[bar].navigation.ending.as_ref();
                ending.is_some_and(|ending| !ending.passes.is_empty() && !ending.passes.contains(&pass))
            };
            if self.pass().is_some_and(left_out) {
                self.next = Some(bar + 1);
                continue;
            }
            self.next = self.after(bar);
            return Some(bar);
        }
    }

    /// Notices where another passage begins.
    fn enter(&mut self, bar: usize) {
        let passage = self.passage_of[bar];
        if passage == self.within.map(|(number, _)| number) {
            return;
        }
        self.within = passage.map(|number| {
            let Passage { passes, after_jump, .. } = self.passages[number];
            (number, if self.jumps > 0 && !after_jump { passes } else { 1 })
        });
    }

    /// The time through the passage that the player is in.
    fn pass(&self) -> Option<u8> {
        self.within.map(|(_, pass)| pass)
    }

    /// Where the music goes on after a bar; nowhere where it ends.
    fn after(&mut self, bar: usize) -> Option<usize> {
        let signs = &self.bars[bar].navigation;
        let pass = self.pass().unwrap_or(1);
        let last_pass = self.within.is_none_or(|(number, pass)| pass >= self.passages[number].passes);
        if signs.fine && self.jumps > 0 && last_pass {
            return None;
        }
        if let Some(sign) = &signs.to_coda {
            let wanted = if sign.passes.is_empty() { self.jumps > 0 && last_pass } else { sign.passes.contains(&pass) };
            if wanted
                && self.codas_taken[bar] != Some(self.jumps)
                && let Some(coda) = self.coda(&sign.coda, bar)
            {
                self.codas_taken[bar] = Some(self.jumps);
                return self.leap(coda);
            }
        }
        if signs.repeat_end.is_some()
            && !last_pass
            && let Some((number, pass)) = self.within
        {
            self.within = Some((number, pass + 1));
            return Some(self.passages[number].first);
        }
        if let Some(jump) = &signs.jump {
            let wanted = jump.passes.is_empty() || jump.passes.contains(&pass);
            if wanted
                && !self.jumps_taken[bar]
                && let Some(target) = self.target(&jump.target, bar)
            {
                self.jumps_taken[bar] = true;
                self.jumps += 1;
                return self.leap(target);
            }
        }
        Some(bar + 1)
    }

    /// A jump begins whatever passage it lands in anew.
    fn leap(&mut self, target: usize) -> Option<usize> {
        self.within = None;
        Some(target)
    }

    /// The bar of a jump's sign: the one of its name nearest before the jump, else the nearest of any name.
    fn target(&self, target: &JumpTarget, from: usize) -> Option<usize> {
        match target {
            JumpTarget::DaCapo => Some(0),
            JumpTarget::DalSegno(name) => {
                last_up_to(self.segnos.named(name), from).or_else(|| last_up_to(&self.segnos.all, from))
            }
        }
    }

    /// The bar of a coda: the first of its name after the sign, else of its name anywhere, else the next of any name.
    fn coda(&self, name: &str, from: usize) -> Option<usize> {
        let named = self.codas.named(name);
        first_after(named, from).or_else(|| named.first().copied()).or_else(|| first_after(&self.codas.all, from))
    }
}

#[cfg(test)]
mod tests;
