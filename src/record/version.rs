//! Whether a folder is still what it was when someone looked at it.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::Path;

use crate::job::folder::Files;

/// A short mark of what the joint's files hold: another one when any of them
/// changed. Marks are compared within one build of the program only.
pub fn version(folder: &Path) -> String {
    let mut hasher = DefaultHasher::new();
    for bytes in Files::load(folder).contents() {
        bytes.hash(&mut hasher);
    }
    format!("{:016x}", hasher.finish())
}
