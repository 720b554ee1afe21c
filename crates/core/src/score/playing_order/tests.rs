use super::*;
use crate::meter::Meter;
use crate::pitch::Key;
use crate::score::{Ending, Jump, RepeatEnd, ToCoda};
use crate::time::Ticks;

/// Bars from a line of signs, one word a bar, each made of the letters of [`navigation`] joined by commas.
fn bars(line: &str) -> Vec<Bar> {
    let mut open: Option<Vec<u8>> = None;
    line.split_whitespace()
        .map(|word| {
            let mut signs = navigation(word);
            if let Some(ending) = &signs.ending {
                open = Some(ending.passes.clone());
            } else if let Some(passes) = open.clone() {
                signs.ending = Some(Ending { passes, starts: false, stops: false });
            }
            let closes = word.split(',').any(|sign| sign == "]");
            if let Some(ending) = &mut signs.ending {
                ending.stops = closes;
            }
            if closes {
                open = None;
            }
            Bar {
                number: String::new(),
                length: Ticks::QUARTER * 4,
                meter: Meter::common(),
                anacrusis: Ticks::ZERO,
                key: Key::NATURAL,
                tempo_marks: Vec::new(),
                navigation: signs,
            }
        })
        .collect()
}

/// `-` nothing, `|:` forward repeat, `:|` backward (`:|3` three times, `:|!` after jumps too), `[1+2` an ending for
/// passes 1 and 2 up to the bar with `]`, `S` segno, `C` coda, `to` to coda, `DC`, `DS`, `fine`; `DC@2`, `to@2`
/// time-only.
fn navigation(word: &str) -> Navigation {
    let mut signs = Navigation::default();
    for sign in word.split(',') {
        let (sign, passes) = match sign.split_once('@') {
            Some((sign, passes)) => (sign, vec![passes.parse().unwrap()]),
            None => (sign, Vec::new()),
        };
        match sign {
            "-" | "]" => {}
            "|:" => signs.repeat_start = true,
            ":|" => signs.repeat_end = Some(RepeatEnd { times: 2, after_jump: false }),
            ":|!" => signs.repeat_end = Some(RepeatEnd { times: 2, after_jump: true }),
            "S" => signs.segno = Some("segno".to_owned()),
            "S2" => signs.segno = Some("second".to_owned()),
            "C" => signs.coda = Some("coda".to_owned()),
            "to" => signs.to_coda = Some(ToCoda { coda: "coda".to_owned(), passes }),
            "DC" => signs.jump = Some(Jump { target: JumpTarget::DaCapo, passes }),
            "DS" => signs.jump = Some(Jump { target: JumpTarget::DalSegno("segno".to_owned()), passes }),
            "DS2" => signs.jump = Some(Jump { target: JumpTarget::DalSegno("second".to_owned()), passes }),
            "fine" => signs.fine = true,
            other => {
                if let Some(times) = other.strip_prefix(":|") {
                    signs.repeat_end = Some(RepeatEnd { times: times.parse().unwrap(), after_jump: false });
                } else {
                    let numbers = other.strip_prefix('[').unwrap();
                    let passes = numbers.split('+').map(|number| number.parse().unwrap()).collect();
                    signs.ending = Some(Ending { passes, starts: true, stops: false });
                }
            }
        }
    }
    signs
}

fn check(line: &str, expected: &[usize]) {
    let order = PlayingOrder::unroll(&bars(line), 1_000).unwrap();
    let found: Vec<usize> = order.bars().iter().map(|bar| bar.get()).collect();
    assert_eq!(found, expected, "{line}");
}

/// Every order below is derived by hand from the standard's text (MusicXML 4.0: `repeat`, `ending`, `sound`).
#[test]
fn plain_repeats() {
    check("- - -", &[0, 1, 2]);
    // No forward sign: back to the beginning.
    check("- :| -", &[0, 1, 0, 1, 2]);
    check("- |: - :| -", &[0, 1, 2, 3, 1, 2, 3, 4]);
    // A backward sign after another one without a forward sign: back to where the first passage was left.
    check("- :| - :|", &[0, 1, 0, 1, 2, 3, 2, 3]);
    check("|:,:| |:,:| -", &[0, 0, 1, 1, 2]);
    // `times` counts all times through.
    check("|: :|3 -", &[0, 1, 0, 1, 0, 1, 2]);
    check("|: :|1 -", &[0, 1, 2]);
    // A forward sign without a backward one says nothing.
    check("- |: -", &[0, 1, 2]);
}

#[test]
fn endings() {
    check("- [1,:|,] [2,] -", &[0, 1, 0, 2, 3]);
    check("- |: [1 :|,] [2 ] -", &[0, 1, 2, 3, 1, 4, 5, 6]);
    // Three passes, the first two alike.
    check("- [1+2,:|,] [3,] -", &[0, 1, 0, 1, 0, 2, 3]);
    check("- [1,:|,] [2,:|,] [3,]", &[0, 1, 0, 2, 0, 3]);
    check("- [1+3,:|,] [2,:|,] -", &[0, 1, 0, 2, 0, 1, 3]);
    // A first ending without a second: the second time goes straight on.
    check("- [1,:|,] -", &[0, 1, 0, 2]);
    check("- [1+2,:|,] -", &[0, 1, 0, 1, 0, 2]);
    // A repeat sign that closes the last ending repeats nothing more: there is no third ending.
    check("- [1,:|,] [2,:|,] -", &[0, 1, 0, 2, 3]);
    // A second ending that no first one goes with: nothing could ever reach it, so it is played.
    check("- [2,] -", &[0, 1, 2]);
    check("- :| [2,] -", &[0, 1, 0, 1, 2, 3]);
    // Two passages in a row, the second without a forward sign: it begins after the first one's last ending.
    check("- [1,:|,] [2,] - [1,:|,] [2,]", &[0, 1, 0, 2, 3, 4, 3, 5]);
}

#[test]
fn da_capo_and_fine() {
    check("- - DC -", &[0, 1, 2, 0, 1, 2, 3]);
    check("- fine - DC", &[0, 1, 2, 3, 0, 1]);
    // "Fine" says nothing before the jump, and without one.
    check("- fine -", &[0, 1, 2]);
    // The repeat of the jumping bar comes first; after the jump it is not taken again.
    check("- fine |: :|,DC", &[0, 1, 2, 3, 2, 3, 0, 1]);
    check("|: :|,fine - DC", &[0, 1, 0, 1, 2, 3, 0, 1]);
    // after-jump="yes": it is, and "fine" waits for its last time through.
    check("|: :|!,fine - DC", &[0, 1, 0, 1, 2, 3, 0, 1, 0, 1]);
    // After a jump the last ending is played.
    check("- [1,:|,] [2,fine,] - DC", &[0, 1, 0, 2, 3, 4, 0, 2]);
}

#[test]
fn dal_segno_and_coda() {
    check("- S - DS -", &[0, 1, 2, 3, 1, 2, 3, 4]);
    check("- S fine DS", &[0, 1, 2, 3, 1, 2]);
    check("- S to - DS C -", &[0, 1, 2, 3, 4, 1, 2, 5, 6]);
    check("- to - DC C -", &[0, 1, 2, 3, 0, 1, 4, 5]);
    // Repeats before the jump only: bars 1–2 twice, then once; the coda's own repeat is not taken either, since it
    // comes after the jump (after-jump is "no" unless said).
    check("- |:,S :| to DS C :|", &[0, 1, 2, 1, 2, 3, 4, 1, 2, 3, 5, 6]);
    check("- S to - DS C :|!", &[0, 1, 2, 3, 4, 1, 2, 5, 6, 5, 6]);
    // Two signs, each with its own jump, each taken once.
    check("S - DS S2 DS2 -", &[0, 1, 2, 0, 1, 2, 3, 4, 3, 4, 5]);
    // A sign that stands nowhere is passed over.
    check("- DS -", &[0, 1, 2]);
    check("- to DC -", &[0, 1, 2, 0, 1, 2, 3]);
}

#[test]
fn jumps_by_pass() {
    // A jump inside a repeated passage: taken the first time through, as the standard says by default; landing in the
    // passage after a jump counts as its last time.
    check("|: DC :| -", &[0, 1, 0, 1, 2, 3]);
    // time-only="2": on the second time through.
    check("|: DC@2 :| -", &[0, 1, 2, 0, 1, 0, 1, 2, 3]);
    // "To coda" with time-only="2" needs no jump.
    check("|: to@2 :| - C -", &[0, 1, 2, 0, 1, 4, 5]);
    // Endings without any repeat are told apart by the jump.
    check("- [1,DC,] [2,]", &[0, 1, 0, 2]);
}

#[test]
fn never_for_ever() {
    let order = PlayingOrder::unroll(&bars("|: :|255"), 500);
    assert_eq!(order, Err(OrderError { limit: 500 }));
    // A coda before its sign would lead round and round; it is taken once after a jump.
    check("C to DC -", &[0, 1, 2, 0, 1, 0, 1, 2, 3]);
    // Endings that no pass reaches would leave nothing: the bars are played as they stand.
    check("[7,] [8,]", &[0, 1]);
    assert!(PlayingOrder::unroll(&bars("- - -"), 2).is_err());
    assert_eq!(PlayingOrder::unroll(&bars("- -"), 2).unwrap().bars().len(), 2);
}

/// Signs thrown together by a fixed little generator: the walk always ends, plays bars that exist, begins with the first
/// bar unless an ending takes it away, and leaves a bar other than for the next one only where a sign says so.
#[test]
fn any_mixture_of_signs_ends() {
    const WORDS: [&str; 18] = [
        "-",
        "-",
        "-",
        "|:",
        ":|",
        ":|3",
        ":|!",
        "[1",
        "[2",
        "[1+2,:|,]",
        "[1,:|,]",
        "[2,]",
        "S",
        "C",
        "to",
        "DC",
        "DS",
        "fine",
    ];
    let mut state = 7u64;
    let mut below = |bound: usize| {
        // Knuth's MMIX constants.
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(state >> 33).unwrap() % bound
    };
    for _ in 0..20_000 {
        let words: Vec<&str> = (0..1 + below(10)).map(|_| WORDS[below(WORDS.len())]).collect();
        let line = words.join(" ");
        let bars = bars(&line);
        let order = PlayingOrder::unroll(&bars, 10_000).unwrap();
        let played: Vec<usize> = order.bars().iter().map(|bar| bar.get()).collect();
        assert!(played.iter().all(|&bar| bar < bars.len()), "{line}");
        assert!(played[0] == 0 || bars[0].navigation.ending.is_some(), "{line}: {played:?}");
        for step in played.windows(2) {
            let signs = &bars[step[0]].navigation;
            let leaves = signs.repeat_end.is_some() || signs.jump.is_some() || signs.to_coda.is_some();
            let skips = step[0] < step[1] && (step[0] + 1..step[1]).all(|bar| bars[bar].navigation.ending.is_some());
            assert!(leaves || skips, "{line}: {} to {}", step[0], step[1]);
        }
    }
}
