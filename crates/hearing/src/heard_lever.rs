//! How the levers of a pass stood, by what each pluck says of its own and by what is known of levers.

use leverlane_core::pitch::Cents;
use leverlane_core::verdict::{ExpectedPass, LeverHeard};

use crate::lever_course::together;
use crate::lever_odds::{LeverOutcome, OUTCOMES, decided, half_way_if_plucked, likelihoods};
use crate::lever_signs::LeverSigns;

/// How likely a state must be to be told. The asked one must be so likely if the string was plucked, lest a half-way lever is
/// called up (found by trial). One that blames the player is weighed with the doubt whether it was; that doubt was learnt from
/// other instruments and is too great: of 2,000 drills of a harp nine had such a state at 0.3 to 0.5, and eight of these were so.
const LEAST_LIKELY: f32 = 0.7;
const BLAMED_LIKELY: f32 = 0.3;
/// From this likelihood on that it stands half-way, if the string was plucked, neither end is told (found by trial).
const HALF_WAY_LIKELY: f32 = 0.07;

/// What was read of a lever at a pluck of its string.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ReadLever {
    /// Whether it should be up there.
    pub(crate) is_asked_raised: bool,
    pub(crate) signs: LeverSigns,
}

/// A lever as it was heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct HeardLever {
    pub(crate) state: LeverHeard,
    /// How far the string was raised when it was plucked.
    pub(crate) raise: Cents,
    pub(crate) changed_to: Option<LeverHeard>,
}

/// How the lever stood at each expected note of which something was read.
pub(crate) fn heard_levers(expected: &ExpectedPass, read: &[Option<ReadLever>]) -> Vec<Option<HeardLever>> {
    let alone = read.iter().map(|read| read.as_ref().map(|read| likelihoods(&read.signs.signs)));
    let likely = weighed(expected, &alone.collect::<Vec<_>>());
    read.iter().zip(likely).map(|(read, likely)| Some(heard_lever(read.as_ref()?, likely?))).collect()
}

/// How likely each outcome is at each note, the others of its lever's course heard too.
fn weighed(expected: &ExpectedPass, alone: &[Option<[f32; OUTCOMES]>]) -> Vec<Option<[f32; OUTCOMES]>> {
    let mut weighed = vec![None; alone.len()];
    for course in courses(expected, |index| alone[index].is_some()) {
        let likely: Vec<[f32; OUTCOMES]> = course.iter().filter_map(|&index| alone[index]).collect();
        for (index, likely) in course.into_iter().zip(together(&likely)) {
            weighed[index] = Some(likely);
        }
    }
    weighed
}

/// The notes between which nobody has to touch the lever of their string: those of each string, up to its next flip.
fn courses(expected: &ExpectedPass, is_read: impl Fn(usize) -> bool) -> Vec<Vec<usize>> {
    let notes = &expected.notes;
    let mut courses: Vec<Vec<usize>> = Vec::new();
    for (index, note) in notes.iter().enumerate().filter(|(index, _)| is_read(*index)) {
        let goes_on = |course: &&mut Vec<usize>| {
            let last = course.last().map(|&last| &notes[last]);
            last.is_some_and(|last| {
                let flipped = expected.flips.iter().any(|flip| {
                    Some(flip.string) == note.string && flip.at.get() > last.at.get() && flip.at.get() <= note.at.get()
                });
                last.string == note.string && last.note == note.note && !flipped
            })
        };
        match courses.iter_mut().find(goes_on) {
            Some(course) => course.push(index),
            None => courses.push(vec![index]),
        }
    }
    courses
}

/// How a lever stood when its string was plucked, and what it became where it came late.
fn heard_lever(read: &ReadLever, likely: [f32; OUTCOMES]) -> HeardLever {
    let is_half_way_likely = half_way_if_plucked(likely) >= HALF_WAY_LIKELY;
    let (outcome, likely) = decided(likely);
    let is_doubted = is_half_way_likely && matches!(outcome, LeverOutcome::AsAsked | LeverOutcome::Otherwise);
    let [as_asked, otherwise, half_way] = read.signs.raises.map(Cents::new);
    let (asked, other) =
        if read.is_asked_raised { (LeverHeard::Up, LeverHeard::Open) } else { (LeverHeard::Open, LeverHeard::Up) };
    let least = if outcome == LeverOutcome::AsAsked { LEAST_LIKELY } else { BLAMED_LIKELY };
    let (state, raise, changed_to) = match outcome {
        LeverOutcome::AsAsked => (asked, as_asked, None),
        LeverOutcome::Otherwise => (other, otherwise, None),
        LeverOutcome::HalfWay => (LeverHeard::Half(half_way), half_way, None),
        LeverOutcome::Late => (other, otherwise, Some(asked)),
        LeverOutcome::NotPlucked => (LeverHeard::Unsure, as_asked, None),
    };
    match likely < least || is_doubted {
        true => HeardLever { state: LeverHeard::Unsure, raise, changed_to: None },
        false => HeardLever { state, raise, changed_to },
    }
}

#[cfg(test)]
mod tests {
    use leverlane_core::harp::{LeverState, StringNumber};
    use leverlane_core::pitch::{MidiNote, SpelledPitch};
    use leverlane_core::score::Hand;
    use leverlane_core::time::{Seconds, Ticks};
    use leverlane_core::verdict::{ExpectedFlip, ExpectedNote, Freedom};

    use super::*;
    use crate::lever_signs::SIGNS;

    fn state(is_asked_raised: bool, likely: [f32; OUTCOMES]) -> HeardLever {
        let signs = LeverSigns { signs: [0.0; SIGNS], raises: [98.0, 3.0, 40.0] };
        heard_lever(&ReadLever { is_asked_raised, signs }, likely)
    }

    /// By hand: as asked it must be by 0.7 of what was plucked, 0.36 of 0.5 or 0.34 of it; what blames the player by 0.3 of all.
    #[test]
    fn a_state_is_told_when_it_is_likely_enough() {
        assert_eq!(state(true, [0.36, 0.14, 0.0, 0.0, 0.5]).state, LeverHeard::Up);
        assert_eq!(state(false, [0.36, 0.14, 0.0, 0.0, 0.5]).state, LeverHeard::Open);
        assert_eq!(state(true, [0.34, 0.16, 0.0, 0.0, 0.5]).state, LeverHeard::Unsure);
        assert_eq!(state(true, [0.0, 0.31, 0.0, 0.0, 0.69]).state, LeverHeard::Open);
        assert_eq!(state(true, [0.0, 0.29, 0.0, 0.0, 0.71]).state, LeverHeard::Unsure);
        let half = state(true, [0.2, 0.1, 0.7, 0.0, 0.0]);
        assert_eq!((half.state, half.raise), (LeverHeard::Half(Cents::new(40.0)), Cents::new(40.0)));
        let late = state(true, [0.1, 0.1, 0.1, 0.7, 0.0]);
        assert_eq!((late.state, late.changed_to), (LeverHeard::Open, Some(LeverHeard::Up)));
        assert_eq!((late.raise, half.changed_to), (Cents::new(3.0), None));
    }

    /// By hand: half-way by 0.03 of what was plucked, 0.5, is 0.06; 0.04 of it is 0.08, too much for either end to be told. What
    /// came late came to its end.
    #[test]
    fn neither_end_is_told_of_what_may_stand_half_way() {
        assert_eq!(state(true, [0.47, 0.0, 0.03, 0.0, 0.5]).state, LeverHeard::Up);
        assert_eq!(state(true, [0.46, 0.0, 0.04, 0.0, 0.5]).state, LeverHeard::Unsure);
        assert_eq!(state(true, [0.0, 0.47, 0.03, 0.0, 0.5]).state, LeverHeard::Open);
        assert_eq!(state(true, [0.0, 0.46, 0.04, 0.0, 0.5]).state, LeverHeard::Unsure);
        assert_eq!(state(true, [0.0, 0.0, 0.1, 0.9, 0.0]).changed_to, Some(LeverHeard::Up));
    }

    fn note(at: f64, string: u8, raised: u8) -> ExpectedNote {
        let midi = |semitones: u8| MidiNote::new(60 + string + semitones).unwrap();
        ExpectedNote {
            at: Seconds::new(at),
            note: midi(raised),
            other_state: Some(midi(1 - raised)),
            string: StringNumber::new(string),
            hand: Hand::Right,
            freedom: Freedom::Strict,
            chord: 0,
            pluck: 0,
            played_bar: 0,
            onset: Ticks::ZERO,
        }
    }

    /// String 3 is flipped up after its second note, and string 5 twice between its notes, so it asks the same before and after.
    fn expected() -> ExpectedPass {
        let flip = |at: f64, string: u8, to: LeverState| ExpectedFlip {
            at: Seconds::new(at),
            string: StringNumber::new(string).unwrap(),
            to,
            open: SpelledPitch::MIDDLE_C,
            told_by: None,
            beat: Seconds::new(1.0),
        };
        ExpectedPass {
            notes: vec![
                note(0.0, 3, 0),
                note(1.0, 5, 0),
                note(2.0, 3, 0),
                note(3.0, 3, 1),
                note(4.0, 5, 0),
                note(5.0, 3, 1),
            ],
            flips: vec![flip(2.5, 3, LeverState::Up), flip(1.5, 5, LeverState::Up), flip(3.5, 5, LeverState::Down)],
            beat: Seconds::new(1.0),
        }
    }

    #[test]
    fn what_is_heard_of_a_lever_is_taken_together_up_to_its_next_flip() {
        let expected = expected();
        assert_eq!(courses(&expected, |_| true), [vec![0, 2], vec![1], vec![3, 5], vec![4]]);
        assert_eq!(courses(&expected, |index| index != 3), [vec![0, 2], vec![1], vec![4], vec![5]]);
    }

    /// By what is known of levers: the last note was surely missed, so the doubtful one before it on the same string, after the
    /// same flip, was likelier missed than not plucked; the equally doubtful ones of other courses stay as they were heard.
    #[test]
    fn a_pluck_in_doubt_is_weighed_with_those_of_its_own_lever_alone() {
        let (doubtful, missed) = ([0.0, 0.4, 0.0, 0.0, 0.6], [0.0, 1.0, 0.0, 0.0, 0.0]);
        let alone = [None, Some(doubtful), Some(doubtful), Some(doubtful), None, Some(missed)];
        let weighed = weighed(&expected(), &alone);
        assert_eq!((weighed[0], weighed[4]), (None, None));
        for other in [1, 2] {
            let likely = weighed[other].unwrap();
            assert!((likely[1] - 0.4).abs() < 1e-3 && (likely[4] - 0.6).abs() < 1e-3, "{likely:?}");
        }
        let likely = weighed[3].unwrap();
        assert!(likely[1] > likely[4], "{likely:?}");
    }
}
