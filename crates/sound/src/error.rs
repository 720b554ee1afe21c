//! What can go wrong with sound.

use std::path::PathBuf;

/// A sound device that can't be used. Everything but sound works without one.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SoundError {
    /// The machine has no device, or its sound system doesn't answer.
    #[error(
        "no sound device could be opened ({reason}): everything but sound works; connect one, or start the sound system, and try again"
    )]
    NoDevice {
        /// What the system said.
        reason: String,
    },
    /// A device with a sample rate that is not rendered.
    #[error("the sound device runs at {found} samples a second, expected 8,000 to 768,000: choose another device")]
    Rate {
        /// The device's rate.
        found: u32,
    },
}

/// A microphone that can't be used. Everything but listening works without one.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MicrophoneError {
    /// The machine has none, or its sound system doesn't answer.
    #[error(
        "no microphone could be opened ({reason}): everything but listening works; connect one, or mark passes yourself"
    )]
    NoMicrophone {
        /// What the system said.
        reason: String,
    },
    /// The system doesn't let the program listen.
    #[error(
        "the system refused the microphone ({reason}): allow Leverlane to use it in the system's privacy settings, then try again"
    )]
    Refused {
        /// What the system said.
        reason: String,
    },
    /// Another program holds it.
    #[error("the microphone is in use by another program ({reason}): close that program, or choose another microphone")]
    Busy {
        /// What the system said.
        reason: String,
    },
    /// No device of that name.
    #[error("no microphone is called \u{201c}{name}\u{201d} just now: connect it, or choose one of {found}")]
    NotFound {
        /// The name that was asked for.
        name: String,
        /// The names there are, in one line.
        found: String,
    },
    /// A rate that nothing can be heard at.
    #[error("the microphone runs at {found} samples a second, expected 8,000 to 768,000: choose another microphone")]
    Rate {
        /// The device's rate.
        found: u32,
    },
}

/// Why a microphone no longer delivers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MicrophoneLoss {
    /// It is gone.
    #[error("the microphone is gone: connect it again or choose another; it is picked up by itself")]
    Gone,
    /// Its settings have changed under us.
    #[error("the microphone has changed its settings: it is opened anew by itself")]
    Changed,
    /// It delivers nothing any more.
    #[error("the microphone has stopped delivering sound: it is opened anew by itself")]
    Stopped,
}

/// Too much at once for the renderer: it has not yet taken up what it was told before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the sound thread has not yet taken up earlier commands: try again in a moment")]
pub struct ControlsFull;

/// Why a device no longer plays.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DeviceLoss {
    /// It is gone.
    #[error("the sound device is gone: connect it again or choose another, then start again")]
    Gone,
    /// Its settings have changed under us.
    #[error("the sound device has changed its settings: start again")]
    Changed,
    /// Anything else that ended the stream.
    #[error("the sound device has stopped: start again")]
    Stopped,
}

/// A sound file that can't be written.
#[derive(Debug, thiserror::Error)]
#[error("{}: can't be written: {source}", path.display())]
pub struct WavError {
    /// The file.
    pub path: PathBuf,
    /// What the system said.
    pub source: hound::Error,
}
