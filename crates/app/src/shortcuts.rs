//! Keys and pedals. Page-turner pedals send Page Up and Page Down, arrows, Space or Enter.

use eframe::egui::{self, Key, Modifiers};
use leverlane_core::drill::ChunkSize;
use leverlane_core::score::Hand;

use crate::intent::Intent;
use crate::state::{HelpPage, Origin, State, Voice};

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
    /// Open a file.
    Open,
    /// Open the demo piece.
    Demo,
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

/// Every key.
pub const BINDINGS: [Binding; 25] = [
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
    plain(Key::B, Action::ChunkSize),
    plain(Key::Num1, Action::Softer(Voice::Click)),
    plain(Key::Num2, Action::Louder(Voice::Click)),
    plain(Key::Num3, Action::Softer(Voice::Cue)),
    plain(Key::Num4, Action::Louder(Voice::Cue)),
    plain(Key::Num5, Action::Softer(Voice::Notes)),
    plain(Key::Num6, Action::Louder(Voice::Notes)),
    plain(Key::L, Action::SwitchHand(Hand::Left)),
    plain(Key::R, Action::SwitchHand(Hand::Right)),
    Binding { modifiers: Modifiers::COMMAND, key: Key::O, action: Action::Open },
    Binding { modifiers: Modifiers::COMMAND, key: Key::D, action: Action::Demo },
    plain(Key::F1, Action::Help),
    plain(Key::Questionmark, Action::Help),
    plain(Key::Escape, Action::Escape),
];

/// How far one press changes the practice tempo, in beats a minute.
pub const TEMPO_STEP: f64 = 2.0;

/// The keys pressed since the last frame, as intents. A menu that is open, or a control that has the focus and uses the
/// key itself, gets it instead.
pub fn read(ui: &egui::Ui, state: &State) -> Vec<Intent> {
    let context = ui.ctx();
    if egui::Popup::is_any_open(context) {
        return Vec::new();
    }
    let focused = context.memory(|memory| memory.focused().is_some());
    let mut intents = Vec::new();
    context.input_mut(|input| {
        for binding in BINDINGS {
            let belongs_to_focus = focused && matches!(binding.key, Key::Space | Key::Enter);
            if !belongs_to_focus && input.consume_key(binding.modifiers, binding.key) {
                intents.extend(intent(binding.action, state));
            }
        }
    });
    intents
}

fn intent(action: Action, state: &State) -> Option<Intent> {
    let mix = &state.wishes.mix;
    Some(match action {
        Action::StartOrStop => Intent::StartOrStop,
        Action::NextFlip => Intent::NextFlip,
        Action::PreviousFlip => Intent::PreviousFlip,
        Action::Faster => Intent::ChangeTempo(TEMPO_STEP),
        Action::Slower => Intent::ChangeTempo(-TEMPO_STEP),
        Action::ToGoal => Intent::TempoToGoal,
        Action::ChunkSize => Intent::UseChunkSize(next_size(state.drill.size)),
        Action::Softer(voice) => Intent::SetLevel(voice, mix.level(voice).changed_by(-1)),
        Action::Louder(voice) => Intent::SetLevel(voice, mix.level(voice).changed_by(1)),
        Action::SwitchHand(hand) => Intent::SwitchHand(hand),
        Action::Open => Intent::AskForFile,
        Action::Demo => Intent::Open(Origin::Demo),
        Action::Help => Intent::SwitchHelp,
        Action::Escape if state.help == HelpPage::Open => Intent::SwitchHelp,
        Action::Escape if state.notice.is_some() => Intent::DismissNotice,
        Action::Escape => Intent::Stop,
    })
}

fn next_size(size: ChunkSize) -> ChunkSize {
    match size {
        ChunkSize::FlipBar => ChunkSize::BarEachSide,
        ChunkSize::BarEachSide => ChunkSize::TwoBarsEachSide,
        ChunkSize::TwoBarsEachSide => ChunkSize::WholePiece,
        ChunkSize::WholePiece => ChunkSize::FlipBar,
    }
}
