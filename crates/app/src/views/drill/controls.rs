//! The foot: what is done while the hands are busy, each with its key.

use eframe::egui::{ComboBox, RichText, Role, Slider, Ui, WidgetInfo};
use leverlane_core::score::Hand;

use super::{listening, practice};
use crate::intent::{Direction, DrillIntent, Intent, LoopEnd, PracticeIntent};
use crate::keys::Action;
use crate::names;
use crate::shortcuts::{SIZES, TEMPO_STEP};
use crate::state::{Distance, Level, Notes, State, Voice};
use crate::theme;
use crate::views::Open;
use crate::widgets::{Weight, key_button_ui, muted};

/// How the loop is made longer or shorter.
const ENDS: [(LoopEnd, Direction); 4] = [
    (LoopEnd::Begin, Direction::Earlier),
    (LoopEnd::Begin, Direction::Later),
    (LoopEnd::End, Direction::Earlier),
    (LoopEnd::End, Direction::Later),
];

/// Draws the foot.
pub fn controls_ui(open: Open<'_>, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let state = open.state;
    let plays = state.drill.transport.is_playing();
    ui.horizontal_wrapped(|ui| {
        transport_ui(state, ui, intents);
        ui.add_space(theme::FAR);
        tempo_ui(state, ui, intents);
        ui.add_space(theme::FAR);
        size_ui(state, ui, intents);
        ui.add_space(theme::FAR);
        ladder_ui(state, ui, intents);
        listening::switch_ui(state, ui, intents);
        if state.drill.practice.is_none() {
            notes_ui(state, ui, intents);
        }
    });
    if let Some(desk) = &state.drill.practice {
        ui.horizontal_wrapped(|ui| {
            // While she plays her eyes are on the music: what is set up beforehand gives it its room.
            if !plays {
                practice::choices_ui(state, desk, ui, intents);
                ui.add_space(theme::FAR);
            }
            practice::pedals_ui(state, ui);
            ui.add_space(theme::FAR);
            notes_ui(state, ui, intents);
            if plays {
                listening::heard_ui(open, ui);
            }
        });
    }
    ui.add_space(2.0);
    ui.horizontal_wrapped(|ui| {
        let has_guide = state.piece.as_ref().is_some_and(|piece| !piece.performance.guide().is_empty());
        for voice in Voice::ALL.into_iter().filter(|voice| *voice != Voice::Guide || has_guide) {
            level_ui(state, voice, ui, intents);
            ui.add_space(theme::NEAR);
        }
        ui.add_space(theme::NEAR);
        for hand in Hand::BOTH {
            hand_ui(state, hand, ui, intents);
        }
        ui.add_space(theme::NEAR);
        practice::speech_ui(state, ui, intents);
        listening::pulse_switch_ui(state, ui, intents);
    });
    if plays && state.drill.practice.is_some() {
        listening::warning_ui(state, ui);
    } else {
        listening::listening_ui(open, ui, intents);
    }
}

fn transport_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let (label, name) =
        if state.drill.transport.is_playing() { ("stop", "stop-spoken") } else { ("start", "start-spoken") };
    ui.add_enabled_ui(state.drill.looped.is_some(), |ui| {
        if key_button_ui(
            ui,
            &words.text(label),
            &names::hint(state, Action::StartOrStop),
            &words.text(name),
            Weight::Main,
        )
        .clicked()
        {
            intents.push(DrillIntent::StartOrStop.into());
        }
    });
    // On a ladder the pedal's keys have other work.
    let keys = match state.drill.practice {
        Some(_) => [Action::PreviousFlip, Action::NextFlip],
        None => [Action::LeftPedal, Action::RightPedal],
    };
    let keys = keys.map(|action| names::hint(state, action));
    let has_flips = state.plan.as_ref().is_some_and(|planned| !planned.plan.gestures.is_empty());
    ui.add_enabled_ui(has_flips, |ui| {
        if key_button_ui(ui, &words.text("previous"), &keys[0], &words.text("previous-spoken"), Weight::Plain).clicked()
        {
            intents.push(DrillIntent::Previous.into());
        }
        if key_button_ui(ui, &words.text("next"), &keys[1], &words.text("next-button-spoken"), Weight::Plain).clicked()
        {
            intents.push(DrillIntent::Next.into());
        }
    });
}

fn ladder_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let (label, name) = match state.drill.practice {
        None => (words.text("ladder"), words.text("ladder-spoken")),
        Some(_) => (words.text("ladder-leave"), words.text("ladder-leave-spoken")),
    };
    ui.add_enabled_ui(state.drill.selected.is_some(), |ui| {
        if key_button_ui(ui, &label, &names::hint(state, Action::Ladder), &name, Weight::Plain).clicked() {
            intents.push(PracticeIntent::SwitchLadder.into());
        }
    });
}

fn tempo_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let Some(tempo) = state.drill.tempo else { return };
    if key_button_ui(ui, "−", &names::hint(state, Action::Slower), &words.text("slower-spoken"), Weight::Plain)
        .clicked()
    {
        intents.push(DrillIntent::ChangeTempo(-TEMPO_STEP).into());
    }
    let figure = words.number(tempo.per_minute());
    let response = ui.label(RichText::new(&figure).font(theme::display(30.0)));
    let spoken = words.with("tempo-spoken", [("tempo", names::tempo(words, tempo).into())]);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &spoken));
    if key_button_ui(ui, "+", &names::hint(state, Action::Faster), &words.text("faster-spoken"), Weight::Plain)
        .clicked()
    {
        intents.push(DrillIntent::ChangeTempo(TEMPO_STEP).into());
    }
    match state.wishes.goal {
        Some(goal) if goal != tempo => {
            let label = words.with("to-goal", [("tempo", words.number(goal.per_minute()).into())]);
            if key_button_ui(
                ui,
                &label,
                &names::hint(state, Action::ToGoal),
                &words.text("to-goal-spoken"),
                Weight::Plain,
            )
            .clicked()
            {
                intents.push(DrillIntent::TempoToGoal.into());
            }
        }
        _ if ui.max_rect().width() < 1300.0 => {}
        _ => {
            let unit = names::beat_unit(words, tempo.beat());
            ui.label(muted(ui, words.with("a-minute", [("unit", unit.into())])));
        }
    }
}

fn size_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    ui.label(muted(ui, words.text("loop")));
    let size = state.drill.size;
    let said = match &state.piece {
        Some(piece) => names::loop_size(words, piece, size),
        None => names::chunk_size(words, size),
    };
    let shown = ComboBox::from_id_salt("loop size").selected_text(&said).show_ui(ui, |ui| {
        for choice in SIZES {
            if ui.selectable_label(choice == size, names::chunk_size(words, choice)).clicked() {
                intents.push(DrillIntent::UseChunkSize(choice).into());
            }
        }
        for (direction, join) in [(Direction::Earlier, "join-earlier"), (Direction::Later, "join-later")] {
            let label = format!("{}  {}", words.text(join), names::hint(state, Action::Join(direction)));
            if ui.selectable_label(false, label).clicked() {
                intents.push(DrillIntent::Join(direction).into());
            }
        }
        for (end, direction) in ENDS {
            let action = Action::LoopEnd(end, direction);
            let label = format!("{}  {}", words.text(&format!("loop-{}", action.code())), names::hint(state, action));
            if ui.selectable_label(false, label).clicked() {
                intents.push(DrillIntent::MoveEnd(end, direction).into());
            }
        }
    });
    let name = words.with("loop-spoken", [("size", said.into())]);
    shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
    ui.label(muted(ui, names::hint(state, Action::ChunkSize)).font(theme::text(15.0)));
}

/// How the music is shown.
fn notes_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    if state.settings.distance == Distance::Far {
        // From afar it isn't.
        return;
    }
    let words = state.words();
    let said = |notes: Notes| match notes {
        Notes::Engraved => words.text("notes-engraved"),
        Notes::Strings => words.text("notes-strings"),
        Notes::Hidden => words.text("notes-hidden"),
    };
    let present = state.drill.notes;
    let shown = ComboBox::from_id_salt("notes").selected_text(said(present)).show_ui(ui, |ui| {
        for choice in Notes::ALL {
            if ui.selectable_label(choice == present, said(choice)).clicked() {
                intents.push(DrillIntent::UseNotes(choice).into());
            }
        }
    });
    let name = words.with("notes-spoken", [("notes", said(present).into())]);
    shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
    ui.label(muted(ui, names::hint(state, Action::Notes)).font(theme::text(15.0)));
}

fn level_ui(state: &State, voice: Voice, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let word = match voice {
        Voice::Click => words.text("voice-click"),
        Voice::Cue => words.text("voice-cue"),
        Voice::Notes => words.text("voice-notes"),
        Voice::Guide => words.text("voice-guide"),
    };
    let level = state.settings.mix.level(voice);
    let key = |ui: &Ui, action| muted(ui, names::hint(state, action)).font(theme::text(15.0));
    ui.label(&word);
    ui.label(key(ui, Action::Softer(voice)));
    let mut tenths = level.in_tenths();
    let response = ui
        .scope(|ui| {
            ui.spacing_mut().interact_size.y = 22.0;
            ui.add(Slider::new(&mut tenths, 0..=10).show_value(false).trailing_fill(true))
        })
        .inner;
    let name = words.with("voice-spoken", [("voice", word.into())]);
    response.widget_info(|| WidgetInfo::slider(true, f64::from(level.in_tenths()), &name));
    if response.changed() {
        intents.push(DrillIntent::SetLevel(voice, Level::tenths(tenths)).into());
    }
    ui.label(key(ui, Action::Louder(voice)));
}

fn hand_ui(state: &State, hand: Hand, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let heard = state.settings.mix.hears(hand);
    let words = state.words();
    let mark = match hand {
        Hand::Left => "◆",
        Hand::Right => "○",
    };
    let gap = [("hand", names::hand(words, hand).into())];
    let name = words.with("hand-spoken", gap.clone());
    let said = match heard {
        true if state.is_left_to_player(hand) => words.with("hand-yours", gap),
        true => words.with("hand-heard", gap),
        false => words.with("hand-silent", gap),
    };
    let response = key_button_ui(
        ui,
        &format!("{mark} {said}"),
        &names::hint(state, Action::SwitchHand(hand)),
        &name,
        Weight::Plain,
    );
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, heard, &name));
    if response.clicked() {
        intents.push(DrillIntent::SwitchHand(hand).into());
    }
}
