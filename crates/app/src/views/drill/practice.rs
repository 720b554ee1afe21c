//! The ladder: where she stands, how the passes went, and the one thing to mend.

use eframe::egui::{ComboBox, Label, Rect, RichText, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2};
use leverlane_core::drill::{CueLevel, Fading, Layer, Move, PassResult, Speech};
use leverlane_core::verdict::{Basis, Steadiness, Verdict};

use crate::intent::{Intent, PracticeIntent};
use crate::keys::Action;
use crate::names;
use crate::state::{LessonDesk, Listened, PracticeDesk, Sheet, State, Turn};
use crate::theme;
use crate::widgets::{ResultMark, Weight, key_button_ui, muted, paint_result_mark};

/// How high the ladder is drawn.
const HEIGHT: f32 = 92.0;
/// As wide as its rungs are drawn at most.
const WIDEST_STEP: f32 = 22.0;
/// A pass's mark.
const MARK: f32 = 9.0;

/// Draws the band between the card and the strip.
pub fn practice_ui(state: &State, desk: &PracticeDesk, ui: &mut Ui, intents: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        tempo_ui(state, desk, ui);
        ui.add_space(theme::FAR);
        ladder_ui(desk, ui);
        ui.add_space(theme::FAR);
        ui.vertical(|ui| {
            marks_ui(state, desk, ui, intents);
            verdict_ui(state, desk, ui, intents);
        });
    });
}

fn tempo_ui(state: &State, desk: &PracticeDesk, ui: &mut Ui) {
    let words = state.words();
    let ladder = &desk.practice.ladder;
    let (rung, rungs) = (ladder.rung() + 1, ladder.rungs().len());
    ui.vertical(|ui| {
        ui.set_width(200.0);
        let figure = words.number(ladder.tempo().per_minute());
        let response = ui.label(RichText::new(figure).font(theme::display(52.0)));
        let spoken = words.with(
            "practice-spoken",
            [
                ("rung", rung.into()),
                ("rungs", rungs.into()),
                ("tempo", names::tempo(words, ladder.tempo()).into()),
                ("clean", ladder.clean_in_a_row().into()),
                ("needed", ladder.plan().clean_to_climb().into()),
            ],
        );
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &spoken));
        let goal = words.number(ladder.plan().goal().per_minute());
        let gaps = [("rung", rung.into()), ("rungs", rungs.into()), ("goal", goal.into())];
        ui.label(muted(ui, words.with("practice-rung", gaps)));
        if let Some(LessonDesk { lesson, chunk }) = &state.lesson {
            let (title, count) = (lesson.title.clone(), lesson.chunks.len());
            let gaps = [("title", title.into()), ("chunk", (chunk + 1).into()), ("chunks", count.into())];
            ui.add(Label::new(muted(ui, words.with("lesson-place", gaps)).font(theme::text(15.5))).truncate());
        }
    });
}

/// Rungs as steps that rise to the goal; those behind her are filled, hers is the accent.
fn ladder_ui(desk: &PracticeDesk, ui: &mut Ui) {
    let ladder = &desk.practice.ladder;
    let count = ladder.rungs().len();
    let step = (220.0 / count as f32).min(WIDEST_STEP);
    let (rect, _) = ui.allocate_exact_size(vec2(step * count as f32, HEIGHT), Sense::hover());
    let palette = theme::palette(ui);
    for rung in 0..count {
        let rise = (rung + 1) as f32 / count as f32;
        let left = rect.left() + step * rung as f32;
        let top = rect.bottom() - HEIGHT * (0.2 + 0.8 * rise);
        let bar = Rect::from_min_max(pos2(left + 1.5, top), pos2(left + step - 1.5, rect.bottom()));
        let ink = match rung.cmp(&ladder.rung()) {
            std::cmp::Ordering::Less => palette.muted,
            std::cmp::Ordering::Equal => palette.accent,
            std::cmp::Ordering::Greater => palette.line,
        };
        ui.painter().rect_filled(bar, 2.0, ink);
    }
}

/// The clean passes that are still wanted, and the passes of this rung.
fn marks_ui(state: &State, desk: &PracticeDesk, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let ladder = &desk.practice.ladder;
    let (clean, needed) = (ladder.clean_in_a_row(), ladder.plan().clean_to_climb());
    ui.horizontal(|ui| {
        let size = vec2(f32::from(needed) * 30.0, 30.0);
        let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
        let palette = theme::palette(ui);
        for place in 0..needed {
            let centre = pos2(rect.left() + 15.0 + 30.0 * f32::from(place), rect.center().y);
            if place < clean {
                ui.painter().circle_filled(centre, 12.0, palette.accent);
            } else {
                ui.painter().circle_stroke(centre, 11.0, Stroke::new(2.0, palette.muted));
            }
        }
        ui.label(muted(ui, words.text("practice-in-a-row")));
        ui.add_space(theme::FAR);
        let size = Vec2::new(desk.marks.len() as f32 * 26.0, 30.0);
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        let said: Vec<String> = desk.marks.iter().map(|mark| spoken_mark(state, *mark)).collect();
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, said.join(", ")));
        for (place, mark) in desk.marks.iter().enumerate() {
            let centre = pos2(rect.left() + 13.0 + 26.0 * place as f32, rect.center().y);
            paint_result_mark(ui.painter(), palette, centre, ResultMark::from(*mark), MARK);
        }
        let set_up = words.text("ladder-set-up");
        if key_button_ui(ui, &set_up, &names::hint(state, Action::LadderSetUp), &set_up, Weight::Plain).clicked() {
            intents.push(Intent::Switch(Sheet::Ladder));
        }
    });
}

pub(super) fn spoken_mark(state: &State, mark: PassResult) -> String {
    let words = state.words();
    match mark {
        PassResult::Clean => words.text("mark-clean"),
        PassResult::Missed => words.text("mark-missed"),
        PassResult::Unheard => words.text("mark-unheard"),
    }
}

/// Off the ladder: what was heard of the latest pass, or that each is listened to.
pub fn listened_ui(state: &State, ui: &mut Ui) {
    told_ui(listened(state), ui);
    heard_ui(state, ui);
}

/// Whether passes are told of off the ladder: they are listened to, or were.
pub(super) fn tells_of_passes(state: &State) -> bool {
    state.drill.practice.is_none() && (state.listening.is_on() || state.drill.pass.verdict.is_some())
}

pub(super) fn listened(state: &State) -> (String, String) {
    match &state.drill.pass.verdict {
        Some(verdict) => told_of(state, verdict, None),
        None => (String::new(), state.words().text("listened-begin")),
    }
}

/// The verdict, the one thing to mend, and what is offered.
fn verdict_ui(state: &State, desk: &PracticeDesk, ui: &mut Ui, intents: &mut Vec<Intent>) {
    told_ui(told(state, desk), ui);
    heard_ui(state, ui);
    offers_ui(state, desk, ui, intents);
}

fn told_ui((lead, rest): (String, String), ui: &mut Ui) {
    ui.horizontal_wrapped(|ui| {
        if !lead.is_empty() {
            ui.label(RichText::new(lead).font(theme::strong(24.0)));
        }
        ui.label(RichText::new(rest).font(theme::text(22.0)));
    });
}

/// What was heard of the latest pass, in figures.
fn heard_ui(state: &State, ui: &mut Ui) {
    let verdict = state.drill.pass.verdict.as_ref();
    if let Some(verdict) = verdict.filter(|verdict| verdict.basis == Basis::Heard) {
        ui.label(muted(ui, names::heard_result(state, verdict)));
    }
}

/// What is offered, each with its pedal.
pub(super) fn offers_ui(state: &State, desk: &PracticeDesk, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let offers = desk.practice.offers();
    if offers.is_empty() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        for (place, offer) in offers.into_iter().enumerate() {
            let pedal = [Action::RightPedal, Action::LeftPedal].get(place);
            let key = pedal.map_or_else(String::new, |pedal| names::hint(state, *pedal));
            let label = names::offer(words, offer);
            let weight = if place == 0 { Weight::Main } else { Weight::Plain };
            if key_button_ui(ui, &label, &key, &label, weight).clicked() {
                intents.push(PracticeIntent::Take(offer).into());
            }
        }
    });
}

pub(super) fn told(state: &State, desk: &PracticeDesk) -> (String, String) {
    let words = state.words();
    match desk.practice.ladder.ended() {
        Some(Move::Reached) => return (words.text("practice-reached"), String::new()),
        Some(Move::Stops) => return (String::new(), words.text("practice-stops")),
        _ => {}
    }
    let Some(verdict) = &state.drill.pass.verdict else {
        let begin = if state.listening.is_on() { "practice-begin-heard" } else { "practice-begin" };
        return (String::new(), words.text(begin));
    };
    told_of(state, verdict, desk.turn)
}

/// A verdict, and the one thing to mend.
fn told_of(state: &State, verdict: &Verdict, turn: Option<Turn>) -> (String, String) {
    let words = state.words();
    let lead = match (turn, verdict.steady) {
        (Some(Turn::Up), _) => words.text("practice-up"),
        (Some(Turn::Down), _) => words.text("practice-down"),
        (None, Steadiness::Steady) => words.text("practice-steady"),
        (None, Steadiness::NotYet) => words.text("practice-not-yet"),
        (None, Steadiness::Unheard) => words.text("practice-unheard"),
    };
    let rest = match (&verdict.mend, verdict.basis) {
        (Some(mend), Basis::Heard | Basis::Tapped) => names::mend(words, mend),
        (_, Basis::OwnWord) => words.text("practice-said"),
        (_, Basis::Nothing) if state.drill.pass.listened == Listened::Broken => words.text("practice-broken"),
        (_, Basis::Nothing) if state.listening.is_on() => words.text("practice-not-heard"),
        (_, Basis::Nothing) => words.text("practice-nothing-told"),
        (None, _) => String::new(),
    };
    (lead, rest)
}

/// What is played and cued, each with its choice.
pub fn choices_ui(state: &State, desk: &PracticeDesk, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let layer = desk.practice.layer();
    ui.label(muted(ui, words.text("layer")));
    let shown = ComboBox::from_id_salt("layer").selected_text(names::layer(words, layer)).show_ui(ui, |ui| {
        for choice in Layer::SUGGESTED {
            if ui.selectable_label(choice == layer, names::layer(words, choice)).clicked() {
                intents.push(PracticeIntent::UseLayer(choice).into());
            }
        }
    });
    let name = words.with("layer-spoken", [("layer", names::layer(words, layer).into())]);
    shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
    ui.add_space(theme::FAR);
    let level = desk.practice.cueing.level();
    ui.label(muted(ui, words.text("cues")));
    let shown = ComboBox::from_id_salt("cues").selected_text(names::cues(words, level)).show_ui(ui, |ui| {
        for choice in CueLevel::ALL {
            if ui.selectable_label(choice == level, names::cues(words, choice)).clicked() {
                intents.push(PracticeIntent::UseCues(choice).into());
            }
        }
    });
    let name = words.with("cues-spoken", [("cues", names::cues(words, level).into())]);
    shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
    let mut fades = desk.practice.cueing.fading() == Fading::ByItself;
    let response = ui.checkbox(&mut fades, words.text("cues-fade"));
    let name = words.text("cues-fade-spoken");
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, fades, &name));
    if response.changed() {
        let fading = if fades { Fading::ByItself } else { Fading::Held };
        intents.push(PracticeIntent::UseFading(fading).into());
    }
}

/// Whether the count and the flips are spoken.
pub fn speech_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let mut spoken = state.drill.speech == Speech::Spoken;
    let response = ui.checkbox(&mut spoken, words.text("speech"));
    let name = words.text("speech-spoken");
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, spoken, &name));
    if response.changed() {
        intents.push(PracticeIntent::SwitchSpeech.into());
    }
    ui.label(muted(ui, names::hint(state, Action::Speech)).font(theme::text(15.0)));
}

/// What the feet do now.
pub fn pedals_ui(state: &State, ui: &mut Ui) {
    let words = state.words();
    let (right, left) = if state.drill.transport.is_playing() {
        (words.text("pedal-right-tap"), words.text("pedal-left-wrong"))
    } else {
        (words.text("pedal-right-start"), words.text("pedal-left-next"))
    };
    ui.label(muted(ui, format!("{left}   ·   {right}")));
}
