//! One writer at a time, and a file put in the place of another in one step.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Write};
use std::path::Path;
use std::thread;
use std::time::Duration;

use super::JournalError;

/// Holds the folder for as long as the file lives, if nobody else does.
fn lock(folder: &Path) -> Result<File, JournalError> {
    let path = folder.join(".lock");
    let file = path.display().to_string();
    let io = |source| JournalError::Io { file: file.clone(), source };
    let lock = OpenOptions::new().write(true).create(true).truncate(false).open(&path).map_err(io)?;
    match lock.try_lock() {
        Ok(()) => Ok(lock),
        Err(TryLockError::WouldBlock) => Err(JournalError::Busy(folder.display().to_string())),
        Err(TryLockError::Error(source)) => Err(io(source)),
    }
}

/// Holds the folder for as long as the file lives, waiting for another writer for as
/// long as a table may take (a second).
pub(crate) fn lock_soon(folder: &Path) -> Result<File, JournalError> {
    for _ in 0..50 {
        match lock(folder) {
            Err(JournalError::Busy(_)) => thread::sleep(Duration::from_millis(20)),
            other => return other,
        }
    }
    lock(folder)
}

const BESIDE: &str = ".new-table-";

/// Puts `bytes` in the place of the file in one step, if it still holds `old`.
pub(crate) fn replace(path: &Path, old: Option<&[u8]>, bytes: &[u8]) -> Result<(), JournalError> {
    let file = path.display().to_string();
    let io = |source| JournalError::Io { file: file.clone(), source };
    // A link stays a link: the file that it leads to is replaced.
    let real = if old.is_some() { fs::canonicalize(path).map_err(io)? } else { path.to_path_buf() };
    let folder = real.parent().unwrap_or(Path::new("."));
    let beside = beside(&real, folder, old.is_some(), bytes).map_err(io)?;
    let now = fs::read(&real);
    let same = match old {
        Some(old) => now.is_ok_and(|now| now == old),
        None => now.is_err_and(|e| e.kind() == io::ErrorKind::NotFound),
    };
    if !same {
        return Err(JournalError::Changed(file));
    }
    beside.persist(&real).map_err(|e| io(e.error))?;
    File::open(folder)
        .and_then(|folder| folder.sync_all())
        .map_err(|source| JournalError::Unsynced { file: file.clone(), source })
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
