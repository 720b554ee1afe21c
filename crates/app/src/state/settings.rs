//! What holds for every piece: kept in the platform's place for settings.

use std::path::PathBuf;

use leverlane_core::verdict::Thresholds;
use leverlane_listening::Route;

use super::{ConcertPitch, Mix};
use crate::keys::Keys;
use crate::words::Words;

/// The player's settings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// Language, names of notes, octaves.
    pub words: Words,
    /// Light or dark.
    pub colours: Colours,
    /// From which side she sees her harp.
    pub side: Side,
    /// How much moves.
    pub movement: Movement,
    /// How far away she sits.
    pub distance: Distance,
    /// What she hears.
    pub mix: Mix,
    /// What she is heard with.
    pub ears: EarSettings,
    /// The MIDI device by whose pedals she works the Drill.
    pub midi_pedal: Option<String>,
    /// Whether the beat can be seen.
    pub pulse: Pulse,
    /// What A4 is tuned to.
    pub concert_pitch: ConcertPitch,
    /// What counts as steady; none is by the level of her hands.
    pub limits: Option<Thresholds>,
    /// Which key does what.
    pub keys: Keys,
    /// Where the window was when it was closed; none before the first time.
    pub window: Option<WindowPlace>,
    /// Pieces opened or saved before, newest first.
    pub recent: Vec<PathBuf>,
}

/// A window's place on the screen, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindowPlace {
    /// Its width and height, without its frame.
    pub size: [f32; 2],
    /// Its upper left corner; none where the system keeps that to itself.
    pub corner: Option<[f32; 2]>,
    /// Whether it fills the screen; the size is then the one that it goes back to.
    pub filling: Filling,
}

/// Whether the window fills the screen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Filling {
    /// It has a size of its own.
    #[default]
    OwnSize,
    /// It was made as large as the screen.
    Screen,
}

/// Light or dark colours.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Colours {
    /// As the desktop has them.
    #[default]
    AsSystem,
    /// For daylight.
    Light,
    /// For the evening.
    Dark,
}

impl Colours {
    /// All choices.
    pub const ALL: [Colours; 3] = [Colours::AsSystem, Colours::Light, Colours::Dark];
}

/// From which side the harp is pictured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Side {
    /// Bass at the left, as notes stand on a keyboard.
    #[default]
    BassLeft,
    /// Bass at the right.
    BassRight,
}

impl Side {
    /// Both.
    pub const ALL: [Side; 2] = [Side::BassLeft, Side::BassRight];
}

/// How much moves on screen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Movement {
    /// The strip glides under the present moment.
    #[default]
    Gliding,
    /// The strip stands still; a line steps from beat to beat.
    Stepping,
}

impl Movement {
    /// Both.
    pub const ALL: [Movement; 2] = [Movement::Gliding, Movement::Stepping];
}

/// How far from the screen the player sits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Distance {
    /// At a desk.
    #[default]
    Near,
    /// At the harp: the Drill shows the next flip and the count alone, very large.
    Far,
}

impl Distance {
    /// Both.
    pub const ALL: [Distance; 2] = [Distance::Near, Distance::Far];
}

/// What the player is heard with, once she opens the microphone.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EarSettings {
    /// The microphone; none is whichever the system has as its usual one.
    pub microphone: Option<KnownMicrophone>,
    /// Whether it hears the loudspeaker, or she wears headphones.
    pub route: Route,
}

/// A microphone that was chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownMicrophone {
    /// The name to remember it by.
    pub id: String,
    /// The name to show.
    pub shown: String,
}

/// Whether the beat can be seen as well as heard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Pulse {
    /// It is heard alone.
    #[default]
    Hidden,
    /// A mark swings from beat to beat.
    Shown,
}

/// More recent pieces than this are forgotten.
const MOST_RECENT: usize = 10;

impl Settings {
    /// Puts a file at the head of the recent ones.
    pub fn remember_file(&mut self, path: PathBuf) {
        self.recent.retain(|known| *known != path);
        self.recent.insert(0, path);
        self.recent.truncate(MOST_RECENT);
    }
}
