//! The one place where an intent changes the state.

mod bars;
mod drilling;
mod editing;
mod engraving;
mod harping;
mod judging;
mod keeping;
mod listening;
mod looping;
mod midi;
mod opening;
mod pacing;
mod planning;
mod practising;
mod regulating;
mod saving;
mod settings;

pub use looping::{make_cued_loop, make_loop};

use crate::effects::Effect;
use crate::intent::{Intent, SoundNews};
use crate::state::{Notice, Place, State};

/// Does what an intent asks, as far as it can be done here and now; the rest comes back as effects.
pub fn apply(state: &mut State, intent: Intent) -> Vec<Effect> {
    let mut effects = carry_out(state, intent);
    effects.extend(regulating::follow_sheet(state));
    effects.extend(listening::follow_sheet(state));
    effects
}

fn carry_out(state: &mut State, intent: Intent) -> Vec<Effect> {
    match intent {
        Intent::Go(place) => go(state, place),
        Intent::File(intent) => opening::apply(state, intent),
        Intent::Plan(intent) => planning::apply(state, intent),
        Intent::Harp(intent) => harping::apply(state, intent),
        Intent::Regulating(intent) => regulating::apply(state, intent),
        Intent::Drill(intent) => drilling::apply(state, intent),
        Intent::Score(intent) => engraving::apply(state, intent),
        Intent::Practice(intent) => practising::apply(state, intent),
        Intent::Listening(intent) => listening::apply(state, intent),
        Intent::Midi(intent) => midi::apply(state, intent),
        Intent::Diary(intent) => keeping::apply(state, intent),
        Intent::Sound(news) => hear(state, news),
        Intent::Trouble(reason) => {
            state.notice = Some(Notice::error(state.words().said(&reason)));
            Vec::new()
        }
        Intent::Settings(intent) => settings::apply(state, intent),
        Intent::Switch(sheet) => {
            state.sheet = if state.sheet.as_ref() == Some(&sheet) { None } else { Some(sheet) };
            Vec::new()
        }
        Intent::CloseSheet => {
            state.sheet = None;
            Vec::new()
        }
        Intent::DismissNotice => {
            state.notice = None;
            Vec::new()
        }
        Intent::DismissSilence => {
            state.heeded_silence = state.silent_because.take();
            Vec::new()
        }
        Intent::Copy(text) => vec![Effect::Copy(text)],
    }
}

/// The loop sounds in the Drill only: going elsewhere stops it.
fn go(state: &mut State, place: Place) -> Vec<Effect> {
    state.sheet = None;
    if state.place == place {
        return Vec::new();
    }
    state.place = place;
    let mut effects = drilling::stop(state);
    if place == Place::Diary {
        effects.extend(keeping::look(state));
    }
    effects
}

fn hear(state: &mut State, news: SoundNews) -> Vec<Effect> {
    match news {
        SoundNews::Ready => state.silent_because = None,
        SoundNews::Missing(reason) => {
            if state.heeded_silence.as_ref() != Some(&reason) {
                state.silent_because = Some(reason);
            }
        }
        SoundNews::Lost(reason) => {
            state.notice = Some(Notice::error(state.words().said(&reason)));
            return drilling::stop(state);
        }
    }
    Vec::new()
}

#[cfg(test)]
mod tests;
