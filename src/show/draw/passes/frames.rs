//! The passes one at a time: a sheet for the edge as it is now and one after
//! each stroke, for a picture that moves and for a slider on a page.

use super::super::frame::{Along, Plot, SMALL, WIDTH, heading, heights, key, subject};
use super::super::sheet::Sheet;
use super::super::style::AFTER;
use super::{BAR, aim, curve, description, edges, entries, pass, scale};
use crate::advice::Advice;
use crate::job::Job;
use crate::show::strokes::planned_text;

/// Left side of the plot.
const LEFT: f64 = 84.0;
/// Height of the plot.
const HEIGHT: f64 = 240.0;

/// The edge now, then after each stroke of an answer: sheets of one size, on one
/// scale, their marks as in [`passes`](super::passes).
pub fn pass_frames(job: &Job, advice: &Advice) -> Vec<Sheet> {
    all(job, advice, WIDTH)
}

/// The same for the screen of a phone.
pub fn narrow_frames(job: &Job, advice: &Advice) -> Vec<Sheet> {
    all(job, advice, SMALL)
}

fn all(job: &Job, advice: &Advice, width: f64) -> Vec<Sheet> {
    let edges = edges(job, advice);
    (0..=advice.strokes.len()).map(|k| frame(job, advice, &edges, (k, width))).collect()
}

/// The sheet after the first `k` strokes.
fn frame(job: &Job, advice: &Advice, edges: &[Vec<Option<f64>>], (k, width): (usize, f64)) -> Sheet {
    let words = words(job, advice, k);
    let title = format!("{words}: {}", subject(job, advice));
    let mut sheet = Sheet::new(format!("pass-{k}"), width, title, description(job, advice));
    let y = heading(&mut sheet, &words, &subject(job, advice));
    let bar = key(&mut sheet, y, &entries(advice)) + 6.0;
    let along = Along::new(job, advice, LEFT).on(width);
    let top = bar + BAR + 12.0;
    let plot = Plot { left: LEFT, right: along.right, top, bottom: top + HEIGHT };
    let height = scale(job, edges, (plot.bottom, plot.top));
    along.guides(&mut sheet, bar, plot.bottom);
    heights(&mut sheet, &height, &plot, format!("edge over the surface aimed at, {}", job.unit.symbol()));
    let curves = super::curves(&along, &edges[..=k], &height);
    match k.checked_sub(1) {
        Some(i) => {
            super::bar(&mut sheet, &along, job, (i, &advice.strokes[i]), bar);
            pass(&mut sheet, &along, &height, &curves[i], &curves[k]);
        }
        None => {
            aim(&mut sheet, &along, &height);
            curves[0].iter().for_each(|run| curve(&mut sheet, AFTER, run));
        }
    }
    sheet.height = along.ground(&mut sheet, plot.bottom + 10.0);
    sheet
}

/// What this sheet shows, in a few words.
fn words(job: &Job, advice: &Advice, k: usize) -> String {
    match k.checked_sub(1) {
        Some(i) => format!("{k} of {}: {}", advice.strokes.len(), planned_text(job, &advice.strokes[i])),
        None => "The edge now".to_owned(),
    }
}
