//! Passes that are over: each is judged and written down, and what becomes of it moves tempo, cues and flips on.

use leverlane_core::drill::{Ask, Day, Move, PassResult, Session, SessionPlan};
use leverlane_core::time::{ScoreTime, Seconds, Tempo};
use leverlane_core::verdict::{Evidence, FlipOutcome, Steadiness, Verdict, judge};
use leverlane_diary::{FlipName, PassRecord, PieceName};
use leverlane_listening::Wholeness;

use super::drilling;
use super::practising::on_to_the_next;
use crate::effects::{DiaryOrder, Effect, PlayedPass};
use crate::names;
use crate::state::{Follows, HeardPass, Listened, Loop, Notice, PassOver, State, Turn};

/// So many marks of a rung are kept.
const MOST_MARKS: usize = 12;

/// The pass that was sounding is over. It is judged at once, unless the microphone has something still to say of it. A rung
/// that was left in the middle of it gives way now.
pub(super) fn pass_over(state: &mut State, pass: u64) -> Vec<Effect> {
    let mut effects = stop_waiting(state);
    let follows = state.drill.practice.as_mut().and_then(|desk| desk.at_seam.take());
    if let Some(over) = ended(state, pass) {
        let hears = state.listening.hears();
        let desk = &mut state.drill.pass;
        desk.begin_pass();
        match desk.heard.take().filter(|heard| (heard.take, heard.pass) == (over.take, over.pass)) {
            Some(heard) => effects.extend(settle(state, over, Some(heard), Moved::AtSeam)),
            None if hears => desk.over = Some(Box::new(over)),
            None => effects.extend(settle(state, over, None, Moved::AtSeam)),
        }
    }
    effects.extend(match follows {
        Some(Follows::Rung) => begin_rung(state),
        Some(Follows::OtherFlip) => on_to_the_next(state),
        None => Vec::new(),
    });
    effects
}

/// Something was heard of a pass: of one that has ended, or of one whose music is over while its seam still sounds.
pub(super) fn heard(state: &mut State, heard: HeardPass) -> Vec<Effect> {
    let take = state.drill.take;
    let desk = &mut state.drill.pass;
    let is_its = |over: &PassOver| (over.take, over.pass) == (heard.take, heard.pass);
    match desk.over.take() {
        Some(over) if is_its(&over) => settle(state, *over, Some(heard), Moved::InPass),
        over => {
            desk.over = over;
            if heard.take == take {
                desk.heard = Some(heard);
            }
            Vec::new()
        }
    }
}

/// A pass that is waited for is judged without the microphone.
pub(super) fn stop_waiting(state: &mut State) -> Vec<Effect> {
    let over = state.drill.pass.over.take();
    over.map_or_else(Vec::new, |over| settle(state, *over, None, Moved::InPass))
}

/// A pass that is waited for is written down without the microphone, and moves nothing: what it belongs to is being left.
pub(super) fn keep_waiting(state: &mut State) -> Option<Effect> {
    let PassOver { expected, taps, word, played, .. } = *state.drill.pass.over.take()?;
    let verdict = judge(&expected, &Evidence { taps, word, ..Evidence::default() }, &state.limits());
    Some(written(*played?, &verdict))
}

/// A played pass for the diary.
fn written(played: PlayedPass, verdict: &Verdict) -> Effect {
    let record = played.record.clone().with_verdict(verdict, 0);
    Effect::Diary(DiaryOrder::Write(Box::new(PlayedPass { record, ..played })))
}

/// Where the music is when a pass is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Moved {
    /// Just where that pass has ended and the next begins.
    AtSeam,
    /// Within a later one.
    InPass,
}

/// A pass is judged, written down, and on a ladder the next one follows from it.
fn settle(state: &mut State, over: PassOver, heard: Option<HeardPass>, moved: Moved) -> Vec<Effect> {
    let listened = heard.as_ref().map_or(Listened::Not, |heard| match heard.whole {
        Wholeness::Whole => Listened::Whole,
        Wholeness::Broken => Listened::Broken,
    });
    if state.drill.practice.is_none() && listened == Listened::Not {
        // Off the ladder nothing is tapped or said; of what nobody has heard there is nothing to tell.
        return Vec::new();
    }
    // What is missing in a part that was not heard can't be told from what was not played.
    let heard = heard.filter(|_| listened == Listened::Whole).map(|heard| heard.evidence).unwrap_or_default();
    let evidence = Evidence { taps: over.taps, word: over.word, ..heard };
    let verdict = judge(&over.expected, &evidence, &state.limits());
    let mut effects = Vec::new();
    // What became of the notes is drawn on them.
    state.revision += 1;
    if let Some(played) = over.played {
        effects.push(written(*played, &verdict));
    }
    let result = PassResult::from(verdict.steady);
    let plucks = over.expected.notes.iter().map(|note| note.pluck);
    state.drill.pass.heard_notes = plucks.zip(verdict.notes.iter().map(|note| note.outcome)).collect();
    state.drill.pass.verdict = Some(verdict);
    state.drill.pass.listened = listened;
    effects.extend(climb(state, result, over.tempo, moved));
    effects
}

/// What a judged pass makes of the ladder.
fn climb(state: &mut State, result: PassResult, tempo: Tempo, moved: Moved) -> Vec<Effect> {
    // A pass that has begun is played to its end.
    let waits = moved == Moved::InPass && state.drill.transport.is_playing();
    let Some(desk) = &mut state.drill.practice else { return Vec::new() };
    if tempo != desk.practice.ladder.tempo() {
        // She is on another rung in the meantime, of which this pass says nothing.
        return Vec::new();
    }
    let level = desk.practice.cueing.level();
    let next = desk.practice.pass_over(result);
    desk.marks.push(result);
    let excess = desk.marks.len().saturating_sub(MOST_MARKS);
    desk.marks.drain(..excess);
    let recued = desk.practice.cueing.level() != level;
    desk.turn = match next {
        Move::Climbs => Some(Turn::Up),
        Move::StepsBack => Some(Turn::Down),
        Move::Stays | Move::Reached | Move::Stops => None,
    };
    let mut effects = match next {
        Move::Reached | Move::Stops => drilling::stop(state),
        Move::Climbs | Move::StepsBack => {
            desk.marks.clear();
            if waits {
                desk.at_seam = Some(Follows::Rung);
                Vec::new()
            } else {
                begin_rung(state)
            }
        }
        Move::Stays if recued => drilling::renew_at_next_pass(state),
        Move::Stays => Vec::new(),
    };
    effects.extend(session(state, waits));
    effects
}

/// Another tempo begins with its own count-in.
fn begin_rung(state: &mut State) -> Vec<Effect> {
    take_up_rung(state);
    state.drill.pass.begin_pass();
    drilling::renew_loop(state)
}

/// The tempo of the present rung is the one that is practised at.
pub(super) fn take_up_rung(state: &mut State) {
    if let Some(desk) = &mut state.drill.practice {
        desk.at_seam = None;
        state.drill.tempo = Some(desk.practice.ladder.tempo());
    }
}

/// Turns and pauses; `waits` is whether another flip's turn begins with the next seam only.
fn session(state: &mut State, waits: bool) -> Vec<Effect> {
    let now = Seconds::new(state.now.at as f64);
    let chunks = state.lesson.as_ref().map_or(1, |desk| desk.lesson.chunks.len());
    let session = state.drill.session.get_or_insert_with(|| Session::new(SessionPlan::default(), chunks, now));
    session.begins(now);
    match session.pass_over(now) {
        Ask::GoOn => Vec::new(),
        Ask::Pause => {
            let minutes = (SessionPlan::default().pause.get() / 60.0).round();
            let text = state.words().with("practice-pause", [("minutes", minutes.into())]);
            state.notice = Some(Notice::remark(text));
            Vec::new()
        }
        Ask::Turn(_) if waits => {
            if let Some(desk) = &mut state.drill.practice {
                desk.at_seam = Some(Follows::OtherFlip);
            }
            Vec::new()
        }
        Ask::Turn(_) if state.drill.transport.is_playing() => on_to_the_next(state),
        Ask::Turn(_) => Vec::new(),
    }
}

/// The pass that has just ended. Where a flip is practised it is about that flip: of others in the chunk nothing is asked,
/// for one foot tells of one movement.
fn ended(state: &State, pass: u64) -> Option<PassOver> {
    let looped = state.drill.looped.clone()?;
    let gestures = &state.plan.as_ref()?.plan.gestures;
    let mut expected = looped.asked.as_ref()?.expected.clone();
    if let Some(selected) = state.drill.selected {
        let earlier = gestures.get(looped.chunk.gestures.start..selected)?.iter();
        let earlier = earlier.map(|gesture| gesture.flips.len()).sum();
        let own = gestures.get(selected)?.flips.len();
        expected.flips = expected.flips.into_iter().skip(earlier).take(own).collect();
    }
    let desk = &state.drill.pass;
    Some(PassOver {
        take: state.drill.take,
        pass,
        expected,
        taps: (!desk.taps.is_empty()).then(|| desk.taps.clone()),
        word: desk.word,
        tempo: looped.tempo,
        played: played_pass(state, &looped),
    })
}

/// What goes into the diary, but for the verdict.
fn played_pass(state: &State, looped: &Loop) -> Option<Box<PlayedPass>> {
    let desk = state.drill.practice.as_ref()?;
    let (piece, planned) = (state.piece.as_ref()?, state.plan.as_ref()?);
    let gesture = planned.plan.gestures.get(state.drill.selected?)?;
    let first = gesture.flips.first()?;
    let words = state.words();
    let place = names::place(words, piece, gesture.played_bar, gesture.at);
    let lasted = looped.timeline.tempo.seconds_at(ScoreTime::from_start(looped.timeline.length));
    let record = PassRecord {
        at: state.now.at,
        day: Day::new(state.now.day),
        lasted_ms: (lasted.get() * 1000.0).round() as u32,
        tempo: looped.tempo,
        goal: desk.practice.ladder.plan().goal(),
        clean_to_hold: desk.practice.ladder.plan().clean_to_climb(),
        layer: desk.practice.layer(),
        size: desk.practice.size(),
        cues: desk.practice.cueing.level(),
        steady: Steadiness::Unheard,
        outcome: FlipOutcome::Unheard,
        notes: [0; 3],
        bias_us: None,
        spread_us: None,
        hesitation_us: None,
        hesitation_of_beat: None,
    };
    Some(Box::new(PlayedPass {
        piece: PieceName { title: piece.title(words), digest: piece.digest() },
        flip: FlipName {
            played_bar: u32::try_from(gesture.played_bar).unwrap_or(u32::MAX),
            at_ticks: gesture.at.since_start().get(),
            string: first.string,
            to: first.to,
            words: format!("{place}: {}", names::gesture(words, gesture)),
        },
        record,
    }))
}
