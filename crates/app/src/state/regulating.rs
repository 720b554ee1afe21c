//! What is done with harp and ear alone: the lever check, which walks along the strings and measures by how much each
//! lever raises its own, and the tuner.

use std::collections::BTreeMap;

use leverlane_core::harp::{Harp, HarpString, Lever, LeverState, StringNumber};
use leverlane_core::pitch::{Cents, Hertz};
use leverlane_hearing::{MeasuredPluck, RaiseBand, StringFinding, StringTuning, Tuner, TunerReading};

/// How far from what is asked for a pluck may sound and still be taken for it: less than half of what a lever makes.
const TAKEN_WITHIN: f64 = 60.0;
/// Plucks of one string by which the tuner goes.
const MOST_HEARD: usize = 3;

/// What A4 is tuned to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConcertPitch(Hertz);

impl Default for ConcertPitch {
    fn default() -> ConcertPitch {
        ConcertPitch(Hertz::A4)
    }
}

impl ConcertPitch {
    /// From the lowest in use to the highest (common practice: 415 Hz for early music, 392 as its lowest; 466 its highest).
    pub const RANGE: std::ops::RangeInclusive<f64> = 380.0..=480.0;

    /// So many hertz, as far as that is in use.
    pub fn of(hertz: f64) -> Option<ConcertPitch> {
        Hertz::new(hertz).filter(|hertz| ConcertPitch::RANGE.contains(&hertz.get())).map(ConcertPitch)
    }

    /// In hertz.
    pub fn hertz(self) -> Hertz {
        self.0
    }
}

/// The lever check and the tuner, each as it stands. They go on where they were when their page is opened again.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RegulatingDesk {
    /// The lever check; none before the first, or once the harp is another one.
    pub check: Option<LeverCheck>,
    /// The tuner.
    pub tuner: TunerDesk,
    /// Whether single strings are listened to just now.
    pub listens: bool,
    /// Whether the microphone was opened for this, so that it is closed again afterwards.
    pub opened_ear: bool,
}

/// How often each string is plucked in either state.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PlucksEach {
    /// Once: by 95 of 100 strings within 3.3 cents (simulated).
    #[default]
    One,
    /// Three times: within 1.8.
    Three,
}

impl PlucksEach {
    /// Both.
    pub const ALL: [PlucksEach; 2] = [PlucksEach::One, PlucksEach::Three];

    /// The number.
    pub const fn count(self) -> usize {
        match self {
            PlucksEach::One => 1,
            PlucksEach::Three => 3,
        }
    }
}

/// What is asked of the player.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// To pluck this string with its lever so.
    Pluck(StringNumber, LeverState),
    /// Nothing more: every string that has a lever was asked for.
    Nothing,
}

/// A pluck that was not what was asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Misheard {
    /// The string as it sounds with its lever down, which was asked for up.
    StillDown,
    /// Something else.
    Other(Hertz),
}

/// The plucks of one string.
#[derive(Clone, Debug, Default, PartialEq)]
struct Plucks {
    open: Vec<MeasuredPluck>,
    raised: Vec<MeasuredPluck>,
}

/// A walk along the strings that have levers, from the bass up: each open, then raised.
#[derive(Clone, Debug, PartialEq)]
pub struct LeverCheck {
    /// How often each is plucked.
    pub each: PlucksEach,
    /// What is asked for just now.
    pub asked: Asked,
    /// The last pluck, if it was not that.
    pub misheard: Option<Misheard>,
    /// The harp as it was when the check began.
    harp: Harp,
    plucks: BTreeMap<StringNumber, Plucks>,
}

impl LeverCheck {
    /// At the lowest string that has a lever.
    pub fn new(harp: Harp, each: PlucksEach) -> LeverCheck {
        let mut check = LeverCheck { each, asked: Asked::Nothing, misheard: None, harp, plucks: BTreeMap::new() };
        let lowest = check.fitted().last();
        if let Some(lowest) = lowest {
            check.ask(lowest);
        }
        check
    }

    /// Whether it is a check of this harp, whatever its levers were found to raise meanwhile.
    pub fn is_of(&self, harp: &Harp) -> bool {
        let same = |(own, other): (&HarpString, &HarpString)| {
            own.open == other.open && own.lever.is_fitted() == other.lever.is_fitted()
        };
        let (own, others) = (self.harp.strings(), harp.strings());
        own.len() == others.len() && own.iter().zip(others).all(same)
    }

    /// The strings that have levers, from the top.
    fn fitted(&self) -> impl Iterator<Item = StringNumber> + '_ {
        self.harp.numbered().filter(|(_, string)| string.lever.is_fitted()).map(|(number, _)| number)
    }

    /// By how much the string was raised when it was last checked.
    pub fn before(&self, string: StringNumber) -> Option<Cents> {
        match self.harp.string(string)?.lever {
            Lever::Fitted { measured } => measured,
            Lever::NotFitted => None,
        }
    }

    /// Asks for a string from its beginning.
    pub fn ask(&mut self, string: StringNumber) {
        if !self.harp.string(string).is_some_and(|string| string.lever.is_fitted()) {
            return;
        }
        self.plucks.remove(&string);
        self.asked = Asked::Pluck(string, LeverState::Down);
        self.misheard = None;
    }

    /// Asks for the next string that has a lever, towards the top; at the end for nothing more.
    pub fn ask_next(&mut self) {
        let Asked::Pluck(string, _) = self.asked else { return };
        let next = self.fitted().filter(|number| *number < string).last();
        self.asked = next.map_or(Asked::Nothing, |next| Asked::Pluck(next, LeverState::Down));
        self.misheard = None;
    }

    /// Asks for the string before once more.
    pub fn ask_before(&mut self) {
        let asked = self.asked;
        let before = self.fitted().find(|number| match asked {
            Asked::Pluck(string, _) => *number > string,
            Asked::Nothing => true,
        });
        if let Some(before) = before {
            self.ask(before);
        }
    }

    /// How many more plucks of what is asked for.
    pub fn left(&self) -> usize {
        let had = match self.asked {
            Asked::Pluck(string, state) => self.plucks.get(&string).map_or(0, |plucks| match state {
                LeverState::Down => plucks.open.len(),
                LeverState::Up => plucks.raised.len(),
            }),
            Asked::Nothing => return 0,
        };
        self.each.count().saturating_sub(had)
    }

    /// Takes a pluck: of what was asked for, or not.
    pub fn take(&mut self, concert_pitch: Hertz, pluck: MeasuredPluck) {
        let Asked::Pluck(number, state) = self.asked else { return };
        let Some(string) = self.harp.string(number) else { return };
        let is_near = |state: LeverState| {
            let sounds = Hertz::of_note(string.sounds(state).midi(), concert_pitch);
            pluck.hertz.above(sounds).get().abs() <= TAKEN_WITHIN
        };
        // Both are near where a lever does only half its work; then it is what was asked for.
        if !is_near(state) {
            let still_down = state == LeverState::Up && is_near(LeverState::Down);
            self.misheard = Some(if still_down { Misheard::StillDown } else { Misheard::Other(pluck.hertz) });
            return;
        }
        self.misheard = None;
        let plucks = self.plucks.entry(number).or_default();
        match state {
            LeverState::Down => plucks.open.push(pluck),
            LeverState::Up => plucks.raised.push(pluck),
        }
        if self.left() == 0 {
            match state {
                LeverState::Down => self.asked = Asked::Pluck(number, LeverState::Up),
                LeverState::Up => self.ask_next(),
            }
        }
    }

    /// What was found about a string, once anything was.
    pub fn finding(&self, string: StringNumber) -> Option<StringFinding> {
        let (plucks, known) = (self.plucks.get(&string)?, self.harp.string(string)?);
        Some(StringFinding::of(string, &known.sound, &plucks.open, &plucks.raised))
    }

    /// By how much a lever was found to raise its string.
    pub fn raise(&self, string: StringNumber) -> Option<Cents> {
        self.finding(string)?.raise()
    }

    /// Everything that was measured in both states, from the bass up.
    pub fn raises(&self) -> impl Iterator<Item = (StringFinding, Cents, RaiseBand)> + '_ {
        let found = self.plucks.keys().rev().filter_map(|string| self.finding(*string));
        found.filter_map(|finding| finding.raise().map(|raise| (finding, raise, RaiseBand::of(raise))))
    }
}

/// The tuner.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TunerDesk {
    /// What the last pluck said; none before the first.
    pub last: Option<TunerReading>,
    heard: BTreeMap<StringNumber, Vec<Hertz>>,
}

impl TunerDesk {
    /// Takes a pluck.
    pub fn take(&mut self, tuner: &Tuner, pluck: MeasuredPluck) {
        let reading = tuner.read(pluck.hertz);
        if let TunerReading::Known(StringTuning { string, .. }) = reading {
            let heard = self.heard.entry(string).or_default();
            heard.push(pluck.hertz);
            let excess = heard.len().saturating_sub(MOST_HEARD);
            heard.drain(..excess);
        }
        self.last = Some(reading);
    }

    /// How a string was tuned when it was last plucked.
    pub fn tuning(&self, tuner: &Tuner, string: StringNumber) -> Option<StringTuning> {
        let hertz = *self.heard.get(&string)?.last()?;
        let target = tuner.targets().iter().find(|(number, _)| *number == string)?.1;
        Some(StringTuning { string, target, hertz })
    }
}
