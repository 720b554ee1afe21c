//! Repeats, endings and jumps as files write them. The orders are derived by hand from the standard's text.

use super::scores::{attributes, note, read, score};

/// The bars played, of a score whose bars hold a whole note each; `%` in a bar's text stands for the note.
fn order<const N: usize>(contents: [&str; N]) -> Vec<usize> {
    let whole = note("C4", 16, "");
    let bar = |(index, content): (usize, &&str)| {
        let opening = if index == 0 { attributes("4", "4") } else { String::new() };
        let content = if content.contains('%') { content.replace('%', &whole) } else { format!("{whole}{content}") };
        format!("<measure number=\"{index}\">{opening}{content}</measure>")
    };
    let text = score(&contents.iter().enumerate().map(bar).collect::<String>());
    read(&text).order.bars().iter().map(|bar| bar.get()).collect()
}

const FORWARD: &str = "<barline location=\"left\"><repeat direction=\"forward\"/></barline>%";
const BACKWARD: &str = "<barline location=\"right\"><repeat direction=\"backward\"/></barline>";

fn ending(number: &str, inside: &str, repeat: &str) -> String {
    format!(
        "<barline location=\"left\"><ending number=\"{number}\" type=\"start\"/></barline>%{inside}\
         <barline location=\"right\"><ending number=\"{number}\" type=\"stop\"/>{repeat}</barline>"
    )
}

const AGAIN: &str = "<repeat direction=\"backward\"/>";

fn sound(attributes: &str) -> String {
    format!("<sound {attributes}/>")
}

fn words(text: &str) -> String {
    format!("<direction><direction-type><words>{text}</words></direction-type></direction>")
}

#[test]
fn repeats_and_endings() {
    assert_eq!(order(["", FORWARD, BACKWARD, ""]), [0, 1, 2, 1, 2, 3]);
    assert_eq!(order(["<barline><repeat direction='backward' times='3'/></barline>"]), [0, 0, 0]);
    let (first, second) = (ending("1", "", AGAIN), ending("2", "", ""));
    assert_eq!(order(["", &first, &second, ""]), [0, 1, 0, 2, 3]);
    let (both, third) = (ending("1, 2", "", AGAIN), ending("3", "", ""));
    assert_eq!(order(["", &both, &third]), [0, 1, 0, 1, 0, 2]);
    // A forward sign on the right barline opens the next bar; so does the sound.
    let right = "<barline location='right'><repeat direction='forward'/></barline>";
    assert_eq!(order([right, BACKWARD]), [0, 1, 1]);
    assert_eq!(order(["", "<sound forward-repeat='yes'/>%", BACKWARD]), [0, 1, 2, 1, 2]);
}

/// Brackets as files really have them: too short, or stopping without having begun.
#[test]
fn careless_brackets() {
    let short = ending("1", "", "");
    let second = ending("2", "", "");
    assert_eq!(order(["", &short, BACKWARD, &second, ""]), [0, 1, 2, 0, 3, 4]);
    let no_start = format!("<barline location='right'><ending number='1' type='stop'/>{AGAIN}</barline>");
    assert_eq!(order(["", &no_start, &second, ""]), [0, 1, 0, 2, 3]);
    assert_eq!(order(["", &second, ""]), [0, 1, 2]);
    // A bracket that no one has numbered, or that bears the next one's number, is the one before that.
    for number in ["", "2"] {
        let unclear = format!("<barline location='right'><ending number='{number}' type='stop'/>{AGAIN}</barline>");
        assert_eq!(order(["", &unclear, &second, ""]), [0, 1, 0, 2, 3], "{number}");
    }
    // Before a third ending it is the first's and the second's.
    let unnumbered = format!("<barline location='right'><ending number='' type='stop'/>{AGAIN}</barline>");
    assert_eq!(order(["", &unnumbered, &ending("3", "", ""), ""]), [0, 1, 0, 1, 0, 2, 3]);
}

#[test]
fn jumps_of_sound() {
    let (capo, fine) = (sound("dacapo='yes'"), sound("fine='yes'"));
    assert_eq!(order(["", &fine, "", &capo]), [0, 1, 2, 3, 0, 1]);
    let (segno, to_coda, dal_segno, coda) =
        (sound("segno='A'") + "%", sound("tocoda='B'"), sound("dalsegno='A'"), sound("coda='B'") + "%");
    assert_eq!(order(["", &segno, &to_coda, "", &dal_segno, &coda, ""]), [0, 1, 2, 3, 4, 1, 2, 5, 6]);
    // A segno at a bar's very end is the next bar's.
    assert_eq!(order([&sound("segno='A'"), "", &dal_segno]), [0, 1, 2, 1, 2]);
    // Repeats are not taken again after the jump, unless they say so.
    assert_eq!(order([BACKWARD, &fine, &capo]), [0, 0, 1, 2, 0, 1]);
    let after = "<barline><repeat direction='backward' after-jump='yes'/></barline>";
    assert_eq!(order([after, &fine, &capo]), [0, 0, 1, 2, 0, 0, 1]);
    // time-only: on the second time through.
    assert_eq!(order([&sound("tocoda='B' time-only='2'"), BACKWARD, "", &coda]), [0, 1, 0, 3]);
    // On a barline.
    let barline = "<barline location='left' segno='A'/>%";
    assert_eq!(order(["", barline, &dal_segno, ""]), [0, 1, 2, 1, 2, 3]);
}

/// Where nothing is meant for playing, the printed words count.
#[test]
fn jumps_of_words() {
    assert_eq!(order(["", &words("Fine"), "", &words("D.C. al Fine")]), [0, 1, 2, 3, 0, 1]);
    let sign = |name: &str| format!("<direction><direction-type><{name}/></direction-type></direction>%");
    let (segno, coda) = (sign("segno"), sign("coda"));
    let order_of_words = order(["", &segno, &words("To Coda"), &words("D.S. al Coda"), &coda]);
    assert_eq!(order_of_words, [0, 1, 2, 3, 1, 2, 4]);
    // Words beside a sound that says otherwise are only printed.
    assert_eq!(order([&words("Fine"), "", &sound("dacapo='yes'"), &sound("fine='yes'")]), [0, 1, 2, 0, 1, 2, 3]);
    // A segno without any jump says nothing.
    assert_eq!(order([&segno, ""]), [0, 1]);
}
