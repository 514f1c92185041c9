//! Where shims go.

use std::io::{self, Write};

use serde::Serialize;

use super::{station_table, titled};
use crate::bowl::shim::{Need, Shim, Shims};
use crate::job::Job;
use crate::show::grid::Grid;
use crate::show::json::mm;
use crate::show::units::{cell, plural};
use crate::show::wrap::paragraph;

/// Writes where slivers go, at most 80 columns wide.
///
/// # Errors
///
/// Those of the stream.
pub fn shims_text(job: &Job, shims: &Shims, thinnest: f64, out: &mut impl Write) -> io::Result<()> {
    for text in verdict(job, shims) {
        paragraph(out, "", &text)?;
    }
    thin(job, shims, thinnest, out)?;
    writeln!(out)?;
    let head = format!(
        "{}The rib's own spring, after {} rounds. Lengths in {}.",
        titled(job.title.as_deref()),
        job.rounds.len(),
        plural(job.unit)
    );
    paragraph(out, "", &head)?;
    let unit = job.unit;
    let row = |s: &crate::bowl::shim::ShimStation| {
        let need = match s.need {
            Need::None => "",
            Need::Unsure => "perhaps",
            Need::Shim => "yes",
        };
        let spring = format!("{} ± {}", cell(Some(s.spring), unit), cell(Some(s.sd), unit));
        vec![spring, cell(Some(s.step), unit), cell(s.left, unit), need.to_owned()]
    };
    let grid = Grid {
        groups: Vec::new(),
        heads: vec!["stands off", "step without", "left levelled", "shim"],
        rows: shims.stations.iter().map(row).collect(),
    };
    let names: Vec<String> = job.stations.iter().map(|s| s.name.clone()).collect();
    station_table(&names, &grid, out)?;
    paragraph(out, "", "± one standard uncertainty. Stands off: what no pose of the rib explains.")
}

fn verdict(job: &Job, shims: &Shims) -> Vec<String> {
    if !shims.shims.is_empty() {
        return shims.shims.iter().map(|s| one(job, s)).collect();
    }
    let unsure: Vec<&str> = (0..shims.stations.len())
        .filter(|&i| shims.stations[i].need == Need::Unsure)
        .map(|i| job.stations[i].name.as_str())
        .collect();
    vec![match unsure.is_empty() {
        true => format!(
            "No shim: the rib lies on its mold within the lift tolerance of {} at every station.",
            job.unit.say(job.tolerance.lift)
        ),
        false => format!(
            "Not sure: the rib may stand off at station {}. Set it in place once more and read the lifts there again.",
            unsure.join(", ")
        ),
    }]
}

fn one(job: &Job, shim: &Shim) -> String {
    let name = |i: usize| &job.stations[i].name;
    let why = match shim.others.as_slice() {
        [] => "Only this rib stands off there: bending it again may do as well.".to_owned(),
        others => {
            let list: Vec<String> = others.iter().map(ToString::to_string).collect();
            format!("Joint {} stands off there too: the mold is low.", list.join(", "))
        }
    };
    format!(
        "Shim under the outer edge from station {} to {}, {} thick at station {}, tapering to nothing where the rib lies down. {why} \
         Without it the next rib starts {} lower there.",
        name(shim.from),
        name(shim.to),
        job.unit.say(shim.thickness),
        name(shim.at),
        job.unit.say(shim.thickness)
    )
}

fn thin(job: &Job, shims: &Shims, thinnest: f64, out: &mut impl Write) -> io::Result<()> {
    if job.thickness.is_none() {
        return paragraph(out, "", "How thin the rib becomes can't be told: set `thickness` in joint.toml.");
    }
    let names: Vec<&str> = shims.thin.iter().map(|&i| job.stations[i].name.as_str()).collect();
    if names.is_empty() {
        return Ok(());
    }
    let text = format!(
        "Don't level the step at station {} without a shim: less than {} of the rib would be left.",
        names.join(", "),
        job.unit.say(thinnest)
    );
    paragraph(out, "", &text)
}

#[derive(Serialize)]
struct Out<'a> {
    schema: u32,
    stations: Vec<StationOut<'a>>,
    shims: Vec<ShimOut<'a>>,
    too_thin: Vec<&'a str>,
}

#[derive(Serialize)]
struct StationOut<'a> {
    station: &'a str,
    spring_mm: Option<f64>,
    spring_sd_mm: Option<f64>,
    step_mm: Option<f64>,
    left_mm: Option<f64>,
    need: &'static str,
}

#[derive(Serialize)]
struct ShimOut<'a> {
    from: &'a str,
    to: &'a str,
    thickest: &'a str,
    thickness_mm: Option<f64>,
    other_joints: &'a [usize],
}

/// The shims as pretty-printed JSON, lengths in mm, without a newline at its end.
///
/// # Errors
///
/// Only if they cannot be written as JSON, which no valid ones cause.
pub fn shims_json(job: &Job, shims: &Shims) -> serde_json::Result<String> {
    let name = |i: usize| job.stations[i].name.as_str();
    let station = |(i, s): (usize, &crate::bowl::shim::ShimStation)| StationOut {
        station: name(i),
        spring_mm: mm(s.spring),
        spring_sd_mm: mm(s.sd),
        step_mm: mm(s.step),
        left_mm: mm(s.left),
        need: match s.need {
            Need::None => "none",
            Need::Unsure => "unsure",
            Need::Shim => "shim",
        },
    };
    let shim = |s: &'_ Shim| (name(s.from), name(s.to), name(s.at), mm(s.thickness));
    let out = |s| {
        let (from, to, thickest, thickness_mm) = shim(s);
        ShimOut { from, to, thickest, thickness_mm, other_joints: &s.others }
    };
    serde_json::to_string_pretty(&Out {
        schema: 1,
        stations: shims.stations.iter().enumerate().map(station).collect(),
        shims: shims.shims.iter().map(out).collect(),
        too_thin: shims.thin.iter().map(|&i| name(i)).collect(),
    })
}
