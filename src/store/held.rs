//! Files held in memory, and what changed of them.

use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsString;
use std::io::{self, ErrorKind};
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::{Day, Kind, Lines, Lock, Refused, Store};

/// Files held in memory, by paths such as `bowl/joints/01/readings.csv`. A folder is there as long
/// as a file is in it. It has one user, so that no lock ever waits.
#[derive(Debug, Default)]
pub struct Held {
    state: Arc<Mutex<State>>,
}

#[derive(Debug, Default)]
struct State {
    files: BTreeMap<PathBuf, Vec<u8>>,
    /// Files that were written or removed since that was asked for last.
    changed: BTreeSet<PathBuf>,
    /// Folders and files that a writer holds.
    held: BTreeSet<PathBuf>,
    today: Day,
}

/// What became of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Its path.
    pub name: String,
    /// What it holds now; `None`: it was removed.
    pub bytes: Option<Vec<u8>>,
}

impl Held {
    /// These files, on that day.
    pub fn new<N: Into<PathBuf>>(files: impl IntoIterator<Item = (N, Vec<u8>)>, today: Day) -> Held {
        let files = files.into_iter().map(|(name, bytes)| (plain(&name.into()), bytes)).collect();
        Held { state: Arc::new(Mutex::new(State { files, today, ..State::default() })) }
    }

    /// Another day has come.
    pub fn set_today(&self, today: Day) {
        self.state().today = today;
    }

    /// All files, in the order of their paths.
    pub fn files(&self) -> Vec<(String, Vec<u8>)> {
        self.state().files.iter().map(|(path, bytes)| (shown(path), bytes.clone())).collect()
    }

    /// Files that were written or removed since this was called last, each once, as they are now.
    pub fn take_changes(&self) -> Vec<Change> {
        let mut state = self.state();
        let changed = std::mem::take(&mut state.changed);
        let now = |path: &PathBuf| Change { name: shown(path), bytes: state.files.get(path).cloned() };
        changed.iter().map(now).collect()
    }

    fn state(&self) -> MutexGuard<'_, State> {
        held(&self.state)
    }

    /// A path that nobody else holds.
    fn take(&self, path: &Path) -> Option<Hold> {
        let path = plain(path);
        let free = self.state().held.insert(path.clone());
        free.then(|| Hold { state: Arc::clone(&self.state), path })
    }
}

/// The state, whatever became of who had it: nothing in it is ever half done.
fn held(state: &Mutex<State>) -> MutexGuard<'_, State> {
    state.lock().unwrap_or_else(PoisonError::into_inner)
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}

/// A path without detours.
fn plain(path: &Path) -> PathBuf {
    let mut plain = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir if plain.file_name().is_some() => _ = plain.pop(),
            part => plain.push(part),
        }
    }
    plain
}

impl State {
    /// What stands at a plain path.
    fn kind(&self, path: &Path) -> io::Result<Kind> {
        let mut below = self.files.range(path.to_path_buf()..).take_while(|(file, _)| file.starts_with(path));
        match below.next() {
            Some((file, _)) if file == path => Ok(Kind::File),
            Some(_) => Ok(Kind::Folder),
            None if path.as_os_str().is_empty() => Ok(Kind::Folder),
            None if path.ancestors().any(|above| self.files.contains_key(above)) => {
                Err(ErrorKind::NotADirectory.into())
            }
            None => Err(ErrorKind::NotFound.into()),
        }
    }

    fn put(&mut self, path: PathBuf, bytes: Vec<u8>) {
        self.changed.insert(path.clone());
        self.files.insert(path, bytes);
    }
}

impl Store for Held {
    fn kind(&self, path: &Path) -> io::Result<Kind> {
        self.state().kind(&plain(path))
    }

    fn is_absent(&self, path: &Path) -> bool {
        Store::kind(self, path).is_err()
    }

    fn is_link(&self, _: &Path) -> bool {
        false
    }

    fn real(&self, path: &Path) -> io::Result<PathBuf> {
        Store::kind(self, path).map(|_| plain(path))
    }

    fn names(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        let (state, folder) = (self.state(), plain(folder));
        if state.kind(&folder)? != Kind::Folder {
            return Err(ErrorKind::NotADirectory.into());
        }
        let inside = state.files.keys().filter_map(|file| file.strip_prefix(&folder).ok());
        let names: BTreeSet<OsString> =
            inside.filter_map(|rest| Some(rest.components().next()?.as_os_str().to_owned())).collect();
        Ok(names.into_iter().collect())
    }

    fn read(&self, file: &Path, most: u64) -> io::Result<Vec<u8>> {
        let (state, file) = (self.state(), plain(file));
        match state.files.get(&file) {
            Some(bytes) if bytes.len() as u64 > most => Err(ErrorKind::FileTooLarge.into()),
            Some(bytes) => Ok(bytes.clone()),
            None => Err(state.kind(&file).map_or_else(|e| e, |_| ErrorKind::IsADirectory.into())),
        }
    }

    fn replace(&self, file: &Path, old: Option<&[u8]>, new: &[u8]) -> Result<(), Refused> {
        let (mut state, file) = (self.state(), plain(file));
        match (state.files.get(&file), old) {
            (None, None) => {}
            (None, Some(_)) => return Err(Refused::Io(ErrorKind::NotFound.into())),
            (now, old) if now.map(Vec::as_slice) == old => {}
            _ => return Err(Refused::Changed),
        }
        state.put(file, new.to_vec());
        Ok(())
    }

    fn make(&self, folder: &Path) -> io::Result<()> {
        match Store::kind(self, folder) {
            Ok(Kind::File | Kind::Other) => Err(ErrorKind::AlreadyExists.into()),
            Err(error) if error.kind() == ErrorKind::NotADirectory => Err(error),
            _ => Ok(()),
        }
    }

    fn fresh(&self, file: &Path, bytes: &[u8]) -> io::Result<()> {
        let (mut state, file) = (self.state(), plain(file));
        match state.kind(&file) {
            Ok(_) => Err(ErrorKind::AlreadyExists.into()),
            Err(error) if error.kind() == ErrorKind::NotFound => {
                state.put(file, bytes.to_vec());
                Ok(())
            }
            Err(error) => Err(error),
        }
    }

    fn remove(&self, file: &Path) -> io::Result<()> {
        let (mut state, file) = (self.state(), plain(file));
        match state.files.remove(&file) {
            Some(_) => _ = state.changed.insert(file),
            None => return Err(ErrorKind::NotFound.into()),
        }
        Ok(())
    }

    fn lock(&self, folder: &Path) -> io::Result<Option<Lock>> {
        Ok(self.take(folder).map(|hold| Box::new(hold) as Lock))
    }

    fn hold(&self, file: &Path) -> io::Result<Option<Box<dyn Lines>>> {
        let Some(hold) = self.take(file) else { return Ok(None) };
        let mut state = self.state();
        if !state.files.contains_key(&hold.path) {
            state.put(hold.path.clone(), Vec::new());
        }
        Ok(Some(Box::new(hold)))
    }

    fn today(&self) -> Day {
        self.state().today
    }
}

/// A path that one writer holds.
#[derive(Debug)]
struct Hold {
    state: Arc<Mutex<State>>,
    path: PathBuf,
}

impl Drop for Hold {
    fn drop(&mut self) {
        held(&self.state).held.remove(&self.path);
    }
}

impl Lines for Hold {
    fn bytes(&mut self) -> io::Result<Vec<u8>> {
        held(&self.state).files.get(&self.path).cloned().ok_or_else(|| ErrorKind::NotFound.into())
    }

    fn extend(&mut self, kept: u64, bytes: &[u8]) -> io::Result<()> {
        let mut state = held(&self.state);
        let mut now = state.files.get(&self.path).cloned().unwrap_or_default();
        now.resize(usize::try_from(kept).map_err(io::Error::other)?, 0);
        now.extend_from_slice(bytes);
        state.put(self.path.clone(), now);
        Ok(())
    }
}
