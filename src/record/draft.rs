//! A round being typed, kept value by value until it is saved.
//!
//! The file `.round-draft` grows by one line a value, each synced before the next
//! question; a later line on the same matter corrects an earlier one. A last line
//! without its end was cut off by a power failure and is dropped. Whoever types
//! holds a lock on it; it is opened and removed under the folder's own lock, so
//! that nobody locks a file that is just being removed.

use std::io;

use serde::{Deserialize, Serialize};

use super::{JournalError, lock};
use crate::job::{Against, Figure, Quantity, RoundNumber};
use crate::store::{Lines, Place};

/// One thing typed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum DraftEntry {
    /// The number of the round that is being typed; begins a draft.
    Round(RoundNumber),
    /// What the rib is held against.
    Against(Against),
    /// Whether the rib was bent again before this round.
    Rebent(bool),
    /// A reading.
    Reading {
        /// The station's name.
        station: String,
        /// What was read.
        quantity: Quantity,
        /// The reading in mm as [`crate::job::Reading`] has it, a number or an interval as it was
        /// typed; `None`: not read.
        mm: Option<Figure>,
    },
    /// Whether the rib was felt to bear at a station.
    Bears {
        /// The station's name.
        station: String,
        /// Whether it was.
        bears: bool,
    },
    /// What stands in a reading's place but is no reading that can be believed yet:
    /// a slip of the finger, or a value in doubt. It takes an earlier reading away.
    Unsettled {
        /// The station's name.
        station: String,
        /// What was read.
        quantity: Quantity,
        /// The text as it was typed.
        text: String,
    },
}

/// The name of the file in the joint's folder.
const DRAFT: &str = ".round-draft";

/// The draft of a folder, held by one program at a time.
#[derive(Debug)]
pub struct Draft {
    folder: Place,
    file: Box<dyn Lines>,
    /// Bytes of whole lines in it.
    kept: u64,
    /// Lines that it has not taken yet.
    waiting: String,
}

impl Draft {
    /// Opens the folder's draft, or begins one, and gives what an earlier run left.
    ///
    /// # Errors
    ///
    /// [`JournalError::Typing`] if another program is typing a round here,
    /// [`JournalError::Busy`] and [`JournalError::Io`] as for any writing.
    pub fn open(folder: impl Into<Place>) -> Result<(Draft, Vec<DraftEntry>), JournalError> {
        let folder = folder.into();
        let _folder_lock = lock::lock_soon(&folder)?;
        let path = folder.join(DRAFT);
        let refused = |source| JournalError::Io { file: path.to_string(), source };
        let held = path.hold().map_err(refused)?;
        let mut file = held.ok_or_else(|| JournalError::Typing(folder.to_string()))?;
        let bytes = file.bytes().map_err(refused)?;
        let text = whole(&bytes);
        let draft = Draft { folder, file, kept: text.len() as u64, waiting: String::new() };
        Ok((draft, entries(text)))
    }

    /// What the folder's draft holds, without keeping others from typing into it;
    /// nothing if there is none.
    ///
    /// # Errors
    ///
    /// [`JournalError::Io`] if it is there but can't be read.
    pub fn look(folder: impl Into<Place>) -> Result<Vec<DraftEntry>, JournalError> {
        let path = folder.into().join(DRAFT);
        match path.read(u64::MAX) {
            Ok(bytes) => Ok(entries(whole(&bytes))),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
            Err(source) => Err(JournalError::Io { file: path.to_string(), source }),
        }
    }

    /// Where it lies.
    pub fn path(&self) -> Place {
        self.folder.join(DRAFT)
    }

    /// Adds one entry and has the disk, or whatever holds the folder, keep it before this
    /// returns. What that refuses is tried again with the next entry.
    ///
    /// # Errors
    ///
    /// [`JournalError::Io`]; what was kept before stays.
    pub fn keep(&mut self, entry: &DraftEntry) -> Result<(), JournalError> {
        let line = serde_json::to_string(entry).map_err(|e| self.refused(e.into()))?;
        self.waiting.push_str(&line);
        self.waiting.push('\n');
        self.file.extend(self.kept, self.waiting.as_bytes()).map_err(|e| self.refused(e))?;
        self.kept += self.waiting.len() as u64;
        self.waiting.clear();
        Ok(())
    }

    fn refused(&self, source: io::Error) -> JournalError {
        JournalError::Io { file: self.path().to_string(), source }
    }

    /// Whether everything typed is kept.
    pub fn is_kept(&self) -> bool {
        self.waiting.is_empty()
    }

    /// Throws away what was typed and begins anew.
    ///
    /// # Errors
    ///
    /// [`JournalError::Io`].
    pub fn clear(&mut self) -> Result<(), JournalError> {
        self.file.extend(0, &[]).map_err(|e| self.refused(e))?;
        self.kept = 0;
        self.waiting.clear();
        Ok(())
    }

    /// Removes the file.
    ///
    /// # Errors
    ///
    /// [`JournalError::Busy`] or [`JournalError::Io`]; the draft is then still there.
    pub fn remove(&self) -> Result<(), JournalError> {
        let _folder_lock = lock::lock_soon(&self.folder)?;
        self.path().remove().map_err(|e| self.refused(e))
    }
}

/// The whole lines at the beginning. Bytes that are no text were not written here,
/// and end them likewise.
fn whole(bytes: &[u8]) -> &str {
    let valid = std::str::from_utf8(bytes).map_or_else(|e| e.valid_up_to(), str::len);
    let lines = bytes[..valid].iter().rposition(|b| *b == b'\n').map_or(0, |at| at + 1);
    std::str::from_utf8(&bytes[..lines]).unwrap_or_default()
}

fn entries(text: &str) -> Vec<DraftEntry> {
    text.lines().filter_map(|line| serde_json::from_str(line).ok()).collect()
}
