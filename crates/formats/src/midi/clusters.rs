//! What was meant to sound together: a hand's notes gathered into chords, plain or rolled.

use leverlane_core::pitch::MidiNote;
use leverlane_core::score::Roll;
use leverlane_core::time::{ScoreTime, Seconds, TempoMap, Ticks};

use super::beats::Beat;

/// A note of one hand as it was played.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Onset {
    /// When, as unrounded score time.
    pub at: Ticks,
    /// When, at the tempo of the file.
    pub seconds: Seconds,
    /// When it is let go.
    pub ends: Seconds,
    /// What it sounds.
    pub key: MidiNote,
}

/// Notes of one hand that were meant for one moment: places `from..to` in the hand's list.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Cluster {
    pub from: usize,
    pub to: usize,
    /// The moment to compare with the grid: the mean of a plain chord, the first or last note of a rolled one.
    pub seconds: Seconds,
    /// How it was rolled, if it was.
    pub roll: Option<Roll>,
    /// The place found for it.
    pub place: Ticks,
}

/// How far a player's notes scatter about their places (standard deviation; published values for tapping are 15–25 ms).
const SCATTER: f64 = 0.017;
/// Successive notes of a rolled chord are at most this far apart.
const ROLL_GAP: f64 = 0.085;
/// A plain chord's notes lie at most this far apart.
const CHORD_SPREAD: f64 = 0.090;
/// No more notes than this in one hand's chord: rolled over two octaves there may be more than the fingers hold.
const MOST_NOTES: usize = 10;
/// Places further from the moment played than this are not thought of, unless the grid itself is coarser.
const NEAR: f64 = 0.08;
/// What it costs that a chord has the same key twice.
const DOUBLE: f64 = 1.0;
/// What it costs at most that the notes of a chord do not sound together.
const ONE_BY_ONE: f64 = 8.0;
/// How many unfinished readings are followed at once.
const READINGS_KEPT: usize = 6;

/// The error of a moment against its place, as a cost.
pub(super) fn error_cost(played: Seconds, wanted: Seconds) -> f64 {
    let error = (played.get() - wanted.get()) / SCATTER;
    (error * error / 2.0).min(50.0)
}

/// A reading of the notes up to some point. Kept small: there are several for each note.
#[derive(Clone, Copy, Debug)]
struct Reading {
    cost: f32,
    /// Its last chord begins with this note …
    from: u32,
    /// … stands here …
    place: Ticks,
    /// … and is heard so.
    way: Way,
    /// The reading before it, by its place in the list kept for the notes before `from`.
    before: u8,
}

/// How a run of notes is heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    /// As one moment.
    Together,
    /// Rolled, the first note on its place.
    FromFirst(Roll),
    /// Rolled, the last note on its place.
    ToLast(Roll),
}

impl Way {
    fn roll(self) -> Option<Roll> {
        match self {
            Way::Together => None,
            Way::FromFirst(roll) | Way::ToLast(roll) => Some(roll),
        }
    }

    /// The moment to compare with the grid.
    fn moment(self, notes: &[Onset]) -> Seconds {
        match self {
            Way::Together => {
                Seconds::new(notes.iter().map(|note| note.seconds.get()).sum::<f64>() / notes.len() as f64)
            }
            Way::FromFirst(_) => notes[0].seconds,
            Way::ToLast(_) => notes[notes.len() - 1].seconds,
        }
    }
}

/// Gathers a hand's notes, given by time, into chords on places of the grid, by the cheapest reading of the whole hand
/// (dynamic programming over the notes; each chord's place lies after that of the chord before).
pub(super) fn clusters(onsets: &[Onset], beats: &[Beat], clock: &TempoMap) -> Vec<Cluster> {
    let mut readings: Vec<Vec<Reading>> = Vec::new();
    readings.resize_with(onsets.len() + 1, || Vec::with_capacity(READINGS_KEPT));
    let mut window = Window { beats, clock, first: 0, next: 0, places: Vec::new() };
    for from in 0..onsets.len() {
        let runs = runs_from(onsets, from);
        let near = near(onsets[from].at, clock);
        let places = window.about(&onsets[from..runs], near);
        for to in from + 1..=runs {
            let notes = &onsets[from..to];
            for (way, own_cost) in ways_to_hear(notes).into_iter().flatten() {
                let (moment, weight) = (way.moment(notes), if way == Way::Together { notes.len() as f64 } else { 1.0 });
                for place in places.iter().filter(|place| (place.seconds - moment).get().abs() <= near) {
                    let cost = own_cost + place.cost + weight * error_cost(moment, place.seconds);
                    let Some((before, earlier)) = best_before(&readings[from], from, place.at) else { continue };
                    let cost = earlier + cost as f32;
                    keep(&mut readings[to], Reading { cost, from: from as u32, place: place.at, way, before });
                }
            }
        }
        if readings[from + 1].is_empty() {
            keep_going(&mut readings, from, places);
        }
    }
    traced_back(&readings, onsets)
}

/// Where the longest run ends that could be one chord beginning with the note at `from`.
fn runs_from(onsets: &[Onset], from: usize) -> usize {
    let most = onsets.len().min(from + MOST_NOTES);
    let gap = |index: &usize| (onsets[*index].seconds - onsets[*index - 1].seconds).get();
    (from + 1..most).find(|index| gap(index) > ROLL_GAP).unwrap_or(most)
}

/// No place is left for the note after that of the note before, or none is near: it goes where the note before went, or
/// where it can.
fn keep_going(readings: &mut [Vec<Reading>], from: usize, places: &[Place]) {
    let best = readings[from].iter().enumerate().min_by(|(_, a), (_, b)| a.cost.total_cmp(&b.cost));
    let (place, cost, before) = match best {
        Some((index, earlier)) => (earlier.place, earlier.cost, index as u8),
        None => (places.first().map_or(Ticks::ZERO, |place| place.at), 0.0, 0),
    };
    let reading = Reading { cost: cost + 60.0, from: from as u32, place, way: Way::Together, before };
    readings[from + 1].push(reading);
}

/// The cheapest reading of the notes before whose last chord stands earlier.
fn best_before(readings: &[Reading], from: usize, place: Ticks) -> Option<(u8, f32)> {
    if from == 0 {
        return Some((0, 0.0));
    }
    let possible = readings.iter().enumerate().filter(|(_, reading)| reading.place < place);
    possible.map(|(index, reading)| (index as u8, reading.cost)).min_by(|(_, a), (_, b)| a.total_cmp(b))
}

/// Keeps the cheapest readings, one for each place.
fn keep(readings: &mut Vec<Reading>, new: Reading) {
    if let Some(same) = readings.iter_mut().find(|reading| reading.place == new.place) {
        if new.cost < same.cost {
            *same = new;
        }
    } else if readings.len() < READINGS_KEPT {
        readings.push(new);
    } else if let Some(worst) = readings.iter_mut().max_by(|a, b| a.cost.total_cmp(&b.cost))
        && new.cost < worst.cost
    {
        *worst = new;
    }
}

fn traced_back(readings: &[Vec<Reading>], onsets: &[Onset]) -> Vec<Cluster> {
    let mut found = Vec::new();
    let mut to = onsets.len();
    let cheapest = readings[to].iter().min_by(|a, b| a.cost.total_cmp(&b.cost));
    let mut next = cheapest.copied();
    while let Some(reading) = next {
        let from = reading.from as usize;
        let (seconds, roll) = (reading.way.moment(&onsets[from..to]), reading.way.roll());
        found.push(Cluster { from, to, seconds, roll, place: reading.place });
        to = from;
        next = readings[from].get(usize::from(reading.before)).copied();
    }
    found.reverse();
    found
}

/// How a run of notes can be heard, each way with its cost before the grid is asked.
fn ways_to_hear(notes: &[Onset]) -> [Option<(Way, f64)>; 3] {
    if notes.len() == 1 {
        return [Some((Way::Together, 0.0)), None, None];
    }
    let spread = (notes[notes.len() - 1].seconds - notes[0].seconds).get();
    let mean = Way::Together.moment(notes);
    // Two voices can meet on one key; the same string plucked again comes later.
    let is_double = |&(index, note): &(usize, &Onset)| notes[..index].iter().any(|other| other.key == note.key);
    let doubled = DOUBLE * notes.iter().enumerate().filter(is_double).count() as f64;
    let scattered = || notes.iter().map(|note| error_cost(note.seconds, mean)).sum::<f64>();
    let together = (spread <= CHORD_SPREAD).then(|| (Way::Together, doubled + one_by_one(notes, 0.5) + scattered()));
    let Some((roll, steps)) = roll_of(notes) else { return [together, None, None] };
    // A chord is built of thirds and wider; neighbouring strings one after the other are a run.
    let cost = 2.0 + 0.7 * (notes.len() - 1) as f64 + 1.5 * steps as f64 + doubled + one_by_one(notes, 0.15);
    [together, Some((Way::FromFirst(roll), cost)), Some((Way::ToLast(roll), cost + 1.5))]
}

/// What it costs that the notes do not sound together: nothing where they share at least `enough` of the shortest
/// one's length, most where the first is let go before the last begins.
fn one_by_one(notes: &[Onset], enough: f64) -> f64 {
    let earliest_end = notes.iter().map(|note| note.ends.get()).fold(f64::INFINITY, f64::min);
    let shortest = notes.iter().map(|note| (note.ends - note.seconds).get()).fold(f64::INFINITY, f64::min);
    let shared = (earliest_end - notes[notes.len() - 1].seconds.get()) / (shortest.max(0.001) * enough);
    ONE_BY_ONE * (1.0 - shared).clamp(0.0, 1.0)
}

/// The direction of a run of three or more notes that never falls or never rises, and how many of its intervals are
/// seconds.
fn roll_of(notes: &[Onset]) -> Option<(Roll, usize)> {
    if notes.len() < 3 {
        return None;
    }
    let rises = |pair: &[Onset]| pair[0].key <= pair[1].key;
    let roll = if notes.windows(2).all(rises) {
        Roll::Up
    } else if notes.windows(2).all(|pair| pair[0].key >= pair[1].key) {
        Roll::Down
    } else {
        return None;
    };
    let is_second = |pair: &&[Onset]| (1..=2).contains(&pair[0].key.get().abs_diff(pair[1].key.get()));
    let steps = notes.windows(2).filter(is_second).count();
    Some((roll, steps))
}

/// A place on the grid where a chord may stand.
#[derive(Clone, Copy, Debug)]
struct Place {
    at: Ticks,
    seconds: Seconds,
    /// The cost of the simplest division that has it.
    cost: f64,
}

/// How far a chord may be moved, in seconds: [`NEAR`], but at slow tempos a little more than half a sixteenth of a
/// quarter, the finest division there is.
fn near(at: Ticks, clock: &TempoMap) -> f64 {
    let quarter = clock.tempo_at(ScoreTime::from_start(at)).lasting(Ticks::QUARTER);
    NEAR.max(quarter.get() / 30.0)
}

/// The places of the beats around the note that is being looked at; it moves on with the notes.
struct Window<'a> {
    beats: &'a [Beat],
    clock: &'a TempoMap,
    /// The beats whose places are here: `first..next`.
    first: usize,
    next: usize,
    /// By time.
    places: Vec<Place>,
}

impl Window<'_> {
    /// The places within `near` seconds of a run of notes.
    fn about(&mut self, notes: &[Onset], near: f64) -> &[Place] {
        let (first, last) = (notes[0], notes[notes.len() - 1]);
        let own = self.beats.partition_point(|beat| beat.start <= first.at).saturating_sub(1);
        self.move_to(own);
        let from = self.places.partition_point(|place| (first.seconds - place.seconds).get() > near);
        let to = self.places.partition_point(|place| (place.seconds - last.seconds).get() <= near);
        &self.places[from..to.max(from)]
    }

    /// Holds the beat before this one, it itself, and three more.
    fn move_to(&mut self, own: usize) {
        let (first, next) = (own.saturating_sub(1), self.beats.len().min(own + 4));
        if first >= self.next {
            self.places.clear();
            self.next = first;
        }
        if let Some(beat) = self.beats.get(first).filter(|_| first > self.first) {
            let gone = self.places.partition_point(|place| place.at < beat.start);
            self.places.drain(..gone);
        }
        self.first = first;
        for beat in self.beats.get(self.next..next).unwrap_or_default() {
            let place = |(at, cost)| Place { at, seconds: self.clock.seconds_at(ScoreTime::from_start(at)), cost };
            self.places.extend(beat.all_places().map(place));
        }
        self.next = self.next.max(next);
    }
}
