//! `joint.toml` as text.

use std::collections::BTreeMap;

use serde::{Serialize, Serializer};

use crate::job::{Job, Mold, Plane, ReadingErrors, Tolerance, Unit};

#[derive(Serialize)]
struct Whole<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    title: Option<&'a str>,
    units: &'static str,
    mold: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    wood: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    thickness: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    spare: Option<f64>,
    reading: BTreeMap<&'static str, f64>,
    tolerance: BTreeMap<&'static str, f64>,
    planes: Planes<'a>,
}

/// Planes in the maker's order.
struct Planes<'a>(&'a [Plane], Unit);

impl Serialize for Planes<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|p| (&p.name, plane(p, self.1))))
    }
}

fn plane(plane: &Plane, unit: Unit) -> BTreeMap<&'static str, f64> {
    let lengths = [
        ("sole", plane.sole),
        ("width", plane.width),
        ("shaving", plane.shaving),
        ("shortest", plane.shortest),
    ];
    lengths.into_iter().map(|(name, mm)| (name, length(mm, unit))).collect()
}

fn reading(sd: &ReadingErrors, unit: Unit) -> BTreeMap<&'static str, f64> {
    let lengths = [("gap_sd", sd.gap), ("line_sd", sd.line), ("lift_sd", sd.lift), ("seat_sd", sd.seat)];
    lengths.into_iter().map(|(name, mm)| (name, length(mm, unit))).collect()
}

fn tolerance(t: &Tolerance, unit: Unit) -> BTreeMap<&'static str, f64> {
    let lengths = [("gap", length(t.gap, unit)), ("lift", length(t.lift, unit))];
    let plain = [("confidence", t.confidence), ("overcut", t.overcut)];
    lengths.into_iter().chain(plain).chain(t.force.map(|f| ("force", f))).collect()
}

/// Six decimals: far below anything that can be read, and free of binary dust.
pub(crate) fn length(mm: f64, unit: Unit) -> f64 {
    (mm / unit.mm() * 1e6).round() / 1e6
}

/// The settings of a job, every key written out.
pub(crate) fn of(job: &Job) -> Result<String, toml::ser::Error> {
    let unit = job.unit;
    toml::to_string(&Whole {
        title: job.title.as_deref(),
        units: if unit == Unit::Mm { "mm" } else { "inch" },
        mold: if job.mold == Mold::Round { "round" } else { "faceted" },
        wood: job.wood.as_deref(),
        thickness: job.thickness.map(|t| length(t, unit)),
        spare: job.spare.map(|s| length(s, unit)),
        reading: reading(&job.reading, unit),
        tolerance: tolerance(&job.tolerance, unit),
        planes: Planes(&job.planes, unit),
    })
}
