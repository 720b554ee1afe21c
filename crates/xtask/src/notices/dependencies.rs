//! What the programs are built from, as cargo resolves it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use anyhow::{Context, Result};
use serde_json::Value;

use crate::process::{cargo, output};

/// The programs that are handed out.
const PROGRAMS: [&str; 2] = ["leverlane", "leverlane-cli"];

/// A crate of someone else's.
pub struct Dependency {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// Its licence expression as its authors wrote it; empty where they name only a file.
    pub licence: String,
    /// Who made it.
    pub authors: Vec<String>,
    /// Where it is kept, or empty.
    pub repository: String,
    /// Its files.
    pub folder: PathBuf,
}

/// Everything that is linked into a program on some system, by name; tools that only build or test are left out.
///
/// # Errors
/// Where cargo fails, or answers otherwise than expected.
pub fn read() -> Result<Vec<Dependency>> {
    let text = output(&mut cargo(&["metadata", "--format-version", "1", "--locked"])?)?;
    let metadata: Value = serde_json::from_str(&text).context("`cargo metadata` did not answer in JSON")?;
    let packages: BTreeMap<&str, &Value> =
        list(&metadata["packages"])?.iter().filter_map(|package| Some((package["id"].as_str()?, package))).collect();
    let nodes: BTreeMap<&str, &Value> =
        list(&metadata["resolve"]["nodes"])?.iter().filter_map(|node| Some((node["id"].as_str()?, node))).collect();

    let is_program = |package: &Value| package["name"].as_str().is_some_and(|name| PROGRAMS.contains(&name));
    let mut waiting: Vec<&str> =
        packages.iter().filter(|(_, package)| is_program(package)).map(|(&id, _)| id).collect();
    let mut found: BTreeSet<&str> = BTreeSet::new();
    while let Some(id) = waiting.pop() {
        if !found.insert(id) {
            continue;
        }
        let node = nodes.get(id).context("`cargo metadata` left a crate out of its graph")?;
        waiting.extend(list(&node["deps"])?.iter().filter(|dep| is_linked(dep)).filter_map(|dep| dep["pkg"].as_str()));
    }

    let others = found.iter().filter_map(|id| packages.get(id)).filter(|package| !package["source"].is_null());
    let mut dependencies = others.map(|package| dependency(package)).collect::<Result<Vec<_>>>()?;
    dependencies.sort_by(|a, b| (&a.name, &a.version).cmp(&(&b.name, &b.version)));
    Ok(dependencies)
}

fn list(value: &Value) -> Result<&Vec<Value>> {
    value.as_array().context("`cargo metadata` gave something else where a list was expected")
}

/// Ordinary dependencies have no kind; those for building and testing have one.
fn is_linked(dependency: &Value) -> bool {
    dependency["dep_kinds"].as_array().is_some_and(|kinds| kinds.iter().any(|kind| kind["kind"].is_null()))
}

fn dependency(package: &Value) -> Result<Dependency> {
    let text = |key: &str| package[key].as_str().unwrap_or_default().to_owned();
    let manifest = PathBuf::from(text("manifest_path"));
    Ok(Dependency {
        name: text("name"),
        version: text("version"),
        licence: text("license"),
        authors: package["authors"]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(Value::as_str)
            .map(str::to_owned)
            .collect(),
        repository: text("repository"),
        folder: manifest.parent().context("`cargo metadata` gave a crate without a folder")?.to_owned(),
    })
}
