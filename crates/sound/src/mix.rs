//! How loud each kind of sound is.

use leverlane_core::score::Hand;

/// A loudness setting: 0 (silent) to 100 (as loud as it gets) per cent.
///
/// The amplitude grows with its square, so that equal steps sound about equally large (common practice for faders).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Volume(u8);

impl Volume {
    /// Nothing is heard.
    pub const SILENT: Volume = Volume(0);
    /// Everything there is.
    pub const FULL: Volume = Volume(100);

    /// A setting; above 100 per cent it is 100.
    pub const fn percent(percent: u8) -> Volume {
        Volume(if percent > 100 { 100 } else { percent })
    }

    /// The setting in per cent.
    pub const fn get(self) -> u8 {
        self.0
    }

    /// The factor on the amplitude, 0 to 1.
    pub(crate) fn amplitude(self) -> f32 {
        let part = f32::from(self.0) / 100.0;
        part * part
    }
}

/// The volumes of everything that sounds. A hand is muted by its volume [`Volume::SILENT`].
///
/// The default is moderate, 70 per cent each: half the full amplitude. No setting protects the ears by itself; that
/// is up to the device's own volume (85 dBA for 8 hours is the usual limit, halved for every 3 dB more: NIOSH).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mix {
    /// The click.
    pub click: Volume,
    /// The cue tone, and what is spoken.
    pub cue: Volume,
    /// The notes of the left hand.
    pub left_hand: Volume,
    /// The notes of the right hand.
    pub right_hand: Volume,
    /// The cue line.
    pub guide: Volume,
}

impl Default for Mix {
    fn default() -> Mix {
        let moderate = Volume(70);
        Mix { click: moderate, cue: moderate, left_hand: moderate, right_hand: moderate, guide: moderate }
    }
}

impl Mix {
    /// The volume of a hand's notes.
    pub fn hand(&self, hand: Hand) -> Volume {
        match hand {
            Hand::Left => self.left_hand,
            Hand::Right => self.right_hand,
        }
    }
}
