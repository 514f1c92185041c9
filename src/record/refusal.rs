//! Why nothing was written, in words.

use std::io;

use super::append::Trouble;
use crate::table::Problems;

/// Why nothing was added. In every case the folder is as it was, except
/// where [`JournalError::is_written`].
#[derive(Debug, thiserror::Error)]
pub enum JournalError {
    /// Another writer holds the folder.
    #[error(
        "{0}: another program is writing into this folder just now, so nothing was written. Next: try again when it is done."
    )]
    Busy(String),
    /// Another program is typing a round into the folder.
    #[error(
        "{0}: another program is typing a round into this folder just now. Next: finish or stop it there, and try again."
    )]
    Typing(String),
    /// Someone else added a round or strokes since the folder was read.
    #[error(
        "{0}: {1} added by another program meanwhile, so nothing was written. Next: look at what is there now, and try again."
    )]
    Overtaken(String, &'static str),
    /// The folder has problems of its own.
    #[error("Nothing was written, since the folder can't be read as it stands:\n{0}")]
    Folder(Problems),
    /// The new rows can't be right; rows are counted as if they had been added.
    #[error("Nothing was written, since the new rows can't be right:\n{0}")]
    Rows(Problems),
    /// There is nothing to add.
    #[error("There is nothing to add. Next: give at least one reading or stroke.")]
    Nothing,
    /// A station has more than one row in the round.
    #[error(
        "{file}: station {station} was read more than once in this round, so nothing was written. Next: correct the row that is wrong in the table itself."
    )]
    Several {
        /// The table.
        file: String,
        /// The station.
        station: String,
    },
    /// The readings don't match the stations.
    #[error(
        "Nothing was written: {given} readings for {stations} stations. Next: give one reading per station, empty where not read."
    )]
    Stations {
        /// How many readings were given.
        given: usize,
        /// How many stations the joint has.
        stations: usize,
    },
    /// The table's encoding lacks a character.
    #[error(
        "{file}: its encoding has no '{character}', so nothing was written. Next: save the table as UTF-8 in the spreadsheet, or use another name."
    )]
    Encoding {
        /// The table.
        file: String,
        /// The character.
        character: char,
    },
    /// The table was changed by someone else meanwhile.
    #[error(
        "{0} was changed while the new rows were made, so nothing was written. Next: save and close it in the spreadsheet, and try again."
    )]
    Changed(String),
    /// Reading the new table back did not give the old rows and the new ones.
    #[error(
        "{0}: the new table, read back, is not the old one with the new rows, so nothing was written. Next: save the table anew as CSV in the spreadsheet, and try again."
    )]
    ReadBack(String),
    /// The system refused.
    #[error(
        "{file}: nothing was written ({source}). Next: check that folder and file may be written and the disk has room."
    )]
    Io {
        /// The file or folder.
        file: String,
        /// What the system said.
        source: io::Error,
    },
    /// The new table is in its place, but the log of what was confirmed was not added to.
    #[error(
        "{file} could not be added to ({source}). The table holds the new rows; what is missing is only their second copy. Next: check that the file may be written and the disk has room."
    )]
    Unlogged {
        /// The log.
        file: String,
        /// What the system said.
        source: io::Error,
    },
    /// The new table is in its place, but the system could not promise that it
    /// outlives a power cut.
    #[error(
        "{file} holds the new rows, but they may be lost if the power fails ({source}). Next: check the disk."
    )]
    Unsynced {
        /// The table.
        file: String,
        /// What the system said.
        source: io::Error,
    },
}

impl JournalError {
    /// Whether what was to be written is in its place all the same.
    pub fn is_written(&self) -> bool {
        matches!(self, JournalError::Unsynced { .. } | JournalError::Unlogged { .. })
    }
}

impl Trouble {
    pub(super) fn of(self, file: &str) -> JournalError {
        let file = file.to_string();
        match self {
            Trouble::Character(character) => JournalError::Encoding { file, character },
            Trouble::Changed => JournalError::ReadBack(file),
            Trouble::Rows(source) => JournalError::Io { file, source },
        }
    }
}
