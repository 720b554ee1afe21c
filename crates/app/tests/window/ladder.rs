//! A lesson, from its file to a finished ladder, with the two keys of a page-turner pedal alone; and the Diary place with
//! what a diary of some weeks holds. No threads and no clock: the sound's place and the time of day are handed in, and in
//! [`listening`] what a microphone would hear.

mod listening;

use std::sync::Arc;

use eframe::egui::{self, Key};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use leverlane_app::demo;
use leverlane_app::effects::read_piece;
use leverlane_app::intent::{
    DiaryIntent, DrillIntent, FileIntent, Intent, LadderSetUp, PracticeIntent, SettingsIntent,
};
use leverlane_app::state::{DiaryPicture, Distance, Moment, Origin, PassPlace, Place, PracticeDesk};
use leverlane_core::drill::{ChunkSize, Cue, CueLevel, Day, LadderPlan, Layer, Move, PassResult, RungStep, Scheme};
use leverlane_core::plan::PaceLevel;
use leverlane_core::time::{Tempo, Ticks};
use leverlane_core::verdict::{Steadiness, Thresholds};
use leverlane_diary::Diary;
use leverlane_formats::documents::{Lesson, LessonChunk, Piece, Source};

use crate::bench::{Bench, Engraving, window_over};

fn window<'a>(theme: egui::Theme) -> Harness<'a, Bench> {
    window_over(theme, Bench::engraving(Engraving::Drawn))
}

fn desk_of<'a>(harness: &'a Harness<'_, Bench>) -> &'a PracticeDesk {
    harness.state().state.drill.practice.as_ref().unwrap()
}

/// The demo's second flip, three rungs of two clean passes each.
fn lesson() -> Vec<u8> {
    lesson_of(&[1])
}

/// Some of the demo's flips, three rungs of two clean passes each.
fn lesson_of(flips: &[usize]) -> Vec<u8> {
    let piece = read_piece(Origin::Demo, demo::PIECE).unwrap();
    let written = piece.performance.tempo().opening();
    let at = |part: f64| Tempo::beats(written.beat(), (written.per_minute() * part).round()).unwrap();
    let mut bench = Bench::default();
    bench.act(FileIntent::OpenBytes { name: "demo".into(), bytes: demo::PIECE.into() }.into());
    let plan = bench.state.plan.clone().unwrap();
    let performance = &bench.state.piece.as_ref().unwrap().performance;
    let step = RungStep::Beats((at(1.0).per_minute() - at(0.8).per_minute()) / 2.0);
    let lesson = Lesson {
        title: "Second flip".into(),
        note: String::new(),
        piece: Piece {
            tempo: Some(written),
            pace: PaceLevel::Improver.into(),
            ..Piece::new(
                "Greensleeves",
                Source::Inside { name: "greensleeves.musicxml".into(), bytes: demo::PIECE.to_vec(), tune: 0 },
                demo::harp(),
            )
        },
        chunks: flips
            .iter()
            .map(|flip| LessonChunk {
                flip: plan.plan.gestures[*flip].flips[0].name(performance),
                size: ChunkSize::BarEachSide,
                layer: Layer::Both,
                ladder: LadderPlan::new(at(0.8), written, written, step, 2, Scheme::Climb).unwrap(),
            })
            .collect(),
    };
    lesson.write().unwrap()
}

fn with_lesson<'a>(theme: egui::Theme) -> Harness<'a, Bench> {
    with_lesson_of(theme, lesson())
}

fn with_lesson_of<'a>(theme: egui::Theme, lesson: Vec<u8>) -> Harness<'a, Bench> {
    let mut harness = window(theme);
    harness.state_mut().act(PracticeIntent::Now(Moment { at: 1_796_300_000, day: 20_790 }).into());
    harness.state_mut().act(FileIntent::OpenBytes { name: "lesson.ron".into(), bytes: lesson.into() }.into());
    harness.run();
    harness
}

fn press(harness: &mut Harness<'_, Bench>, key: Key) {
    harness.key_press(key);
    harness.run();
}

fn moved(harness: &mut Harness<'_, Bench>, pass: u64, at: Ticks) {
    harness.state_mut().act(DrillIntent::Moved(PassPlace { pass, at }).into());
    harness.run();
}

/// Where the practised flip is made in the loop that sounds.
fn flip_beat(harness: &Harness<'_, Bench>) -> Ticks {
    let bench = harness.state();
    let (looped, plan) = (bench.sounding.clone().unwrap(), bench.state.plan.clone().unwrap());
    let own = Cue::Planned(bench.state.drill.selected.unwrap());
    looped.gestures(&plan.plan).find(|placed| placed.cue == own).unwrap().at
}

/// One pass with the right pedal on the flip beat; then the next begins.
fn clean_pass(harness: &mut Harness<'_, Bench>, pass: u64) {
    let flip = flip_beat(harness);
    moved(harness, pass, Ticks::ZERO);
    moved(harness, pass, flip);
    press(harness, Key::PageDown);
    moved(harness, pass + 1, Ticks::ZERO);
}

#[test]
fn a_lesson_is_climbed_with_two_pedal_keys() {
    let mut harness = with_lesson(egui::Theme::Light);
    {
        let state = &harness.state().state;
        assert_eq!((state.place, state.drill.selected), (Place::Drill, Some(1)));
        assert_eq!(state.drill.tempo, Some(desk_of(&harness).practice.ladder.plan().start()));
    }
    harness.get_by_label_contains("Rung 1 of 3");
    press(&mut harness, Key::PageDown);
    assert!(harness.state().sounding.is_some(), "the right pedal starts");
    for rung in 0..3 {
        assert_eq!(desk_of(&harness).practice.ladder.rung(), rung);
        for pass in 0..2 {
            clean_pass(&mut harness, pass);
        }
    }
    let desk = desk_of(&harness);
    assert_eq!(desk.practice.ladder.ended(), Some(Move::Reached));
    assert!(harness.state().sounding.is_none(), "a finished ladder falls silent");
    harness.get_by_label_contains("The goal is held.");
    let kept = harness.state().passes();
    assert_eq!(kept.len(), 6, "three rungs of two passes, each in the diary");
    assert!(kept.iter().all(|pass| pass.record.steady == Steadiness::Steady && pass.record.day == Day::new(20_790)));
    assert!(kept[0].record.tempo.per_minute() < kept[5].record.tempo.per_minute());
    // Both hands are the last layer: what is offered is more music.
    press(&mut harness, Key::PageDown);
    assert_eq!(desk_of(&harness).practice.size(), ChunkSize::TwoBarsEachSide);
}

#[test]
fn the_left_pedal_says_that_it_went_wrong_and_stops() {
    let mut harness = with_lesson(egui::Theme::Light);
    press(&mut harness, Key::PageDown);
    clean_pass(&mut harness, 0);
    let flip = flip_beat(&harness);
    moved(&mut harness, 1, flip);
    press(&mut harness, Key::PageUp);
    moved(&mut harness, 2, Ticks::ZERO);
    assert_eq!(desk_of(&harness).marks, [PassResult::Clean, PassResult::Missed]);
    moved(&mut harness, 3, Ticks::ZERO);
    assert_eq!(desk_of(&harness).marks.last(), Some(&PassResult::Unheard), "nothing told, nothing counted");
    moved(&mut harness, 3, flip);
    press(&mut harness, Key::PageUp);
    assert!(harness.state().sounding.is_some());
    press(&mut harness, Key::PageUp);
    assert!(harness.state().sounding.is_none(), "twice is stop");
}

/// Half a beat late where the flipped string comes later still: told, not clean.
#[test]
fn a_late_tap_is_told() {
    let mut harness = with_lesson(egui::Theme::Light);
    press(&mut harness, Key::PageDown);
    let flip = flip_beat(&harness);
    moved(&mut harness, 0, Ticks::ZERO);
    moved(&mut harness, 0, flip + Ticks::new(Ticks::PER_QUARTER * 3 / 4));
    press(&mut harness, Key::PageDown);
    moved(&mut harness, 1, Ticks::ZERO);
    assert_eq!(desk_of(&harness).marks, [PassResult::Missed]);
    harness.get_by_label_contains("Not yet.");
}

/// The eyes are on the lever on its flip beat, at the latest; with fewer cues that is no longer said.
#[test]
fn the_look_is_cued_with_everything_else() {
    let mut harness = with_lesson(egui::Theme::Light);
    press(&mut harness, Key::PageDown);
    let flip = flip_beat(&harness);
    moved(&mut harness, 0, flip);
    harness.get_by_label_contains("Look at the lever");
    harness.state_mut().act(PracticeIntent::UseCues(CueLevel::ToneOnly).into());
    moved(&mut harness, 0, flip);
    assert!(harness.query_by_label_contains("Look at the lever").is_none());
}

#[test]
fn a_ladder_of_one_s_own() {
    let mut harness = window(egui::Theme::Light);
    harness.state_mut().act(FileIntent::OpenBytes { name: "demo".into(), bytes: demo::PIECE.into() }.into());
    harness.state_mut().act(Intent::Go(Place::Drill));
    harness.run();
    press(&mut harness, Key::K);
    let goal = harness.state().state.wishes.goal.unwrap();
    let ladder = &desk_of(&harness).practice.ladder;
    assert_eq!(ladder.plan().goal(), goal);
    assert!(ladder.tempo().per_minute() < goal.per_minute() * 0.65, "from three fifths of the goal");
    press(&mut harness, Key::ArrowUp);
    assert_eq!(desk_of(&harness).practice.ladder.rung(), 1);
    press(&mut harness, Key::G);
    assert_eq!(harness.state().state.drill.tempo, Some(goal));
    press(&mut harness, Key::K);
    assert!(harness.state().state.drill.practice.is_none());
}

/// Some weeks of two flips, as the diary would tell them.
pub fn picture() -> DiaryPicture {
    let folder = tempfile::TempDir::new().unwrap();
    let mut diary = Diary::open(&folder.path().join("diary.sqlite")).unwrap();
    let mut harness = with_lesson(egui::Theme::Light);
    press(&mut harness, Key::PageDown);
    clean_pass(&mut harness, 0);
    let sample = harness.state().passes()[0].clone();
    let piece = diary.piece(&sample.piece).unwrap();
    let session = diary.session(0).unwrap();
    let mut second = sample.flip.clone();
    second.at_ticks += 1_000_000;
    second.words = "bar 9, beat 1: C♮5 ↓".into();
    let mut third = second.clone();
    third.at_ticks += 1_000_000;
    third.words = "bar 12, beat 2: G♯4 ↑".into();
    let flips = [&sample.flip, &second, &third].map(|flip| diary.flip(piece, flip).unwrap());
    for (place, day) in [0, 1, 3, 4, 6, 9, 13, 17, 18].into_iter().enumerate() {
        for (flip, slower) in [(flips[0], 0.0), (flips[1], 14.0)] {
            for number in 0..24 {
                let mut pass = sample.record.clone();
                pass.day = Day::new(20_772 + day);
                pass.lasted_ms = 14_000;
                let step = (number / 6) as f64;
                pass.tempo = Tempo::quarters(48.0 + 2.5 * place as f64 + 2.0 * step - slower).unwrap();
                pass.goal = Tempo::quarters(72.0).unwrap();
                let wrong = (number + place) % (3 + place) == 0;
                pass.steady = if wrong { Steadiness::NotYet } else { Steadiness::Steady };
                pass.spread_us = Some(46_000 - 2_500 * place as i32);
                pass.hesitation_of_beat = Some(240 - 22 * place as i32);
                diary.write(session, flip, &pass).unwrap();
            }
        }
    }
    let today = Day::new(20_790);
    DiaryPicture {
        today,
        flips: diary.all_flips().unwrap(),
        due: diary.due_list(today).unwrap(),
        week: diary.days_until(today, 7).unwrap(),
        chosen: Some(flips[0]),
        days: diary.flip_days(flips[0]).unwrap(),
        students: Vec::new(),
        path: "diary.sqlite".into(),
        size: 1_200_000,
    }
}

#[test]
fn the_diary_shows_what_is_due_and_each_flip_s_days() {
    let mut harness = window(egui::Theme::Light);
    harness.state_mut().act(DiaryIntent::Seen(Arc::new(picture())).into());
    harness.state_mut().act(Intent::Go(Place::Diary));
    harness.run();
    harness.get_by_label("Due today");
    harness.get_by_label_contains("The last seven days: ");
    harness.get_by_label_contains("G♯4 ↑ (not begun)");
    harness.get_by_label("Delete everything").click();
    harness.run();
    harness.get_by_label("Keep it").click();
    harness.run();
    harness.get_by_label("Delete everything");
    harness.snapshot("diary_light");
}

/// Reviewed pictures of a ladder: before the first pass, playing, and stopped by its own rule.
#[test]
fn pictures() {
    let mut harness = with_lesson(egui::Theme::Light);
    harness.snapshot("ladder_light");
    let mut results = harness.take_snapshot_results();
    drop(harness);
    let mut harness = with_lesson(egui::Theme::Dark);
    press(&mut harness, Key::PageDown);
    clean_pass(&mut harness, 0);
    let flip = flip_beat(&harness);
    moved(&mut harness, 1, flip);
    press(&mut harness, Key::PageUp);
    moved(&mut harness, 2, Ticks::ZERO);
    let cues = desk_of(&harness).practice.cueing.level();
    assert_eq!(cues, CueLevel::Everything);
    moved(&mut harness, 2, flip + Ticks::new(Ticks::PER_QUARTER * 3 / 4));
    press(&mut harness, Key::PageDown);
    moved(&mut harness, 3, Ticks::QUARTER);
    harness.snapshot("ladder_playing_dark");
    results.extend(harness.take_snapshot_results());
}

/// From the harp the ladder is read as well as the flip; the notes are hidden where hands are to find them by feel.
#[test]
fn the_far_view_and_playing_by_feel() {
    let mut harness = with_lesson(egui::Theme::Light);
    harness.set_size(egui::vec2(1920.0, 1080.0));
    harness.state_mut().act(SettingsIntent::UseDistance(Distance::Far).into());
    press(&mut harness, Key::PageDown);
    clean_pass(&mut harness, 0);
    moved(&mut harness, 1, Ticks::QUARTER);
    harness.get_by_label("1 of 2 clean in a row");
    harness.get_by_label("clean");
    harness.snapshot("far_ladder_light");
    let results = harness.take_snapshot_results();
    harness.state_mut().act(SettingsIntent::UseDistance(Distance::Near).into());
    harness.run();
    assert!(harness.query_by_label_contains("By feel: ").is_none());
    press(&mut harness, Key::N);
    press(&mut harness, Key::N);
    harness.get_by_label_contains("By feel: the music is hidden. N shows it again.");
    press(&mut harness, Key::N);
    assert!(harness.query_by_label_contains("By feel: ").is_none());
    drop(results);
}

/// The ladder and what counts as clean are the player's to set; what can't be is refused, and nothing changes.
#[test]
fn the_ladder_is_set_up() {
    let mut harness = with_lesson(egui::Theme::Light);
    press(&mut harness, Key::Y);
    harness.get_by_role_and_label(egui::accesskit::Role::SpinButton, "From");
    harness.snapshot("ladder_set_up_light");
    let results = harness.take_snapshot_results();
    harness.get_by_label("the slow tempo and the goal in turns").click();
    harness.run();
    let plan = |harness: &Harness<'_, Bench>| *desk_of(harness).practice.ladder.plan();
    assert_eq!(plan(&harness).scheme(), Scheme::Alternate);
    harness.get_by_label("per cent").click();
    harness.run();
    assert_eq!(plan(&harness).step(), RungStep::PerCent(4.0));
    let before = plan(&harness);
    let wanted = LadderSetUp { goal: 60.0, ..LadderSetUp::from(&before) };
    harness.state_mut().act(PracticeIntent::SetUp(wanted).into());
    assert_eq!(plan(&harness), before, "half as fast again as the piece");
    assert!(harness.state().state.notice.as_ref().unwrap().text.contains("at most 5 per cent more"));
    let wanted = LadderSetUp { goal: 42.0, clean_to_climb: 4, ..wanted };
    harness.state_mut().act(PracticeIntent::SetUp(wanted).into());
    assert_eq!((plan(&harness).goal().per_minute(), plan(&harness).clean_to_climb()), (42.0, 4));
    harness.state_mut().act(PracticeIntent::SetUp(LadderSetUp { goal: 44.0, ..wanted }).into());
    assert_eq!(plan(&harness).goal().per_minute(), 42.0, "5 % over the piece, not over the last goal");

    let own = Thresholds { wrong_notes: 0.2, ..harness.state().state.limits() };
    harness.state_mut().act(SettingsIntent::UseLimits(Some(own)).into());
    harness.run();
    assert_eq!(harness.state().state.limits(), own);
    harness.get_by_label("Limits of the level").click();
    harness.run();
    assert_eq!(harness.state().state.settings.limits, None);
    let senseless = Thresholds { wrong_notes: 1.5, ..own };
    harness.state_mut().act(SettingsIntent::UseLimits(Some(senseless)).into());
    assert_eq!(harness.state().state.settings.limits, None);
    drop(results);
}
