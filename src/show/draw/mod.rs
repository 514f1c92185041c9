//! Pictures: a picture is a [`sheet::Sheet`] of marks, drawn once and written
//! as SVG, PNG and GIF alike. One style for all of them, in [`style`].
//!
//! A new picture is a file here that makes a sheet, and its line in [`Picture`] and
//! [`Album`].
//!
//! A GIF keeps its flat colours exactly: its 256 colours are the most frequent ones of each
//! frame, not averages, so that they stay what the style says.

mod album;
pub mod axis;
mod both_edges;
pub mod curve;
pub mod flat;
mod frame;
mod history;
mod labels;
pub mod lesson;
mod lever;
mod marks;
pub mod night;
mod outside;
mod paint;
mod passes;
mod raster;
mod removal;
mod scene;
mod section;
pub mod sheet;
mod slivers;
pub mod space;
pub mod style;
mod svg;
mod text;
mod widths;

pub use album::{Album, Film, Picture};
pub use both_edges::both_edges;
pub use history::history;
pub use lever::lever;
pub use marks::{marks, narrow_marks, narrow_outline, outline};
pub use outside::{narrow_outside, outside};
pub use passes::{narrow_frames, pass_frames, pass_pages, passes};
pub use raster::{film, gif};
pub use removal::{removal_map, removal_strip};
pub use scene::{CaptionedRib, Scene};
pub use section::sections;
pub use sheet::Sheet;
pub use slivers::{narrow_shims, narrow_tacks, shims, tacks};
pub use space::{Moment, Pass, View, exaggeration, motion, space};
pub use widths::{narrow_widths, widths};

use std::io;
use std::path::{Path, PathBuf};

use crate::bowl::divide::Division;
use crate::bowl::mark::Marks;
use crate::job::Job;
use crate::job::bowl::Bowl;

/// Dots in PNG for a pixel of the sheet: sharp when a page is filled.
pub const SCALE: u32 = 2;

/// Writes the picture of a bowl's widths into a folder, made if it isn't there, as
/// `widths.svg` and `widths.png`; files of that name are replaced.
///
/// # Errors
///
/// Those of the folder and its files.
pub fn widths_pictures(bowl: &Bowl, division: &Division, dir: &Path) -> io::Result<Vec<PathBuf>> {
    std::fs::create_dir_all(dir)?;
    album::save_still(&widths(bowl, division), dir)
}

/// Writes the pictures of an outer edge's marks into a folder, made if it isn't there, as
/// `marks` and `outline`, `.svg` and `.png`; files of that name are replaced.
///
/// # Errors
///
/// Those of the folder and its files.
pub fn marks_pictures(job: &Job, found: &Marks, dir: &Path) -> io::Result<Vec<PathBuf>> {
    std::fs::create_dir_all(dir)?;
    let both = [marks(job, found), outline(job, found)];
    Ok(both.iter().map(|sheet| album::save_still(sheet, dir)).collect::<io::Result<Vec<_>>>()?.concat())
}
