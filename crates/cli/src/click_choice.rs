//! Which of our clicks.

use clap::ValueEnum;
use leverlane_sound::ClickSound;

/// A click as it is called on the command line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum ClickChoice {
    /// 1 to 2 kHz
    #[default]
    Usual,
    /// 9.5 kHz, which many people don't hear, and 12 dB softer: a recording is heard better through it
    High,
}

impl ClickChoice {
    /// Its sound.
    pub fn sound(self) -> ClickSound {
        match self {
            ClickChoice::Usual => ClickSound::Usual,
            ClickChoice::High => ClickSound::High,
        }
    }
}
