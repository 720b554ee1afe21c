//! What stands beside the notes of a part: lever marks, placing brackets, cue notes, fermatas over rests and bar lines.

use crate::said;
use std::collections::HashMap;

use leverlane_core::score::{Bar, BarIndex, CueNote, Hold, LeverMark, Markings, Note, PlacingBracket};
use leverlane_core::time::Ticks;
use roxmltree::Node;

use super::direction::Location;
use super::document::{child, child_text, children, text_of};
use super::lever_mark::{self, WrittenMark};
use super::quarters::Quarters;
use super::warnings::Warnings;

/// A place while the bars are not known yet.
#[derive(Clone, Copy, Debug)]
struct Place {
    bar: usize,
    at: Quarters,
}

/// All of it, gathered bar by bar.
#[derive(Debug, Default)]
pub(super) struct Beside {
    levers: Vec<(Place, WrittenMark)>,
    brackets: Vec<(Place, Place, u8)>,
    /// Brackets that have begun, by their number, with the staff.
    open: HashMap<String, (Place, u8)>,
    /// None: at the bar's end.
    holds: Vec<(usize, Option<Quarters>)>,
    cues: Vec<Note>,
}

impl Beside {
    /// A direction that is printed at a place.
    pub(super) fn direction(&mut self, node: Node<'_, '_>, bar: usize, at: Quarters, warnings: &mut Warnings) {
        let place = Place { bar, at };
        let staff = child_text(node, "staff").and_then(|staff| staff.parse().ok()).filter(|&staff| staff > 0);
        let mut words = String::new();
        for printed in children(node, "direction-type").flat_map(|kind| kind.children()).filter(Node::is_element) {
            match printed.tag_name().name() {
                "words" => {
                    words.push_str(text_of(printed));
                    words.push('\n');
                }
                "symbol" => {
                    let sign = lever_mark::sign_of_symbol(text_of(printed)).unwrap_or("?");
                    words.truncate(words.trim_end().len());
                    words.push_str(sign);
                    words.push('\n');
                }
                "bracket" => self.bracket(printed, place, staff.unwrap_or(1), warnings),
                _ => {}
            }
        }
        self.levers.extend(lever_mark::marks(&words).into_iter().map(|mark| (place, mark)));
    }

    fn bracket(&mut self, node: Node<'_, '_>, place: Place, staff: u8, warnings: &mut Warnings) {
        let number = node.attribute("number").unwrap_or("1").trim().to_owned();
        match node.attribute("type") {
            Some("start") => {
                self.open.insert(number, (place, staff));
            }
            Some("stop") => match self.open.remove(&number) {
                Some((begins, staff)) => self.brackets.push((begins, place, staff)),
                None => warnings.in_bar(place.bar, said!("a bracket that ends without having begun is left out")),
            },
            _ => {}
        }
    }

    /// A fermata over a rest.
    pub(super) fn rest_is_held(&mut self, bar: usize, at: Quarters) {
        self.holds.push((bar, Some(at)));
    }

    /// A barline's own fermata.
    pub(super) fn barline(&mut self, node: Node<'_, '_>, location: Location, bar: usize) {
        if child(node, "fermata").is_some() {
            self.holds.push((bar, (location == Location::Left).then_some(Quarters::ZERO)));
        }
    }

    /// A note that another player sounds.
    pub(super) fn cue(&mut self, note: Note) {
        self.cues.push(note);
    }

    /// How many cue notes there are.
    pub(super) fn cues(&self) -> usize {
        self.cues.len()
    }

    /// Whether there is nothing at all.
    pub(super) fn is_empty(&self) -> bool {
        self.levers.is_empty() && self.brackets.is_empty() && self.holds.is_empty() && self.cues.is_empty()
    }

    /// Puts it beside the bars, as the part at a place in the score.
    pub(super) fn finish(self, part: usize, bars: &[Bar], markings: &mut Markings, warnings: &mut Warnings) {
        for (begins, _) in self.open.values() {
            warnings.in_bar(begins.bar, said!("a bracket that never ends is left out"));
        }
        let ticks = |at: Quarters| at.to_ticks().map_or(Ticks::ZERO, |(ticks, _)| ticks);
        for (place, mark) in self.levers {
            // One at the very end of a bar is meant for what comes next.
            let (mut bar, mut at) = (place.bar, ticks(place.at));
            if bars.get(bar).is_some_and(|here| at >= here.length) && bar + 1 < bars.len() {
                (bar, at) = (bar + 1, Ticks::ZERO);
            }
            let WrittenMark { letter, alter, octave } = mark;
            markings.levers.push(LeverMark { bar: BarIndex::new(bar), at, part, letter, alter, octave });
        }
        let placed = |place: Place| (BarIndex::new(place.bar), ticks(place.at));
        markings.brackets.extend(self.brackets.into_iter().map(|(begins, ends, staff)| PlacingBracket {
            part,
            staff,
            begins: placed(begins),
            ends: placed(ends),
        }));
        markings.holds.extend(self.holds.into_iter().filter_map(|(bar, at)| {
            let at = at.map_or(bars.get(bar)?.length, ticks);
            Some(Hold { bar: BarIndex::new(bar), at })
        }));
        markings.cues.extend(self.cues.into_iter().map(|note| CueNote { part, note }));
    }
}
