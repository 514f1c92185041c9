//! A file's bytes, or why there are none.

use std::fs;
use std::io::Read;
use std::path::Path;

use super::unreadable::{is_absent, shown, unreadable};
use super::{Problem, Problems, workbook};

/// No table that a maker fills in is larger: 16 MiB.
const LARGEST: u64 = 16 << 20;

/// A file's name and bytes.
#[derive(Debug, Clone)]
pub(crate) struct Raw {
    /// The file, as the maker would find it; of a workbook with several sheets, the sheet too.
    pub file: String,
    /// What it holds; of a workbook the sheet as text.
    pub bytes: Vec<u8>,
    /// Whether it is a workbook's sheet: there is no file with these bytes.
    pub in_workbook: bool,
}

impl Raw {
    /// The bytes that stand in a file of their own.
    pub fn on_disk(&self) -> Option<&[u8]> {
        (!self.in_workbook).then_some(self.bytes.as_slice())
    }
}

/// The bytes of one table: a text file's, or a workbook's as text.
pub(crate) fn load(path: &Path) -> Result<Raw, Problems> {
    match workbook::is_workbook(path) {
        true => workbook::read(path, None),
        false => Ok(Raw { file: shown(path), bytes: load_bytes(path)?, in_workbook: false }),
    }
}

/// The bytes of one file, whatever it holds.
pub(super) fn load_bytes(path: &Path) -> Result<Vec<u8>, Problems> {
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
    Ok(bytes)
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

    /// A table, or where there is none the workbook that stands in its place.
    pub fn load_table(path: &Path) -> Part {
        match Part::load(path) {
            Part::Absent => match workbook::instead_of(path) {
                Some(Ok(raw)) => Part::There(raw),
                Some(Err(problems)) => Part::Faulty(problems),
                None => Part::Absent,
            },
            part => part,
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
