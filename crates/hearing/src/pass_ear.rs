//! What the sound of one pass says: evidence for the verdict.

use leverlane_core::harp::{Harp, Lever, LeverState, StringSound};
use leverlane_core::pitch::{Cents, Hertz, MidiNote};
use leverlane_core::plan::PaceLevel;
use leverlane_core::time::Seconds;
use leverlane_core::verdict::{
    Ear, Evidence, ExpectedNote, ExpectedPass, HeardNote, LeverEvidence, Thresholds, judge, median,
};

use crate::clock::{SampleIndex, SampleRate};
use crate::heard_lever::{HeardLever, ReadLever, heard_levers};
use crate::lever_reading::{PluckedString, is_asked_raised};
use crate::lever_signs::{FoundPluck, LeverAlone, LeverEar, LeverSigns};
use crate::pluck_company::{self, CompanyPluck};
use crate::recent::Excerpt;
use crate::second_look::{BESIDE_TIMES, FittedLever, MaybePlucked, SecondLook, WantedNote};

/// How far a note may be from what the notes about it say of the player's time, in seconds, and how many of them are asked.
const STRAYS: f64 = 0.09;
const BESIDE_NOTES: usize = BESIDE_TIMES / 2;
/// A note of the first look that is less certain tells nothing about the player's time.
const TRUSTED: f64 = 0.35;
/// What sounds within this of a wanted note may be a partial of it.
const BESIDE: f64 = 0.1;
/// From this certainty on a note that nobody wanted is told although wanted ones were plucked with it.
const CERTAIN: f64 = 0.9;
/// From this on one that nothing wanted was plucked with;
const ALONE: f64 = 0.9;
/// but what may be a partial of a string that has been ringing for less than this must be as certain as among others.
const RINGS: f64 = 3.0;
/// A lever that comes late is heard to come within so many seconds of the pluck (what [`LeverSigns`] listens to).
const BENT_WITHIN: f64 = 0.8;
/// Other moments are beside the found one within so many seconds, and no less likely than by these log-odds.
const BESIDE_FOUND: f64 = 0.05;
const UNLIKELIEST: f64 = -8.0;
/// What a measured lever is believed to raise its string by, in cents.
const RAISES: (f64, f64) = (75.0, 125.0);

/// What the first look heard, in the times of the recording.
#[derive(Clone, Copy, Debug)]
pub struct FirstLook<'a> {
    /// The notes, by time.
    pub notes: &'a [HeardNote],
    /// The attacks, by time.
    pub attacks: &'a [SampleIndex],
}

/// Listens to single passes, knowing what they should be.
#[derive(Debug)]
pub struct PassEar {
    rate: SampleRate,
    concert_pitch: Hertz,
    second: SecondLook,
    levers: LeverEar,
}

impl PassEar {
    /// For sound at a rate.
    pub fn new(rate: SampleRate) -> PassEar {
        PassEar { rate, concert_pitch: Hertz::A4, second: SecondLook::new(rate), levers: LeverEar::new(rate) }
    }

    /// The same ear for a harp whose A4 is tuned to this; without it, to 440 Hz (ISO 16). The first look must have
    /// listened at it too.
    pub fn at_concert_pitch(self, concert_pitch: Hertz) -> PassEar {
        PassEar { concert_pitch, ..self }
    }

    /// The evidence of a pass that begins at a moment of the recording. The excerpt should reach from half a second before
    /// its first note to a second after its last.
    pub fn evidence(
        &mut self,
        expected: &ExpectedPass,
        harp: &Harp,
        starts: Seconds,
        first: FirstLook<'_>,
        sound: Excerpt<'_>,
    ) -> Evidence {
        let ends = starts + expected.notes.last().map_or(Seconds::ZERO, |note| note.at);
        let in_pass = |at: Seconds| at.get() > starts.get() - 0.5 && at.get() < ends.get() + 0.5;
        let mut guessed: Vec<HeardNote> = first
            .notes
            .iter()
            .filter(|note| in_pass(note.at))
            .map(|note| HeardNote { at: note.at - starts, ..*note })
            .collect();
        let pass = self.heard_pass(expected, harp, starts, &guessed, first.attacks, sound);
        let levers = self.levers_of(expected, &pass, sound);
        let mut bends = Vec::new();
        let mut evidence = Evidence { ear: Ear::Microphone, ..Evidence::default() };
        for (index, lever) in levers.into_iter().enumerate() {
            let (wanted, Some(mut found)) = (&pass.wanted[index], pass.found[index]) else { continue };
            let at = self.rate.time_of(found.at) - starts;
            if let (Some(string), Some(lever)) = (expected.notes[index].string, lever) {
                found.raise = lever.raise;
                bends.extend(lever.changed_to.map(|_| Bend { after: at, to: expected.notes[index].note }));
                evidence.levers.push(LeverEvidence { string, at, state: lever.state, changed_to: lever.changed_to });
            }
            evidence.heard.push(heard(at, wanted, &found, self.concert_pitch));
        }
        guessed.retain(|guess| !bends.iter().any(|bend| bend.is_heard_in(guess)));
        let extra = unwanted(&guessed, &evidence.heard);
        evidence.heard.extend(extra);
        evidence.heard.sort_by(|a, b| a.at.get().total_cmp(&b.at.get()));
        evidence
    }

    /// For each expected note that has a string the moments at which it may have been plucked, with what speaks for them: what
    /// the odds are learnt from. Moments in seconds of the recording, the string's open pitch in hertz.
    pub fn signs(
        &mut self,
        expected: &ExpectedPass,
        harp: &Harp,
        first: FirstLook<'_>,
        sound: Excerpt<'_>,
    ) -> Vec<(Hertz, Seconds, Vec<f32>)> {
        let wanted = self.wanted(expected, harp, Seconds::ZERO, first.notes);
        let moments = self.second.moments(sound, first.attacks, &wanted);
        let each = wanted.iter().zip(moments);
        each.flat_map(|(note, moments)| {
            moments.into_iter().map(|moment| (note.open, self.rate.time_of(moment.at), moment.signs.to_vec()))
        })
        .collect()
    }

    /// For each note that was found and whose string has a lever, by its place among the expected ones, when it was plucked
    /// in the recording, with what speaks for each state of the lever: what its odds are learnt from.
    pub fn lever_signs(
        &mut self,
        expected: &ExpectedPass,
        harp: &Harp,
        first: FirstLook<'_>,
        sound: Excerpt<'_>,
    ) -> Vec<(usize, Seconds, Vec<f32>)> {
        let pass = self.heard_pass(expected, harp, Seconds::ZERO, first.notes, first.attacks, sound);
        let read = self.read_levers(&pass, sound);
        let found = pass.found.iter().zip(read).enumerate();
        let each = found.filter_map(|(index, (found, read))| Some((index, (*found)?, read?)));
        each.map(|(index, found, read)| (index, self.rate.time_of(found.at), read.signs.to_vec())).collect()
    }

    /// The expected notes as they were found.
    fn heard_pass(
        &mut self,
        expected: &ExpectedPass,
        harp: &Harp,
        starts: Seconds,
        guessed: &[HeardNote],
        attacks: &[SampleIndex],
        sound: Excerpt<'_>,
    ) -> HeardPass {
        let wanted = self.wanted(expected, harp, starts, guessed);
        let moments = self.second.moments(sound, attacks, &wanted);
        let found = self.second.plucked(&wanted, &moments);
        let plucked = plucked_strings(expected, harp, &wanted, &found);
        HeardPass { wanted, moments, found, plucked }
    }

    /// How the levers stood at each expected note that was found.
    fn levers_of(&mut self, expected: &ExpectedPass, pass: &HeardPass, sound: Excerpt<'_>) -> Vec<Option<HeardLever>> {
        let read = self.read_levers(pass, sound);
        let lever = |(index, read): (usize, Option<LeverSigns>)| {
            Some(ReadLever { is_asked_raised: is_asked_raised(&pass.plucked[index]), signs: read? })
        };
        let read: Vec<Option<ReadLever>> = read.into_iter().enumerate().map(lever).collect();
        heard_levers(expected, &read)
    }

    /// What speaks for each state of the lever at each expected note that was found on a string with a lever.
    fn read_levers(&mut self, pass: &HeardPass, sound: Excerpt<'_>) -> Vec<Option<LeverSigns>> {
        let (rate, levers) = (self.rate, &mut self.levers);
        let fitted =
            |index: usize| pass.found[index].as_ref().filter(|_| pass.wanted[index].lever == FittedLever::Fitted);
        let alone = |index: usize| {
            let pluck = found_pluck(rate, &pass.wanted[index], &pass.moments[index], fitted(index)?);
            Some(levers.at(sound, &pass.plucked, index, pluck))
        };
        let alone: Vec<Option<LeverAlone>> = (0..pass.wanted.len()).map(alone).collect();
        let company = pluck_company::signs(&pass.company(rate, &alone));
        alone.iter().zip(company).map(|(alone, company)| Some(alone.as_ref()?.in_company(company?))).collect()
    }

    /// The expected notes, each about when the player must have played it: as far from its time as the notes around it
    /// that the first look had heard.
    fn wanted(&self, expected: &ExpectedPass, harp: &Harp, starts: Seconds, guessed: &[HeardNote]) -> Vec<WantedNote> {
        let trusted: Vec<HeardNote> = guessed.iter().filter(|guess| guess.certainty >= TRUSTED).copied().collect();
        let evidence = Evidence { ear: Ear::Exact, heard: trusted, ..Evidence::default() };
        let verdict = judge(expected, &evidence, &Thresholds::of_level(PaceLevel::Fluent));
        let errors: Vec<Option<f64>> = verdict.notes.iter().map(|note| note.error.map(Seconds::get)).collect();
        let notes = expected.notes.iter().enumerate();
        notes
            .map(|(index, note)| {
                let own = errors.get(index).copied().flatten().filter(|own| is_near(*own, &errors, index));
                let around = own.unwrap_or_else(|| error_around(&expected.notes, &errors, index));
                let before = errors[..index].iter().rev().flatten().take(BESIDE_NOTES).copied();
                let after = errors[index..].iter().skip(1).flatten().take(BESIDE_NOTES).copied();
                let [before, after]: [Vec<f64>; 2] = [before.collect(), after.collect()];
                let about = |beside: &[f64]| median(beside).unwrap_or(around);
                let likely = [around, about(&before), about(&after)];
                let each: Vec<f64> = before.iter().chain(&after).copied().collect();
                let beside = std::array::from_fn(|place| each.get(place).copied().unwrap_or(around));
                let (open, lever, raise) = string_of(note, harp, self.concert_pitch);
                let at = |error: f64| self.rate.index_at(starts + note.at + Seconds::new(error));
                WantedNote { written: at(0.0), likely: likely.map(at), beside: beside.map(at), open, lever, raise }
            })
            .collect()
    }
}

/// The expected notes as they were found in a pass.
struct HeardPass {
    wanted: Vec<WantedNote>,
    /// When each may have been plucked.
    moments: Vec<Vec<MaybePlucked>>,
    found: Vec<Option<MaybePlucked>>,
    plucked: Vec<PluckedString>,
}

impl HeardPass {
    /// The notes that were found, with how loud they are where their lever was read.
    fn company(&self, rate: SampleRate, read: &[Option<LeverAlone>]) -> Vec<Option<CompanyPluck>> {
        let found = self.wanted.iter().zip(&self.found).zip(read);
        let pluck = |((wanted, found), read): ((&WantedNote, &Option<MaybePlucked>), &Option<LeverAlone>)| {
            let loudness = read.as_ref().map(|read| read.loudness);
            Some(CompanyPluck { at: rate.time_of(found.as_ref()?.at), open: wanted.open, loudness })
        };
        found.map(pluck).collect()
    }
}

/// A string that its lever bends while it rings: the first look takes that for another note.
#[derive(Clone, Copy, Debug)]
struct Bend {
    /// When the string was plucked.
    after: Seconds,
    to: MidiNote,
}

impl Bend {
    fn is_heard_in(&self, guess: &HeardNote) -> bool {
        guess.note == self.to && (0.0..BENT_WITHIN).contains(&(guess.at - self.after).get())
    }
}

/// A pluck that was found, as far as that tells of its lever, among the moments at which its string may have been plucked.
fn found_pluck<'a>(
    rate: SampleRate,
    wanted: &WantedNote,
    moments: &[MaybePlucked],
    found: &'a MaybePlucked,
) -> FoundPluck<'a> {
    let away = |from: SampleIndex| (rate.time_of(found.at) - rate.time_of(from)).get();
    let ahead = |is_beside: bool| {
        let others = moments.iter().filter(|other| other.at != found.at);
        let others = others.filter(|other| (away(other.at).abs() <= BESIDE_FOUND) == is_beside);
        found.log_odds - others.map(|other| other.log_odds).fold(UNLIKELIEST, f64::max)
    };
    FoundPluck {
        signs: &found.signs,
        log_odds: found.log_odds,
        astray: wanted.likely.map(away),
        ahead: [true, false].map(ahead),
    }
}

/// The strings as they were plucked, those that were not found when they should have been.
fn plucked_strings(
    expected: &ExpectedPass,
    harp: &Harp,
    wanted: &[WantedNote],
    found: &[Option<MaybePlucked>],
) -> Vec<PluckedString> {
    let begins = |index: usize| found[index].map_or(wanted[index].likely[0], |found| found.at).get() as i64;
    let string = |index: usize| {
        let (own, from) = (&wanted[index], begins(index));
        let again = (0..wanted.len()).filter(|&other| found[other].is_some() && wanted[other].open == own.open);
        let until = again.map(begins).filter(|&at| at > from).min().unwrap_or(i64::MAX / 2);
        let raise = found[index].map_or(own.raise, |found| found.raise).get();
        let string = expected.notes[index].string.and_then(|string| harp.string(string));
        let up = string.map_or(Cents::SEMITONE, |string| raise_of(string.lever)).get();
        let sound = string.map_or(StringSound::UNHEARD, |string| string.sound);
        PluckedString { open: own.open, raise, expected: own.raise.get(), up, sound, from, until }
    };
    (0..wanted.len()).map(string).collect()
}

/// Whether a note's error is near that of one of the notes about it, before or after: what lies far from both is another
/// sound, such as the same string bent by its lever while it rings.
fn is_near(own: f64, errors: &[Option<f64>], index: usize) -> bool {
    let before = errors[..index].iter().rev().flatten().take(BESIDE_NOTES);
    let after = errors[index + 1..].iter().flatten().take(BESIDE_NOTES);
    let mut beside = before.chain(after).peekable();
    beside.peek().is_none() || beside.any(|other| (own - other).abs() <= STRAYS)
}

/// The median error of the nearest notes that were heard.
fn error_around(notes: &[ExpectedNote], errors: &[Option<f64>], index: usize) -> f64 {
    let mut known: Vec<(f64, f64)> = notes
        .iter()
        .zip(errors)
        .filter_map(|(note, error)| Some(((note.at - notes[index].at).get().abs(), (*error)?)))
        .collect();
    known.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut nearest: Vec<f64> = known.iter().take(3).map(|known| known.1).collect();
    nearest.sort_by(f64::total_cmp);
    nearest.get(nearest.len() / 2).copied().unwrap_or(0.0)
}

/// A note's string: its open pitch, whether it has a lever, and how far it should be raised.
fn string_of(note: &ExpectedNote, harp: &Harp, concert_pitch: Hertz) -> (Hertz, FittedLever, Cents) {
    let hertz = |midi: MidiNote| Hertz::of_note(midi, concert_pitch);
    match note.string.and_then(|string| harp.string(string)) {
        Some(string) if string.lever.is_fitted() => {
            let raised = note.note == string.sounds(LeverState::Up).midi();
            let raise = if raised { raise_of(string.lever) } else { Cents::new(0.0) };
            (hertz(string.open.midi()), FittedLever::Fitted, raise)
        }
        _ => (hertz(note.note), FittedLever::None, Cents::new(0.0)),
    }
}

/// How far a lever raises its string: as measured, but never so little or so much that a lever half-way or a neighbour
/// could not be told from it.
fn raise_of(lever: Lever) -> Cents {
    match lever {
        Lever::Fitted { measured: Some(raise) } => Cents::new(raise.get().clamp(RAISES.0, RAISES.1)),
        _ => Cents::SEMITONE,
    }
}

fn heard(at: Seconds, wanted: &WantedNote, found: &MaybePlucked, concert_pitch: Hertz) -> HeardNote {
    let hertz = wanted.open.raised_by(found.raise).get();
    let (note, cents) = crate::polyphony::nearest_note(hertz, concert_pitch);
    let note = MidiNote::new(note).unwrap_or(leverlane_core::pitch::SpelledPitch::MIDDLE_C.midi());
    // A wanted note that was found at all is heard: what it takes to be found is the same as to be held certain.
    HeardNote { at, note, cents, certainty: 0.5 + 0.5 / (1.0 + (-found.log_odds).exp()) }
}

/// Notes of the first look that are none of the wanted ones, nor partials of them.
fn unwanted(guessed: &[HeardNote], found: &[HeardNote]) -> Vec<HeardNote> {
    let unwanted = |guess: &&HeardNote| {
        let beside = found.iter().filter(|found| (found.at - guess.at).get().abs() < BESIDE);
        let mut company = beside.peekable();
        if company.peek().is_none() {
            let rings = |found: &HeardNote| {
                let since = (guess.at - found.at).get();
                (0.0..RINGS).contains(&since) && related(guess.pitch().get(), found.pitch().get())
            };
            return guess.certainty >= if found.iter().any(rings) { CERTAIN } else { ALONE };
        }
        guess.certainty >= CERTAIN && company.all(|found| !related(guess.pitch().get(), found.pitch().get()))
    };
    guessed.iter().filter(unwanted).copied().collect()
}

/// Whether one pitch lies on a low partial of the other, or is the same.
fn related(a: f64, b: f64) -> bool {
    let off = (a - b).abs();
    [1.0f64, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 1.5].iter().any(|ratio| (off - 1200.0 * ratio.log2()).abs() < 130.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: found at 2.0 s with log-odds of 3, a note is 2 ahead of the better of two moments up to 50 ms beside it, and
    /// where nothing else is further off, 11 ahead of the unlikeliest. Likely at 1.97 s, it is 30 ms late.
    #[test]
    fn a_found_pluck_is_told_from_other_moments() {
        let rate = SampleRate::new(10_000).unwrap();
        let moment = |at: u64, log_odds: f64| MaybePlucked {
            at: SampleIndex::new(at),
            raise: Cents::new(0.0),
            log_odds,
            signs: [0.0; crate::pluck_signs::SIGNS],
        };
        let likely = [19_700, 20_000, 20_400].map(SampleIndex::new);
        let wanted = WantedNote {
            written: SampleIndex::new(20_000),
            likely,
            beside: [likely[0]; BESIDE_TIMES],
            open: Hertz::A4,
            lever: FittedLever::Fitted,
            raise: Cents::new(0.0),
        };
        let mut moments = vec![moment(19_600, 0.5), moment(19_800, 1.0), moment(20_000, 3.0)];
        let found = found_pluck(rate, &wanted, &moments, &moments[2]);
        assert_eq!((found.log_odds, found.ahead), (3.0, [2.0, 11.0]));
        let wanted_astray = [0.03, 0.0, -0.04];
        assert!(found.astray.iter().zip(wanted_astray).all(|(told, wanted)| (told - wanted).abs() < 1e-9));
        moments.push(moment(21_000, 4.0));
        assert_eq!(found_pluck(rate, &wanted, &moments, &moments[2]).ahead, [2.0, -1.0]);
    }
}
