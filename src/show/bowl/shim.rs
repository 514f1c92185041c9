//! Where shims go.

use std::io::{self, Write};

use super::{station_table, titled};
use crate::bowl::shim::{Need, Shim, Shims};
use crate::job::Job;
use crate::json::{self, mm, object};
use crate::show::grid::Grid;
use crate::show::json::{at_stations, names};
use crate::show::units::{cell, plural};
use crate::show::wrap::paragraph;

/// Writes where slivers go, at most 80 columns wide.
///
/// # Errors
///
/// Those of the stream.
pub fn shims_text(job: &Job, shims: &Shims, thinnest: f64, out: &mut impl Write) -> io::Result<()> {
    for text in shims_said(job, shims, thinnest) {
        paragraph(out, "", &text)?;
    }
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

/// Where shims go, and what becomes too thin, in sentences.
pub(crate) fn shims_said(job: &Job, shims: &Shims, thinnest: f64) -> Vec<String> {
    verdict(job, shims).into_iter().chain(thin(job, shims, thinnest)).collect()
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

fn thin(job: &Job, shims: &Shims, thinnest: f64) -> Option<String> {
    if job.thickness.is_none() {
        return Some("How thin the rib becomes can't be told: set `thickness` in joint.toml.".into());
    }
    let names: Vec<&str> = shims.thin.iter().map(|&i| job.stations[i].name.as_str()).collect();
    (!names.is_empty()).then(|| {
        format!(
            "Don't level the step at station {} without a shim: less than {} of the rib would be left.",
            names.join(", "),
            job.unit.say(thinnest)
        )
    })
}

/// The shims as pretty-printed JSON, lengths in mm, without a newline at its end.
///
/// # Errors
///
/// Only if they cannot be written as JSON, which no valid ones cause.
pub fn shims_json(job: &Job, shims: &Shims) -> serde_json::Result<String> {
    let name = |i: usize| &job.stations[i].name;
    let shim = |s: &Shim| {
        let [from, to, thickest] = [s.from, s.to, s.at].map(name);
        let others = s.others.clone();
        object! { from: from, to: to, thickest: thickest, thickness_mm: mm(s.thickness), other_joints: others }
    };
    json::answer(object! {
        stations: at_stations(job, &shims.stations),
        shims: shims.shims.iter().map(shim).collect::<Vec<_>>(),
        too_thin: names(job, &shims.thin),
    })
}
