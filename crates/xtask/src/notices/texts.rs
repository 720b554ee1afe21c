//! The licence texts themselves, for whoever hands out a built program.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

use super::dependencies::Dependency;
use crate::workspace;

/// How the files begin that hold licences and notices (common practice among crates).
const BEGINNINGS: [&str; 6] = ["license", "licence", "copying", "copyright", "notice", "unlicense"];

/// Writes one file with the licence of our own font and all licence texts that the dependencies ship; one that ships none is named with its terms,
/// authors and place.
///
/// # Errors
/// Where a text can't be read or the file can't be written.
pub fn write(dependencies: &[Dependency], out: &str) -> Result<()> {
    let fonts = workspace::root()?.join("assets/fonts/OFL.txt");
    let mut whole = fs::read_to_string(&fonts).with_context(|| format!("{} can't be read", fonts.display()))?;
    for dependency in dependencies {
        let Dependency { name, version, licence, authors, repository, folder } = dependency;
        whole += &format!("\n{}\n{name} {version}\n{licence}\n{repository}\n\n", "=".repeat(120));
        let texts = texts_in(folder)?;
        if texts.is_empty() {
            whole += &format!("(ships no licence text; authors: {})\n", authors.join(", "));
        }
        for path in texts {
            let bytes = fs::read(&path).with_context(|| format!("{} can't be read", path.display()))?;
            whole += String::from_utf8_lossy(&bytes).trim_end();
            whole += "\n\n";
        }
    }
    fs::write(out, whole).with_context(|| format!("{out} can't be written"))
}

/// The licence files at the top of a crate, and any text beside the fonts it ships.
fn texts_in(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut texts = Vec::new();
    for entry in fs::read_dir(folder).with_context(|| format!("{} can't be listed", folder.display()))? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().to_lowercase();
        if path.is_file() && BEGINNINGS.iter().any(|beginning| name.starts_with(beginning)) {
            texts.push(path);
        } else if path.is_dir() && name == "fonts" {
            for font in fs::read_dir(&path)? {
                texts.extend(Some(font?.path()).filter(|path| path.extension().is_some_and(|end| end == "txt")));
            }
        }
    }
    texts.sort();
    Ok(texts)
}
