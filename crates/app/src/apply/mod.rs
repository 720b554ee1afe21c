//! The one place where an intent changes the state.

mod drilling;
mod harping;
mod looping;
mod opening;
mod planning;

pub use looping::make_loop;

use crate::effects::Effect;
use crate::intent::{Intent, SoundNews};
use crate::state::{HelpPage, Notice, Place, State};

/// Does what an intent asks, as far as it can be done here and now; the rest comes back as effects.
pub fn apply(state: &mut State, intent: Intent) -> Vec<Effect> {
    match intent {
        Intent::Go(place) => go(state, place),
        Intent::File(intent) => opening::apply(state, intent),
        Intent::Plan(intent) => planning::apply(state, intent),
        Intent::Harp(intent) => harping::apply(state, intent),
        Intent::Drill(intent) => drilling::apply(state, intent),
        Intent::Sound(news) => hear(state, news),
        Intent::Trouble(reason) => {
            state.notice = Some(Notice::error(reason));
            Vec::new()
        }
        Intent::SwitchHelp => {
            state.help = match state.help {
                HelpPage::Closed => HelpPage::Open,
                HelpPage::Open => HelpPage::Closed,
            };
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
    state.help = HelpPage::Closed;
    if state.place == place {
        return Vec::new();
    }
    state.place = place;
    drilling::stop(state)
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
            state.notice = Some(Notice::error(reason));
            return drilling::stop(state);
        }
    }
    Vec::new()
}

#[cfg(test)]
mod tests;
