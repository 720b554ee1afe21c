//! Pages that cover the place where the player is: settings, the tunes of a file. (Help and warnings have their
//! own files.)

use eframe::egui::{RichText, ScrollArea, Ui};
use leverlane_sound::ClickSound;

use crate::intent::{FileIntent, Intent, SettingsIntent};
use crate::keys::Action;
use crate::names;
use crate::state::{Colours, Distance, Movement, Side, State, Tunes};
use crate::theme;
use crate::views::pedal::midi_pedal_ui;
use crate::widgets::{Weight, choice_button_ui, key_button_ui, muted};
use crate::words::{Language, NoteNames, Octaves, Words};

/// A sheet's heading, with the way back.
pub fn heading_ui(words: Words, title: &str, ui: &mut Ui, intents: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        ui.label(RichText::new(title).font(theme::display(30.0)));
        let (back, spoken) = (words.text("sheet-back"), words.text("sheet-back-spoken"));
        if key_button_ui(ui, &back, "Esc", &spoken, Weight::Main).clicked() {
            intents.push(Intent::CloseSheet);
        }
    });
    ui.add_space(theme::FAR);
}

/// One of several choices in a row; the present one is filled.
fn choices_ui<T: Copy + PartialEq>(
    ui: &mut Ui,
    title: &str,
    choices: &[(T, String)],
    present: T,
    chosen: impl Fn(T) -> SettingsIntent,
    intents: &mut Vec<Intent>,
) {
    ui.label(RichText::new(title).font(theme::strong(19.0)));
    ui.horizontal_wrapped(|ui| {
        for (choice, label) in choices {
            if choice_button_ui(ui, label, &format!("{title}: {label}"), *choice == present) {
                intents.push(chosen(*choice).into());
            }
        }
    });
    ui.add_space(theme::NEAR);
}

/// Draws the settings.
pub fn settings_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (words, settings) = (state.words(), &state.settings);
    heading_ui(words, &words.text("settings"), ui, intents);
    ScrollArea::vertical().show(ui, |ui| {
        ui.take_available_width();
        let languages = Language::ALL.map(|language| (language, language.name().to_owned()));
        let title = words.text("settings-language");
        choices_ui(ui, &title, &languages, words.language, SettingsIntent::UseLanguage, intents);
        let notes = NoteNames::ALL.map(|notes| (notes, example(words, notes)));
        let title = words.text("settings-notes");
        choices_ui(ui, &title, &notes, words.notes, SettingsIntent::UseNotes, intents);
        let octaves = Octaves::ALL.map(|octaves| {
            let said = match octaves {
                Octaves::Scientific => words.text("octaves-scientific"),
                Octaves::Harpists => words.text("octaves-harpists"),
            };
            (octaves, said)
        });
        choices_ui(ui, &words.text("settings-octaves"), &octaves, words.octaves, SettingsIntent::UseOctaves, intents);
        let colours = Colours::ALL.map(|colours| {
            let said = match colours {
                Colours::AsSystem => words.text("colours-system"),
                Colours::Light => words.text("colours-light"),
                Colours::Dark => words.text("colours-dark"),
            };
            (colours, said)
        });
        choices_ui(
            ui,
            &words.text("settings-colours"),
            &colours,
            settings.colours,
            SettingsIntent::UseColours,
            intents,
        );
        let sides = Side::ALL.map(|side| {
            let said = match side {
                Side::BassLeft => words.text("side-bass-left"),
                Side::BassRight => words.text("side-bass-right"),
            };
            (side, said)
        });
        choices_ui(ui, &words.text("settings-side"), &sides, settings.side, SettingsIntent::UseSide, intents);
        let distances = Distance::ALL.map(|distance| {
            let said = match distance {
                Distance::Near => words.text("distance-near"),
                Distance::Far => words.text("distance-far"),
            };
            (distance, said)
        });
        let title = words.text("settings-distance");
        choices_ui(ui, &title, &distances, settings.distance, SettingsIntent::UseDistance, intents);
        let movements = Movement::ALL.map(|movement| {
            let said = match movement {
                Movement::Gliding => words.text("movement-gliding"),
                Movement::Stepping => words.text("movement-stepping"),
            };
            (movement, said)
        });
        let title = words.text("settings-movement");
        choices_ui(ui, &title, &movements, settings.movement, SettingsIntent::UseMovement, intents);
        click_ui(state, ui, intents);
        ui.label(RichText::new(words.text("settings-keys")).font(theme::strong(19.0)));
        let show = words.text("settings-keys-show");
        if key_button_ui(ui, &show, "", &show, Weight::Plain).clicked() {
            intents.push(SettingsIntent::WantKey(None).into());
        }
        ui.add_space(theme::NEAR);
        midi_pedal_ui(state, ui, intents);
    });
}

/// What the click sounds like, and what to know of the high one.
fn click_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let clicks = ClickSound::ALL.map(|sound| {
        let said = match sound {
            ClickSound::Usual => words.text("click-usual"),
            ClickSound::High => words.text("click-high"),
        };
        (sound, said)
    });
    let title = words.text("settings-click");
    choices_ui(ui, &title, &clicks, state.settings.mix.click_sound, SettingsIntent::UseClick, intents);
    let key = names::hint(state, Action::Pulse);
    ui.label(muted(ui, words.with("click-high-hint", [("key", key.into())])));
    ui.add_space(theme::NEAR);
}

/// The names of a few notes, as a player of that custom says them.
fn example(words: Words, notes: NoteNames) -> String {
    let words = Words { notes, ..words };
    let said = ["C4", "F#4", "Bb4", "B4"].into_iter().filter_map(|pitch| pitch.parse().ok());
    said.map(|pitch| words.note(pitch)).collect::<Vec<_>>().join("  ")
}

/// Draws the tunes of a file, to choose one.
pub fn tunes_ui(state: &State, tunes: &Tunes, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let gaps = [("count", tunes.tunes.len().into()), ("name", tunes.name.clone().into())];
    heading_ui(words, &words.with("tunes", gaps), ui, intents);
    ScrollArea::vertical().show_rows(ui, 34.0, tunes.tunes.len(), |ui, rows| {
        ui.take_available_width();
        for index in rows {
            let name = tunes.tunes.get(index).map_or("", |tune| tune.0.trim());
            if key_button_ui(ui, name, "", name, Weight::Plain).clicked() {
                intents.push(FileIntent::OpenTune(index).into());
            }
        }
    });
    ui.label(muted(ui, words.text("tunes-choose")));
}
