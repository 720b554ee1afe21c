//! From moments played to places in the score.
//!
//! Where most notes begin on simple divisions of the quarter, or all on the same few places in it, the file was written, not played,
//! and every tick is kept as it stands. Otherwise each beat is divided in the way that fits what all hands play in it: the sum of the squared
//! errors (against a player's usual scatter) and a cost for the complexity of the division, with a further cost for
//! dividing a beat otherwise than the one before, made smallest over the whole piece by dynamic programming. Before
//! that, each hand's notes are gathered into chords (see [`super::clusters`]).

use leverlane_core::pitch::MidiNote;
use leverlane_core::score::Roll;
use leverlane_core::time::{ScoreTime, Seconds, TempoMap, Ticks};

use super::beats::{Beat, Division, beats_of};
use super::clusters::{Cluster, Onset, clusters, error_cost};
use super::grid::{Grid, score_ticks};
use super::read::{PlayedNote, Recording};
use super::written::{are_written, written_place};

/// A note with its place in the score, from the start of the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct PlacedNote {
    pub onset: Ticks,
    /// Where it ends; `onset` for a grace note.
    pub end: Ticks,
    pub key: MidiNote,
    pub roll: Option<Roll>,
}

/// How the notes came to their places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Decision {
    /// As they stand in the file; so many of them were rounded to the place they stand beside.
    Kept {
        /// Notes rounded.
        rounded: usize,
    },
    /// They begin as they stand, but ends were moved to the grid.
    EndsMoved,
    /// Played freely and moved to the grid.
    Moved {
        /// The mean distance moved.
        mean: Seconds,
        /// The greatest distance moved, rolled chords aside.
        most: Seconds,
        /// Chords read as rolled.
        rolled: usize,
    },
}

/// Gives every note of every stream its place on a grid that reaches past the last note.
pub(super) fn quantise(recording: &Recording, grid: &Grid, clock: &TempoMap) -> (Vec<Vec<PlacedNote>>, Decision) {
    let notes = || recording.streams.iter().flat_map(|stream| &stream.notes);
    let onsets_are_written = are_written(notes().map(|note| note.on), recording.division);
    if onsets_are_written && are_written(notes().map(|note| note.off), recording.division) {
        return keep(recording);
    }
    let beats = &beats_of(grid)[..];
    let division = recording.division;
    let mut starts: Vec<Vec<Start>> =
        recording.streams.iter().map(|stream| kept_starts(&stream.notes, division)).collect();
    if onsets_are_written {
        let placed = place_ends(recording, &starts, &EndGrid { beats, parts: None, clock });
        return (placed, Decision::EndsMoved);
    }
    let mut hands = hands(recording, clock);
    let parts = divide_beats(&mut hands, beats, clock);
    let rolled = hands.iter().flat_map(|hand| &hand.clusters).filter(|cluster| cluster.roll.is_some()).count();
    let (mut moved, mut most, mut plain) = (0.0, 0.0f64, 0usize);
    for hand in &hands {
        for cluster in &hand.clusters {
            for (&(stream, note), onset) in
                hand.notes[cluster.from..cluster.to].iter().zip(&hand.onsets[cluster.from..cluster.to])
            {
                starts[stream][note] = Start { place: cluster.place, roll: cluster.roll };
                if cluster.roll.is_none() {
                    let wanted = clock.seconds_at(ScoreTime::from_start(cluster.place));
                    let distance = (onset.seconds - wanted).get().abs();
                    (moved, most, plain) = (moved + distance, most.max(distance), plain + 1);
                }
            }
        }
    }
    let placed = place_ends(recording, &starts, &EndGrid { beats, parts: Some(&parts), clock });
    let mean = Seconds::new(moved / plain.max(1) as f64);
    (placed, Decision::Moved { mean, most: Seconds::new(most), rolled })
}

fn keep(recording: &Recording) -> (Vec<Vec<PlacedNote>>, Decision) {
    let mut rounded = 0;
    let mut placed = |note: &PlayedNote| {
        let ((onset, onset_kept), (end, end_kept)) =
            (written_place(note.on, recording.division), written_place(note.off, recording.division));
        rounded += usize::from(!(onset_kept && end_kept));
        // Two places that fall together would make a grace note of an ordinary one.
        let end = if note.off > note.on { end.max(onset + SHORTEST) } else { onset };
        PlacedNote { onset, end, key: note.key, roll: None }
    };
    let notes = recording.streams.iter().map(|stream| stream.notes.iter().map(&mut placed).collect()).collect();
    (notes, Decision::Kept { rounded })
}

/// The shortest length that a note can be rounded to: a 128th.
const SHORTEST: Ticks = Ticks::new(Ticks::PER_QUARTER / 32);

/// Where a note begins.
#[derive(Clone, Copy, Debug)]
struct Start {
    place: Ticks,
    roll: Option<Roll>,
}

fn kept_starts(notes: &[PlayedNote], division: u16) -> Vec<Start> {
    notes.iter().map(|note| Start { place: written_place(note.on, division).0, roll: None }).collect()
}

/// The notes of one hand, and how they hang together.
struct HandPart {
    /// Each note by its stream and its place there.
    notes: Vec<(usize, usize)>,
    onsets: Vec<Onset>,
    clusters: Vec<Cluster>,
}

/// The notes by hands: each stream is one, but a lone stream is parted at middle C, as [`HandRule::Usual`] will do.
///
/// [`HandRule::Usual`]: leverlane_core::score::HandRule::Usual
fn hands(recording: &Recording, clock: &TempoMap) -> Vec<HandPart> {
    const MIDDLE_C: u8 = 60;
    let lone = recording.streams.len() == 1;
    let count = if lone { 2 } else { recording.streams.len() };
    let mut hands: Vec<HandPart> = Vec::new();
    hands.resize_with(count, || HandPart { notes: Vec::new(), onsets: Vec::new(), clusters: Vec::new() });
    for (stream, part) in recording.streams.iter().enumerate() {
        for (index, note) in part.notes.iter().enumerate() {
            let hand = if lone { usize::from(note.key.get() < MIDDLE_C) } else { stream };
            let at = score_ticks(note.on, recording.division).0;
            let seconds = clock.seconds_at(ScoreTime::from_start(at));
            hands[hand].notes.push((stream, index));
            let ends = clock.seconds_at(ScoreTime::from_start(score_ticks(note.off, recording.division).0));
            hands[hand].onsets.push(Onset { at, seconds, ends, key: note.key });
        }
    }
    hands
}

/// Chooses the division of every beat and puts the hands' chords on its places. Gives the number of parts of each beat.
fn divide_beats(hands: &mut [HandPart], beats: &[Beat], clock: &TempoMap) -> Vec<i64> {
    for hand in hands.iter_mut() {
        hand.clusters = clusters(&hand.onsets, beats, clock);
    }
    // The chords of each hand that fall into each beat, by where the first reading put them.
    let mut begun = vec![0usize; hands.len()];
    let mut members: Vec<Vec<(usize, std::ops::Range<usize>)>> = Vec::with_capacity(beats.len());
    for beat in beats {
        let mut here = Vec::new();
        for (index, hand) in hands.iter().enumerate() {
            let from = begun[index];
            let count = hand.clusters[from..].iter().take_while(|cluster| cluster.place < beat.until).count();
            if count > 0 {
                here.push((index, from..from + count));
                begun[index] += count;
            }
        }
        members.push(here);
    }
    let chosen = cheapest_divisions(hands, beats, &members, clock);
    let mut desk = FitDesk::default();
    for ((beat, here), &parts) in beats.iter().zip(&members).zip(&chosen) {
        desk.lay_out(beat, beat.division_into(parts), clock);
        for (hand, range) in here {
            let group = &mut hands[*hand].clusters[range.clone()];
            if let Some(fit) = desk.fit(group) {
                for (cluster, place) in group.iter_mut().zip(fit.places()) {
                    cluster.place = place;
                }
            }
        }
    }
    chosen
}

/// What it costs that a beat is divided by three and the one before it by two or four, or the other way round.
const CHANGE: f64 = 0.7;
/// What it costs where a beat has more chords than a division has places.
const NO_ROOM: f64 = 1000.0;
/// The cost of what is dearer than the rest by so much that it needn't be known.
const NEVER: f64 = f64::INFINITY;

fn cheapest_divisions(
    hands: &[HandPart],
    beats: &[Beat],
    members: &[Vec<(usize, std::ops::Range<usize>)>],
    clock: &TempoMap,
) -> Vec<i64> {
    // For each beat and division, the cheapest total so far and the division of the beat before that leads to it.
    let mut steps: Vec<Vec<(f64, usize)>> = Vec::with_capacity(beats.len());
    let mut desk = FitDesk::default();
    for (index, (beat, here)) in beats.iter().zip(members).enumerate() {
        let divisions = beat.divisions();
        let mut cheapest = f64::INFINITY;
        let step = divisions.iter().map(|division| {
            // Whatever the beats beside it are, another division costs at most two changes more: one that is dearer
            // than that by itself is never chosen, and needs no fitting.
            let most = cheapest + 2.0 * CHANGE;
            let own = if division.cost > most { NEVER } else { desk.cost(hands, beat, division, here, clock, most) };
            cheapest = cheapest.min(own);
            let Some(before) = index.checked_sub(1).filter(|_| own < NEVER) else { return (own, 0) };
            let earlier = beats[before].divisions();
            let totals = steps[before].iter().zip(earlier).enumerate().map(|(from, (&(total, _), other))| {
                (total + if is_change(other, division) { CHANGE } else { 0.0 }, from)
            });
            let (total, from) = totals.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, 0));
            (total + own, from)
        });
        steps.push(step.collect());
    }
    let mut chosen = vec![1; beats.len()];
    let last = steps.last().and_then(|step| (0..step.len()).min_by(|&a, &b| step[a].0.total_cmp(&step[b].0)));
    let mut division = last.unwrap_or(0);
    for index in (0..beats.len()).rev() {
        chosen[index] = beats[index].divisions()[division].parts;
        division = steps[index][division].1;
    }
    chosen
}

fn is_change(earlier: &Division, later: &Division) -> bool {
    earlier.parts > 1 && later.parts > 1 && (earlier.parts % 3 == 0) != (later.parts % 3 == 0)
}

/// A place of a divided beat: where it is, what it costs to use it, and when it sounds.
type TimedPlace = (Ticks, f64, Seconds);

/// Where chords are laid over the places of divided beats; its lists are used again from beat to beat.
#[derive(Default)]
struct FitDesk {
    places: Vec<TimedPlace>,
    best: Vec<(f64, bool)>,
}

impl FitDesk {
    /// Takes the places of a beat so divided.
    fn lay_out(&mut self, beat: &Beat, division: &Division, clock: &TempoMap) {
        let timed = |(at, cost)| (at, cost, clock.seconds_at(ScoreTime::from_start(at)));
        self.places.clear();
        self.places.extend(beat.places(division).map(timed));
    }

    /// What all hands' chords of a beat cost where it is so divided; [`NEVER`] where that is more than `most`.
    fn cost(
        &mut self,
        hands: &[HandPart],
        beat: &Beat,
        division: &Division,
        here: &[(usize, std::ops::Range<usize>)],
        clock: &TempoMap,
        most: f64,
    ) -> f64 {
        if here.is_empty() {
            return if division.parts > 1 { NO_ROOM } else { division.cost };
        }
        self.lay_out(beat, division, clock);
        let mut cost = division.cost;
        for (hand, range) in here {
            cost += self.fit(&hands[*hand].clusters[range.clone()]).map_or(NO_ROOM, |fit| fit.cost());
            if cost > most {
                return NEVER;
            }
        }
        cost
    }

    /// The cheapest way of laying chords over the places; none where there are more chords than places.
    fn fit(&mut self, group: &[Cluster]) -> Option<Fit<'_>> {
        let room = self.places.len().checked_sub(group.len())?;
        self.best.clear();
        self.best.resize((group.len() + 1) * (room + 1), (0.0, false));
        for (n, cluster) in group.iter().enumerate() {
            let weight = if cluster.roll.is_some() { 1.0 } else { (cluster.to - cluster.from) as f64 };
            let (before, here) = self.best[n * (room + 1)..].split_at_mut(room + 1);
            let mut left = None;
            for ((spare, &(earlier, _)), found) in before.iter().enumerate().zip(here) {
                let (_, place_cost, seconds) = self.places[n + spare];
                let taken = earlier + place_cost + weight * error_cost(cluster.seconds, seconds);
                *found = match left {
                    Some(cost) if cost <= taken => (cost, false),
                    _ => (taken, true),
                };
                left = Some(found.0);
            }
        }
        Some(Fit { places: &self.places, chords: group.len(), room, best: &self.best })
    }
}

/// Chords, in order, on different places of a divided beat, the sum of errors smallest.
struct Fit<'a> {
    places: &'a [TimedPlace],
    chords: usize,
    /// Places beyond one for each chord.
    room: usize,
    /// At [`Fit::at`]: the first n chords on the first n + p places, the cost and whether the last place is taken.
    best: &'a [(f64, bool)],
}

impl Fit<'_> {
    fn at(&self, chords: usize, spare: usize) -> (f64, bool) {
        self.best[chords * (self.room + 1) + spare]
    }

    fn cost(&self) -> f64 {
        self.at(self.chords, self.room).0
    }

    /// The place of each chord.
    fn places(&self) -> Vec<Ticks> {
        let (mut n, mut spare) = (self.chords, self.room);
        let mut found = Vec::with_capacity(n);
        while n > 0 {
            if self.at(n, spare).1 {
                n -= 1;
                found.push(self.places[n + spare].0);
            } else {
                spare -= 1;
            }
        }
        found.reverse();
        found
    }
}

/// The places where notes may end.
struct EndGrid<'a> {
    beats: &'a [Beat],
    /// The parts of each beat; none where the onsets were kept as they stand.
    parts: Option<&'a [i64]>,
    clock: &'a TempoMap,
}

/// An end this close to the next onset of its stream means that onset.
const LEGATO: f64 = 0.06;

fn place_ends(recording: &Recording, starts: &[Vec<Start>], grid: &EndGrid<'_>) -> Vec<Vec<PlacedNote>> {
    let place_stream = |(stream, starts): (&super::read::Stream, &Vec<Start>)| {
        let raw = |ticks: u64| score_ticks(ticks, recording.division).0;
        let mut placed = Vec::with_capacity(starts.len());
        for (note, start) in stream.notes.iter().zip(starts) {
            let end = if note.off == note.on {
                start.place
            } else {
                // The notes of a stream stand by their beginning.
                let after = stream.notes.partition_point(|other| other.on < note.off);
                let about = [after.checked_sub(1), Some(after)].into_iter().flatten();
                let onsets = about.filter_map(|index| Some((raw(stream.notes.get(index)?.on), starts[index].place)));
                grid.end(start.place, raw(note.off), onsets)
            };
            placed.push(PlacedNote { onset: start.place, end, key: note.key, roll: start.roll });
        }
        placed
    };
    recording.streams.iter().zip(starts).map(place_stream).collect()
}

impl EndGrid<'_> {
    /// Where a note ends that begins at `start` and was let go at `raw`; `onsets` are those about `raw`, as played and
    /// as placed.
    fn end(&self, start: Ticks, raw: Ticks, onsets: impl Iterator<Item = (Ticks, Ticks)>) -> Ticks {
        let seconds = |at| self.clock.seconds_at(ScoreTime::from_start(at)).get();
        let distance = |at| (seconds(at) - seconds(raw)).abs();
        let legato = onsets
            .filter(|&(played, placed)| placed > start && distance(played) <= LEGATO)
            .min_by(|a, b| distance(a.0).total_cmp(&distance(b.0)));
        if let Some((_, placed)) = legato {
            return placed;
        }
        let index = self.beats.partition_point(|beat| beat.start <= raw).saturating_sub(1);
        let Some(beat) = self.beats.get(index) else { return raw.max(start + Ticks::new(1)) };
        let simplest = beat.divisions()[1].parts;
        // Kept onsets say nothing about the beats: sixteenths, or thirds of a dotted beat's.
        let parts = self.parts.map_or(simplest * 2, |parts| parts[index].max(simplest));
        let nearest = beat
            .places(beat.division_into(parts))
            .map(|(at, _)| at)
            .chain([beat.until])
            .filter(|&place| place > start)
            .min_by(|&a, &b| distance(a).total_cmp(&distance(b)));
        nearest.unwrap_or_else(|| start + Ticks::new(beat.length.get() / parts))
    }
}
