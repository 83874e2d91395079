//! A painting file of any bytes: opened to look, and opened to work in, with everything in it read.

#![no_main]

use std::fs;

use libfuzzer_sys::fuzz_target;
use painting::Painting;

fuzz_target!(|bytes: &[u8]| {
    let folder = tempfile::tempdir().expect("a folder in memory");
    let file = folder.path().join("fuzzed.mahlstick");
    fs::write(&file, bytes).expect("a file in memory");
    if let Ok(painting) = Painting::open_read_only(&file) {
        read(&painting);
    }
    assert_eq!(fs::read(&file).expect("the file is still there"), bytes, "looking changes nothing");
    if let Ok(mut painting) = Painting::open(&file) {
        read(&painting);
        if let Ok(revision) = painting.revision() {
            let _ = painting.undo(revision);
            let _ = painting.keep_beside("notes", "north light");
        }
    }
});

fn read(painting: &Painting) {
    let _ = (painting.history(), painting.checks(), painting.beside("notes"));
    if let Ok(present) = painting.present()
        && let Some(id) = present.document.photo
    {
        let _ = painting.photo(id);
    }
}
