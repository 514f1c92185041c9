//! What if wood came off here: a slider a station.

use maud::{Markup, html};
use serde::Deserialize;
use serde_json::json;

use super::{Joint, words};
use crate::advice::{self, Advice, Verdict, WhatIf, leverage_said};
use crate::job::Job;
use crate::page::answer::{Answered, Refusal, Status, json, page};
use crate::page::frame::{Frame, picture};
use crate::page::site::Site;
use crate::seat::Seated;
use crate::show::draw::{self, CaptionedRib, Scene};
use crate::show::{self, cell};

/// Shows the sliders.
pub(in crate::page) fn show(site: &Site, joint: &Joint) -> Answered {
    let title = format!("Try, {}", joint.title());
    let frame = Frame { title: &title, joint: Some(joint), view: "try", script: Some("try.js") };
    Ok(page(frame.around(sliders(joint, &site.worked(joint).advice))))
}

fn sliders(joint: &Joint, advice: &Advice) -> Markup {
    let reach = Reach::of(&joint.job, advice);
    html! {
        h1 { "Try a cut" }
        p.about { "What if wood came off here? Nothing is planed and nothing is written. A slider moves by a shaving of " (joint.job.unit.say(reach.step)) "." }
        p #lies .todo {}
        div.bench {
            form #cuts autocomplete="off" {
                h2 { "Wood off at each station" }
                ol.sliders {
                    @for (i, station) in joint.job.stations.iter().enumerate() {
                        li { (reach.slider(&joint.job, i, &show::clean(&station.name), advice.stations[i].remove_now)) }
                    }
                }
                div.actions {
                    @if advice.verdict == Verdict::Plane { button type="reset" .button { "The advised strokes" } }
                    button type="button" #none .button { "All to 0" }
                }
            }
            section aria-labelledby="then-head" {
                h2 #then-head { "Where it would come to rest" }
                div #then {}
                p #said .unseen role="status" aria-live="polite" {}
            }
        }
    }
}

/// How far the sliders go and by how much they move, mm.
struct Reach {
    most: f64,
    step: f64,
}

impl Reach {
    /// A few shavings beyond all that is still to come off; at least half a millimetre.
    fn of(job: &Job, advice: &Advice) -> Reach {
        let step = job.planes.iter().map(|p| p.shaving).fold(f64::INFINITY, f64::min);
        let still =
            advice.stations.iter().flat_map(|s| [s.remove, s.remove_now]).flatten().fold(0.0, f64::max);
        Reach { most: ((still.max(0.5) / step).ceil() + 3.0) * step, step }
    }

    /// It begins where the advised strokes would bring it, to the nearest shaving.
    fn slider(&self, job: &Job, station: usize, name: &str, now: Option<f64>) -> Markup {
        let exact = |mm: f64| show::exact(mm, job.unit);
        let start = (now.unwrap_or(0.0) / self.step).round() * self.step;
        html! {
            label for={ "cut-" (station) } { (name) }
            input type="range" #{ "cut-" (station) } min="0" max=(exact(self.most)) step=(exact(self.step)) value=(exact(start)) data-unit=(words::unit(job));
            output for={ "cut-" (station) } { (exact(start)) " " (words::unit(job)) }
        }
    }
}

#[derive(Debug, Deserialize)]
pub(in crate::page) struct Sent {
    /// Wood off at each station, in the folder's unit.
    cut: Vec<f64>,
}

/// Answers a slider.
pub(in crate::page) fn seat(site: &Site, name: &str, sent: Sent) -> Answered {
    let joint = site.joint(name)?;
    let sound =
        sent.cut.len() == joint.job.stations.len() && sent.cut.iter().all(|c| (0.0..=25.0).contains(c));
    if !sound {
        return Err(Refusal::stale());
    }
    let cut: Vec<f64> = sent.cut.iter().map(|c| c * joint.job.unit.mm()).collect();
    let answer = advice::what_if(&joint.job, &cut, &joint.options())
        .map_err(|why| Refusal::new(Status::Unprocessable, why))?;
    let said = summary(&joint.job, &answer);
    let drawn = both_edges(&joint, &site.worked(&joint).advice, &answer);
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
