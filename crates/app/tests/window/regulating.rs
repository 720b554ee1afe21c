//! The lever check and the tuner. What the microphone hears of each pluck is made up, and comes as the listener tells it.

use leverlane_app::effects::ListeningOrder;
use leverlane_app::intent::ListeningIntent;
use leverlane_app::state::{Asked, Ear, PlucksEach};
use leverlane_app::words::{Language, NoteNames};
use leverlane_core::harp::{Harp, Lever, Rattle, Stiffness, StringNumber, StringSound, Timbre};
use leverlane_core::pitch::{Cents, Hertz, MidiNote};
use leverlane_hearing::MeasuredPluck;
use leverlane_listening::{News, SingleNews, Told};

use super::*;

fn told(harness: &mut Harness<'_, Bench>, told: Told) {
    harness.state_mut().act(ListeningIntent::Told(told).into());
    harness.run();
}

/// The demo's harp of 34 strings in C, its lever check open and the microphone with it.
fn checking<'a>(theme: egui::Theme) -> Harness<'a, Bench> {
    let mut harness = with_demo(theme);
    harness.state_mut().act(Intent::Go(Place::Harp));
    harness.run();
    harness.get_by_label("Check the levers").click();
    harness.run();
    told(&mut harness, Told::Opened { name: "Harp microphone".into(), latency: None });
    harness
}

fn pluck(harness: &mut Harness<'_, Bench>, hertz: f64) {
    pluck_rattling(harness, hertz, 0.01);
}

fn pluck_rattling(harness: &mut Harness<'_, Bench>, hertz: f64, share: f64) {
    let rattle = Rattle::new(share).unwrap();
    let (timbre, stiffness) = (Timbre::new(&[0.0, -12.0]).unwrap(), Stiffness::new(1e-4).unwrap());
    let pluck = MeasuredPluck { hertz: Hertz::new(hertz).unwrap(), rattle, timbre, stiffness };
    told(harness, Told::News(News::Single(SingleNews::Measured(pluck))));
}

fn cents_above(hertz: f64, cents: f64) -> f64 {
    hertz * (cents / 1200.0).exp2()
}

fn fitted(harness: &Harness<'_, Bench>, string: u8) -> Option<f64> {
    let harp = harness.state().state.wishes.harp.harp();
    match harp.string(StringNumber::new(string).unwrap()).unwrap().lever {
        Lever::Fitted { measured } => measured.map(Cents::get),
        Lever::NotFitted => None,
    }
}

/// The lowest strings are C2, D2 and E2: 65.406, 73.416 and 82.407 Hz (equal temperament, published tables). Their levers
/// raise them by 98, 111 and, after it was forgotten, 104 cents.
#[test]
fn levers_are_checked_string_by_string_and_kept_with_the_harp() {
    let mut harness = checking(egui::Theme::Light);
    let single = |order: &&ListeningOrder| matches!(order, ListeningOrder::Single(Some(_)));
    assert_eq!(harness.state().listener.iter().filter(single).count(), 1);
    harness.get_by_label("Pluck C2, lever down");
    pluck(&mut harness, 66.0);
    harness.get_by_label("Now its lever up: pluck C2 again");
    pluck(&mut harness, cents_above(66.0, 98.0));
    harness.get_by_label("Pluck D2, lever down");
    harness.get_by_label("C2: roughly 98 cents, good");
    pluck(&mut harness, 73.416);
    pluck(&mut harness, cents_above(73.416, 111.0));
    harness.get_by_label("D2: roughly 111 cents, needs regulation");
    pluck(&mut harness, 82.407);
    pluck(&mut harness, 82.5);
    harness.get_by_label("That was E2 with its lever still down.");
    pluck(&mut harness, 130.0);
    harness.get_by_label_contains("That was no E2: it sounded at 130 Hz.");
    harness.get_by_label("Now its lever up: pluck E2 again");
    pluck(&mut harness, cents_above(82.407, 104.0));
    harness.get_by_label("E2: roughly 104 cents, tolerable");
    // What was found is told at the string as well.
    harness.get_by_label_contains("D 2, lever down: roughly 111 cents, needs regulation");
    let note = SingleNews::Sounds(MidiNote::new(41).unwrap());
    told(&mut harness, Told::News(News::Single(note)));
    harness.snapshot("lever_check_light");
    let results = harness.take_snapshot_results();

    harness.get_by_label("Keep with the harp").click();
    harness.run();
    for (string, raise) in [(34, 98.0), (33, 111.0), (32, 104.0)] {
        assert!((fitted(&harness, string).unwrap() - raise).abs() < 1e-6);
    }
    assert_eq!(fitted(&harness, 31), None);
    let timbre = Timbre::new(&[0.0, -12.0]).ok();
    let rattle = Rattle::new(0.01);
    let stiffness = Stiffness::new(1e-4);
    let sound = StringSound { open: timbre, raised: timbre, stiffness, open_rattle: rattle, raised_rattle: rattle };
    let own = |harp: &Harp, string: u8| harp.string(StringNumber::new(string).unwrap()).unwrap().sound;
    let wished = harness.state().state.wishes.harp.harp();
    assert_eq!([34, 31].map(|string| own(&wished, string)), [sound, StringSound::UNHEARD]);
    // The plan's harp is what passes are listened to with.
    assert_eq!(harness.state().state.plan.as_ref().unwrap().harp, wished);
    harness.get_by_label("Copy the list").click();
    harness.run();
    let copied = harness.state().copied[0].clone();
    let lines: Vec<&str> = copied.lines().collect();
    assert!(lines[0].starts_with("Lever check of ") && lines[1].starts_with("D2: roughly 111 cents"), "{copied}");
    assert_eq!(lines[2..], ["The others:", "C2: roughly 98 cents, good", "E2: roughly 104 cents, tolerable"]);

    // The next check compares with what was kept, the rattle too (three times as much), and undoing forgets it.
    harness.get_by_label("Begin anew").click();
    harness.run();
    pluck(&mut harness, 66.0);
    pluck_rattling(&mut harness, cents_above(66.0, 101.0), 0.03);
    harness.get_by_label("C2: roughly 101 cents, good; last time 98 (+3); may buzz when raised");
    harness.state_mut().act(PlanIntent::Undo.into());
    assert_eq!(fitted(&harness, 33), None);
    drop(results);
}

/// By keys alone: in, on to other strings and back, three plucks each, and out, which closes the microphone again.
#[test]
fn the_lever_check_goes_by_keys() {
    let mut harness = with_demo(egui::Theme::Light);
    let press = |harness: &mut Harness<'_, Bench>, key| {
        harness.key_press(key);
        harness.run();
    };
    press(&mut harness, egui::Key::Q);
    assert_eq!(harness.state().state.sheet, Some(Sheet::LeverCheck));
    assert_eq!(harness.state().state.listening.ear, Ear::Opening);
    told(&mut harness, Told::Opened { name: "Harp microphone".into(), latency: None });
    harness.get_by_label("Pluck C2, lever down");
    press(&mut harness, egui::Key::PageDown);
    press(&mut harness, egui::Key::ArrowRight);
    harness.get_by_label("Pluck E2, lever down");
    press(&mut harness, egui::Key::PageUp);
    harness.get_by_label("Pluck D2, lever down");
    press(&mut harness, egui::Key::Space);
    assert!(harness.state().sounding.is_none(), "nothing plays meanwhile");
    harness.get_by_label("Each 3 times, surer").click();
    harness.run();
    harness.get_by_label("Pluck D2, lever down (3 times)");
    for hertz in [73.3, 73.4, 73.5] {
        pluck(&mut harness, hertz);
    }
    harness.get_by_label("Now its lever up: pluck D2 again (3 times)");
    let check = harness.state().state.regulating.check.clone().unwrap();
    assert_eq!(check.each, PlucksEach::Three);
    let string = StringNumber::new(33).unwrap();
    assert_eq!(check.finding(string).unwrap().open.unwrap().get(), 73.4, "the median");
    // Any string can be asked for.
    harness.get_by_label_contains("String 20: ").click();
    harness.run();
    assert!(
        matches!(harness.state().state.regulating.check.as_ref().unwrap().asked, Asked::Pluck(string, _) if string.get() == 20)
    );
    press(&mut harness, egui::Key::Escape);
    assert_eq!(harness.state().state.sheet, None);
    assert_eq!(harness.state().state.listening.ear, Ear::Closed);
    let orders = &harness.state().listener;
    assert!(
        orders.contains(&ListeningOrder::Single(None)) && orders.last() == Some(&ListeningOrder::Rest),
        "{orders:?}"
    );
    // What was found stays for the next time the page is opened.
    press(&mut harness, egui::Key::Q);
    assert!(harness.state().state.regulating.check.as_ref().unwrap().finding(string).is_some());
}

/// A4 is 440 Hz, and then 442: G4 at 392 Hz is in tune, and 7.85 cents low (1200 · log2(440 / 442), arithmetic).
#[test]
fn the_tuner_knows_the_string_and_says_how_far_it_is() {
    let mut harness = with_demo(egui::Theme::Dark);
    harness.state_mut().act(Intent::Go(Place::Harp));
    harness.run();
    harness.get_by_label("Tune").click();
    harness.run();
    told(&mut harness, Told::Opened { name: "Harp microphone".into(), latency: None });
    harness.get_by_label("Pluck a string");
    pluck(&mut harness, 392.0);
    harness.get_by_label("G4: in tune");
    pluck(&mut harness, cents_above(440.0, 14.0));
    harness.get_by_label("A4: 14 cents high");
    pluck(&mut harness, cents_above(261.626, -22.0));
    harness.get_by_label_contains("C 4, lever down: 22 cents low");
    harness.snapshot("tuner_dark");
    let results = harness.take_snapshot_results();
    // Half-way between G4 and A4: tightening the wrong one could snap it.
    pluck(&mut harness, 415.3);
    harness.get_by_label_contains("That lies between ");
    harness.get_by_label("Concert pitch higher").click();
    harness.run();
    harness.key_press(egui::Key::ArrowUp);
    harness.run();
    harness.get_by_label("442 Hz");
    assert_eq!(harness.state().settings.as_ref().unwrap().concert_pitch.hertz().get(), 442.0);
    pluck(&mut harness, 392.0);
    harness.get_by_label("G4: 8 cents low");
    drop(results);
}

/// In German, with German names and the decimals' comma.
#[test]
fn the_lever_check_speaks_german() {
    let mut harness = with_demo(egui::Theme::Light);
    harness.state_mut().act(SettingsIntent::UseLanguage(Language::German).into());
    harness.state_mut().act(SettingsIntent::UseNotes(NoteNames::German).into());
    harness.state_mut().act(Intent::Switch(Sheet::LeverCheck));
    told(&mut harness, Told::Opened { name: "Mikrofon".into(), latency: None });
    harness.get_by_label("Zupf C2, Klappe unten");
    pluck(&mut harness, 65.406);
    pluck(&mut harness, cents_above(65.406, 93.5));
    harness.get_by_label("C2: ungefähr 93,5 Cent, erträglich");
    harness.get_by_label("Zupf D2, Klappe unten");
}
