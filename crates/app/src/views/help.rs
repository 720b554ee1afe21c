//! Help on one screen, cautions included.

use eframe::egui::{Align, Frame, Grid, Layout, Margin, RichText, ScrollArea, Ui};
use leverlane_core::score::Hand;
use leverlane_core::verdict::OwnWord;

use crate::intent::{Direction, Intent, LoopEnd, SettingsIntent};
use crate::keys::Action;
use crate::names;
use crate::state::{Place, State, Voice};
use crate::theme;
use crate::views::sheets::heading_ui;
use crate::widgets::{Weight, key_button_ui, muted};
use crate::words::Words;

/// The keys that are told here, in rows; what is missing stands in the table of keys.
const KEYS: [(&[Action], &str); 20] = [
    (&[Action::StartOrStop], "help-key-start"),
    (&[Action::RightPedal, Action::NextFlip], "help-key-next"),
    (&[Action::LeftPedal, Action::PreviousFlip], "help-key-previous"),
    (&[Action::Faster, Action::Slower], "help-key-tempo"),
    (&[Action::ToGoal], "help-key-goal"),
    (&[Action::Ladder, Action::Say(OwnWord::Clean), Action::Say(OwnWord::Missed), Action::Tap], "help-key-ladder"),
    (&[Action::Listen, Action::TapAlong, Action::Pulse], "help-key-listening"),
    (&[Action::ChunkSize, Action::Join(Direction::Earlier), Action::Join(Direction::Later)], "help-key-size"),
    (
        &[
            Action::LoopEnd(LoopEnd::Begin, Direction::Earlier),
            Action::LoopEnd(LoopEnd::End, Direction::Later),
            Action::Notes,
        ],
        "help-key-ends",
    ),
    (&[Action::RaiseGoal, Action::LowerGoal], "help-key-wanted"),
    (&[Action::NextPreset, Action::NextTuning, Action::NextPace], "help-key-harp"),
    (&[Action::LeverCheck, Action::Tuner], "help-key-regulating"),
    (
        &[
            Action::Softer(Voice::Click),
            Action::Louder(Voice::Click),
            Action::Softer(Voice::Cue),
            Action::Louder(Voice::Cue),
            Action::Softer(Voice::Notes),
            Action::Louder(Voice::Notes),
        ],
        "help-key-voices",
    ),
    (&[Action::SwitchHand(Hand::Left), Action::SwitchHand(Hand::Right)], "help-key-hands"),
    (&[Action::Move(Direction::Earlier), Action::Move(Direction::Later)], "help-key-move"),
    (&[Action::OtherHand, Action::Lock, Action::Preset, Action::Forbid], "help-key-edit"),
    (&[Action::Open, Action::Save, Action::Demo], "help-key-files"),
    (
        &[Action::Go(Place::Piece), Action::Go(Place::Harp), Action::Go(Place::Drill), Action::Go(Place::Diary)],
        "help-key-places",
    ),
    (&[Action::Undo, Action::Redo], "help-key-undo"),
    (&[Action::Escape], "help-key-escape"),
];

const READING: [&str; 5] = ["help-reading-1", "help-reading-2", "help-reading-3", "help-reading-4", "help-reading-5"];

const CAUTIONS: [&str; 4] = ["help-caution-1", "help-caution-2", "help-caution-3", "help-caution-4"];

/// Draws the page.
pub fn help_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    heading_ui(words, &words.text("head-help"), ui, intents);
    ScrollArea::vertical().show(ui, |ui| {
        ui.columns(2, |columns| {
            card_ui(&mut columns[0], &words.text("help-keys"), |ui| {
                Grid::new("keys").num_columns(2).min_row_height(0.0).spacing([20.0, 4.0]).show(ui, |ui| {
                    for (actions, what) in KEYS {
                        let hints: Vec<String> = actions.iter().map(|action| names::hint(state, *action)).collect();
                        ui.label(RichText::new(hints.join(", ")).font(theme::strong(18.0)));
                        ui.label(words.text(what));
                        ui.end_row();
                    }
                });
                let change = words.text("settings-keys-show");
                if key_button_ui(ui, &change, "", &change, Weight::Plain).clicked() {
                    intents.push(SettingsIntent::WantKey(None).into());
                }
            });
            card_ui(&mut columns[1], &words.text("help-reading"), |ui| paragraphs_ui(words, ui, &READING));
            card_ui(&mut columns[1], &words.text("help-cautions"), |ui| paragraphs_ui(words, ui, &CAUTIONS));
        });
        ui.add_space(theme::NEAR);
        let version = env!("CARGO_PKG_VERSION");
        ui.label(muted(ui, words.with("help-version", [("version", version.into())])));
    });
}

fn paragraphs_ui(words: Words, ui: &mut Ui, paragraphs: &[&str]) {
    for paragraph in paragraphs {
        ui.label(words.text(paragraph));
    }
}

fn card_ui(ui: &mut Ui, title: &str, contents: impl FnOnce(&mut Ui)) {
    ui.add_space(theme::NEAR);
    Frame::NONE.fill(theme::palette(ui).card).corner_radius(theme::ROUND).inner_margin(Margin::same(18)).show(
        ui,
        |ui| {
            ui.take_available_width();
            ui.with_layout(Layout::top_down(Align::Min), |ui| {
                ui.label(RichText::new(title).font(theme::strong(22.0)));
                ui.add_space(4.0);
                contents(ui);
            });
        },
    );
}
