//! A diary that may fail, and practice that goes on.

use crate::error::DiaryError;
use crate::records::{FlipId, PassRecord, SessionId};
use crate::store::Diary;

/// Passes kept while they can't be written: some hours of practice. Beyond that the oldest are given up, and counted.
const MOST_WAITING: usize = 5_000;

/// One session's writing. What can't be written now waits, and is tried again with every pass.
pub struct Journal {
    diary: Diary,
    /// None until something has been practised.
    session: Option<SessionId>,
    waiting: Vec<(FlipId, PassRecord)>,
    given_up: usize,
}

impl Journal {
    /// Nothing practised yet; the session begins with its first pass.
    pub fn new(diary: Diary) -> Journal {
        Journal { diary, session: None, waiting: Vec::new(), given_up: 0 }
    }

    /// The diary, to be read or entered into.
    pub fn diary(&mut self) -> &mut Diary {
        &mut self.diary
    }

    /// Writes a pass, after those that wait.
    ///
    /// # Errors
    /// The diary can't be written now; the pass waits.
    pub fn write(&mut self, flip: FlipId, pass: PassRecord) -> Result<(), DiaryError> {
        if self.waiting.len() >= MOST_WAITING {
            self.waiting.remove(0);
            self.given_up += 1;
        }
        self.waiting.push((flip, pass));
        self.try_again()
    }

    /// Tries to write what waits.
    ///
    /// # Errors
    /// It still can't be.
    pub fn try_again(&mut self) -> Result<(), DiaryError> {
        let Some((_, first)) = self.waiting.first() else { return Ok(()) };
        let session = match self.session {
            Some(session) => session,
            None => self.diary.session(first.at)?,
        };
        self.session = Some(session);
        self.diary.write_all(session, &self.waiting)?;
        self.waiting.clear();
        Ok(())
    }

    /// Deletes everything, what waits too. The session begins anew with the next pass.
    ///
    /// # Errors
    /// As [`Diary::delete_everything`].
    pub fn delete_everything(&mut self) -> Result<(), DiaryError> {
        self.diary.delete_everything()?;
        self.waiting.clear();
        self.session = None;
        Ok(())
    }

    /// How many passes wait to be written.
    pub fn waiting(&self) -> usize {
        self.waiting.len()
    }

    /// How many had to be given up.
    pub fn given_up(&self) -> usize {
        self.given_up
    }
}
