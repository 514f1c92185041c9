//! A path in a store.

use std::ffi::OsString;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::{Day, Kind, Lines, Lock, Refused, Store};

/// A path in a store: on the disk, unless another one is named. It shows as its path.
#[derive(Clone)]
pub struct Place {
    store: Arc<dyn Store>,
    path: PathBuf,
}

impl Place {
    /// A path in this store.
    pub fn new(store: Arc<dyn Store>, path: impl Into<PathBuf>) -> Place {
        Place { store, path: path.into() }
    }

    /// Its path, for the maker.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Another path in the same store.
    pub fn at(&self, path: impl Into<PathBuf>) -> Place {
        Place { store: Arc::clone(&self.store), path: path.into() }
    }

    /// What stands in it by this name.
    pub fn join(&self, name: impl AsRef<Path>) -> Place {
        self.at(self.path.join(name))
    }

    /// The folder that it stands in, as far as its path tells.
    pub fn parent(&self) -> Option<Place> {
        self.path.parent().map(|path| self.at(path))
    }

    /// The last part of its path.
    pub fn name(&self) -> Option<&str> {
        self.path.file_name()?.to_str()
    }

    /// What stands there, see [`Store::kind`].
    pub fn kind(&self) -> io::Result<Kind> {
        self.store.kind(&self.path)
    }

    /// Whether a folder stands there.
    pub fn is_folder(&self) -> bool {
        self.kind().is_ok_and(|kind| kind == Kind::Folder)
    }

    /// Whether a plain file stands there.
    pub fn is_file(&self) -> bool {
        self.kind().is_ok_and(|kind| kind == Kind::File)
    }

    /// See [`Store::is_absent`].
    pub fn is_absent(&self) -> bool {
        self.store.is_absent(&self.path)
    }

    /// See [`Store::is_link`].
    pub fn is_link(&self) -> bool {
        self.store.is_link(&self.path)
    }

    /// See [`Store::real`].
    pub fn real(&self) -> io::Result<PathBuf> {
        self.store.real(&self.path)
    }

    /// See [`Store::names`].
    pub fn names(&self) -> io::Result<Vec<OsString>> {
        self.store.names(&self.path)
    }

    /// The same as text; names that are none are left out.
    pub fn plain_names(&self) -> io::Result<Vec<String>> {
        Ok(self.names()?.into_iter().filter_map(|name| name.into_string().ok()).collect())
    }

    /// See [`Store::read`].
    pub fn read(&self, most: u64) -> io::Result<Vec<u8>> {
        self.store.read(&self.path, most)
    }

    /// See [`Store::replace`].
    pub fn replace(&self, old: Option<&[u8]>, new: &[u8]) -> Result<(), Refused> {
        self.store.replace(&self.path, old, new)
    }

    /// See [`Store::make`].
    pub fn make(&self) -> io::Result<()> {
        self.store.make(&self.path)
    }

    /// See [`Store::fresh`].
    pub fn fresh(&self, bytes: &[u8]) -> io::Result<()> {
        self.store.fresh(&self.path, bytes)
    }

    /// See [`Store::remove`].
    pub fn remove(&self) -> io::Result<()> {
        self.store.remove(&self.path)
    }

    /// See [`Store::lock`].
    pub fn lock(&self) -> io::Result<Option<Lock>> {
        self.store.lock(&self.path)
    }

    /// See [`Store::hold`].
    pub fn hold(&self) -> io::Result<Option<Box<dyn Lines>>> {
        self.store.hold(&self.path)
    }

    /// The date there.
    pub fn today(&self) -> Day {
        self.store.today()
    }
}

impl PartialEq for Place {
    fn eq(&self, other: &Place) -> bool {
        Arc::ptr_eq(&self.store, &other.store) && self.path == other.path
    }
}

impl From<&Place> for Place {
    fn from(place: &Place) -> Place {
        place.clone()
    }
}

/// Its path, as the maker would find it.
impl From<&Place> for String {
    fn from(place: &Place) -> String {
        place.to_string()
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.path.display().fmt(f)
    }
}

impl fmt::Debug for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&self.path, f)
    }
}
