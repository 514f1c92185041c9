//! The strip between two ribs: how long it must be, and how hard it is bent.
//!
//! A strip of height `h`, bent edgewise to the radius `r` of its middle line, is
//! stretched by `h / (2 r)` on its outside and pressed as much on its inside (plane
//! sections stay plane; any textbook of strength of materials).

use serde::Serialize;

use crate::job::Job;
use crate::job::bowl::Spacer;
use crate::joint::Joint;
use crate::seat::wood::Wood;

use super::tacks::{Tacks, tacks};

/// Of the strain at which a dry stick breaks, the share that is safe to bend in (an
/// assumption, no source).
const SAFE: f64 = 0.5;
/// What hot, damp wood takes on its outside without a strap (from memory; common
/// practice, no source).
pub const HOT: f64 = 0.02;
/// The strain at which dry wood of no known kind breaks (from memory).
const UNKNOWN_BREAKS: f64 = 0.008;

/// How a strip has to be bent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Bending {
    /// It follows cold.
    Cold,
    /// Over a hot iron.
    Hot,
    /// Not even so: a lower strip, or two in layers.
    #[serde(rename = "too tight")]
    TooTight,
}

/// A spacer for one joint. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct SpacerPlan {
    /// The strip's section.
    pub section: Spacer,
    /// Along the joint line, from the first station to the last.
    pub arc: f64,
    /// What is added at each end.
    pub allowance: f64,
    /// Station (index) of the tightest curve, and its radius.
    pub tightest: (usize, f64),
    /// Strain of its outside there.
    pub strain: f64,
    /// Strain at which the dry wood breaks in bending: rupture over elasticity.
    pub breaks: f64,
    /// The wood that this is reckoned for, if known.
    pub wood: Option<Wood>,
    /// How it has to be bent.
    pub bending: Bending,
    /// Where tacks hold it.
    pub tacks: Tacks,
    /// Place of each station along the joint line.
    pub stations: Vec<f64>,
}

impl SpacerPlan {
    /// Length to cut, mm: the joint line and the allowance at both ends.
    pub fn length(&self) -> f64 {
        self.arc + 2.0 * self.allowance
    }
}

/// Strain of the outside of a strip `height` high at a radius of its middle line (mm).
pub fn strain(height: f64, radius: f64) -> f64 {
    height / (2.0 * radius)
}

/// Added at each end where nothing else is asked for, mm (common practice, no source).
pub const ALLOWANCE: f64 = 20.0;

/// Plans the spacer of a joint; `allowance` (mm) is added at each end, since the
/// stations do not reach them and ends are trimmed.
pub fn spacer(job: &Job, section: Spacer, wood: Option<Wood>, allowance: f64) -> SpacerPlan {
    let joint = Joint::of(job);
    let stations: Vec<f64> = joint.frames.iter().map(|f| f.arc).collect();
    let bend = |i: &usize| joint.frames[*i].along_curvature.abs();
    let at = (0..joint.len()).max_by(|a, b| bend(a).total_cmp(&bend(b))).unwrap_or(0);
    let radius = joint.frames.get(at).map_or(f64::INFINITY, |f| 1.0 / f.along_curvature.abs().max(1e-9));
    let strain = strain(section.height, radius);
    let breaks = wood.map_or(UNKNOWN_BREAKS, |w| w.rupture / w.elasticity);
    let bending = if strain <= SAFE * breaks {
        Bending::Cold
    } else if strain <= HOT {
        Bending::Hot
    } else {
        Bending::TooTight
    };
    let arc = joint.arc_length();
    let tacks = tacks(arc, &stations);
    SpacerPlan {
        section,
        arc,
        allowance,
        tightest: (at, radius),
        strain,
        breaks,
        wood,
        bending,
        tacks,
        stations,
    }
}
