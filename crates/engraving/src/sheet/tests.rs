use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::meter::Meter;
use leverlane_core::pitch::Key;
use leverlane_core::plan::{BareRequest, HandPace, PaceLevel, StartList, bare_plan, flip_marks};
use leverlane_core::score::{HandRule, Hands, Performance};
use leverlane_core::time::Tempo;
use leverlane_formats::Limits;
use leverlane_formats::paper::{PaperSettings, bare_passage};

use super::*;
use crate::tests::{music_of_demo, text_of_svg};

fn start(music: &Music) -> StartList {
    music.start.clone().unwrap()
}

/// All texts of a page, in the order in which they are drawn.
fn texts(page: &Page) -> String {
    page.items.iter().map(|item| text_of_svg(&item.svg)).collect::<Vec<_>>().join(" ")
}

/// The title, the levers to set and every mark of the plan are on the pages, inside the paper's margins, and nothing
/// covers anything else.
#[test]
fn the_part_has_its_title_levers_and_marks() {
    let music = music_of_demo();
    let sheet = Sheet { start: start(&music), music: music.clone(), about: vec!["A harp".to_owned()] };
    let pages = laid_out(&sheet, MusicFonts::temporary().unwrap()).unwrap();
    let all: String = pages.iter().map(texts).collect::<Vec<_>>().join(" ");
    assert!(all.contains(music.score.title()) && all.contains("Before you start") && all.contains("A harp"), "{all}");
    for entry in sheet.start.letters.iter().map(ToString::to_string) {
        assert!(all.contains(&entry), "{entry} in {all}");
    }
    for mark in &music.marks {
        assert!(all.contains(&mark.text.to_string()), "{} in {all}", mark.text);
    }
    assert!(pages.len() > 1 && texts(&pages[1]).contains(&format!("2 of {}", pages.len())));
    for page in &pages {
        let mut below = 0.0;
        for item in &page.items {
            let tree = crate::picture::tree(&item.svg).unwrap();
            let height = tree.size().height() * item.width / tree.size().width();
            assert!(item.left >= MARGIN - 0.1 && item.left + item.width <= PAGE.0 - MARGIN + 3.0, "across");
            assert!(item.top + 0.5 >= below && item.top + height <= PAGE.1 - MARGIN + 3.0, "down");
            below = item.top + height - 1.0;
        }
    }
}

/// PDF 1.7, section 7.5: the header, and the end of the file.
#[test]
fn the_file_is_a_pdf() {
    let music = music_of_demo();
    let sheet = Sheet { start: start(&music), music, about: Vec::new() };
    let printed = print(&sheet, MusicFonts::temporary().unwrap()).unwrap();
    assert!(printed.pdf.starts_with(b"%PDF-"));
    let end = String::from_utf8_lossy(&printed.pdf[printed.pdf.len() - 8..]).into_owned();
    assert!(end.contains("%%EOF"), "{end}");
    let again = print(&sheet, MusicFonts::temporary().unwrap()).unwrap();
    assert!(again == printed, "the same music makes the same file");
}

/// Flips noted from paper: a box for each bar, each flip in it.
#[test]
fn a_bare_passage_is_a_grid() {
    let settings = PaperSettings {
        title: "From paper".to_owned(),
        meter: Meter::common(),
        tempo: Tempo::quarters(80.0).unwrap(),
        key: Key::NATURAL,
        bars: 6,
    };
    let text = "bar 2 beat 4: C5 up\nbar 5 beat 1: C5 down, F4 up right";
    let passage = bare_passage(text, &settings, &Limits::USUAL).unwrap();
    let score = passage.imported.score;
    let hands = Hands::assign(&score, &HandRule::Usual);
    let performance = Performance::new(&score, &passage.imported.order, &hands);
    let harp = Preset::with_strings(34).unwrap().tuned(Tuning::C);
    let pace = HandPace::from(PaceLevel::Fluent);
    let tempo = performance.tempo().clone();
    let request =
        BareRequest { performance: &performance, harp: &harp, tempo: &tempo, pace: &pace, flips: &passage.flips };
    let plan = bare_plan(&request).plan;
    let marks = flip_marks(&plan, &performance, &harp);
    assert_eq!(marks.len(), 3);
    let music = Music { bars: 0..score.bars().len(), score, hands, cues: Vec::new(), marks, start: None };
    let sheet = Sheet { music, start: StartList::of(&plan, &harp), about: Vec::new() };
    let pages = laid_out(&sheet, MusicFonts::temporary().unwrap()).unwrap();
    assert_eq!(pages.len(), 1);
    let all = texts(&pages[0]);
    for wanted in ["From paper", "C♯5", "C♮5", "F♯4", "4/4"] {
        assert!(all.contains(wanted), "{wanted} in {all}");
    }
}
