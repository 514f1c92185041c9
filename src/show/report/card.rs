//! The card for the bench: what to do now, strokes to tick off, what to read next.

use maud::{Markup, PreEscaped, html};

use super::super::draw::{Album, Sheet, removal_strip};
use super::super::names::clean;
use super::super::table::{CAUTION, CHECK, headline};
use super::super::units::{cell, plural};
use crate::advice::{Advice, PlannedStroke, StationAdvice, Verdict};
use crate::job::{Job, Measured};

/// The first thing on the page.
pub(super) fn card(album: &Album) -> Markup {
    let (job, advice) = (album.job, album.advice);
    html! {
        section #card {
            p.verdict { (headline(advice.verdict)) }
            p { (clean(&advice.reason)) }
            @if advice.verdict == Verdict::Plane {
                (strokes(job, advice))
                p.caution { (CAUTION) }
            }
            (map(job, advice))
            (stations(job, advice))
        }
    }
}

/// What comes off where, small enough for the card.
fn map(job: &Job, advice: &Advice) -> Markup {
    let strip = Sheet { name: "card-map".into(), ..removal_strip(job, advice) };
    html! {
        figure.strip {
            (PreEscaped(strip.inline()))
            figcaption.notes { "Bars: what comes off now. Line and band: what is still to come off in the end." }
        }
    }
}

fn strokes(job: &Job, advice: &Advice) -> Markup {
    html! {
        h2 { "Strokes, in this order" }
        ol.strokes {
            @for stroke in &advice.strokes { li { (stroke_line(job, stroke)) } }
        }
        @if advice.strokes.iter().any(|s| s.check) { p { (CHECK) } }
        p { "Then write down in strokes.csv what you really took, and read again." }
    }
}

/// A stroke with a box to tick for each push.
fn stroke_line(job: &Job, stroke: &PlannedStroke) -> Markup {
    let named = stroke.named(job);
    let plane = &job.planes[stroke.plane];
    let depth = job.unit.say(f64::from(stroke.count) * plane.shaving);
    html! {
        span.what {
            b { (clean(&named.plane)) } ", station " b { (clean(&named.from)) } " to " b { (clean(&named.to)) }
            ", " (stroke.count) @if stroke.count == 1 { " stroke" } @else { " strokes" } " (" (depth) ")"
            @if stroke.check { ": the check" }
        }
        span.boxes {
            @for push in 1..=stroke.count {
                input type="checkbox" aria-label={ "push " (push) " of " (stroke.count) " taken" };
            }
        }
    }
}

/// The figures of the answer, a row a station, with room for the next readings.
fn stations(job: &Job, advice: &Advice) -> Markup {
    let place = match job.measured {
        Measured::Along => "along",
        Measured::Arc => "arc",
    };
    html! {
        h2 { "Station by station" }
        table.figures {
            thead {
                tr {
                    th rowspan="2" scope="col" { "station" }
                    th rowspan="2" scope="col" { (place) }
                    th colspan="2" scope="colgroup" { "comes off" }
                    th colspan="2" scope="colgroup" { "should read next" }
                    th colspan="2" scope="colgroup" { "read" }
                }
                tr {
                    @for head in ["in the end", "now", "gap", "lift", "gap", "lift"] { th scope="col" { (head) } }
                }
            }
            tbody {
                @for (i, station) in advice.stations.iter().enumerate() { (row(job, advice, i, station)) }
            }
        }
        p.notes {
            "Lengths in " (plural(job.unit)) "; ± one standard uncertainty."
            @if !advice.bearings.is_empty() { " ▲ the joint edge bears here now." }
        }
    }
}

fn row(job: &Job, advice: &Advice, i: usize, station: &StationAdvice) -> Markup {
    let cell = |v: Option<f64>| cell(v, job.unit);
    let place = match job.measured {
        Measured::Along => station.along,
        Measured::Arc => station.arc,
    };
    let sd = station.remove.and(station.remove_sd).map(|_| format!(" ± {}", cell(station.remove_sd)));
    html! {
        tr {
            th scope="row" { (clean(&station.name)) @if advice.bearings.contains(&i) { " ▲" } }
            td { (cell(Some(place))) }
            td { (cell(station.remove)) (sd.unwrap_or_default()) }
            td.now { (cell(station.remove_now)) }
            td { (cell(station.gap_after)) }
            td { (cell(station.lift_after)) }
            td.write {} td.write {}
        }
    }
}
