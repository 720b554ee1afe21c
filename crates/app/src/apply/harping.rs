//! Changing the harp.

use leverlane_core::harp::{Harp, HarpString, Lever, LeverState, Preset, StringNumber, Tuning};
use leverlane_core::pitch::SpelledPitch;
use leverlane_core::plan::Edit;
use leverlane_formats::documents::HarpDocument;

use super::planning;
use crate::effects::Effect;
use crate::intent::{Fitting, HarpIntent};
use crate::names;
use crate::state::{Notice, State, preset_of, tuning_of};

pub(super) fn apply(state: &mut State, intent: HarpIntent) -> Vec<Effect> {
    let harp = &state.wishes.harp;
    match intent {
        HarpIntent::UsePreset(preset) => play_on(state, of_range(&state.wishes.harp, preset)),
        HarpIntent::UseTuning(tuning) => match tuned(harp, tuning) {
            Some(harp) => play_on(state, harp),
            None => Vec::new(),
        },
        HarpIntent::NextPreset => play_on(state, of_range(harp, after(&Preset::ALL, preset_of(harp)))),
        HarpIntent::NextTuning => match tuned(harp, after(&Tuning::ALL, tuning_of(harp))) {
            Some(harp) => play_on(state, harp),
            None => Vec::new(),
        },
        HarpIntent::UseLevers(letters) => match harp.clone() {
            HarpDocument::Preset { name, preset, tuning, .. } => {
                play_on(state, HarpDocument::Preset { name, preset, tuning, levers_on: letters })
            }
            HarpDocument::Listed(harp) => {
                let mut strings = harp.strings().to_vec();
                for string in &mut strings {
                    let has = letters.as_ref().is_none_or(|letters| letters.contains(&string.open.letter()));
                    string.lever = if has { fitted(string.lever) } else { Lever::NotFitted };
                }
                play_on_strings(state, harp.name().to_owned(), strings)
            }
        },
        HarpIntent::Select(string) => select(state, string),
        HarpIntent::SelectBeside(places) => {
            let now = state.harp.selected.map_or(0, StringNumber::get);
            let count = u8::try_from(harp.harp().strings().len()).unwrap_or(u8::MAX);
            let next = now.saturating_add_signed(places).clamp(1, count.max(1));
            StringNumber::new(next).map_or_else(Vec::new, |next| select(state, next))
        }
        HarpIntent::Tune(string, alter) => change_string(state, string, |changed| {
            let open = changed.open;
            changed.open = SpelledPitch::new(open.letter(), alter, open.octave()).unwrap_or(open);
        }),
        HarpIntent::Fit(string, fitting) => change_string(state, string, |changed| {
            changed.lever = match fitting {
                Fitting::Lever => fitted(changed.lever),
                Fitting::NoLever => Lever::NotFitted,
            };
        }),
        HarpIntent::SetBefore(string, lever) => set_before(state, string, lever),
    }
}

/// A lever that has been measured keeps its measure.
fn fitted(lever: Lever) -> Lever {
    if lever.is_fitted() { lever } else { Lever::UNCHECKED }
}

fn select(state: &mut State, string: StringNumber) -> Vec<Effect> {
    if state.wishes.harp.harp().string(string).is_some() {
        state.harp.selected = Some(string);
    }
    Vec::new()
}

/// Goes over to another harp. Levers set by hand stay where the new harp has the same string.
pub(super) fn play_on(state: &mut State, harp: HarpDocument) -> Vec<Effect> {
    let strings = harp.harp().strings().len();
    if state.harp.selected.is_some_and(|selected| selected.index() >= strings) {
        state.harp.selected = None;
    }
    let same_strings = state.wishes.harp.harp().strings().len() == strings;
    planning::wish(state, |wishes| {
        wishes.harp = harp;
        if !same_strings {
            // String numbers would mean other strings now.
            wishes.edits.clear();
        }
    })
}

fn play_on_strings(state: &mut State, name: String, strings: Vec<HarpString>) -> Vec<Effect> {
    match Harp::new(name, strings) {
        Ok(harp) => play_on(state, HarpDocument::Listed(harp)),
        Err(error) => {
            state.notice = Some(Notice::error(state.words().said(&names::harp_error(error))));
            Vec::new()
        }
    }
}

fn change_string(state: &mut State, number: StringNumber, change: impl FnOnce(&mut HarpString)) -> Vec<Effect> {
    let harp = state.wishes.harp.harp();
    let mut strings = harp.strings().to_vec();
    let Some(string) = strings.get_mut(number.index()) else { return Vec::new() };
    let before = string.clone();
    change(string);
    if *string == before {
        return Vec::new();
    }
    state.harp.selected = Some(number);
    play_on_strings(state, own_name(&state.wishes.harp), strings)
}

fn set_before(state: &mut State, number: StringNumber, lever: Option<LeverState>) -> Vec<Effect> {
    state.harp.selected = Some(number);
    planning::wish(state, |wishes| {
        wishes.edits.retain(|edit| !matches!(edit, Edit::Preset { string, .. } if *string == number));
        if let Some(state) = lever {
            wishes.edits.push(Edit::Preset { string: number, state });
        }
    })
}

/// The same harp with what its levers were measured to raise.
pub(super) fn measured(state: &mut State, strings: Vec<HarpString>) -> Vec<Effect> {
    play_on_strings(state, own_name(&state.wishes.harp), strings)
}

/// A harp changed by hand is no usual one any more; a name that the player gave it stays.
fn own_name(harp: &HarpDocument) -> String {
    match harp {
        HarpDocument::Preset { name, .. } => name.clone(),
        HarpDocument::Listed(harp) => harp.name().to_owned(),
    }
}

/// A usual harp of this range, tuned as the present one where that has a usual tuning.
fn of_range(harp: &HarpDocument, preset: Preset) -> HarpDocument {
    let levers_on = match harp {
        HarpDocument::Preset { levers_on, .. } => levers_on.clone(),
        HarpDocument::Listed(_) => None,
    };
    let tuning = tuning_of(harp).unwrap_or(Tuning::EFlat);
    HarpDocument::Preset { name: String::new(), preset, tuning, levers_on }
}

/// The same harp in another tuning; none where it has strings that can't be tuned so.
pub(super) fn tuned(harp: &HarpDocument, tuning: Tuning) -> Option<HarpDocument> {
    match harp {
        HarpDocument::Preset { name, preset, levers_on, .. } => {
            Some(HarpDocument::Preset { name: name.clone(), preset: *preset, tuning, levers_on: levers_on.clone() })
        }
        HarpDocument::Listed(harp) => harp.retuned(tuning).ok().map(HarpDocument::Listed),
    }
}

/// The choice after the present one, round and round.
fn after<T: Copy + PartialEq, const N: usize>(choices: &[T; N], present: Option<T>) -> T {
    let place = present.and_then(|present| choices.iter().position(|&choice| choice == present));
    choices[place.map_or(0, |place| (place + 1) % N)]
}
