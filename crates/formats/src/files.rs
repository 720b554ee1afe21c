//! Reading and saving files so that nothing is lost: reading is bounded, saving either happens wholly or not at all.
//!
//! [`read`] takes ordinary files only and no more of them than asked for. [`save`] writes beside the file, makes sure
//! the bytes are on the disk, keeps the previous version under [`previous_version`] and only then puts the new one in
//! its place; a crash at any moment leaves a whole file behind.

use std::ffi::OsString;
use std::fmt;
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use crate::{Said, said};

/// A file that can't be read or saved. Its text is one line: the file, what is wrong, what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    /// Nothing of that name.
    Missing {
        /// The file as it was named.
        file: String,
    },
    /// A folder, where a file was expected.
    Folder {
        /// The file as it was named.
        file: String,
    },
    /// A device, a pipe or the like.
    Device {
        /// The file as it was named.
        file: String,
    },
    /// It may not be read.
    Unreadable {
        /// The file as it was named.
        file: String,
    },
    /// It may not be written.
    Unwritable {
        /// The file as it was named.
        file: String,
    },
    /// More bytes than wanted.
    TooLarge {
        /// The file as it was named.
        file: String,
        /// How many bytes are taken at most.
        limit: usize,
    },
    /// A file that is to be written where no folder is.
    NoFolder {
        /// The file as it was named.
        file: String,
    },
    /// Anything else that the system reports on reading.
    Reading {
        /// The file as it was named.
        file: String,
        /// What the system says.
        reason: String,
    },
    /// Anything else that the system reports on writing.
    Writing {
        /// The file as it was named.
        file: String,
        /// What the system says.
        reason: String,
    },
}

impl FileError {
    /// The same, to be said in any language.
    pub fn said(&self) -> Said {
        match self {
            FileError::Missing { file } => said!("{file}: there is no such file; check the name and the folder", file),
            FileError::Folder { file } => said!("{file}: this is a folder, expected a file; name a file", file),
            FileError::Device { file } => {
                said!("{file}: this is a device or a pipe, expected a file; name a file", file)
            }
            FileError::Unreadable { file } => {
                said!("{file}: no permission to read it; change its permissions or take another place", file)
            }
            FileError::Unwritable { file } => {
                said!("{file}: no permission to write it; change its permissions or take another place", file)
            }
            FileError::TooLarge { file, limit } => said!(
                "{file}: the file is larger than the {limit} bytes that are taken; make sure that it is the right file",
                file,
                limit = *limit
            ),
            FileError::NoFolder { file } => {
                said!("{file}: it can't be written: its folder doesn't exist; check the disk and the folder", file)
            }
            FileError::Reading { file, reason } => {
                said!("{file}: it can't be read: {reason}; check the disk and the folder", file, reason)
            }
            FileError::Writing { file, reason } => {
                said!("{file}: it can't be written: {reason}; check the disk and the folder", file, reason)
            }
        }
    }
}

impl fmt::Display for FileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.said())
    }
}

/// A path as text on one line: control characters in its name are escaped.
pub fn shown(path: &Path) -> String {
    let name = path.to_string_lossy();
    name.chars().flat_map(|c| if c.is_control() { c.escape_default().collect::<Vec<_>>() } else { vec![c] }).collect()
}

/// Opens an ordinary file for reading.
///
/// # Errors
/// No such file, no ordinary file, no permission, or a failing disk.
pub fn open(path: &Path) -> Result<File, FileError> {
    let failed = |error: io::Error| refused_reading(path, &error);
    // Asked before opening: opening a named pipe that nobody writes to would wait for ever.
    check_kind(path, &fs::metadata(path).map_err(failed)?)?;
    File::open(path).map_err(failed)
}

/// The whole of an ordinary file of at most `limit` bytes.
///
/// # Errors
/// No such file, no ordinary file, no permission, more bytes than the limit, or a failing disk.
pub fn read(path: &Path, limit: usize) -> Result<Vec<u8>, FileError> {
    let failed = |error: io::Error| refused_reading(path, &error);
    let file = open(path)?;
    let mut bytes = Vec::new();
    let one_more = u64::try_from(limit).unwrap_or(u64::MAX).saturating_add(1);
    file.take(one_more).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() > limit {
        return Err(FileError::TooLarge { file: shown(path), limit });
    }
    Ok(bytes)
}

fn check_kind(path: &Path, metadata: &fs::Metadata) -> Result<(), FileError> {
    if metadata.is_file() {
        return Ok(());
    }
    let file = shown(path);
    Err(if metadata.is_dir() { FileError::Folder { file } } else { FileError::Device { file } })
}

fn refused_reading(path: &Path, error: &io::Error) -> FileError {
    let file = shown(path);
    match error.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => FileError::Missing { file },
        ErrorKind::IsADirectory => FileError::Folder { file },
        ErrorKind::PermissionDenied => FileError::Unreadable { file },
        _ => FileError::Reading { file, reason: error.to_string() },
    }
}

/// Where [`save`] keeps the version that it replaces: the same name with `.previous` behind it.
pub fn previous_version(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".previous");
    PathBuf::from(name)
}

/// Puts a file's new content in place in one step, the old content kept as its [`previous_version`].
///
/// Through a symbolic link the file it points to is replaced, the link stays.
///
/// # Errors
/// A folder that doesn't exist or can't be written to, a folder or device of that name, or a full disk. The file is
/// then as it was.
pub fn save(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let old = match fs::metadata(path) {
        Ok(metadata) => {
            check_kind(path, &metadata)?;
            Some(metadata.permissions())
        }
        Err(error) if error.kind() == ErrorKind::NotFound => None,
        Err(error) => return Err(refused_writing(path, &error)),
    };
    let failed = |error: io::Error| refused_writing(path, &error);
    let target = if old.is_some() { fs::canonicalize(path).map_err(failed)? } else { path.to_owned() };
    let unfinished = Unfinished::write(&target, bytes).map_err(failed)?;
    if let Some(permissions) = old {
        fs::set_permissions(&unfinished.path, permissions).map_err(failed)?;
        keep_previous(&target).map_err(failed)?;
    }
    unfinished.put_in_place_of(&target).map_err(failed)
}

fn refused_writing(path: &Path, error: &io::Error) -> FileError {
    let file = shown(path);
    match error.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => FileError::Unwritable { file },
        ErrorKind::NotFound => FileError::NoFolder { file },
        _ => FileError::Writing { file, reason: error.to_string() },
    }
}

/// A copy of the present file under the previous version's name. The copy gets its name in one step too, so that an
/// older previous version is never lost to half of a newer one.
fn keep_previous(target: &Path) -> io::Result<()> {
    let copy = Unfinished::reserve(target)?.0;
    fs::copy(target, &copy.path)?;
    File::open(&copy.path)?.sync_all()?;
    copy.put_in_place_of(&previous_version(target))
}

/// A file that is being written beside its target; it goes away unless it is put in place.
struct Unfinished {
    path: PathBuf,
}

impl Unfinished {
    fn write(target: &Path, bytes: &[u8]) -> io::Result<Unfinished> {
        let (unfinished, mut file) = Unfinished::reserve(target)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        Ok(unfinished)
    }

    /// A new, empty file in the target's folder under a name that nothing else has.
    fn reserve(target: &Path) -> io::Result<(Unfinished, File)> {
        let Some(name) = target.file_name() else {
            return Err(io::Error::new(ErrorKind::InvalidInput, "the path names no file"));
        };
        let mut attempt = 0;
        loop {
            let mut unfinished = OsString::from(".");
            unfinished.push(name);
            unfinished.push(format!(".{}-{attempt}.part", std::process::id()));
            let path = target.with_file_name(unfinished);
            match OpenOptions::new().write(true).create_new(true).open(&path) {
                Ok(file) => return Ok((Unfinished { path }, file)),
                Err(error) if error.kind() == ErrorKind::AlreadyExists && attempt < 1000 => attempt += 1,
                Err(error) => return Err(error),
            }
        }
    }

    fn put_in_place_of(self, target: &Path) -> io::Result<()> {
        fs::rename(&self.path, target)?;
        // On Unix the new name itself is only safe once the folder is written; elsewhere folders can't be opened.
        #[cfg(unix)]
        {
            let folder = target.parent().filter(|folder| !folder.as_os_str().is_empty());
            File::open(folder.unwrap_or(Path::new(".")))?.sync_all()?;
        }
        Ok(())
    }
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        // Gone already where it was put in place; where it can't be removed there is nothing better to do.
        drop(fs::remove_file(&self.path));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_up_to_its_limit() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("piece.ron");
        fs::write(&path, b"12345").unwrap();
        assert_eq!(read(&path, 5).unwrap(), b"12345");
        assert_eq!(read(&path, 4), Err(FileError::TooLarge { file: shown(&path), limit: 4 }));
        assert!(matches!(read(folder.path(), 9), Err(FileError::Folder { .. })));
        assert!(matches!(read(&folder.path().join("no"), 9), Err(FileError::Missing { .. })));
        assert!(matches!(read(&path.join("below a file"), 9), Err(FileError::Missing { .. })));
    }

    #[test]
    fn saving_keeps_the_previous_version_and_leaves_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("piece.ron");
        save(&path, b"first").unwrap();
        assert!(!previous_version(&path).exists());
        save(&path, b"second").unwrap();
        save(&path, b"third").unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"third");
        assert_eq!(fs::read(previous_version(&path)).unwrap(), b"second");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    }

    #[test]
    fn a_save_that_fails_changes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let nowhere = folder.path().join("no folder").join("piece.ron");
        assert!(save(&nowhere, b"x").unwrap_err().to_string().contains("its folder doesn't exist"));
        assert!(matches!(save(folder.path(), b"x"), Err(FileError::Folder { .. })));
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link_and_modes_stay() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let (real, link) = (folder.path().join("real.ron"), folder.path().join("link.ron"));
        fs::write(&real, b"old").unwrap();
        fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&real, &link).unwrap();
        save(&link, b"new").unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::read(&real).unwrap(), b"new");
        assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
    }

    #[test]
    fn a_name_with_a_line_break_is_shown_on_one_line() {
        assert_eq!(shown(Path::new("a\nb.xml")), "a\\nb.xml");
    }
}
