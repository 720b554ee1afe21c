//! Everything that can be asked of the window: by a button, a key, a pedal, or by a thread that has finished.
//!
//! Each part of the window has intents of its own, nested here, and its own file under [`crate::apply`].

mod diary;
mod drill;
mod file;
mod harp;
mod listening;
mod midi;
mod plan;
mod practice;
mod regulating;
mod score;
mod settings;

pub use diary::DiaryIntent;
pub use drill::{DrillIntent, LoopEnd};
pub use file::{Answer, FileIntent};
pub use harp::{Fitting, HarpIntent};
pub use listening::ListeningIntent;
pub use midi::{Foot, MidiIntent};
pub use plan::{Direction, PlanIntent};
pub use practice::{LadderSetUp, PracticeIntent};
pub use regulating::RegulatingIntent;
pub use score::ScoreIntent;
pub use settings::SettingsIntent;

use crate::state::{Place, Sheet};
use leverlane_formats::Said;

/// One thing asked.
#[derive(Clone, Debug)]
pub enum Intent {
    /// Go to one of the four places.
    Go(Place),
    /// About opening and saving.
    File(FileIntent),
    /// About the plan and the player's decisions.
    Plan(PlanIntent),
    /// About her harp.
    Harp(HarpIntent),
    /// About the lever check and the tuner.
    Regulating(RegulatingIntent),
    /// About the flip that is drilled and its loop.
    Drill(DrillIntent),
    /// About the engraved score.
    Score(ScoreIntent),
    /// About practice on a ladder.
    Practice(PracticeIntent),
    /// About the microphone.
    Listening(ListeningIntent),
    /// About pedals that speak MIDI.
    Midi(MidiIntent),
    /// About the diary.
    Diary(DiaryIntent),
    /// What the sound device has to say.
    Sound(SoundNews),
    /// Something failed that the player should know of.
    Trouble(Said),
    /// About what holds for every piece.
    Settings(SettingsIntent),
    /// Put a page in front, or away where it is in front.
    Switch(Sheet),
    /// Put away the page in front.
    CloseSheet,
    /// Take the message away.
    DismissNotice,
    /// Take the remark that there is no sound away; it comes again only for another reason.
    DismissSilence,
    /// Put a text on the clipboard.
    Copy(String),
}

/// What the sound device has to say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SoundNews {
    /// There is one.
    Ready,
    /// There is none, for this reason; everything else goes on.
    Missing(Said),
    /// It broke off, for this reason.
    Lost(Said),
}
