//! Our own click in the microphone: what is taken for a pluck on empty beats, and what is kept of those that are played.
//!
//! A whole drill is listened to by the joiner that the window uses, on made-up devices of one clock: a bar of count-in, and
//! beats on half of which a string is plucked, near the click. Harp and click each go through a room of their own.

use std::collections::BTreeSet;
use std::num::NonZeroU16;
use std::time::{Duration, Instant};

use leverlane_core::drill::{Accent, Event, EventKind, Timeline};
use leverlane_core::harp::{LeverState, Preset, Tuning};
use leverlane_core::pitch::Hertz;
use leverlane_core::time::{Seconds, Tempo, TempoMap, Ticks};
use leverlane_listening::{Joiner, News, PlacedNote, Route};
use leverlane_sound::capture::{ChannelChoice, Source, pair};
use leverlane_sound::clocks::ClockMark;
use leverlane_sound::{ClickSound, Mix, Program, Repeat, SampleRate, Stamp, monitored_pair};
use leverlane_tests::harp_recordings::room::in_a_room;
use leverlane_tests::harp_recordings::{Bank, Chance, Kind, Passage, PluckKind, RATE};

use crate::figures::Target::{AtLeast, AtMost, None as NoTarget};
use crate::figures::{Table, share};

/// Beats of count-in, and beats after it.
const COUNT_IN: usize = 4;
const BEATS: usize = 24;
/// The way of sound to the microphone, in samples, and when the drill starts.
const WAY: usize = 3_224;
const STARTS: u64 = 2 * RATE as u64;
/// A note so near to an empty beat, in seconds, is taken for one on it; one up to so much after it for one of the click's
/// making too.
const ON_THE_BEAT: f64 = 0.06;
const AFTER_THE_BEAT: f64 = 0.2;

/// A drill with a click: its beats, and what is played on some of them.
pub struct Clicked {
    seed: u64,
    beat: f64,
    /// For each beat after the count-in what is played and when, from the drill's start.
    played: Vec<Option<(f64, PluckKind)>>,
}

impl Clicked {
    pub fn new(seed: u64) -> Clicked {
        let mut chance = Chance::seeded(seed ^ 0xc11c);
        let beat = 60.0 / [60.0, 72.0, 84.0, 100.0, 120.0][chance.below(5)];
        let white = [48u8, 50, 52, 53, 55, 57, 59, 60, 62, 64, 65, 67, 69, 71, 72, 74, 76, 77, 79, 81];
        let played = (COUNT_IN..COUNT_IN + BEATS).map(|n| {
            let kind = PluckKind {
                open: white[chance.below(white.len())],
                cents: 0,
                velocity: [70, 90, 110][chance.below(3)],
            };
            let at = n as f64 * beat + chance.normal(0.01);
            (chance.below(2) == 0).then_some((at, kind))
        });
        Clicked { seed, beat, played: played.collect() }
    }

    pub fn kinds(&self) -> BTreeSet<PluckKind> {
        self.played.iter().flatten().map(|played| played.1).collect()
    }

    fn timeline(&self) -> Timeline {
        let quarter = Ticks::new(Ticks::PER_QUARTER);
        let events = (0..COUNT_IN + BEATS).map(|n| {
            let accent = if n % COUNT_IN == 0 { Accent::Bar } else { Accent::Beat };
            Event { at: quarter * n as i64, kind: EventKind::Click(accent) }
        });
        Timeline {
            count_in: Vec::new(),
            count_in_length: Ticks::ZERO,
            events: events.collect(),
            length: quarter * (COUNT_IN + BEATS) as i64,
            tempo: TempoMap::steady(Tempo::quarters(60.0 / self.beat).unwrap()),
        }
    }

    /// The notes that are told, with their times from the drill's start.
    fn heard(&self, bank: &Bank, sound: ClickSound, below_db: f32) -> Vec<(f64, PlacedNote)> {
        let rate = SampleRate::new(RATE).unwrap();
        let (mut controls, mut renderer, mut monitor) = monitored_pair(rate, Mix::default());
        controls.load(Program::new(&self.timeline(), rate).clicking(sound), Stamp::Now).unwrap();
        let starts = Stamp::At(leverlane_sound::SampleIndex::new(STARTS));
        controls.start(Repeat::Times(std::num::NonZeroU32::MIN), starts).unwrap();
        let length =
            STARTS as usize + ((COUNT_IN + BEATS) as f64 * self.beat * f64::from(RATE)) as usize + RATE as usize;
        let block = RATE as usize / 100;
        let (mut click, mut sounds, mut frames) = (Vec::new(), Vec::new(), vec![[0.0; 2]; block]);
        while click.len() < length {
            renderer.render(&mut frames);
            while let Some(block) = monitor.next_block() {
                click.extend_from_slice(block.samples);
            }
            while let Some(sound) = monitor.next_sound() {
                sounds.push(sound);
            }
        }
        let started = STARTS as f64 / f64::from(RATE);
        let plucks = self.played.iter().flatten().map(|&(at, kind)| (started + at, kind)).collect();
        let harp = Passage::of(Kind::Line, 60.0 / self.beat, plucks).sound_of(bank, click.len());
        let peak = |samples: &[f32]| samples.iter().fold(0.0f32, |peak, sample| peak.max(sample.abs()));
        let mut plucked: Vec<f32> = self.kinds().into_iter().map(|kind| peak(bank.pluck(kind))).collect();
        plucked.sort_by(f32::total_cmp);
        let loudness = plucked[plucked.len() / 2] * 10f32.powf(-below_db / 20.0) / peak(&click);
        let (harp, click) = (in_a_room(&harp, self.seed), in_a_room(&click, self.seed ^ 0x1000));
        let room: Vec<f32> = harp.iter().zip(&click).map(|(harp, click)| harp + loudness * click).collect();
        let strings = Preset::with_strings(40).unwrap().tuned(Tuning::C);
        let states = [LeverState::Down, LeverState::Up];
        let pitches = strings.strings().iter().flat_map(|string| states.map(|state| string.sounds(state).midi()));
        let likely: Vec<Hertz> = pitches.map(|note| Hertz::of_note(note, Hertz::A4)).collect();
        let latency = Some(Seconds::new(WAY as f64 / f64::from(RATE)));
        let mut joiner = Joiner::new(rate, rate, latency, &likely, Route::Loudspeaker).unwrap();
        let source = Source { rate, channels: NonZeroU16::MIN, choice: ChannelChoice::Automatic };
        let (mut intake, mut capture) = pair(source);
        let (opened, mut notes, mut told) = (Instant::now(), Vec::new(), sounds.into_iter().peekable());
        for n in 0..room.len() / block {
            let at = opened + Duration::from_millis(10 * (n as u64 + 1));
            let count = ((n + 1) * block) as u64;
            let mut tell = |news: News| {
                if let News::Note(note) = news {
                    notes.push((note.at.get() as f64 / f64::from(RATE) - started, note));
                }
            };
            joiner.note_output(ClockMark { count, at }, &mut tell);
            while let Some(sound) = told.next_if(|sound| sound.at.get() < count) {
                joiner.note_played(sound);
            }
            let caught: Vec<f32> = (n * block..(n + 1) * block)
                .map(|n| n.checked_sub(WAY).and_then(|n| room.get(n)).copied().unwrap_or(0.0))
                .collect();
            intake.take(&caught, at, Duration::from_millis(10));
            while let Some(block) = capture.next_block() {
                joiner.hear(&block, &mut tell);
            }
        }
        notes
    }
}

pub fn measure(drills: &[Clicked], bank: &Bank, table: &mut Table) {
    for (sound, called) in [(ClickSound::Usual, "click"), (ClickSound::High, "high click")] {
        for (below_db, name, most, least) in
            [(12.0, "12 dB under the harp", 0.01, 0.97), (0.0, "as loud as the harp", 0.03, 0.93)]
        {
            let (mut empty, mut falsely, mut after, mut plucked, mut found, mut kept) = (0, 0, 0, 0, 0, 0);
            for drill in drills {
                let notes = drill.heard(bank, sound, below_db);
                for (n, played) in drill.played.iter().enumerate() {
                    let beat = (COUNT_IN + n) as f64 * drill.beat;
                    let Some((at, kind)) = *played else {
                        empty += 1;
                        falsely += usize::from(notes.iter().any(|(heard, _)| (heard - beat).abs() < ON_THE_BEAT));
                        let of_click = -ON_THE_BEAT..AFTER_THE_BEAT;
                        after += usize::from(notes.iter().any(|(heard, _)| of_click.contains(&(heard - beat))));
                        continue;
                    };
                    plucked += 1;
                    let own = |note: &PlacedNote| {
                        let pitch = f64::from(note.note.get()) + note.cents.get() / 100.0;
                        (pitch - f64::from(kind.open)).abs() < 0.5
                    };
                    let own = notes.iter().filter(|(heard, note)| own(note) && (heard - at).abs() < 0.05);
                    let off = own.map(|(heard, _)| (heard - at).abs()).fold(f64::INFINITY, f64::min);
                    found += usize::from(off.is_finite());
                    kept += usize::from(off <= 0.01);
                }
            }
            table.add(format!("{called} {name}: plucks told on empty beats"), share(falsely, empty), AtMost(most));
            table.add(format!("{called} {name}: or up to 0.2 s after them"), share(after, empty), NoTarget);
            table.add(format!("{called} {name}: beat notes within 10 ms"), share(kept, plucked), AtLeast(least));
            table.add(format!("{called} {name}: beat notes found at all"), share(found, plucked), AtLeast(least));
        }
    }
}
