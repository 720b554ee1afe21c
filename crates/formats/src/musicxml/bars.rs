//! The bars that all parts share: gathered part by part, put together at the end.

use crate::said;
use std::collections::BTreeMap;

use leverlane_core::meter::Meter;
use leverlane_core::pitch::Key;
use leverlane_core::score::{Bar, Ending, Navigation, RepeatEnd, TempoMark};
use leverlane_core::time::{Tempo, Ticks};
use roxmltree::Node;

use super::direction::{Barline, Location, Sign, SignSource};
use super::quarters::Quarters;
use super::warnings::Warnings;

/// What the parts say about one bar.
#[derive(Clone, Debug)]
struct BarReading {
    number: String,
    implicit: bool,
    content: Quarters,
    tempos: BTreeMap<Quarters, Tempo>,
    forward: bool,
    backward: Option<RepeatEnd>,
    ending_starts: Option<Vec<u8>>,
    ending_stops: Option<Vec<u8>>,
}

/// A sign, where it stands.
#[derive(Clone, Debug)]
struct PlacedSign {
    bar: usize,
    at: Quarters,
    sign: Sign,
    source: SignSource,
}

/// What the parts say about the bars.
#[derive(Debug, Default)]
pub(super) struct BarReadings {
    bars: Vec<Option<BarReading>>,
    signs: Vec<PlacedSign>,
}

impl BarReadings {
    /// A measure's own attributes; the first part that has the measure says its number.
    pub(super) fn heading(&mut self, bar: usize, heading: Node<'_, '_>) {
        if self.bars.len() <= bar {
            self.bars.resize(bar + 1, None);
        }
        let reading = self.bars[bar].get_or_insert_with(|| BarReading {
            number: heading.attribute("number").unwrap_or("").trim().to_owned(),
            implicit: false,
            content: Quarters::ZERO,
            tempos: BTreeMap::new(),
            forward: false,
            backward: None,
            ending_starts: None,
            ending_stops: None,
        });
        reading.implicit |= heading.attribute("implicit") == Some("yes");
    }

    fn reading(&mut self, bar: usize) -> Option<&mut BarReading> {
        self.bars.get_mut(bar).and_then(Option::as_mut)
    }

    /// Something in the bar lasts up to `end`.
    pub(super) fn grow(&mut self, bar: usize, end: Quarters) {
        if let Some(reading) = self.reading(bar) {
            reading.content = reading.content.max(end);
        }
    }

    /// A tempo from somewhere in the bar on; of several at one place the first counts.
    pub(super) fn tempo(&mut self, bar: usize, at: Quarters, tempo: Tempo) {
        if let Some(reading) = self.reading(bar) {
            reading.tempos.entry(at).or_insert(tempo);
        }
    }

    /// A sign somewhere in the bar.
    pub(super) fn sign(&mut self, bar: usize, at: Quarters, sign: Sign, source: SignSource) {
        self.signs.push(PlacedSign { bar, at, sign, source });
    }

    /// A barline of the bar.
    pub(super) fn barline(&mut self, bar: usize, barline: Barline, warnings: &mut Warnings) {
        if barline.location == Location::Middle && (barline.forward || barline.backward.is_some()) {
            warnings.in_bar(bar, said!("a repeat sign in the middle of a bar is read at the bar's edge"));
        }
        // Signs on a right barline belong to the bar that begins there.
        let opens = if barline.location == Location::Right { bar + 1 } else { bar };
        for sign in [barline.segno.map(Sign::Segno), barline.coda.map(Sign::Coda)].into_iter().flatten() {
            self.sign(opens, Quarters::ZERO, sign, SignSource::Sound);
        }
        if barline.forward {
            if opens == bar {
                if let Some(reading) = self.reading(bar) {
                    reading.forward = true;
                }
            } else {
                self.sign(opens, Quarters::ZERO, Sign::ForwardRepeat, SignSource::Sound);
            }
        }
        if let Some(reading) = self.reading(bar) {
            reading.backward = reading.backward.or(barline.backward);
            if reading.ending_starts.is_none() {
                reading.ending_starts = barline.ending_starts;
            }
            if reading.ending_stops.is_none() {
                reading.ending_stops = barline.ending_stops;
            }
        }
    }

    /// How many bars there are.
    pub(super) fn count(&self) -> usize {
        self.bars.len()
    }

    /// Puts the bars together: meters and keys from the part that leads.
    pub(super) fn finish(
        self,
        meters: &BTreeMap<usize, Meter>,
        keys: &BTreeMap<usize, Key>,
        warnings: &mut Warnings,
    ) -> Vec<Bar> {
        let readings: Vec<BarReading> = self.bars.into_iter().flatten().collect();
        let mut bars: Vec<Bar> = Vec::with_capacity(readings.len());
        let (mut meter, mut key) = (Meter::common(), Key::NATURAL);
        if !meters.contains_key(&0) {
            warnings.in_score(said!("no time signature at the beginning: read as 4/4"));
        }
        for (index, reading) in readings.iter().enumerate() {
            meter = meters.get(&index).cloned().unwrap_or(meter);
            key = keys.get(&index).copied().unwrap_or(key);
            let content = reading.content.to_ticks().map_or(Ticks::ZERO, |(ticks, _)| ticks);
            let length = if content > Ticks::ZERO { content } else { meter.bar_length() };
            let anacrusis = anacrusis(bars.last(), reading.implicit, length, &meter, readings.len());
            let number = if reading.number.is_empty() { (index + 1).to_string() } else { reading.number.clone() };
            let tempo_marks = tempo_marks(reading, length);
            let navigation =
                Navigation { repeat_start: reading.forward, repeat_end: reading.backward, ..Navigation::default() };
            bars.push(Bar { number, length, meter: meter.clone(), anacrusis, key, tempo_marks, navigation });
        }
        endings(&readings, &mut bars);
        signs(self.signs, &readings, &mut bars, warnings);
        bars
    }
}

/// How much of a full bar is missing before a bar.
///
/// A bar that completes the short one before it goes on counting there, if it says that it is no bar of its own or fills
/// the full bar exactly. Otherwise a short bar is a pickup where it is the first, or says that it is no bar of its own.
fn anacrusis(before: Option<&Bar>, implicit: bool, length: Ticks, meter: &Meter, bars: usize) -> Ticks {
    let full = meter.bar_length();
    if length >= full || bars < 2 {
        return Ticks::ZERO;
    }
    let Some(before) = before else { return full - length };
    let counted = before.anacrusis + before.length;
    let goes_on = before.meter == *meter && counted < full && counted + length <= full;
    if goes_on && (implicit || counted + length == full) {
        counted
    } else if implicit {
        full - length
    } else {
        Ticks::ZERO
    }
}

fn tempo_marks(reading: &BarReading, length: Ticks) -> Vec<TempoMark> {
    let mark = |(at, &tempo): (&Quarters, &Tempo)| {
        let (at, _) = at.to_ticks()?;
        Some(TempoMark { at: at.min(length), tempo })
    };
    reading.tempos.iter().filter_map(mark).collect()
}

/// Every bar under a bracket gets the bracket's passes.
///
/// Brackets are often drawn shorter than they hold: one that stops before its repeat sign goes on to it where the next
/// ending begins right after. One that stops without ever having begun holds its last bar.
fn endings(readings: &[BarReading], bars: &mut [Bar]) {
    let mut open: Option<Vec<u8>> = None;
    for (index, (reading, bar)) in readings.iter().zip(bars).enumerate() {
        let goes_on_from_before = reading.ending_starts.is_none() && open.is_some();
        let begins = reading.ending_starts.clone();
        let Some(passes) = begins.or(open.take()).or_else(|| remnant(&readings[index..])) else { continue };
        let stops = reading.backward.is_some() || reading.ending_stops.is_some() && !goes_on(&readings[index..]);
        bar.navigation.ending = Some(Ending { passes: passes.clone(), starts: !goes_on_from_before, stops });
        open = (!stops).then_some(passes);
    }
}

/// The passes of a bracket that stops in the first of these bars without ever having begun.
///
/// Its number may be empty, which the standard allows "when software knows that an ending is present, but cannot
/// determine the type of the ending" (MusicXML 4.0, `ending-number`; from memory), or the same as the next bracket's by
/// mistake. With a repeat sign at its end, and a bracket for a later pass right after it, it is that of all passes before.
fn remnant(from: &[BarReading]) -> Option<Vec<u8>> {
    let [bar, later @ ..] = from else { return None };
    let named = bar.ending_stops.as_ref()?;
    let next = later.first().and_then(|bar| bar.ending_starts.as_ref()?.iter().min().copied()).unwrap_or(1);
    if bar.backward.is_some() && next > 1 && (named.is_empty() || named.contains(&next)) {
        return Some((1..next).collect());
    }
    (!named.is_empty()).then(|| named.clone())
}

/// Farther off, a repeat sign is another passage's.
const LONGEST_ENDING: usize = 16;

/// Whether the ending in the first of these bars goes on to a repeat sign, past the end of its bracket.
fn goes_on(from: &[BarReading]) -> bool {
    let later = from.iter().skip(1).take(LONGEST_ENDING);
    let edge = later.clone().position(|bar| bar.backward.is_some() || bar.ending_starts.is_some() || bar.forward);
    edge.is_some_and(|edge| {
        let closes = |bar: &BarReading| bar.backward.is_some() && bar.ending_starts.is_none() && !bar.forward;
        later.clone().nth(edge).is_some_and(closes)
            && later.clone().nth(edge + 1).is_some_and(|bar| bar.ending_starts.is_some())
    })
}

/// Puts each sign at the bar it belongs to. Those where the music goes on from (segno, coda, forward repeat) stand at a
/// bar's beginning, so one at the very end of a bar is the next bar's; all others act at the end of their bar wherever
/// in it they are printed. Printed signs count only where the file has none of the kind meant for playing.
fn signs(mut signs: Vec<PlacedSign>, readings: &[BarReading], bars: &mut [Bar], warnings: &mut Warnings) {
    let has = |signs: &[PlacedSign], wanted: fn(&Sign) -> bool| {
        signs.iter().any(|placed| placed.source == SignSource::Sound && wanted(&placed.sign))
    };
    let navigates: fn(&Sign) -> bool = |sign| matches!(sign, Sign::Jump(_) | Sign::ToCoda(_) | Sign::Fine);
    let kinds: [fn(&Sign) -> bool; 3] =
        [navigates, |sign| matches!(sign, Sign::Segno(_)), |sign| matches!(sign, Sign::Coda(_))];
    for kind in kinds {
        if has(&signs, kind) {
            signs.retain(|placed| placed.source == SignSource::Sound || !kind(&placed.sign));
        }
    }
    if !signs.iter().any(|placed| navigates(&placed.sign)) {
        // Without a jump the places jumped to say nothing.
        signs.retain(|placed| matches!(placed.sign, Sign::ForwardRepeat));
    } else if signs.iter().any(|placed| placed.source == SignSource::Print && navigates(&placed.sign)) {
        warnings
            .in_score(said!("the printed words (D.C., D.S., Fine, Coda) are followed, as the file says nothing else"));
    }
    for placed in signs {
        let opens = matches!(placed.sign, Sign::Segno(_) | Sign::Coda(_) | Sign::ForwardRepeat);
        let past = |reading: &BarReading| placed.at > Quarters::ZERO && placed.at >= reading.content;
        let bar = if opens && readings.get(placed.bar).is_some_and(past) { placed.bar + 1 } else { placed.bar };
        let Some(bar) = bars.get_mut(bar) else { continue };
        let navigation = &mut bar.navigation;
        match placed.sign {
            Sign::ForwardRepeat => navigation.repeat_start = true,
            Sign::Segno(name) => navigation.segno = navigation.segno.take().or(Some(name)),
            Sign::Coda(name) => navigation.coda = navigation.coda.take().or(Some(name)),
            Sign::ToCoda(sign) => navigation.to_coda = navigation.to_coda.take().or(Some(sign)),
            Sign::Jump(jump) => navigation.jump = navigation.jump.take().or(Some(jump)),
            Sign::Fine => navigation.fine = true,
        }
    }
}
