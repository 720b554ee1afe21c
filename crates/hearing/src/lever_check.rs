//! The lever check: each string open and then raised, and the interval between.
//!
//! The player walks along her strings, all or some, from either end: the string open, once or a few times, then its lever
//! up and the string again, quiet between. A raised string often sounds what its neighbour sounds open (E♯ and F), so the
//! plucks are read in their order: which string a pluck was follows from those before and after it.

use leverlane_core::harp::{Harp, HarpString, Lever, LeverState, Rattle, Stiffness, StringNumber, StringSound, Timbre};
use leverlane_core::pitch::{Cents, Hertz};
use leverlane_core::time::Seconds;

use crate::clock::{SampleIndex, SampleRate};
use crate::lever_reading::{numbers, stiff_partial};
use crate::partial_fit::PartialFit;
use crate::recent::{Excerpt, Sound};
use crate::spectrum::Spectrum;
use crate::string_pitch::PitchReader;

/// How long after the pluck measuring begins: a pluck glides by some cents.
const AFTER_PLUCK: Seconds = Seconds::new(0.060);
/// How long a stretch is measured.
const STRETCH: Seconds = Seconds::new(0.372);
/// How far from its pitch a string may be tuned to be known by it.
const KNOWN_WITHIN: f64 = 60.0;
/// Partials that disagree by more than this belong to several strings.
const MOST_DISAGREEMENT: f64 = 15.0;
/// When after the pluck its partials are measured: when they are listened to in a passage too.
const AFTER_PLUCK_PARTIALS: Seconds = Seconds::new(0.005);
/// A partial is looked for so far beside its place, so many cents apart.
const BESIDE_PARTIAL: f64 = 10.0;
const STEP_CENTS: f64 = 2.5;
/// When after the pluck the rattle of a buzzing string is looked for, and how long.
const LATE: (Seconds, Seconds) = (Seconds::new(0.25), Seconds::new(0.2));
/// Where it rattles, in hertz.
const RATTLE_HZ: (f64, f64) = (2_500.0, 9_000.0);
/// How much more of it than when the string was known not to buzz makes it suspect (6 dB), and a raised string that was never
/// listened to before, against the open one (12 dB). Found by trial on the strings of a sound font.
const RATTLES_MORE: f64 = 2.0;
const RATTLES_MORE_THAN_OPEN: f64 = 4.0;
/// Below these shares of the sound it is not heard at all.
const LEAST_RATTLE: f64 = 0.005;
const LEAST_RATTLE_NEVER_HEARD: f64 = 0.02;

/// How well a lever raises its string by a semitone (bands of common practice; between 7 and 10 cents it names none).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RaiseBand {
    /// Within 3 cents.
    Good,
    /// 3 to 7 cents off.
    Tolerable,
    /// 7 to 10 cents off.
    Doubtful,
    /// More than 10 cents off.
    NeedsRegulation,
}

impl RaiseBand {
    /// The band of a raise.
    pub fn of(raise: Cents) -> RaiseBand {
        match (raise.get() - Cents::SEMITONE.get()).abs() {
            off if off <= 3.0 => RaiseBand::Good,
            off if off <= 7.0 => RaiseBand::Tolerable,
            off if off <= 10.0 => RaiseBand::Doubtful,
            _ => RaiseBand::NeedsRegulation,
        }
    }
}

/// Whether a string rattles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BuzzHint {
    /// Nothing of it was heard, which does not mean that there is none.
    NotHeard,
    /// It may buzz: it rattles more than it did when its levers were last checked, or, raised for the first time, than when
    /// open.
    MayBuzz,
}

/// What was found about one string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StringFinding {
    /// The string.
    pub string: StringNumber,
    /// Its pitch open: the median of its plucks.
    pub open: Option<Hertz>,
    /// Its pitch raised.
    pub raised: Option<Hertz>,
    /// Whether it rattles when open; none where it was not plucked so, or never before.
    pub open_buzz: Option<BuzzHint>,
    /// Whether it rattles when raised; none where it was not plucked so, or there is nothing to compare with.
    pub buzz: Option<BuzzHint>,
    /// How it sounds in either state: the mean of its plucks.
    pub sound: StringSound,
}

impl StringFinding {
    /// What plucks of one string say, which sounded as it is `known` to when its levers were last checked.
    pub fn of(
        string: StringNumber,
        known: &StringSound,
        open: &[MeasuredPluck],
        raised: &[MeasuredPluck],
    ) -> StringFinding {
        let pitch =
            |plucks: &[MeasuredPluck]| median(plucks.iter().map(|pluck| pluck.hertz.get())).and_then(Hertz::new);
        let timbre =
            |plucks: &[MeasuredPluck]| Timbre::mean(&plucks.iter().map(|pluck| pluck.timbre).collect::<Vec<Timbre>>());
        let rattle =
            |plucks: &[MeasuredPluck]| median(plucks.iter().map(|pluck| pluck.rattle.get())).and_then(Rattle::new);
        let all = || open.iter().chain(raised).map(|pluck| pluck.stiffness.get());
        let stiffness = median(all()).and_then(Stiffness::new);
        let (open_rattle, raised_rattle) = (rattle(open), rattle(raised));
        let open_buzz = open_rattle.zip(known.open_rattle).map(|(now, before)| rattles_more(now, before));
        let buzz = raised_rattle.and_then(|now| match known.raised_rattle {
            Some(before) => Some(rattles_more(now, before)),
            None => open_rattle.or(known.open_rattle).map(|open| rattles_more_than_open(now, open)),
        });
        // Only what is not heard to buzz is kept to compare with.
        let clean = |rattle: Option<Rattle>, hint| rattle.filter(|_| hint != Some(BuzzHint::MayBuzz));
        let sound = StringSound {
            open: timbre(open),
            raised: timbre(raised),
            stiffness,
            open_rattle: clean(open_rattle, open_buzz),
            raised_rattle: clean(raised_rattle, buzz),
        };
        StringFinding { string, open: pitch(open), raised: pitch(raised), open_buzz, buzz, sound }
    }

    /// The string with what was found: how far its lever raises it, where both states were heard, and how it sounds.
    pub fn kept_in(&self, string: &HarpString) -> HarpString {
        let lever = match (string.lever, self.raise()) {
            (Lever::Fitted { .. }, Some(raise)) => Lever::Fitted { measured: Some(raise) },
            (lever, _) => lever,
        };
        HarpString { lever, sound: string.sound.heard_again(self.sound), ..string.clone() }
    }

    /// By how much the lever raises the string, where both were heard.
    pub fn raise(&self) -> Option<Cents> {
        Some(self.raised?.above(self.open?))
    }
}

/// One pluck, measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredPluck {
    /// Its pitch.
    pub hertz: Hertz,
    /// The share of the late sound between 2.5 and 9 kHz.
    pub rattle: Rattle,
    /// How loud its partials are.
    pub timbre: Timbre,
    /// How stiff the string is by its partials' places.
    pub stiffness: Stiffness,
}

/// Measures plucks.
#[derive(Debug)]
pub struct PluckMeter {
    rate: SampleRate,
    reader: PitchReader,
    partials: PartialFit,
    late: Spectrum,
    magnitudes: Box<[f32]>,
}

impl PluckMeter {
    /// For sound at a rate.
    pub fn new(rate: SampleRate) -> PluckMeter {
        let length = rate.samples_in(LATE.1);
        let late = Spectrum::new(length, length.next_power_of_two());
        PluckMeter {
            rate,
            reader: PitchReader::new(rate, STRETCH),
            partials: PartialFit::new(rate, STRETCH),
            magnitudes: vec![0.0; late.bins()].into(),
            late,
        }
    }

    /// How much sound after a pluck is needed.
    pub const NEEDS: Seconds = Seconds::new(0.46);

    /// A pluck that was heard at about a pitch; none where no string sounds there clearly.
    pub fn measure(&mut self, sound: Excerpt<'_>, at: SampleIndex, about: Hertz) -> Option<MeasuredPluck> {
        let from = SampleIndex::new(at.get() + self.rate.samples_in(AFTER_PLUCK) as u64);
        let reach = Cents::new(KNOWN_WITHIN);
        let between = (about.raised_by(Cents::new(-reach.get())), about.raised_by(reach));
        let pitch = self.reader.read(sound, from, between)?;
        if pitch.disagreement >= MOST_DISAGREEMENT {
            return None;
        }
        let rattle = Rattle::new(self.rattle(sound, at))?;
        let timbre = self.timbre(sound, at, pitch.hertz, pitch.stiffness)?;
        Some(MeasuredPluck { hertz: pitch.hertz, rattle, timbre, stiffness: pitch.stiffness })
    }

    fn timbre(&mut self, sound: Excerpt<'_>, at: SampleIndex, hertz: Hertz, stiffness: Stiffness) -> Option<Timbre> {
        let from = at.get() as i64 + self.rate.samples_in(AFTER_PLUCK_PARTIALS) as i64;
        self.partials.look(&sound, from);
        let steps = (BESIDE_PARTIAL / STEP_CENTS) as i32;
        let amplitude = |number: f64| {
            let beside = (-steps..=steps).map(|step| hertz.raised_by(Cents::new(f64::from(step) * STEP_CENTS)).get());
            let fitted =
                beside.map(|hertz| self.partials.fit(stiff_partial(hertz, number, stiffness.get()), &[]).amplitude);
            fitted.fold(0.0, f64::max)
        };
        let amplitudes: Vec<f64> = numbers(hertz.get(), Timbre::MOST_PARTIALS as u32).map(amplitude).collect();
        Timbre::of_amplitudes(&amplitudes)
    }

    fn rattle(&mut self, sound: Excerpt<'_>, at: SampleIndex) -> f64 {
        let from = at.get() as i64 + self.rate.samples_in(LATE.0) as i64;
        self.late.of(|stretch| sound.copy(from, stretch), &mut self.magnitudes);
        let width = self.late.bin_width(f64::from(self.rate.get()));
        let power = |low: f64, high: f64| -> f64 {
            let bins = (low / width) as usize..((high / width) as usize).min(self.magnitudes.len());
            self.magnitudes.get(bins).unwrap_or_default().iter().map(|m| f64::from(m * m)).sum()
        };
        (power(RATTLE_HZ.0, RATTLE_HZ.1) / power(40.0, RATTLE_HZ.1).max(1e-18)).sqrt()
    }
}

/// A string in one of its states.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Place {
    string: StringNumber,
    state: LeverState,
    cents_off: f64,
}

/// What the plucks of a walk along the strings say, by strings from the top; strings that were not plucked are left out.
/// A4 is tuned to `concert_pitch`.
pub fn check_levers(harp: &Harp, concert_pitch: Hertz, plucks: &[MeasuredPluck]) -> Vec<StringFinding> {
    let places: Vec<(MeasuredPluck, Vec<Place>)> = plucks
        .iter()
        .map(|&pluck| (pluck, places_of(harp, concert_pitch, pluck.hertz)))
        .filter(|(_, places)| !places.is_empty())
        .collect();
    let walk = likeliest_walk(&places);
    let mut findings = Vec::new();
    for (number, string) in harp.numbered() {
        let of_state = |state: LeverState| -> Vec<MeasuredPluck> {
            let own = walk.iter().zip(&places).filter(|(place, _)| place.string == number && place.state == state);
            own.map(|(_, (pluck, _))| *pluck).collect()
        };
        let (open, raised) = (of_state(LeverState::Down), of_state(LeverState::Up));
        if open.is_empty() && raised.is_empty() {
            continue;
        }
        findings.push(StringFinding::of(number, &string.sound, &open, &raised));
    }
    findings
}

fn places_of(harp: &Harp, concert_pitch: Hertz, hertz: Hertz) -> Vec<Place> {
    let states = |number: StringNumber| [LeverState::Down, LeverState::Up].map(|state| (number, state));
    let all = harp.numbered().flat_map(|(number, _)| states(number));
    all.filter_map(|(string, state)| {
        let own = harp.string(string).filter(|own| own.allows(state))?;
        let cents_off = hertz.above(Hertz::of_note(own.sounds(state).midi(), concert_pitch)).get().abs();
        (cents_off <= KNOWN_WITHIN).then_some(Place { string, state, cents_off })
    })
    .collect()
}

/// The strings and states that explain all plucks at the least cost (dynamic programming over the plucks).
fn likeliest_walk(places: &[(MeasuredPluck, Vec<Place>)]) -> Vec<Place> {
    let Some((_, first)) = places.first() else { return Vec::new() };
    let own = |place: &Place| place.cents_off / 100.0;
    // A walk begins with an open string.
    let begin = |place: &Place| own(place) + if place.state == LeverState::Up { 1.0 } else { 0.0 };
    let mut rows: Vec<Vec<(f64, usize)>> = vec![first.iter().map(|place| (begin(place), 0)).collect()];
    for pair in places.windows(2) {
        let before = &rows[rows.len() - 1];
        let row = pair[1].1.iter().map(|place| {
            let ways = pair[0].1.iter().enumerate().map(|(index, from)| (before[index].0 + step(from, place), index));
            let best = ways.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, 0));
            (best.0 + own(place), best.1)
        });
        let row = row.collect();
        rows.push(row);
    }
    let mut walk = Vec::with_capacity(places.len());
    let last = rows.last().into_iter().flatten().enumerate();
    let mut at = last.min_by(|a, b| a.1.0.total_cmp(&b.1.0)).map_or(0, |(index, _)| index);
    for (row, (_, places)) in rows.iter().zip(places).rev() {
        walk.push(places[at]);
        at = row[at].1;
    }
    walk.reverse();
    walk
}

/// What it costs to take the next pluck for a place after this one.
fn step(from: &Place, to: &Place) -> f64 {
    let apart = f64::from(from.string.get().abs_diff(to.string.get()));
    match (from.string == to.string, from.state, to.state) {
        (true, before, after) if before == after => 0.0,
        (true, LeverState::Down, _) => 0.1,
        // Back to open on the same string: heard again, or a slip.
        (true, ..) => 0.6,
        (false, LeverState::Up, LeverState::Down) => 0.2 + 0.02 * apart,
        (false, LeverState::Down, LeverState::Down) => 0.9 + 0.02 * apart,
        (false, _, LeverState::Up) => 1.4 + 0.02 * apart,
    }
}

fn median(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.len() / 2;
    let upper = *sorted.get(middle)?;
    let lower = if sorted.len().is_multiple_of(2) { *sorted.get(middle.checked_sub(1)?)? } else { upper };
    Some((lower + upper) / 2.0)
}

fn rattles_more(now: Rattle, before: Rattle) -> BuzzHint {
    hint(now.get() > LEAST_RATTLE && now.get() > RATTLES_MORE * before.get())
}

fn rattles_more_than_open(raised: Rattle, open: Rattle) -> BuzzHint {
    hint(raised.get() > LEAST_RATTLE_NEVER_HEARD && raised.get() > RATTLES_MORE_THAN_OPEN * open.get())
}

fn hint(rattles: bool) -> BuzzHint {
    if rattles { BuzzHint::MayBuzz } else { BuzzHint::NotHeard }
}

#[cfg(test)]
mod tests {
    use super::*;
    use leverlane_core::harp::{Preset, Tuning};

    /// Three strings of a harp in C, E4, F4 and G4, from the bottom: E4 raised is F4 open to within the tuning. The
    /// raises are written here, 100, 96 and 112 cents, less a quarter: the open strings are plucked twice, half a cent apart.
    #[test]
    fn a_walk_is_read_in_its_order() {
        let harp = Preset::with_strings(22).unwrap().tuned(Tuning::C);
        let hertz = |midi: u8, cents: f64| {
            let note = leverlane_core::pitch::MidiNote::new(midi).unwrap();
            let hertz = Hertz::of_note(note, Hertz::A4).raised_by(Cents::new(cents));
            // Duller by a decibel for each semitone.
            let timbre = Timbre::new(&[0.0, -f64::from(midi) - cents / 100.0]).unwrap();
            MeasuredPluck {
                hertz,
                rattle: Rattle::new(0.01).unwrap(),
                timbre,
                stiffness: Stiffness::new(1e-4).unwrap(),
            }
        };
        let mut plucks = Vec::new();
        for (open, off, raise) in [(64, 2.0, 100.0), (65, -3.0, 96.0), (67, 0.0, 112.0)] {
            plucks.extend([hertz(open, off), hertz(open, off + 0.5), hertz(open, off + raise)]);
        }
        plucks[8].rattle = Rattle::new(0.2).unwrap();
        let findings = check_levers(&harp, Hertz::A4, &plucks);
        let strings: Vec<u8> =
            findings.iter().map(|finding| harp.string(finding.string).unwrap().open.midi().get()).collect();
        assert_eq!(strings, [67, 65, 64], "from the top");
        for (finding, raise) in findings.iter().zip([111.75, 95.75, 99.75]) {
            assert!((finding.raise().unwrap().get() - raise).abs() < 0.01, "{finding:?}");
        }
        let bands: Vec<RaiseBand> = findings.iter().map(|finding| RaiseBand::of(finding.raise().unwrap())).collect();
        assert_eq!(bands, [RaiseBand::NeedsRegulation, RaiseBand::Tolerable, RaiseBand::Good]);
        // By hand: G4 is MIDI 67; open the mean of -67 and -67.005, raised 1.12 lower.
        let second = |timbre: Option<Timbre>| timbre.unwrap().level(2).unwrap();
        let sound = findings[0].sound;
        assert!(
            (second(sound.open) + 67.0025).abs() < 1e-9 && (second(sound.raised) + 68.12).abs() < 1e-9,
            "{sound:?}"
        );
        assert_eq!(sound.stiffness, Stiffness::new(1e-4));
        let kept = findings[0].kept_in(harp.string(findings[0].string).unwrap());
        assert_eq!((kept.lever, kept.sound), (Lever::Fitted { measured: findings[0].raise() }, sound));
        assert_eq!(findings[0].buzz, Some(BuzzHint::MayBuzz));
        assert_eq!(findings[1].buzz, Some(BuzzHint::NotHeard));
        // What may buzz is not what later plucks are compared with.
        assert_eq!((sound.open_rattle, sound.raised_rattle), (Rattle::new(0.01), None));
    }

    /// By hand, against what the string was when it was last checked: more than twice that is a hint, in either state, where
    /// four times the open string would be no more than that.
    #[test]
    fn a_string_is_compared_with_its_own_record() {
        let (number, rattle) = (StringNumber::new(3).unwrap(), |share| Rattle::new(share).unwrap());
        let pluck = |share: f64| MeasuredPluck {
            hertz: Hertz::A4,
            rattle: rattle(share),
            timbre: Timbre::new(&[0.0]).unwrap(),
            stiffness: Stiffness::new(1e-4).unwrap(),
        };
        let found = |known: StringSound, open: f64, raised: f64| {
            let found = StringFinding::of(number, &known, &[pluck(open)], &[pluck(raised)]);
            (found.open_buzz, found.buzz)
        };
        let (clean, buzzes) = (Some(BuzzHint::NotHeard), Some(BuzzHint::MayBuzz));
        assert_eq!(found(StringSound::UNHEARD, 0.02, 0.07), (None, clean));
        assert_eq!(found(StringSound::UNHEARD, 0.02, 0.09), (None, buzzes));
        let known =
            StringSound { open_rattle: Some(rattle(0.02)), raised_rattle: Some(rattle(0.03)), ..StringSound::UNHEARD };
        assert_eq!(found(known, 0.03, 0.05), (clean, clean));
        assert_eq!(found(known, 0.05, 0.07), (buzzes, buzzes));
        let raised = StringFinding::of(number, &known, &[], &[pluck(0.07)]);
        assert_eq!((raised.open_buzz, raised.buzz, raised.sound.raised_rattle), (None, buzzes, None));
        // Of three plucks the middle one counts.
        let thrice = StringFinding::of(number, &known, &[], &[0.2, 0.04, 0.05].map(pluck));
        assert_eq!((thrice.buzz, thrice.sound.raised_rattle), (clean, Some(rattle(0.05))));
    }

    /// Truth: the synthetic string's own partials, which keep their strength: of 0.2, 0.1, 0.02 and 0.002, that is 0, -6.02,
    /// -20 and -40 dB; others are at most as strong as the noise. Its stiffness moves the fourth by 3 cents.
    #[test]
    fn a_strings_timbre_is_measured() {
        let rate = SampleRate::new(44_100).unwrap();
        let (hertz, stiffness) = (261.63, 2e-4f64);
        let mut noise = 1u32;
        let samples: Vec<f32> = (0..30_000)
            .map(|n| {
                noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let time = f64::from(n) / 44_100.0;
                let partial = |k: f64, amplitude: f64| {
                    amplitude * (std::f64::consts::TAU * hertz * k * (1.0 + stiffness * k * k).sqrt() * time + k).sin()
                };
                let all = [0.2, 0.1, 0.02, 0.002].into_iter().zip(1..).map(|(a, k)| partial(f64::from(k), a));
                (all.sum::<f64>() + 2e-5 * (f64::from(noise) / f64::from(u32::MAX) - 0.5)) as f32
            })
            .collect();
        let sound = Excerpt { starts: SampleIndex::new(0), samples: &samples };
        let pluck = PluckMeter::new(rate).measure(sound, SampleIndex::new(0), Hertz::new(hertz).unwrap()).unwrap();
        for (partial, level) in [(1, 0.0), (2, -6.02), (3, -20.0), (4, -40.0)] {
            assert!((pluck.timbre.level(partial).unwrap() - level).abs() < 0.5, "{partial}: {pluck:?}");
        }
        assert!(pluck.timbre.levels().len() == 12 && pluck.timbre.levels()[4..].iter().all(|&level| level < -70.0));
        let found = StringFinding::of(StringNumber::new(9).unwrap(), &StringSound::UNHEARD, &[pluck, pluck], &[]);
        assert_eq!(found.sound.open, Some(pluck.timbre));
        assert_eq!((found.sound.raised, found.sound.stiffness), (None, Some(pluck.stiffness)));
    }
}
