//! What can be asked about listening, and what the listener has to say.

use leverlane_listening::Told;

use super::Intent;
use crate::state::{HeardPass, KnownMicrophone};

/// One thing asked or told about listening.
#[derive(Clone, Debug)]
pub enum ListeningIntent {
    /// Open the microphone, or close it.
    Switch,
    /// Listen with this microphone; with none, the usual one.
    UseMicrophone(Option<KnownMicrophone>),
    /// She has headphones on, or has taken them off.
    SwitchHeadphones,
    /// See which microphones there are.
    LookForMicrophones,
    /// Measure how long sound takes through loudspeaker, room and microphone.
    Measure,
    /// Measure it by her taps along with a click, where the microphone can't hear the loudspeaker.
    MeasureByTaps,
    /// Show the beat, or don't.
    SwitchPulse,
    /// There is no sound device, so nothing can be listened to.
    NoSound,
    /// There is no thread left to listen on.
    NoThread,
    /// What the listener says.
    Told(Told),
    /// What it heard of a pass.
    Heard(HeardPass),
}

impl From<ListeningIntent> for Intent {
    fn from(intent: ListeningIntent) -> Intent {
        Intent::Listening(intent)
    }
}
