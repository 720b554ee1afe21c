//! The diary's own thread: it writes passes down and reads what is shown, so that the window never waits for a disk.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;

use leverlane_core::drill::Day;
use leverlane_core::time::Tempo;
use leverlane_diary::{
    Diary, DiaryError, FlipDay, FlipId, FlipName, Journal, PassRecord, PieceName, StudentDay, StudentFlip,
};
use leverlane_formats::documents::{DayResult, FlipResult, Results};
use leverlane_formats::{files, said};

use super::Messenger;
use crate::intent::{DiaryIntent, PlanIntent, PracticeIntent};
use crate::names;
use crate::state::DiaryPicture;

/// What the diary is told.
#[derive(Clone, Debug)]
pub enum DiaryOrder {
    /// Write a pass down.
    Write(Box<PlayedPass>),
    /// Read what is shown.
    Look {
        /// The player's day.
        today: Day,
        /// The flip whose days are wanted; the first where none is chosen.
        flip: Option<FlipId>,
    },
    /// Read what was held of a piece's flips.
    Held {
        /// The piece's digest.
        piece: String,
        /// What it is wanted for.
        asker: Asker,
    },
    /// Write everything into a file beside the diary's.
    Export,
    /// Write the player's own days into a results file beside the diary's, for her teacher.
    WriteResults {
        /// What she has typed as her name.
        student: String,
        /// The lesson that is open, or nothing.
        lesson: String,
        /// The title of the piece that the results are about.
        piece: String,
    },
    /// Take in what a student has sent.
    TakeIn(Box<Results>),
    /// Delete everything.
    DeleteEverything,
}

/// What it is wanted for, what was held of a piece's flips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asker {
    /// For the pace of the player's hands.
    Pace,
    /// To go on where practice was left.
    Standings,
}

/// A pass with the names of its piece and flip.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayedPass {
    /// The piece.
    pub piece: PieceName,
    /// The flip.
    pub flip: FlipName,
    /// The pass.
    pub record: PassRecord,
}

/// The window's way to the diary.
pub(super) struct Keeper {
    orders: Sender<DiaryOrder>,
}

impl Keeper {
    /// Starts the thread; the diary is opened with the first order. Without a path nothing is kept.
    pub(super) fn start(messenger: Messenger, path: Option<PathBuf>) -> Keeper {
        let (orders, received) = channel();
        let failed = messenger.clone();
        let keeping = thread::Builder::new()
            .name("diary".to_owned())
            .spawn(move || Desk { messenger, path, journal: None, unopened: Vec::new() }.keep(&received));
        if let Err(error) = keeping {
            let reason = said!(
                "the diary could not be started ({error}); practice goes on without it",
                error = error.to_string()
            );
            failed.send(DiaryIntent::Trouble(reason).into());
        }
        Keeper { orders }
    }

    pub(super) fn order(&self, order: DiaryOrder) {
        // The thread is gone only where it could not be started, which has been told.
        let _ = self.orders.send(order);
    }
}

struct Desk {
    messenger: Messenger,
    path: Option<PathBuf>,
    journal: Option<Journal>,
    /// Passes played while the diary could not be opened.
    unopened: Vec<PlayedPass>,
}

/// So many passes wait for a diary that can't be opened.
const MOST_UNOPENED: usize = 5_000;

impl Desk {
    fn keep(mut self, orders: &Receiver<DiaryOrder>) {
        for order in orders {
            let done = match order {
                DiaryOrder::Write(pass) => self.write(*pass),
                DiaryOrder::Look { today, flip } => self.look(today, flip),
                DiaryOrder::Held { piece, asker } => self.held(piece, asker),
                DiaryOrder::Export => self.export(),
                DiaryOrder::WriteResults { student, lesson, piece } => self.write_results(student, lesson, piece),
                DiaryOrder::TakeIn(results) => self.take_in(&results),
                DiaryOrder::DeleteEverything => self.delete(),
            };
            if let Err(error) = done {
                self.messenger.send(DiaryIntent::Trouble(names::diary_error(&error)).into());
            }
        }
    }

    fn journal(&mut self) -> Result<Option<&mut Journal>, DiaryError> {
        let Some(path) = &self.path else { return Ok(None) };
        if self.journal.is_none() {
            let (diary, aside) = Diary::open_or_set_aside(path)?;
            if let Some(aside) = aside {
                let file = aside.display().to_string();
                let reason = said!("the diary was damaged; it was set aside as {file}, and a new one begun", file);
                self.messenger.send(DiaryIntent::Trouble(reason).into());
            }
            self.check(path.clone());
            self.journal = Some(Journal::new(diary));
        }
        Ok(self.journal.as_mut())
    }

    /// Looks at every page of the file, which may take seconds, beside everything else.
    fn check(&self, path: PathBuf) {
        let messenger = self.messenger.clone();
        let checking = thread::Builder::new().name("diary check".to_owned()).spawn(move || {
            if let Err(error) = Diary::check_everything(&path) {
                messenger.send(DiaryIntent::Trouble(names::diary_error(&error)).into());
            }
        });
        if let Err(error) = checking {
            let reason = said!(
                "the diary could not be checked ({error}); it is checked at the next start",
                error = error.to_string()
            );
            self.messenger.send(DiaryIntent::Trouble(reason).into());
        }
    }

    fn write(&mut self, pass: PlayedPass) -> Result<(), DiaryError> {
        self.unopened.push(pass);
        let excess = self.unopened.len().saturating_sub(MOST_UNOPENED);
        self.unopened.drain(..excess);
        let passes = std::mem::take(&mut self.unopened);
        match self.journal() {
            Ok(Some(journal)) => write_all(journal, &passes),
            Ok(None) => Ok(()),
            Err(error) => {
                self.unopened = passes;
                Err(error)
            }
        }
    }

    fn look(&mut self, today: Day, flip: Option<FlipId>) -> Result<(), DiaryError> {
        let Some(journal) = self.journal()? else { return Ok(()) };
        let diary = journal.diary();
        let flips = diary.all_flips()?;
        let due = diary.due_list(today)?;
        let known = |id: &FlipId| flips.iter().any(|known| known.flip.id == *id);
        let chosen = flip.filter(known).or_else(|| flips.first().map(|first| first.flip.id));
        let days = chosen.map(|flip| diary.flip_days(flip)).transpose()?.unwrap_or_default();
        let week = diary.days_until(today, 7)?;
        let (path, size) = (diary.path().to_owned(), diary.size()?);
        let students = diary.students()?;
        let picture = DiaryPicture { students, today, flips, due, week, chosen, days, path, size };
        self.messenger.send(DiaryIntent::Seen(Arc::new(picture)).into());
        Ok(())
    }

    fn held(&mut self, piece: String, asker: Asker) -> Result<(), DiaryError> {
        let held = match self.journal()? {
            Some(journal) => journal.diary().held_flips(&piece)?,
            None => Vec::new(),
        };
        self.messenger.send(match asker {
            Asker::Pace => PlanIntent::Held(held).into(),
            Asker::Standings => PracticeIntent::Held { piece, held }.into(),
        });
        Ok(())
    }

    fn export(&mut self) -> Result<(), DiaryError> {
        let Some(journal) = self.journal()? else { return Ok(()) };
        let diary = journal.diary();
        let to = diary.path().with_file_name("diary-export.jsonl");
        let refuse = |error: std::io::Error| {
            let reason = said!(
                "{file}: it can't be written ({error}); make room or allow writing there",
                file = to.display().to_string(),
                error = error.to_string()
            );
            DiaryIntent::Trouble(reason)
        };
        let news = match File::create(&to) {
            Err(error) => refuse(error),
            Ok(file) => {
                let mut file = BufWriter::new(file);
                diary.export(&mut file)?;
                file.flush().map_or_else(refuse, |()| DiaryIntent::Exported(to.clone()))
            }
        };
        self.messenger.send(news.into());
        Ok(())
    }

    fn write_results(&mut self, student: String, lesson: String, piece: String) -> Result<(), DiaryError> {
        let Some(journal) = self.journal()? else { return Ok(()) };
        let diary = journal.diary();
        let mut flips = Vec::new();
        for known in diary.all_flips()?.into_iter().filter(|known| known.flip.piece == piece) {
            let days = diary.flip_days(known.flip.id)?.iter().map(day_result).collect();
            flips.push(FlipResult { flip: known.flip.words, days });
        }
        let results = Results { student, lesson, piece, flips };
        let to = diary.path().with_file_name("results.ron");
        let written = results.write().map_err(|error| error.said());
        let saved = written.and_then(|bytes| files::save(&to, &bytes).map_err(|error| error.said()));
        let news = saved.map_or_else(DiaryIntent::Trouble, |()| DiaryIntent::Exported(to.clone()));
        self.messenger.send(news.into());
        Ok(())
    }

    fn take_in(&mut self, results: &Results) -> Result<(), DiaryError> {
        let Some(journal) = self.journal()? else { return Ok(()) };
        let flips: Vec<StudentFlip> = results.flips.iter().map(|flip| student_flip(results, flip)).collect();
        journal.diary().take_in(&flips)
    }

    fn delete(&mut self) -> Result<(), DiaryError> {
        match self.journal()? {
            Some(journal) => journal.delete_everything(),
            None => Ok(()),
        }
    }
}

fn write_all(journal: &mut Journal, passes: &[PlayedPass]) -> Result<(), DiaryError> {
    for pass in passes {
        let piece = journal.diary().piece(&pass.piece)?;
        let flip = journal.diary().flip(piece, &pass.flip)?;
        journal.write(flip, pass.record.clone())?;
    }
    Ok(())
}

fn day_result(day: &FlipDay) -> DayResult {
    DayResult {
        day: day.practice.day,
        passes: day.passes,
        judged: day.judged,
        clean: day.clean,
        held: day.held_both.and_then(|tempo| Tempo::quarters(tempo).ok()),
    }
}

fn student_flip(results: &Results, flip: &FlipResult) -> StudentFlip {
    let day = |day: &DayResult| StudentDay {
        day: day.day,
        passes: day.passes,
        judged: day.judged,
        clean: day.clean,
        held: day.held.map(Tempo::quarters_per_minute),
    };
    StudentFlip {
        student: results.student.clone(),
        piece: results.piece.clone(),
        flip: flip.flip.clone(),
        days: flip.days.iter().map(day).collect(),
    }
}
