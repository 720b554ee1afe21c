//! What the player has chosen: her harp, her hands, the tempo she wants, and what she wants to hear.

use leverlane_core::harp::{Harp, Preset, Tuning};
use leverlane_core::plan::{Edit, PaceLevel};
use leverlane_core::score::Hand;
use leverlane_core::time::Tempo;

/// The harp she plays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HarpChoice {
    /// Its range.
    pub preset: Preset,
    /// How its open strings are tuned.
    pub tuning: Tuning,
}

impl HarpChoice {
    /// The harp itself.
    pub fn harp(self) -> Harp {
        self.preset.tuned(self.tuning)
    }
}

impl Default for HarpChoice {
    /// 34 strings in E♭ tuning, the commonest fully levered harp (common practice).
    fn default() -> Self {
        let preset = Preset::with_strings(34).unwrap_or(Preset::ALL[0]);
        HarpChoice { preset, tuning: Tuning::EFlat }
    }
}

/// All of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wishes {
    /// Her harp.
    pub harp: HarpChoice,
    /// How fast her hands are.
    pub pace: PaceLevel,
    /// The tempo the plan must hold at; none until a piece has been opened or she has named one.
    pub goal: Option<Tempo>,
    /// What she has decided about single flips.
    pub edits: Vec<Edit>,
    /// What she hears.
    pub mix: Mix,
}

/// Something that can be made louder or softer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Voice {
    /// The click on the beats.
    Click,
    /// The tone on the flip beat.
    Cue,
    /// The plucked notes.
    Notes,
}

impl Voice {
    /// Click, cue, notes.
    pub const ALL: [Voice; 3] = [Voice::Click, Voice::Cue, Voice::Notes];
}

/// A loudness from 0 (off) to 10 (full).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Level(u8);

impl Level {
    /// The loudest.
    pub const FULL: Level = Level(10);

    /// So many tenths of full, at most 10.
    pub fn tenths(tenths: u8) -> Level {
        Level(tenths.min(10))
    }

    /// In tenths of full.
    pub const fn in_tenths(self) -> u8 {
        self.0
    }

    /// So many tenths louder (or softer, below 0), within the range.
    pub fn changed_by(self, tenths: i8) -> Level {
        Level::tenths(self.0.saturating_add_signed(tenths))
    }
}

/// How loud each voice is, and which hands are heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mix {
    /// The click.
    pub click: Level,
    /// The cue tone.
    pub cue: Level,
    /// The plucked notes.
    pub notes: Level,
    /// Whether the left hand's notes are heard.
    pub left_heard: bool,
    /// Whether the right hand's notes are heard.
    pub right_heard: bool,
}

impl Default for Mix {
    /// Half-way and below: nobody should be startled through headphones.
    fn default() -> Self {
        Mix {
            click: Level::tenths(5),
            cue: Level::tenths(6),
            notes: Level::tenths(6),
            left_heard: true,
            right_heard: true,
        }
    }
}

impl Mix {
    /// How loud a voice is.
    pub fn level(&self, voice: Voice) -> Level {
        match voice {
            Voice::Click => self.click,
            Voice::Cue => self.cue,
            Voice::Notes => self.notes,
        }
    }

    /// Makes a voice so loud.
    pub fn set_level(&mut self, voice: Voice, level: Level) {
        match voice {
            Voice::Click => self.click = level,
            Voice::Cue => self.cue = level,
            Voice::Notes => self.notes = level,
        }
    }

    /// Whether a hand's notes are heard.
    pub fn hears(&self, hand: Hand) -> bool {
        match hand {
            Hand::Left => self.left_heard,
            Hand::Right => self.right_heard,
        }
    }

    /// Silences a hand, or brings it back.
    pub fn switch(&mut self, hand: Hand) {
        match hand {
            Hand::Left => self.left_heard = !self.left_heard,
            Hand::Right => self.right_heard = !self.right_heard,
        }
    }
}
