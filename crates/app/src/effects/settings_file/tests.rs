use leverlane_core::plan::PaceLevel;

use super::*;

/// Whatever is chosen comes back, and a file of another version's making is not guessed at.
#[test]
fn settings_come_back() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("new folder").join("settings.ron");
    assert_eq!(read(&file), Ok(Settings::default()), "no file yet");
    let settings = Settings {
        words: Words { language: Language::German, notes: NoteNames::Solfege, octaves: Octaves::Harpists },
        colours: Colours::Dark,
        side: Side::BassRight,
        movement: Movement::Stepping,
        distance: Distance::Far,
        mix: Mix { click: Level::tenths(1), click_sound: ClickSound::High, left_heard: false, ..Mix::default() },
        ears: EarSettings {
            microphone: Some(KnownMicrophone { id: "alsa:hw:1".into(), shown: "USB \"harp\" microphone".into() }),
            route: Route::Headphones,
        },
        pulse: Pulse::Shown,
        concert_pitch: ConcertPitch::of(442.5).unwrap(),
        keys: own_keys(),
        limits: Some(Thresholds { wrong_notes: 0.125, ..Thresholds::of_level(PaceLevel::Expert) }),
        midi_pedal: Some("Two pedals".into()),
        window: Some(WindowPlace { size: [1100.0, 750.5], corner: Some([-8.0, 40.0]), filling: Filling::Screen }),
        recent: vec![PathBuf::from("a piece.ron")],
    };
    save(&file, &settings).unwrap();
    assert_eq!(read(&file), Ok(settings));
    std::fs::write(&file, b"(version: 1, language: 3)").unwrap();
    let refused = read(&file).unwrap_err();
    assert!(refused.contains("settings.ron") && !refused.contains('\n'), "{refused}");
    std::fs::write(&file, b"(version: 1)").unwrap();
    assert_eq!(read(&file), Ok(Settings::default()), "what is missing has its usual value");
}

fn own_keys() -> Keys {
    let mut keys = Keys::default();
    for (modifiers, key, action) in [
        (Modifiers::NONE, Key::F13, Action::RightPedal),
        (Modifiers::COMMAND | Modifiers::ALT, Key::ArrowRight, Action::Tap),
        (Modifiers::NONE, Key::Questionmark, Action::Undo),
    ] {
        keys.switch(Binding { modifiers, key, action });
    }
    keys
}
