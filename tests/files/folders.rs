//! Folders of files for tests to work on.

use std::fs;
use std::path::Path;

/// Copies a folder with all that is below it, over another one if that is there.
pub fn copied(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("made");
    for entry in fs::read_dir(from).expect("listed").map(|e| e.expect("an entry").path()) {
        let there = to.join(entry.file_name().expect("a name"));
        if entry.is_dir() {
            copied(&entry, &there);
        } else {
            fs::copy(&entry, there).expect("copied");
        }
    }
}
