//! Whether a folder is still what it was when someone looked at it.

use std::hash::{DefaultHasher, Hash, Hasher};

use crate::job::folder::Files;
use crate::store::Place;

/// A short mark of what the joint's files hold: another one when any of them
/// changed. Marks are compared within one build of the program only.
pub fn version(folder: impl Into<Place>) -> String {
    let mut hasher = DefaultHasher::new();
    for bytes in Files::load(&folder.into()).contents() {
        bytes.hash(&mut hasher);
    }
    format!("{:016x}", hasher.finish())
}
