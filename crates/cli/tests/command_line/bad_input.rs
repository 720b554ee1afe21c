//! Files that no score can be made of: each is refused with its one line and exit status 1, by `notes` and by `plan`.

use std::fs;
use std::path::Path;

use crate::musicxml::{HEAD, archive, note, score};
use crate::{leverlane, plan};

/// Refused by both commands alike; gives the line without the file's name.
fn refused(name: &str, content: &[u8]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(name);
    fs::write(&path, content).unwrap();
    refused_path(&path)
}

fn refused_path(path: &Path) -> String {
    let file = path.to_str().unwrap();
    let by_notes = leverlane(["notes", file, "--json"]).refusal();
    let by_plan = leverlane(["plan", file]).refusal();
    assert_eq!(by_notes, by_plan);
    by_notes.strip_prefix(file).and_then(|rest| rest.strip_prefix(": ")).expect("the file's name first").to_owned()
}

/// The line says a place or a fact and what to do: at least two clauses, and every word that is asked for.
fn says(line: &str, words: &[&str]) {
    assert!(line.contains(';'), "no remedy: {line}");
    for word in words {
        assert!(line.to_lowercase().contains(&word.to_lowercase()), "\"{word}\" is missing: {line}");
    }
}

#[test]
fn no_score_at_all() {
    says(&refused("a.musicxml", b"just words"), &["MusicXML"]);
    says(&refused("a.musicxml", b""), &["MusicXML"]);
    says(&refused("a.musicxml", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"), &["MusicXML"]);
    says(&refused("a.musicxml", &[0; 4096]), &["MusicXML"]);
    says(&refused("a.musicxml", b"<html><body>Not found</body></html>"), &["html"]);
    says(&refused("a.mxl", b"PK\x03\x04 but no archive"), &["archive"]);
}

#[test]
fn truncated() {
    let whole = score(&[&format!("{HEAD}{}", note("C4", "4"))]);
    let half = &whole.as_bytes()[..whole.len() / 2];
    says(&refused("a.musicxml", half), &["line 2"]);
    let packed = archive(whole.as_bytes());
    says(&refused("a.mxl", &packed[..packed.len() / 2]), &["archive"]);
}

#[test]
fn entity_bombs() {
    let lines: String =
        (1..10).map(|level| format!("<!ENTITY e{level} \"{}\">", format!("&e{};", level - 1).repeat(10))).collect();
    let bomb = format!(
        "<?xml version=\"1.0\"?><!DOCTYPE score-partwise [<!ENTITY e0 \"boom\">{lines}]><score-partwise>&e9;\
         </score-partwise>"
    );
    says(&refused("a.musicxml", bomb.as_bytes()), &["DOCTYPE"]);
    let outside = "<!DOCTYPE score-partwise [<!ENTITY e SYSTEM \"file:///etc/hostname\">]><score-partwise>&e;\
                   </score-partwise>";
    says(&refused("a.musicxml", outside.as_bytes()), &["DOCTYPE"]);
}

/// 200 MB of blanks pack into some 200 KB.
#[test]
fn a_zip_bomb() {
    let bomb = archive(&vec![b' '; 200 << 20]);
    assert!(bomb.len() < 1 << 20);
    says(&refused("a.mxl", &bomb), &["bytes"]);
}

#[test]
fn deep_nesting() {
    let deep = format!("{}{}", "<score-partwise>".repeat(200_000), "</score-partwise>".repeat(200_000));
    refused("a.musicxml", deep.as_bytes());
    let deep_bar = score(&[&format!("{}{}", "<note>".repeat(100_000), "</note>".repeat(100_000))]);
    refused("a.musicxml", deep_bar.as_bytes());
}

#[test]
fn lengths_that_can_not_be() {
    let zero = HEAD.replace("<divisions>1<", "<divisions>0<");
    says(&refused("a.musicxml", score(&[&format!("{zero}{}", note("C4", "4"))]).as_bytes()), &["divisions"]);
    let negative = HEAD.replace("<divisions>1<", "<divisions>-2<");
    says(&refused("a.musicxml", score(&[&format!("{negative}{}", note("C4", "4"))]).as_bytes()), &["divisions"]);
    says(&refused("a.musicxml", score(&[&format!("{HEAD}{}", note("C4", "-4"))]).as_bytes()), &["-4"]);
    // In range of an integer, but no bar is so long.
    for endless in ["1000000000", "9000000000000"] {
        let line = refused("a.musicxml", score(&[&format!("{HEAD}{}", note("C4", endless))]).as_bytes());
        says(&line, &["bar", "quarter"]);
    }
    for no_number in ["9223372036854775807", "99999999999999999999999", "1e300", "NaN", "four"] {
        let line = refused("a.musicxml", score(&[&format!("{HEAD}{}", note("C4", no_number))]).as_bytes());
        says(&line, &["line 2", no_number]);
    }
}

#[test]
fn a_million_notes_and_more() {
    let many = score(&[HEAD, &note("C4", "1").repeat(1_000_001)]);
    assert!(many.len() > 64 << 20);
    says(&refused("a.musicxml", many.as_bytes()), &["larger"]);
    refused("a.mxl", &archive(many.as_bytes()));
}

#[test]
fn nothing_to_play() {
    refused("a.musicxml", b"<score-partwise version=\"4.0\"/>");
    refused("a.musicxml", score(&[]).as_bytes());
    refused("a.musicxml", score(&[HEAD]).as_bytes());
    refused("a.musicxml", score(&[&format!("{HEAD}<note><rest/><duration>4</duration></note>")]).as_bytes());
    let beaten = "<note><unpitched><display-step>E</display-step><display-octave>4</display-octave></unpitched>\
                  <duration>4</duration></note>";
    refused("a.musicxml", score(&[&format!("{HEAD}{beaten}")]).as_bytes());
}

#[test]
fn files_that_are_none() {
    let folder = tempfile::tempdir().unwrap();
    says(&refused_path(folder.path()), &["folder"]);
    says(&refused_path(&folder.path().join("missing.musicxml")), &["no such file"]);
    let file = folder.path().join("a.musicxml");
    fs::write(&file, "x").unwrap();
    says(&refused_path(&file.join("below a file")), &["no such file"]);
    says(&refused_path(Path::new("/dev/zero")), &["device"]);
}

#[cfg(unix)]
#[test]
fn no_permission() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.musicxml");
    fs::write(&path, "x").unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o000)).unwrap();
    if fs::read(&path).is_ok() {
        println!("skipped: this user may read every file whatever its mode");
        return;
    }
    says(&refused_path(&path), &["no permission"]);
}

/// Not refused: told. C1 lies below every harp; the rest is planned.
#[test]
fn notes_off_the_harp_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.musicxml");
    fs::write(&path, score(&[&format!("{HEAD}{}{}", note("C1", "2"), note("C4", "2"))])).unwrap();
    let plan = plan(&path, &["--harp", "34", "--tuning", "C"]);
    assert_eq!(plan["totals"]["unplayable"], 1);
    assert_eq!(plan["problems"][0]["kind"], "off_the_harp");
    assert_eq!(plan["problems"][0]["notes"][0], "C1");
    assert_eq!(plan["problems"][0]["bar"], "1");
}

#[test]
fn harp_files_that_are_none() {
    let folder = tempfile::tempdir().unwrap();
    let score_path = folder.path().join("a.musicxml");
    fs::write(&score_path, score(&[&format!("{HEAD}{}", note("C4", "4"))])).unwrap();
    let harp_path = folder.path().join("harp.ron");
    for (content, said) in [
        ("<xml/>", "line 1"),
        ("(document: harp, version: 99, strings: 3)", "newer"),
        ("(document: harp, version: 1, strings: listed([(open: \"H4\", lever: fitted)]))", "string 1"),
        ("(document: harp, version: 1, strings: preset(strings: 34, tuning: \"D\"))", "tuning"),
    ] {
        fs::write(&harp_path, content).unwrap();
        let arguments = ["plan", score_path.to_str().unwrap(), "--harp", harp_path.to_str().unwrap()];
        let line = leverlane(arguments).refusal();
        assert!(line.starts_with(harp_path.to_str().unwrap()), "{line}");
        says(&line, &[said]);
        assert_eq!(fs::read_to_string(&harp_path).unwrap(), content, "the file is left as it was");
    }
    let arguments = ["plan", score_path.to_str().unwrap(), "--harp", "no such harp.ron"];
    says(&leverlane(arguments).refusal(), &["no such file"]);
}
