//! What sounds when in one pass.

use super::clicks::{Accent, Division, clicks};
use super::speech::{self, Speech, Word};
use super::{Chunk, CueLevel};
use crate::harp::StringNumber;
use crate::meter::{Counting, Meter};
use crate::pitch::MidiNote;
use crate::plan::Plan;
use crate::score::{GRACE_STEP, Hand, OffBeat, Performance};
use crate::time::{Seconds, TempoMap, Ticks};

/// How far apart the strings of a rolled chord are plucked, at any tempo (a working value of ours). The first of them
/// falls on the beat.
pub const ROLL_STEP: Seconds = Seconds::new(0.035);

/// Which flip a cue is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cue {
    /// A gesture of the plan, by its place there.
    Planned(usize),
    /// A reset at the seam, by its place in the chunk.
    Reset(usize),
}

/// Something that sounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EventKind {
    /// A click.
    Click(Accent),
    /// The cue tone, exactly on the flip beat.
    Cue(Cue),
    /// A word.
    Spoken {
        /// Which one.
        word: Word,
        /// How much later than the event's time it begins; negative for what is said ahead.
        shift: Seconds,
    },
    /// A note of the cue line: what another player sounds.
    Guide(MidiNote),
    /// A string plucked.
    Pluck {
        /// What sounds.
        note: MidiNote,
        /// The string; none where the note can't be played on this harp.
        string: Option<StringNumber>,
        /// The hand that plays it.
        hand: Hand,
        /// The pluck's place in the performance.
        pluck: usize,
        /// How much later than the event's time it sounds: strings of a rolled chord follow each other by
        /// [`ROLL_STEP`], and grace notes come before what they lead to by [`GRACE_STEP`] each, as a negative shift.
        shift: Seconds,
    },
}

/// One thing that sounds, at its time within the pass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// From the start of the pass.
    pub at: Ticks,
    /// What sounds.
    pub kind: EventKind,
}

/// One pass through a chunk, in exact time: what sounds when, and where the next pass begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Timeline {
    /// The count-in's clicks, from its own start; played once, before the first pass.
    pub count_in: Vec<Event>,
    /// How long the count-in is.
    pub count_in_length: Ticks,
    /// The pass's events by time; of one instant clicks first, then cues, then the cue line, then plucks.
    pub events: Vec<Event>,
    /// How long a pass is: whole bars, the seam included. The next begins here.
    pub length: Ticks,
    /// The tempo within a pass, counted from its start; the count-in goes at its opening tempo.
    pub tempo: TempoMap,
}

/// What a timeline is made with. By default beats are clicked and nothing is counted in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct TimelineOptions {
    /// Full bars counted before the first pass. Before a pickup the missing part of its bar is counted on top, so that
    /// it comes on its own beat. With 0 nothing is counted.
    pub count_in_bars: u8,
    /// What is counted as a beat.
    pub counting: Counting,
    /// Whether there are clicks between the beats.
    pub division: Division,
    /// How much is cued in a pass. The count-in, and the cues for the resets at the seam, are not touched by it: they
    /// are no part of what is to be known by heart.
    pub cues: CueLevel,
    /// Whether the count and the flips are spoken.
    pub speech: Speech,
}

impl Timeline {
    /// One pass through a chunk that was cut from this performance and this plan.
    pub fn of(chunk: &Chunk, performance: &Performance, plan: &Plan, options: TimelineOptions) -> Timeline {
        let (count_in, count_in_length) = count_in(chunk, performance, options);
        let mut events = clicks_of_pass(chunk, performance, options);
        events.extend(cues(chunk, plan).filter(|event| options.cues.sounds_tone() || is_reset(event)));
        if options.speech == Speech::Spoken && options.cues.shows_looks() {
            let calls = speech::calls(chunk, plan);
            speech::make_room(&mut events, &calls, &chunk.tempo);
            events.extend(calls);
        }
        events.extend(guide(chunk, performance));
        events.extend(plucks(chunk, performance, plan));
        // The sort is stable, so that of one instant all stay in this order.
        events.sort_by_key(|event| event.at);
        Timeline { count_in, count_in_length, events, length: chunk.pass_length(), tempo: chunk.tempo.clone() }
    }
}

fn count_in(chunk: &Chunk, performance: &Performance, options: TimelineOptions) -> (Vec<Event>, Ticks) {
    let Some(first) = performance.bars().get(chunk.first).filter(|_| options.count_in_bars > 0) else {
        return (Vec::new(), Ticks::ZERO);
    };
    let bar = first.meter.bar_length();
    let full = (0..options.count_in_bars).map(|_| bar);
    let mut events = Vec::new();
    let mut starts = Ticks::ZERO;
    for length in full.chain((first.anacrusis > Ticks::ZERO).then_some(first.anacrusis)) {
        let clicks = clicks(&first.meter, Ticks::ZERO, length, options);
        if options.speech == Speech::Spoken {
            events.extend(number_events(&first.meter, Ticks::ZERO, &clicks, starts, options));
        }
        events.extend(click_events(clicks, starts));
        starts += length;
    }
    (events, starts)
}

fn clicks_of_pass(chunk: &Chunk, performance: &Performance, options: TimelineOptions) -> Vec<Event> {
    let played = performance.bars().get(chunk.first..=chunk.last).unwrap_or_default();
    let played = played.iter().map(|bar| (&bar.meter, bar.anacrusis, bar.length));
    let seam = chunk.seam.iter().map(|bar| (&bar.meter, bar.anacrusis, bar.length));
    let mut starts = Ticks::ZERO;
    let mut events = Vec::new();
    for (bar, (meter, anacrusis, length)) in played.chain(seam).enumerate() {
        if options.cues.clicks_in_bar(bar) {
            let clicks = clicks(meter, anacrusis, length, options);
            if options.speech == Speech::Spoken && options.cues.shows_looks() {
                events.extend(number_events(meter, anacrusis, &clicks, starts, options));
            }
            events.extend(click_events(clicks, starts));
        }
        starts += length;
    }
    events
}

fn click_events(clicks: Vec<(Ticks, Accent)>, starts: Ticks) -> impl Iterator<Item = Event> {
    clicks.into_iter().map(move |(at, accent)| Event { at: starts + at, kind: EventKind::Click(accent) })
}

/// The numbers of a bar's beats; what lies between beats is not counted aloud.
fn number_events(
    meter: &Meter,
    anacrusis: Ticks,
    clicks: &[(Ticks, Accent)],
    starts: Ticks,
    options: TimelineOptions,
) -> Vec<Event> {
    let beats = clicks.iter().filter(|(_, accent)| *accent != Accent::Division).map(|&(at, _)| at);
    let words = speech::numbers(meter, anacrusis, beats, options).into_iter();
    words.map(|(at, word)| Event { at: starts + at, kind: EventKind::Spoken { word, shift: Seconds::ZERO } }).collect()
}

fn is_reset(event: &Event) -> bool {
    matches!(event.kind, EventKind::Cue(Cue::Reset(_)))
}

fn cues<'a>(chunk: &'a Chunk, plan: &'a Plan) -> impl Iterator<Item = Event> + 'a {
    let planned = chunk.gestures.clone().filter_map(|index| {
        let gesture = plan.gestures.get(index)?;
        Some(Event { at: gesture.at - chunk.starts, kind: EventKind::Cue(Cue::Planned(index)) })
    });
    let resets = chunk.resets.iter().enumerate().map(|(index, reset)| Event {
        at: chunk.music_length() + reset.at.since_start(),
        kind: EventKind::Cue(Cue::Reset(index)),
    });
    planned.chain(resets)
}

fn guide<'a>(chunk: &'a Chunk, performance: &'a Performance) -> impl Iterator<Item = Event> + 'a {
    let all = performance.guide();
    let from = all.partition_point(|note| note.at < chunk.starts);
    let to = all.partition_point(|note| note.at < chunk.ends);
    all[from..to.max(from)].iter().map(|note| Event { at: note.at - chunk.starts, kind: EventKind::Guide(note.note) })
}

fn plucks<'a>(chunk: &'a Chunk, performance: &'a Performance, plan: &'a Plan) -> impl Iterator<Item = Event> + 'a {
    let all = performance.plucks();
    let from = all.partition_point(|pluck| pluck.at < chunk.starts);
    let to = all.partition_point(|pluck| pluck.at < chunk.ends);
    (from..to).map(move |index| {
        let pluck = &all[index];
        Event {
            at: pluck.at - chunk.starts,
            kind: EventKind::Pluck {
                note: pluck.sounds.midi(),
                string: plan.strings.get(index).copied().flatten().map(|(string, _)| string),
                hand: pluck.hand,
                pluck: index,
                shift: shift(performance.off_beat(index)),
            },
        }
    })
}

/// How far a pluck is moved off its tick.
fn shift(off_beat: OffBeat) -> Seconds {
    match off_beat {
        OffBeat::OnIt => Seconds::ZERO,
        OffBeat::Before { steps, .. } => GRACE_STEP * -(steps as f64),
        OffBeat::After { steps, .. } => ROLL_STEP * steps as f64,
    }
}
