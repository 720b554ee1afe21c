//! A folder that may not be written, where there is one: root may write everywhere, and then the check is skipped.

use std::fs;

use leverlane_core::drill::Day;
use leverlane_core::verdict::Steadiness;
use leverlane_diary::{Diary, Trouble};
use leverlane_tests::diary_passes::{entered, pass};
use tempfile::TempDir;

#[test]
fn a_read_only_folder_is_told() {
    let folder = TempDir::new().unwrap();
    let place = folder.path().join("kept");
    fs::create_dir(&place).unwrap();
    let path = place.join("diary.sqlite");
    let mut diary = Diary::open(&path).unwrap();
    let (session, flip) = entered(&mut diary);
    diary.write(session, flip, &pass(Day::new(1), 60.0, Steadiness::Steady)).unwrap();
    drop(diary);
    let mut rights = fs::metadata(&place).unwrap().permissions();
    rights.set_readonly(true);
    fs::set_permissions(&place, rights).unwrap();
    if fs::write(place.join("probe"), "").is_ok() {
        println!("skipped: this user may write even in a read-only folder");
        return;
    }
    let trouble = Diary::open(&path).err().expect("it can't be opened for writing").trouble;
    assert!(matches!(trouble, Trouble::ReadOnly | Trouble::Unopened(_)), "{trouble:?}");
}

/// A device without room, where the system has one: every write to it fails for want of space.
#[test]
fn a_place_that_can_hold_nothing_is_told() {
    let full = std::path::Path::new("/dev/full/diary.sqlite");
    if !full.parent().unwrap().exists() {
        println!("skipped: this system has no /dev/full");
        return;
    }
    let error = Diary::open(full).err().expect("no folder there");
    assert!(matches!(error.trouble, Trouble::Unopened(_)), "{error}");
    assert_eq!(error.to_string().lines().count(), 1);
}
