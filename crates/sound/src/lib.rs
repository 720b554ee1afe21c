//! The sound of a drill: count-in, click, cue tone and plucked strings, each on its exact sample.
//!
//! ```text
//! Timeline ─→ Program ─→ Controls ══ rings ══→ Renderer ─→ device (Player) or samples (offline)
//!                           ▲                     │
//!                           └────── Position ─────┘
//! ```
//!
//! One [`Renderer`] makes every sample. It counts them, and everything that sounds is placed by that count: a time is
//! turned into a sample index once, exactly, and never added up from rounded parts. The device's thread and
//! [`offline`] run the very same renderer. It neither allocates nor frees nor locks; it is spoken to through bounded
//! rings by its [`Controls`], from which the window also learns where the music is.
//!
//! [`Player`] joins controls to the machine's sound device.

pub mod capture;
mod click;
pub mod clocks;
mod command;
mod controls;
mod cue_tone;
mod device_state;
mod error;
pub mod latency;
mod limiter;
mod mix;
mod monitor;
pub mod offline;
mod one_shot;
mod output;
mod player;
mod plucked_voice;
mod program;
mod renderer;
mod sample_clock;
mod sequencer;
mod spoken;
mod strings;
mod terminal;
mod tone;

pub use click::{Click, ClickSound};
pub use command::{Repeat, Stamp};
pub use controls::{Controls, Position, monitored_pair, pair};
pub use error::{ControlsFull, DeviceLoss, MicrophoneError, MicrophoneLoss, SoundError, WavError};
pub use mix::{Mix, Volume};
pub use monitor::{Monitor, Overhearing, Played, PlayedBlock, Sounding, waveform};
pub use player::{Player, Troubles};
pub use program::Program;
pub use renderer::Renderer;
pub use sample_clock::{SampleIndex, SampleRate};
pub use terminal::away_from_terminal;
