//! Passes of a drill around a flip, against what was truly played.

use std::collections::{BTreeMap, BTreeSet};

use leverlane_core::harp::{Harp, LeverState, Preset, StringNumber, Tuning};
use leverlane_core::pitch::{Cents, Hertz, MidiNote};
use leverlane_core::plan::PaceLevel;
use leverlane_core::score::Hand;
use leverlane_core::time::{Seconds, Ticks};
use leverlane_core::verdict::{
    Ear, Evidence, ExpectedFlip, ExpectedNote, ExpectedPass, FlipOutcome, Freedom, HeardNote, LeverHeard, NoteOutcome,
    Thresholds, judge,
};
use leverlane_hearing::{
    Excerpt, FirstLook, Heard, Listener, MeasuredPluck, PassEar, PluckMeter, SampleIndex, SampleRate, check_levers,
};
use leverlane_tests::harp_recordings::room::in_a_room;
use leverlane_tests::harp_recordings::{Bank, Chance, Kind, Passage, PluckKind, RATE};

use crate::figures::Target::{AtLeast, AtMost, None as NoTarget};
use crate::figures::{Table, quantile, share};

/// What became of the flip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Played {
    Clean,
    Late,
    Half,
    Missed,
    Hesitated,
    Unheard,
}

/// How long after a pluck a late lever comes, in seconds, and how long the string must ring on after that.
pub const LATE: (f64, f64) = (0.12, 0.25);
pub const RINGS_ON: f64 = 0.5;

/// One pass: what was written, and what was played.
pub struct Drill {
    seed: u64,
    written: Vec<(f64, u8)>,
    played: Passage,
    telling: usize,
    outcome: Played,
    waited: f64,
}

impl Drill {
    pub fn new(seed: u64) -> Drill {
        let mut chance = Chance::seeded(seed ^ 0xd211);
        let kind = [Kind::Line, Kind::TwoHands][chance.below(2)];
        Drill::of(kind, seed, chance)
    }

    /// A drill of a kind.
    pub fn of(kind: Kind, seed: u64, mut chance: Chance) -> Drill {
        let passage = Passage::new(kind, 10_000 + seed);
        let beat = 60.0 / passage.bpm;
        // The written times: to the nearest half beat.
        let nearest = |time: f64| 0.4 + ((time - 0.4) / (beat / 2.0)).round() * beat / 2.0;
        let mut written: Vec<(f64, u8)> = passage.notes.iter().map(|n| (nearest(n.time()), n.kind.open)).collect();
        written.dedup();
        written.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        written.dedup();
        written.truncate(24);
        // The flip is told by a note in the second half.
        let telling = written.len() / 2 + chance.below(written.len() / 4);
        let outcome = [Played::Clean, Played::Late, Played::Half, Played::Missed, Played::Hesitated, Played::Unheard]
            [chance.below(6)];
        let late = chance.between(LATE.0, LATE.1);
        let (telling_at, flipped) = written[telling];
        let again = written.iter().filter(|note| note.1 == flipped && note.0 > telling_at).map(|note| note.0);
        let rings = again.fold(f64::INFINITY, f64::min) - telling_at;
        // Nobody can hear a lever come late on a string that is plucked again at once.
        let outcome = if outcome == Played::Late && rings < late + RINGS_ON { Played::Clean } else { outcome };
        let waited = if outcome == Played::Hesitated { beat * chance.between(0.3, 0.6) } else { 0.0 };
        let cents = match outcome {
            Played::Half => 30 + 10 * chance.below(5) as u8,
            Played::Missed => 0,
            _ => 100,
        };
        let mut plucks = Vec::new();
        for (index, &(at, open)) in written.iter().enumerate() {
            let later = at >= written[telling].0;
            if outcome == Played::Unheard && index == telling {
                continue;
            }
            let too_late = outcome == Played::Late && index == telling;
            let raised = if open == flipped && later && !too_late { cents } else { 0 };
            let time = at + chance.normal(0.01) + if later { waited } else { 0.0 };
            plucks.push((time, PluckKind { open, cents: raised, velocity: [70, 90, 110][chance.below(3)] }));
        }
        let mut played = Passage::of(kind, passage.bpm, plucks);
        if outcome == Played::Late {
            played = played.with_late_lever(flipped, telling_at, late);
        }
        Drill { seed, written, played, telling, outcome, waited }
    }

    /// Leaves notes out of what is played.
    pub fn leave_out(&mut self, mut is_left_out: impl FnMut() -> bool) {
        self.played.notes.retain(|_| !is_left_out());
    }

    pub fn kinds(&self) -> BTreeSet<PluckKind> {
        self.played.kinds()
    }

    /// What was truly played, as it would be told by an ear that errs in nothing.
    fn truth(&self) -> Evidence {
        let heard = self.played.notes.iter().map(|note| HeardNote {
            at: Seconds::new(note.time()),
            note: MidiNote::new(note.kind.open).unwrap(),
            cents: Cents::new(f64::from(note.kind.cents)),
            certainty: 1.0,
        });
        Evidence { ear: Ear::Exact, heard: heard.collect(), ..Evidence::default() }
    }

    /// What was played.
    pub fn played(&self) -> &Passage {
        &self.played
    }

    /// Whether nothing went wrong in it.
    pub fn is_clean(&self) -> bool {
        self.outcome == Played::Clean
    }

    /// What was to be played.
    pub fn expected(&self, harp: &Harp) -> ExpectedPass {
        let string = |open: u8| {
            let midi = MidiNote::new(open).unwrap();
            harp.numbered().find(|(_, string)| string.open.midi() == midi).map(|(number, _)| number)
        };
        let (flip_note, flipped) = self.written[self.telling];
        let note = |(index, &(at, open)): (usize, &(f64, u8))| {
            let raised = open == flipped && at >= flip_note;
            let midi = |semitones: u8| MidiNote::new(open + semitones).unwrap();
            let chord = self.written.iter().position(|other| other.0 == at).unwrap();
            ExpectedNote {
                at: Seconds::new(at),
                note: midi(u8::from(raised)),
                other_state: Some(midi(u8::from(!raised))),
                string: string(open),
                hand: if open < 60 { Hand::Left } else { Hand::Right },
                freedom: Freedom::Strict,
                chord,
                pluck: index,
                played_bar: 0,
                onset: Ticks::ZERO,
            }
        };
        let beat = Seconds::new(60.0 / self.played.bpm);
        let flip = ExpectedFlip {
            at: Seconds::new(flip_note - beat.get() / 4.0),
            string: string(flipped).unwrap_or(StringNumber::new(1).unwrap()),
            to: LeverState::Up,
            open: harp.strings().iter().find(|s| s.open.midi().get() == flipped).unwrap().open,
            told_by: Some(self.telling),
            beat,
        };
        ExpectedPass { notes: self.written.iter().enumerate().map(note).collect(), flips: vec![flip], beat }
    }
}

#[derive(Default)]
struct Tally {
    notes: usize,
    found: usize,
    falsely: usize,
    states: usize,
    right: usize,
    unsure: usize,
    halves: usize,
    halves_wrong: usize,
    passes: usize,
    verdicts: usize,
    waiting: Vec<f64>,
    meant: Vec<f64>,
    outcomes: BTreeMap<(String, String, bool), usize>,
}

/// How hard strings are plucked in the lever check: otherwise than in the drills.
const CHECKED_AT: [u8; 3] = [60, 80, 100];

/// The plucks of a lever check of every string that the drills have.
pub fn checked(drills: &[Drill]) -> BTreeSet<PluckKind> {
    let strings: BTreeSet<u8> = drills.iter().flat_map(|drill| drill.written.iter().map(|note| note.1)).collect();
    let states = strings.into_iter().flat_map(|open| [0, 100].map(|cents| (open, cents)));
    states.flat_map(|(open, cents)| CHECKED_AT.map(|velocity| PluckKind { open, cents, velocity })).collect()
}

/// The harp with what its own lever check finds.
pub fn checked_harp(harp: &Harp, drills: &[Drill], bank: &Bank) -> Harp {
    let mut meter = PluckMeter::new(SampleRate::new(RATE).unwrap());
    let measured = |kind: PluckKind| {
        let about = Hertz::of_note(MidiNote::new(kind.open + kind.cents / 100).unwrap(), Hertz::A4);
        let excerpt = Excerpt { starts: SampleIndex::new(0), samples: bank.pluck(kind) };
        meter.measure(excerpt, SampleIndex::new(0), about)
    };
    let plucks: Vec<MeasuredPluck> = checked(drills).into_iter().filter_map(measured).collect();
    let mut strings = harp.strings().to_vec();
    for finding in check_levers(harp, Hertz::A4, &plucks) {
        let string = &mut strings[finding.string.index()];
        *string = finding.kept_in(string);
    }
    Harp::new("checked", strings).unwrap()
}

pub fn measure(drills: &[Drill], bank: &Bank, table: &mut Table) {
    let unchecked = Preset::with_strings(40).unwrap().tuned(Tuning::C);
    measure_on(&unchecked, "", drills, bank, table);
    measure_on(&checked_harp(&unchecked, drills, bank), ", the harp's own spectra", drills, bank, table);
}

fn measure_on(harp: &Harp, known: &str, drills: &[Drill], bank: &Bank, table: &mut Table) {
    for kind in [Kind::Line, Kind::TwoHands] {
        for (place, room) in ["dry", "room"].into_iter().enumerate() {
            let mut tally = Tally::default();
            // Half of the passes are heard dry, half in a room.
            let own = drills.iter().filter(|d| d.played.kind == kind && d.seed % 2 == place as u64);
            own.for_each(|drill| one(drill, bank, harp, place == 1, &mut tally));
            let name = |what: &str| format!("drill, {}, {room}{known}: {what}", kind.name());
            table.add(name("expected notes found"), share(tally.found, tally.notes), AtLeast(0.985));
            table.add(name("false notes per expected note"), share(tally.falsely, tally.notes), AtMost(0.01));
            table.add(
                name("lever state right"),
                share(tally.right, tally.states),
                AtLeast(if kind == Kind::Line { 0.995 } else { 0.985 }),
            );
            table.add(name("lever state unsure"), share(tally.unsure, tally.states), AtMost(0.03));
            table.add(name("half-way called up or open"), share(tally.halves_wrong, tally.halves), AtMost(0.005));
            let most = if kind == Kind::Line { 10.0 } else { 18.0 };
            table.add(name("hesitation: error in ms, p95"), 1e3 * quantile(&tally.waiting, 0.95), AtMost(most));
            table.add(name("the same against what was meant"), 1e3 * quantile(&tally.meant, 0.95), NoTarget);
            table.add(name("verdict of the pass right"), share(tally.verdicts, tally.passes), AtLeast(0.97));
            for ((played, heard, waited), count) in &tally.outcomes {
                println!(
                    "{}: {played} heard as {heard}{}: {count}",
                    kind.name(),
                    if *waited { ", waited" } else { "" }
                );
            }
        }
    }
}

/// What the first look hears of a drill: attacks and notes.
pub fn first_look(expected: &ExpectedPass, sound: &[f32]) -> (Vec<SampleIndex>, Vec<HeardNote>) {
    let rate = SampleRate::new(RATE).unwrap();
    let likely: Vec<Hertz> = expected
        .notes
        .iter()
        .flat_map(|note| [Some(note.note), note.other_state])
        .flatten()
        .map(|note| Hertz::of_note(note, Hertz::A4))
        .collect();
    let (mut attacks, mut notes): (Vec<SampleIndex>, Vec<HeardNote>) = (Vec::new(), Vec::new());
    let mut listener = Listener::new(rate, &likely);
    let mut tell = |heard: Heard| match heard {
        Heard::Onset(onset) => attacks.push(onset.at),
        Heard::Note(note) => notes.push(HeardNote {
            at: rate.time_of(note.at),
            note: note.note,
            cents: note.cents,
            certainty: note.certainty,
        }),
    };
    listener.listen(sound, &mut tell);
    listener.finish(&mut tell);
    (attacks, notes)
}

fn one(drill: &Drill, bank: &Bank, harp: &Harp, in_room: bool, tally: &mut Tally) {
    let rate = SampleRate::new(RATE).unwrap();
    let dry = drill.played.sound(bank);
    let sound = if in_room { in_a_room(&dry, drill.seed) } else { dry };
    let expected = drill.expected(harp);
    let (attacks, notes) = first_look(&expected, &sound);
    let excerpt = Excerpt { starts: SampleIndex::new(0), samples: &sound };
    let first = FirstLook { notes: &notes, attacks: &attacks };
    let evidence = PassEar::new(rate).evidence(&expected, harp, Seconds::ZERO, first, excerpt);
    let thresholds = Thresholds::of_level(PaceLevel::Fluent);
    let verdict = judge(&expected, &evidence, &thresholds);

    for (index, note) in verdict.notes.iter().enumerate() {
        let unplayed = drill.outcome == Played::Unheard && index == drill.telling;
        let heard = matches!(note.outcome, NoteOutcome::Hit | NoteOutcome::WrongLever);
        tally.notes += usize::from(!unplayed);
        tally.found += usize::from(heard && !unplayed);
        tally.falsely += usize::from(heard && unplayed);
    }
    tally.falsely += verdict.extra.len();
    for lever in &evidence.levers {
        let open = harp.string(lever.string).map(|string| string.open.midi().get());
        let near = drill.played.notes.iter().filter(|note| Some(note.kind.open) == open);
        let truth = near.min_by(|a, b| (a.time() - lever.at.get()).abs().total_cmp(&(b.time() - lever.at.get()).abs()));
        let Some(truth) = truth.filter(|truth| (truth.time() - lever.at.get()).abs() < 0.05) else { continue };
        let half = !matches!(truth.kind.cents, 0 | 100);
        tally.states += 1;
        tally.unsure += usize::from(lever.state == LeverHeard::Unsure);
        tally.halves += usize::from(half);
        tally.halves_wrong += usize::from(half && matches!(lever.state, LeverHeard::Open | LeverHeard::Up));
        tally.right += usize::from(match lever.state {
            LeverHeard::Open => truth.kind.cents == 0,
            LeverHeard::Up => truth.kind.cents == 100,
            LeverHeard::Half(_) | LeverHeard::Unsure => half || lever.state == LeverHeard::Unsure,
        });
    }
    let flip = &verdict.flips[0];
    let limit = thresholds.hesitation(expected.flips[0].beat);
    let waited = flip.hesitation.is_some_and(|hesitation| hesitation.longer_by.get() > limit.get());
    let outcome = match drill.outcome {
        Played::Clean | Played::Hesitated => FlipOutcome::Clean,
        Played::Late => FlipOutcome::Late,
        Played::Half => FlipOutcome::Half,
        Played::Missed => FlipOutcome::Missed,
        Played::Unheard => FlipOutcome::Unheard,
    };
    tally.passes += 1;
    let right = flip.outcome == outcome && waited == (drill.outcome == Played::Hesitated);
    tally.verdicts += usize::from(right);
    let played = judge(&expected, &drill.truth(), &thresholds).flips[0].hesitation;
    if let (Some(hesitation), Some(played)) = (flip.hesitation, played) {
        tally.waiting.push((hesitation.longer_by - played.longer_by).get().abs());
        tally.meant.push((hesitation.longer_by.get() - drill.waited).abs());
    }
    *tally.outcomes.entry((format!("{:?}", drill.outcome), format!("{:?}", flip.outcome), waited)).or_default() += 1;
}
