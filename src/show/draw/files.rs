//! Pictures written into a folder.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::{Album, Picture, Sheet, film, marks, outline, widths};
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
    fs::create_dir_all(dir)?;
    save_still(&widths(bowl, division), dir)
}

/// Writes the pictures of an outer edge's marks into a folder, made if it isn't there, as
/// `marks` and `outline`, `.svg` and `.png`; files of that name are replaced.
///
/// # Errors
///
/// Those of the folder and its files.
pub fn marks_pictures(job: &Job, found: &Marks, dir: &Path) -> io::Result<Vec<PathBuf>> {
    fs::create_dir_all(dir)?;
    let both = [marks(job, found), outline(job, found)];
    Ok(both.iter().map(|sheet| save_still(sheet, dir)).collect::<io::Result<Vec<_>>>()?.concat())
}

impl Album<'_> {
    /// Writes pictures into a folder, made if it isn't there: each as `.svg` and
    /// `.png`, with `films` those that move as `.gif` too. Returns the files in
    /// the order of the pictures. A file of the same name is replaced. `step` is
    /// called after each picture, from any thread.
    ///
    /// # Errors
    ///
    /// Those of the folder and its files.
    pub fn write(
        &self,
        pictures: &[Picture],
        films: bool,
        dir: &Path,
        step: &(impl Fn() + Sync),
    ) -> io::Result<Vec<PathBuf>> {
        fs::create_dir_all(dir)?;
        let written = |picture: &Picture| {
            let files = self.write_one(*picture, films, dir);
            step();
            files
        };
        let files: io::Result<Vec<Vec<PathBuf>>> = pictures.par_iter().map(written).collect();
        Ok(files?.concat())
    }

    fn write_one(&self, picture: Picture, films: bool, dir: &Path) -> io::Result<Vec<PathBuf>> {
        let mut files = Vec::new();
        if let Some(sheet) = self.still(picture) {
            files.extend(save_still(&sheet, dir)?);
        }
        if let Some(moving) = self.film(picture).filter(|_| films) {
            files.push(save(dir, moving.name, "gif", &film(&moving.frames, 1)?)?);
        }
        Ok(files)
    }
}

/// Writes a picture as SVG and PNG.
fn save_still(sheet: &Sheet, dir: &Path) -> io::Result<Vec<PathBuf>> {
    Ok(vec![
        save(dir, &sheet.name, "svg", sheet.svg().as_bytes())?,
        save(dir, &sheet.name, "png", &sheet.png(SCALE)?)?,
    ])
}

fn save(dir: &Path, name: &str, kind: &str, content: &[u8]) -> io::Result<PathBuf> {
    let file = dir.join(format!("{name}.{kind}"));
    fs::write(&file, content)?;
    Ok(file)
}
