//! Why a tune may be read otherwise by music21, with what the standard says (ABC 2.1, its sections from memory).

use leverlane_core::score::Tie;
use leverlane_formats::Imported;

/// The cause of a difference, and whether a line of music shows it.
type Shown = (&'static str, fn(&str) -> bool);

const SHOWN: [Shown; 8] = [
    ("\"=20\" and \"=\" are left over in the file from its transport as mail: no ABC at all", |line| {
        line.contains("=20") || line.ends_with('=')
    }),
    ("music21 strings voices named in brackets into one (§3.2, §7: [V:] names a voice like V:)", |line| {
        line.contains("[V:")
    }),
    ("music21 passes over keys and unit lengths in brackets (§3.2: they act like field lines)", |line| {
        ["[K:", "[L:", "[M:"].iter().any(|field| line.contains(field))
    }),
    ("music21 leaves broken rhythm undone where graces follow the sign (§4.4, §4.12: graces have no time)", |line| {
        line.split(['<', '>']).skip(1).any(|after| after.trim_start().starts_with('{'))
    }),
    ("music21 lets the second sign of \"a>b>c\" alone count for b (§4.4: each sign halves or lengthens)", |line| {
        chained(line)
    }),
    ("music21 gives a chord one length (§4.17: its notes may differ, the first moves the music on)", |line| {
        chords(line).any(|chord| chord.contains(|c: char| c.is_ascii_digit()))
    }),
    ("music21 ends an accidental with its chord (§4.2, §11.3: it holds to the bar line)", |line| {
        chords(line).any(|chord| chord.contains(['^', '_', '=']))
    }),
    ("music21 passes over the slashes of \"B3//\" but one (§4.3: each halves)", |line| {
        line.as_bytes().windows(3).any(|three| three[0].is_ascii_digit() && &three[1..] == b"//")
    }),
];

/// The cause of a difference, where the tune shows one that is known.
pub fn cause(text: &str, imported: &Imported) -> Option<&'static str> {
    let body: Vec<&str> = text.lines().skip_while(|line| !line.starts_with("K:")).collect();
    if body.iter().any(|line| line.starts_with("V:")) {
        return Some("music21 makes a new part at every V: line (§7: a voice named again goes on)");
    }
    let told = |words: &str| imported.warnings.iter().any(|warning| warning.reason.contains(words));
    if told("means nothing here") {
        return Some("an accidental with no note after it, in the file by mistake");
    }
    if told("has no note after it") {
        return Some("a broken-rhythm sign with no note after it, in the file by mistake");
    }
    let music = || body.iter().filter(|line| line.chars().nth(1) != Some(':') && !line.starts_with('%'));
    if let Some((cause, _)) = SHOWN.iter().find(|(_, shows)| music().any(|line| shows(line))) {
        return Some(cause);
    }
    let carried = imported.score.notes().any(|(_, note)| {
        let signed = imported.score.bar(note.bar).map(|bar| bar.key.alter(note.pitch.letter()));
        matches!(note.tie, Tie::Stop | Tie::Continue) && note.onset.get() == 0 && signed != Some(note.pitch.alter())
    });
    carried.then_some("a tie carries its note's accidental over the bar line (common practice)")
}

/// What stands in the square brackets of chords.
fn chords(line: &str) -> impl Iterator<Item = &str> {
    line.split('[')
        .skip(1)
        .filter_map(|rest| rest.split(']').next())
        .filter(|inner| !inner.starts_with(['|', '1', '2']))
}

/// Whether one note stands between two broken-rhythm signs: "a>b>c".
fn chained(line: &str) -> bool {
    let pieces: Vec<&str> = line.split(['<', '>']).collect();
    let notes = |piece: &str| piece.chars().filter(|c| matches!(c, 'A'..='G' | 'a'..='g' | 'z')).count();
    pieces.len() > 2 && pieces[1..pieces.len() - 1].iter().any(|piece| notes(piece) == 1 && !piece.contains('|'))
}
