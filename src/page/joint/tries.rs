//! What if wood came off here: a slider a station.

use axum::http::StatusCode;
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::json;

use super::{Joint, words};
use crate::advice::{self, Advice, WhatIf, leverage_said};
use crate::job::{Job, Unit};
use crate::page::answer::{Answered, Refusal, json, page};
use crate::page::frame::{Frame, picture};
use crate::page::site::Site;
use crate::seat::Seated;
use crate::show::draw::{self, CaptionedRib, Scene};
use crate::show::{self, cell};

/// Shows the sliders.
pub(in crate::page) fn show(_: &Site, joint: &Joint) -> Answered {
    let title = format!("Try, {}", joint.title());
    let frame = Frame { title: &title, joint: Some(joint), view: "try", script: Some("try.js") };
    Ok(page(frame.around(sliders(joint))))
}

fn sliders(joint: &Joint) -> Markup {
    html! {
        h1 { "Try a cut" }
        p.about { "What if wood came off here? Nothing is planed and nothing is written; lengths in " (show::plural(joint.job.unit)) "." }
        p #lies .todo {}
        div.bench {
            form #cuts autocomplete="off" {
                h2 { "Wood off at each station" }
                ol.sliders {
                    @for (i, station) in joint.job.stations.iter().enumerate() {
                        li { (slider(&joint.job, i, &show::clean(&station.name))) }
                    }
                }
                div.actions { button type="reset" .button { "All to 0" } }
            }
            section aria-labelledby="then-head" {
                h2 #then-head { "Where it would come to rest" }
                div #then {}
                p #said .unseen role="status" aria-live="polite" {}
            }
        }
    }
}

fn slider(job: &Job, station: usize, name: &str) -> Markup {
    // Half a millimetre is more than any round takes at a station.
    let (most, step) = if job.unit == Unit::Mm { ("0.5", "0.01") } else { ("0.02", "0.001") };
    html! {
        label for={ "cut-" (station) } { (name) }
        input type="range" #{ "cut-" (station) } min="0" max=(most) step=(step) value="0";
        output for={ "cut-" (station) } { "0" }
    }
}

#[derive(Debug, Deserialize)]
pub(in crate::page) struct Sent {
    /// Wood off at each station, in the folder's unit.
    cut: Vec<f64>,
}

/// Answers a slider.
pub(in crate::page) fn seat(site: &Site, name: String, sent: Sent) -> Answered {
    let joint = site.joint(&name)?;
    let sound =
        sent.cut.len() == joint.job.stations.len() && sent.cut.iter().all(|c| (0.0..=25.0).contains(c));
    if !sound {
        return Err(Refusal::stale());
    }
    let cut: Vec<f64> = sent.cut.iter().map(|c| c * joint.job.unit.mm()).collect();
    let answer = advice::what_if(&joint.job, &cut, &joint.options())
        .map_err(|why| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, why))?;
    let said = summary(&joint.job, &answer);
    let drawn = both_edges(&joint, &site.answer(&joint).advice, &answer);
    Ok(json(&json!({ "then": then(&joint.job, &answer, &drawn).into_string(), "said": said })))
}

/// Where it bears, and the widest gap and lift.
fn summary(job: &Job, answer: &WhatIf) -> String {
    let names: Vec<String> =
        answer.after.bearings.iter().map(|&i| show::clean(&job.stations[i].name)).collect();
    let most = |pick: fn(&crate::joint::Clearances) -> f64| {
        let widest = answer.after.clearances.iter().map(pick).fold(0.0, f64::max);
        job.unit.say(widest)
    };
    format!(
        "It bears at {}. Widest gap {}, widest lift {}.",
        names.join(", "),
        most(|c| c.gap),
        most(|c| c.lift)
    )
}

/// Both edges, as the rib lies and as it would lie.
fn both_edges(joint: &Joint, advice: &Advice, answer: &WhatIf) -> Markup {
    let frames = crate::joint::Joint::of(&joint.job);
    let scene = Scene::of(&joint.job, &frames, advice);
    // How it lies is all that this picture shows.
    let [before, after] = [&answer.before, &answer.after].map(|rest| Seated {
        edge: Vec::new(),
        spring: Vec::new(),
        rest: rest.clone(),
    });
    let planned = answer.cut.iter().any(|c| *c > 0.0);
    let shown = |rib, words| CaptionedRib { words, rib };
    let then = planned.then(|| shown(&after, "after the cut"));
    let drawn = |scene: &Scene| draw::both_edges(scene, shown(&before, "now"), then);
    picture(drawn(&scene.narrow()), &drawn(&scene), "Both edges")
}

fn then(job: &Job, answer: &WhatIf, drawn: &Markup) -> Markup {
    html! {
        @for warning in answer.warnings.iter().filter(|w| w.code == "beyond-spare") { p.problem { (warning.text) } }
        (drawn)
        div.wide role="group" aria-label="Before and after, in a table" tabindex="0" { (table(job, answer)) }
        h3 { "What the bearings do" }
        ul { @for leverage in &answer.leverage { li { (leverage_said(job, leverage)) } } }
    }
}

fn table(job: &Job, answer: &WhatIf) -> Markup {
    let cell = |mm: f64| cell(Some(mm), job.unit);
    html! {
        table {
            thead {
                tr { th rowspan="2" scope="col" { "station" } th colspan="2" scope="colgroup" { "gap" } th colspan="2" scope="colgroup" { "lift" } }
                tr { th scope="col" { "before" } th scope="col" { "after" } th scope="col" { "before" } th scope="col" { "after" } }
            }
            tbody {
                @for (i, station) in job.stations.iter().enumerate() {
                    @let (before, after) = (&answer.before.clearances[i], &answer.after.clearances[i]);
                    tr {
                        th scope="row" { (show::clean(&station.name)) @if answer.after.bearings.contains(&i) { span.bears { " bears" } } }
                        td { (cell(before.gap)) } td { (cell(after.gap)) " ± " (cell(answer.after_sd[i].gap)) }
                        td { (cell(before.lift)) } td { (cell(after.lift)) " ± " (cell(answer.after_sd[i].lift)) }
                    }
                }
            }
        }
        p.about { "After: ± one standard uncertainty, in " (words::unit(job)) "." }
    }
}
