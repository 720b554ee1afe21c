//! Why a tune may be read otherwise by music21, with what the standard says.

use leverlane_core::score::Tie;
use leverlane_formats::Imported;

/// The cause of a difference, where the tune shows one that is known.
pub fn cause(text: &str, imported: &Imported) -> Option<&'static str> {
    let body: Vec<&str> = text.lines().skip_while(|line| !line.starts_with("K:")).collect();
    let music = || body.iter().filter(|line| line.chars().nth(1) != Some(':') && !line.starts_with('%'));
    let any = |found: &dyn Fn(&str) -> bool| music().any(|line| found(line));
    if any(&|line| line.contains("=20") || line.ends_with('=')) {
        return Some("the file holds \"=20\" and \"=\" left over from its transport as mail: no ABC at all");
    }
    if any(&|line| line.contains("[V:")) {
        return Some("music21 strings voices named in brackets into one (§3.2 and §7: [V:] names a voice like V:)");
    }
    let carried = imported.score.notes().any(|(_, note)| {
        let bar = imported.score.bar(note.bar).map(|bar| bar.key.alter(note.pitch.letter()));
        matches!(note.tie, Tie::Stop | Tie::Continue) && note.onset.get() == 0 && bar != Some(note.pitch.alter())
    });
    carried.then_some("a tie carries its note's accidental over the bar line (common practice)")
}
