//! What listening says.

use leverlane_core::harp::{Harp, LeverState, Setting};
use leverlane_core::pitch::{MidiNote, SpelledPitch};
use leverlane_core::verdict::{FlipOutcome, NoteOutcome, Verdict};
use leverlane_sound::capture::LevelWarning;
use leverlane_sound::clocks::ClockNews;
use leverlane_sound::latency::{LatencyError, TapsError};
use leverlane_sound::{MicrophoneError, MicrophoneLoss};

use crate::state::{ClockTrouble, State};
use crate::words::Words;

/// Why the microphone can't be opened, and what to do.
pub fn refusal(words: Words, error: &MicrophoneError) -> String {
    match error {
        MicrophoneError::NoMicrophone { reason } => words.with("ear-none", [("reason", reason.clone().into())]),
        MicrophoneError::Refused { reason } => words.with("ear-refused", [("reason", reason.clone().into())]),
        MicrophoneError::Busy { reason } => words.with("ear-busy", [("reason", reason.clone().into())]),
        MicrophoneError::NotFound { name, .. } => words.with("ear-not-found", [("name", name.clone().into())]),
        MicrophoneError::Rate { found } => words.with("ear-rate", [("found", (*found).into())]),
    }
}

/// Why the microphone was lost.
pub fn loss(words: Words, loss: MicrophoneLoss) -> String {
    match loss {
        MicrophoneLoss::Gone => words.text("ear-gone"),
        MicrophoneLoss::Changed => words.text("ear-changed"),
        MicrophoneLoss::Stopped => words.text("ear-stopped"),
    }
}

/// What is wrong with the level.
pub fn level_warning(words: Words, warning: LevelWarning) -> String {
    match warning {
        LevelWarning::Clipping => words.text("level-clipping"),
        LevelWarning::Noisy => words.text("level-noisy"),
        LevelWarning::DigitalSilence => words.text("level-silence"),
    }
}

/// What is amiss with the clocks.
pub fn clock_trouble(words: Words, trouble: ClockTrouble) -> String {
    let ms = |seconds: f64| [("ms", words.number((seconds * 1000.0).abs().round()).into())];
    match trouble {
        ClockTrouble::NoPlace => words.text("clock-no-place"),
        ClockTrouble::Clock(ClockNews::OutputJumped(by)) => words.with("clock-output", ms(by.get())),
        ClockTrouble::Clock(ClockNews::InputJumped(by)) => words.with("clock-input", ms(by.get())),
        ClockTrouble::Clock(ClockNews::WayJumped(by)) => words.with("clock-way", ms(by.get())),
        ClockTrouble::Clock(ClockNews::WayWanders(by)) => words.with("clock-wanders", ms(by.get())),
        ClockTrouble::Clock(ClockNews::RateUntrue(parts)) => {
            words.with("clock-rate", [("parts", words.number(parts.get().round()).into())])
        }
    }
}

/// Why no latency could be measured.
pub fn latency_error(words: Words, error: LatencyError) -> String {
    match error {
        LatencyError::NotHeard { clear, played } => {
            words.with("latency-not-heard", [("clear", clear.into()), ("played", played.into())])
        }
        LatencyError::Unsteady { spread } => {
            words.with("latency-unsteady", [("ms", words.number((spread.get() * 1000.0).round()).into())])
        }
        LatencyError::NoClocks => words.text("latency-no-clocks"),
    }
}

/// Why the taps told nothing.
pub fn taps_error(words: Words, error: TapsError) -> String {
    match error {
        TapsError::TooFew { found } => words.with("taps-too-few", [("found", found.into())]),
        TapsError::Uneven { spread } => {
            words.with("taps-uneven", [("ms", words.number((spread.get() * 1000.0).round()).into())])
        }
        TapsError::ClickHeard { heard, listened } => {
            words.with("taps-click-heard", [("heard", heard.into()), ("listened", listened.into())])
        }
    }
}

/// The pitch by which a string of this harp is named that was heard to sound so; of two that could, the one whose lever
/// stands for it. None where no string can.
pub fn heard_string(harp: &Harp, setting: &Setting, note: MidiNote) -> Option<SpelledPitch> {
    let as_set = harp.numbered().map(|(number, string)| string.sounds(setting.of(number)));
    let otherwise = harp.strings().iter().flat_map(|string| {
        let raised = string.lever.is_fitted().then(|| string.sounds(LeverState::Up));
        [Some(string.open), raised].into_iter().flatten()
    });
    as_set.chain(otherwise).find(|pitch| pitch.midi() == note)
}

/// What was heard of a pass, in figures: notes, time, flip.
pub fn heard_result(state: &State, verdict: &Verdict) -> String {
    let words = state.words();
    let ms = |seconds: f64| [("ms", words.number((seconds * 1000.0).abs().round()).into())];
    let count = |outcome| verdict.notes.iter().filter(|note| note.outcome == outcome).count();
    let counted = |key: &str, count: usize| (count > 0).then(|| words.with(key, [("count", count.into())]));
    let hit = [("hit", count(NoteOutcome::Hit).into()), ("expected", verdict.notes.len().into())];
    let mut parts = vec![words.with("result-notes", hit)];
    parts.extend(counted("result-wrong-lever", count(NoteOutcome::WrongLever)));
    parts.extend(counted("result-not-heard", count(NoteOutcome::NotHeard)));
    parts.extend(counted("result-extra", verdict.extra.len()));
    parts.extend(verdict.flips.first().map(|flip| match (flip.outcome, flip.cents) {
        (FlipOutcome::Clean, _) => words.text("result-flip-clean"),
        (FlipOutcome::Late, _) => words.text("result-flip-late"),
        (FlipOutcome::Half, Some(cents)) => {
            words.with("result-flip-half-cents", [("cents", words.number(cents.get().round()).into())])
        }
        (FlipOutcome::Half, None) => words.text("result-flip-half"),
        (FlipOutcome::Missed, _) => words.text("result-flip-missed"),
        (FlipOutcome::Unheard, _) => words.text("result-flip-unheard"),
    }));
    parts.extend(verdict.bias.filter(|_| state.tells_bias()).map(|bias| {
        let key = if bias.get() < 0.0 { "result-early" } else { "result-late" };
        words.with(key, ms(bias.get()))
    }));
    parts.extend(verdict.spread.map(|spread| words.with("result-spread", ms(spread.get()))));
    parts.extend(verdict.hesitation.map(|hesitation| {
        let key = if hesitation.longer_by.get() < 0.0 { "result-hurried" } else { "result-waited" };
        words.with(key, ms(hesitation.longer_by.get()))
    }));
    parts.join(" · ")
}
