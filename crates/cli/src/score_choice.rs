//! Arguments about the score: which file, which parts of it, and which hand plays what.

use std::path::{Path, PathBuf};
use std::str::FromStr;

use clap::Args;
use leverlane_core::pitch::SpelledPitch;
use leverlane_core::score::{Hand, HandRule, Score};
use leverlane_formats::{Imported, Limits, files, import};

use crate::refusal::Refusal;

/// Which score, and which of its parts.
#[derive(Debug, Args)]
pub struct ScoreChoice {
    /// The score: MusicXML (.musicxml, .xml), its archive (.mxl), MIDI (.mid) or ABC (.abc).
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Take only this part, by its number from 1 or its name; may be given several times.
    #[arg(long = "part", value_name = "PART")]
    parts: Vec<String>,
}

impl ScoreChoice {
    /// A score that is named otherwise than as a command's first argument.
    pub fn named(file: PathBuf, parts: Vec<String>) -> ScoreChoice {
        ScoreChoice { file, parts }
    }

    /// The file's name for messages.
    pub fn file(&self) -> String {
        files::shown(&self.file)
    }

    /// Whether a path leads to the score.
    pub fn is(&self, path: &Path) -> bool {
        matches!((self.file.canonicalize(), path.canonicalize()), (Ok(score), Ok(other)) if score == other)
    }

    /// The file's bytes.
    ///
    /// # Errors
    /// A file that can't be read.
    pub fn bytes(&self) -> Result<Vec<u8>, Refusal> {
        Ok(files::read(&self.file, Limits::USUAL.bytes)?)
    }

    /// Reads the score.
    ///
    /// # Errors
    /// A file that can't be read, or no score.
    pub fn read(&self) -> Result<Imported, Refusal> {
        import(&self.bytes()?, &Limits::USUAL).map_err(|error| Refusal::of_file(&self.file(), error))
    }

    /// The name of its file, without its folder.
    pub fn name(&self) -> String {
        self.file.file_name().map_or_else(|| self.file(), |name| name.to_string_lossy().into_owned())
    }

    /// The chosen parts by their place in the score; none where all are meant.
    ///
    /// # Errors
    /// A part that the score doesn't have.
    pub fn parts(&self, score: &Score) -> Result<Option<Vec<usize>>, Refusal> {
        if self.parts.is_empty() {
            return Ok(None);
        }
        self.parts.iter().map(|wanted| self.part(score, wanted)).collect::<Result<_, _>>().map(Some)
    }

    fn part(&self, score: &Score, wanted: &str) -> Result<usize, Refusal> {
        let by_name = score.parts().iter().position(|part| part.name.trim().eq_ignore_ascii_case(wanted.trim()));
        let by_number = || wanted.parse::<usize>().ok()?.checked_sub(1).filter(|&part| part < score.parts().len());
        by_name.or_else(by_number).ok_or_else(|| {
            let known: Vec<String> = score
                .parts()
                .iter()
                .enumerate()
                .map(|(index, part)| format!("{} \"{}\"", index + 1, part.name.trim()))
                .collect();
            Refusal::of_file(
                &self.file(),
                format!(
                    "there is no part \"{wanted}\", expected one of {}; give --part one of these",
                    known.join(", ")
                ),
            )
        })
    }
}

/// How notes are given to hands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum HandsChoice {
    /// Two staves: upper right, lower left. One staff: from middle C up right.
    #[default]
    Usual,
    /// By staves, the first right.
    Staff,
    /// From this pitch up right.
    Split(SpelledPitch),
    /// All in one hand.
    One(Hand),
}

impl FromStr for HandsChoice {
    type Err = String;

    fn from_str(text: &str) -> Result<HandsChoice, String> {
        match text {
            "usual" => Ok(HandsChoice::Usual),
            "staff" => Ok(HandsChoice::Staff),
            "left" => Ok(HandsChoice::One(Hand::Left)),
            "right" => Ok(HandsChoice::One(Hand::Right)),
            _ => match text.strip_prefix("split=") {
                Some(pitch) => pitch.parse().map(HandsChoice::Split).map_err(|error| format!("{error}")),
                None => Err("expected usual, staff, left, right or split=PITCH, such as split=C4".to_owned()),
            },
        }
    }
}

impl HandsChoice {
    /// The rule for the chosen parts. Where no part was chosen, the parts that the usual rule takes are taken.
    pub fn rule(self, score: &Score, chosen: Option<Vec<usize>>) -> HandRule {
        let two_staves = |part: &usize| score.parts()[*part].staves >= 2;
        if self == HandsChoice::Usual && chosen.is_none() {
            return HandRule::Usual;
        }
        let parts = chosen.unwrap_or_else(|| {
            let all = 0..score.parts().len();
            all.clone().find(two_staves).map_or_else(|| all.collect(), |harp| vec![harp])
        });
        match self {
            HandsChoice::Usual if parts.iter().any(two_staves) => HandRule::ByStaff { parts },
            HandsChoice::Usual => HandRule::SplitAt { parts, lowest_right: SpelledPitch::MIDDLE_C },
            HandsChoice::Staff => HandRule::ByStaff { parts },
            HandsChoice::Split(lowest_right) => HandRule::SplitAt { parts, lowest_right },
            HandsChoice::One(hand) => HandRule::All { parts, hand },
        }
    }
}
