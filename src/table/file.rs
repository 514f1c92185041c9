//! A file's bytes, or why there are none.

use std::io::ErrorKind;

use super::unreadable::unreadable;
use super::{Problem, Problems, workbook};
use crate::store::{self, Place};

/// No table that a maker fills in is larger: 16 MiB.
pub(crate) const LARGEST: u64 = 16 << 20;

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
    pub fn in_file(&self) -> Option<&[u8]> {
        (!self.in_workbook).then_some(self.bytes.as_slice())
    }
}

/// The bytes of one table: a text file's, or a workbook's as text.
pub(crate) fn load(path: &Place) -> Result<Raw, Problems> {
    match workbook::is_workbook(path.path()) {
        true => workbook::read(path, None),
        false => Ok(Raw { file: path.to_string(), bytes: load_bytes(path)?, in_workbook: false }),
    }
}

/// The bytes of one file, whatever it holds.
pub(super) fn load_bytes(file: &Place) -> Result<Vec<u8>, Problems> {
    match file.kind().map_err(|e| unreadable(file, &e))? {
        store::Kind::File => {}
        store::Kind::Folder => {
            return Err(
                Problem::new(file, "a file, but this is a folder", "rename or remove the folder").into()
            );
        }
        store::Kind::Other => {
            let expected = "a plain file, but this is a pipe or a device";
            return Err(Problem::new(file, expected, "copy it to a plain file first").into());
        }
    }
    let read = file.read(LARGEST).map_err(|error| match error.kind() {
        ErrorKind::FileTooLarge => {
            Problem::new(file, "a table of at most 16 MiB", "check that it is the right file")
        }
        _ => unreadable(file, &error),
    });
    Ok(read?)
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
    pub fn load(path: &Place) -> Part {
        match load(path) {
            Ok(raw) => Part::There(raw),
            // A dangling link is a file that can't be read, not an absent one.
            Err(problem) if !path.is_absent() => Part::Faulty(problem),
            Err(_) => Part::Absent,
        }
    }

    /// A table, or where there is none the workbook that stands in its place.
    pub fn load_table(path: &Place) -> Part {
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
