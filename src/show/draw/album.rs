//! All pictures of one joint: which there are, and writing them into a folder.

use std::time::Duration;

use super::scene::{CaptionedRib, Scene};
use super::space::{Moment, Pass, View};
use super::{Sheet, both_edges, history, lever, motion, pass_frames, passes, removal_map, sections, space};
use crate::advice::{self, Advice, PastRound, Working};
use crate::job::Job;
use crate::joint::Joint;
use crate::seat::Seated;
use crate::show::names::{capital, clean};

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
    /// What the bearings hold open.
    Lever,
    /// Across the joint, station by station, as it was read.
    Sections,
    /// Gap, lift and wood by round.
    History,
}

impl Picture {
    /// Every picture, in the order they are written.
    pub const ALL: [Picture; 7] = [
        Picture::RemovalMap,
        Picture::Passes,
        Picture::BothEdges,
        Picture::Space,
        Picture::Lever,
        Picture::Sections,
        Picture::History,
    ];
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

/// Up to so many strokes are shown slowly.
const SLOW: usize = 6;
/// How far the eye swings to either side while a film runs, degrees.
const SWING: f64 = 7.0;
/// How long a sheet is shown that is looked at.
const LOOK: Duration = Duration::from_millis(1400);
/// How long one on the way to the next is shown.
const PASSING: Duration = Duration::from_millis(160);
/// How long a plane is shown at one place.
const PUSH: Duration = Duration::from_millis(420);
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
            Picture::Lever => self.lever(),
            Picture::Sections => self.sections(),
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

    fn lever(&self) -> Option<Sheet> {
        let w = self.working?;
        let scene = Scene::of(self.job, &w.joint, self.advice);
        lever(&scene, &w.now, &advice::levers(w))
    }

    fn sections(&self) -> Option<Sheet> {
        let joint = Joint::of(self.job);
        sections(&Scene::of(self.job, &joint, self.advice))
    }

    /// The rib as it lies now and with the whole slice off; or only as it lies.
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
        let working = self.working?;
        let scene = Scene::of(self.job, &working.joint, self.advice);
        let moments = self.moments();
        let sheets = space::film(&scene, &moments).into_iter().zip(moments.iter().map(|m| m.time));
        (!moments.is_empty()).then(|| Film { name: "space", frames: sheets.collect() })
    }

    /// The rib in space now and after each stroke, a sheet each, from the same eye.
    pub fn steps(&self) -> Vec<Sheet> {
        let Some(working) = self.working else { return Vec::new() };
        let scene = Scene::of(self.job, &working.joint, self.advice);
        let ribs = advice::passes(self.advice, working, 0);
        let words: Vec<String> = (0..ribs.len()).map(|k| self.lain(k)).collect();
        let states = ribs.iter().zip(&words).map(|(rib, words)| CaptionedRib { words, rib });
        motion(&scene, self.view, &states.collect::<Vec<_>>())
    }

    /// How the rib lies after so many strokes.
    fn lain(&self, strokes: usize) -> String {
        match strokes {
            0 => "now".to_owned(),
            k => format!("pushed home after stroke {k} of {}", self.advice.strokes.len()),
        }
    }

    /// The moments that the rib in space shows in motion: as it lies, then each stroke taken and
    /// the rib pushed home anew.
    pub fn moments(&self) -> Vec<Moment> {
        let Some(working) = self.working else { return Vec::new() };
        let strokes = self.advice.strokes.len();
        let (pushes, between) = if strokes <= SLOW { (3, 1) } else { (1, 0) };
        let ribs = advice::passes(self.advice, working, between);
        let step = between + 1;
        let mut moments = Vec::new();
        for (k, rib) in ribs.iter().enumerate() {
            if let Some(stroke) = k.checked_sub(1).filter(|k| k % step == 0).map(|k| k / step) {
                let planed = ribs.get(k - 1 + step).unwrap_or(rib);
                moments.extend((0..pushes).map(|p| self.pushed(stroke, (&ribs[k - 1], planed), p, pushes)));
            }
            let time = if k % step == 0 { LOOK } else { PASSING };
            let words = capital(&self.lain(k.div_ceil(step)));
            moments.push(Moment { words, rib: rib.clone(), view: self.view, time, pass: None });
        }
        swing(&mut moments, self.view);
        moments
    }

    /// The plane at the `p`th of so many places of a stroke.
    fn pushed(&self, k: usize, (rib, planed): (&Seated, &Seated), p: usize, pushes: usize) -> Moment {
        let stroke = &self.advice.strokes[k];
        let plane = &self.job.planes[stroke.plane];
        let named = stroke.named(self.job);
        let [name, from, to] = [&named.plane, &named.from, &named.to].map(|n| clean(n));
        let words = format!("Stroke {} of {}: {name}, {from} → {to}", k + 1, self.advice.strokes.len());
        let iron = stroke.from + (stroke.to - stroke.from) * (2 * p + 1) / (2 * pushes);
        let wood = rib.edge.iter().zip(&planed.edge).map(|(a, b)| (a - b).max(0.0)).collect();
        let pass = Some(Pass { wood, iron, sole: [plane.sole, plane.width] });
        Moment { words, rib: rib.clone(), view: self.view, time: PUSH, pass }
    }
}

/// Swings the eye once to either side of a view and back.
fn swing(moments: &mut [Moment], view: View) {
    let all = moments.len() as f64;
    for (k, moment) in moments.iter_mut().enumerate() {
        let turn = view.turn + SWING * libm::sin(std::f64::consts::TAU * k as f64 / all);
        moment.view = View { turn, ..view };
    }
}
