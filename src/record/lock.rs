//! One writer at a time, and a table put in the place of another in one step.

use super::JournalError;
use crate::store::{Lock, Place, Refused};

/// Holds the folder for as long as the lock lives, waiting for another writer for as
/// long as a table may take.
pub(crate) fn lock_soon(folder: &Place) -> Result<Lock, JournalError> {
    let refused = |source| JournalError::Io { file: folder.join(".lock").to_string(), source };
    folder.lock().map_err(refused)?.ok_or_else(|| JournalError::Busy(folder.to_string()))
}

/// Puts `bytes` in the place of the file in one step, if it still holds `old`.
pub(crate) fn replace(path: &Place, old: Option<&[u8]>, bytes: &[u8]) -> Result<(), JournalError> {
    let file = path.to_string();
    path.replace(old, bytes).map_err(|refused| match refused {
        Refused::Changed => JournalError::Changed(file),
        Refused::Io(source) => JournalError::Io { file, source },
        Refused::Unsynced(source) => JournalError::Unsynced { file, source },
    })
}
