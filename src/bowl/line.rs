//! A gently curved line through single readings along a joint, by the same kernel
//! that fits the joint itself: plane, gentle curve where the evidence asks for it,
//! slight waves; a reading that does not go with the others hardly counts and is
//! named.

use crate::fit::{self, Fit, Prior, SurfaceChoice};
use crate::job::{Against, Job, Reading, ReadingErrors, Round};
use crate::joint::Joint;

/// From this many standard deviations on a reading is named. Among fifteen right
/// ones that happens once in twenty-five times.
const NAMED: f64 = 3.0;

/// How far a line may be from where it is expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leeway {
    /// Size of a shift or a lean of the whole line, mm.
    pub plane: f64,
    /// How much it may differ from a gentle curve, smoothly from station to station, mm.
    pub waves: f64,
}

/// A reading that does not go with the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OddReading {
    /// The station (index).
    pub station: usize,
    /// What was read, mm.
    pub read: f64,
    /// What the others say, mm.
    pub expected: f64,
}

/// A gently curved line through readings.
#[derive(Debug, Clone)]
pub struct LaidLine {
    /// Its value at each station, read there or not, mm.
    pub value: Vec<f64>,
    /// Standard uncertainty of that, mm.
    pub sd: Vec<f64>,
    /// Readings that don't go with the others, worst first.
    pub off: Vec<OddReading>,
    /// Whether a gentle curve was called for.
    pub curved: bool,
    fit: Fit,
}

/// Fewest readings through which a surface can be laid.
pub const FEWEST: usize = 3;

/// The line through `values` (mm, one a station of the job, `None` where not read)
/// whose single errors are `sd`; `loose` is how far from zero it is expected. `None` with fewer than [`FEWEST`] readings, or where
/// they lead to no estimate.
pub fn line_through(job: &Job, values: &[Option<f64>], sd: f64, loose: Leeway) -> Option<LaidLine> {
    if values.iter().flatten().count() < FEWEST {
        return None;
    }
    let read = |v: &Option<f64>| Reading { overlap: *v, ..Reading::default() };
    let readings = values.iter().map(read).collect();
    let round = Round { against: Against::Line, rebent: false, readings, strokes: Vec::new() };
    let reading = ReadingErrors { line: sd, ..job.reading };
    let held = Job { rounds: vec![round], reading, warnings: Vec::new(), ..job.clone() };
    let mut start = Prior::held(NAMED);
    start.amplitudes.waves.amplitude = loose.waves;
    start.amplitudes.plane = loose.plane;
    let fit = fit::estimate(&held, &Joint::of(&held), &[], SurfaceChoice::Auto, &start).ok()?;
    let off = |d: &fit::Doubt| {
        let read = values.get(d.station).copied().flatten()?;
        Some(OddReading { station: d.station, read, expected: -d.expected })
    };
    Some(LaidLine {
        value: fit.edge.clone(),
        sd: fit.edge_sd.clone(),
        off: fit.doubts.iter().filter_map(off).collect(),
        curved: fit.curved,
        fit,
    })
}

impl LaidLine {
    /// Another line that agrees with the readings, mm, one entry a station: the draw of a number,
    /// see [`fit::Fit::draw`]; `normals` yields standard normal numbers.
    pub fn draw(&self, number: usize, normals: impl FnMut() -> f64) -> Vec<f64> {
        self.fit.draw(number, normals).edge
    }
}
