use super::*;
use crate::meter::Meter;
use crate::pitch::Key;
use crate::score::{Bar, Navigation, NoteKind, Tie};
use crate::time::Ticks;

/// Bars of 4/4 in one part; each note as `bar pitch staff voice`.
fn score(bars: usize, parts: &[&str]) -> Score {
    let bar = Bar {
        number: String::new(),
        length: Ticks::QUARTER * 4,
        meter: Meter::common(),
        anacrusis: Ticks::ZERO,
        key: Key::NATURAL,
        tempo_marks: Vec::new(),
        navigation: Navigation::default(),
    };
    let note = |text: &str| {
        let words: Vec<&str> = text.split_whitespace().collect();
        Note {
            bar: BarIndex::new(words[0].parse().unwrap()),
            onset: Ticks::ZERO,
            length: Ticks::QUARTER,
            pitch: words[1].parse().unwrap(),
            harmonic: None,
            kind: NoteKind::Timed,
            staff: words[2].parse().unwrap(),
            voice: VoiceIndex(words[3].parse().unwrap()),
            tie: Tie::None,
            roll: None,
            rings_on: false,
            held: false,
            fingers: Vec::new(),
            glissando_to: None,
        }
    };
    let part = |text: &&str| {
        let notes: Vec<Note> = text.split(',').map(note).collect();
        let staves = notes.iter().map(|note| note.staff).max().unwrap();
        Part { name: String::new(), staves, voices: vec!["1".to_owned(), "2".to_owned()], notes }
    };
    Score::new("", vec![bar; bars], parts.iter().map(part).collect()).unwrap()
}

/// R, L or - for each note, part by part.
fn hands(score: &Score, rule: &HandRule) -> String {
    let hands = Hands::assign(score, rule);
    let sign = |hand| match hand {
        Some(Hand::Right) => 'R',
        Some(Hand::Left) => 'L',
        None => '-',
    };
    score.notes().map(|(note, _)| sign(hands.of(note))).collect()
}

fn bar(index: usize) -> BarIndex {
    BarIndex::new(index)
}

#[test]
fn the_usual_rule_goes_by_staff_then_by_voice_then_by_pitch() {
    let piano = score(1, &["0 C5 1 0", "0 C3 1 0,0 E5 2 0"]);
    assert_eq!(HandRule::Usual.resolved(&piano), HandRule::ByStaff { parts: vec![1] });
    assert_eq!(hands(&piano, &HandRule::Usual), "-RL", "the staff decides, not the pitch; the singer is no harp");
    // Two voices on one staff: the second, higher on average, is the right hand's.
    let voices = score(2, &["0 C3 1 0,0 E5 1 1,1 C3 1 0"]);
    assert_eq!(HandRule::Usual.resolved(&voices), HandRule::ByVoice { parts: vec![0] });
    assert_eq!(hands(&voices, &HandRule::Usual), "LRL");
    // A second voice in one bar of three says nothing.
    let tune = score(3, &["0 C5 1 0,0 E5 1 1,1 B3 1 0,2 C4 1 0"]);
    assert_eq!(hands(&tune, &HandRule::Usual), "RRLR");
    let trio = score(1, &["0 C5 1 0", "0 A4 1 0", "0 C3 1 0"]);
    assert_eq!(hands(&trio, &HandRule::Usual), "RRL");
}

#[test]
fn bars_can_have_rules_of_their_own() {
    let piece = score(4, &["0 C5 1 0,0 C3 2 0,1 C5 1 0,1 C3 2 0,2 C5 1 0,2 C3 2 0,3 C5 1 0,3 C3 2 0"]);
    let left = HandRule::All { parts: vec![0], hand: Hand::Left };
    let rule = HandRule::Usual.with_bars(bar(1), bar(2), left.clone());
    // Notes of one instant go from the lowest.
    assert_eq!(hands(&piece, &HandRule::Usual), "LRLRLRLR");
    assert_eq!(hands(&piece, &rule), "LRLLLLLR");
    assert_eq!(rule.in_bar(bar(0)), &HandRule::Usual);
    assert_eq!(rule.in_bar(bar(2)), &left);
    // The later exception holds, and swallows what lies inside it.
    let right = HandRule::All { parts: vec![0], hand: Hand::Right };
    let over = rule.clone().with_bars(bar(2), bar(3), right.clone());
    assert_eq!(hands(&piece, &over), "LRLLRRRR");
    let all = over.with_bars(bar(0), bar(3), right);
    assert!(matches!(&all, HandRule::ByBars { ranges, .. } if ranges.len() == 1));
    assert_eq!(hands(&piece, &all), "RRRRRRRR");
    // Bars that the piece doesn't have, or the wrong way round, change nothing.
    assert_eq!(hands(&piece, &HandRule::Usual.with_bars(bar(9), bar(99), left.clone())), "LRLRLRLR");
    assert_eq!(hands(&piece, &HandRule::Usual.with_bars(bar(2), bar(1), left)), "LRLRLRLR");
}

/// A piece is opened by the usual rule and then given other parts, another way, and other hands for some bars; the rest
/// stays as it was.
#[test]
fn parts_and_ways_change_apart_from_each_other() {
    let song = score(3, &["0 C5 1 0,1 D5 1 0", "0 E4 1 0,1 F4 1 0,2 G4 1 0", "0 C3 1 0,1 C3 1 0"]);
    assert_eq!((HandRule::Usual.parts(&song), HandRule::Usual.way()), (vec![0, 1, 2], HandWay::Usual));
    // Two parts of one staff each: one for each hand.
    let duo = HandRule::Usual.with_parts(&song, &[1, 2]);
    assert_eq!(hands(&song, &duo), "--RRRLL");
    assert_eq!((duo.parts(&song), duo.way()), (vec![1, 2], HandWay::Usual));
    let split = duo.with_way(&song, HandWay::SplitAt("F4".parse().unwrap()));
    assert_eq!(hands(&song, &split), "--LRRLL");
    let changed = split.with_bars(bar(1), bar(2), HandWay::One(Hand::Left).rule(&song, Some(&[1, 2])));
    assert_eq!(hands(&song, &changed), "--LLLLL");
    assert_eq!(changed.way(), HandWay::SplitAt("F4".parse().unwrap()));
    // The bars of their own keep their way with other parts.
    let more = changed.with_parts(&song, &[0, 1, 2]);
    assert_eq!(hands(&song, &more), "RLLLLLL");
    assert_eq!(hands(&song, &more.without_range(0)), "RRLRRLL");
    assert_eq!(more.without_range(0).ranges(), []);
    assert_eq!(more.without_range(5), more);
    // Back to what is usual.
    assert_eq!(more.without_range(0).with_way(&song, HandWay::Usual), HandRule::Usual);
    assert_eq!(hands(&song, &HandRule::Usual.with_parts(&song, &[])), "-------");
}
