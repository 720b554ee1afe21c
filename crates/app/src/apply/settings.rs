//! Changing what holds for every piece.

use leverlane_core::verdict::Thresholds;
use leverlane_sound::ClickSound;

use crate::effects::{Effect, SoundOrder};
use crate::intent::SettingsIntent;
use crate::keys::Keys;
use crate::names;
use crate::state::{Notice, Pulse, Sheet, State};

pub(super) fn apply(state: &mut State, intent: SettingsIntent) -> Vec<Effect> {
    let settings = &mut state.settings;
    match intent {
        SettingsIntent::UseLanguage(language) => settings.words.language = language,
        SettingsIntent::UseNotes(notes) => settings.words.notes = notes,
        SettingsIntent::UseOctaves(octaves) => settings.words.octaves = octaves,
        SettingsIntent::UseColours(colours) => settings.colours = colours,
        SettingsIntent::UseSide(side) => settings.side = side,
        SettingsIntent::UseMovement(movement) => settings.movement = movement,
        SettingsIntent::UseClick(sound) => return click(state, sound),
        SettingsIntent::UseLimits(limits) => match limits.map(Thresholds::checked).transpose() {
            Ok(limits) => settings.limits = limits,
            Err(error) => {
                state.notice = Some(Notice::error(state.words().said(&names::thresholds_error(error))));
                return Vec::new();
            }
        },
        SettingsIntent::WantKey(wanted) => {
            state.sheet = Some(Sheet::Keys { wanted });
            return Vec::new();
        }
        SettingsIntent::SwitchKey(binding) => {
            settings.keys.switch(binding);
            state.sheet = Some(Sheet::Keys { wanted: None });
        }
        SettingsIntent::UsualKeys => settings.keys = Keys::default(),
        SettingsIntent::UseDistance(distance) => settings.distance = distance,
    }
    // What is on show was said in the old words.
    state.revision += 1;
    vec![keep(state)]
}

/// Takes effect with the next pass. A click that she may not hear is one to be seen.
fn click(state: &mut State, sound: ClickSound) -> Vec<Effect> {
    state.settings.mix.click_sound = sound;
    if sound == ClickSound::High {
        state.settings.pulse = Pulse::Shown;
    }
    vec![Effect::Sound(SoundOrder::Mix(state.sounding_mix())), keep(state)]
}

/// Has the settings saved.
pub(super) fn keep(state: &State) -> Effect {
    Effect::KeepSettings(Box::new(state.settings.clone()))
}
