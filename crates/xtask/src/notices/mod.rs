//! `cargo xtask notices`: what others made that our programs contain, and on what terms.
//!
//! `NOTICE` names it, without versions so that an update alone changes nothing; `--full OUT` gathers the licence texts
//! themselves, for whoever hands out a built program.

mod dependencies;
mod expression;
mod texts;

use std::collections::BTreeMap;
use std::fs;

use anyhow::{Context, Result, bail};

use crate::workspace;
use dependencies::Dependency;

/// What stands at the head of NOTICE. All fonts but the first come inside the crate `epaint_default_fonts`.
const HEAD: &str = "\
Leverlane
Copyright 2026 the authors of Leverlane

Licensed under the MIT licence (LICENSE-MIT) or the Apache License, Version 2.0 (LICENSE-APACHE), at your option.
The demo pieces are our own arrangements of traditional tunes in the public domain, under the same terms.

This file is written by `cargo xtask notices`; don't edit it by hand. Whoever hands out a built program must hand out the
licence texts of what it contains too: `cargo xtask notices --full OUT` gathers them.


Fonts inside the window's program

Libertinus Serif (assets/fonts): Copyright 2012-2024 The Libertinus Project Authors. SIL Open Font License 1.1
    with the reserved font names Linux Libertine, Biolinum and STIX Fonts.
Leipzig (assets/fonts): created by Etienne Darbellay, Jean-Francois Marti, Laurent Pugin, and Klaus Rettinghaus.
    SIL Open Font License 1.1.
Ubuntu Light: Copyright 2011 Canonical Ltd. Ubuntu Font Licence 1.0.
    Ubuntu and Canonical are registered trademarks of Canonical Ltd.
Hack Regular: Copyright 2018 Source Foundry Authors, MIT licence;
    Copyright 2003 Bitstream, Inc., Bitstream Vera License with the reserved font names Bitstream and Vera.
Noto Emoji: Copyright 2013 Google Inc. SIL Open Font License 1.1. Noto is a trademark of Google Inc.
emoji-icon-font and egui-icons, a part of it: Copyright 2014 John Slegers. MIT licence.


The engraver inside the programs

Verovio (through the crates verovio-sys and verovio-data): Copyright the authors of Verovio and RISM Digital.
    GNU Lesser General Public License, version 3 or later. Leverlane uses it as published; whoever wants another version
    of it inside changes the crate and builds the programs anew from their source, which is free as a whole.
    Its music fonts Leipzig and Bravura are under the SIL Open Font License 1.1.


Libraries inside the programs, on one system or another, each under the licence above it

";

/// Crates under terms that are not permissive, each with its licence, and why ours go with it all the same: the engraver
/// and its fonts may be linked into any program whose user can build it anew with a changed engraver (LGPL 3, section
/// 4), and our whole source with its build is free.
const EXCEPTIONS: [(&str, &str); 2] = [("verovio-sys", "LGPL-3.0-or-later"), ("verovio-data", "LGPL-3.0-or-later")];

fn is_excepted(dependency: &Dependency) -> bool {
    EXCEPTIONS.contains(&(dependency.name.as_str(), dependency.licence.as_str()))
}

/// Writes NOTICE, checks it, or gathers the licence texts.
///
/// # Errors
/// Where cargo doesn't answer, a dependency can't be used under our terms, or a file can't be written.
pub fn run(arguments: &[String]) -> Result<()> {
    match arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        [] => write(),
        ["--check"] => check(),
        ["--full", out] => texts::write(&dependencies::read()?, out),
        _ => bail!("expected nothing, --check, or --full and the file to write"),
    }
}

/// Checks that NOTICE names what the programs contain now.
///
/// # Errors
/// Where it doesn't, or a dependency can't be used under our terms.
pub fn check() -> Result<()> {
    let path = workspace::root()?.join("NOTICE");
    let standing = fs::read_to_string(&path).context("NOTICE can't be read")?;
    if standing != notice(&dependencies::read()?)? {
        bail!("NOTICE no longer names what the programs contain; write it anew with `cargo xtask notices`");
    }
    Ok(())
}

fn write() -> Result<()> {
    let text = notice(&dependencies::read()?)?;
    fs::write(workspace::root()?.join("NOTICE"), text).context("NOTICE can't be written")
}

/// The text of NOTICE.
fn notice(dependencies: &[Dependency]) -> Result<String> {
    let mut by_licence: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    for dependency in dependencies {
        let licence = expression::parse(&dependency.licence)
            .with_context(|| format!("the licence \"{}\" of {}", dependency.licence, dependency.name))?;
        if !licence.is_permissive() && !is_excepted(dependency) {
            bail!("{} is under \"{}\", which our own terms don't go with", dependency.name, dependency.licence);
        }
        let names = by_licence.entry(licence.to_string()).or_default();
        if names.last() != Some(&dependency.name.as_str()) {
            names.push(&dependency.name);
        }
    }
    let mut text = HEAD.to_owned();
    for (licence, names) in by_licence {
        text += &format!("{licence}\n{}\n", wrapped(&names));
    }
    Ok(text)
}

/// Names with commas, in indented lines of at most 120 characters.
fn wrapped(names: &[&str]) -> String {
    let (mut lines, mut line) = (String::new(), String::from("   "));
    for (index, name) in names.iter().enumerate() {
        let comma = if index + 1 < names.len() { "," } else { "" };
        if line.len() + 1 + name.len() + comma.len() > 120 {
            lines += &line;
            lines += "\n";
            line = String::from("   ");
        }
        line += &format!(" {name}{comma}");
    }
    lines + &line + "\n"
}
