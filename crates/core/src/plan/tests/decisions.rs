//! The player's say: what she decides is done, and what can't be done is refused with its reason.

use super::small_pieces::{flips, harp, line, piece, planned, tune};
use crate::harp::{LeverState, StringNumber, Tuning};
use crate::pitch::Letter;
use crate::plan::{Edit, EndOfPiece, FlipName, Plan, ProblemKind, Reason, Reasons, Refusal, Request, with_edit};
use crate::plan::{HandPace, PaceLevel, without_edit};
use crate::score::{BarIndex, Hand, NoteName, Performance};
use crate::time::{Tempo, TempoMap, Ticks};

/// F4, then F♯4 eight beats later, then F4: two flips of the F string at an easy tempo, the left hand free.
fn two_flips() -> Performance {
    tune(0, "F4 G4 A4 G4 A4 G4 A4 G4 F#4 G4 A4 G4 F4")
}

fn with(performance: &Performance, edits: &[Edit]) -> Plan {
    planned(performance, &harp(Tuning::EFlat), 60.0, EndOfPiece::Stop, edits)
}

fn names(plan: &Plan, performance: &Performance) -> Vec<FlipName> {
    let flips = plan.gestures.iter().flat_map(|gesture| &gesture.flips);
    flips.map(|flip| flip.name(performance)).collect()
}

fn refusals(plan: &Plan) -> Vec<Refusal> {
    let refused = plan.problems.iter().filter_map(|problem| problem.refused);
    assert!(plan.problems.iter().all(|problem| (problem.kind == ProblemKind::EditNotMet) == problem.refused.is_some()));
    refused.map(|refused| refused.reason).collect()
}

fn quarter(quarters: i64) -> Ticks {
    Ticks::QUARTER * quarters
}

#[test]
fn a_flip_is_moved_and_given_to_the_other_hand() {
    let performance = two_flips();
    let free = with(&performance, &[]);
    let flip = names(&free, &performance)[0];
    let moved = Edit::Place { flip, bar: BarIndex::new(0), at: quarter(3) };
    let plan = with(&performance, &[moved, Edit::Hand { flip, hand: Hand::Right }]);
    let gesture = &plan.gestures[0];
    assert_eq!((gesture.at.since_start(), gesture.hand, gesture.locked), (quarter(3), Hand::Right, true));
    assert_eq!(refusals(&plan), []);
    let place = |plan: &Plan| (plan.gestures[1].at, plan.gestures[1].hand, plan.gestures[1].flips.clone());
    assert_eq!(place(&plan), place(&free), "the rest stays");
}

/// In F the A string can sound the B♭ too, once it is raised for A♯; a flip that is placed is for the A♯ all the same.
#[test]
fn a_placed_flip_is_for_the_note_written_on_its_string() {
    let (left, right) = (line(Hand::Left, 1, "A4 . . Bb4"), line(Hand::Right, 1, ". . . A#4 A#4 A#4"));
    let performance = piece(-1, &[left, right]);
    let harp = harp(Tuning::F);
    let free = planned(&performance, &harp, 20.0, EndOfPiece::Stop, &[]);
    let (flip, at) = (names(&free, &performance)[0], free.gestures[0].at.since_start());
    let place = Edit::Place { flip, bar: BarIndex::new(0), at };
    let placed = planned(&performance, &harp, 20.0, EndOfPiece::Stop, &[place]);
    assert_eq!((placed.totals.flips, placed.totals.respelled, free.totals.respelled), (1, 0, 0));
}

/// A lock that equals the free optimum changes nothing but that it is locked.
#[test]
fn a_lock_where_the_flip_is_anyway_changes_nothing() {
    let performance = two_flips();
    let free = with(&performance, &[]);
    for index in 0..free.gestures.len() {
        let gesture = &free.gestures[index];
        let bar = &performance.bars()[gesture.played_bar];
        let flip = names(&free, &performance)[index];
        let edits =
            [Edit::Place { flip, bar: bar.bar, at: gesture.at - bar.starts }, Edit::Hand { flip, hand: gesture.hand }];
        let mut plan = with(&performance, &edits);
        plan.gestures[index].locked = false;
        assert_eq!(plan, free);
    }
}

/// F♯4 can only be made on the F string in E♭ tuning (worked case 1): without the flip it can't be played. A note that lies
/// on two strings goes to the other one.
#[test]
fn a_flip_is_forbidden() {
    let performance = two_flips();
    let free = with(&performance, &[]);
    let flip = names(&free, &performance)[0];
    let plan = with(&performance, &[Edit::Forbid { flip }]);
    assert_eq!((plan.totals.flips, plan.totals.unplayable), (0, 1));
    assert_eq!(refusals(&plan), []);

    // Worked case 5: with D♮5 around it, E♭5 flips the E string twice; forbidden, it flips the D string twice.
    let harp = harp(Tuning::EFlat);
    let fives = tune(0, "E5 D5 Eb5 D5 E5");
    let at_a_crawl = |edits: &[Edit]| planned(&fives, &harp, 20.0, EndOfPiece::Stop, edits);
    let flip = names(&at_a_crawl(&[]), &fives)[0];
    let plan = at_a_crawl(&[Edit::Forbid { flip }]);
    assert_eq!((flips(&plan, &harp).as_str(), plan.totals.respelled), ("D5 up, D5 down", 1));
}

/// Worked case 5 again: the same comes of asking for the D string, and of nothing else.
#[test]
fn a_string_is_forced_and_a_lever_preset() {
    let harp = harp(Tuning::EFlat);
    let fives = tune(0, "E5 D5 Eb5 D5 E5");
    let note = NoteName { bar: BarIndex::new(0), at: quarter(2), pitch: "Eb5".parse().unwrap() };
    let (d_string, _) = harp.string_of_letter("D5".parse().unwrap()).unwrap();
    let (f_string, _) = harp.string_of_letter("F5".parse().unwrap()).unwrap();
    let at_a_crawl = |edits: &[Edit]| planned(&fives, &harp, 20.0, EndOfPiece::Stop, edits);
    let plan = at_a_crawl(&[Edit::String { note, string: d_string }]);
    assert_eq!((flips(&plan, &harp).as_str(), plan.totals.respelled), ("D5 up, D5 down", 1));

    let refused = at_a_crawl(&[Edit::String { note, string: f_string }]);
    assert_eq!(refusals(&refused), [Refusal::StringCannotSound]);
    let gone = NoteName { at: quarter(3), ..note };
    assert_eq!(refusals(&at_a_crawl(&[Edit::String { note: gone, string: d_string }])), [Refusal::NoSuchNote]);

    // D5 set up beforehand must come down for the second note; E5 down can't go up before the very first.
    let preset = at_a_crawl(&[Edit::Preset { string: d_string, state: LeverState::Up }]);
    assert_eq!(preset.start.of(d_string), LeverState::Up);
    assert!(flips(&preset, &harp).starts_with("D5 down"), "{}", flips(&preset, &harp));
    let (e_string, _) = harp.string_of_letter("E5".parse().unwrap()).unwrap();
    let preset = at_a_crawl(&[Edit::Preset { string: e_string, state: LeverState::Down }]);
    assert_eq!((preset.start.of(e_string), preset.totals.unplayable), (LeverState::Down, 1));
    assert_eq!(preset.problems[0].kind, ProblemKind::NoRoomForFlip);
}

#[test]
fn impossible_wishes_are_refused_with_their_reason_and_nothing_is_lost() {
    let performance = two_flips();
    let free = with(&performance, &[]);
    let flip = names(&free, &performance)[0];
    let strings = |number: u8| StringNumber::new(number).unwrap();
    let bar = BarIndex::new;
    let cases = [
        // On the pluck of F4 itself, and after the F♯4 that needs it.
        (
            Edit::Place { flip, bar: bar(0), at: Ticks::ZERO },
            Refusal::OutsideTheWindow(free.gestures[0].flips[0].window),
        ),
        (
            Edit::Place { flip, bar: bar(2), at: quarter(1) },
            Refusal::OutsideTheWindow(free.gestures[0].flips[0].window),
        ),
        (Edit::Place { flip, bar: bar(9), at: quarter(1) }, Refusal::NoSuchBar),
        (Edit::Place { flip, bar: bar(0), at: quarter(4) }, Refusal::OutsideTheBar),
        (Edit::Hand { flip: FlipName { needed_in: bar(77), ..flip }, hand: Hand::Left }, Refusal::NoSuchBar),
        (Edit::Hand { flip: FlipName { needed_at: quarter(1), ..flip }, hand: Hand::Left }, Refusal::NotNeeded),
        (Edit::Hand { flip: FlipName { string: strings(55), ..flip }, hand: Hand::Left }, Refusal::NoSuchString),
        (Edit::Preset { string: strings(35), state: LeverState::Up }, Refusal::NoSuchString),
    ];
    for (edit, reason) in cases {
        let plan = with(&performance, &[edit]);
        assert_eq!(refusals(&plan), [reason], "{edit:?}");
        assert_eq!(plan.gestures.len(), free.gestures.len(), "{edit:?}");
        assert_eq!(plan.totals, free.totals, "{edit:?}");
    }
    let bare = harp(Tuning::EFlat).with_levers_on(&[Letter::F]);
    let preset = Edit::Preset { string: strings(1), state: LeverState::Up };
    assert_eq!(refusals(&planned(&performance, &bare, 60.0, EndOfPiece::Stop, &[preset])), [Refusal::NoLever]);
}

/// A flip that is named on a string without a lever, or on one that the harp doesn't have, in a bar that a shorter version of the
/// piece has lost: each is told with its reason, all at once, and the rest is planned as if they had not been said.
#[test]
fn wishes_of_another_harp_and_another_piece_are_told_together() {
    let performance = two_flips();
    let without_f: Vec<Letter> = Letter::ALL.into_iter().filter(|&letter| letter != Letter::F).collect();
    let harp = harp(Tuning::EFlat).with_levers_on(&without_f);
    let flip = names(&with(&performance, &[]), &performance)[0];
    let gone = FlipName { string: StringNumber::new(1).unwrap(), needed_in: BarIndex::new(12), ..flip };
    let note = NoteName { bar: BarIndex::new(12), at: Ticks::ZERO, pitch: "G4".parse().unwrap() };
    let edits = [
        Edit::Place { flip, bar: BarIndex::new(0), at: quarter(2) },
        Edit::Forbid { flip: gone },
        Edit::Place { flip: gone, bar: BarIndex::new(0), at: quarter(2) },
        Edit::String { note, string: StringNumber::new(40).unwrap() },
        Edit::String { note, string: StringNumber::new(2).unwrap() },
    ];
    let at_60 = |edits: &[Edit]| planned(&performance, &harp, 60.0, EndOfPiece::Stop, edits);
    // Of the two things said of the lost flip, and of the lost note, the later counts.
    let plan = at_60(&edits);
    assert_eq!(refusals_sorted(&plan), ["NoLever", "NoSuchBar", "NoSuchBar"]);
    let free = at_60(&[]);
    assert_eq!((plan.totals, &plan.gestures, &plan.strings), (free.totals, &free.gestures, &free.strings));
}

fn refusals_sorted(plan: &Plan) -> Vec<String> {
    let refused = plan.problems.iter().filter_map(|problem| problem.refused);
    let mut reasons: Vec<String> = refused.map(|refused| format!("{:?}", refused.reason)).collect();
    reasons.sort();
    reasons
}

/// Two notes of one moment asked for on one string that would have to be down for one and up for the other: one of them can't be
/// played, and both are named.
#[test]
fn strings_that_collide_are_told() {
    let performance = tune(0, "G4+Ab4");
    let harp = harp(Tuning::EFlat);
    let (g_string, _) = harp.string_of_letter("G4".parse().unwrap()).unwrap();
    let on_g = |pitch: &str| Edit::String {
        note: NoteName { bar: BarIndex::new(0), at: Ticks::ZERO, pitch: pitch.parse().unwrap() },
        string: g_string,
    };
    let plan = with(&performance, &[on_g("G4"), on_g("Ab4")]);
    assert_eq!((plan.totals.unplayable, plan.problems.len()), (1, 1));
    assert_eq!((plan.problems[0].kind, plan.problems[0].plucks.len()), (ProblemKind::SameString, 2));
    assert_eq!(with(&performance, &[on_g("G4")]).totals.unplayable, 0);
}

/// F4 to F♯4, again and again: the way back to F4 is needed by the loop and by nothing else, so it can't be left out; asked for at
/// another beat it is moved like any flip.
#[test]
fn a_loop_keeps_the_flip_that_closes_it() {
    let performance = tune(0, "F4 G4 A4 G4 F#4 G4 A4 G4");
    let harp = harp(Tuning::EFlat);
    let looped = |edits: &[Edit]| planned(&performance, &harp, 60.0, EndOfPiece::Loop, edits);
    let free = looped(&[]);
    assert_eq!((flips(&free, &harp).as_str(), &free.start), ("F4 up, F4 down", &free.end));
    let reset = names(&free, &performance)[1];
    let plan = looped(&[Edit::Forbid { flip: reset }]);
    assert_eq!(refusals(&plan), [Refusal::NeededByTheLoop]);
    assert_eq!((plan.totals, &plan.start), (free.totals, &plan.end));
    let moved = looped(&[Edit::Place { flip: reset, bar: BarIndex::new(1), at: quarter(1) }]);
    assert_eq!((refusals(&moved), moved.gestures[1].at.since_start()), (vec![], quarter(5)));
    // Once through, nothing asks for it.
    assert_eq!(
        refusals(&with(&performance, &[Edit::Place { flip: reset, bar: BarIndex::new(1), at: quarter(1) }])),
        [Refusal::NotNeeded]
    );
}

/// C4 and G4, far apart, fixed to one moment and one hand.
#[test]
fn locks_that_collide_are_told() {
    let performance = piece(0, &[line(Hand::Right, 1, "C4 G4 A4 B4 A4 B4 A4 B4 C#4 G#4")]);
    let harp = harp(Tuning::EFlat);
    let free = planned(&performance, &harp, 60.0, EndOfPiece::Stop, &[]);
    let flips = names(&free, &performance);
    assert_eq!(flips.len(), 2);
    let wishes =
        |flip| [Edit::Place { flip, bar: BarIndex::new(1), at: quarter(1) }, Edit::Hand { flip, hand: Hand::Left }];
    let edits = [wishes(flips[0]), wishes(flips[1])].concat();
    let plan = planned(&performance, &harp, 60.0, EndOfPiece::Stop, &edits);
    let first = flips.iter().min().unwrap();
    assert_eq!(refusals(&plan), [Refusal::Collides(*first)]);
    let fixed = plan.gestures.iter().filter(|gesture| gesture.at.since_start() == quarter(5)).count();
    assert_eq!((fixed, plan.totals.flips), (1, 2));
}

/// A newer decision takes the place of an older one about the same thing, and going back is going back to the old list.
#[test]
fn decisions_replace_each_other() {
    let flip = names(&with(&two_flips(), &[]), &two_flips())[0];
    let [left, right] = Hand::BOTH.map(|hand| Edit::Hand { flip, hand });
    let placed = Edit::Place { flip, bar: BarIndex::new(0), at: quarter(2) };
    let forbidden = Edit::Forbid { flip };
    assert_eq!(with_edit(&[placed, left], right), [placed, right]);
    assert_eq!(with_edit(&[placed, left], forbidden), [forbidden]);
    assert_eq!(with_edit(&[forbidden], left), [left]);
    assert_eq!(without_edit(&[placed, left], &placed), [left]);
}

/// What a place is said to cost is what a plan with the flip fixed there comes to.
#[test]
fn the_costs_of_places_are_those_of_plans() {
    let performance = two_flips();
    let harp = harp(Tuning::EFlat);
    let tempo = TempoMap::steady(Tempo::quarters(60.0).unwrap());
    let pace = HandPace::from(PaceLevel::Fluent);
    let request = Request {
        performance: &performance,
        harp: &harp,
        tempo: &tempo,
        pace: &pace,
        edits: &[],
        ending: EndOfPiece::Stop,
    };
    let free = with(&performance, &[]);
    let reasons = Reasons::of(&request, &free);
    let flip = names(&free, &performance)[0];
    let places = reasons.places(0);
    assert!(places.len() > 8, "eight beats with either hand: {}", places.len());
    let why = reasons.why(0).unwrap();
    assert_eq!(why.chosen.comfort, free.gestures[0].comfort);
    for place in &places {
        let bar = &performance.bars()[place.played_bar];
        let edits =
            [Edit::Place { flip, bar: bar.bar, at: place.at - bar.starts }, Edit::Hand { flip, hand: place.hand }];
        let plan = with(&performance, &edits);
        let gesture = plan.gestures.iter().find(|gesture| gesture.at == place.at).unwrap();
        assert_eq!((gesture.comfort, u32::from(gesture.is_rushed())), (place.comfort, place.rushed), "{place:?}");
        assert_eq!(place.parts.iter().map(|part| part.cost).sum::<u32>(), place.comfort);
        assert!(place.rank() >= why.chosen.rank());
    }
    let right = places.iter().find(|place| place.hand == Hand::Right).unwrap();
    assert!(right.parts.iter().any(|part| (part.reason, part.cost) == (Reason::RightHand, 5)), "the comfort table");
    let next = why.next_best.unwrap();
    let best = places.iter().filter(|place| place.at != why.chosen.at).map(|place| place.rank()).min();
    assert_eq!(Some(next.rank()), best);
}
