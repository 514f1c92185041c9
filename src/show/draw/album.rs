//! All pictures of one joint: which there are, and writing them into a folder.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rayon::prelude::*;

use super::scene::{CaptionedRib, Scene};
use super::space::View;
use super::{SCALE, Sheet, both_edges, film, history, motion, pass_frames, passes, removal_map, space};
use crate::advice::{self, Advice, PastRound, Working};
use crate::job::Job;
use crate::seat::Seated;

/// The pictures there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Picture {
    /// What comes off where, now and in the end.
    RemovalMap,
    /// The edge after every stroke.
    Passes,
    /// Gap and lift, before and after.
    BothEdges,
    /// The rib in space.
    Space,
    /// Gap, lift and wood by round.
    History,
}

impl Picture {
    /// Every picture, in the order they are written.
    pub const ALL: [Picture; 5] =
        [Picture::RemovalMap, Picture::Passes, Picture::BothEdges, Picture::Space, Picture::History];
}

/// What the pictures of one joint are drawn from.
#[derive(Debug, Clone, Copy)]
pub struct Album<'a> {
    /// The joint.
    pub job: &'a Job,
    /// The answer.
    pub advice: &'a Advice,
    /// What was worked out for it; without it only the pictures of the answer's own
    /// figures can be drawn.
    pub working: Option<&'a Working>,
    /// The rounds so far; none for no history.
    pub past: &'a [PastRound],
    /// From where the rib in space is looked at.
    pub view: View,
}

/// Sheets to be shown one after the other, each for its time.
#[derive(Debug, Clone)]
pub struct Film {
    /// One word for it, fit for the name of a file.
    pub name: &'static str,
    /// Sheets of one size.
    pub frames: Vec<(Sheet, Duration)>,
}

/// Frames of a film are at most about so many.
const FRAMES: usize = 20;
/// How long a sheet is shown that is looked at.
const LOOK: Duration = Duration::from_millis(1400);
/// How long one on the way to the next is shown.
const PASSING: Duration = Duration::from_millis(120);
/// A slice of less than this everywhere is none, mm.
const NO_SLICE: f64 = 0.005;

impl Album<'_> {
    /// The sheets of one picture: one, or none where there is nothing to draw.
    pub fn still(&self, picture: Picture) -> Option<Sheet> {
        match picture {
            Picture::RemovalMap => Some(removal_map(self.job, self.advice)),
            Picture::Passes => (!self.advice.strokes.is_empty()).then(|| passes(self.job, self.advice)),
            Picture::BothEdges => self.both_edges(),
            Picture::Space => self.space(),
            Picture::History => (!self.past.is_empty()).then(|| history(self.job, self.past)),
        }
    }

    /// The moving form of a picture, where it has one and there are strokes.
    pub fn film(&self, picture: Picture) -> Option<Film> {
        match picture {
            _ if self.advice.strokes.is_empty() => None,
            Picture::Passes => {
                let frames = pass_frames(self.job, self.advice).into_iter();
                Some(Film { name: "passes", frames: frames.map(|sheet| (sheet, LOOK)).collect() })
            }
            Picture::Space => self.motion(),
            _ => None,
        }
    }

    fn both_edges(&self) -> Option<Sheet> {
        let working = self.working?;
        let scene = Scene::of(self.job, &working.joint, self.advice);
        let ribs = advice::passes(self.advice, working, 0);
        let (now, then) = ribs.split_first()?;
        let then = then.last().map(|rib| CaptionedRib { words: "after the strokes", rib });
        Some(both_edges(&scene, CaptionedRib { words: "now", rib: now }, then))
    }

    /// The rib with the whole slice off and, dashed, as it lies now; or only that.
    fn space(&self) -> Option<Sheet> {
        let working = self.working?;
        let scene = Scene::of(self.job, &working.joint, self.advice);
        let now = advice::passes(self.advice, working, 0).into_iter().next()?;
        let shown = CaptionedRib { words: "now", rib: &now };
        let wanted = working.slice.remove.iter().any(|r| *r > NO_SLICE);
        match advice::sliced(working).filter(|_| wanted) {
            None => Some(space(&scene, self.view, None, shown)),
            Some(end) => {
                let end = CaptionedRib { words: "in the end, with the whole slice off", rib: &end };
                Some(space(&scene, self.view, Some(shown), end))
            }
        }
    }

    fn motion(&self) -> Option<Film> {
        let frames = self.moving(self.between());
        (!frames.is_empty()).then_some(Film { name: "space", frames })
    }

    /// The rib in space now and after each stroke, a sheet each, from the same eye.
    pub fn steps(&self) -> Vec<Sheet> {
        self.moving(0).into_iter().map(|(sheet, _)| sheet).collect()
    }

    fn moving(&self, between: usize) -> Vec<(Sheet, Duration)> {
        let Some(working) = self.working else { return Vec::new() };
        let scene = Scene::of(self.job, &working.joint, self.advice);
        let ribs = advice::passes(self.advice, working, between);
        let words: Vec<(String, Duration)> = (0..ribs.len()).map(|k| self.moment(k, between + 1)).collect();
        let states = ribs.iter().zip(&words).map(|(rib, (words, _))| CaptionedRib { words, rib });
        let states: Vec<CaptionedRib> = states.collect();
        let sheets = motion(&scene, self.view, &states);
        let times = words.iter().map(|(_, time)| *time);
        sheets.into_iter().zip(times).collect()
    }

    /// What the `k`th state of the motion is, of so many a stroke, and for how long it is shown.
    fn moment(&self, k: usize, step: usize) -> (String, Duration) {
        let all = self.advice.strokes.len();
        match (k, k % step) {
            (0, _) => ("now".to_owned(), LOOK),
            (_, 0) => (format!("after stroke {} of {all}", k / step), LOOK),
            _ => (format!("stroke {} of {all} under way", k / step + 1), PASSING),
        }
    }

    /// The ribs that the motion in space shows, in its order: each seated anew.
    pub fn states(&self) -> Vec<Seated> {
        self.working.map(|w| advice::passes(self.advice, w, self.between())).unwrap_or_default()
    }

    /// States on the way through a stroke.
    fn between(&self) -> usize {
        (FRAMES / self.advice.strokes.len().max(1)).max(1) - 1
    }

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
        let one = |picture: &Picture| {
            let files = self.write_one(*picture, films, dir);
            step();
            files
        };
        let files: io::Result<Vec<Vec<PathBuf>>> = pictures.par_iter().map(one).collect();
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
pub(super) fn save_still(sheet: &Sheet, dir: &Path) -> io::Result<Vec<PathBuf>> {
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
