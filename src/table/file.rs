//! A file's bytes, or why there are none.

use std::fs;
use std::io::Read;
use std::path::Path;

use super::unreadable::{is_absent, shown, unreadable};
use super::{Problem, Problems};

/// No table that a maker fills in is larger: 16 MiB.
const LARGEST: u64 = 16 << 20;

/// A file's name and bytes.
#[derive(Debug, Clone)]
pub(crate) struct Raw {
    /// The file, as the maker would find it.
    pub file: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// The bytes of one file.
pub(crate) fn load(path: &Path) -> Result<Raw, Problems> {
    let file = shown(path);
    let about = fs::metadata(path).map_err(|e| unreadable(&file, &e))?;
    if about.is_dir() {
        return Err(Problem::new(file, "a file, but this is a folder", "rename or remove the folder").into());
    }
    if !about.is_file() {
        let expected = "a plain file, but this is a pipe or a device";
        return Err(Problem::new(file, expected, "copy it to a plain file first").into());
    }
    let mut bytes = Vec::new();
    let open = fs::File::open(path).map_err(|e| unreadable(&file, &e))?;
    open.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|e| unreadable(&file, &e))?;
    // What a file says of its own size isn't always so.
    if about.len().max(bytes.len() as u64) > LARGEST {
        let next = "check that it is the right file";
        return Err(Problem::new(file, "a table of at most 16 MiB", next).into());
    }
    Ok(Raw { file, bytes })
}

/// One of a folder's files.
#[derive(Clone)]
pub(crate) enum Part {
    /// There is none.
    Absent,
    /// It can't be loaded.
    Faulty(Problems),
    /// Its bytes.
    There(Raw),
}

impl Part {
    pub fn load(path: &Path) -> Part {
        match load(path) {
            Ok(raw) => Part::There(raw),
            // A dangling link is a file that can't be read, not an absent one.
            Err(problem) if !is_absent(path) => Part::Faulty(problem),
            Err(_) => Part::Absent,
        }
    }

    /// The bytes, if they could be loaded; a fault is reported.
    pub fn raw(&self, problems: &mut Vec<Problem>) -> Option<&Raw> {
        match self {
            Part::There(raw) => Some(raw),
            Part::Faulty(fault) => {
                problems.extend_from_slice(fault.list());
                None
            }
            Part::Absent => None,
        }
    }
}
