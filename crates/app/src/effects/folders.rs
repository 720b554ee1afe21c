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
    /// What has been practised.
    pub diary: PathBuf,
}

impl Folders {
    /// The ones of this platform and user; none where the system names no home.
    pub fn of_platform() -> Option<Folders> {
        let folders = directories::ProjectDirs::from("", "", "Leverlane")?;
        let data = folders.data_local_dir();
        Some(Folders {
            settings: folders.config_dir().to_owned(),
            recovery: data.join("recovery"),
            cache: folders.cache_dir().to_owned(),
            diary: data.join("diary"),
        })
    }

    /// All inside one folder.
    pub fn inside(folder: &Path) -> Folders {
        let inside = |name: &str| folder.join(name);
        Folders {
            settings: inside("settings"),
            recovery: inside("recovery"),
            cache: inside("cache"),
            diary: inside("diary"),
        }
    }

    /// The file that holds the settings.
    pub fn settings_file(&self) -> PathBuf {
        self.settings.join("settings.ron")
    }

    /// The file that holds how long sound takes through each pair of devices.
    pub fn latency_file(&self) -> PathBuf {
        self.settings.join("latencies.ron")
    }

    /// The file that holds the diary.
    pub fn diary_file(&self) -> PathBuf {
        self.diary.join("diary.sqlite")
    }
}
