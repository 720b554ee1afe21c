//! Cues that fade as the player succeeds, and come back when she fails.

use super::ladder::PassResult;

/// What is cued, most first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CueLevel {
    /// Look cues, spoken count and flip, cue tone and click.
    #[default]
    Everything,
    /// The cue tone and the click.
    ToneOnly,
    /// The click.
    ClickOnly,
    /// The click in every other bar, beginning with the first.
    ClickEveryOtherBar,
    /// Nothing after the count-in.
    CountInOnly,
}

impl CueLevel {
    /// Most first.
    pub const ALL: [CueLevel; 5] = [
        CueLevel::Everything,
        CueLevel::ToneOnly,
        CueLevel::ClickOnly,
        CueLevel::ClickEveryOtherBar,
        CueLevel::CountInOnly,
    ];

    /// Whether looks are cued and flips spoken.
    pub fn shows_looks(self) -> bool {
        self == CueLevel::Everything
    }

    /// Whether the cue tone sounds on the flip beat.
    pub fn sounds_tone(self) -> bool {
        self <= CueLevel::ToneOnly
    }

    /// Whether a bar of the pass, counted from 0, is clicked.
    pub fn clicks_in_bar(self, bar: usize) -> bool {
        match self {
            CueLevel::Everything | CueLevel::ToneOnly | CueLevel::ClickOnly => true,
            CueLevel::ClickEveryOtherBar => bar.is_multiple_of(2),
            CueLevel::CountInOnly => false,
        }
    }

    /// One level less.
    pub fn less(self) -> CueLevel {
        self.by(1)
    }

    /// One level more.
    pub fn more(self) -> CueLevel {
        self.by(-1)
    }

    fn by(self, steps: isize) -> CueLevel {
        let place = CueLevel::ALL.iter().position(|&level| level == self).unwrap_or(0);
        let place = place.saturating_add_signed(steps).min(CueLevel::ALL.len() - 1);
        CueLevel::ALL[place]
    }
}

/// Whether cues fade by themselves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Fading {
    /// They do.
    #[default]
    ByItself,
    /// The player holds them where they are.
    Held,
}

/// Clean passes running after which one level fades (a working value of ours).
pub const CLEAN_TO_FADE: u8 = 2;

/// How much is cued now.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cueing {
    level: CueLevel,
    fading: Fading,
    clean: u8,
}

impl Cueing {
    /// At a level.
    pub fn at(level: CueLevel, fading: Fading) -> Cueing {
        Cueing { level, fading, clean: 0 }
    }

    /// What is cued in the next pass.
    pub fn level(&self) -> CueLevel {
        self.level
    }

    /// Whether it fades by itself.
    pub fn fading(&self) -> Fading {
        self.fading
    }

    /// Chooses a level.
    pub fn choose(&mut self, level: CueLevel) {
        *self = Cueing::at(level, self.fading);
    }

    /// Holds the cues, or lets them go again.
    pub fn use_fading(&mut self, fading: Fading) {
        *self = Cueing::at(self.level, fading);
    }

    /// Counts a pass: after two clean ones running a level fades, after a miss one returns. A faster tempo alone brings
    /// nothing back.
    pub fn pass_over(&mut self, result: PassResult) {
        if self.fading == Fading::Held {
            return;
        }
        match result {
            PassResult::Unheard => {}
            PassResult::Missed => *self = Cueing::at(self.level.more(), self.fading),
            PassResult::Clean => {
                self.clean += 1;
                if self.clean >= CLEAN_TO_FADE {
                    *self = Cueing::at(self.level.less(), self.fading);
                }
            }
        }
    }
}
