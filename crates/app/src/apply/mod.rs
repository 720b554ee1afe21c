//! The one place where an intent changes the state.

mod drilling;
mod looping;
mod opening;
mod planning;

pub use looping::make_loop;

use crate::effects::Effect;
use crate::intent::Intent;
use crate::state::{HelpPage, Notice, State};

/// Does what an intent asks, as far as it can be done here and now; the rest comes back as effects.
pub fn apply(state: &mut State, intent: Intent) -> Vec<Effect> {
    match intent {
        Intent::AskForFile => opening::ask_for_file(state),
        Intent::FileChosen(path) => opening::file_chosen(state, path),
        Intent::Open(origin) => opening::open(state, origin),
        Intent::OpenBytes { name, bytes } => opening::open_bytes(state, name, bytes),
        Intent::Opened { job, result } => opening::opened(state, job, result),
        Intent::PlanMade { job, planned } => planning::plan_made(state, job, planned),
        Intent::UsePreset(preset) => planning::wish(state, |wishes| wishes.harp.preset = preset),
        Intent::UseTuning(tuning) => planning::wish(state, |wishes| wishes.harp.tuning = tuning),
        Intent::UsePace(pace) => planning::wish(state, |wishes| wishes.pace = pace),
        Intent::ChangeGoal(by) => planning::change_goal(state, by),
        Intent::TakeWayOut { problem, way } => planning::take_way_out(state, problem, way),
        Intent::ForgetEdits => planning::wish(state, |wishes| wishes.edits.clear()),
        Intent::SelectFlip(flip) => drilling::select(state, flip),
        Intent::NextFlip => drilling::step(state, drilling::Direction::Forward),
        Intent::PreviousFlip => drilling::step(state, drilling::Direction::Back),
        Intent::UseChunkSize(size) => drilling::use_chunk_size(state, size),
        Intent::StartOrStop => drilling::start_or_stop(state),
        Intent::Stop => drilling::stop(state),
        Intent::ChangeTempo(by) => drilling::change_tempo(state, by),
        Intent::TempoToGoal => drilling::tempo_to_goal(state),
        Intent::SetLevel(voice, level) => drilling::mix(state, |mix| mix.set_level(voice, level)),
        Intent::SwitchHand(hand) => drilling::mix(state, |mix| mix.switch(hand)),
        Intent::Moved(place) => drilling::moved(state, place),
        Intent::SoundReady => {
            state.silent_because = None;
            Vec::new()
        }
        Intent::DismissSilence => {
            state.heeded_silence = state.silent_because.take();
            Vec::new()
        }
        Intent::NoSound(reason) => {
            if state.heeded_silence.as_ref() != Some(&reason) {
                state.silent_because = Some(reason);
            }
            Vec::new()
        }
        Intent::SoundLost(reason) => {
            state.notice = Some(Notice::error(reason));
            drilling::stop(state)
        }
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
        Intent::Copy(text) => vec![Effect::Copy(text)],
    }
}

#[cfg(test)]
mod tests;
