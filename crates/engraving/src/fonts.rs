//! The engine's music fonts, which it reads from a folder.

use std::fs;
use std::path::{Path, PathBuf};

use crate::EngravingError;

/// What of the engine's resources is used: the two music fonts it insists on, and the metrics of text fonts.
const NEEDED: [&str; 5] = ["Bravura", "Bravura.xml", "Leipzig", "Leipzig.xml", "text"];
/// The folder that holds one version's fonts.
const VERSION: &str = "engraver-0.3.6";

/// A folder with the engine's fonts.
#[derive(Debug)]
pub struct MusicFonts {
    folder: PathBuf,
    /// Removed again with its content when the fonts are no longer needed.
    _temporary: Option<tempfile::TempDir>,
}

impl MusicFonts {
    /// Fonts kept in a folder for good, such as the program's cache: written there unless they are there already.
    ///
    /// # Errors
    /// A folder that can't be written to.
    pub fn kept_in(folder: &Path) -> Result<MusicFonts, EngravingError> {
        let wanted = folder.join(VERSION);
        if !wanted.is_dir() {
            // Written aside and moved into place whole, so that no program ever finds half of them.
            let failed = |error: std::io::Error| refused(folder, &error);
            fs::create_dir_all(folder).map_err(failed)?;
            let aside = tempfile::Builder::new().prefix("engraver-").tempdir_in(folder).map_err(failed)?;
            write(aside.path())?;
            let aside = aside.keep();
            if let Err(error) = fs::rename(&aside, &wanted) {
                // Another program may have been quicker; anything else is an error.
                let removed = fs::remove_dir_all(&aside);
                if !wanted.is_dir() {
                    return Err(refused(folder, &error));
                }
                removed.map_err(failed)?;
            }
        }
        Ok(MusicFonts { folder: wanted, _temporary: None })
    }

    /// Fonts for this one use.
    ///
    /// # Errors
    /// No room in the system's folder for temporary files.
    pub fn temporary() -> Result<MusicFonts, EngravingError> {
        let folder = tempfile::Builder::new()
            .prefix("engraver-")
            .tempdir()
            .map_err(|error| refused(&std::env::temp_dir(), &error))?;
        write(folder.path())?;
        Ok(MusicFonts { folder: folder.path().to_owned(), _temporary: Some(folder) })
    }

    pub(crate) fn folder(&self) -> &Path {
        &self.folder
    }
}

fn write(folder: &Path) -> Result<(), EngravingError> {
    let failed = |error: std::io::Error| refused(folder, &error);
    for entry in verovio_data::DATA.entries() {
        let path = entry.path();
        if !NEEDED.iter().any(|needed| path == Path::new(needed)) {
            continue;
        }
        match (entry.as_dir(), entry.as_file()) {
            (Some(inner), _) => {
                fs::create_dir_all(folder.join(path)).map_err(failed)?;
                inner.extract(folder).map_err(failed)?;
            }
            (None, Some(file)) => fs::write(folder.join(path), file.contents()).map_err(failed)?,
            (None, None) => {}
        }
    }
    Ok(())
}

fn refused(folder: &Path, error: &std::io::Error) -> EngravingError {
    EngravingError::Fonts { folder: folder.display().to_string(), reason: error.to_string() }
}
