//! A whole simulated bowl: every rib fitted, marked and planed after the one before.
//!
//! Each joint is fitted on the bench with the real advice, on its exact mold. The
//! outer edge is then marked with a compass and planed to the marks as advised, the
//! girth still to cover is read, and the next rib begins at the edge as it came out.
//! Along the mold all this is a sum: widths, spacers with their glue, and the gaps
//! that joints keep. The last rib takes what is left.
//!
//! What the maker states and what is so may differ: planes take other shavings, and
//! readings scatter more, see [`Habits`].

use crate::advice::{Lessons, Options, lesson};
use crate::bowl::along_mold;
use crate::bowl::divide::divide;
use crate::bowl::mark::{Marking, Shares, marks};
use crate::fit::Prior;
use crate::job::bowl::{Bowl, BowlErrors, BowlJoint, BowlSettings, Girth, Mark, Spacer};
use crate::job::{Job, Plane, ReadingErrors, Tolerance};
use crate::joint::Joint;
use crate::sole::{Bed, Push};

use super::bench::{self, Advised, Outcome, SHAVING_SPREAD};
use super::blank::{self, Task};
use super::dice::Dice;
use super::mold::Mold;
use super::rib::KnownJoint;

/// How far what is so is off what the maker states, as shares; 1 is as stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Habits {
    /// Planes' shavings.
    pub shaving: f64,
    /// Reading errors.
    pub errors: f64,
}

impl Default for Habits {
    fn default() -> Self {
        Habits { shaving: 1.0, errors: 1.0 }
    }
}

/// A bowl to be built, and how.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// The mold.
    pub mold: Mold,
    /// Stations of every joint.
    pub stations: usize,
    /// Whether each rib's width is its share of the girth read before it; if not, all
    /// are marked as laid out.
    pub divided: bool,
    /// Whether joints start from what earlier ones taught.
    pub learning: bool,
    /// What the maker doesn't know.
    pub habits: Habits,
    /// What a joint's glue adds to a spacer, mm.
    pub glue: f64,
    /// The same seed builds the same bowl.
    pub seed: u64,
}

impl Default for Chain {
    /// An invented oud bowl of 15 ribs with 13 stations.
    fn default() -> Self {
        let mold = Mold {
            length: 480.0,
            half_width: 174.0,
            belly: 1.25,
            bluntness: 0.82,
            depth: 1.0,
            depth_change: 0.0,
            ribs: 15,
        };
        let habits = Habits::default();
        Chain { mold, stations: 13, divided: true, learning: true, habits, glue: 0.1, seed: 0 }
    }
}

/// A bowl as it came out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Built {
    /// Width of every rib at each station, along the mold, mm.
    pub widths: Vec<Vec<f64>>,
    /// How each joint went, in order.
    pub joints: Vec<Outcome>,
}

impl Built {
    /// The largest difference of two ribs at any station, mm.
    pub fn difference(&self) -> f64 {
        let widths = |i: usize| self.widths.iter().map(move |w| w[i]);
        let range = |i| widths(i).fold(f64::NEG_INFINITY, f64::max) - widths(i).fold(f64::INFINITY, f64::min);
        (0..self.widths.first().map_or(0, Vec::len)).map(range).fold(0.0, f64::max)
    }
}

/// The spacers of a simulated bowl.
const SPACER: Spacer = Spacer { width: 1.2, height: 2.5 };
/// What is sawn outside the planned edge, mm.
const SAWN: f64 = 0.8;
/// Times that an outer edge is measured and planed.
const PASSES: usize = 5;

/// Builds a bowl.
pub fn build(chain: &Chain) -> Built {
    Maker::new(chain).build()
}

struct Maker<'a> {
    chain: &'a Chain,
    dice: Dice,
    bowl: Bowl,
    /// Width of every rib as laid out.
    plan: Vec<f64>,
    /// Outer edge of the last rib, from the near rim along the mold.
    edge: Vec<f64>,
    lessons: Lessons,
    built: Built,
}

impl<'a> Maker<'a> {
    fn new(chain: &'a Chain) -> Maker<'a> {
        let job = stated(&task(chain, 1, &mut Dice::new(chain.seed)).job, chain.habits);
        let frames = Joint::of(&job).frames;
        let plan = job.stations.iter().zip(&frames).map(|(s, f)| along_mold(s.width, f.across_curvature));
        let plan: Vec<f64> = plan.collect();
        let stations = job.stations.iter().map(|s| s.name.clone()).collect();
        let settings =
            BowlSettings { ribs: chain.mold.ribs, spacer: Some(SPACER), stations, ..BowlSettings::default() };
        let first = BowlJoint { number: 1, folder: "joints/01".into(), job, marks: Vec::new() };
        let bowl = Bowl {
            folder: "simulated".into(),
            widths: vec![vec![None; plan.len()]; settings.ribs],
            settings,
            girths: Vec::new(),
            minutes: Vec::new(),
            joints: vec![first],
            warnings: Vec::new(),
        };
        let edge = vec![0.0; plan.len()];
        let dice = Dice::new(chain.seed ^ 0xb0_3141);
        Maker { chain, dice, bowl, plan, edge, lessons: Lessons::default(), built: Built::default() }
    }

    fn whole(&self, i: usize) -> f64 {
        let ribs = self.chain.mold.ribs as f64;
        ribs * self.plan[i] + (ribs - 1.0) * SPACER.width
    }

    fn build(mut self) -> Built {
        self.read_girth(0);
        for rib in 1..=self.chain.mold.ribs {
            if rib > 1 {
                let gaps = self.fit(rib - 1);
                self.edge.iter_mut().zip(gaps).for_each(|(e, g)| *e += g + SPACER.width + self.chain.glue);
            }
            let width = match rib == self.chain.mold.ribs {
                true => (0..self.plan.len()).map(|i| self.whole(i) - self.edge[i]).collect(),
                false => self.outer_edge(),
            };
            self.edge.iter_mut().zip(&width).for_each(|(e, w)| *e += w);
            self.measure(rib, &width);
            self.built.widths.push(width);
            self.read_girth(rib);
        }
        self.built
    }

    fn read_girth(&mut self, after: usize) {
        if after == self.chain.mold.ribs {
            return;
        }
        let sd = self.bowl.settings.errors.girth;
        let at = (0..self.plan.len()).map(|i| Some(self.whole(i) - self.edge[i] + sd * self.dice.normal()));
        let at = at.collect();
        self.bowl.girths.push(Girth { after, at });
    }

    /// The rib measured in its place.
    fn measure(&mut self, rib: usize, width: &[f64]) {
        let sd = self.bowl.settings.errors.width;
        let measured = width.iter().map(|w| Some(w + sd * self.dice.normal()));
        self.bowl.widths[rib - 1] = measured.collect();
    }

    /// Fits a joint; returns the gaps that it keeps.
    fn fit(&mut self, joint: usize) -> Vec<f64> {
        let seed = self.chain.seed.wrapping_mul(1009) + joint as u64;
        let task = task(self.chain, joint, &mut Dice::new(seed));
        let habits = self.chain.habits;
        let start = if self.chain.learning {
            self.lessons.start(&stated(&task.job, habits))
        } else {
            Prior::default()
        };
        let options = Options { start, ..Options::default() };
        let mut advised = Advised { options, ..Advised::default() };
        let mut last = None;
        let outcome = bench::run(&task, seed, &mut |job, _| {
            let job = stated(job, habits);
            let decision = advised.decide(&job);
            last = Some(job);
            decision
        });
        if self.chain.learning {
            let lesson = last.and_then(|job| lesson(joint, &job, &Options::default()));
            lesson.into_iter().for_each(|l| self.lessons.add(l));
        }
        let gaps = outcome.gaps.clone();
        self.built.joints.push(outcome);
        gaps
    }

    /// Marks and planes the next rib's outer edge; returns its width.
    fn outer_edge(&mut self) -> Vec<f64> {
        let wanted = match self.chain.divided {
            true => divide(&self.bowl, None, false).map(|d| d.next().to_vec()).unwrap_or(self.plan.clone()),
            false => self.plan.clone(),
        };
        let errors: BowlErrors = self.bowl.settings.errors;
        let mut carry = |w: &f64| w + SPACER.width / 2.0 + errors.compass * self.dice.normal();
        let mut line: Vec<f64> = wanted.iter().map(&mut carry).collect();
        let mut width = self.sawn(&wanted);
        let job = self.bowl.joints[0].job.clone();
        let exact = vec![0.0; wanted.len()];
        let mut by_widths = false;
        for _ in 0..PASSES {
            let mut mark = |(compass, width): (&f64, &f64)| {
                let edge = width + errors.edge * self.dice.normal();
                Some(Mark { compass: *compass, edge, reference: 0.0 })
            };
            let measured: Vec<Option<Mark>> = line.iter().zip(&width).map(&mut mark).collect();
            let start = if self.chain.learning { self.lessons.start(&job) } else { Prior::default() };
            let marking = Marking {
                marks: &measured,
                allowance: SPACER.width / 2.0,
                wanted: Some(Shares { width: &wanted, sd: &exact }),
                by_widths,
                errors,
                start: &start,
            };
            let Ok(marked) = marks(&job, &marking) else { break };
            // Where lines and girth disagree, this maker reads the girth again and goes by it.
            if marked.apart.is_some() && !by_widths {
                by_widths = true;
                continue;
            }
            // A distance in doubt is measured again, an edge in the next pass anyway.
            for (_, off) in &marked.off {
                line[off.station] =
                    wanted[off.station] + SPACER.width / 2.0 + errors.compass * self.dice.normal();
            }
            if marked.plan.strokes.is_empty() && marked.off.is_empty() {
                break;
            }
            let target: Vec<f64> = marked.stations.iter().map(|s| s.width).collect();
            self.plane(&job, &mut width, &target, &marked.plan.strokes);
        }
        width
    }

    /// A blank's outer edge: sawn outside the planned one, in waves.
    fn sawn(&mut self, wanted: &[f64]) -> Vec<f64> {
        let (size, phase) = (0.25 * self.dice.normal(), self.dice.between(0.0, 6.0));
        let wave = |i: usize| size * libm::sin(0.7 * i as f64 + phase);
        wanted.iter().enumerate().map(|(i, w)| w + SAWN + wave(i)).collect()
    }

    fn plane(&mut self, job: &Job, width: &mut [f64], target: &[f64], strokes: &[crate::strokes::Planned]) {
        let frames = Joint::of(job).frames;
        let arc: Vec<f64> = frames.iter().map(|f| f.arc).collect();
        for stroke in strokes {
            let plane = &job.planes[stroke.plane];
            let bed = Bed::new(&arc, frames.iter().map(|f| f.along_curvature), plane.sole, plane.width);
            for _ in 0..stroke.count {
                let uneven = (1.0 + SHAVING_SPREAD * self.dice.normal()).max(0.1);
                let shaving = plane.shaving * self.chain.habits.shaving * uneven;
                let height: Vec<f64> = width.iter().zip(target).map(|(w, t)| w - t).collect();
                let cut = bed.cut(&height, Push { shaving, first: stroke.from, last: stroke.to });
                width.iter_mut().zip(cut).for_each(|(w, c)| *w -= c);
            }
        }
    }
}

/// A joint of the bowl with a blank, as it really is.
fn task(chain: &Chain, joint: usize, dice: &mut Dice) -> Task {
    let known = KnownJoint::new(&chain.mold, joint, chain.stations, 1);
    let blank = blank::blank(dice, &known);
    let usual = ReadingErrors::default();
    let errors = ReadingErrors {
        gap: usual.gap * chain.habits.errors,
        lift: usual.lift * chain.habits.errors,
        ..usual
    };
    let plane = Plane { shaving: Plane::default().shaving * chain.habits.shaving, ..Plane::default() };
    let job = Job {
        reading: errors,
        tolerance: Tolerance { gap: 0.15, ..Tolerance::default() },
        planes: vec![plane],
        ..known.job()
    };
    Task::new(known, blank, job, None)
}

/// The same joint as the maker states it.
fn stated(job: &Job, habits: Habits) -> Job {
    let planes = job.planes.iter().map(|p| Plane { shaving: p.shaving / habits.shaving, ..p.clone() });
    let reading = ReadingErrors {
        gap: job.reading.gap / habits.errors,
        lift: job.reading.lift / habits.errors,
        ..job.reading
    };
    Job { planes: planes.collect(), reading, ..job.clone() }
}
