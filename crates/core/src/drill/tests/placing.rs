//! What sounds when.

use super::Accent::{Bar as B, Beat as b, Division as d};
use super::*;

/// Common practice: 4/4 has four beats, 6/8 two of three eighths each, 3+2/8 a beat for each group.
#[test]
fn clicks_follow_the_meter() {
    let bars = [meter(&[4], 4), meter(&[6], 8), meter(&[3, 2], 8)].map(|meter| bar(&meter)).to_vec();
    let piece = Piece::new(bars, Vec::new());
    let chunk = Chunk::whole(&piece.request()).unwrap();
    let plain = piece.timeline(&chunk, counted_in(0));
    assert_eq!(
        clicks_of(&plain.events),
        [(0.0, B), (1.0, b), (2.0, b), (3.0, b), (4.0, B), (5.5, b), (7.0, B), (8.5, b)]
    );
    assert_eq!((plain.length, plain.count_in_length), (quarters(19, 2), Ticks::ZERO));
    let options = TimelineOptions { division: Division::Divided, ..TimelineOptions::default() };
    let divided = clicks_of(&piece.timeline(&chunk, options).events);
    assert_eq!(divided[..4], [(0.0, B), (0.5, d), (1.0, b), (1.5, d)]);
    assert_eq!(divided[8..14], [(4.0, B), (4.5, d), (5.0, d), (5.5, b), (6.0, d), (6.5, d)]);
    assert_eq!(divided[14..], [(7.0, B), (7.5, d), (8.0, d), (8.5, b), (9.0, d)]);
    let options = TimelineOptions { counting: Counting::Units, ..TimelineOptions::default() };
    let eighths = clicks_of(&piece.timeline(&chunk, options).events);
    assert_eq!(eighths[4..10], [(4.0, B), (4.5, b), (5.0, b), (5.5, b), (6.0, b), (6.5, b)]);
}

/// A pickup of one quarter in 4/4 is the fourth beat: a whole bar is counted, then three beats, then it comes. Before
/// every further pass three beats are counted too, as the last bar is full.
#[test]
fn a_pickup_comes_on_its_own_beat() {
    let four = Meter::common();
    let piece = Piece::new(vec![pickup(&four, quarters(1, 1)), bar(&four)], vec![note(0, Ticks::ZERO, "G4", 1)]);
    let chunk = Chunk::whole(&piece.request()).unwrap();
    let timeline = piece.timeline(&chunk, counted_in(1));
    assert_eq!(timeline.count_in_length, quarters(7, 1));
    assert_eq!(clicks_of(&timeline.count_in), [(0.0, B), (1.0, b), (2.0, b), (3.0, b), (4.0, B), (5.0, b), (6.0, b)]);
    assert_eq!(
        clicks_of(&timeline.events),
        [(0.0, b), (1.0, B), (2.0, b), (3.0, b), (4.0, b), (5.0, B), (6.0, b), (7.0, b)]
    );
    assert_eq!(timeline.length, quarters(8, 1));
    assert_eq!(chunk.seam, [SeamBar { meter: four, anacrusis: Ticks::ZERO, length: quarters(3, 1) }]);
}

/// Most pieces that begin with a pickup end with a bar that lacks it: nothing needs to be counted between them.
#[test]
fn a_last_bar_that_lacks_the_pickup_is_completed_by_it() {
    let four = Meter::common();
    let last = |length| Bar { length, ..bar(&four) };
    let seam = |length, flip: bool| {
        let notes = vec![note(0, Ticks::ZERO, "G3", 2)];
        let mut piece = Piece::new(vec![pickup(&four, quarters(1, 1)), bar(&four), last(length)], notes);
        if flip {
            piece.flip(quarters(2, 1), "F4", LeverState::Up, quarters(3, 1));
        }
        let chunk = Chunk::whole(&piece.request()).unwrap();
        chunk.seam.iter().map(|bar| (bar.anacrusis.quarters(), bar.length.quarters())).collect::<Vec<_>>()
    };
    assert_eq!(seam(quarters(3, 1), false), []);
    assert_eq!(seam(quarters(2, 1), false), [(2.0, 1.0)]);
    assert_eq!(seam(quarters(4, 1), false), [(0.0, 3.0)]);
    // With a reset, one whole bar more, cut where the count of bars has its bar lines.
    assert_eq!(seam(quarters(3, 1), true), [(3.0, 1.0), (0.0, 3.0)]);
}

#[test]
fn a_bar_that_breaks_off_is_counted_to_its_end() {
    let four = Meter::common();
    let piece = Piece::new(vec![bar(&four), Bar { length: quarters(3, 1), ..bar(&four) }], Vec::new());
    let chunk = Chunk::whole(&piece.request()).unwrap();
    assert_eq!(chunk.seam, [SeamBar { meter: four, anacrusis: quarters(3, 1), length: quarters(1, 1) }]);
    let timeline = piece.timeline(&chunk, counted_in(0));
    assert_eq!(clicks_of(&timeline.events)[4..], [(4.0, B), (5.0, b), (6.0, b), (7.0, b)]);
}

/// Graces of 80 ms each before their note, a roll of 35 ms a string from the beat on, both hands in one.
#[test]
fn graces_come_before_and_rolls_after_the_beat() {
    let four = Meter::common();
    let grace =
        |place, pitch| Note { kind: NoteKind::Grace(place), length: Ticks::ZERO, ..note(0, Ticks::ZERO, pitch, 1) };
    let rolled = |pitch, staff, roll| Note { roll: Some(roll), ..note(1, Ticks::ZERO, pitch, staff) };
    let notes = vec![
        grace(0, "E5"),
        grace(1, "D5"),
        note(0, Ticks::ZERO, "C5", 1),
        rolled("C3", 2, Roll::Up),
        rolled("G3", 2, Roll::Up),
        rolled("E4", 1, Roll::Up),
        note(1, Ticks::ZERO, "C6", 1),
    ];
    let piece = Piece::new(vec![bar(&four); 2], notes);
    let timeline = piece.timeline(&Chunk::whole(&piece.request()).unwrap(), counted_in(0));
    let plucks: Vec<_> = timeline
        .events
        .iter()
        .filter_map(|event| match event.kind {
            EventKind::Pluck { note, shift, string, .. } => {
                let open = piece.harp.string(string.unwrap()).unwrap().open.midi();
                Some((
                    event.at.quarters(),
                    note.get(),
                    (shift.get() * 1000.0).round(),
                    i16::from(note.get()) - i16::from(open.get()),
                ))
            }
            EventKind::Click(_) | EventKind::Cue(_) | EventKind::Guide(_) | EventKind::Spoken { .. } => None,
        })
        .collect();
    assert_eq!(
        plucks,
        [
            (0.0, 76, -160.0, 0),
            (0.0, 74, -80.0, 0),
            (0.0, 72, 0.0, 0),
            (4.0, 48, 0.0, 0),
            (4.0, 55, 35.0, 0),
            (4.0, 64, 70.0, 0),
            (4.0, 84, 0.0, 0)
        ]
    );
}
