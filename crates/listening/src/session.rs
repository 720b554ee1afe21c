//! Listening with a microphone.

use std::time::{Duration, Instant};

use leverlane_core::pitch::Hertz;
use leverlane_core::time::Seconds;
use leverlane_sound::capture::{ChannelChoice, Keeping, KeepingError, LevelMeter, Microphone};
use leverlane_sound::{MicrophoneError, MicrophoneLoss, Overhearing};

use crate::joiner::{Joiner, News, Route};

/// How often a lost microphone is looked for.
const LOOKS_AGAIN: Duration = Duration::from_millis(500);

/// What to listen with and for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ears {
    /// The microphone by its name; none is the system's default.
    pub microphone: Option<String>,
    /// Which of its channels.
    pub channel: ChannelChoice,
    /// Whether it hears the loudspeaker.
    pub route: Route,
    /// The latency of these devices, where it was measured.
    pub latency: Option<Seconds>,
    /// The pitches of the passage: every string of it, open and raised. None: all are equally likely.
    pub likely: Vec<Hertz>,
}

/// A microphone and what is played, joined. To be polled every few milliseconds.
pub struct Session {
    ears: Ears,
    overhearing: Overhearing,
    microphone: Microphone,
    joiner: Joiner,
    lost: Option<MicrophoneLoss>,
    looked: Instant,
    keeping: Option<Keeping>,
}

/// What a poll found about the microphone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ear {
    /// It hears.
    Hears,
    /// It was lost just now.
    Lost(MicrophoneLoss),
    /// It is still missing.
    Missing,
    /// It was picked up again just now.
    PickedUp,
}

impl Session {
    /// Opens the microphone and listens to what this player's device plays and the room answers.
    ///
    /// # Errors
    /// The microphone can't be opened, or runs at a rate that nothing can be heard at.
    pub fn open(ears: Ears, mut overhearing: Overhearing) -> Result<Session, MicrophoneError> {
        let microphone = Microphone::open(ears.microphone.as_deref(), ears.channel)?;
        overhearing.skip_waiting();
        let rate = microphone.rate();
        let joiner = Joiner::new(overhearing.rate(), rate, ears.latency, &ears.likely, ears.route)
            .ok_or(MicrophoneError::Rate { found: rate.get() })?;
        Ok(Session { ears, overhearing, microphone, joiner, lost: None, looked: Instant::now(), keeping: None })
    }

    /// The microphone.
    pub fn microphone(&self) -> &Microphone {
        &self.microphone
    }

    /// The levels.
    pub fn meter(&self) -> &LevelMeter {
        self.joiner.meter()
    }

    /// Keeps what is heard from now on in a file, because the player asked; with none, no more.
    ///
    /// # Errors
    /// What was kept before can't be finished.
    pub fn keep(&mut self, keeping: Option<Keeping>) -> Result<(), KeepingError> {
        let before = std::mem::replace(&mut self.keeping, keeping);
        before.map_or(Ok(()), Keeping::finish)
    }

    /// Takes up all that has been played and heard since the last poll.
    ///
    /// # Errors
    /// What is to be kept can't be written; listening goes on, keeping doesn't.
    pub fn poll(&mut self, tell: &mut dyn FnMut(News)) -> Result<Ear, KeepingError> {
        while let Some(mark) = self.overhearing.next_clock_mark() {
            self.joiner.note_output(mark, tell);
        }
        // The samples themselves are not needed here.
        while self.overhearing.monitor().next_block().is_some() {}
        while let Some(played) = self.overhearing.monitor().next_sound() {
            self.joiner.note_played(played);
        }
        let mut kept = Ok(());
        while let Some(block) = self.microphone.next_block() {
            if let Some(keeping) = &mut self.keeping
                && kept.is_ok()
            {
                kept = keeping.add(block.samples);
            }
            self.joiner.hear(&block, tell);
        }
        if kept.is_err() {
            self.keeping = None;
        }
        kept.map(|()| self.look_after_the_microphone())
    }

    fn look_after_the_microphone(&mut self) -> Ear {
        match (self.microphone.loss(), self.lost) {
            (None, None) => Ear::Hears,
            (Some(loss), None) => {
                self.lost = Some(loss);
                self.looked = Instant::now();
                Ear::Lost(loss)
            }
            (_, Some(_)) if self.looked.elapsed() < LOOKS_AGAIN => Ear::Missing,
            (_, Some(_)) => {
                self.looked = Instant::now();
                let is_back = self.microphone.reopen().is_ok()
                    && self.joiner.go_on_with(self.microphone.rate(), self.ears.latency);
                if !is_back {
                    return Ear::Missing;
                }
                self.lost = None;
                Ear::PickedUp
            }
        }
    }
}
