//! Tunes of our own beside what they sound like, counted by hand.

use std::path::{Path, PathBuf};

use leverlane_core::score::{HandRule, Hands, NoteKind};
use leverlane_formats::{Imported, Limits, import};

pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("golden/abc")
}

fn described(imported: &Imported) -> Vec<String> {
    let score = &imported.score;
    let hands = Hands::assign(score, &HandRule::Usual);
    let order: Vec<String> = imported.order.bars().iter().map(|bar| bar.get().to_string()).collect();
    let mut lines = vec![format!("order {}", order.join(" "))];
    for (index, bar) in score.bars().iter().enumerate() {
        lines.push(format!("bar {index}: {} {}", bar.length, bar.anacrusis));
        let here = score.notes().filter(|(_, note)| note.bar.get() == index);
        for (reference, note) in here {
            let grace = if note.kind == NoteKind::Timed { "" } else { "grace " };
            let hand = hands.of(reference).unwrap();
            lines.push(format!("{} {grace}{} {} {hand}", note.onset, note.pitch.ascii(), note.length));
        }
    }
    lines
}

#[test]
fn tunes_sound_as_counted() {
    let mut compared = 0;
    for entry in std::fs::read_dir(folder()).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "abc") {
            continue;
        }
        let imported = import(&std::fs::read(&path).unwrap(), &Limits::USUAL).unwrap();
        let expected = std::fs::read_to_string(path.with_extension("expected")).unwrap();
        let expected: Vec<&str> = expected.lines().filter(|line| !line.starts_with('#')).collect();
        assert_eq!(described(&imported), expected, "{}", path.display());
        compared += 1;
    }
    assert_eq!(compared, 2);
}
