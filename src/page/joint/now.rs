//! The first page of a joint: what to do now, how sure it is, and why.

use maud::{Markup, html};

use super::{Joint, correct, lost, strokes, words};
use crate::advice::{Advice, StationAdvice, Verdict, counted};
use crate::job::{Against, Job};
use crate::page::answer::{Answered, page};
use crate::page::folder::Kind;
use crate::page::frame::{Frame, two};
use crate::page::site::Site;
use crate::show::{self, cell, draw};

/// Shows it.
pub(in crate::page) fn show(site: &Site, joint: &Joint) -> Answered {
    let answer = site.worked(joint);
    let advice = &answer.advice;
    let frame = Frame { title: &joint.title(), joint: Some(joint), view: "", script: Some("strokes.js") };
    Ok(page(frame.around(body(joint, advice))))
}

fn body(joint: &Joint, advice: &Advice) -> Markup {
    html! {
        div.head {
            h1 { (joint.title()) }
            p.about { (about(&joint.job)) }
        }
        (lost::note(joint))
        @if joint.job.rounds.is_empty() { (first(joint, advice)) } @else { (answered(joint, advice)) }
    }
}

fn about(job: &Job) -> String {
    let stations = counted(job.stations.len(), "station");
    let lengths = show::plural(job.unit);
    match job.rounds.last() {
        None => format!("{}, lengths in {lengths}. No round is read yet.", show::capital(&stations)),
        Some(last) => {
            let against = if last.against == Against::Line { " against a line" } else { "" };
            format!("Round {}{against}, {stations}, in {lengths}.", job.rounds.len())
        }
    }
}

fn first(joint: &Joint, advice: &Advice) -> Markup {
    html! {
        div.verdict.none {
            h2 { "Read" }
            p.todo { "Set the rib in place and read gap and lift at each station." }
            (read_next(&joint.job, advice))
            p { "Hold it as lightly as you will in every round, pushed home against its neighbour." }
        }
        (reading(joint))
        (mind(advice_warnings(joint)))
    }
}

/// What to read next, where anything is.
fn read_next(job: &Job, advice: &Advice) -> Markup {
    html! { @if let Some(next) = &advice.read_next { p { (show::read_next_text(job, next)) } } }
}

fn advice_warnings(joint: &Joint) -> Vec<String> {
    joint.job.warnings.iter().map(|w| w.text.clone()).collect()
}

fn answered(joint: &Joint, advice: &Advice) -> Markup {
    let planed = joint.job.rounds.last().is_some_and(|last| !last.strokes.is_empty());
    html! {
            div.bench {
                div {
                    @if planed { (strokes::recorded(joint)) (reading(joint)) (strokes::more(joint)) }
                    @else {
                        @if advice.verdict == Verdict::Plane { (strokes::to_take(joint, advice)) }
    @else {
                            (words::verdict(advice)) (read_next(&joint.job, advice)) (correct::ways(joint, advice))
                            (onward(joint, advice)) (strokes::more(joint))
                        }
                    }
                    (correct::all(joint))
                    p.actions {
                        a.button.small href=(joint.at("shim")) { "A shim under the rib" }
                        a.button.small href=(joint.at("spacer")) { "The spacer" }
                    }
                }
                section aria-labelledby="map-head" {
                    h2 #map-head .unseen { "What comes off" }
                    (map(&joint.job, advice))
                    (stations(joint, advice))
                }
            }
            (mind(advice.warnings.iter().map(|w| w.text.clone()).collect()))
        }
}

/// The way to the next round.
fn reading(joint: &Joint) -> Markup {
    html! {
        p.actions { a.button.main href=(joint.at("read")) { "Read round " (joint.next_round()) } }
    }
}

/// The way that the verdict asks for: a joint that is fitted leads on in its bowl.
fn onward(joint: &Joint, advice: &Advice) -> Markup {
    if advice.verdict != Verdict::Fitted || joint.of != Kind::Bowl {
        return reading(joint);
    }
    html! {
        p.actions {
            a.button.main href=(joint.at("mark")) { "Mark the outer edge" }
            a.button href="/" { "On with the bowl" }
            a.button.quiet href=(joint.at("read")) { "Read round " (joint.next_round()) }
        }
    }
}

/// What else the maker should know.
pub(super) fn mind(warnings: Vec<String>) -> Markup {
    html! {
        @if !warnings.is_empty() {
            section.mind aria-labelledby="mind-head" {
                h2 #mind-head { "Mind" }
                ul { @for text in warnings { li { (text) } } }
            }
        }
    }
}

fn map(job: &Job, advice: &Advice) -> Markup {
    html! {
        div.picture role="group" aria-label="Removal map" tabindex="0" {
            (two(draw::removal_strip(job, advice), &draw::removal_map(job, advice)))
        }
        p.about { "Bars: what comes off now. Line and band: what is still to come off in the end, ± one standard uncertainty, in " (show::plural(job.unit)) ". ▲: it bears here." }
    }
}

/// The figures at every station.
pub(super) fn stations(joint: &Joint, advice: &Advice) -> Markup {
    html! {
        details.figures {
            summary { "Figures at every station" }
            (table(&joint.job, advice))
        }
    }
}

pub(super) fn table(job: &Job, advice: &Advice) -> Markup {
    let cell = |value| cell(value, job.unit);
    let end = |s: &StationAdvice| match s.remove_sd {
        Some(_) => format!("{} ± {}", cell(s.remove), cell(s.remove_sd)),
        None => cell(s.remove),
    };
    html! {
        div.wide role="group" aria-label="Figures at every station, in a table" tabindex="0" {
            table {
                thead {
                    tr { th rowspan="2" scope="col" { "station" } th colspan="2" scope="colgroup" { "read" }
                        th colspan="2" scope="colgroup" { "comes off" } th colspan="2" scope="colgroup" { "next" } }
                    tr { th scope="col" { "overlap" } th scope="col" { "lift" } th scope="col" { "in the end" }
                        th scope="col" { "now" } th scope="col" { "gap" } th scope="col" { "lift" } }
                }
                tbody {
                    @for (i, s) in advice.stations.iter().enumerate() {
                        tr {
                            th scope="row" { (show::clean(&s.name)) @if advice.bearings.contains(&i) { span.bears { " bears" } } }
                            td { (cell(s.overlap)) } td { (cell(s.lift)) } td { (end(s)) }
                            td { (cell(s.remove_now)) } td { (cell(s.gap_after)) } td { (cell(s.lift_after)) }
                        }
                    }
                }
            }
        }
        p.about { "± one standard uncertainty. A gap is a negative overlap." }
    }
}
