//! Long scores made to measure: two hands, a few accidentals in every phrase, never twice the same for long.

use std::ops::Range;

/// Divisions of a quarter note: eighths, triplets and sixteenths are whole.
const DIVISIONS: u32 = 12;
/// A bar of four quarters.
const BAR: u32 = 4 * DIVISIONS;
/// Bars that keep to one set of alterations.
const PHRASE: usize = 8;

/// What is altered within a phrase, by letter: the usual neighbours of C major and A minor.
const COLOURS: [&[(char, i8)]; 6] =
    [&[], &[('F', 1)], &[('F', 1), ('C', 1)], &[('G', 1)], &[('B', -1)], &[('G', 1), ('F', 1)]];

/// Lengths of the right hand's notes in a bar; a triplet eighth is a third of a quarter.
const RIGHT: [&[u32]; 6] = [
    &[12, 12, 12, 12],
    &[18, 6, 12, 12],
    &[6, 6, 6, 6, 6, 6, 6, 6],
    &[24, 6, 6, 12],
    &[4, 4, 4, 12, 6, 6, 12],
    &[12, 3, 3, 6, 24],
];
/// Lengths of the left hand's notes in a bar.
const LEFT: [&[u32]; 4] = [&[48], &[24, 24], &[36, 12], &[12, 12, 24]];

/// A two-hand score of so many bars in four four, as MusicXML. The same number gives the same text.
///
/// A bar has about ten notes, all of them on a harp of 34 strings; a phrase of eight bars keeps to one of six sets of
/// alterations, so that a harp in C has some levers to flip about every phrase.
pub fn large_score(bars: usize) -> String {
    let mut choice = Choice(1);
    let mut xml = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\"><part-list>\
         <score-part id=\"P1\"><part-name>Harp</part-name></score-part></part-list><part id=\"P1\">\n",
    );
    let mut colour = COLOURS[0];
    let (mut high, mut low) = (5 * 7, 3 * 7);
    for bar in 0..bars {
        if bar % PHRASE == 0 {
            colour = COLOURS[choice.below(COLOURS.len())];
        }
        xml += &format!("<measure number=\"{}\">", bar + 1);
        if bar == 0 {
            xml += &format!(
                "<attributes><divisions>{DIVISIONS}</divisions><key><fifths>0</fifths></key>\
                 <time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves></attributes>\
                 <sound tempo=\"72\"/>"
            );
        }
        let mut hand = HandWriter { xml: &mut xml, choice: &mut choice, colour };
        high = hand.write(1, RIGHT, high, 4 * 7 + 4..6 * 7 + 3);
        hand.xml.push_str(&format!("<backup><duration>{BAR}</duration></backup>"));
        low = hand.write(2, LEFT, low, 2 * 7 + 2..4 * 7);
        xml += "</measure>\n";
    }
    xml + "</part></score-partwise>\n"
}

/// Writes one hand's bars.
struct HandWriter<'a> {
    xml: &'a mut String,
    choice: &'a mut Choice,
    colour: &'a [(char, i8)],
}

impl HandWriter<'_> {
    /// One bar for a staff: a line that wanders by step within a range of staff steps, now and then with a third below.
    /// Returns where it ends.
    fn write<const N: usize>(&mut self, staff: u8, rhythms: [&[u32]; N], from: usize, range: Range<usize>) -> usize {
        let mut step = from;
        for &length in rhythms[self.choice.below(N)] {
            self.note(staff, step, length, "");
            if length >= DIVISIONS && self.choice.below(3) == 0 {
                self.note(staff, step - 2, length, "<chord/>");
            }
            step = (step + self.choice.below(5)).saturating_sub(2).clamp(range.start, range.end - 1);
        }
        step
    }

    fn note(&mut self, staff: u8, step: usize, length: u32, chord: &str) {
        let (letter, octave) = (char::from(b"CDEFGAB"[step % 7]), step / 7);
        let alter = match self.colour.iter().find(|(altered, _)| *altered == letter) {
            Some((_, alter)) => format!("<alter>{alter}</alter>"),
            None => String::new(),
        };
        let triplet = match length {
            4 => "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>",
            _ => "",
        };
        self.xml.push_str(&format!(
            "<note>{chord}<pitch><step>{letter}</step>{alter}<octave>{octave}</octave></pitch>\
             <duration>{length}</duration><voice>{staff}</voice>{triplet}<staff>{staff}</staff></note>"
        ));
    }
}

/// A fixed row of numbers that look chosen (Knuth's MMIX multiplier and increment).
struct Choice(u64);

impl Choice {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % bound
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic: every rhythm fills a bar of four quarters, or the score would not be what it says.
    #[test]
    fn rhythms_fill_their_bars() {
        for rhythm in RIGHT.into_iter().chain(LEFT) {
            assert_eq!(rhythm.iter().sum::<u32>(), BAR, "{rhythm:?}");
        }
    }

    #[test]
    fn a_score_is_as_long_as_asked_and_always_the_same() {
        let score = large_score(400);
        assert_eq!(score.matches("<measure ").count(), 400);
        assert!(score.contains("<alter>1</alter>") && score.contains("<alter>-1</alter>"));
        assert_eq!(score, large_score(400));
    }
}
