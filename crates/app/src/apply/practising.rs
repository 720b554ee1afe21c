//! Practice on a ladder: what the player asks of it, by pedal, key or mouse.

use leverlane_core::drill::{Cueing, LadderError, LadderPlan, Layer, Offer, PlayedHands, Practice, Speech};
use leverlane_core::plan::{Flip, Gesture};
use leverlane_core::score::Hand;
use leverlane_core::time::{ScoreTime, Tempo};
use leverlane_core::verdict::OwnWord;
use leverlane_diary::HeldFlip;
use leverlane_formats::documents::LessonChunk;

use super::{drilling, judging};
use crate::effects::{Effect, SoundOrder};
use crate::intent::{LadderSetUp, PracticeIntent};
use crate::names;
use crate::state::{LessonDesk, Notice, PassDesk, Place, PracticeDesk, State};

pub(super) fn apply(state: &mut State, intent: PracticeIntent) -> Vec<Effect> {
    match intent {
        PracticeIntent::SwitchLadder => switch_ladder(state),
        PracticeIntent::RightPedal => right_pedal(state),
        PracticeIntent::LeftPedal => left_pedal(state),
        PracticeIntent::Tap => tap(state),
        PracticeIntent::Say(word) => say(state, word),
        PracticeIntent::Take(offer) => take(state, offer),
        PracticeIntent::UseLayer(layer) => use_layer(state, layer),
        PracticeIntent::UseCues(level) => change(state, |practice| practice.cueing.choose(level)),
        PracticeIntent::UseFading(fading) => change(state, |practice| practice.cueing.use_fading(fading)),
        PracticeIntent::SwitchSpeech => {
            state.drill.speech = match state.drill.speech {
                Speech::Silent => Speech::Spoken,
                Speech::Spoken => Speech::Silent,
            };
            drilling::renew_loop(state)
        }
        PracticeIntent::SetUp(wanted) => set_up(state, &wanted),
        PracticeIntent::Held { piece, held } => {
            let is_open = state.piece.as_ref().is_some_and(|open| open.digest() == piece);
            if is_open { learn_standings(state, &held) } else { Vec::new() }
        }
        PracticeIntent::Now(moment) => {
            state.now = moment;
            Vec::new()
        }
    }
}

fn switch_ladder(state: &mut State) -> Vec<Effect> {
    if state.drill.practice.is_some() {
        let mut effects: Vec<Effect> = leave(state).into_iter().collect();
        effects.extend(drilling::renew_loop(state));
        return effects;
    }
    let Some(goal) = state.wishes.goal.filter(|_| state.drill.selected.is_some()) else { return Vec::new() };
    match LadderPlan::usual(goal) {
        Ok(plan) => begin(state, Practice::new(plan, Layer::Both, state.drill.size, Cueing::default())),
        Err(error) => {
            state.notice = Some(Notice::error(state.words().said(&names::ladder_error(error))));
            Vec::new()
        }
    }
}

/// A ladder that can't be is told, and the present one stays.
fn set_up(state: &mut State, wanted: &LadderSetUp) -> Vec<Effect> {
    let Some(desk) = &state.drill.practice else { return Vec::new() };
    let own = desk.practice.ladder.plan().goal();
    // A lesson's goal may be faster than the tempo she wants herself.
    let reaches = |goal: &Tempo| goal.quarters_per_minute() * LadderPlan::HEADROOM >= own.quarters_per_minute();
    let piece = state.wishes.goal.filter(reaches).unwrap_or(own);
    let plan = || -> Result<LadderPlan, LadderError> {
        let tempo = |per_minute| Tempo::beats(own.beat(), per_minute);
        let LadderSetUp { start, goal, step, clean_to_climb, scheme } = *wanted;
        LadderPlan::new(tempo(start)?, tempo(goal)?, piece, step, clean_to_climb, scheme)
    };
    match plan() {
        Ok(plan) => {
            if let Some(desk) = &mut state.drill.practice {
                desk.marks.clear();
            }
            change(state, |practice| practice.use_plan(plan))
        }
        Err(error) => {
            state.notice = Some(Notice::error(state.words().said(&names::ladder_error(error))));
            Vec::new()
        }
    }
}

/// Leaves the ladder, and remembers where. A pass that is still waited for goes into the diary as it is known.
pub(super) fn leave(state: &mut State) -> Option<Effect> {
    let kept = judging::keep_waiting(state);
    let gesture = selected(state).cloned();
    if let Some(desk) = state.drill.practice.take() {
        state.drill.pass = PassDesk::default();
        if let Some(gesture) = gesture {
            state.drill.standings.leave(&gesture, &desk.practice);
        }
    }
    kept
}

/// The diary has told what was held of the piece's flips in earlier sittings: practice that has only just begun goes on from
/// there.
pub(super) fn learn_standings(state: &mut State, held: &[HeldFlip]) -> Vec<Effect> {
    state.drill.standings.learn(held);
    let untouched = !state.drill.transport.is_playing()
        && state.drill.pass.verdict.is_none()
        && state.drill.practice.as_ref().is_some_and(|desk| desk.marks.is_empty());
    match state.drill.practice.take_if(|_| untouched) {
        Some(desk) => begin(state, desk.practice),
        None => Vec::new(),
    }
}

fn selected(state: &State) -> Option<&Gesture> {
    state.plan.as_ref()?.plan.gestures.get(state.drill.selected?)
}

/// Where the flip's practice was left in this sitting, or else on the rung that was held in an earlier one.
fn gone_on_with(state: &State, mut practice: Practice) -> Practice {
    let Some(gesture) = selected(state) else { return practice };
    let standings = &state.drill.standings;
    if let Some(left) = standings.left_on(gesture, practice.ladder.plan()) {
        return left.clone();
    }
    if let Some(held) = standings.held(gesture).filter(|_| practice.layer() == Layer::Both) {
        practice.resume_at(held);
    }
    practice
}

fn begin(state: &mut State, practice: Practice) -> Vec<Effect> {
    let practice = gone_on_with(state, practice);
    state.drill.size = practice.size();
    state.drill.tempo = Some(practice.ladder.tempo());
    state.drill.practice = Some(PracticeDesk::new(practice));
    state.drill.pass = PassDesk::default();
    state.place = Place::Drill;
    drilling::renew_loop(state)
}

/// The lesson's flips come up in turn; the first that this plan has is selected.
pub(super) fn begin_lesson(state: &mut State) -> Vec<Effect> {
    let chunks = state.lesson.as_ref().map_or(0, |desk| desk.lesson.chunks.len());
    (0..chunks).find_map(|chunk| use_lesson_chunk(state, chunk)).unwrap_or_default()
}

fn use_lesson_chunk(state: &mut State, chunk: usize) -> Option<Vec<Effect>> {
    let LessonDesk { lesson, .. } = state.lesson.as_ref()?;
    let wanted: LessonChunk = lesson.chunks.get(chunk)?.clone();
    let (piece, planned) = (state.piece.as_ref()?, state.plan.as_ref()?);
    let names = |flip: &Flip| flip.name(&piece.performance) == wanted.flip;
    let gesture = planned.plan.gestures.iter().position(|gesture| gesture.flips.iter().any(names))?;
    let mut effects: Vec<Effect> = leave(state).into_iter().collect();
    state.drill.selected = Some(gesture);
    state.lesson.as_mut()?.chunk = chunk;
    effects.extend(begin(state, Practice::new(wanted.ladder, wanted.layer, wanted.size, Cueing::default())));
    Some(effects)
}

fn right_pedal(state: &mut State) -> Vec<Effect> {
    if state.drill.transport.is_playing() {
        return tap(state);
    }
    match state.drill.practice.as_ref().and_then(|desk| desk.practice.offers().first().copied()) {
        Some(offer) => take(state, offer),
        None => drilling::start_or_stop(state),
    }
}

fn left_pedal(state: &mut State) -> Vec<Effect> {
    let Some(desk) = state.drill.practice.as_ref() else { return Vec::new() };
    if !state.drill.transport.is_playing() {
        return match desk.practice.offers().get(1).copied() {
            Some(offer) => take(state, offer),
            None => on_to_the_next(state),
        };
    }
    if state.drill.pass.word == Some(OwnWord::Missed) {
        return drilling::stop(state);
    }
    say(state, OwnWord::Missed)
}

/// The lesson's next chunk, or the next flip of the piece on a ladder of its own.
pub(super) fn on_to_the_next(state: &mut State) -> Vec<Effect> {
    if let Some(LessonDesk { lesson, chunk }) = &state.lesson {
        let (count, now) = (lesson.chunks.len(), *chunk);
        return (1..=count).find_map(|ahead| use_lesson_chunk(state, (now + ahead) % count)).unwrap_or_default();
    }
    let plan = state.drill.practice.as_ref().map(|desk| *desk.practice.ladder.plan());
    let mut effects: Vec<Effect> = leave(state).into_iter().collect();
    let forward = drilling::step_forward(state);
    effects.extend(match plan {
        Some(plan) => begin(state, Practice::new(plan, Layer::Both, state.drill.size, Cueing::default())),
        None => forward,
    });
    effects
}

fn tap(state: &mut State) -> Vec<Effect> {
    let Some(place) = state.drill.transport.place().filter(|place| !place.is_count_in()) else { return Vec::new() };
    let Some(looped) = state.drill.looped.clone() else { return Vec::new() };
    if state.drill.practice.is_some() {
        state.drill.pass.taps.push(looped.timeline.tempo.seconds_at(ScoreTime::from_start(place.at)));
    }
    Vec::new()
}

fn say(state: &mut State, word: OwnWord) -> Vec<Effect> {
    let sounding = state.drill.transport.place().is_some_and(|place| !place.is_count_in());
    if sounding && state.drill.practice.is_some() {
        state.drill.pass.word = Some(word);
    }
    Vec::new()
}

fn take(state: &mut State, offer: Offer) -> Vec<Effect> {
    let effects = change(state, |practice| practice.take(offer));
    if let Some(desk) = &mut state.drill.practice {
        desk.marks.clear();
        desk.turn = None;
        state.drill.pass.verdict = None;
        state.drill.pass.heard_notes.clear();
    }
    follow_layer(state);
    effects
}

fn use_layer(state: &mut State, layer: Layer) -> Vec<Effect> {
    let mut effects = change(state, |practice| practice.use_layer(layer));
    effects.extend(follow_layer(state));
    effects
}

/// The program plays the hand that is not practised, and leaves the other to the player.
fn follow_layer(state: &mut State) -> Option<Effect> {
    let hands = state.played_hands();
    if hands == PlayedHands::Both {
        return state.listening.is_on().then(|| Effect::Sound(SoundOrder::Mix(state.sounding_mix())));
    }
    for hand in Hand::BOTH {
        if state.settings.mix.hears(hand) == hands.plays(hand) {
            state.settings.mix.switch(hand);
        }
    }
    Some(Effect::Sound(SoundOrder::Mix(state.sounding_mix())))
}

/// Changes the practice, and the loop with it.
fn change(state: &mut State, change: impl FnOnce(&mut Practice)) -> Vec<Effect> {
    let Some(desk) = &mut state.drill.practice else { return Vec::new() };
    change(&mut desk.practice);
    desk.at_seam = None;
    state.drill.size = desk.practice.size();
    state.drill.tempo = Some(desk.practice.ladder.tempo());
    drilling::renew_loop(state)
}
