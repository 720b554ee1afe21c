//! Text and boxes as SVG.

use super::Points;

/// Where a line of text is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// How heavy it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Weight {
    Regular,
    Bold,
}

/// A small drawing in points.
#[derive(Clone, Debug, Default)]
pub(super) struct Drawn(String);

impl Drawn {
    pub(super) fn text(&mut self, (x, y): (Points, Points), size: Points, anchor: Anchor, weight: Weight, text: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let weight = if weight == Weight::Bold { " font-weight=\"bold\"" } else { "" };
        self.0 += &format!(
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{size:.2}\" text-anchor=\"{anchor}\"{weight}>{}</text>",
            escaped(text)
        );
    }

    pub(super) fn line(&mut self, (x, y): (Points, Points), (to_x, to_y): (Points, Points), width: Points) {
        self.0 += &format!(
            "<path d=\"M{x:.2} {y:.2} L{to_x:.2} {to_y:.2}\" stroke=\"black\" stroke-width=\"{width:.2}\" fill=\"none\"/>"
        );
    }

    pub(super) fn frame(&mut self, (x, y): (Points, Points), (width, height): (Points, Points), line: Points) {
        self.0 += &format!(
            "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{width:.2}\" height=\"{height:.2}\" stroke=\"black\" \
             stroke-width=\"{line:.2}\" fill=\"none\"/>"
        );
    }

    /// The whole, so wide and so high.
    pub(super) fn finish(self, width: Points, height: Points) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.2}\" height=\"{height:.2}\" \
             font-family=\"Libertinus Serif\">{}</svg>",
            self.0
        )
    }
}

/// About how wide a text is set at a size: serif letters are half their size wide on the whole (measured on the window's
/// own font, within a tenth for plain words).
pub(super) fn about_width(text: &str, size: Points) -> Points {
    text.chars()
        .map(|c| if matches!(c, 'i' | 'l' | 'j' | 't' | 'f' | ' ' | ',' | '.') { 0.3 } else { 0.56 })
        .sum::<f32>()
        * size
}

/// Text broken into lines at blanks so that each is about as wide as wanted.
pub(super) fn wrapped(text: &str, size: Points, width: Points) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if about_width(line, size) + about_width(word, size) + 0.3 * size <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

fn escaped(text: &str) -> String {
    let safe = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
    safe.chars().filter(|c| !c.is_control()).collect()
}
