use std::sync::Arc;

use leverlane_core::drill::{ChunkSize, GoalHeld};
use leverlane_core::harp::Tuning;
use leverlane_core::plan::{Gesture, Pace, PaceLevel};
use leverlane_core::score::Hand;
use leverlane_core::time::Ticks;
use leverlane_core::verdict::OwnWord;
use leverlane_diary::HeldFlip;
use leverlane_formats::Said;
use leverlane_sound::ClickSound;

use super::*;
use crate::demo;
use crate::effects::{Asker, DiaryOrder, Kept, Opened, SoundOrder, make_plan, read_piece};
use crate::intent::{
    Direction, DrillIntent, FileIntent, Foot, HarpIntent, ListeningIntent, MidiIntent, PlanIntent, PracticeIntent,
    SettingsIntent,
};
use crate::state::{Level, Origin, PassPlace, Pulse, Voice, tuning_of};

fn demo_piece() -> Arc<Opened> {
    let piece = read_piece(Origin::Demo, demo::PIECE).unwrap();
    Arc::new(Opened::Piece { piece: Box::new(piece), kept: Box::new(Kept { is_safe: true, ..Kept::default() }) })
}

/// Applies an intent and makes any plan it asks for at once; gives back the sound orders.
fn act(state: &mut State, intent: Intent) -> Vec<SoundOrder> {
    let mut orders = Vec::new();
    for effect in apply(state, intent) {
        match effect {
            Effect::Plan { job, order } => {
                let planned = Arc::new(make_plan(&order));
                orders.extend(act(state, PlanIntent::Made { job, planned }.into()));
            }
            Effect::Sound(order) => orders.push(order),
            _ => {}
        }
    }
    orders
}

fn opened() -> State {
    let mut state = State::default();
    act(&mut state, FileIntent::Open(Origin::Demo).into());
    let job = state.work.opening.unwrap();
    act(&mut state, FileIntent::Opened { job, result: Ok(demo_piece()) }.into());
    state
}

/// The demo has at least six flips; a chunk has its own start setting.
#[test]
fn the_demo_opens_with_its_first_flip_selected() {
    let state = opened();
    assert_eq!(tuning_of(&state.wishes.harp), Some(Tuning::C), "the demo is arranged for a harp tuned in C");
    let planned = state.plan.as_ref().unwrap();
    assert!(planned.plan.totals.flips >= 6);
    assert_eq!(state.drill.selected, Some(0));
    assert!(state.drill.looped.as_ref().unwrap().chunk.gestures.contains(&0));
    assert_eq!(state.work.opening, None);
    assert_eq!(state.work.planning, None);
}

#[test]
fn a_refused_file_leaves_the_piece_open_and_says_why() {
    let mut state = opened();
    act(&mut state, FileIntent::Open(Origin::Dropped("x".to_owned())).into());
    let job = state.work.opening.unwrap();
    act(&mut state, FileIntent::Opened { job, result: Err(Said::quoted("x: found nothing")) }.into());
    assert!(state.piece.is_some() && state.plan.is_some());
    assert_eq!(state.notice.as_ref().unwrap().text, "x: found nothing");
    act(&mut state, Intent::DismissNotice);
    assert_eq!(state.notice, None);
}

#[test]
fn answers_to_older_jobs_are_dropped() {
    let mut state = State::default();
    apply(&mut state, FileIntent::Open(Origin::Demo).into());
    let old = state.work.opening.unwrap();
    apply(&mut state, FileIntent::Open(Origin::Demo).into());
    apply(&mut state, FileIntent::Opened { job: old, result: Ok(demo_piece()) }.into());
    assert!(state.piece.is_none());
    assert!(state.work.opening.is_some());
}

#[test]
fn flips_are_stepped_through_in_a_ring() {
    let mut state = opened();
    let count = state.plan.as_ref().unwrap().plan.gestures.len();
    act(&mut state, DrillIntent::Next.into());
    assert_eq!(state.drill.selected, Some(1));
    act(&mut state, DrillIntent::Previous.into());
    act(&mut state, DrillIntent::Previous.into());
    assert_eq!(state.drill.selected, Some(count - 1));
    act(&mut state, DrillIntent::Next.into());
    assert_eq!(state.drill.selected, Some(0));
    act(&mut state, DrillIntent::Select(count).into());
    assert_eq!(state.drill.selected, Some(0), "no such flip");
}

#[test]
fn starting_another_flip_while_playing_starts_its_loop() {
    let mut state = opened();
    let orders = act(&mut state, DrillIntent::StartOrStop.into());
    assert!(matches!(orders[..], [SoundOrder::Start { .. }]));
    act(&mut state, DrillIntent::Moved(PassPlace { pass: 1, at: Ticks::QUARTER }).into());
    assert_eq!(state.drill.transport.place().unwrap().at, Ticks::QUARTER);
    let orders = act(&mut state, DrillIntent::Next.into());
    let [SoundOrder::Start { looped, .. }] = &orders[..] else { panic!("expected a start, found {orders:?}") };
    assert!(looped.chunk.gestures.contains(&1));
    assert!(state.drill.transport.is_playing());
    let orders = act(&mut state, DrillIntent::StartOrStop.into());
    assert!(matches!(orders[..], [SoundOrder::Stop]));
    act(&mut state, DrillIntent::Moved(PassPlace { pass: 1, at: Ticks::QUARTER }).into());
    assert!(!state.drill.transport.is_playing(), "a late report doesn't start it again");
}

/// A new tempo comes with the next pass.
#[test]
fn a_new_practice_tempo_waits_for_the_next_pass_and_leaves_the_plan_alone() {
    let mut state = opened();
    let (plan, goal) = (state.plan.clone(), state.wishes.goal.unwrap());
    act(&mut state, DrillIntent::StartOrStop.into());
    let orders = act(&mut state, DrillIntent::ChangeTempo(-4.0).into());
    let [SoundOrder::NextPass(looped)] = &orders[..] else { panic!("expected the next pass, found {orders:?}") };
    assert_eq!(looped.timeline.tempo.opening().per_minute(), goal.per_minute() - 4.0);
    assert_eq!(state.plan, plan);
    let sounding = |state: &State| state.drill.looped.as_ref().unwrap().timeline.tempo.opening().per_minute();
    act(&mut state, DrillIntent::Moved(PassPlace { pass: 0, at: Ticks::QUARTER }).into());
    assert_eq!(sounding(&state), goal.per_minute(), "the pass that sounds is the old one");
    act(&mut state, DrillIntent::Moved(PassPlace { pass: 1, at: Ticks::ZERO }).into());
    assert_eq!(sounding(&state), goal.per_minute() - 4.0);
    act(&mut state, DrillIntent::TempoToGoal.into());
    assert_eq!(state.drill.tempo, Some(goal));
    for _ in 0..500 {
        act(&mut state, DrillIntent::ChangeTempo(-2.0).into());
    }
    // The slowest tempo there is: 5 quarters a minute (core).
    assert!(state.drill.tempo.unwrap().quarters_per_minute() >= 5.0);
}

#[test]
fn another_tuning_asks_for_another_plan_once() {
    let mut state = opened();
    let effects = apply(&mut state, HarpIntent::UseTuning(Tuning::EFlat).into());
    assert!(matches!(effects[..], [Effect::Plan { .. }, Effect::KeepForRecovery(_)]));
    assert!(apply(&mut state, HarpIntent::UseTuning(Tuning::EFlat).into()).is_empty(), "nothing has changed");
}

#[test]
fn the_loop_grows_with_its_size() {
    let mut state = opened();
    let bars = |state: &State| {
        let chunk = &state.drill.looped.as_ref().unwrap().chunk;
        chunk.last - chunk.first
    };
    let small = bars(&state);
    act(&mut state, DrillIntent::UseChunkSize(ChunkSize::TwoBarsEachSide).into());
    let larger = bars(&state);
    act(&mut state, DrillIntent::UseChunkSize(ChunkSize::WholePiece).into());
    let whole = state.piece.as_ref().unwrap().performance.bars().len() - 1;
    assert!(small < larger && larger < bars(&state));
    assert_eq!(bars(&state), whole);
}

#[test]
fn voices_and_hands_are_set_one_by_one() {
    let mut state = opened();
    let before = state.settings.mix;
    let orders = act(&mut state, DrillIntent::SetLevel(Voice::Cue, Level::tenths(40)).into());
    assert!(matches!(orders[..], [SoundOrder::Mix(_)]));
    act(&mut state, DrillIntent::SwitchHand(Hand::Left).into());
    let mix = state.settings.mix;
    assert_eq!((mix.cue, mix.click, mix.notes), (Level::FULL, before.click, before.notes));
    assert!(!mix.hears(Hand::Left) && mix.hears(Hand::Right));
}

/// Who chooses a click that she may not hear sees the beat; she may hide it, and keeps what she chose with the usual one.
#[test]
fn a_high_click_comes_with_a_beat_to_be_seen() {
    let mut state = opened();
    let orders = act(&mut state, SettingsIntent::UseClick(ClickSound::High).into());
    assert!(matches!(orders[..], [SoundOrder::Mix(mix)] if mix.click_sound == ClickSound::High));
    assert_eq!(state.settings.pulse, Pulse::Shown);
    act(&mut state, ListeningIntent::SwitchPulse.into());
    act(&mut state, SettingsIntent::UseClick(ClickSound::Usual).into());
    assert_eq!((state.settings.mix.click_sound, state.settings.pulse), (ClickSound::Usual, Pulse::Hidden));
}

#[test]
fn sound_that_breaks_off_stops_the_loop_with_a_message() {
    let mut state = opened();
    act(&mut state, DrillIntent::StartOrStop.into());
    act(&mut state, Intent::Sound(SoundNews::Lost(Said::quoted("the device is gone"))));
    assert!(!state.drill.transport.is_playing());
    assert_eq!(state.notice.as_ref().unwrap().text, "the device is gone");
}

#[test]
fn silence_is_told_until_it_is_heeded() {
    let mut state = State::default();
    act(&mut state, Intent::Sound(SoundNews::Missing(Said::quoted("no device"))));
    assert_eq!(state.silent_because.as_deref(), Some("no device"));
    act(&mut state, Intent::DismissSilence);
    act(&mut state, Intent::Sound(SoundNews::Missing(Said::quoted("no device"))));
    assert_eq!(state.silent_because, None, "she knows");
    act(&mut state, Intent::Sound(SoundNews::Missing(Said::quoted("another reason"))));
    assert!(state.silent_because.is_some());
    act(&mut state, Intent::Sound(SoundNews::Ready));
    assert_eq!(state.silent_because, None);
}

/// Undo and redo over everything that edits the piece; each change one step.
#[test]
fn every_decision_is_undone_and_done_again() {
    let mut state = opened();
    let fresh = (state.wishes.clone(), state.plan.clone());
    let changes: [Intent; 4] = [
        HarpIntent::UseTuning(Tuning::EFlat).into(),
        PlanIntent::UsePace(PaceLevel::Beginner.into()).into(),
        PlanIntent::ChangeGoal(-4.0).into(),
        HarpIntent::NextPreset.into(),
    ];
    let mut stages = vec![state.wishes.clone()];
    for change in changes {
        act(&mut state, change);
        stages.push(state.wishes.clone());
    }
    let last = (state.wishes.clone(), state.plan.clone());
    for stage in stages.iter().rev().skip(1) {
        act(&mut state, PlanIntent::Undo.into());
        assert_eq!(&state.wishes, stage);
    }
    assert!(!state.history.can_undo());
    assert_eq!((state.wishes.clone(), state.plan.clone()), fresh, "the plan is the first one again");
    assert_eq!(state.drill.tempo, state.wishes.goal, "practice at the goal follows it back");
    act(&mut state, PlanIntent::Undo.into());
    for stage in &stages[1..] {
        act(&mut state, PlanIntent::Redo.into());
        assert_eq!(&state.wishes, stage);
    }
    assert_eq!((state.wishes.clone(), state.plan.clone()), last);
    act(&mut state, PlanIntent::Undo.into());
    act(&mut state, PlanIntent::ChangeGoal(8.0).into());
    assert!(!state.history.can_redo(), "a new decision takes the place of what was taken back");
}

/// The loop sounds in the Drill only.
#[test]
fn leaving_the_drill_stops_the_loop() {
    let mut state = opened();
    act(&mut state, DrillIntent::StartOrStop.into());
    assert_eq!(state.place, Place::Drill);
    let orders = act(&mut state, Intent::Go(Place::Harp));
    assert!(matches!(orders[..], [SoundOrder::Stop]));
    assert!(!state.drill.transport.is_playing());
}

/// Hands that hold every gesture at two thirds of its top tempo need one and a half times the time that was assumed.
#[test]
fn the_plan_is_made_for_the_hands_that_the_diary_shows() {
    let mut state = opened();
    let piece = state.piece.clone().unwrap();
    let effects = apply(&mut state, PlanIntent::MeasurePace.into());
    let [Effect::Diary(DiaryOrder::Held { piece: asked, asker: Asker::Pace })] = &effects[..] else {
        panic!("{effects:?}")
    };
    assert_eq!(*asked, piece.digest());
    act(&mut state, PlanIntent::Held(Vec::new()).into());
    assert_eq!(state.wishes.pace, PaceLevel::Fluent.into(), "an empty diary tells nothing");

    let planned = state.plan.clone().unwrap();
    let held = |gesture: &Gesture| {
        Some(HeldFlip {
            at_ticks: gesture.at.since_start().get(),
            string: gesture.flips[0].string,
            to: gesture.flips[0].to,
            held: gesture.top_tempo?.quarters_per_minute / 1.5,
            goal_held: GoalHeld::NotYet,
        })
    };
    let held: Vec<HeldFlip> = planned.plan.gestures.iter().filter_map(held).collect();
    assert!(held.len() >= 3, "{held:?}");
    act(&mut state, PlanIntent::Held(held).into());
    assert_eq!(state.wishes.pace, "1.5".parse::<Pace>().unwrap());
    assert_ne!(state.plan, Some(planned), "it is planned anew");
    act(&mut state, PlanIntent::Undo.into());
    assert_eq!(state.wishes.pace, PaceLevel::Fluent.into());
}

/// A MIDI pedal works the Drill, and nothing while another place or a sheet is in front.
#[test]
fn midi_pedals_work_the_drill_alone() {
    let mut state = opened();
    let step = |state: &mut State, foot| act(state, MidiIntent::Foot(foot).into());
    assert!(step(&mut state, Foot::Right).is_empty(), "the Piece is in front");
    act(&mut state, Intent::Go(Place::Drill));
    assert!(matches!(step(&mut state, Foot::Right)[..], [SoundOrder::Start { .. }, ..]));
    act(&mut state, PracticeIntent::SwitchLadder.into());
    let at = Ticks::new(state.drill.looped.clone().unwrap().timeline.length.get() / 2);
    act(&mut state, DrillIntent::Moved(PassPlace { pass: 0, at }).into());
    step(&mut state, Foot::Tap);
    step(&mut state, Foot::Right);
    let desk = &state.drill.pass;
    assert_eq!(desk.taps.len(), 2, "while it plays, the right pedal taps too");
    step(&mut state, Foot::Left);
    assert_eq!(state.drill.pass.word, Some(OwnWord::Missed));
    assert!(matches!(step(&mut state, Foot::Left)[..], [SoundOrder::Stop]), "the left one a second time stops");
}

/// Bars of the player's own hold her flip, and give way to the usual ones for a flip that they don't hold.
#[test]
fn own_bars_are_looped_and_neighbours_joined() {
    let mut state = opened();
    let bars = |state: &State| {
        let looped = state.drill.looped.clone().unwrap();
        (looped.chunk.first, looped.chunk.last)
    };
    let gestures = state.plan.clone().unwrap().plan.gestures.clone();
    act(&mut state, DrillIntent::TakeBars { first: 9, last: 4 }.into());
    assert_eq!(bars(&state), (4, 9));
    let inside = |flip: usize| (4..=9).contains(&gestures[flip].played_bar);
    assert!(inside(state.drill.selected.unwrap()));
    let last_inside = (0..gestures.len()).filter(|&flip| inside(flip)).max().unwrap();
    act(&mut state, DrillIntent::Select(last_inside).into());
    assert_eq!(bars(&state).0, 4, "it is held by the bars");
    act(&mut state, DrillIntent::Join(Direction::Later).into());
    assert!(bars(&state).1 >= gestures[last_inside + 1].played_bar, "{:?}", bars(&state));
    assert!(state.drill.looped.clone().unwrap().chunk.gestures.contains(&(last_inside + 1)));
    let end = gestures.len() - 1;
    act(&mut state, DrillIntent::Select(end).into());
    assert_eq!(state.drill.size, ChunkSize::default());
    act(&mut state, DrillIntent::Join(Direction::Later).into());
    assert_eq!(state.drill.size, ChunkSize::default(), "there is none beyond the last");
}

/// A flip's practice goes on where it was left: in this sitting on its very rung, from an earlier one at the tempo it held.
#[test]
fn practice_goes_on_where_it_was_left() {
    let mut state = opened();
    let piece = state.piece.clone().unwrap().digest();
    let gesture = state.plan.clone().unwrap().plan.gestures[0].clone();
    act(&mut state, PracticeIntent::SwitchLadder.into());
    let rungs: Vec<f64> = {
        let ladder = &state.drill.practice.as_ref().unwrap().practice.ladder;
        assert_eq!(ladder.rung(), 0);
        ladder.rungs().iter().map(|rung| rung.quarters_per_minute()).collect()
    };
    let rung = |state: &State| state.drill.practice.as_ref().unwrap().practice.ladder.rung();
    let held = HeldFlip {
        at_ticks: gesture.at.since_start().get(),
        string: gesture.flips[0].string,
        to: gesture.flips[0].to,
        held: rungs[2] + 0.1,
        goal_held: GoalHeld::NotYet,
    };
    act(&mut state, PracticeIntent::Held { piece: "another".into(), held: vec![held] }.into());
    assert_eq!(rung(&state), 0, "that was another piece");
    act(&mut state, PracticeIntent::Held { piece, held: vec![held] }.into());
    assert_eq!(rung(&state), 2);
    act(&mut state, DrillIntent::ChangeTempo(2.0).into());
    assert_eq!(rung(&state), 3);
    act(&mut state, DrillIntent::Next.into());
    act(&mut state, PracticeIntent::SwitchLadder.into());
    assert_eq!(rung(&state), 0, "the next flip has not been practised");
    act(&mut state, DrillIntent::Previous.into());
    act(&mut state, PracticeIntent::SwitchLadder.into());
    assert_eq!(rung(&state), 3);
}
