//! The demo readings: joints of invented bowls, read from known wood.
//!
//! Each joint is a rib of known wood on an exact mold, on a grid four times
//! finer than the stations. It is seated exactly, read with noise in steps that
//! feelers have, planed by strokes that stand here, and seated again. The
//! strokes are written down and do not follow the program's advice, so that the
//! readings stay what they are when the program learns.
#![allow(dead_code, reason = "each test program uses its own part")]

pub mod bowl;
pub mod trial;
pub mod truth;
pub mod write;

use trial::Demo;
use write::SINGLE;

use ribwright::job::{Against, Job, Plane, ReadingErrors, Tolerance, Unit};
use ribwright::practice::chain::Chain;
use ribwright::practice::mold::Mold;
use ribwright::practice::rib::KnownJoint;

/// What one demo joint is made of.
struct Recipe {
    name: &'static str,
    title: &'static str,
    mold: Mold,
    joint: usize,
    stations: usize,
    /// Shift, taper and turn of the blank's own plane over the joint's, mm.
    plane: [f64; 3],
    /// Size (mm), number over the length and phase of the edge's waves.
    waves: &'static [[f64; 3]],
    /// The blank was planed flat although the joint line leaves its plane.
    flat: bool,
    /// Size of the spring, mm.
    spring: f64,
    against: Against,
    /// Strokes after each round but the last: first and last station (index), pushes.
    strokes: &'static [&'static [(usize, usize, u32)]],
    /// Station (index) whose last overlap was written ten times too large.
    slip: Option<usize>,
    /// Settings other than the usual ones.
    setup: fn(Job) -> Job,
    seed: u64,
}

/// All demo joints that are folders, and the one that is a single table.
pub fn demos() -> Vec<Demo> {
    recipes().iter().map(trial::work).collect()
}

/// An oud's bowl that never was.
fn oud() -> Mold {
    Chain::default().mold
}

/// A mandola's shallow bowl that never was.
fn mandola() -> Mold {
    Mold {
        length: 400.0,
        half_width: 136.0,
        belly: 1.2,
        bluntness: 0.85,
        depth: 0.66,
        depth_change: 0.07,
        ribs: 13,
    }
}

fn recipes() -> [Recipe; 6] {
    [plain(), shallow(), mistyped(), fitted(), inch(), first_try()]
}

fn plain() -> Recipe {
    Recipe {
        name: "plain",
        title: "Oud bowl of 15 ribs, joint 6 (invented)",
        mold: oud(),
        joint: 6,
        stations: 13,
        plane: [0.75, 0.16, 0.2],
        waves: &[[0.5, 2.0, 0.6], [0.5, 3.0, 2.0], [0.06, 5.0, 1.0]],
        flat: false,
        spring: 0.03,
        against: Against::Neighbour,
        strokes: &[&[(0, 3, 2), (5, 8, 2), (10, 12, 1)]],
        slip: None,
        setup: |job| job,
        seed: 1,
    }
}

fn shallow() -> Recipe {
    Recipe {
        name: "shallow",
        title: "Shallow mandola bowl of 13 ribs, joint 4 (invented)",
        mold: mandola(),
        joint: 4,
        stations: 15,
        plane: [0.6, 0.1, -0.1],
        waves: &[[0.03, 3.0, 0.3]],
        flat: true,
        strokes: &[],
        setup: |job| Job { wood: Some("maple".into()), thickness: Some(2.0), ..job },
        seed: 2,
        ..plain()
    }
}

fn mistyped() -> Recipe {
    Recipe {
        name: "mistyped",
        title: "Oud bowl of 15 ribs, joint 9 (invented)",
        joint: 9,
        plane: [0.7, -0.12, 0.15],
        waves: &[[0.2, 2.0, 2.6], [0.14, 3.0, 0.4]],
        strokes: &[&[(0, 3, 1), (9, 11, 2), (8, 12, 1)]],
        slip: Some(4),
        seed: 3,
        ..plain()
    }
}

fn fitted() -> Recipe {
    Recipe {
        name: "fitted",
        title: "Oud bowl of 15 ribs, joint 3 (invented)",
        joint: 3,
        plane: [0.5, 0.1, 0.1],
        waves: &[[0.12, 2.0, 1.0], [0.04, 3.0, 0.0]],
        spring: 0.02,
        strokes: &[&[(1, 4, 2), (10, 12, 1)], &[(0, 12, 1)], &[]],
        setup: |job| Job { tolerance: Tolerance { gap: 0.15, lift: 0.25, ..Tolerance::default() }, ..job },
        seed: 12,
        ..plain()
    }
}

fn inch() -> Recipe {
    Recipe {
        name: "inch",
        title: "Mandola bowl of 13 ribs, joint 8, in inches (invented)",
        mold: Mold { depth: 1.0, depth_change: 0.0, ..mandola() },
        joint: 8,
        stations: 9,
        plane: [0.9, 0.2, 0.15],
        waves: &[[0.15, 2.0, 0.2], [0.2, 3.0, 1.2]],
        strokes: &[],
        setup: in_inches,
        seed: 5,
        ..plain()
    }
}

fn first_try() -> Recipe {
    Recipe {
        name: SINGLE,
        title: "",
        joint: 7,
        stations: 11,
        plane: [1.6, 0.5, 0.4],
        waves: &[[0.3, 2.0, 0.2], [0.15, 3.0, 1.0]],
        against: Against::Line,
        strokes: &[],
        setup: without_settings,
        seed: 6,
        ..plain()
    }
}

/// Inches, and settings that are round in them.
fn in_inches(job: Job) -> Job {
    let inch = |v: f64| 25.4 * v;
    let plane = Plane {
        name: "jointer".into(),
        sole: inch(22.0),
        width: inch(2.75),
        shaving: inch(0.003),
        shortest: inch(4.0),
    };
    Job {
        unit: Unit::Inch,
        wood: Some("cherry".into()),
        thickness: Some(inch(0.0625)),
        spare: Some(inch(0.125)),
        planes: vec![plane],
        reading: ReadingErrors { gap: inch(0.004), line: inch(0.012), lift: inch(0.006), seat: inch(0.004) },
        tolerance: Tolerance { gap: inch(0.004), lift: inch(0.006), ..Tolerance::default() },
        ..job
    }
}

/// A single table has no settings.
fn without_settings(job: Job) -> Job {
    Job { stations: job.stations, ..Job::default() }
}

/// Settings of a demo joint unless its recipe says otherwise.
fn usual(known: &KnownJoint, recipe: &Recipe) -> Job {
    let job = Job {
        title: Some(recipe.title.into()),
        wood: Some("black walnut".into()),
        thickness: Some(1.6),
        ..known.job()
    };
    (recipe.setup)(job)
}
