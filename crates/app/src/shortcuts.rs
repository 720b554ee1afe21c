//! What the keys pressed since the last frame ask for.

use eframe::egui::{self, Key, Modifiers};
use leverlane_core::drill::ChunkSize;
use leverlane_core::plan::PaceLevel;
use leverlane_core::score::Hand;

use crate::intent::{
    Answer, DrillIntent, FileIntent, HarpIntent, Intent, ListeningIntent, PlanIntent, PracticeIntent, RegulatingIntent,
    SettingsIntent,
};
use crate::keys::{Action, Binding};
use crate::state::{ConcertPitch, Notes, Origin, Place, Question, Sheet, State};
use crate::views::diary::name_field;

/// How much music the loop can take, least first.
pub const SIZES: [ChunkSize; 4] =
    [ChunkSize::FlipBar, ChunkSize::BarEachSide, ChunkSize::TwoBarsEachSide, ChunkSize::WholePiece];

/// How far one press changes the practice tempo, in beats a minute.
pub const TEMPO_STEP: f64 = 2.0;

/// How far one press changes the wanted tempo, in beats a minute.
pub const GOAL_STEP: f64 = 4.0;

/// The keys pressed since the last frame, as intents. A menu that is open, or a control that has the focus and uses the
/// key itself, gets it instead.
pub fn read(ui: &egui::Ui, state: &State) -> Vec<Intent> {
    let context = ui.ctx();
    if egui::Popup::is_any_open(context) {
        return Vec::new();
    }
    if let Some(Sheet::Keys { wanted: Some(action) }) = state.sheet {
        return wanted_key(ui, action).map(Intent::from).into_iter().collect();
    }
    if let Some(question) = &state.question {
        return answers(ui, question);
    }
    if context.memory(|memory| memory.has_focus(name_field())) {
        return Vec::new();
    }
    let focused = context.memory(|memory| memory.focused().is_some());
    // Whoever types a text has the letters; Escape and what is pressed with Ctrl go on working.
    let types = context.text_edit_focused();
    let mut intents = Vec::new();
    context.input_mut(|input| {
        for binding in state.settings.keys.bindings() {
            let is_text = types && !binding.modifiers.command && binding.key != Key::Escape;
            let is_plain = binding.modifiers.is_none();
            let belongs_to_focus = is_text || focused && is_plain && moves_focus_or_acts(binding.key);
            if !belongs_to_focus && input.consume_key(binding.modifiers, binding.key) {
                intents.extend(intent(binding.action, state));
            }
        }
    });
    intents
}

/// The key that is pressed for an action, which then does nothing else. Escape leaves everything as it is; Tab stays what
/// the focus moves by.
fn wanted_key(ui: &egui::Ui, action: Action) -> Option<SettingsIntent> {
    ui.ctx().input_mut(|input| {
        let pressed = input.events.iter().find_map(|event| match event {
            egui::Event::Key { key, pressed: true, modifiers, .. } if *key != Key::Tab => Some((*key, *modifiers)),
            _ => None,
        });
        let (key, Modifiers { alt, shift, command, .. }) = pressed?;
        input.events.retain(|event| !matches!(event, egui::Event::Key { .. } | egui::Event::Text(_)));
        let modifiers = Modifiers { alt, shift, command, ..Modifiers::NONE };
        Some(match key {
            Key::Escape => SettingsIntent::WantKey(None),
            _ => SettingsIntent::SwitchKey(Binding { modifiers, key, action }),
        })
    })
}

/// While a question stands there, keys answer it and do nothing else.
fn answers(ui: &egui::Ui, question: &Question) -> Vec<Intent> {
    let focused = ui.ctx().memory(|memory| memory.focused().is_some());
    let (yes, no) = ui.ctx().input_mut(|input| {
        let yes = !focused && input.consume_key(Modifiers::NONE, Key::Enter);
        (yes, input.consume_key(Modifiers::NONE, Key::Escape))
    });
    let answer = match question {
        _ if no => Some(Answer::Cancel),
        _ if !yes => None,
        Question::SaveFirst(_) => Some(Answer::Save),
        Question::Recover(pieces) => pieces.first().map(|(file, _)| Answer::Recover(file.clone())),
    };
    answer.map(|answer| FileIntent::Answer(answer).into()).into_iter().collect()
}

fn selected_hand(state: &State) -> Option<Hand> {
    Some(state.plan.as_ref()?.plan.gestures.get(state.drill.selected?)?.hand)
}

/// The keys by which a control that has the focus is used or left.
fn moves_focus_or_acts(key: Key) -> bool {
    use Key::{ArrowDown, ArrowLeft, ArrowRight, ArrowUp, Enter, Space};
    matches!(key, Space | Enter | ArrowUp | ArrowDown | ArrowLeft | ArrowRight)
}

fn intent(action: Action, state: &State) -> Option<Intent> {
    if let Some(intent) = regulating(action, state).or_else(|| tapping(action, state)) {
        return intent;
    }
    let mix = &state.settings.mix;
    Some(match action {
        // In the Piece, Enter leads to the drill of the selected flip.
        Action::StartOrStop if state.place != Place::Drill && state.drill.selected.is_some() => {
            Intent::Go(Place::Drill)
        }
        Action::StartOrStop => DrillIntent::StartOrStop.into(),
        Action::Ladder => PracticeIntent::SwitchLadder.into(),
        Action::LadderSetUp if state.drill.practice.is_none() => return None,
        Action::LadderSetUp => Intent::Switch(Sheet::Ladder),
        Action::Say(word) => PracticeIntent::Say(word).into(),
        Action::Tap => PracticeIntent::Tap.into(),
        Action::Speech => PracticeIntent::SwitchSpeech.into(),
        Action::Listen => ListeningIntent::Switch.into(),
        Action::TapAlong => Intent::Switch(Sheet::TapAlong),
        Action::Pulse => ListeningIntent::SwitchPulse.into(),
        // On a ladder the two pedals do what the feet have to do there.
        Action::RightPedal if is_on_ladder(state) => PracticeIntent::RightPedal.into(),
        Action::LeftPedal if is_on_ladder(state) => PracticeIntent::LeftPedal.into(),
        Action::NextFlip | Action::RightPedal => DrillIntent::Next.into(),
        Action::PreviousFlip | Action::LeftPedal => DrillIntent::Previous.into(),
        Action::Faster => DrillIntent::ChangeTempo(TEMPO_STEP).into(),
        Action::Slower => DrillIntent::ChangeTempo(-TEMPO_STEP).into(),
        Action::ToGoal => DrillIntent::TempoToGoal.into(),
        Action::ChunkSize => DrillIntent::UseChunkSize(next(&SIZES, state.drill.size)).into(),
        Action::Join(direction) => DrillIntent::Join(direction).into(),
        Action::LoopEnd(end, direction) => DrillIntent::MoveEnd(end, direction).into(),
        Action::Notes => DrillIntent::UseNotes(next(&Notes::ALL, state.drill.notes)).into(),
        Action::Softer(voice) => DrillIntent::SetLevel(voice, mix.level(voice).changed_by(-1)).into(),
        Action::Louder(voice) => DrillIntent::SetLevel(voice, mix.level(voice).changed_by(1)).into(),
        Action::SwitchHand(hand) => DrillIntent::SwitchHand(hand).into(),
        Action::RaiseGoal => PlanIntent::ChangeGoal(GOAL_STEP).into(),
        Action::LowerGoal => PlanIntent::ChangeGoal(-GOAL_STEP).into(),
        Action::NextPreset => HarpIntent::NextPreset.into(),
        Action::NextTuning => HarpIntent::NextTuning.into(),
        Action::NextPace => PlanIntent::UsePace(next(&PaceLevel::ALL, state.wishes.pace.level()).into()).into(),
        Action::Go(place) => Intent::Go(place),
        Action::Undo => PlanIntent::Undo.into(),
        Action::Redo => PlanIntent::Redo.into(),
        Action::Open => FileIntent::Ask.into(),
        Action::Demo => FileIntent::Open(Origin::Demo).into(),
        Action::Save => FileIntent::Save.into(),
        Action::SaveAs => FileIntent::SaveAs.into(),
        Action::Move(direction) => PlanIntent::Nudge(direction).into(),
        Action::OtherHand => PlanIntent::GiveTo(!selected_hand(state)?).into(),
        Action::Lock => PlanIntent::SwitchLock.into(),
        Action::Preset => PlanIntent::Preset.into(),
        Action::Forbid => PlanIntent::Forbid.into(),
        Action::Paper => Intent::Switch(Sheet::Paper),
        Action::Settings => Intent::Switch(Sheet::Settings),
        Action::LeverCheck => Intent::Switch(Sheet::LeverCheck),
        Action::Tuner => Intent::Switch(Sheet::Tuner),
        Action::Help => Intent::Switch(Sheet::Help),
        Action::Escape if state.sheet.is_some() => Intent::CloseSheet,
        Action::Escape if state.work.opening.is_some() => FileIntent::GiveUp.into(),
        Action::Escape if state.work.planning.is_some() => PlanIntent::GiveUp.into(),
        Action::Escape if state.notice.is_some() => Intent::DismissNotice,
        Action::Escape => DrillIntent::Stop.into(),
    })
}

/// In the lever check and the tuner the keys of the drill do what there is to be done there, or nothing.
fn regulating(action: Action, state: &State) -> Option<Option<Intent>> {
    let is_check = match state.sheet {
        Some(Sheet::LeverCheck) => true,
        Some(Sheet::Tuner) => false,
        _ => return None,
    };
    match action {
        Action::NextFlip | Action::RightPedal if is_check => Some(Some(RegulatingIntent::PassOver.into())),
        Action::PreviousFlip | Action::LeftPedal if is_check => Some(Some(RegulatingIntent::Before.into())),
        Action::Faster | Action::Slower if !is_check => {
            let by = if action == Action::Faster { 1.0 } else { -1.0 };
            let wanted = ConcertPitch::of(state.settings.concert_pitch.hertz().get() + by);
            Some(wanted.map(|wanted| RegulatingIntent::UsePitch(wanted).into()))
        }
        Action::LeverCheck
        | Action::Tuner
        | Action::Listen
        | Action::Help
        | Action::Settings
        | Action::Escape
        | Action::Go(_)
        | Action::Save
        | Action::Undo
        | Action::Redo => None,
        _ => Some(None),
    }
}

/// While the latency is measured by taps, what starts the loop starts the clicks; the rest of the drill's keys do nothing.
fn tapping(action: Action, state: &State) -> Option<Option<Intent>> {
    if state.sheet != Some(Sheet::TapAlong) {
        return None;
    }
    match action {
        Action::StartOrStop | Action::RightPedal => Some(Some(ListeningIntent::MeasureByTaps.into())),
        Action::TapAlong | Action::Listen | Action::Help | Action::Settings | Action::Escape | Action::Go(_) => None,
        _ => Some(None),
    }
}

fn is_on_ladder(state: &State) -> bool {
    state.place == Place::Drill && state.sheet.is_none() && state.drill.practice.is_some()
}

/// The choice after the present one, round and round.
fn next<T: Copy + PartialEq>(choices: &[T], present: T) -> T {
    let place = choices.iter().position(|&choice| choice == present).map_or(0, |place| place + 1);
    choices.get(place % choices.len().max(1)).copied().unwrap_or(present)
}
