//! Where a rib stands off its mold by itself, and what raises the next one to it.
//!
//! A lift that no pose of the rib explains is its spring: the mold is low there, or
//! the rib was bent too open. Planing does not bring it down. Left as it is, the
//! next rib lies on the mold and starts lower by as much: a step along the joint,
//! which is scraped away in the end, and the rib is thinner there for it.

use serde::Serialize;

use crate::fit::Fit;
use crate::job::Job;
use crate::json::as_mm;

/// Whether something has to be done at a station.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Need {
    /// Nothing: it lies within its tolerance.
    None,
    /// It may stand off, the readings don't say for sure.
    Unsure,
    /// It stands off.
    Shim,
}

/// What there is to know at one station. Lengths in mm.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShimStation {
    /// How far the outer edge stands off by itself; the shim's thickness.
    #[serde(rename = "spring_mm", serialize_with = "as_mm")]
    pub spring: f64,
    /// Standard uncertainty of that.
    #[serde(rename = "spring_sd_mm", serialize_with = "as_mm")]
    pub sd: f64,
    /// The step to the next rib without a shim.
    #[serde(rename = "step_mm", serialize_with = "as_mm")]
    pub step: f64,
    /// What is left of the rib once the step is levelled; none without a thickness.
    #[serde(rename = "left_mm", serialize_with = "as_mm")]
    pub left: Option<f64>,
    /// Whether a shim is needed.
    pub need: Need,
}

/// A shim: a sliver from one station to another, thickest at a third.
#[derive(Debug, Clone, PartialEq)]
pub struct Shim {
    /// First and last station (index) under which it lies.
    pub from: usize,
    /// The last one.
    pub to: usize,
    /// Where it is thickest.
    pub at: usize,
    /// Its thickness there.
    pub thickness: f64,
    /// Other joints whose ribs stand off there as well, by number: the mold is low.
    pub others: Vec<usize>,
}

/// The shims of one joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Shims {
    /// One entry a station.
    pub stations: Vec<ShimStation>,
    /// Where slivers go.
    pub shims: Vec<Shim>,
    /// Stations (index) at which less than the least thickness would be left.
    pub thin: Vec<usize>,
}

/// What other joints' readings say: number, and spring at each station, mm.
pub type OtherSpring = (usize, Vec<f64>);

/// Finds shims from the fit of a joint's readings. `thinnest` is what must be left of the
/// rib, mm.
pub fn shims(job: &Job, fit: &Fit, others: &[OtherSpring], thinnest: f64) -> Shims {
    let stations: Vec<ShimStation> = (0..job.stations.len()).map(|i| station(job, fit, i)).collect();
    let shims =
        runs(&stations).into_iter().map(|(from, to)| shim(job, &stations, others, from, to)).collect();
    let thin = |i: &usize| stations[*i].need == Need::Shim && stations[*i].left.is_some_and(|t| t < thinnest);
    let thin = (0..stations.len()).filter(thin).collect();
    Shims { stations, shims, thin }
}

fn station(job: &Job, fit: &Fit, i: usize) -> ShimStation {
    let (spring, sd) = (fit.spring[i].max(0.0), fit.spring_sd[i]);
    let within = job.tolerance.lift;
    let need = if spring - sd > within {
        Need::Shim
    } else if spring + sd > within && spring > 0.5 * within {
        Need::Unsure
    } else {
        Need::None
    };
    ShimStation { spring, sd, need, step: spring, left: job.thickness.map(|t| t - spring) }
}

/// Runs of stations that need a shim, with one station on each side to taper it to.
fn runs(stations: &[ShimStation]) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (i, _) in stations.iter().enumerate().filter(|(_, s)| s.need == Need::Shim) {
        let (from, to) = (i.saturating_sub(1), (i + 1).min(stations.len() - 1));
        match runs.last_mut().filter(|r| r.1 >= from) {
            Some(run) => run.1 = to,
            None => runs.push((from, to)),
        }
    }
    runs
}

fn shim(job: &Job, stations: &[ShimStation], others: &[OtherSpring], from: usize, to: usize) -> Shim {
    let spring = |i: &usize| stations[*i].spring;
    let at = (from..=to).max_by(|a, b| spring(a).total_cmp(&spring(b))).unwrap_or(from);
    let low = |o: &&OtherSpring| o.1.get(at).is_some_and(|f| *f > job.tolerance.lift);
    let others = others.iter().filter(low).map(|o| o.0).collect();
    Shim { from, to, at, thickness: stations[at].spring, others }
}
