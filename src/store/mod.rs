//! Where files lie: in folders on the disk, or held in memory.
//!
//! Every table is read and written through a [`Place`], a path in a [`Store`], and nothing above
//! this room knows which store it is. A plain path is a place on the disk. Files are bytes here;
//! what they mean is made out above.
//!
//! ## Why a store held in memory?
//!
//! A browser has no folders that a page may open: there the tables are held in memory, and written
//! through to whatever the browser keeps ([`Held::take_changes`]). And whoever adds to a bowl tries
//! it in a copy first.

mod day;
mod disk;
mod held;
mod place;

use std::ffi::OsString;
use std::fmt::Debug;
use std::io;
use std::path::{Path, PathBuf};

pub use day::Day;
pub use disk::Disk;
pub use held::{Change, Held};
pub use place::Place;

/// What stands at a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A folder.
    Folder,
    /// A plain file.
    File,
    /// A pipe or a device.
    Other,
}

/// Why a file was not replaced.
#[derive(Debug)]
pub enum Refused {
    /// It does not hold the old bytes any more: someone else wrote into it.
    Changed,
    /// The system refused; the old file is as it was.
    Io(io::Error),
    /// It is replaced, but the system could not promise that this outlives a power cut.
    Unsynced(io::Error),
}

/// A folder kept from other writers for as long as this lives.
pub type Lock = Box<dyn Send>;

/// Files by their paths. Links are followed, where a store has them.
pub trait Store: Debug + Send + Sync {
    /// What stands there.
    ///
    /// # Errors
    ///
    /// Those of the system, as everywhere in a store; [`io::ErrorKind::NotFound`] where nothing
    /// stands there.
    fn kind(&self, path: &Path) -> io::Result<Kind>;

    /// Whether nothing stands there, not even a link that leads nowhere.
    fn is_absent(&self, path: &Path) -> bool;

    /// Whether it is a link, wherever it leads.
    fn is_link(&self, path: &Path) -> bool;

    /// The path without links and detours.
    ///
    /// # Errors
    ///
    /// Those of the system.
    fn real(&self, path: &Path) -> io::Result<PathBuf>;

    /// Names of what stands in a folder, in their order.
    ///
    /// # Errors
    ///
    /// Those of the system.
    fn names(&self, folder: &Path) -> io::Result<Vec<OsString>>;

    /// A file's bytes, if there are at most so many.
    ///
    /// # Errors
    ///
    /// Those of the system; [`io::ErrorKind::FileTooLarge`] where it holds more.
    fn read(&self, file: &Path, most: u64) -> io::Result<Vec<u8>>;

    /// Puts bytes in the place of the file's in one step, if it still holds `old`; `None`: if there
    /// is no such file. Whatever happens it holds the old bytes or the new ones.
    ///
    /// # Errors
    ///
    /// [`Refused`]
    fn replace(&self, file: &Path, old: Option<&[u8]>, new: &[u8]) -> Result<(), Refused>;

    /// Makes a folder, and those above it, where there are none.
    ///
    /// # Errors
    ///
    /// Those of the system.
    fn make(&self, folder: &Path) -> io::Result<()>;

    /// Writes a file that was not there before.
    ///
    /// # Errors
    ///
    /// Those of the system; [`io::ErrorKind::AlreadyExists`] where something stands there.
    fn fresh(&self, file: &Path, bytes: &[u8]) -> io::Result<()>;

    /// Removes a file.
    ///
    /// # Errors
    ///
    /// Those of the system.
    fn remove(&self, file: &Path) -> io::Result<()>;

    /// Keeps a folder from other writers; nothing if one of them holds it, who is waited for as
    /// long as a table may take.
    ///
    /// # Errors
    ///
    /// Those of the system.
    fn lock(&self, folder: &Path) -> io::Result<Option<Lock>>;

    /// Opens a file that grows line by line, and begins one where there is none; nothing if another
    /// writer holds it.
    ///
    /// # Errors
    ///
    /// Those of the system.
    fn hold(&self, file: &Path) -> io::Result<Option<Box<dyn Lines>>>;

    /// The date, for the record.
    fn today(&self) -> Day;
}

/// A file that grows line by line, held by one writer for as long as this lives.
pub trait Lines: Debug + Send {
    /// All of it.
    ///
    /// # Errors
    ///
    /// Those of the system.
    fn bytes(&mut self) -> io::Result<Vec<u8>>;

    /// Cuts it after so many bytes and puts others behind them; they outlive a power cut.
    ///
    /// # Errors
    ///
    /// Those of the system; what was kept stays.
    fn extend(&mut self, kept: u64, bytes: &[u8]) -> io::Result<()>;
}
