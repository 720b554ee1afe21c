//! A timeline made ready for the audio thread.

use leverlane_core::drill::{Accent, EventKind, Timeline, Word};
use leverlane_core::pitch::MidiNote;
use leverlane_core::score::Hand;
use leverlane_core::time::{ScoreTime, Seconds, Tempo, TempoMap, Ticks};

use crate::click::{Click, ClickSound};
use crate::latency::{Probe, Probes};
use crate::sample_clock::{SamplePoint, SampleRate};
use crate::spoken::loud_from;

/// A [`Timeline`] with its times in samples at one sample rate, ready to be rendered.
///
/// Building it allocates; the renderer only reads it, and gives it back to be dropped elsewhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Program {
    rate: SampleRate,
    tempo: TempoMap,
    pub(crate) count_in: Stretch,
    pub(crate) pass: Stretch,
}

/// A length of sound with what begins in it: the count-in, or one pass.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Stretch {
    /// By time.
    pub(crate) sounds: Vec<Placed>,
    pub(crate) length: SamplePoint,
}

/// A sound at its unrounded place in its stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Placed {
    pub(crate) at: SamplePoint,
    pub(crate) sound: Sound,
    pub(crate) belongs: Belongs,
}

/// Which pass a sound belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Belongs {
    /// The one it stands in.
    Here,
    /// The next one: a grace note before its first beat, left out where no such pass follows.
    NextPass,
}

/// What begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Sound {
    Click(Click),
    Cue,
    Word(Word),
    Sweep,
    Guide(MidiNote),
    Pluck { string: SoundingString, note: MidiNote, hand: Hand },
}

/// What a new pluck silences: the same string. Without a known string it is the same note that is silenced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum SoundingString {
    Number(u8),
    Unknown(MidiNote),
    /// None of the harp's: a note of the cue line.
    Guide(MidiNote),
}

impl Program {
    /// Makes a timeline ready for a sample rate, with the usual click.
    pub fn new(timeline: &Timeline, rate: SampleRate) -> Program {
        let opening = timeline.tempo.opening();
        let count_in_time = |at: Ticks| rate.samples_in(opening.lasting(at));
        let pass_time = |at: Ticks| rate.samples_in(timeline.tempo.seconds_at(ScoreTime::from_start(at)));
        let mut count_in = Stretch { sounds: Vec::new(), length: count_in_time(timeline.count_in_length) };
        for event in &timeline.count_in {
            let (sound, shift) = sound_of(&event.kind);
            let at = count_in_time(event.at).plus(rate.samples_in(shift)).at_least(SamplePoint::ZERO);
            count_in.sounds.push(Placed { at, sound, belongs: Belongs::Here });
        }
        // A pass lasts at least one sample, so that the renderer always gets on.
        let length = pass_time(timeline.length).at_least(SamplePoint::of(crate::SampleIndex::new(1)));
        let mut pass = Stretch { sounds: Vec::new(), length };
        for event in &timeline.events {
            let (sound, shift) = sound_of(&event.kind);
            let at = pass_time(event.at).plus(rate.samples_in(shift));
            if at >= SamplePoint::ZERO {
                pass.sounds.push(Placed { at, sound, belongs: Belongs::Here });
            } else {
                // A grace note before the first beat sounds while the count-in or the pass before is ending.
                let end_of = |stretch: &Stretch| stretch.length.plus(at).at_least(SamplePoint::ZERO);
                count_in.sounds.push(Placed { at: end_of(&count_in), sound, belongs: Belongs::Here });
                pass.sounds.push(Placed { at: end_of(&pass), sound, belongs: Belongs::NextPass });
            }
        }
        count_in.sort();
        pass.sort();
        Program { rate, tempo: timeline.tempo.clone(), count_in, pass }
    }

    /// The same with another click; where its rate can't hold that, with the usual one ([`ClickSound::at`]).
    pub fn clicking(mut self, sound: ClickSound) -> Program {
        let sound = sound.at(self.rate);
        for placed in self.count_in.sounds.iter_mut().chain(&mut self.pass.sounds) {
            if let Sound::Click(click) = &mut placed.sound {
                click.sound = sound;
            }
        }
        self
    }

    /// Sounds by which the latency is measured, after a silence as long as one is apart from the next.
    pub(crate) fn of_probes(probes: Probes, rate: SampleRate) -> Program {
        let step = rate.samples_in(probes.apart);
        let sound = match probes.what {
            Probe::Sweep => Sound::Sweep,
            Probe::Click => Sound::Click(Click { sound: ClickSound::Usual, accent: Accent::Beat }),
        };
        let placed = |n| Placed { at: step.times(u64::from(n)), sound, belongs: Belongs::Here };
        Program {
            rate,
            tempo: TempoMap::steady(Tempo::UNWRITTEN),
            count_in: Stretch { sounds: Vec::new(), length: step },
            pass: Stretch {
                sounds: (0..probes.count).map(placed).collect(),
                length: step.times(u64::from(probes.count)),
            },
        }
    }

    /// The rate it was made for.
    pub fn rate(&self) -> SampleRate {
        self.rate
    }

    /// How long the count-in lasts.
    pub fn count_in_lasts(&self) -> Seconds {
        self.rate.seconds_of(self.count_in.length)
    }

    /// How long one pass lasts.
    pub fn pass_lasts(&self) -> Seconds {
        self.rate.seconds_of(self.pass.length)
    }

    /// The tempo within a pass.
    pub(crate) fn tempo(&self) -> &TempoMap {
        &self.tempo
    }
}

impl Stretch {
    fn sort(&mut self) {
        self.sounds.sort_by(|a, b| a.at.total_cmp(b.at));
    }
}

fn sound_of(kind: &EventKind) -> (Sound, Seconds) {
    match *kind {
        EventKind::Click(accent) => (Sound::Click(Click { sound: ClickSound::Usual, accent }), Seconds::ZERO),
        EventKind::Cue(_) => (Sound::Cue, Seconds::ZERO),
        EventKind::Spoken { word, shift } => (Sound::Word(word), shift - loud_from(word)),
        EventKind::Guide(note) => (Sound::Guide(note), Seconds::ZERO),
        EventKind::Pluck { note, string, hand, shift, .. } => {
            let string = string.map_or(SoundingString::Unknown(note), |string| SoundingString::Number(string.get()));
            (Sound::Pluck { string, note, hand }, shift)
        }
    }
}
