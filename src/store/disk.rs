//! Folders and files of the system: one writer at a time, and a file put in the place of another in
//! one step.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};
use std::thread;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use super::{Day, Kind, Lines, Lock, Place, Refused, Store};

/// The disk.
#[derive(Debug)]
pub struct Disk;

static DISK: LazyLock<Arc<dyn Store>> = LazyLock::new(|| Arc::new(Disk));

/// A plain path is one on the disk.
impl<P: AsRef<Path> + ?Sized> From<&P> for Place {
    fn from(path: &P) -> Place {
        Place::new(Arc::clone(&DISK), path.as_ref())
    }
}

/// Attempts to lock a folder, and the time between two of them: a second in all.
const ATTEMPTS: (u32, Duration) = (51, Duration::from_millis(20));

/// The file that a writer locks.
const LOCK: &str = ".lock";

/// A table on its way begins so.
const BESIDE: &str = ".new-table-";

/// The folder that the program stands in has no name in a path such as `readings.csv`.
fn named(path: &Path) -> &Path {
    if path.as_os_str().is_empty() { Path::new(".") } else { path }
}

impl Store for Disk {
    fn kind(&self, path: &Path) -> io::Result<Kind> {
        let about = fs::metadata(named(path))?;
        Ok(match (about.is_dir(), about.is_file()) {
            (true, _) => Kind::Folder,
            (_, true) => Kind::File,
            _ => Kind::Other,
        })
    }

    fn is_absent(&self, path: &Path) -> bool {
        fs::symlink_metadata(named(path))
            .is_err_and(|e| matches!(e.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory))
    }

    fn is_link(&self, path: &Path) -> bool {
        path.is_symlink()
    }

    fn real(&self, path: &Path) -> io::Result<PathBuf> {
        fs::canonicalize(named(path))
    }

    fn names(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        let mut names: Vec<OsString> =
            fs::read_dir(named(folder))?.flatten().map(|entry| entry.file_name()).collect();
        names.sort();
        Ok(names)
    }

    fn read(&self, file: &Path, most: u64) -> io::Result<Vec<u8>> {
        let told = fs::metadata(file)?.len();
        let mut bytes = Vec::new();
        File::open(file)?.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
        // What a file says of its own size isn't always so.
        match told.max(bytes.len() as u64) > most {
            true => Err(io::ErrorKind::FileTooLarge.into()),
            false => Ok(bytes),
        }
    }

    fn replace(&self, file: &Path, old: Option<&[u8]>, new: &[u8]) -> Result<(), Refused> {
        // A link stays a link: the file that it leads to is replaced.
        let real = if old.is_some() { fs::canonicalize(file).map_err(Refused::Io)? } else { file.into() };
        let folder = named(real.parent().unwrap_or(Path::new(".")));
        let beside = beside(&real, folder, old.is_some(), new).map_err(Refused::Io)?;
        let now = fs::read(&real);
        let same = match old {
            Some(old) => now.is_ok_and(|now| now == old),
            None => now.is_err_and(|e| e.kind() == io::ErrorKind::NotFound),
        };
        if !same {
            return Err(Refused::Changed);
        }
        beside.persist(&real).map_err(|e| Refused::Io(e.error))?;
        File::open(folder).and_then(|folder| folder.sync_all()).map_err(Refused::Unsynced)
    }

    fn make(&self, folder: &Path) -> io::Result<()> {
        fs::create_dir_all(named(folder))
    }

    fn fresh(&self, file: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut file = OpenOptions::new().write(true).create_new(true).open(file)?;
        file.write_all(bytes).and_then(|()| file.sync_all())
    }

    fn remove(&self, file: &Path) -> io::Result<()> {
        fs::remove_file(file)
    }

    fn lock(&self, folder: &Path) -> io::Result<Option<Lock>> {
        let (most, pause) = ATTEMPTS;
        for attempt in 1..=most {
            let lock = OpenOptions::new().write(true).create(true).truncate(false).open(folder.join(LOCK))?;
            if let Some(lock) = locked(lock)? {
                return Ok(Some(Box::new(lock)));
            }
            if attempt < most {
                thread::sleep(pause);
            }
        }
        Ok(None)
    }

    fn hold(&self, file: &Path) -> io::Result<Option<Box<dyn Lines>>> {
        let options = &mut OpenOptions::new();
        let open = options.read(true).write(true).create(true).truncate(false).open(file)?;
        let Some(open) = locked(open)? else { return Ok(None) };
        // The file's name must outlive a power cut too. Not every system can sync a folder; the
        // lines themselves are synced one by one.
        let folder = named(file.parent().unwrap_or(Path::new(".")));
        let _ = File::open(folder).and_then(|folder| folder.sync_all());
        Ok(Some(Box::new(open)))
    }

    fn today(&self) -> Day {
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        Day(since.as_secs() / 86_400)
    }
}

/// The file, if nobody else holds it.
fn locked(file: File) -> io::Result<Option<File>> {
    match file.try_lock() {
        Ok(()) => Ok(Some(file)),
        Err(TryLockError::WouldBlock) => Ok(None),
        Err(TryLockError::Error(source)) => Err(source),
    }
}

impl Lines for File {
    fn bytes(&mut self) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        self.rewind()?;
        self.read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn extend(&mut self, kept: u64, bytes: &[u8]) -> io::Result<()> {
        self.set_len(kept)?;
        self.seek(SeekFrom::Start(kept))?;
        let written = self.write_all(bytes).and_then(|()| self.sync_data());
        if written.is_err() {
            // Half a line would be dropped when read, but would spoil the next one.
            let _ = self.set_len(kept);
        }
        written
    }
}

/// The new table in a file beside the old one, safe on the disk.
fn beside(real: &Path, folder: &Path, there: bool, bytes: &[u8]) -> io::Result<tempfile::NamedTempFile> {
    clear_leftovers(folder);
    let mut builder = tempfile::Builder::new();
    builder.prefix(BESIDE);
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut beside = builder.tempfile_in(folder)?;
    if there {
        let rights = fs::metadata(real)?.permissions();
        if rights.readonly() {
            return Err(io::Error::new(io::ErrorKind::PermissionDenied, "the file is write-protected"));
        }
        beside.as_file().set_permissions(rights)?;
    }
    beside.write_all(bytes)?;
    beside.as_file().sync_all()?;
    Ok(beside)
}

/// What a writer that was killed left behind; the lock is ours, so no one writes
/// them now.
fn clear_leftovers(folder: &Path) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    for entry in entries.filter(|e| e.file_name().to_string_lossy().starts_with(BESIDE)) {
        // One that can't be removed does no harm.
        let _ = fs::remove_file(entry.path());
    }
}
