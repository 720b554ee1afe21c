//! The microphone in the Drill. What it hears is made up and comes by the same intents as the listener's own.

use leverlane_app::effects::{ListeningOrder, PlayedPass};
use leverlane_app::intent::ListeningIntent;
use leverlane_app::state::{Ear, HeardPass, Listened, Sheet};
use leverlane_core::pitch::Cents;
use leverlane_core::score::Hand;
use leverlane_core::verdict::{Basis, Ear as Ears, Evidence, FlipOutcome, HeardNote};
use leverlane_listening::{Ear as Microphone, HeardLevel, News, PlacedNote, TapCount, Told, Wholeness};
use leverlane_sound::capture::{Decibels, LevelWarning};
use leverlane_sound::latency::{Latency, MeasuredBy, TapsError};
use leverlane_sound::{MicrophoneError, MicrophoneLoss, SampleIndex};

use super::*;

/// What she did at the flip.
#[derive(Clone, Copy, PartialEq)]
enum Flip {
    Made,
    Forgotten,
}

fn told(harness: &mut Harness<'_, Bench>, told: Told) {
    harness.state_mut().act(ListeningIntent::Told(told).into());
    harness.run();
}

fn opened(harness: &mut Harness<'_, Bench>) {
    press(harness, Key::E);
    told(harness, Told::Opened { name: "Harp microphone".into(), latency: None });
}

fn level(peak: f32, warnings: Vec<LevelWarning>) -> Told {
    Told::Level(HeardLevel { peak: Decibels::of_amplitude(peak), floor: None, warnings })
}

/// A pass of the loop that sounds, played 12 ms early on the whole.
fn heard(harness: &Harness<'_, Bench>, pass: u64, flip: Flip) -> HeardPass {
    let bench = harness.state();
    let looped = bench.sounding.clone().unwrap();
    let expected = &looped.asked.as_ref().unwrap().expected;
    let own = Cue::Planned(bench.state.drill.selected.unwrap());
    let plan = bench.state.plan.clone().unwrap();
    let place = looped.gestures(&plan.plan).filter(|placed| matches!(placed.cue, Cue::Planned(_)));
    let telling = place.zip(&expected.flips).find(|(placed, _)| placed.cue == own).unwrap().1.told_by;
    let notes = expected.notes.iter().enumerate().map(|(index, note)| {
        let forgotten = flip == Flip::Forgotten && Some(index) == telling;
        let sounds = if forgotten { note.other_state.unwrap() } else { note.note };
        let at = note.at - leverlane_core::time::Seconds::new(0.012);
        HeardNote { at, note: sounds, cents: Cents::new(1.0), certainty: 0.9 }
    });
    let evidence = Evidence { ear: Ears::Microphone, heard: notes.collect(), ..Evidence::default() };
    HeardPass { take: bench.state.drill.take, pass, evidence, whole: Wholeness::Whole }
}

fn hear(harness: &mut Harness<'_, Bench>, pass: HeardPass) {
    harness.state_mut().act(ListeningIntent::Heard(pass).into());
    harness.run();
}

/// Two rungs and the goal without a tap: told now before the seam is over, now after it.
#[test]
fn a_ladder_is_climbed_by_ear() {
    let mut harness = with_lesson(egui::Theme::Light);
    opened(&mut harness);
    harness.get_by_label("Nothing heard is recorded or kept.");
    press(&mut harness, Key::PageDown);
    for rung in 0..3 {
        assert_eq!(desk_of(&harness).practice.ladder.rung(), rung);
        for pass in 0..2 {
            let played = heard(&harness, pass, Flip::Made);
            moved(&mut harness, pass, Ticks::ZERO);
            if rung == 1 {
                hear(&mut harness, played);
                assert_eq!(desk_of(&harness).marks.len(), pass as usize, "the seam still sounds");
                moved(&mut harness, pass + 1, Ticks::ZERO);
            } else {
                moved(&mut harness, pass + 1, Ticks::ZERO);
                assert_eq!(desk_of(&harness).marks.len(), pass as usize, "there is still something to be heard");
                hear(&mut harness, played);
            }
        }
        if rung == 0 {
            // What led to the next rung was heard in the middle of a pass, which is played to its end.
            let (sounding, take) = (harness.state().sounding.clone().unwrap(), harness.state().state.drill.take);
            let first = desk_of(&harness).practice.ladder.plan().start();
            assert_eq!((sounding.tempo, desk_of(&harness).practice.ladder.rung()), (first, 1));
            moved(&mut harness, 2, Ticks::QUARTER);
            assert_eq!(harness.state().state.drill.take, take, "it goes on");
            moved(&mut harness, 3, Ticks::ZERO);
            assert_eq!(harness.state().state.drill.take, take + 1, "counted in anew");
            assert!(harness.state().sounding.clone().unwrap().tempo.per_minute() > first.per_minute());
        }
    }
    assert_eq!(desk_of(&harness).practice.ladder.ended(), Some(Move::Reached));
    let kept = &harness.state().passes();
    // The pass in which the rung was left was written down at its own tempo; nobody told of it.
    assert_eq!(kept.len(), 7);
    let (unheard, judged): (Vec<&PlayedPass>, Vec<&PlayedPass>) =
        kept.iter().copied().partition(|pass| pass.record.steady == Steadiness::Unheard);
    assert_eq!((unheard.len(), unheard[0].record.tempo), (1, judged[0].record.tempo));
    for pass in judged {
        assert_eq!((pass.record.steady, pass.record.outcome), (Steadiness::Steady, FlipOutcome::Clean));
        assert_eq!(pass.record.bias_us, Some(-12_000), "the 12 ms by which she was early");
        assert!(pass.record.notes[0] > 3 && pass.record.notes[1..] == [0, 0], "{:?}", pass.record.notes);
    }
    harness.get_by_label_contains("12 ms early on the whole");
}

/// After some minutes it is the next flip's turn: where a pass has begun meanwhile it is played to its end.
#[test]
fn turns_of_flips_wait_for_the_seam() {
    let mut harness = with_lesson_of(egui::Theme::Light, lesson_of(&[1, 3]));
    opened(&mut harness);
    press(&mut harness, Key::PageDown);
    for (pass, minutes) in [(0, 0), (1, 5)] {
        let played = heard(&harness, pass, Flip::Forgotten);
        let at = 1_796_300_000 + 60 * minutes;
        harness.state_mut().act(PracticeIntent::Now(Moment { at, day: 20_790 }).into());
        moved(&mut harness, pass, Ticks::ZERO);
        moved(&mut harness, pass + 1, Ticks::ZERO);
        hear(&mut harness, played);
        assert_eq!(harness.state().state.drill.selected, Some(1));
    }
    moved(&mut harness, 3, Ticks::ZERO);
    assert_eq!(harness.state().state.drill.selected, Some(3));
    assert!(harness.state().state.drill.transport.is_playing(), "counted in");
}

/// Off the ladder, too, each pass that was heard is judged, told and drawn; nothing is written down.
#[test]
fn passes_are_judged_off_the_ladder() {
    let mut harness = with_lesson(egui::Theme::Light);
    press(&mut harness, Key::K);
    assert!(harness.state().state.drill.practice.is_none());
    opened(&mut harness);
    harness.get_by_label("Play the loop: what is heard of each pass is told here.");
    press(&mut harness, Key::Space);
    for (pass, way) in [(0, Flip::Made), (1, Flip::Forgotten)] {
        let played = heard(&harness, pass, way);
        moved(&mut harness, pass, Ticks::ZERO);
        moved(&mut harness, pass + 1, Ticks::ZERO);
        hear(&mut harness, played);
        match way {
            Flip::Made => harness.get_by_label_contains("12 ms early on the whole"),
            Flip::Forgotten => harness.get_by_label_contains("flip missed"),
        };
    }
    let pass = &harness.state().state.drill.pass;
    assert_eq!(pass.verdict.as_ref().unwrap().flips[0].outcome, FlipOutcome::Missed);
    assert!(harness.state().passes().is_empty());
    press(&mut harness, Key::Space);
    harness.snapshot("listened_light");
    let results = harness.take_snapshot_results();
    // From the harp the sentence alone can be read.
    harness.state_mut().act(SettingsIntent::UseDistance(Distance::Far).into());
    harness.set_size(egui::vec2(1920.0, 1080.0));
    harness.run();
    harness.get_by_label_contains("The G4 lever stayed up");
    harness.snapshot("far_listened_light");
    let mut results = results;
    results.extend(harness.take_snapshot_results());
    harness.state_mut().act(SettingsIntent::UseDistance(Distance::Near).into());
    // Another flip has passes of its own.
    press(&mut harness, Key::ArrowRight);
    assert_eq!(harness.state().state.drill.pass.verdict, None);
    drop(results);
}

#[test]
fn a_forgotten_lever_is_heard_and_named() {
    let mut harness = with_lesson(egui::Theme::Light);
    opened(&mut harness);
    press(&mut harness, Key::PageDown);
    let played = heard(&harness, 0, Flip::Forgotten);
    moved(&mut harness, 0, Ticks::ZERO);
    moved(&mut harness, 1, Ticks::ZERO);
    hear(&mut harness, played);
    assert_eq!(desk_of(&harness).marks, [PassResult::Missed]);
    harness.get_by_label_contains("flip missed");
    harness.get_by_label_contains("lever stayed");
}

/// A gap in what was heard says nothing against her, and a tap still counts. What belongs to another start is dropped.
#[test]
fn what_is_missing_is_not_held_against_her() {
    let mut harness = with_lesson(egui::Theme::Light);
    opened(&mut harness);
    press(&mut harness, Key::PageDown);
    moved(&mut harness, 0, Ticks::ZERO);
    moved(&mut harness, 1, Ticks::ZERO);
    let old = HeardPass { take: 0, ..heard(&harness, 0, Flip::Made) };
    hear(&mut harness, old);
    assert_eq!(desk_of(&harness).marks, []);
    let broken = HeardPass { whole: Wholeness::Broken, ..heard(&harness, 0, Flip::Forgotten) };
    hear(&mut harness, broken.clone());
    assert_eq!(desk_of(&harness).marks, [PassResult::Unheard]);
    assert_eq!(harness.state().state.drill.pass.listened, Listened::Broken);
    harness.get_by_label_contains("A part of the pass was not heard");
    let flip = flip_beat(&harness);
    moved(&mut harness, 1, flip);
    press(&mut harness, Key::PageDown);
    moved(&mut harness, 2, Ticks::ZERO);
    hear(&mut harness, HeardPass { pass: 1, ..broken });
    assert_eq!(desk_of(&harness).marks, [PassResult::Unheard, PassResult::Clean]);
    assert_eq!(harness.state().state.drill.pass.verdict.as_ref().unwrap().basis, Basis::Tapped);
}

/// A microphone that is pulled out is told in one line; the pass that was waited for and those to come are judged by taps.
#[test]
fn practice_goes_on_without_the_microphone() {
    let mut harness = with_lesson(egui::Theme::Light);
    opened(&mut harness);
    press(&mut harness, Key::PageDown);
    let flip = flip_beat(&harness);
    moved(&mut harness, 0, flip);
    press(&mut harness, Key::PageDown);
    moved(&mut harness, 1, Ticks::ZERO);
    assert_eq!(desk_of(&harness).marks, []);
    told(&mut harness, Told::Ear(Microphone::Lost(MicrophoneLoss::Gone)));
    assert_eq!(desk_of(&harness).marks, [PassResult::Clean], "by the tap");
    harness.get_by_label_contains("The microphone is gone");
    moved(&mut harness, 1, flip);
    press(&mut harness, Key::PageDown);
    moved(&mut harness, 2, Ticks::ZERO);
    assert_eq!(desk_of(&harness).practice.ladder.rung(), 1, "two clean passes by tap");
    told(&mut harness, Told::Ear(Microphone::PickedUp));
    assert_eq!(harness.state().state.listening.ear, Ear::Open);
}

/// Refused: switched off again, with the reason; the next try begins anew.
#[test]
fn a_refused_microphone_is_one_clear_line() {
    let mut harness = with_lesson(egui::Theme::Light);
    press(&mut harness, Key::E);
    told(&mut harness, Told::Refused(MicrophoneError::Refused { reason: "denied".into() }));
    harness.get_by_label_contains("The system refused the microphone (denied)");
    assert!(!harness.state().state.listening.is_on());
    press(&mut harness, Key::E);
    assert_eq!(harness.state().state.listening.ear, Ear::Opening);
}

#[test]
fn levels_warnings_and_strings_are_in_sight() {
    let mut harness = with_lesson(egui::Theme::Light);
    opened(&mut harness);
    told(&mut harness, level(0.5, Vec::new()));
    harness.get_by_label("Microphone level: -6 dB");
    let open = harness.state().state.plan.as_ref().unwrap().harp.strings()[12].open;
    let note =
        PlacedNote { at: SampleIndex::FIRST, place: None, note: open.midi(), cents: Cents::new(0.0), certainty: 0.9 };
    told(&mut harness, Told::News(News::Note(note)));
    assert_eq!(harness.state().state.listening.strings.len(), 1);
    harness.get_by_label_contains("Strings heard: ");
    for _ in 0..30 {
        told(&mut harness, level(1.0, vec![LevelWarning::Clipping]));
    }
    harness.get_by_label_contains("The microphone is overdriven");
    assert_eq!(harness.state().state.listening.strings, [], "named for a moment only");
}

/// While the microphone hears the loudspeaker the program leaves her notes to her; with headphones it needn't.
#[test]
fn the_program_does_not_play_what_is_listened_for() {
    let mut harness = with_lesson(egui::Theme::Light);
    let hears = |harness: &Harness<'_, Bench>| Hand::BOTH.map(|hand| harness.state().mix.hears(hand));
    press(&mut harness, Key::PageDown);
    assert_eq!(hears(&harness), [true, true]);
    opened(&mut harness);
    assert_eq!(hears(&harness), [false, false]);
    // What is set up beforehand is out of sight while she plays.
    assert!(harness.query_by_label("I hear the drill through headphones").is_none());
    press(&mut harness, Key::Space);
    harness.get_by_label("I hear the drill through headphones").click();
    harness.run();
    assert_eq!(hears(&harness), [true, true]);
    press(&mut harness, Key::E);
    assert_eq!(hears(&harness), [true, true]);
    assert_eq!(harness.state().listener.last(), Some(&ListeningOrder::Rest));
}

/// Devices that were never measured: offered with one button, out of sight while she plays; a start breaks it off.
#[test]
fn the_latency_is_measured_with_one_button() {
    let mut harness = with_lesson(egui::Theme::Light);
    opened(&mut harness);
    press(&mut harness, Key::PageDown);
    assert!(harness.query_by_label("Measure it (8 seconds)").is_none());
    press(&mut harness, Key::Space);
    harness.get_by_label("Measure it (8 seconds)").click();
    harness.run();
    assert!(harness.state().sounding.is_none());
    assert_eq!(harness.state().listener.last(), Some(&ListeningOrder::Measure(MeasuredBy::Sweeps)));
    told(&mut harness, Told::Measuring(3));
    harness.get_by_label_contains("3 of 7 sweeps");
    press(&mut harness, Key::PageDown);
    assert!(matches!(harness.state().listener.last(), Some(ListeningOrder::Listen(_))));
    assert!(harness.state().sounding.is_some());
}

/// By keys alone: the page of taps, the clicks, the result; it places notes, but of the player's earliness nothing is said, since
/// the latency was measured by it.
#[test]
fn the_latency_is_tapped_where_nothing_hears_the_click() {
    let mut harness = with_lesson(egui::Theme::Light);
    opened(&mut harness);
    harness.get_by_label("I hear the drill through headphones").click();
    harness.run();
    told(&mut harness, Told::Opened { name: "Harp microphone".into(), latency: None });
    harness.key_press_modifiers(egui::Modifiers::SHIFT, Key::E);
    harness.run();
    harness.get_by_label("Ready to tap?");
    press(&mut harness, Key::Space);
    assert_eq!(harness.state().listener.last(), Some(&ListeningOrder::Measure(MeasuredBy::Taps)));
    harness.get_by_label("Get ready …");
    for (clicks, taps, ask) in [(2, 0, "Listen"), (4, 0, "Tap with every click"), (16, 11, "Wait for the result …")] {
        told(&mut harness, Told::Tapping(TapCount { clicks, taps }));
        harness.get_by_label(ask);
        harness.get_by_label(&format!("{clicks} of 16 clicks played, {taps} taps heard"));
    }
    told(&mut harness, Told::Tapped(Err(TapsError::TooFew { found: 5 })));
    harness.get_by_label_contains("5 taps were heard, at least 8 are needed");
    press(&mut harness, Key::Enter);
    told(&mut harness, Told::Tapping(TapCount { clicks: 9, taps: 5 }));
    told(&mut harness, level(0.3, Vec::new()));
    harness.snapshot("taps_light");
    let results = harness.take_snapshot_results();
    let latency = Latency {
        seconds: leverlane_core::time::Seconds::new(0.0712),
        spread: leverlane_core::time::Seconds::new(0.018),
        clear: 12,
        by: MeasuredBy::Taps,
    };
    told(&mut harness, Told::Tapped(Ok(latency)));
    harness.get_by_label("By your taps: about 71 ms, give or take 20.");
    harness.get_by_label_contains("It is kept for these two devices");
    press(&mut harness, Key::Escape);
    press(&mut harness, Key::PageDown);
    let played = heard(&harness, 0, Flip::Made);
    moved(&mut harness, 0, Ticks::ZERO);
    moved(&mut harness, 1, Ticks::ZERO);
    hear(&mut harness, played);
    assert_eq!(desk_of(&harness).marks, [PassResult::Clean]);
    assert!(harness.query_by_label_contains("early on the whole").is_none());
    // What the microphone hears itself is surer than taps: then they are no longer asked for.
    told(&mut harness, Told::Measured(Ok(Latency { by: MeasuredBy::Sweeps, ..latency })));
    press(&mut harness, Key::Space);
    harness.key_press_modifiers(egui::Modifiers::SHIFT, Key::E);
    harness.run();
    harness.get_by_label_contains("These devices were measured by sweeps: 71 ms");
    assert!(harness.query_by_label("Start the clicks").is_none());
    drop(results);
}

/// By the mouse, and left in the middle: the clicks end and the microphone listens to the drill again. With the microphone
/// closed the page says what is missing.
#[test]
fn leaving_the_page_of_taps_breaks_them_off() {
    let mut harness = with_lesson(egui::Theme::Dark);
    harness.state_mut().act(Intent::Switch(Sheet::TapAlong));
    harness.run();
    harness.get_by_label("Open the microphone first.");
    assert!(harness.query_by_label("Start the clicks").is_none());
    harness.get_by_label("Listen through the microphone").click();
    harness.run();
    told(&mut harness, Told::Opened { name: "Harp microphone".into(), latency: None });
    harness.snapshot("taps_dark");
    let results = harness.take_snapshot_results();
    harness.state_mut().act(Intent::CloseSheet);
    harness.run();
    harness.get_by_label("Tap along instead").click();
    harness.run();
    harness.get_by_label("Start the clicks").click();
    harness.run();
    told(&mut harness, Told::Tapping(TapCount { clicks: 3, taps: 0 }));
    press(&mut harness, Key::Escape);
    assert!(matches!(harness.state().listener.last(), Some(ListeningOrder::Listen(_))));
    assert!(!harness.state().state.listening.measuring.runs());
    // A microphone that is pulled out meanwhile ends it as well.
    press(&mut harness, Key::Space);
    press(&mut harness, Key::Space);
    harness.state_mut().act(Intent::Switch(Sheet::TapAlong));
    harness.state_mut().act(ListeningIntent::MeasureByTaps.into());
    told(&mut harness, Told::Ear(Microphone::Lost(MicrophoneLoss::Gone)));
    harness.get_by_label_contains("The microphone is gone");
    assert!(!harness.state().state.listening.measuring.runs());
    drop(results);
}

/// A pass that has ended and is still listened to goes into the diary whatever is done meanwhile: the sound breaks off and
/// comes back, another flip is chosen, the window is closed.
#[test]
fn a_pass_that_is_waited_for_is_never_lost() {
    for leaves in [true, false] {
        let mut harness = with_lesson(egui::Theme::Light);
        opened(&mut harness);
        press(&mut harness, Key::PageDown);
        let flip = flip_beat(&harness);
        moved(&mut harness, 0, flip);
        press(&mut harness, Key::PageDown);
        moved(&mut harness, 1, flip);
        assert_eq!(harness.state().passes().len(), 0, "there is still something to be heard of it");
        let reason = leverlane_formats::Said::quoted("the sound device is gone");
        harness.state_mut().act(Intent::Sound(leverlane_app::intent::SoundNews::Lost(reason)));
        harness.run();
        harness.get_by_label_contains("the sound device is gone");
        assert!(harness.state().sounding.is_none());
        if leaves {
            press(&mut harness, Key::ArrowRight);
        } else {
            harness.state_mut().act(FileIntent::Close.into());
        }
        let kept = harness.state().passes();
        assert_eq!(kept.len(), 1);
        assert_eq!(kept[0].record.steady, Steadiness::Steady, "she tapped on the flip's beat");
    }
    // Where it goes on instead, what comes late finds its pass, and practice its rung.
    let mut harness = with_lesson(egui::Theme::Light);
    opened(&mut harness);
    press(&mut harness, Key::PageDown);
    moved(&mut harness, 0, Ticks::ZERO);
    moved(&mut harness, 1, Ticks::ZERO);
    let played = heard(&harness, 0, Flip::Made);
    harness
        .state_mut()
        .act(Intent::Sound(leverlane_app::intent::SoundNews::Lost(leverlane_formats::Said::quoted("gone"))));
    press(&mut harness, Key::PageDown);
    assert!(harness.state().sounding.is_some());
    hear(&mut harness, played);
    assert_eq!((desk_of(&harness).marks.as_slice(), harness.state().passes().len()), (&[PassResult::Clean][..], 1));
}

/// A reviewed picture: listening, a pass just judged, the beat to be seen, the eyes on the lever.
#[test]
fn picture() {
    let mut harness = with_lesson(egui::Theme::Light);
    opened(&mut harness);
    press(&mut harness, Key::U);
    press(&mut harness, Key::PageDown);
    let played = heard(&harness, 0, Flip::Forgotten);
    moved(&mut harness, 0, Ticks::ZERO);
    moved(&mut harness, 1, Ticks::ZERO);
    hear(&mut harness, played);
    told(&mut harness, level(0.3, Vec::new()));
    let open = harness.state().state.plan.as_ref().unwrap().harp.strings()[12].open;
    let at = SampleIndex::FIRST;
    let note = PlacedNote { at, place: None, note: open.midi(), cents: Cents::new(0.0), certainty: 0.9 };
    told(&mut harness, Told::News(News::Note(note)));
    let flip = flip_beat(&harness);
    moved(&mut harness, 1, flip);
    harness.snapshot("listening_light");
}
