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
const STROKES: usize = 8;

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
                    (reasons(album.advice))
                    (readings::readings(album.job))
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

/// Room for pictures on a sheet of paper, A4 or Letter, mm: width and height.
const PAPER: [f64; 2] = [192.0, 247.0];
/// A picture's words stay legible down to this part of the paper's width.
const SMALLEST: f64 = 0.67;

/// As many on a sheet of paper as can be read there; what to do first, then what teaches.
fn pictures(album: &Album) -> Markup {
    let still = |picture| album.still(picture).map(|sheet| ("", sheet));
    let passes = pass_pages(album.job, album.advice, STROKES).into_iter().map(|sheet| ("passes", sheet));
    let first = still(Picture::RemovalMap).into_iter().chain(passes).chain(still(Picture::BothEdges));
    let past = still(Picture::History).filter(|_| album.past.len() > 1);
    let further = [past, still(Picture::Space), still(Picture::Lever), still(Picture::Sections)];
    html! {
        section #pictures {
            h2 { "Pictures" }
            (slider(album))
            @for page in pages(first.chain(further.into_iter().flatten()).collect()) { (leaf(page)) }
        }
    }
}

fn pages(sheets: Vec<(&'static str, Sheet)>) -> Vec<Vec<(&'static str, Sheet)>> {
    let mut pages: Vec<Vec<_>> = Vec::new();
    for sheet in sheets {
        let high = |page: &Vec<_>| heights(page) + heights(std::slice::from_ref(&sheet));
        match pages.last_mut().filter(|page| high(page) * SMALLEST * PAPER[0] <= PAPER[1]) {
            Some(page) => page.push(sheet),
            None => pages.push(vec![sheet]),
        }
    }
    pages
}

/// Heights of pictures under one another, as parts of their width.
fn heights(sheets: &[(&'static str, Sheet)]) -> f64 {
    sheets.iter().map(|(_, sheet)| sheet.height / sheet.width).sum()
}

/// Pictures on one sheet of paper, each as wide as all of them can be there.
fn leaf(sheets: Vec<(&'static str, Sheet)>) -> Markup {
    let part = (PAPER[1] / (PAPER[0] * heights(&sheets))).min(1.0);
    html! {
        div.leaf style={ "--part: " (format!("{:.1}%", 100.0 * part)) } {
            @for (class, sheet) in sheets { figure class=(class) { (PreEscaped(sheet.inline())) } }
        }
    }
}

/// Where scripts run, on the screen the strokes one at a time instead.
fn slider(album: &Album) -> Markup {
    let edges = pass_frames(album.job, album.advice);
    let space = album.steps();
    html! {
        @if !album.advice.strokes.is_empty() {
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
