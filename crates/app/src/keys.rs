//! Which key asks for what. Page-turner pedals send Page Up and Page Down, arrows, Space or Enter; every key can be changed.

use eframe::egui::{Key, Modifiers};
use leverlane_core::score::Hand;
use leverlane_core::verdict::OwnWord;

use crate::intent::{Direction, LoopEnd};
use crate::state::{Place, Voice};

/// What a key asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Start or stop the loop.
    StartOrStop,
    /// The right pedal: on to the next flip; on a ladder, what its foot does there.
    RightPedal,
    /// The left pedal, likewise: back to the flip before.
    LeftPedal,
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
    /// The bars of the neighbouring flip as well.
    Join(Direction),
    /// The loop a bar longer or shorter at one end.
    LoopEnd(LoopEnd, Direction),
    /// The loop as notes, as strings, or hidden.
    Notes,
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
    /// How the ladder is set up, open or closed.
    LadderSetUp,
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
    /// The page on which the latency is measured by taps, open or closed.
    TapAlong,
    /// The lever check, open or closed.
    LeverCheck,
    /// The tuner, open or closed.
    Tuner,
    /// Help, open or closed.
    Help,
    /// Close what is in front, else stop.
    Escape,
}

/// Every action, with the word for it in files and texts.
const ACTIONS: [(Action, &str); 62] = [
    (Action::StartOrStop, "start"),
    (Action::RightPedal, "right-pedal"),
    (Action::LeftPedal, "left-pedal"),
    (Action::NextFlip, "next"),
    (Action::PreviousFlip, "previous"),
    (Action::Faster, "faster"),
    (Action::Slower, "slower"),
    (Action::ToGoal, "to-goal"),
    (Action::ChunkSize, "size"),
    (Action::Join(Direction::Earlier), "join-earlier"),
    (Action::Join(Direction::Later), "join-later"),
    (Action::LoopEnd(LoopEnd::Begin, Direction::Earlier), "begin-earlier"),
    (Action::LoopEnd(LoopEnd::Begin, Direction::Later), "begin-later"),
    (Action::LoopEnd(LoopEnd::End, Direction::Earlier), "end-earlier"),
    (Action::LoopEnd(LoopEnd::End, Direction::Later), "end-later"),
    (Action::Notes, "notes"),
    (Action::Ladder, "ladder"),
    (Action::LadderSetUp, "ladder-set-up"),
    (Action::Say(OwnWord::Clean), "clean"),
    (Action::Say(OwnWord::Missed), "wrong"),
    (Action::Tap, "tap"),
    (Action::Speech, "speech"),
    (Action::Listen, "listen"),
    (Action::Pulse, "pulse"),
    (Action::TapAlong, "tap-along"),
    (Action::Softer(Voice::Click), "click-softer"),
    (Action::Louder(Voice::Click), "click-louder"),
    (Action::Softer(Voice::Cue), "cue-softer"),
    (Action::Louder(Voice::Cue), "cue-louder"),
    (Action::Softer(Voice::Notes), "notes-softer"),
    (Action::Louder(Voice::Notes), "notes-louder"),
    (Action::Softer(Voice::Guide), "guide-softer"),
    (Action::Louder(Voice::Guide), "guide-louder"),
    (Action::SwitchHand(Hand::Left), "left-hand"),
    (Action::SwitchHand(Hand::Right), "right-hand"),
    (Action::Move(Direction::Earlier), "move-earlier"),
    (Action::Move(Direction::Later), "move-later"),
    (Action::OtherHand, "other-hand"),
    (Action::Lock, "lock"),
    (Action::Preset, "preset"),
    (Action::Forbid, "forbid"),
    (Action::RaiseGoal, "goal-up"),
    (Action::LowerGoal, "goal-down"),
    (Action::NextPreset, "next-harp"),
    (Action::NextTuning, "next-tuning"),
    (Action::NextPace, "next-pace"),
    (Action::Go(Place::Piece), "go-piece"),
    (Action::Go(Place::Harp), "go-harp"),
    (Action::Go(Place::Drill), "go-drill"),
    (Action::Go(Place::Diary), "go-diary"),
    (Action::Undo, "undo"),
    (Action::Redo, "redo"),
    (Action::Open, "open"),
    (Action::Demo, "demo"),
    (Action::Save, "save"),
    (Action::SaveAs, "save-as"),
    (Action::Paper, "paper"),
    (Action::Settings, "settings"),
    (Action::LeverCheck, "lever-check"),
    (Action::Tuner, "tuner"),
    (Action::Help, "help"),
    (Action::Escape, "escape"),
];

impl Action {
    /// Every action, those of the Drill first.
    pub fn all() -> impl Iterator<Item = Action> {
        ACTIONS.iter().map(|(action, _)| *action)
    }

    /// Its word in files and texts.
    pub fn code(self) -> &'static str {
        ACTIONS.iter().find(|(action, _)| *action == self).map_or("", |(_, code)| code)
    }

    /// The action of that word.
    pub fn of_code(code: &str) -> Option<Action> {
        ACTIONS.iter().find(|(_, word)| *word == code).map(|(action, _)| *action)
    }
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

/// The keys as they come.
const USUAL: [Binding; 67] = [
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
    plain(Key::PageDown, Action::RightPedal),
    plain(Key::ArrowRight, Action::NextFlip),
    plain(Key::PageUp, Action::LeftPedal),
    plain(Key::ArrowLeft, Action::PreviousFlip),
    plain(Key::ArrowUp, Action::Faster),
    plain(Key::Plus, Action::Faster),
    plain(Key::ArrowDown, Action::Slower),
    plain(Key::Minus, Action::Slower),
    plain(Key::G, Action::ToGoal),
    plain(Key::K, Action::Ladder),
    plain(Key::Y, Action::LadderSetUp),
    plain(Key::C, Action::Say(OwnWord::Clean)),
    plain(Key::W, Action::Say(OwnWord::Missed)),
    plain(Key::M, Action::Tap),
    plain(Key::V, Action::Speech),
    with(Modifiers::SHIFT, Key::E, Action::TapAlong),
    plain(Key::E, Action::Listen),
    plain(Key::U, Action::Pulse),
    plain(Key::B, Action::ChunkSize),
    with(Modifiers::SHIFT, Key::ArrowLeft, Action::Join(Direction::Earlier)),
    with(Modifiers::SHIFT, Key::ArrowRight, Action::Join(Direction::Later)),
    with(Modifiers::SHIFT, Key::Home, Action::LoopEnd(LoopEnd::Begin, Direction::Later)),
    with(Modifiers::SHIFT, Key::End, Action::LoopEnd(LoopEnd::End, Direction::Earlier)),
    plain(Key::Home, Action::LoopEnd(LoopEnd::Begin, Direction::Earlier)),
    plain(Key::End, Action::LoopEnd(LoopEnd::End, Direction::Later)),
    plain(Key::N, Action::Notes),
    plain(Key::Num1, Action::Softer(Voice::Click)),
    plain(Key::Num2, Action::Louder(Voice::Click)),
    plain(Key::Num3, Action::Softer(Voice::Cue)),
    plain(Key::Num4, Action::Louder(Voice::Cue)),
    plain(Key::Num5, Action::Softer(Voice::Notes)),
    plain(Key::Num6, Action::Louder(Voice::Notes)),
    plain(Key::Num7, Action::Softer(Voice::Guide)),
    plain(Key::Num8, Action::Louder(Voice::Guide)),
    plain(Key::L, Action::SwitchHand(Hand::Left)),
    plain(Key::R, Action::SwitchHand(Hand::Right)),
    plain(Key::H, Action::NextPreset),
    plain(Key::T, Action::NextTuning),
    plain(Key::P, Action::NextPace),
    plain(Key::X, Action::OtherHand),
    plain(Key::F, Action::Lock),
    plain(Key::S, Action::Preset),
    plain(Key::Delete, Action::Forbid),
    plain(Key::Q, Action::LeverCheck),
    plain(Key::A, Action::Tuner),
    plain(Key::F1, Action::Help),
    plain(Key::Questionmark, Action::Help),
    plain(Key::Escape, Action::Escape),
];

/// Whatever is in front can be closed by it.
const WAY_BACK: Binding = plain(Key::Escape, Action::Escape);

/// The keys as the player has them. A key asks for one thing only.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Keys {
    /// Those with the most modifiers first, since a plain key also matches with Shift held.
    bindings: Vec<Binding>,
}

impl Default for Keys {
    fn default() -> Keys {
        Keys::of(USUAL)
    }
}

impl Keys {
    /// Keys from a list; of two bindings of one key the later holds. Escape closes what is in front,
    /// whatever the list says of it.
    pub fn of(bindings: impl IntoIterator<Item = Binding>) -> Keys {
        let mut keys = Keys { bindings: Vec::new() };
        for binding in bindings {
            keys.add(if binding.key == Key::Escape { WAY_BACK } else { binding });
        }
        if !keys.bindings.contains(&WAY_BACK) {
            keys.add(WAY_BACK);
        }
        keys
    }

    /// All of them, in the order in which they are tried.
    pub fn bindings(&self) -> &[Binding] {
        &self.bindings
    }

    /// Those that ask for this.
    pub fn of_action(&self, action: Action) -> impl Iterator<Item = &Binding> {
        self.bindings.iter().filter(move |binding| binding.action == action)
    }

    /// The one that is shown beside the action's button.
    pub fn shown_for(&self, action: Action) -> Option<&Binding> {
        self.of_action(action).min_by_key(|binding| held(binding.modifiers))
    }

    /// Gives a key to an action, whoever had it; an action that has it already loses it.
    pub fn switch(&mut self, binding: Binding) {
        if binding.key == Key::Escape {
            return;
        }
        match self.bindings.iter().position(|known| *known == binding) {
            Some(place) => {
                self.bindings.remove(place);
            }
            None => self.add(binding),
        }
    }

    fn add(&mut self, binding: Binding) {
        self.bindings.retain(|known| (known.modifiers, known.key) != (binding.modifiers, binding.key));
        self.bindings.push(binding);
        self.bindings.sort_by_key(|binding| std::cmp::Reverse(held(binding.modifiers)));
    }
}

/// How many keys are held.
fn held(modifiers: Modifiers) -> usize {
    [modifiers.alt, modifiers.shift, modifiers.command].into_iter().filter(|held| *held).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_action_has_a_word_and_a_key() {
        for action in Action::all() {
            assert_eq!(Action::of_code(action.code()), Some(action));
            assert!(Keys::default().of_action(action).next().is_some(), "{action:?}");
        }
        assert_eq!(Action::of_code(""), None);
    }

    #[test]
    fn a_key_asks_for_one_thing() {
        let mut keys = Keys::default();
        keys.switch(plain(Key::PageDown, Action::StartOrStop));
        assert_eq!(keys.of_action(Action::RightPedal).count(), 0, "it has lost its only key");
        assert_eq!(keys.of_action(Action::StartOrStop).count(), 3);
        keys.switch(plain(Key::PageDown, Action::StartOrStop));
        assert_eq!(keys.of_action(Action::StartOrStop).count(), 2);
        keys.switch(plain(Key::Escape, Action::Undo));
        assert_eq!(keys.of_action(Action::Escape).count(), 1, "the way back stays");
    }

    /// A plain key also matches with Shift held: what is held with Shift must be tried before.
    #[test]
    fn keys_with_modifiers_are_tried_first() {
        let mut keys = Keys::default();
        keys.switch(with(Modifiers::SHIFT, Key::Space, Action::Tap));
        let place = |binding| keys.bindings().iter().position(|known| *known == binding).unwrap();
        assert!(place(with(Modifiers::SHIFT, Key::Space, Action::Tap)) < place(plain(Key::Space, Action::StartOrStop)));
    }
}
