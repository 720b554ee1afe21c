//! Where the program keeps its own files.

use std::path::{Path, PathBuf};

/// The platform's folders for settings, for what must survive a crash, and for what needn't.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Folders {
    /// Settings.
    pub settings: PathBuf,
    /// Pieces that are in no file yet.
    pub recovery: PathBuf,
    /// What can be made again at any time.
    pub cache: PathBuf,
}

impl Folders {
    /// The ones of this platform and user; none where the system names no home.
    pub fn of_platform() -> Option<Folders> {
        let folders = directories::ProjectDirs::from("", "", "Leverlane")?;
        Some(Folders {
            settings: folders.config_dir().to_owned(),
            recovery: folders.data_local_dir().join("recovery"),
            cache: folders.cache_dir().to_owned(),
        })
    }

    /// All inside one folder.
    pub fn inside(folder: &Path) -> Folders {
        Folders { settings: folder.join("settings"), recovery: folder.join("recovery"), cache: folder.join("cache") }
    }

    /// The file that holds the settings.
    pub fn settings_file(&self) -> PathBuf {
        self.settings.join("settings.ron")
    }
}
