//! The lever check and the tuner.

use leverlane_core::harp::{HarpString, LeverState};
use leverlane_core::pitch::Hertz;
use leverlane_hearing::{MeasuredPluck, Tuner};
use leverlane_listening::{SingleNews, SingleStrings};

use super::{harping, listening, settings};
use crate::effects::{Effect, ListeningOrder};
use crate::intent::RegulatingIntent;
use crate::state::{ConcertPitch, LeverCheck, Notice, PlucksEach, Sheet, State, TunerDesk};

pub(super) fn apply(state: &mut State, intent: RegulatingIntent) -> Vec<Effect> {
    let harp = state.wishes.harp.harp();
    match intent {
        RegulatingIntent::UsePitch(pitch) => return use_pitch(state, pitch),
        RegulatingIntent::Keep => return keep(state),
        _ => {}
    }
    let Some(check) = &mut state.regulating.check else { return Vec::new() };
    match intent {
        RegulatingIntent::Ask(string) => check.ask(string),
        RegulatingIntent::PassOver => check.ask_next(),
        RegulatingIntent::Before => check.ask_before(),
        RegulatingIntent::Again => *check = LeverCheck::new(harp, check.each),
        RegulatingIntent::UseEach(each) => check.each = each,
        RegulatingIntent::UsePitch(_) | RegulatingIntent::Keep => {}
    }
    Vec::new()
}

fn use_pitch(state: &mut State, pitch: ConcertPitch) -> Vec<Effect> {
    state.settings.concert_pitch = pitch;
    // What was heard was measured against another pitch.
    state.regulating.tuner = TunerDesk::default();
    let mut effects = vec![settings::keep(state)];
    if state.regulating.listens {
        effects.push(listen_to_strings(state));
    }
    effects
}

/// What was measured becomes part of the harp: a step that can be undone. A piece's own harp is saved with the piece.
fn keep(state: &mut State) -> Vec<Effect> {
    let Some(check) = &state.regulating.check else { return Vec::new() };
    let harp = state.wishes.harp.harp();
    let mut strings = harp.strings().to_vec();
    let mut kept = 0;
    for (finding, ..) in check.raises() {
        if let Some(string) = strings.get_mut(finding.string.index()) {
            *string = finding.kept_in(string);
            kept += 1;
        }
    }
    if kept == 0 {
        return Vec::new();
    }
    let effects = harping::measured(state, strings);
    state.notice = Some(Notice::remark(state.words().with("check-kept", [("count", kept.into())])));
    effects
}

/// Sees to it that single strings are listened to while one of the two pages is in front, and only then.
pub(super) fn follow_sheet(state: &mut State) -> Vec<Effect> {
    let wanted = matches!(state.sheet, Some(Sheet::LeverCheck | Sheet::Tuner));
    if wanted == state.regulating.listens {
        return Vec::new();
    }
    state.regulating.listens = wanted;
    state.listening.strings.clear();
    let mut effects = Vec::new();
    if wanted {
        effects.extend(super::drilling::stop(state));
        let harp = state.wishes.harp.harp();
        let goes_on = state.regulating.check.as_ref().is_some_and(|check| check.is_of(&harp));
        if state.sheet == Some(Sheet::LeverCheck) && !goes_on {
            state.regulating.check = Some(LeverCheck::new(harp, PlucksEach::default()));
        }
        effects.push(listen_to_strings(state));
        if !state.listening.is_on() {
            state.regulating.opened_ear = true;
            effects.extend(listening::switch(state));
        }
    } else {
        effects.push(Effect::Listen(ListeningOrder::Single(None)));
        if std::mem::take(&mut state.regulating.opened_ear) && state.listening.is_on() {
            effects.extend(listening::switch(state));
        }
    }
    effects
}

fn listen_to_strings(state: &State) -> Effect {
    let concert_pitch = state.settings.concert_pitch.hertz();
    let harp = state.wishes.harp.harp();
    let of_string = |string: &HarpString| {
        let states = [LeverState::Down, LeverState::Up].into_iter().filter(|lever| string.allows(*lever));
        states.map(|lever| Hertz::of_note(string.sounds(lever).midi(), concert_pitch)).collect::<Vec<_>>()
    };
    let likely = harp.strings().iter().flat_map(of_string).collect();
    Effect::Listen(ListeningOrder::Single(Some(SingleStrings { likely, concert_pitch })))
}

/// What was heard of a single string.
pub(super) fn hear(state: &mut State, news: SingleNews) {
    match news {
        SingleNews::Sounds(note) => state.listening.name_string(note),
        SingleNews::Measured(pluck) => take(state, pluck),
    }
}

fn take(state: &mut State, pluck: MeasuredPluck) {
    let (harp, concert_pitch) = (state.wishes.harp.harp(), state.settings.concert_pitch.hertz());
    match (&state.sheet, &mut state.regulating) {
        (Some(Sheet::LeverCheck), desk) => {
            if let Some(check) = &mut desk.check {
                check.take(concert_pitch, pluck);
            }
        }
        (Some(Sheet::Tuner), desk) => desk.tuner.take(&Tuner::new(&harp, concert_pitch), pluck),
        _ => {}
    }
}
