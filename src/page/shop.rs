//! What the server knows between two requests.

use std::sync::{Mutex, MutexGuard, PoisonError};

use super::answer::Refusal;
use super::door::Door;
use super::joint::Joint;
use super::shelf::Shelf;

/// FOLDER and the door to it.
#[derive(Debug)]
pub(super) struct Shop {
    pub shelf: Shelf,
    pub door: Door,
    writing: Mutex<()>,
}

impl Shop {
    pub fn new(shelf: Shelf, door: Door) -> Self {
        Shop { shelf, door, writing: Mutex::default() }
    }

    /// One writer of this server at a time; against other programs the folder's own
    /// lock helps.
    pub fn writing(&self) -> MutexGuard<'_, ()> {
        self.writing.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A joint as it is now.
    pub fn joint(&self, name: &str) -> Result<Joint, Refusal> {
        let folder = self.shelf.joint(name).ok_or_else(Refusal::unknown)?;
        Joint::read(name, folder)
    }
}
