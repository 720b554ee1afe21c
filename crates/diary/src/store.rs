//! The diary's file: opened, checked, brought up to date, set aside when it is damaged.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use crate::error::{DiaryError, Trouble};
use crate::schema;

/// The player's diary.
pub struct Diary {
    pub(crate) connection: Connection,
    pub(crate) path: PathBuf,
}

/// Small tables that everything depends on; they are checked at every start. The passes themselves, which may be a
/// million, are checked by [`Diary::check_everything`] beside the work.
const CHECKED_AT_START: [&str; 5] = ["piece", "flip", "session", "flip_day", "day"];

/// How long another program is waited for before the diary counts as busy.
const PATIENCE: Duration = Duration::from_secs(2);

impl Diary {
    /// Opens a diary, or begins one. An older one is copied beside itself before it is brought up to date.
    ///
    /// # Errors
    /// A file that can't be opened or written, is damaged, or of a later program.
    pub fn open(path: &Path) -> Result<Diary, DiaryError> {
        Diary::open_with(path, &schema::STEPS)
    }

    pub(crate) fn open_with(path: &Path, steps: &[&str]) -> Result<Diary, DiaryError> {
        let failed = |error: rusqlite::Error| DiaryError::of(path, &error);
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(|error| DiaryError::new(path, Trouble::Unopened(error.to_string())))?;
        }
        let mut connection = Connection::open(path).map_err(failed)?;
        connection.busy_timeout(PATIENCE).map_err(failed)?;
        let version = schema::version(&connection).map_err(failed)?;
        let known = u32::try_from(steps.len()).unwrap_or(u32::MAX);
        if version > known {
            return Err(DiaryError::new(path, Trouble::TooNew { found: version, known }));
        }
        connection
            .execute_batch("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;")
            .map_err(failed)?;
        if version > 0 && version < known {
            back_up(&connection, &beside(path, &format!("version-{version}"))).map_err(failed)?;
        }
        schema::migrate(&mut connection, version, steps).map_err(failed)?;
        let diary = Diary { connection, path: path.to_owned() };
        for table in CHECKED_AT_START.iter().filter(|_| version > 0) {
            diary.check(&format!("PRAGMA quick_check({table})"))?;
        }
        Ok(diary)
    }

    /// As [`Diary::open`], but a damaged file is moved aside and a new diary begun; where it went is told.
    ///
    /// # Errors
    /// As [`Diary::open`], damage aside.
    pub fn open_or_set_aside(path: &Path) -> Result<(Diary, Option<PathBuf>), DiaryError> {
        match Diary::open(path) {
            Err(DiaryError { trouble: Trouble::Damaged(_), .. }) => {
                let aside = free_name(path);
                let moved = fs::rename(path, &aside);
                moved.map_err(|error| DiaryError::new(path, Trouble::Unopened(error.to_string())))?;
                for part in ["-wal", "-shm"] {
                    // They belong to the damaged file; where there are none there is nothing to take away.
                    let _ = fs::rename(with_end(path, part), with_end(&aside, part));
                }
                Ok((Diary::open(path)?, Some(aside)))
            }
            opened => Ok((opened?, None)),
        }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// How large it is on disk, in bytes.
    ///
    /// # Errors
    /// It can't be read.
    pub fn size(&self) -> Result<u64, DiaryError> {
        let pages = |what: &str| self.connection.query_row(&format!("PRAGMA {what}"), [], |row| row.get::<_, i64>(0));
        let size = pages("page_count").and_then(|count| Ok(count * pages("page_size")?));
        size.map(i64::unsigned_abs).map_err(|error| self.failed(&error))
    }

    /// Checks the whole file of a diary through a connection of its own, so that it can run on another thread.
    ///
    /// # Errors
    /// The first damage found.
    pub fn check_everything(path: &Path) -> Result<(), DiaryError> {
        let failed = |error: rusqlite::Error| DiaryError::of(path, &error);
        let connection = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(failed)?;
        connection.busy_timeout(PATIENCE).map_err(failed)?;
        Diary { connection, path: path.to_owned() }.check("PRAGMA quick_check")
    }

    fn check(&self, pragma: &str) -> Result<(), DiaryError> {
        let found: String =
            self.connection.query_row(pragma, [], |row| row.get(0)).map_err(|error| self.failed(&error))?;
        if found == "ok" { Ok(()) } else { Err(DiaryError::new(&self.path, Trouble::Damaged(found))) }
    }

    pub(crate) fn failed(&self, error: &rusqlite::Error) -> DiaryError {
        DiaryError::of(&self.path, error)
    }
}

fn with_end(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    PathBuf::from(name)
}

fn beside(path: &Path, what: &str) -> PathBuf {
    with_end(path, &format!(".{what}"))
}

/// A name for a damaged diary that no file has yet.
fn free_name(path: &Path) -> PathBuf {
    let names = (1u32..).map(|number| beside(path, &format!("damaged-{number}")));
    names.into_iter().find(|name| !name.exists()).unwrap_or_else(|| beside(path, "damaged"))
}

/// Copies a diary into another file. One that is there already is an earlier copy of the same version and stays.
fn back_up(connection: &Connection, to: &Path) -> rusqlite::Result<()> {
    if to.exists() {
        return Ok(());
    }
    connection.execute("VACUUM INTO ?1", [to.to_string_lossy()]).map(|_| ())
}
