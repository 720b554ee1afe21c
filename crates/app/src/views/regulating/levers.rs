//! The lever check: which string to pluck, and by how much each lever raises its own.

use eframe::egui::{CentralPanel, Color32, Frame, Label, Margin, Panel, RichText, ScrollArea, Ui};
use leverlane_core::harp::{LeverState, Setting, StringNumber};
use leverlane_core::pitch::Cents;
use leverlane_hearing::{BuzzHint, RaiseBand, StringFinding};

use super::{ask_ui, is_lit, microphone_ui};
use crate::intent::{FileIntent, Intent, RegulatingIntent};
use crate::keys::Action;
use crate::names;
use crate::state::{Asked, LeverCheck, Misheard, PlucksEach, State};
use crate::theme::{self, Palette};
use crate::views::harp::picture::{Does, Figure, Mark, Shown, picture_ui};
use crate::views::sheets::heading_ui;
use crate::widgets::{Weight, choice_button_ui, key_button_ui, muted};
use crate::words::Words;

/// Draws the page.
pub fn lever_check_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    heading_ui(words, &words.text("check"), ui, intents);
    let Some(check) = &state.regulating.check else { return };
    let ask = ask(state, check);
    let amiss = check.misheard.map(|misheard| said_of(state, check, misheard));
    ask_ui(&ask, amiss.as_deref(), &words.text("check-how"), ui);
    ui.add_space(theme::NEAR);
    let ground = Frame::NONE.fill(theme::palette(ui).ground);
    Panel::bottom("check foot").frame(ground.inner_margin(Margin::symmetric(0, 8))).show_separator_line(false).show(
        ui,
        |ui| {
            microphone_ui(state, ui, intents);
            foot_ui(state, check, ui, intents);
        },
    );
    Panel::right("check found")
        .frame(ground.inner_margin(Margin { left: 16, right: 0, top: 0, bottom: 0 }))
        .exact_size(340.0)
        .resizable(false)
        .show_separator_line(false)
        .show(ui, |ui| found_ui(state, check, ui, intents));
    CentralPanel::default().frame(ground).show(ui, |ui| harp_ui(state, check, ui, intents));
}

fn name(state: &State, string: StringNumber) -> String {
    let harp = state.wishes.harp.harp();
    harp.string(string).map_or_else(String::new, |own| state.words().pitch(own.open))
}

fn ask(state: &State, check: &LeverCheck) -> String {
    let words = state.words();
    match check.asked {
        Asked::Nothing => words.text("check-over"),
        Asked::Pluck(string, lever) => {
            let key = match lever {
                LeverState::Down => "check-ask-open",
                LeverState::Up => "check-ask-raised",
            };
            words.with(key, [("string", name(state, string).into()), ("times", check.left().into())])
        }
    }
}

fn said_of(state: &State, check: &LeverCheck, misheard: Misheard) -> String {
    let words = state.words();
    let Asked::Pluck(string, _) = check.asked else { return String::new() };
    let string = name(state, string);
    match misheard {
        Misheard::StillDown => words.with("check-still-down", [("string", string.into())]),
        Misheard::Other(hertz) => {
            words.with("check-other", [("string", string.into()), ("hertz", words.number(hertz.get()).into())])
        }
    }
}

/// The harp, the asked string marked, each measured one with its deviation from a semitone.
fn harp_ui(state: &State, check: &LeverCheck, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (words, palette) = (state.words(), theme::palette(ui));
    let harp = state.wishes.harp.harp();
    let mut setting = Setting::all_down(&harp);
    let selected = match check.asked {
        Asked::Pluck(string, lever) => {
            setting.set(string, lever);
            Some(string)
        }
        Asked::Nothing => None,
    };
    let mark = |number: StringNumber| {
        let lit = harp.string(number).is_some_and(|string| is_lit(state, string, setting.of(number)));
        let Some(raise) = check.raise(number) else { return Mark { lit, ..Mark::default() } };
        let band = RaiseBand::of(raise);
        let figure = Figure { text: off(words, raise), ink: ink(palette, band), is_framed: needs_work(band) };
        Mark { lit, figure: Some(figure), said: said(state, number, raise) }
    };
    let shown = Shown { harp: &harp, setting: setting.clone(), selected, does: Does::Asks, mark: &mark };
    picture_ui(state, &shown, ui, intents);
}

fn needs_work(band: RaiseBand) -> bool {
    matches!(band, RaiseBand::Doubtful | RaiseBand::NeedsRegulation)
}

fn ink(palette: &Palette, band: RaiseBand) -> Color32 {
    match band {
        RaiseBand::Good => palette.accent,
        RaiseBand::Tolerable => palette.ink,
        RaiseBand::Doubtful | RaiseBand::NeedsRegulation => palette.alarm,
    }
}

/// How far from a semitone: `+2`, `−7`, `0`.
fn off(words: Words, raise: Cents) -> String {
    names::signed(words, raise.get() - Cents::SEMITONE.get())
}

fn band(words: Words, band: RaiseBand) -> String {
    match band {
        RaiseBand::Good => words.text("band-good"),
        RaiseBand::Tolerable => words.text("band-tolerable"),
        RaiseBand::Doubtful => words.text("band-doubtful"),
        RaiseBand::NeedsRegulation => words.text("band-regulate"),
    }
}

/// Below this note pitches are measured within some ten cents only, so that the figure is told as a rough one.
const ROUGH_BELOW: u8 = 48;

fn said(state: &State, string: StringNumber, raise: Cents) -> String {
    let words = state.words();
    let harp = state.wishes.harp.harp();
    let is_rough = harp.string(string).is_some_and(|own| own.open.midi().get() < ROUGH_BELOW);
    let gaps = [("cents", words.number(raise.get()).into()), ("band", band(words, RaiseBand::of(raise)).into())];
    words.with(if is_rough { "check-raises-roughly" } else { "check-raises" }, gaps)
}

/// What was found, the lowest string first, and how it was when it was last kept.
fn found_ui(state: &State, check: &LeverCheck, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let lines: Vec<String> = check.raises().map(|found| line(state, check, found)).collect();
    if lines.is_empty() {
        ui.add(Label::new(muted(ui, words.text("check-bands"))).wrap());
        return;
    }
    ui.horizontal_wrapped(|ui| {
        let keep = words.text("check-keep");
        // In the middle of a check the next string comes first.
        let weight = if check.asked == Asked::Nothing { Weight::Main } else { Weight::Plain };
        if key_button_ui(ui, &keep, "", &keep, weight).clicked() {
            intents.push(RegulatingIntent::Keep.into());
        }
        let copy = words.text("check-copy");
        if key_button_ui(ui, &copy, "", &copy, Weight::Plain).clicked() {
            intents.push(Intent::Copy(report(state, check)));
        }
        let save = words.text("check-save");
        if key_button_ui(ui, &save, "", &save, Weight::Plain).clicked() {
            intents.push(FileIntent::SaveHarp.into());
        }
    });
    let palette = theme::palette(ui);
    ScrollArea::vertical().stick_to_bottom(true).auto_shrink([false, false]).show(ui, |ui| {
        for ((_, raise, _), line) in check.raises().zip(&lines) {
            let band = RaiseBand::of(raise);
            let text = RichText::new(line).color(ink(palette, band));
            ui.add(Label::new(if needs_work(band) { text.strong() } else { text }).wrap());
        }
    });
}

/// One string: `C4: 98 cents, good; last time 101; may buzz`.
fn line(state: &State, check: &LeverCheck, (finding, raise, _): (StringFinding, Cents, RaiseBand)) -> String {
    let words = state.words();
    let gaps = [("string", name(state, finding.string).into()), ("raise", said(state, finding.string, raise).into())];
    let mut line = words.with("check-line", gaps);
    if let Some(before) = check.before(finding.string) {
        let by = names::signed(words, raise.get() - before.get());
        let gaps = [("before", words.number(before.get()).into()), ("by", by.into())];
        line.push_str(&words.with("check-before", gaps));
    }
    let hints = [(finding.open_buzz, "check-buzz-open"), (finding.buzz, "check-buzz")];
    for (_, text) in hints.into_iter().filter(|(hint, _)| *hint == Some(BuzzHint::MayBuzz)) {
        line.push_str(&words.text(text));
    }
    line
}

/// For whoever regulates the harp: what needs work first, then all of it.
fn report(state: &State, check: &LeverCheck) -> String {
    let words = state.words();
    let all: Vec<_> = check.raises().collect();
    let mut lines = vec![words.with("check-report", [("harp", names::harp(words, &state.wishes.harp).into())])];
    let wants_work = |found: &&(StringFinding, Cents, RaiseBand)| {
        needs_work(found.2) || [found.0.open_buzz, found.0.buzz].contains(&Some(BuzzHint::MayBuzz))
    };
    lines.extend(all.iter().filter(wants_work).map(|found| line(state, check, *found)));
    lines.push(words.text("check-report-rest"));
    lines.extend(all.iter().filter(|found| !wants_work(found)).map(|found| line(state, check, *found)));
    lines.join("\n")
}

fn foot_ui(state: &State, check: &LeverCheck, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    ui.horizontal_wrapped(|ui| {
        for (text, action, intent) in [
            ("check-string-before", Action::PreviousFlip, RegulatingIntent::Before),
            ("check-pass-over", Action::NextFlip, RegulatingIntent::PassOver),
        ] {
            let label = words.text(text);
            if key_button_ui(ui, &label, &names::hint(state, action), &label, Weight::Plain).clicked() {
                intents.push(intent.into());
            }
        }
        ui.add_space(theme::NEAR);
        ui.label(muted(ui, words.text("check-each")));
        for each in PlucksEach::ALL {
            let label = words.with("check-times", [("times", each.count().into())]);
            let name = format!("{} {label}", words.text("check-each"));
            if choice_button_ui(ui, &label, &name, check.each == each) {
                intents.push(RegulatingIntent::UseEach(each).into());
            }
        }
        ui.add_space(theme::NEAR);
        let again = words.text("check-again");
        if key_button_ui(ui, &again, "", &again, Weight::Plain).clicked() {
            intents.push(RegulatingIntent::Again.into());
        }
    });
}
