//! Tunes bent out of shape: whatever comes of it, no panic, and every refusal is one line with a place.

use leverlane_formats::abc::{PassageSettings, Tunebook, passage};
use leverlane_formats::{ImportError, Limits};

use crate::golden::folder;

/// A plain generator of numbers, always the same ones (Knuth's constants for a linear congruential generator).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, limit: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % limit.max(1)
    }
}

/// Pieces of ABC that mean something somewhere.
const PIECES: [&str; 44] = [
    "[",
    "]",
    "{",
    "}",
    "(",
    ")",
    "(3",
    "(5:4:9",
    "|",
    "||",
    "|:",
    ":|",
    "::",
    "|]",
    "[|",
    "[1",
    "|2",
    "[1,3-99",
    "&",
    "-",
    ">",
    "<<<",
    "^",
    "__",
    "=",
    "z",
    "Z9",
    "Z40000",
    "x3",
    "y",
    "\"",
    "!",
    "!D.C.!",
    "+CE+",
    "[K:",
    "[V:3]",
    "\n",
    "\nV:9 clef=bass\n",
    "\nP:(A9B)9\n",
    "\nL:1/512\n",
    "\nM:63/64\n",
    "99999999999",
    "////",
    ",,,,",
];

fn seeds() -> Vec<Vec<u8>> {
    let abc = |path: &std::path::PathBuf| path.extension().is_some_and(|extension| extension == "abc");
    let mut paths: Vec<_> =
        std::fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path()).filter(abc).collect();
    paths.sort();
    paths.into_iter().map(|path| std::fs::read(path).unwrap()).collect()
}

fn bend(text: &mut Vec<u8>, numbers: &mut Numbers) {
    for _ in 0..=numbers.below(6) {
        let at = numbers.below(text.len() + 1);
        match numbers.below(4) {
            0 => {
                let piece = PIECES[numbers.below(PIECES.len())];
                text.splice(at..at, piece.bytes());
            }
            1 if at < text.len() => text[at] = u8::try_from(numbers.below(256)).unwrap(),
            2 => {
                let end = (at + numbers.below(12)).min(text.len());
                text.drain(at..end);
            }
            _ => {
                let end = (at + numbers.below(40)).min(text.len());
                let copied = text[at..end].to_vec();
                text.splice(at..at, copied);
            }
        }
    }
}

#[test]
fn bent_tunes_are_read_or_refused_in_a_line() {
    let limits = Limits { notes: 20_000, bars: 2_000, played_bars: 5_000, ..Limits::USUAL };
    let (seeds, mut numbers) = (seeds(), Numbers(7));
    let (mut read, mut refused) = (0, 0);
    for _ in 0..3_000 {
        let mut text = seeds[numbers.below(seeds.len())].clone();
        bend(&mut text, &mut numbers);
        let book = Tunebook::open(&text, &limits).unwrap();
        for tune in 0..book.tunes().len() {
            match book.read(tune) {
                Ok(imported) => {
                    read += 1;
                    let bars = imported.score.bars().len();
                    assert!(imported.order.bars().iter().all(|bar| bar.get() < bars));
                    assert!(imported.warnings.iter().all(|warning| !warning.to_string().contains('\n')));
                }
                Err(error) => {
                    refused += 1;
                    assert!(!error.to_string().contains('\n'), "{error}");
                    if let ImportError::Malformed(detail) = &error {
                        assert!(detail.place.starts_with("line "), "{error}");
                    }
                }
            }
        }
        if let Ok(text) = String::from_utf8(text) {
            let (right, left) = text.split_at(text.floor_char_boundary(text.len() / 2));
            if let Err(error) = passage(right, left, &PassageSettings::default(), &limits) {
                assert_eq!(error.hand.is_some(), error.line > 0, "{error}");
            }
        }
    }
    assert!(read > 500 && refused > 500, "{read} read, {refused} refused: the bending is too weak or too strong");
}

/// Shapes that could take long: each is a quarter of a megabyte of one thing.
#[test]
fn long_rows_of_one_thing_end() {
    let piece = |piece: &str| format!("X:1\nL:1/64\nM:none\nK:C\n{}\n", piece.repeat(250_000 / piece.len()));
    for text in
        ["^c", "c>", "[ce]-", "{c}", "&c", "c|", "|:c", "|1c", "(3", "!x!", "k", "\"\"c", "c\n", "c|\nP:A\n", "[V:1]c"]
    {
        let text = piece(text);
        let _ = Tunebook::open(text.as_bytes(), &Limits::USUAL).unwrap().read(0);
    }
    let many = "X:1\nK:C\nc|\n\n".repeat(20_000);
    assert_eq!(Tunebook::open(many.as_bytes(), &Limits::USUAL).unwrap().tunes().len(), 20_000);
}
