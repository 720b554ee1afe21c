//! The seeds of the fuzz targets, and with them every input that ever went wrong, through the same readers.

use std::path::Path;

#[path = "../fuzz/src/lib.rs"]
#[allow(clippy::let_underscore_must_use, dead_code)]
mod targets;

#[test]
fn nothing_goes_down_on_any_seed() {
    let seeds = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/fuzz/seeds"));
    for (name, target) in targets::TARGETS {
        let mut tried = 0;
        for entry in std::fs::read_dir(seeds.join(name)).unwrap() {
            target(&std::fs::read(entry.unwrap().path()).unwrap());
            tried += 1;
        }
        assert!(tried > 0, "{name} has seeds");
    }
}
