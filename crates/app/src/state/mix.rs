//! What the player hears, and how loud.

use leverlane_core::score::Hand;
use leverlane_sound::ClickSound;

/// Something that can be made louder or softer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Voice {
    /// The click on the beats.
    Click,
    /// The tone on the flip beat.
    Cue,
    /// The plucked notes.
    Notes,
    /// The cue line.
    Guide,
}

impl Voice {
    /// Click, cue, notes, cue line.
    pub const ALL: [Voice; 4] = [Voice::Click, Voice::Cue, Voice::Notes, Voice::Guide];
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

/// How loud each voice is, what the click sounds like, and which hands are heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mix {
    /// The click.
    pub click: Level,
    /// Its sound.
    pub click_sound: ClickSound,
    /// The cue tone.
    pub cue: Level,
    /// The plucked notes.
    pub notes: Level,
    /// The cue line.
    pub guide: Level,
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
            click_sound: ClickSound::Usual,
            cue: Level::tenths(6),
            notes: Level::tenths(6),
            guide: Level::tenths(4),
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
            Voice::Guide => self.guide,
        }
    }

    /// Makes a voice so loud.
    pub fn set_level(&mut self, voice: Voice, level: Level) {
        match voice {
            Voice::Click => self.click = level,
            Voice::Cue => self.cue = level,
            Voice::Notes => self.notes = level,
            Voice::Guide => self.guide = level,
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
