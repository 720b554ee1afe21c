//! Listening with a microphone.

use std::sync::Arc;
use std::time::{Duration, Instant};

use leverlane_sound::capture::{ChannelChoice, Keeping, KeepingError, LevelMeter, Microphone};
use leverlane_sound::clocks::TwoClocks;
use leverlane_sound::latency::{DevicePair, Latency, LatencyBook};
use leverlane_sound::{MicrophoneError, MicrophoneLoss, Overhearing, SampleRate};

use crate::asked::Asked;
use crate::joiner::{Joiner, News, Route};
use crate::plucks::{PluckEar, SingleStrings};

/// How often a lost microphone is looked for.
const LOOKS_AGAIN: Duration = Duration::from_millis(500);

/// What to listen with.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ears {
    /// The microphone by its name; none is the system's default.
    pub microphone: Option<String>,
    /// Which of its channels.
    pub channel: ChannelChoice,
    /// Whether it hears the loudspeaker.
    pub route: Route,
}

/// The device that plays, as a listener knows it.
pub struct Loudspeaker {
    /// What it is given.
    pub overhearing: Overhearing,
    /// What the system calls it.
    pub name: String,
}

/// A microphone and what is played, joined. To be polled every few milliseconds.
pub struct Session {
    ears: Ears,
    microphone: Microphone,
    joiner: Joiner,
    pair: DevicePair,
    latency: Option<Latency>,
    lost: Option<MicrophoneLoss>,
    looked: Instant,
    keeping: Option<Keeping>,
    plucks: Option<PluckEar>,
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
    /// Opens the microphone and listens to what the loudspeaker plays and the room answers. The latency of the two is
    /// looked up in the book. Without a loudspeaker only single strings are heard, and the level.
    ///
    /// # Errors
    /// The microphone can't be opened, or runs at a rate that nothing can be heard at.
    pub fn open(
        ears: Ears,
        loudspeaker: Option<&mut Loudspeaker>,
        book: &LatencyBook,
    ) -> Result<Session, MicrophoneError> {
        let microphone = Microphone::open(ears.microphone.as_deref(), ears.channel)?;
        let input = (microphone.name().id().to_owned(), microphone.rate());
        let pair = match loudspeaker {
            Some(loudspeaker) => {
                loudspeaker.overhearing.skip_waiting();
                pair_of(loudspeaker, input)
            }
            // Nothing will be played, so the rate stands for nothing.
            None => DevicePair { output: String::new(), output_rate: input.1, input: input.0, input_rate: input.1 },
        };
        let latency = book.latency_of(&pair);
        let joiner = joined(&ears, &pair, latency)?;
        Ok(Session {
            ears,
            microphone,
            joiner,
            pair,
            latency,
            lost: None,
            looked: Instant::now(),
            keeping: None,
            plucks: None,
        })
    }

    /// The microphone.
    pub fn microphone(&self) -> &Microphone {
        &self.microphone
    }

    /// The microphone, to be read by whoever measures the latency meanwhile.
    pub fn microphone_mut(&mut self) -> &mut Microphone {
        &mut self.microphone
    }

    /// The two devices.
    pub fn pair(&self) -> &DevicePair {
        &self.pair
    }

    /// Their latency, where it has been measured.
    pub fn latency(&self) -> Option<Latency> {
        self.latency
    }

    /// The levels.
    pub fn meter(&self) -> &LevelMeter {
        self.joiner.meter()
    }

    /// What the passes of a program ask for.
    pub fn ask(&mut self, program: u64, asked: Arc<Asked>) {
        self.joiner.ask(program, asked);
    }

    /// Listens to single strings as well, or, with none, no more.
    ///
    /// # Errors
    /// The microphone runs at a rate that nothing can be heard at.
    pub fn listen_to_single(&mut self, strings: Option<SingleStrings>) -> Result<(), MicrophoneError> {
        let rate = self.microphone.rate();
        let ear = |strings| PluckEar::new(rate, strings).ok_or(MicrophoneError::Rate { found: rate.get() });
        self.plucks = strings.map(ear).transpose()?;
        Ok(())
    }

    /// Goes on with a latency that was measured in the meantime, and with the clocks as the measurement left them.
    ///
    /// # Errors
    /// The microphone runs at a rate that nothing can be heard at.
    pub fn go_on_with(&mut self, latency: Latency, clocks: TwoClocks) -> Result<(), MicrophoneError> {
        self.latency = Some(latency);
        self.joiner = joined(&self.ears, &self.pair, self.latency)?;
        self.joiner.use_clocks(clocks);
        Ok(())
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
    pub fn poll(
        &mut self,
        overhearing: Option<&mut Overhearing>,
        tell: &mut dyn FnMut(News),
    ) -> Result<Ear, KeepingError> {
        if let Some(overhearing) = overhearing {
            self.overhear(overhearing, tell);
        }
        let mut kept = Ok(());
        while let Some(block) = self.microphone.next_block() {
            if let Some(keeping) = &mut self.keeping
                && kept.is_ok()
            {
                kept = keeping.add(block.samples);
            }
            self.joiner.hear(&block, tell);
            if let Some(plucks) = &mut self.plucks {
                plucks.hear(block.samples, &mut |news| tell(News::Single(news)));
            }
        }
        if kept.is_err() {
            self.keeping = None;
        }
        kept.map(|()| self.look_after_the_microphone())
    }

    fn overhear(&mut self, overhearing: &mut Overhearing, tell: &mut dyn FnMut(News)) {
        while let Some(mark) = overhearing.next_clock_mark() {
            self.joiner.note_output(mark, tell);
        }
        // The samples themselves are not needed here.
        while overhearing.monitor().next_block().is_some() {}
        while let Some(played) = overhearing.monitor().next_sound() {
            self.joiner.note_played(played);
        }
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
                let latency = self.latency.map(|latency| latency.seconds);
                let is_back =
                    self.microphone.reopen().is_ok() && self.joiner.go_on_with(self.microphone.rate(), latency);
                if !is_back {
                    return Ear::Missing;
                }
                self.lost = None;
                let strings = self.plucks.as_ref().map(|plucks| plucks.strings().clone());
                if self.listen_to_single(strings).is_err() {
                    return Ear::Missing;
                }
                Ear::PickedUp
            }
        }
    }
}

fn pair_of(loudspeaker: &Loudspeaker, (input, input_rate): (String, SampleRate)) -> DevicePair {
    DevicePair { output: loudspeaker.name.clone(), output_rate: loudspeaker.overhearing.rate(), input, input_rate }
}

fn joined(ears: &Ears, pair: &DevicePair, latency: Option<Latency>) -> Result<Joiner, MicrophoneError> {
    let latency = latency.map(|latency| latency.seconds);
    Joiner::new(pair.output_rate, pair.input_rate, latency, &[], ears.route)
        .ok_or(MicrophoneError::Rate { found: pair.input_rate.get() })
}
