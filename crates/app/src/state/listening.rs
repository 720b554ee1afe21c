//! What the microphone hears, as far as it is shown; and what it may be left to judge.

use leverlane_core::drill::PlayedHands;
use leverlane_core::pitch::MidiNote;
use leverlane_core::score::Hand;
use leverlane_core::verdict::Evidence;
use leverlane_listening::{HeardLevel, Route, TapCount, Wholeness};
use leverlane_sound::capture::MicrophoneName;
use leverlane_sound::clocks::ClockNews;
use leverlane_sound::latency::{Latency, LatencyError, MeasuredBy, TapsError};
use leverlane_sound::{MicrophoneError, MicrophoneLoss};

use super::{Level, Mix, State, Voice};

/// Strings are named for so many tellings of the level, some twenty of which come in a second.
const NAMED_FOR: u32 = 24;
/// No more strings than this are named at once.
const MOST_NAMED: usize = 8;

/// The microphone. It is closed until the player opens it, in every run of the program anew.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ListeningDesk {
    /// Whether it hears.
    pub ear: Ear,
    /// What the open microphone is called.
    pub name: String,
    /// The microphones that there were when it was last looked.
    pub microphones: Vec<MicrophoneName>,
    /// How long sound takes through loudspeaker, room and microphone; none where that was never measured.
    pub latency: Option<Latency>,
    /// How loud it is; none while nothing is heard.
    pub level: Option<HeardLevel>,
    /// The strings that were heard of late, oldest first.
    pub strings: Vec<HeardString>,
    /// The measurement of the latency.
    pub measuring: Measuring,
    /// What is amiss with the clocks, by the newest word on it.
    pub trouble: Option<ClockTrouble>,
}

/// Whether the microphone hears.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Ear {
    /// It is closed, as the player wants it.
    #[default]
    Closed,
    /// It is being opened.
    Opening,
    /// It hears.
    Open,
    /// It was lost, and is looked for.
    Lost(MicrophoneLoss),
    /// It can't be opened.
    Refused(MicrophoneError),
    /// There is no sound device by whose clock passes could be placed.
    NoSound,
    /// The system has no thread left for it.
    NoThread,
}

/// A string that was heard, told by its note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HeardString {
    /// The nearest note.
    pub note: MidiNote,
    /// How much longer it is named.
    left: u32,
}

/// The measurement of the latency.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Measuring {
    /// It doesn't run.
    #[default]
    No,
    /// So many sweeps have been played.
    Running(usize),
    /// So many clicks have been played and taps heard.
    Tapping(TapCount),
    /// It came to nothing.
    Failed(LatencyError),
    /// The taps told nothing.
    TapsFailed(TapsError),
}

impl Measuring {
    /// Whether one runs.
    pub fn runs(self) -> bool {
        matches!(self, Measuring::Running(_) | Measuring::Tapping(_))
    }
}

/// What is amiss with the clocks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ClockTrouble {
    /// As the listener said.
    Clock(ClockNews),
    /// Notes can't be placed yet.
    NoPlace,
}

/// What was heard of a pass.
#[derive(Clone, Debug, PartialEq)]
pub struct HeardPass {
    /// Which start of the drill it belongs to.
    pub take: u64,
    /// Which pass, from 0 at that start.
    pub pass: u64,
    /// What was heard.
    pub evidence: Evidence,
    /// Whether all of it was heard.
    pub whole: Wholeness,
}

impl ListeningDesk {
    /// Whether the player wants to be listened to.
    pub fn is_on(&self) -> bool {
        matches!(self.ear, Ear::Opening | Ear::Open | Ear::Lost(_))
    }

    /// Whether passes can be waited for.
    pub fn hears(&self) -> bool {
        self.ear == Ear::Open && !self.measuring.runs()
    }

    /// Whether the latency may be measured: by ear, which is the surer way.
    pub fn can_measure(&self) -> bool {
        self.ear == Ear::Open && !self.measuring.runs()
    }

    /// Whether her taps can say more of the latency than is known: what the microphone heard itself is surer.
    pub fn can_tap(&self) -> bool {
        self.can_measure() && self.latency.is_none_or(|latency| latency.by == MeasuredBy::Taps)
    }

    /// Names a string for a moment.
    pub fn name_string(&mut self, note: MidiNote) {
        self.strings.retain(|string| string.note != note);
        if self.strings.len() == MOST_NAMED {
            self.strings.remove(0);
        }
        self.strings.push(HeardString { note, left: NAMED_FOR });
    }

    /// Takes the newest level; strings heard a while ago are no longer named.
    pub fn take_level(&mut self, level: HeardLevel) {
        self.level = Some(level);
        for string in &mut self.strings {
            string.left = string.left.saturating_sub(1);
        }
        self.strings.retain(|string| string.left > 0);
    }

    /// Forgets what belongs to a device that is no longer open.
    pub fn forget_device(&mut self) {
        let (ear, microphones) = (self.ear.clone(), std::mem::take(&mut self.microphones));
        *self = ListeningDesk { ear, microphones, ..ListeningDesk::default() };
    }
}

impl State {
    /// The hands that the player plays herself.
    pub fn played_hands(&self) -> PlayedHands {
        let hands = || Some(self.drill.practice.as_ref()?.practice.layer().hands(self.flipping_hand()?));
        hands().unwrap_or(PlayedHands::Both)
    }

    /// Whether it can be said how early or late she is on the whole. Where only her taps have told the latency, it is measured
    /// by that very earliness.
    pub fn tells_bias(&self) -> bool {
        let by_taps = self.listening.latency.is_some_and(|latency| latency.by == MeasuredBy::Taps);
        !(by_taps && self.settings.ears.route == Route::Headphones)
    }

    /// The hand that makes the selected flip.
    pub fn flipping_hand(&self) -> Option<Hand> {
        Some(self.plan.as_ref()?.plan.gestures.get(self.drill.selected?)?.hand)
    }

    /// Whether a hand is silent because the microphone would take its notes out of the loudspeaker for the player's.
    pub fn is_left_to_player(&self, hand: Hand) -> bool {
        let through_the_room = self.settings.ears.route == Route::Loudspeaker;
        self.listening.is_on() && through_the_room && self.played_hands().plays(hand)
    }

    /// What sounds just now, by the player's own mix.
    pub fn sounding_mix(&self) -> Mix {
        let mut mix = self.settings.mix;
        if self.listening.is_on() && self.settings.ears.route == Route::Loudspeaker {
            // Through the room a cue line would be taken for the player's own notes.
            mix.set_level(Voice::Guide, Level::tenths(0));
        }
        for hand in Hand::BOTH {
            if mix.hears(hand) && self.is_left_to_player(hand) {
                mix.switch(hand);
            }
        }
        mix
    }
}
