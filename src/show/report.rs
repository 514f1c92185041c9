//! The report of a joint: one page of HTML that needs nothing else, for the
//! screen and for paper. First the card for the bench, then pictures, readings,
//! reasons and cautions.

mod card;
mod cautions;
mod readings;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::draw::{Album, Picture, Sheet, pass_frames, pass_pages};
use super::names::clean;
use crate::advice::Advice;
use crate::job::Job;

/// What stands in the head of every report and of no other page, so that a report is known
/// as one before it is replaced.
pub(crate) const REPORT_MARK: &str = "<meta name=\"generator\" content=\"ribwright report\">";

/// Strokes on one picture: as many as fit on a sheet of paper.
const STROKES: usize = 6;

/// The page.
pub fn report(album: &Album) -> String {
    let title = title(album.job, album.advice);
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                (PreEscaped(REPORT_MARK))
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) " · ribwright" }
                style { (PreEscaped(include_str!("report/report.css"))) }
            }
            body {
                main {
                    h1 { (title) }
                    (card::card(album))
                    (pictures(album))
                    (readings::readings(album.job))
                    (reasons(album.advice))
                    (cautions::cautions())
                }
                script { (PreEscaped(include_str!("report/report.js"))) }
            }
        }
    };
    page.into_string()
}

/// Which joint, and as of which round.
fn title(job: &Job, advice: &Advice) -> String {
    let joint = job.title.as_deref().map_or("A joint".to_owned(), clean);
    match advice.round {
        Some(round) => format!("{joint}, round {round}"),
        None => format!("{joint}, no round read yet"),
    }
}

fn pictures(album: &Album) -> Markup {
    html! {
        section #pictures {
            h2 { "Pictures" }
            (figure(album.still(Picture::RemovalMap)))
            (passes(album))
            (figure(album.still(Picture::BothEdges)))
            (figure(album.still(Picture::Space)))
            (figure(album.still(Picture::Lever)))
            (figure(album.still(Picture::Sections)))
            @if album.past.len() > 1 { (figure(album.still(Picture::History))) }
        }
    }
}

/// One picture, if there is one, never cut by the end of a page.
fn figure(sheet: Option<Sheet>) -> Markup {
    html! {
        @if let Some(sheet) = sheet { figure { (PreEscaped(sheet.inline())) } }
    }
}

/// All strokes under one another; where scripts run, on the screen one at a time
/// instead, with a slider.
fn passes(album: &Album) -> Markup {
    let all = pass_pages(album.job, album.advice, STROKES);
    let edges = pass_frames(album.job, album.advice);
    let space = album.steps();
    html! {
        @if !all.is_empty() {
            div.passes {
                @for sheet in all { (figure(Some(sheet))) }
            }
            div.slider hidden {
                p {
                    label for="pass" { "Pass by pass: after stroke " output for="pass" { "0" } " of " (edges.len() - 1) }
                    input #pass type="range" min="0" max=(edges.len() - 1) value="0" step="1";
                }
                @for (k, edge) in edges.iter().enumerate() {
                    div.pass {
                        figure { (PreEscaped(edge.inline())) }
                        @if let Some(rib) = space.get(k) { figure { (PreEscaped(rib.inline())) } }
                    }
                }
            }
        }
    }
}

fn reasons(advice: &Advice) -> Markup {
    html! {
        section #reasons {
            h2 { "Reasons" }
            p { (clean(&advice.reason)) }
            @if let Some(surface) = &advice.surface {
                p { "The joint surface: " (clean(&surface.why)) }
            }
            @if !advice.warnings.is_empty() {
                h3 { "Mind" }
                ul { @for warning in &advice.warnings { li { (clean(&warning.text)) } } }
            }
        }
    }
}
