//! How the work went, round by round.

use maud::{Markup, html};

use super::Joint;
use crate::advice::{self, Hits, PastRound};
use crate::job::{Against, Job};
use crate::page::answer::{Answered, page};
use crate::page::frame::Frame;
use crate::page::site::Site;
use crate::show::{self, cell};

/// Shows it.
pub(in crate::page) fn show(_: &Site, joint: &Joint) -> Answered {
    let title = format!("History, {}", joint.title());
    let frame = Frame { title: &title, joint: Some(joint), view: "history", script: None };
    let told = match advice::past(&joint.job, &joint.options()) {
        Ok(rounds) => told(joint, &rounds),
        Err(missing) => html! { p { (missing) } },
    };
    Ok(page(frame.around(html! { h1 { "History" } p.about { (joint.title()) ". Lengths in " (show::plural(joint.job.unit)) "." } (told) })))
}

fn told(joint: &Joint, rounds: &[PastRound]) -> Markup {
    html! {
        div.wide role="group" aria-label="All rounds, in a table" tabindex="0" { (table(&joint.job, rounds)) }
        (foreseen(rounds))
        h2 { "What was planed" }
        @for (k, round) in joint.job.rounds.iter().enumerate() {
            h3 { "After round " (k + 1) }
            @if round.strokes.is_empty() { p { "Nothing is recorded." } }
            @else { ol.done { @for stroke in &round.strokes { li { (show::done_text(&joint.job, &stroke.named(&joint.job))) } } } }
        }
    }
}

fn table(job: &Job, rounds: &[PastRound]) -> Markup {
    let cell = |v: Option<f64>| cell(v, job.unit);
    let share = |v: Option<f64>| v.map_or("–".to_owned(), |v| format!("{:.0} %", 100.0 * v));
    html! {
        table {
            thead {
                tr { th rowspan="2" scope="col" { "round" } th colspan="2" scope="colgroup" { "widest gap" } th colspan="2" scope="colgroup" { "widest lift" }
                    th rowspan="2" scope="col" { "strokes" } th colspan="2" scope="colgroup" { "wood taken" } th colspan="2" scope="colgroup" { "foreseen" } }
                tr { th scope="col" { "read" } th scope="col" { "estimated" } th scope="col" { "read" } th scope="col" { "estimated" }
                    th scope="col" { "mean" } th scope="col" { "most" } th scope="col" { "1 sd" } th scope="col" { "2 sd" } }
            }
            tbody {
                @for (k, r) in rounds.iter().enumerate() {
                    @let hits = r.hits.fractions();
                    tr {
                        th scope="row" { (k + 1) (how(r)) }
                        td { (cell(r.read.gap)) } td { (cell(r.estimated.gap)) } td { (cell(r.read.lift)) } td { (cell(r.estimated.lift)) }
                        td { (r.strokes) } td { (cell(r.wood.map(|w| w.0))) } td { (cell(r.wood.map(|w| w.1))) }
                        td { (share(hits.map(|h| h.0))) } td { (share(hits.map(|h| h.1))) }
                    }
                }
            }
        }
    }
}

fn how(round: &PastRound) -> &'static str {
    match (round.against, round.rebent) {
        (Against::Line, _) => " against a line",
        (_, true) => " bent again",
        _ => "",
    }
}

fn foreseen(rounds: &[PastRound]) -> Markup {
    html! { p.about { (show::foreseen_said(&Hits::all(rounds.iter().map(|r| r.hits)))) } }
}
