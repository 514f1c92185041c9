//! What else a joint and its bowl ask for: a shim under the rib, the spacer, moisture.

use maud::{Markup, html};

use super::answer::{Answered, Refusal, Status, page};
use super::folder::Kind;
use super::frame::{Frame, picture};
use super::joint::Joint;
use super::site::Site;
use crate::advice;
use crate::bowl::moisture::movement;
use crate::bowl::shim::{Need, Shims};
use crate::bowl::spacer::{ALLOWANCE, spacer};
use crate::job::Job;
use crate::job::bowl::{BowlSettings, read_bowl};
use crate::seat::wood::Wood;
use crate::show::{self, cell, draw};

fn refused(why: impl ToString) -> Refusal {
    Refusal::new(Status::Unprocessable, why.to_string())
}

/// Where a shim goes under the rib of a joint.
pub(super) fn shim(_: &Site, joint: &Joint) -> Answered {
    let opened = advice::open(&joint.folder)?;
    let usual = BowlSettings::default().thinnest;
    let thinnest = opened.bowl.as_ref().map_or(usual, |(bowl, _)| bowl.settings.thinnest);
    let title = format!("Shim, {}", joint.title());
    let frame = Frame { title: &title, joint: Some(joint), view: "shim", script: None };
    let found = advice::shims(&opened, thinnest);
    Ok(page(frame.around(html! {
        h1 { "A shim under the rib" }
        p.about { (joint.title()) ". Lengths in " (show::plural(joint.job.unit)) "." }
        @match found {
            Err(missing) => { p { (missing) } }
            Ok(shims) => {
                @for text in show::bowl::shims_said(&joint.job, &shims, thinnest) { p.todo { (text) } }
                (picture(draw::narrow_shims(&joint.job, &shims), &draw::shims(&joint.job, &shims), "The shim's wedge"))
                (stands_off(&joint.job, &shims))
            }
        }
    })))
}

fn stands_off(job: &Job, shims: &Shims) -> Markup {
    let shown = |v: Option<f64>| cell(v, job.unit);
    let word = |need| match need {
        Need::None => "",
        Need::Unsure => "perhaps",
        Need::Shim => "yes",
    };
    html! {
        div.wide role="group" aria-label="How far the rib stands off at every station, in a table" tabindex="0" {
            table {
                thead { tr { th scope="col" { "station" } th scope="col" { "stands off" } th scope="col" { "step without" } th scope="col" { "left levelled" } th scope="col" { "shim" } } }
                tbody {
                    @for (station, s) in job.stations.iter().zip(&shims.stations) {
                        tr {
                            th scope="row" { (show::clean(&station.name)) } td { (shown(Some(s.spring))) " ± " (shown(Some(s.sd))) }
                            td { (shown(Some(s.step))) } td { (shown(s.left)) } td { (word(s.need)) }
                        }
                    }
                }
            }
        }
        p.about { "± one standard uncertainty. Stands off: what no pose of the rib explains." }
    }
}

/// The strip between the two ribs of a joint.
pub(super) fn strip(_: &Site, joint: &Joint) -> Answered {
    let opened = advice::open(&joint.folder)?;
    let job = &opened.job;
    let title = format!("Spacer, {}", joint.title());
    let frame = Frame { title: &title, joint: Some(joint), view: "spacer", script: None };
    if job.stations.len() < 3 {
        return Err(refused(
            "The joint has fewer than three stations: its curve is unknown. Next: measure more of them.",
        ));
    }
    let section = opened.bowl.as_ref().and_then(|(bowl, _)| bowl.settings.spacer).unwrap_or_default();
    let plan = spacer(job, section, job.wood.as_deref().and_then(Wood::named), ALLOWANCE);
    let (said, steps, cautions) = show::bowl::spacer_said(job, &plan);
    Ok(page(frame.around(html! {
        h1 { "The spacer" }
        @for text in said { p { (text) } }
        (picture(draw::narrow_tacks(job, &plan), &draw::tacks(job, &plan), "Where the tacks go"))
        h2 { "Order of work" }
        ol.done { @for step in steps { li { (step) } } }
        @for caution in cautions { p.caution { (caution) } }
    })))
}

/// What moisture does to the bowl's ribs.
pub(super) fn moisture(site: &Site) -> Answered {
    if site.folder.kind != Kind::Bowl {
        return Err(Refusal::unknown());
    }
    let bowl = read_bowl(&site.folder.path)?;
    let frame = Frame { title: "Moisture", joint: None, view: "moisture", script: None };
    let (unit, even) = (bowl.settings.unit, bowl.settings.even);
    let widest = bowl.joints.iter().flat_map(|j| &j.job.stations).map(|s| s.width).fold(0.0, f64::max);
    let moves = movement(&bowl.settings, widest);
    Ok(page(frame.around(html! {
        h1 { "Moisture" }
        @match moves {
            Err(missing) => { p { (missing) } }
            Ok(moves) => {
                p.todo { (show::bowl::movement_said(&moves, unit, even)) }
                p { (show::bowl::movement_next(&moves, even)) }
                p.about { (show::bowl::MOVEMENT_SOURCE) }
            }
        }
        p.actions { a.button href="/" { "To the bowl" } }
    })))
}
