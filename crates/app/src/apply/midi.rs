//! Pedals that speak MIDI: which one is used, and what the feet do.

use super::{drilling, practising, settings};
use crate::effects::{Effect, MidiOrder};
use crate::intent::{DrillIntent, Foot, MidiIntent, PracticeIntent};
use crate::state::{MidiStanding, Place, State};

pub(super) fn apply(state: &mut State, intent: MidiIntent) -> Vec<Effect> {
    match intent {
        MidiIntent::LookForDevices => return vec![Effect::Midi(MidiOrder::LookForDevices)],
        MidiIntent::Devices(devices) => state.midi.devices = devices,
        MidiIntent::Use(device) => {
            state.settings.midi_pedal.clone_from(&device);
            state.midi.standing = MidiStanding::Apart;
            let order = device.map_or(MidiOrder::Leave, MidiOrder::Join);
            return vec![settings::keep(state), Effect::Midi(order)];
        }
        MidiIntent::Joined(name) => {
            if state.settings.midi_pedal.as_ref() == Some(&name) {
                state.midi.standing = MidiStanding::Joined;
            }
        }
        MidiIntent::Failed(reason) => state.midi.standing = MidiStanding::Failed(reason),
        MidiIntent::Foot(foot) => return step(state, foot),
    }
    Vec::new()
}

/// Feet work in the Drill alone, and only where nothing lies over it.
fn step(state: &mut State, foot: Foot) -> Vec<Effect> {
    if state.place != Place::Drill || state.sheet.is_some() || state.question.is_some() {
        return Vec::new();
    }
    match (foot, state.drill.practice.is_some()) {
        (Foot::Right, true) => practising::apply(state, PracticeIntent::RightPedal),
        (Foot::Left, true) => practising::apply(state, PracticeIntent::LeftPedal),
        (Foot::Tap, _) => practising::apply(state, PracticeIntent::Tap),
        (Foot::Right, false) => drilling::apply(state, DrillIntent::StartOrStop),
        (Foot::Left, false) => drilling::apply(state, DrillIntent::Next),
    }
}
