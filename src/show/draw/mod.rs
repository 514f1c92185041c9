//! Pictures: a picture is a [`sheet::Sheet`] of marks, drawn once and written
//! as SVG, PNG and GIF alike. One style for all of them, in [`style`].
//!
//! A new picture is a file here that makes a sheet, and its line in [`pictures`].

mod axis;
mod curve;
mod flat;
mod frame;
pub mod lesson;
mod paint;
mod raster;
mod removal;
pub mod sheet;
mod strokes;
pub mod style;
mod svg;
mod text;
mod widths;

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

pub use raster::gif;
pub use removal::removal_map;
pub use sheet::Sheet;
pub use strokes::strokes;
pub use widths::widths;

use crate::advice::Advice;
use crate::bowl::divide::Division;
use crate::job::Job;
use crate::job::bowl::Bowl;

/// Dots in PNG for a pixel of the sheet: sharp when a page is filled.
pub const SCALE: u32 = 2;

/// Writes the pictures of an answer into a folder, made if it isn't there:
/// `removal-map` and, when there are strokes, `strokes`, each as `.svg` and
/// `.png`. Returns the files, in the order written. A file of the same name is
/// replaced.
///
/// # Errors
///
/// Those of the folder and its files.
pub fn pictures(job: &Job, advice: &Advice, dir: &Path) -> io::Result<Vec<PathBuf>> {
    fs::create_dir_all(dir)?;
    let mut sheets = vec![removal_map(job, advice)];
    if !advice.strokes.is_empty() {
        sheets.push(strokes(job, advice));
    }
    write_sheets(&sheets, dir)
}

/// Writes the picture of a bowl's widths into a folder, made if it isn't there, as
/// `widths.svg` and `widths.png`; files of that name are replaced.
///
/// # Errors
///
/// Those of the folder and its files.
pub fn widths_pictures(bowl: &Bowl, division: &Division, dir: &Path) -> io::Result<Vec<PathBuf>> {
    fs::create_dir_all(dir)?;
    write_sheets(&[widths(bowl, division)], dir)
}

fn write_sheets(sheets: &[Sheet], dir: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for sheet in sheets {
        files.push(save(dir, sheet.name, "svg", sheet.svg().as_bytes())?);
        files.push(save(dir, sheet.name, "png", &sheet.png(SCALE)?)?);
    }
    Ok(files)
}

fn save(dir: &Path, name: &str, kind: &str, content: &[u8]) -> io::Result<PathBuf> {
    let file = dir.join(format!("{name}.{kind}"));
    fs::write(&file, content)?;
    Ok(file)
}
