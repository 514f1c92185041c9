//! Pictures: a picture is a [`sheet::Sheet`] of marks, drawn once and written
//! as SVG, PNG and GIF alike. One style for all of them, in [`style`].
//!
//! A new picture is a file here that makes a sheet, and its line in [`pictures`].

mod axis;
mod both_edges;
mod curve;
mod flat;
mod frame;
mod history;
pub mod night;
mod paint;
mod passes;
mod raster;
mod removal;
mod scene;
pub mod sheet;
mod space;
pub mod style;
mod svg;
mod text;

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

pub use both_edges::both_edges;
pub use history::history;
pub use passes::{pass_frames, passes};
pub use raster::gif;
pub use removal::{removal_map, removal_strip};
pub use scene::{Scene, Shown};
pub use sheet::Sheet;
pub use space::{View, exaggeration, motion, space};

use crate::advice::Advice;
use crate::job::Job;

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
        sheets.push(passes(job, advice));
    }
    let mut files = Vec::new();
    for sheet in sheets {
        files.push(save(dir, &sheet.name, "svg", sheet.svg().as_bytes())?);
        files.push(save(dir, &sheet.name, "png", &sheet.png(SCALE)?)?);
    }
    Ok(files)
}

fn save(dir: &Path, name: &str, kind: &str, content: &[u8]) -> io::Result<PathBuf> {
    let file = dir.join(format!("{name}.{kind}"));
    fs::write(&file, content)?;
    Ok(file)
}
