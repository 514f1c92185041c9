//! What earlier joints of a bowl taught: planes' shavings, reading errors, how wavy
//! edges and how springy ribs are. A later joint starts from there.
//!
//! Each earlier joint is estimated by itself, from the defaults. Of a shaving, what
//! its readings added to the default is combined, each joint's setting a little
//! different. Amplitudes come from the evidence, on a scale of logarithms, already
//! drawn towards the defaults; their mean is drawn once more, by one joint's worth.
//!
//! ## Why do amplitudes only grow?
//!
//! Smaller ones were tried, on simulated bowls: waves learned at a third of the default
//! made it stop at joints that were not fitted (75 % within tolerance instead of 92 %),
//! reading errors learned below those stated nearly as often. So lessons can make the
//! next joint more careful, not bolder; and the evidence keeps all its room.

use crate::fit::cuts::PLANE_SPREAD;
use crate::fit::{Amplitudes, Prior};
use crate::job::{Against, Job, Plane};

use super::work::{Before, Options, work_out};

/// How much a plane's shaving differs from joint to joint, as a share: it is taken
/// apart and sharpened in between (an assumption, no source).
const BETWEEN_JOINTS: f64 = 0.08;

/// What one joint taught.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// The joint's number.
    pub joint: usize,
    /// Each plane that planed: name, shaving and its standard uncertainty, mm, less the
    /// default that went into it.
    pub shavings: Vec<(String, f64, f64)>,
    /// Logarithms of waves, spring and reading errors over their defaults.
    pub amplitudes: [f64; 3],
}

/// What several joints taught together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lessons {
    list: Vec<Lesson>,
}

/// What a joint's rounds teach; none before a second round against the neighbour.
pub fn lesson(number: usize, job: &Job, options: &Options) -> Option<Lesson> {
    if job.rounds.iter().filter(|r| r.against == Against::Neighbour).count() < 2 {
        return None;
    }
    let w = work_out(job, &Before::last_round(job, options), options).ok()?;
    let usual = Amplitudes::default();
    let prior = w.fit.amplitudes;
    let amplitudes = [
        libm::log(prior.waves.amplitude / usual.waves.amplitude),
        libm::log(prior.spring.amplitude / usual.spring.amplitude),
        libm::log(prior.errors / usual.errors),
    ];
    let shaving = |(p, plane): (usize, &Plane)| {
        let (share, sd) = w.fit.shaving_told(p)?;
        Some((plane.name.clone(), plane.shaving * share, plane.shaving * sd))
    };
    let shavings = job.planes.iter().enumerate().filter_map(shaving).collect();
    Some(Lesson { joint: number, shavings, amplitudes })
}

impl Lessons {
    /// Several joints' lessons.
    pub fn of(list: Vec<Lesson>) -> Lessons {
        Lessons { list }
    }

    /// The lessons of the joints before a number.
    pub fn before(&self, number: usize) -> Lessons {
        Lessons { list: self.list.iter().filter(|l| l.joint < number).cloned().collect() }
    }

    /// One more joint's lesson, after all others.
    pub fn add(&mut self, lesson: Lesson) {
        self.list.push(lesson);
    }

    /// Numbers of the joints that taught.
    pub fn joints(&self) -> impl Iterator<Item = usize> {
        self.list.iter().map(|l| l.joint)
    }

    /// Where a joint starts after these lessons.
    pub fn start(&self, job: &Job) -> Prior {
        let mut start = Prior::default();
        if self.list.is_empty() {
            return start;
        }
        let count = self.list.len() as f64;
        let mean = |k: usize| self.list.iter().map(|l| l.amplitudes[k]).sum::<f64>().max(0.0) / (count + 1.0);
        start.amplitudes.waves.amplitude *= libm::exp(mean(0));
        start.amplitudes.spring.amplitude *= libm::exp(mean(1));
        start.amplitudes.errors *= libm::exp(mean(2));
        start.planes = job.planes.iter().map(|p| self.plane(&p.name, p.shaving)).collect();
        start
    }

    /// A plane's shaving as a share of `stated` (mm), with its standard uncertainty.
    fn plane(&self, name: &str, stated: f64) -> (f64, f64) {
        let precision = |sd: f64| 1.0 / (sd * sd);
        let (mut sum, mut weight) = (precision(PLANE_SPREAD), precision(PLANE_SPREAD));
        for (_, shaving, sd) in self.list.iter().flat_map(|l| &l.shavings).filter(|s| s.0 == name) {
            let own = precision(libm::hypot(sd / stated, BETWEEN_JOINTS));
            sum += own * shaving / stated;
            weight += own;
        }
        let sd = libm::hypot((1.0 / weight).sqrt(), BETWEEN_JOINTS).min(PLANE_SPREAD);
        ((sum / weight).clamp(0.4, 2.5), sd)
    }

    /// The lessons for a job as a sentence; none without any.
    pub fn said(&self, job: &Job) -> Option<String> {
        let last = self.list.last()?;
        let start = self.start(job);
        let joints: Vec<String> = self.joints().map(|n| n.to_string()).collect();
        let which = match joints.as_slice() {
            [one] => format!("joint {one}"),
            [first, .., _] if self.joints().zip(self.joints().skip(1)).all(|(a, b)| b == a + 1) => {
                format!("joints {first} to {}", last.joint)
            }
            _ => format!("joints {}", joints.join(", ")),
        };
        let shaving = |(p, plane): (usize, &Plane)| {
            let (share, sd) = start.plane(p);
            format!(
                "plane {} takes {} ± {}",
                plane.name,
                job.unit.say_fine(plane.shaving * share),
                job.unit.say_fine(plane.shaving * sd)
            )
        };
        let mut said: Vec<String> = job.planes.iter().enumerate().map(shaving).collect();
        said.push(format!("reading errors {:.2} times those stated", start.amplitudes.errors));
        said.push(format!("waves of about {}", job.unit.say(start.amplitudes.waves.amplitude)));
        Some(format!("Starts from what {which} taught: {}.", said.join(", ")))
    }
}
