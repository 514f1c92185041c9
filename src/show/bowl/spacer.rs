//! A spacer: length, bending, tacks, order of work, cautions.

use std::io::{self, Write};

use super::titled;
use crate::bowl::spacer::{Bending, HOT, SpacerPlan};
use crate::bowl::tacks::APART;
use crate::job::Job;
use crate::json::{self, all_mm, mm, object};
use crate::show::units::length;
use crate::show::wrap::paragraph;

/// From memory; what a hot iron asks for.
const IRON: &str = "Caution: a bending iron burns skin and sets fire to shavings and dust. Clear both away, keep a hand's \
    width from the iron, let nobody else reach it, switch it off when you leave. Local rules and licensed practice decide.";
/// IARC and NIOSH, as the README says.
const DUST: &str = "Caution: wood dust is carcinogenic (IARC, Group 1), and some hardwoods sensitise skin and airways. \
    Extract it where it arises and wear a mask when you thickness strips; follow local rules.";

/// Writes how to make and set a spacer, at most 80 columns wide.
///
/// # Errors
///
/// Those of the stream.
pub fn spacer_text(job: &Job, plan: &SpacerPlan, out: &mut impl Write) -> io::Result<()> {
    paragraph(out, "", &length_said(job, plan))?;
    paragraph(out, "", &bending(job, plan))?;
    writeln!(out)?;
    paragraph(out, "", &tacks(job, plan))?;
    writeln!(out, "\nOrder of work:")?;
    for (i, step) in steps(plan).into_iter().enumerate() {
        paragraph(out, &format!("{:2}. ", i + 1), step)?;
    }
    writeln!(out)?;
    cautions(plan).into_iter().try_for_each(|text| paragraph(out, "", text))
}

/// How to make and set a spacer: sentences, the steps of the work, cautions.
pub(crate) fn spacer_said(
    job: &Job,
    plan: &SpacerPlan,
) -> ([String; 3], Vec<&'static str>, Vec<&'static str>) {
    ([length_said(job, plan), bending(job, plan), tacks(job, plan)], steps(plan), cautions(plan))
}

fn cautions(plan: &SpacerPlan) -> Vec<&'static str> {
    let iron = (plan.bending != Bending::Cold).then_some(IRON);
    iron.into_iter().chain([DUST]).collect()
}

fn length_said(job: &Job, plan: &SpacerPlan) -> String {
    let say = |mm: f64| job.unit.say(mm);
    format!(
        "{}Cut the spacer {} long: {} along the joint line between the end stations and {} at each end. Section {} by {} \
         high.",
        titled(job.title.as_deref()),
        say(plan.length()),
        say(plan.arc),
        say(plan.allowance),
        say(plan.section.width),
        say(plan.section.height)
    )
}

fn bending(job: &Job, plan: &SpacerPlan) -> String {
    let percent = |v: f64| format!("{:.2} %", 100.0 * v);
    let (at, radius) = plan.tightest;
    let wood = plan.wood.map_or("a wood not named here".to_owned(), |w| w.name.to_owned());
    let source = match plan.wood {
        Some(_) => "rupture over elasticity, Wood Handbook figures",
        None => "from memory",
    };
    let what = match plan.bending {
        Bending::Cold => "It follows cold: that is at most half of what breaks it.",
        Bending::Hot => "Bend it over a hot iron before you glue it.",
        Bending::TooTight => "Too tight even for a hot iron: make it lower, or of two layers.",
    };
    format!(
        "{what} At its tightest, station {}, the joint line has a radius of {}, which strains the strip's outside by {}. \
         Dry {wood} breaks at about {} ({source}); hot and damp it takes about {} (from memory; common practice, no \
         source).",
        job.stations.get(at).map_or("", |s| s.name.as_str()),
        job.unit.say(radius),
        percent(plan.strain),
        percent(plan.breaks),
        percent(HOT)
    )
}

fn tacks(job: &Job, plan: &SpacerPlan) -> String {
    let places: Vec<String> = plan.tacks.at.iter().map(|mm| length(*mm, job.unit)).collect();
    format!(
        "Tacks: {}, at {} along the joint line from station {}: {} to {} apart (common practice, no source), {} clear of \
         every station.",
        places.len(),
        places.join(", "),
        job.stations.first().map_or("1", |s| s.name.as_str()),
        job.unit.say(APART[0]),
        job.unit.say(APART[1]),
        job.unit.say(plan.tacks.clear)
    )
}

/// Common practice, no source.
fn steps(plan: &SpacerPlan) -> Vec<&'static str> {
    let mut steps = vec![
        "Plane the strip to its width and height, and check that it lies in the joint's curve without force.",
        "Try everything dry: strip, rib and tacks. Read the joint once more with the strip in it.",
        "Drill for the tacks; keep clear of the stations, where marks are.",
        "Wax or tape the mold under the joint, so that nothing sticks to it.",
        "Glue the strip to the fitted rib, tacks from the middle to both ends, and wipe off what squeezes out.",
        "When the glue has set, level the strip to the rib's edge and pull the tacks where the next rib is to lie.",
        "Glue the next rib to it, from its highest rise to both ends.",
    ];
    if plan.bending != Bending::Cold {
        steps.insert(
            1,
            "Damp the strip and bend it over the hot iron, a little past the curve; let it cool in shape.",
        );
    }
    steps
}

/// The spacer as pretty-printed JSON, lengths in mm, without a newline at its end.
///
/// # Errors
///
/// Only if it cannot be written as JSON, which no valid one causes.
pub fn spacer_json(job: &Job, plan: &SpacerPlan) -> serde_json::Result<String> {
    let (at, radius) = plan.tightest;
    json::answer(object! {
        length_mm: mm(plan.length()),
        joint_mm: mm(plan.arc),
        allowance_mm: mm(plan.allowance),
        width_mm: mm(plan.section.width),
        height_mm: mm(plan.section.height),
        tightest_station: job.stations.get(at).map_or("", |s| &s.name),
        radius_mm: mm(radius),
        strain: plan.strain,
        breaks_at: plan.breaks,
        hot: HOT,
        bending: plan.bending,
        tacks_mm: all_mm(&plan.tacks.at),
        tacks_clear_mm: mm(plan.tacks.clear),
    })
}
