//! The microphone: opened and closed as the player wants it, and what it says.

use leverlane_listening::{Ear as Heard, Ears, News, Route, TapCount, Told};
use leverlane_sound::capture::ChannelChoice;
use leverlane_sound::latency::{Latency, MeasuredBy};

use super::{drilling, judging, regulating, settings};
use crate::effects::{Effect, ListeningOrder, SoundOrder};
use crate::intent::ListeningIntent;
use crate::names;
use crate::state::{ClockTrouble, Ear, Measuring, Notice, Pulse, Sheet, State};

pub(super) fn apply(state: &mut State, intent: ListeningIntent) -> Vec<Effect> {
    match intent {
        ListeningIntent::Switch => switch(state),
        ListeningIntent::UseMicrophone(microphone) => {
            state.settings.ears.microphone = microphone;
            with_other_ears(state)
        }
        ListeningIntent::SwitchHeadphones => {
            let route = &mut state.settings.ears.route;
            *route = match *route {
                Route::Loudspeaker => Route::Headphones,
                Route::Headphones => Route::Loudspeaker,
            };
            let mut effects = with_other_ears(state);
            effects.push(mixed(state));
            effects
        }
        ListeningIntent::LookForMicrophones => vec![Effect::Listen(ListeningOrder::LookForMicrophones)],
        ListeningIntent::Measure => measure(state, MeasuredBy::Sweeps),
        ListeningIntent::MeasureByTaps => measure_by_taps(state),
        ListeningIntent::SwitchPulse => {
            state.settings.pulse = match state.settings.pulse {
                Pulse::Hidden => Pulse::Shown,
                Pulse::Shown => Pulse::Hidden,
            };
            vec![settings::keep(state)]
        }
        ListeningIntent::NoSound => go_without(state, Ear::NoSound),
        ListeningIntent::NoThread => go_without(state, Ear::NoThread),
        ListeningIntent::Told(told) => hear(state, told),
        ListeningIntent::Heard(pass) => judging::heard(state, pass),
    }
}

pub(super) fn switch(state: &mut State) -> Vec<Effect> {
    if state.listening.is_on() {
        let mut effects = go_without(state, Ear::Closed);
        effects.push(Effect::Listen(ListeningOrder::Rest));
        return effects;
    }
    state.listening.ear = Ear::Opening;
    state.listening.forget_device();
    vec![open(state), Effect::Listen(ListeningOrder::LookForMicrophones), mixed(state)]
}

/// Has the microphone opened, whatever was open before.
fn open(state: &State) -> Effect {
    let ears = &state.settings.ears;
    let microphone = ears.microphone.as_ref().map(|known| known.id.clone());
    let ears = Ears { microphone, channel: ChannelChoice::Automatic, route: ears.route };
    Effect::Listen(ListeningOrder::Listen(ears))
}

/// The hands that she plays fall silent while the microphone hears the loudspeaker, and come back afterwards.
fn mixed(state: &State) -> Effect {
    Effect::Sound(SoundOrder::Mix(state.sounding_mix()))
}

fn with_other_ears(state: &mut State) -> Vec<Effect> {
    let mut effects = vec![settings::keep(state)];
    if state.listening.is_on() {
        state.listening.ear = Ear::Opening;
        state.listening.forget_device();
        effects.extend(judging::stop_waiting(state));
        effects.push(open(state));
    }
    effects
}

/// Nobody listens any more; practice goes on by taps and by her own word.
fn go_without(state: &mut State, ear: Ear) -> Vec<Effect> {
    state.listening.ear = ear;
    state.listening.forget_device();
    let mut effects = judging::stop_waiting(state);
    effects.push(mixed(state));
    effects
}

fn measure(state: &mut State, by: MeasuredBy) -> Vec<Effect> {
    if !state.listening.can_measure() {
        return Vec::new();
    }
    let mut effects = drilling::stop(state);
    state.listening.measuring = match by {
        MeasuredBy::Sweeps => Measuring::Running(0),
        MeasuredBy::Taps => Measuring::Tapping(TapCount::default()),
    };
    effects.push(Effect::Listen(ListeningOrder::Measure(by)));
    effects
}

fn measure_by_taps(state: &mut State) -> Vec<Effect> {
    if state.listening.can_tap() { measure(state, MeasuredBy::Taps) } else { Vec::new() }
}

/// Taps are counted only while their page is in front.
pub(super) fn follow_sheet(state: &mut State) -> Vec<Effect> {
    let in_front = state.sheet == Some(Sheet::TapAlong);
    match state.listening.measuring {
        Measuring::Tapping(_) if !in_front => {
            let mut effects = vec![Effect::Sound(SoundOrder::Stop)];
            effects.extend(break_off_measuring(state));
            effects
        }
        Measuring::TapsFailed(_) if !in_front => {
            state.listening.measuring = Measuring::No;
            Vec::new()
        }
        _ => Vec::new(),
    }
}

/// A measurement that runs gives way to the drill.
pub(super) fn break_off_measuring(state: &mut State) -> Option<Effect> {
    if !state.listening.measuring.runs() {
        return None;
    }
    state.listening.measuring = Measuring::No;
    Some(open(state))
}

fn hear(state: &mut State, told: Told) -> Vec<Effect> {
    if !state.listening.is_on() && !matches!(told, Told::Microphones(_) | Told::NotKept(_)) {
        // Said before it knew that nobody listens any more.
        return Vec::new();
    }
    let desk = &mut state.listening;
    match told {
        Told::Opened { name, latency } => {
            desk.ear = Ear::Open;
            desk.name = name;
            desk.latency = latency;
        }
        Told::Refused(error) => return go_without(state, Ear::Refused(error)),
        Told::News(news) => take_news(state, &news),
        Told::Ear(Heard::Lost(loss)) => {
            desk.ear = Ear::Lost(loss);
            desk.measuring = Measuring::No;
            desk.level = None;
            desk.strings.clear();
            return judging::stop_waiting(state);
        }
        Told::Ear(Heard::PickedUp) => desk.ear = Ear::Open,
        Told::Ear(Heard::Hears | Heard::Missing) => {}
        Told::Level(level) => desk.take_level(level),
        Told::Microphones(microphones) => desk.microphones = microphones,
        // The executor sees to it.
        Told::Play(_) => {}
        Told::Measuring(played) => desk.measuring = Measuring::Running(played),
        Told::Measured(measured) => take_measured(state, measured.map_err(Measuring::Failed), "latency-done"),
        Told::Tapping(count) => desk.measuring = Measuring::Tapping(count),
        Told::Tapped(measured) => take_measured(state, measured.map_err(Measuring::TapsFailed), "taps-done"),
        Told::NotKept(reason) => {
            state.notice = Some(Notice::error(state.words().said(&names::not_kept(&reason))));
        }
    }
    Vec::new()
}

fn take_news(state: &mut State, news: &News) {
    match news {
        News::Single(news) => regulating::hear(state, *news),
        News::Note(note) => state.listening.name_string(note.note),
        News::Clock(news) => state.listening.trouble = Some(ClockTrouble::Clock(*news)),
        News::NoPlace => state.listening.trouble = Some(ClockTrouble::NoPlace),
        // Single onsets are not told, and passes come by the number of their start.
        News::Onset { .. } | News::Pass(_) => {}
    }
}

fn take_measured(state: &mut State, measured: Result<Latency, Measuring>, done: &str) {
    match measured {
        Ok(latency) => {
            state.listening.latency = Some(latency);
            state.listening.measuring = Measuring::No;
            let ms = state.words().number((latency.seconds.get() * 1000.0).round());
            state.notice = Some(Notice::remark(state.words().with(done, [("ms", ms.into())])));
        }
        Err(failed) => state.listening.measuring = failed,
    }
}
