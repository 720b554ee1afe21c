//! Hours of sound: the memory of whoever listens is made once, and times never drift.

use std::collections::VecDeque;
use std::num::NonZeroU16;
use std::sync::Arc;
use std::time::{Duration, Instant};

use leverlane_core::drill::{Accent, Event, EventKind, Timeline};
use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::time::{Seconds, Tempo, TempoMap, Ticks};
use leverlane_hearing::{Heard, Listener};
use leverlane_listening::{Asked, Joiner, News, PassEvidence, Route, Wholeness};
use leverlane_sound::capture::{ChannelChoice, Source, pair};
use leverlane_sound::clocks::ClockMark;
use leverlane_sound::{Mix, Program, Repeat, SampleRate, Sounding, Stamp, monitored_pair};
use leverlane_tests::harp_recordings::{Bank, Passage, RATE};

use crate::figures::Target::{AtLeast, AtMost, None as NoTarget};
use crate::figures::{Table, quantile, share};
use crate::passes::Drill;

const SECONDS: usize = 4 * 3600;
/// How much faster the microphone's clock is than the loudspeaker's, and the way of sound between them in seconds.
const FASTER: f64 = 80e-6;
const WAY: f64 = 0.073;
/// So many passes at either end are compared.
const COMPARED: usize = 50;

pub fn measure(passages: &[(u64, Passage)], drills: &[Drill], bank: &Bank, table: &mut Table) {
    if let Some((_, passage)) = passages.first() {
        again_and_again(passage, bank, table);
    }
    if let Some(drill) = drills.iter().find(|drill| drill.is_clean()) {
        a_drill_for_hours(drill, bank, table);
    }
}

/// One passage again and again for four hours; in every one the same must be heard at the same places.
fn again_and_again(passage: &Passage, bank: &Bank, table: &mut Table) {
    let (rate, mut sound) = (leverlane_hearing::SampleRate::new(RATE).unwrap(), passage.sound(bank));
    // Every round falls alike on the frames that are looked at.
    sound.truncate(sound.len() / 1_024 * 1_024);
    let mut listener = Listener::new(rate, &[]);
    let period = sound.len() as u64;
    let rounds = (SECONDS * RATE as usize) as u64 / period;
    let mut places = Vec::new();
    for _ in 0..rounds {
        listener.listen(&sound, |heard| {
            if let Heard::Onset(onset) = heard {
                places.push(onset.at.get());
            }
        });
    }
    let in_round = |round: u64| -> Vec<u64> {
        let own = places.iter().filter(|place| **place / period == round);
        own.map(|place| place % period).collect()
    };
    let second = in_round(1);
    let same = (2..rounds - 1).filter(|&round| in_round(round) == second).count();
    table.add(
        "four hours: rounds in which the same was heard as in the second",
        share(same, rounds as usize - 3),
        AtLeast(0.99),
    );
    let counted = listener.heard().get() as f64 - (rounds * period) as f64;
    table.add("four hours: samples miscounted", counted.abs(), AtMost(0.0));
}

/// A drill that loops for four hours, its click bleeding in, heard by a microphone whose clock runs away by more than a
/// second meanwhile: every pass must be told, its notes where they were played.
fn a_drill_for_hours(drill: &Drill, bank: &Bank, table: &mut Table) {
    let rate = SampleRate::new(RATE).unwrap();
    let harp = Preset::with_strings(40).unwrap().tuned(Tuning::C);
    let sound = drill.played().sound(bank);
    let beat = 60.0 / drill.played().bpm;
    let beats = (sound.len() as f64 / f64::from(RATE) / beat).ceil() as i64 + 1;
    let quarter = Ticks::new(Ticks::PER_QUARTER);
    let click = |n: i64| {
        let accent = if n == 0 { Accent::Bar } else { Accent::Beat };
        Event { at: quarter * n, kind: EventKind::Click(accent) }
    };
    let timeline = Timeline {
        count_in: vec![click(0), click(1), click(2), click(3)],
        count_in_length: quarter * 4,
        events: (0..beats).map(click).collect(),
        length: quarter * beats,
        tempo: TempoMap::steady(Tempo::quarters(drill.played().bpm).unwrap()),
    };
    let (mut controls, mut renderer, mut monitor) = monitored_pair(rate, Mix::default());
    controls.load(Program::new(&timeline, rate), Stamp::Now).unwrap();
    controls.start(Repeat::Endless, Stamp::At(leverlane_sound::SampleIndex::new(2 * u64::from(RATE)))).unwrap();
    let mut joiner = Joiner::new(rate, rate, Some(Seconds::new(WAY)), &[], Route::Loudspeaker).unwrap();
    let expected = drill.expected(&harp);
    joiner.ask(0, Arc::new(Asked { expected, harp }));
    let source = Source { rate, channels: NonZeroU16::MIN, choice: ChannelChoice::Automatic };
    let (mut intake, mut capture) = pair(source);
    let (opened, block) = (Instant::now(), RATE as usize / 100);
    let mut frames = vec![[0.0; 2]; block];
    // What sounds in the room, from a sample of the loudspeaker's count on.
    let (mut room, mut room_from) = (VecDeque::<f32>::new(), 0u64);
    let (mut pass_from, mut taken, mut passes, mut begun) = (None::<u64>, 0u64, Vec::new(), 0);
    let mut memory = Vec::new();
    let started = Instant::now();
    for callback in 1..=(SECONDS * 100) as u64 {
        let at = opened + Duration::from_millis(10 * callback);
        let mut tell = |news: News| {
            if let News::Pass(pass) = news {
                passes.push((error_of(&pass, drill), pass.whole));
            }
        };
        joiner.note_output(ClockMark { count: callback * block as u64, at }, &mut tell);
        renderer.render(&mut frames);
        let first = room_from + room.len() as u64;
        while let Some(block) = monitor.next_block() {
            room.extend(block.samples.iter().map(|sample| 0.1 * sample));
        }
        let mut starts = pass_from.into_iter().collect::<Vec<_>>();
        while let Some(played) = monitor.next_sound() {
            if let Sounding::Pass { .. } = played.what {
                starts.push(played.at.get());
                begun += 1;
            }
            joiner.note_played(played);
        }
        for from in &starts {
            for n in first.max(*from)..room_from + room.len() as u64 {
                if let Some(sample) = sound.get((n - from) as usize) {
                    room[(n - room_from) as usize] += sample;
                }
            }
        }
        pass_from = starts.last().copied().or(pass_from);
        let until = (0.01 * callback as f64 * f64::from(RATE) * (1.0 + FASTER)) as u64;
        let caught: Vec<f32> = (taken..until)
            .map(|n| {
                let place = (n as f64 / (1.0 + FASTER) - WAY * f64::from(RATE) - room_from as f64).max(0.0);
                let sample = |n: usize| room.get(n).copied().unwrap_or(0.0);
                let (whole, part) = (place as usize, place.fract() as f32);
                sample(whole) * (1.0 - part) + sample(whole + 1) * part
            })
            .collect();
        taken = until;
        intake.take(&caught, at, Duration::from_millis(10));
        while let Some(block) = capture.next_block() {
            joiner.hear(&block, &mut tell);
        }
        let excess = room.len().saturating_sub(RATE as usize);
        room.drain(..excess);
        room_from += excess as u64;
        if callback.is_multiple_of(60_000) {
            memory.extend(resident_megabytes());
        }
    }
    let whole = passes.iter().filter(|(_, whole)| *whole == Wholeness::Whole).count();
    table.add("a drill of four hours: passes told whole", share(whole, begun - 1), AtLeast(0.99));
    let errors: Vec<f64> = passes.iter().filter_map(|pass| pass.0).collect();
    let median = |errors: &[f64]| quantile(errors, 0.5);
    let (early, late) = (&errors[..COMPARED.min(errors.len())], &errors[errors.len().saturating_sub(COMPARED)..]);
    table.add(
        "a drill of four hours: drift of the notes' times in ms",
        1e3 * (median(late) - median(early)).abs(),
        AtMost(0.2),
    );
    let off: Vec<f64> = errors.iter().map(|error| (error - median(&errors)).abs()).collect();
    table.add("a drill of four hours: worst pass's times off by, in ms", 1e3 * quantile(&off, 1.0), AtMost(1.0));
    if let (Some(first), Some(last)) = (memory.first(), memory.last()) {
        table.add("a drill of four hours: memory grown after ten minutes, MB", last - first, AtMost(1.0));
    }
    let speed = SECONDS as f64 / started.elapsed().as_secs_f64();
    table.add("a drill of four hours, simulated devices included: times real time", speed, NoTarget);
}

/// The median distance of a pass's notes from where they were truly played.
fn error_of(pass: &PassEvidence, drill: &Drill) -> Option<f64> {
    let played = &drill.played().notes;
    let error = |at: f64| played.iter().map(|note| at - note.time()).min_by(|a, b| a.abs().total_cmp(&b.abs()));
    let errors: Vec<f64> = pass.evidence.heard.iter().filter_map(|heard| error(heard.at.get())).collect();
    (!errors.is_empty()).then(|| quantile(&errors, 0.5))
}

/// How much memory this program has; none where the system doesn't tell.
fn resident_megabytes() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}
