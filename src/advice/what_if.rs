//! What if wood came off here: where the rib would come to rest.

use crate::job::{Job, Warning};
use crate::joint::{Clearance, Clearances, Joint};
use crate::maths::program::Failure;
use crate::seat::elastic::HeldRib;
use crate::seat::{self, Leverage, PushHome, Rest, press};

use super::reasons::doubted;
use super::words::{TRIED, capital};
use super::work::{Before, NoFigures, Options, Working, came_off, work_out};
use super::{unknown, warnings};

/// A rib before and after cuts that were only thought of. Lengths in mm.
#[derive(Debug, Clone)]
pub struct WhatIf {
    /// Wood taken at each station.
    pub cut: Vec<f64>,
    /// How the rib lies now.
    pub before: Rest,
    /// How it would lie.
    pub after: Rest,
    /// Standard uncertainty of the clearances after, at each station.
    pub after_sd: Vec<Clearances>,
    /// What 0.1 mm off each present bearing would do.
    pub leverage: Vec<Leverage>,
    /// Station and force (N) that would press each remaining gap closed, the rib held down on its
    /// mold; none where wood or thickness are unknown.
    pub forces: Option<Vec<(usize, f64)>>,
    /// What the maker should know.
    pub warnings: Vec<Warning>,
}

/// Seats the rib of a job's last round, less `cut` (mm at each station).
/// Strokes recorded after that round count as taken already.
///
/// # Errors
/// What the readings lack, as a sentence with the next step.
pub fn what_if(job: &Job, cut: &[f64], options: &Options) -> Result<WhatIf, String> {
    if let Some(missing) = unknown::missing(job) {
        return Err(capital(&missing));
    }
    let before = Before::last_round(job, options);
    let none = |why: NoFigures| capital(&unknown::no_figures(job, why));
    let w = work_out(job, &before, options).map_err(none)?;
    let since = taken_since(job, &before, options);
    let ribs = Ribs {
        joint: &w.joint,
        edge: less(&w.fit.edge, &since),
        spring: w.fit.spring.clone(),
        draws: w.chances.draws.iter().map(|d| (less(&d.edge, &since), d.spring.clone())).collect(),
    };
    let gone: Vec<f64> =
        (0..cut.len()).map(|i| since[i] + w.fit.taken.iter().map(|t| t.cut[i]).sum::<f64>()).collect();
    let mut warnings = doubts(job, &w);
    warnings.extend(beyond_spare(job, cut, &gone));
    ribs.cut(job, cut, &w.now, warnings).map_err(|why| none(why.into()))
}

/// All that makes the estimate uncertain.
fn doubts(job: &Job, w: &Working) -> Vec<Warning> {
    let last = w.fit.doubts.iter().filter(|d| Some(d.round) == job.last_round());
    let last = last.map(|d| Warning::new("doubtful-reading", doubted(job, d)));
    warnings::warnings(job, w).into_iter().chain(last).collect()
}

/// What strokes recorded after the last round took.
fn taken_since(job: &Job, before: &Before, options: &Options) -> Vec<f64> {
    let mut sum = vec![0.0; job.stations.len()];
    if job.rounds.last().is_none_or(|r| r.strokes.is_empty()) {
        return sum;
    }
    for group in came_off(job, before, options).unwrap_or_default() {
        sum.iter_mut().zip(&group.cut).for_each(|(s, c)| *s += c);
    }
    sum
}

/// The rib as estimated, and draws of it.
struct Ribs<'a> {
    joint: &'a Joint,
    edge: Vec<f64>,
    spring: Vec<f64>,
    draws: Vec<(Vec<f64>, Vec<f64>)>,
}

impl Ribs<'_> {
    fn cut(&self, job: &Job, cut: &[f64], near: &Rest, warnings: Vec<Warning>) -> Result<WhatIf, Failure> {
        let before = seat::seat(self.joint, &self.edge, &self.spring, near.pose)?;
        let left = less(&self.edge, cut);
        let after = seat::seat(self.joint, &left, &self.spring, before.pose)?;
        let leverage = seat::leverage(self.joint, &self.edge, &self.spring, &before, TRIED)?;
        let after_sd = self.spread(cut, &left, &after)?;
        let rib = HeldRib::of(job, self.joint).ok();
        let forces = rib.and_then(|rib| press::closing_force(&rib, &after.clearances));
        Ok(WhatIf { cut: cut.to_vec(), before, after, after_sd, leverage, forces, warnings })
    }

    /// Standard deviation of the clearances at each station over the draws.
    fn spread(&self, cut: &[f64], left: &[f64], after: &Rest) -> Result<Vec<Clearances>, Failure> {
        let mut push = PushHome::around(self.joint, left, &self.spring, after.pose)?;
        let mut rests: Vec<Vec<Clearances>> = Vec::new();
        for (edge, spring) in &self.draws {
            rests.push(push.rest(&less(edge, cut), spring)?);
        }
        let sd = |i: usize, of: Clearance| {
            let count = rests.len().max(1) as f64;
            let mean = rests.iter().map(|r| r[i][of]).sum::<f64>() / count;
            (rests.iter().map(|r| (r[i][of] - mean).powi(2)).sum::<f64>() / count).sqrt()
        };
        Ok((0..left.len()).map(|i| Clearances::each(|of| sd(i, of))).collect())
    }
}

fn less(edge: &[f64], cut: &[f64]) -> Vec<f64> {
    edge.iter().zip(cut).map(|(e, c)| e - c).collect()
}

/// A cut that would take more than the spare width at some station.
fn beyond_spare(job: &Job, cut: &[f64], gone: &[f64]) -> Option<Warning> {
    let spare = job.spare?;
    let over = |i: &usize| cut[*i] > 0.0 && gone[*i] + cut[*i] > spare;
    let at = (0..cut.len()).find(over)?;
    let text = format!(
        "This would take more than the spare width of {} at station {}: {} came off there already.",
        job.unit.say(spare),
        job.stations[at].name,
        job.unit.say(gone[at])
    );
    Some(Warning::new("beyond-spare", text))
}
