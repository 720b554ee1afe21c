//! Keys and pedals. Page-turner pedals send Page Up and Page Down, arrows, Space or Enter.

use eframe::egui::{self, Key, Modifiers};
use leverlane_core::drill::ChunkSize;
use leverlane_core::plan::PaceLevel;
use leverlane_core::score::Hand;
use leverlane_core::verdict::OwnWord;

use crate::intent::{
    Answer, Direction, DrillIntent, FileIntent, HarpIntent, Intent, ListeningIntent, PlanIntent, PracticeIntent,
};
use crate::state::{Origin, Place, Question, Sheet, State, Voice};
use crate::views::diary::name_field;

/// What a key asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Start or stop the loop.
    StartOrStop,
    /// To the next flip.
    NextFlip,
    /// To the previous flip.
    PreviousFlip,
    /// Practise faster.
    Faster,
    /// Practise slower.
    Slower,
    /// Practise at the goal tempo.
    ToGoal,
    /// More or less music around the flip.
    ChunkSize,
    /// A voice softer.
    Softer(Voice),
    /// A voice louder.
    Louder(Voice),
    /// A hand silent or heard.
    SwitchHand(Hand),
    /// Raise the wanted tempo.
    RaiseGoal,
    /// Lower the wanted tempo.
    LowerGoal,
    /// The next usual harp, smallest first.
    NextPreset,
    /// The next usual tuning.
    NextTuning,
    /// The next pace, slowest first.
    NextPace,
    /// Go to a place.
    Go(Place),
    /// Undo.
    Undo,
    /// Redo.
    Redo,
    /// Open a file.
    Open,
    /// Open the demo piece.
    Demo,
    /// Save.
    Save,
    /// Save under another name.
    SaveAs,
    /// Move the selected flip.
    Move(Direction),
    /// Give the selected flip to the other hand.
    OtherHand,
    /// Fix the selected flip, or leave it to the planner.
    Lock,
    /// Set the selected flip's levers before the start.
    Preset,
    /// Don't make the selected flip.
    Forbid,
    /// Writing down from paper, open or closed.
    Paper,
    /// Settings, open or closed.
    Settings,
    /// Practise on a ladder, or leave it.
    Ladder,
    /// What she says of the pass that sounds.
    Say(OwnWord),
    /// The flip is made now.
    Tap,
    /// Speak the count and the flips, or don't.
    Speech,
    /// Open the microphone, or close it.
    Listen,
    /// Show the beat, or don't.
    Pulse,
    /// Help, open or closed.
    Help,
    /// Close what is in front, else stop.
    Escape,
}

/// One key and what it does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Binding {
    /// Held with the key.
    pub modifiers: Modifiers,
    /// The key.
    pub key: Key,
    /// What it asks for.
    pub action: Action,
}

const fn plain(key: Key, action: Action) -> Binding {
    Binding { modifiers: Modifiers::NONE, key, action }
}

const fn with(modifiers: Modifiers, key: Key, action: Action) -> Binding {
    Binding { modifiers, key, action }
}

/// Every key; those with modifiers first, since a plain key also matches with Shift held.
pub const BINDINGS: [Binding; 54] = [
    with(Modifiers::COMMAND, Key::O, Action::Open),
    with(Modifiers::COMMAND, Key::D, Action::Demo),
    with(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::S, Action::SaveAs),
    with(Modifiers::COMMAND, Key::S, Action::Save),
    with(Modifiers::COMMAND, Key::N, Action::Paper),
    with(Modifiers::COMMAND, Key::Comma, Action::Settings),
    with(Modifiers::ALT, Key::ArrowLeft, Action::Move(Direction::Earlier)),
    with(Modifiers::ALT, Key::ArrowRight, Action::Move(Direction::Later)),
    with(Modifiers::COMMAND, Key::Num1, Action::Go(Place::Piece)),
    with(Modifiers::COMMAND, Key::Num2, Action::Go(Place::Harp)),
    with(Modifiers::COMMAND, Key::Num3, Action::Go(Place::Drill)),
    with(Modifiers::COMMAND, Key::Num4, Action::Go(Place::Diary)),
    with(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::Z, Action::Redo),
    with(Modifiers::COMMAND, Key::Z, Action::Undo),
    with(Modifiers::COMMAND, Key::Y, Action::Redo),
    with(Modifiers::SHIFT, Key::ArrowUp, Action::RaiseGoal),
    with(Modifiers::SHIFT, Key::ArrowDown, Action::LowerGoal),
    plain(Key::Space, Action::StartOrStop),
    plain(Key::Enter, Action::StartOrStop),
    plain(Key::PageDown, Action::NextFlip),
    plain(Key::ArrowRight, Action::NextFlip),
    plain(Key::PageUp, Action::PreviousFlip),
    plain(Key::ArrowLeft, Action::PreviousFlip),
    plain(Key::ArrowUp, Action::Faster),
    plain(Key::Plus, Action::Faster),
    plain(Key::ArrowDown, Action::Slower),
    plain(Key::Minus, Action::Slower),
    plain(Key::G, Action::ToGoal),
    plain(Key::K, Action::Ladder),
    plain(Key::C, Action::Say(OwnWord::Clean)),
    plain(Key::W, Action::Say(OwnWord::Missed)),
    plain(Key::M, Action::Tap),
    plain(Key::V, Action::Speech),
    plain(Key::E, Action::Listen),
    plain(Key::U, Action::Pulse),
    plain(Key::B, Action::ChunkSize),
    plain(Key::Num1, Action::Softer(Voice::Click)),
    plain(Key::Num2, Action::Louder(Voice::Click)),
    plain(Key::Num3, Action::Softer(Voice::Cue)),
    plain(Key::Num4, Action::Louder(Voice::Cue)),
    plain(Key::Num5, Action::Softer(Voice::Notes)),
    plain(Key::Num6, Action::Louder(Voice::Notes)),
    plain(Key::L, Action::SwitchHand(Hand::Left)),
    plain(Key::R, Action::SwitchHand(Hand::Right)),
    plain(Key::H, Action::NextPreset),
    plain(Key::T, Action::NextTuning),
    plain(Key::P, Action::NextPace),
    plain(Key::X, Action::OtherHand),
    plain(Key::F, Action::Lock),
    plain(Key::S, Action::Preset),
    plain(Key::Delete, Action::Forbid),
    plain(Key::F1, Action::Help),
    plain(Key::Questionmark, Action::Help),
    plain(Key::Escape, Action::Escape),
];

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
        for binding in BINDINGS {
            let is_text = types && !binding.modifiers.command && binding.key != Key::Escape;
            let is_plain = binding.modifiers.is_none();
            let belongs_to_focus = is_text || focused && is_plain && moves_focus_or_acts(binding.key);
            if !belongs_to_focus && input.consume_key(binding.modifiers, binding.key) {
                intents.extend(pedal(binding.key, state).or_else(|| intent(binding.action, state)));
            }
        }
    });
    intents
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

/// On a ladder the two keys of a page-turner pedal do what the feet have to do there.
fn pedal(key: Key, state: &State) -> Option<Intent> {
    let on_ladder = state.place == Place::Drill && state.sheet.is_none() && state.drill.practice.is_some();
    match key {
        Key::PageDown if on_ladder => Some(PracticeIntent::RightPedal.into()),
        Key::PageUp if on_ladder => Some(PracticeIntent::LeftPedal.into()),
        _ => None,
    }
}

/// The keys by which a control that has the focus is used or left.
fn moves_focus_or_acts(key: Key) -> bool {
    use Key::{ArrowDown, ArrowLeft, ArrowRight, ArrowUp, Enter, Space};
    matches!(key, Space | Enter | ArrowUp | ArrowDown | ArrowLeft | ArrowRight)
}

fn intent(action: Action, state: &State) -> Option<Intent> {
    let mix = &state.settings.mix;
    Some(match action {
        // In the Piece, Enter leads to the drill of the selected flip.
        Action::StartOrStop if state.place != Place::Drill && state.drill.selected.is_some() => {
            Intent::Go(Place::Drill)
        }
        Action::StartOrStop => DrillIntent::StartOrStop.into(),
        Action::Ladder => PracticeIntent::SwitchLadder.into(),
        Action::Say(word) => PracticeIntent::Say(word).into(),
        Action::Tap => PracticeIntent::Tap.into(),
        Action::Speech => PracticeIntent::SwitchSpeech.into(),
        Action::Listen => ListeningIntent::Switch.into(),
        Action::Pulse => ListeningIntent::SwitchPulse.into(),
        Action::NextFlip => DrillIntent::Next.into(),
        Action::PreviousFlip => DrillIntent::Previous.into(),
        Action::Faster => DrillIntent::ChangeTempo(TEMPO_STEP).into(),
        Action::Slower => DrillIntent::ChangeTempo(-TEMPO_STEP).into(),
        Action::ToGoal => DrillIntent::TempoToGoal.into(),
        Action::ChunkSize => DrillIntent::UseChunkSize(next(&SIZES, state.drill.size)).into(),
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
        Action::Help => Intent::Switch(Sheet::Help),
        Action::Escape if state.sheet.is_some() => Intent::CloseSheet,
        Action::Escape if state.work.opening.is_some() => FileIntent::GiveUp.into(),
        Action::Escape if state.notice.is_some() => Intent::DismissNotice,
        Action::Escape => DrillIntent::Stop.into(),
    })
}

/// The choice after the present one, round and round.
fn next<T: Copy + PartialEq>(choices: &[T], present: T) -> T {
    let place = choices.iter().position(|&choice| choice == present).map_or(0, |place| place + 1);
    choices.get(place % choices.len().max(1)).copied().unwrap_or(present)
}
