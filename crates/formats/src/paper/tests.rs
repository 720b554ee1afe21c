use leverlane_core::score::Hand;

use super::*;

fn settings(groups: &[u8], unit: u32) -> PaperSettings {
    let meter = Meter::new(groups, unit).unwrap();
    PaperSettings {
        title: "From paper".to_owned(),
        meter,
        tempo: Tempo::quarters(60.0).unwrap(),
        key: Key::NATURAL,
        bars: 16,
    }
}

fn read(text: &str, settings: &PaperSettings) -> Result<BarePassage, PaperError> {
    bare_passage(text, settings, &Limits::USUAL)
}

/// Each flip as bar index, place in quarters, string, direction, hand.
fn told(text: &str, settings: &PaperSettings) -> Vec<String> {
    let flips = read(text, settings).unwrap().flips;
    let told = |flip: WantedFlip| {
        let (bar, hand) = (flip.bar.get(), if flip.hand == Hand::Right { " right" } else { "" });
        format!("{bar} {} {} {}{hand}", flip.at, flip.string.ascii(), flip.to)
    };
    flips.into_iter().map(told).collect()
}

/// Counting: beat 4 of 4/4 lies three quarters into the bar, half of beat 2 one and a half.
#[test]
fn flips_as_a_player_says_them() {
    let four = settings(&[4], 4);
    let text =
        "bar 12 beat 4: C5 up\n\n# the second half\nBar 3, beat 2.5, F4 down right\nbar 3 beat 2 1/2 f#4 UP; G4 up\r\n";
    assert_eq!(told(text, &four), ["11 3/1 C5 up", "2 3/2 F4 down right", "2 3/2 F#4 up", "2 3/2 G4 up"]);
    assert_eq!(told("bar 1 beat 7/3: Bb4 ↑", &four), ["0 4/3 Bb4 up"]);
    let passage = read(text, &four).unwrap().imported;
    assert_eq!((passage.score.bars().len(), passage.score.notes().count()), (16, 0));
    assert_eq!((passage.score.title(), passage.score.bars()[11].number.as_str()), ("From paper", "12"));
    assert_eq!(passage.order.bars().len(), 16);
}

/// Common practice: 6/8 has two beats of three eighths.
#[test]
fn beats_are_the_meters() {
    let six = settings(&[6], 8);
    assert_eq!(told("bar 1 beat 2 1/3: C5 down", &six), ["0 2/1 C5 down"]);
    assert!(read("bar 1 beat 3: C5 down", &six).is_err());
    let five = settings(&[3, 2], 8);
    assert_eq!(told("bar 1 beat 2: C5 up\nbar 1 beat 2.5: C5 down", &five), ["0 3/2 C5 up", "0 2/1 C5 down"]);
}

/// The columns are counted by hand.
#[test]
fn errors_stand_where_the_caret_belongs() {
    let four = settings(&[4], 4);
    for (text, line, column, said) in [
        ("bar 12 beat 4: C up", 1, 16, "octave"),
        ("bar 17 beat 1: C5 up", 1, 5, "1 to 16"),
        ("bar 0 beat 1: C5 up", 1, 5, "1 to 16"),
        ("\nbar 1 beat 5: C5 up", 2, 12, "1 to 4"),
        ("bar 1 beat 0.5: C5 up", 1, 12, "1 to 4"),
        ("bar 1 beat 2.33: C5 up", 1, 12, "fraction"),
        ("bar 1 beat 2 3/2: C5 up", 1, 14, "1/2"),
        ("bar 1 beat 1: C5", 1, 17, "up or down"),
        ("bar 1 beat 1: C5 up please", 1, 21, "take it out"),
        ("bar 1 beat 1: C5 up,", 1, 21, "a string"),
        ("bär 1", 1, 1, "\"bar\""),
        ("bar x", 1, 5, "number"),
        ("bar 1 beat", 1, 11, "a beat"),
        ("bar 1 beat 1/0: C5 up", 1, 12, "a beat"),
        ("bar 99999999999999999999 beat 1: C5 up", 1, 5, "number"),
    ] {
        let error = read(text, &four).unwrap_err();
        assert_eq!((error.line, error.column), (line, column), "{text}: {error}");
        assert!(error.to_string().contains(said) && !error.to_string().contains('\n'), "{text}: {error}");
    }
    assert_eq!(read("", &PaperSettings { bars: 0, ..four.clone() }).unwrap_err().line, 0);
    assert!(read("", &PaperSettings { bars: 50_001, ..four }).is_err());
}
