//! Arguments about the music: which file, which tune and parts of it, and which hand plays what.

use std::path::{Path, PathBuf};

use clap::Args;
use leverlane_core::score::{HandRule, HandWay, Score};
use leverlane_formats::abc::Tunebook;
use leverlane_formats::documents::{self, Music, Piece};
use leverlane_formats::{Limits, SourceKind, files, import_tune};

use crate::hands_choice::{HandsInBars, bars_named, hand_way};
use crate::refusal::Refusal;

/// Which music, and which of its parts.
#[derive(Debug, Args)]
pub struct ScoreChoice {
    /// The score: MusicXML (.musicxml, .xml), its archive (.mxl), MIDI (.mid) or ABC (.abc); or a piece document (.ron).
    #[arg(value_name = "FILE")]
    file: PathBuf,
    #[command(flatten)]
    within: WithinScore,
}

/// What of a file is meant, and which hand plays it.
#[derive(Clone, Debug, Args)]
pub struct WithinScore {
    /// Of a file of ABC with several tunes this one, by its number after X: or its title. [default: the first, with a
    /// warning]
    #[arg(long, value_name = "TUNE")]
    tune: Option<String>,
    /// Take only this part, by its number from 1 or its name; may be given several times.
    #[arg(long = "part", value_name = "PART")]
    parts: Vec<String>,
    /// Keep this part as a cue line, shown and heard as a guide, by its number from 1 or its name. [default: what the
    /// piece document says]
    #[arg(long = "cue-line", value_name = "PART")]
    cue_line: Option<String>,
    /// Who plays what: usual (by staff, else by voice, else by pitch), staff, voice, left, right or split=PITCH (from
    /// that pitch up right). [default: usual, or what the piece document says]
    #[arg(long, value_name = "RULE", value_parser = hand_way)]
    hands: Option<HandWay>,
    /// Another rule in some bars, by their printed numbers, such as 9-12=left; may be given several times.
    #[arg(long = "hands-in", value_name = "BARS=RULE")]
    hands_in: Vec<HandsInBars>,
}

/// Music as opened, and the piece document that it was opened from, if it was one.
#[derive(Debug)]
pub struct Opened {
    /// The music.
    pub music: Music,
    /// What the player has decided about it.
    pub document: Option<Piece>,
    /// Which tune of its file it is, from 0.
    pub tune: usize,
    /// Whether the file is a score, and no document of ours.
    pub is_score: bool,
}

impl ScoreChoice {
    /// A score that is named otherwise than as a command's first argument.
    pub fn named(file: PathBuf, within: WithinScore) -> ScoreChoice {
        ScoreChoice { file, within }
    }

    /// The file's name for messages.
    pub fn file(&self) -> String {
        files::shown(&self.file)
    }

    /// Sees to it that the score itself is never written over.
    ///
    /// # Errors
    /// Where the file to write is the score.
    pub fn keep_from(&self, output: &Path) -> Result<(), Refusal> {
        match (self.file.canonicalize(), output.canonicalize()) {
            (Ok(score), Ok(other)) if score == other => {
                let reason = "this is the score itself, expected another file to write to; give --output another name";
                Err(Refusal::of_file(&files::shown(output), reason))
            }
            // A file that isn't there yet is not the score.
            _ => Ok(()),
        }
    }

    /// The file itself.
    pub fn path(&self) -> &Path {
        &self.file
    }

    /// Reads the score, or the piece document and the music that it belongs to.
    ///
    /// # Errors
    /// A file that can't be read, no score, or a tune that it doesn't have.
    pub fn open(&self) -> Result<Opened, Refusal> {
        let limits = Limits::USUAL;
        let refused = |error: &dyn std::fmt::Display| Refusal::of_file(&self.file(), error);
        let may_be_document = self.file.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("ron"));
        let most = if may_be_document { documents::MOST_BYTES } else { limits.bytes };
        let bytes = files::read(&self.file, most)?;
        if !documents::is_document(&bytes) {
            let tune = self.tune_of(&bytes, &limits)?;
            let imported = match tune {
                Some(tune) => import_tune(&bytes, tune, &limits),
                None => leverlane_formats::import(&bytes, &limits),
            };
            let music = imported.map_err(|error| refused(&error))?.into();
            return Ok(Opened { music, document: None, tune: tune.unwrap_or(0), is_score: true });
        }
        if self.within.tune.is_some() {
            let reason = "a piece document says itself which tune it is about; leave --tune out";
            return Err(Refusal::of_file(&self.file(), reason));
        }
        let document = Piece::read(&bytes).map_err(|error| refused(&error))?;
        let folder = self.file.parent().unwrap_or(Path::new(""));
        let music = document.open(folder, &limits).map_err(|error| refused(&error))?;
        Ok(Opened { music, document: Some(document), tune: 0, is_score: false })
    }

    /// The place of the wanted tune; none where none was asked for.
    fn tune_of(&self, bytes: &[u8], limits: &Limits) -> Result<Option<usize>, Refusal> {
        let Some(wanted) = self.within.tune.as_deref().map(str::trim) else { return Ok(None) };
        if SourceKind::of(bytes) != Some(SourceKind::Abc) {
            let reason = "only a file of ABC has tunes to choose from; leave --tune out";
            return Err(Refusal::of_file(&self.file(), reason));
        }
        let book = Tunebook::open(bytes, limits).map_err(|error| Refusal::of_file(&self.file(), error))?;
        let by_number = book.tunes().position(|tune| tune.reference == wanted);
        let by_title = || book.tunes().position(|tune| tune.title.eq_ignore_ascii_case(wanted));
        by_number.or_else(by_title).map(Some).ok_or_else(|| {
            let most = 12;
            let mut known: Vec<String> =
                book.tunes().take(most).map(|tune| format!("{} {}", tune.reference, tune.title)).collect();
            if book.tunes().len() > most {
                known.push(format!("and {} more", book.tunes().len() - most));
            }
            let known: String = known.join(", ").chars().filter(|c| !c.is_control()).take(400).collect();
            let reason = format!(
                "there is no tune \"{}\", expected one of {known}; the command tunes lists them all",
                wanted.escape_debug()
            );
            Refusal::of_file(&self.file(), reason)
        })
    }

    /// Who plays what: what the arguments say, else what the document says.
    ///
    /// # Errors
    /// A part or a bar that the score doesn't have.
    pub fn hand_rule(&self, opened: &Opened) -> Result<HandRule, Refusal> {
        let score = &opened.music.score;
        let parts = self.parts(score)?;
        let of_document = opened.document.as_ref().map(|document| document.hands.clone());
        let mut rule = match (self.within.hands, &parts, of_document) {
            (None, None, Some(rule)) => rule,
            (way, parts, _) => way.unwrap_or_default().rule(score, parts.as_deref()),
        };
        for HandsInBars { bars, way } in &self.within.hands_in {
            let (first, last) = bars_named(bars, score).ok_or_else(|| {
                let number = |bar: Option<&leverlane_core::score::Bar>| bar.map_or("", |bar| &bar.number).to_owned();
                let (from, to) = (number(score.bars().first()), number(score.bars().last()));
                let reason = format!(
                    "bars \"{}\" are not in the piece, expected printed numbers from {from} to {to}, the earlier \
                     first; give --hands-in such numbers",
                    bars.escape_debug()
                );
                Refusal::of_file(&self.file(), reason)
            })?;
            rule = rule.with_bars(first, last, way.rule(score, parts.as_deref()));
        }
        Ok(rule)
    }

    /// The part that is kept as a cue line: what the arguments say, else what the document says.
    ///
    /// # Errors
    /// A part that the score doesn't have.
    pub fn cue_line(&self, opened: &Opened) -> Result<Option<usize>, Refusal> {
        match &self.within.cue_line {
            Some(part) => self.part(&opened.music.score, part).map(Some),
            None => Ok(opened.document.as_ref().and_then(|document| document.cue_line)),
        }
    }

    /// The score's own bytes, taken out of a piece document or from the file that it names.
    ///
    /// # Errors
    /// A file that can't be read, or a document whose music is no score.
    pub fn bytes(&self) -> Result<Vec<u8>, Refusal> {
        let bytes = files::read(&self.file, Limits::USUAL.bytes)?;
        if !documents::is_document(&bytes) {
            return Ok(bytes);
        }
        let refused = |error: &dyn std::fmt::Display| Refusal::of_file(&self.file(), error);
        let document = Piece::read(&bytes).map_err(|error| refused(&error))?;
        let folder = self.file.parent().unwrap_or(Path::new(""));
        let source = document.source.bytes(folder, Limits::USUAL.bytes).map_err(|error| refused(&error))?;
        let typed = "the piece was typed in, expected one that was opened from a score; give such a piece";
        source.map(std::borrow::Cow::into_owned).ok_or_else(|| refused(&typed))
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
        if self.within.parts.is_empty() {
            return Ok(None);
        }
        self.within.parts.iter().map(|wanted| self.part(score, wanted)).collect::<Result<_, _>>().map(Some)
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
