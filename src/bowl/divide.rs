//! What is left of the girth, shared out among the ribs that are left.
//!
//! ## Why is the even division the least in every sense?
//!
//! The ribs that are fitted can't change, and the sum of those left is given. Equal
//! shares are majorised by every other way to share that sum out (G. H. Hardy,
//! J. E. Littlewood, G. Polya, *Inequalities*, 1934, ch. 2; from memory), so every
//! symmetric convex measure of difference, the sum of squares and the largest
//! difference among them, is least for them. Least squares has no other minimum. The
//! largest difference has: a rib left may lie anywhere between the narrowest and the
//! widest of all without making it larger. That room is told as `free`.
//!
//! A joint takes more of the girth than its spacer: glue, and the gaps that stay. Where
//! ribs were measured in their places, girths tell how much, and the joints still to
//! come are reckoned with as much.
//!
//! Girths are read with errors, and edges are planed with long planes; so each
//! girth's departure from the plan is smoothed along the joint first, see
//! [`line`](super::line).

mod doubt;

use serde::Serialize;

use crate::job::Job;
use crate::job::bowl::{Bowl, Girth};
use crate::joint::Joint;

use super::along_mold;
use super::line::{Leeway, OddReading, line_through};

/// A girth may be far from the plan, and what is left uneven at every rib adds up.
const LOOSE: Leeway = Leeway { plane: 5.0, waves: 0.4 };

/// What joints take beyond their spacers is little.
const TAKES: Leeway = Leeway { plane: 0.15, waves: 0.1 };

/// Where a rib's width comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Source {
    /// Measured in its place.
    Measured,
    /// The difference of two girths, less the spacer.
    Girths,
    /// As laid out: it was never measured.
    #[serde(rename = "laid out")]
    Plan,
    /// Not fitted yet: its share.
    Share,
}

/// One rib's width at each station, along the mold, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct RibWidths {
    /// Where the figures come from.
    pub source: Source,
    /// The widths.
    pub at: Vec<f64>,
}

/// How far an edge has moved past its line, towards the far rim, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// The rib whose outer edge it is.
    pub rib: usize,
    /// At each station.
    pub at: Vec<f64>,
}

/// A girth that does not go with the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OddGirth {
    /// Ribs fitted when it was read.
    pub after: usize,
    /// Station (index), what was read and what the others say, mm.
    pub off: OddReading,
}

/// A measured width that does not go with the girths before and behind its rib.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OddWidth {
    /// The rib.
    pub rib: usize,
    /// Station (index), what was measured and what the girths say, mm.
    pub off: OddReading,
}

/// When a girth was read, as it is said: `with no rib fitted`, `after rib 3`.
pub fn when(after: usize) -> String {
    if after == 0 { "with no rib fitted".into() } else { format!("after rib {after}") }
}

/// The girth shared out. Lists have one entry a station, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Division {
    /// Ribs fitted.
    pub fitted: usize,
    /// Whether a girth was read; if not, all is as laid out.
    pub measured: bool,
    /// The last girth as read.
    pub read: Vec<Option<f64>>,
    /// The girth still to cover, smoothed.
    pub girth: Vec<f64>,
    /// Width of every rib as laid out.
    pub plan: Vec<f64>,
    /// Standard uncertainty of the shares.
    pub sd: Vec<f64>,
    /// Every rib, from the first.
    pub ribs: Vec<RibWidths>,
    /// What a joint takes beyond its spacer, as learned from girths and measured widths.
    pub take: Vec<f64>,
    /// Between these the widths of ribs left may lie without the largest difference growing.
    pub free: Vec<[f64; 2]>,
    /// Edges that were measured, in order.
    pub moved: Vec<Moved>,
    /// Girths that don't go with the others.
    pub odd: Vec<OddGirth>,
    /// Widths that don't go with the girths.
    pub odd_widths: Vec<OddWidth>,
}

impl Division {
    /// The share of the next rib at each station.
    pub fn next(&self) -> &[f64] {
        self.ribs.get(self.fitted).map_or(&[], |r| &r.at)
    }

    /// The largest difference of two ribs at a station, fitted ones and shares.
    pub fn difference(&self, station: usize) -> f64 {
        let widths = || self.ribs.iter().map(|r| r.at[station]);
        widths().fold(f64::NEG_INFINITY, f64::max) - widths().fold(f64::INFINITY, f64::min)
    }

    /// Root mean square of all ribs' differences from their mean at a station.
    pub fn spread(&self, station: usize) -> f64 {
        let count = self.ribs.len().max(1) as f64;
        let mean = self.ribs.iter().map(|r| r.at[station]).sum::<f64>() / count;
        (self.ribs.iter().map(|r| (r.at[station] - mean).powi(2)).sum::<f64>() / count).sqrt()
    }

    /// The station (index) where the ribs differ most, and by how much.
    pub fn worst(&self) -> (usize, f64) {
        let difference = |i| (i, self.difference(i));
        (0..self.girth.len()).map(difference).fold((0, 0.0), |w, d| if d.1 > w.1 { d } else { w })
    }
}

/// Shares a width out among the ribs left, given those fitted: equally, or so that
/// each rib matches its partner at the same distance from the middle rib as nearly
/// as can be. `left` is what the ribs left measure together, of `ribs` in all. All in one
/// unit, at one station; the answer has an entry for each rib left, in their order.
pub fn share(fitted: &[f64], left: f64, ribs: usize, symmetric: bool) -> Vec<f64> {
    let k = fitted.len();
    let partner = |j: usize| symmetric.then(|| fitted.get(ribs - 1 - j)).flatten();
    let bound: Vec<Option<f64>> = (k..ribs).map(|j| partner(j).copied()).collect();
    let open = bound.iter().filter(|b| b.is_none()).count();
    let rest = left - bound.iter().flatten().sum::<f64>();
    let count = bound.len().max(1) as f64;
    let width = |b: &Option<f64>| match b {
        // Where every rib left has a partner, all miss theirs by the same.
        Some(partner) if open == 0 => partner + rest / count,
        Some(partner) => *partner,
        None => rest / open as f64,
    };
    bound.iter().map(width).collect()
}

/// The girth to expect after so many ribs at each station, mm: as the bowl is laid out, or
/// as the whole girth tells, if that was read.
///
/// # Errors
/// What is missing, as a sentence with the next step.
pub fn expected(bowl: &Bowl, after: usize) -> Result<Vec<f64>, String> {
    let plan = Plan::of(bowl)?;
    Ok((0..plan.width.len()).map(|i| plan.left(after, i)).collect())
}

/// Shares out what is left of a bowl's girth, by the girth that was read after `after`
/// ribs (the last one read, where left out).
///
/// # Errors
/// What is missing, as a sentence with the next step.
pub fn divide(bowl: &Bowl, after: Option<usize>, symmetric: bool) -> Result<Division, String> {
    let plan = Plan::of(bowl)?;
    let read = match after {
        Some(after) => {
            bowl.girths.iter().find(|g| g.after == after).map(Some).ok_or_else(|| not_read(bowl, after))?
        }
        None => bowl.girths.last(),
    };
    let fitted = read.map_or(0, |g| g.after);
    let known = bowl.girths.iter().filter(|g| g.after <= fitted);
    let smooth: Vec<Smooth> = known.map(|g| plan.smooth(g)).collect::<Result<_, _>>()?;
    let last = smooth.last();
    let planned: Vec<f64> = (0..plan.width.len()).map(|i| plan.left(fitted, i)).collect();
    let girth = last.map_or(planned, |s| s.girth.clone());
    let mut division = Division {
        fitted,
        measured: read.is_some(),
        read: read.map_or(vec![None; girth.len()], |g| g.at.clone()),
        girth,
        sd: last.map_or(vec![0.0; plan.width.len()], |s| s.sd.clone()),
        ribs: (1..=fitted).map(|rib| plan.fitted(bowl, &smooth, rib)).collect(),
        take: plan.take(bowl, &smooth),
        free: Vec::new(),
        moved: smooth.iter().filter(|s| s.after > 0).map(|s| plan.moved(s)).collect(),
        odd: smooth.iter().flat_map(|s| s.odd.iter().copied()).collect(),
        odd_widths: (1..=fitted).flat_map(|rib| plan.odd_widths(bowl, &smooth, rib)).collect(),
        plan: plan.width.clone(),
    };
    let left = (plan.ribs - fitted) as f64;
    division.sd.iter_mut().for_each(|sd| *sd /= left);
    plan.share_out(bowl, &mut division, symmetric)?;
    Ok(division)
}

fn not_read(bowl: &Bowl, after: usize) -> String {
    let read: Vec<String> = bowl.girths.iter().map(|g| when(g.after)).collect();
    let found = match read.is_empty() {
        true => "none was read yet".into(),
        false => format!("girths were read {}", read.join(", ")),
    };
    format!(
        "No girth was read {}; {found}. Next: leave --after out, or measure that girth at each station and type it \
         with `ribwright divide --enter --after {after}`.",
        when(after)
    )
}

/// A girth, smoothed.
struct Smooth {
    after: usize,
    girth: Vec<f64>,
    sd: Vec<f64>,
    odd: Vec<OddGirth>,
}

/// The bowl as laid out: all ribs alike at a station.
struct Plan<'a> {
    job: &'a Job,
    ribs: usize,
    spacer: f64,
    girth_sd: f64,
    width: Vec<f64>,
    /// The same as the joints' stations alone tell.
    laid: Vec<f64>,
}

impl<'a> Plan<'a> {
    fn of(bowl: &'a Bowl) -> Result<Plan<'a>, String> {
        let Some(joint) = bowl.joints.first() else {
            return Err(
                "The bowl has no joints yet: measure the stations of the first one and write them into \
                        joints/01/stations.csv, or lay the bowl out with `ribwright new`."
                    .into(),
            );
        };
        let settings = &bowl.settings;
        let spacer = settings.spacer.map_or(0.0, |s| s.width);
        let laid = laid_out(bowl);
        let (width, girth_sd) = (laid.clone(), settings.errors.girth);
        let mut plan = Plan { job: &joint.job, ribs: settings.ribs, spacer, girth_sd, width, laid };
        // The whole girth, once read, is the better plan.
        if let Some(whole) = bowl.girths.iter().find(|g| g.after == 0) {
            let spacers = spacer * (plan.ribs - 1) as f64;
            plan.width = plan.smooth(whole)?.girth.iter().map(|g| (g - spacers) / plan.ribs as f64).collect();
        }
        Ok(plan)
    }

    fn spacers(&self, fitted: usize) -> f64 {
        self.spacer * (self.ribs - fitted.max(1)) as f64
    }

    /// Girth left after so many ribs, as laid out.
    fn left(&self, fitted: usize, station: usize) -> f64 {
        (self.ribs - fitted) as f64 * self.width[station] + self.spacers(fitted)
    }

    fn smooth(&self, girth: &Girth) -> Result<Smooth, String> {
        let after = girth.after;
        let departs = |(i, g): (usize, &Option<f64>)| g.map(|g| g - self.left(after, i));
        let departs: Vec<Option<f64>> = girth.at.iter().enumerate().map(departs).collect();
        let Some(line) = line_through(self.job, &departs, self.girth_sd, LOOSE) else {
            return Err(format!(
                "The girth {} was read at fewer than three stations. Read it at three at least, better at all, and write \
                 it into girth.csv.",
                when(after)
            ));
        };
        let whole = |off: &OddReading| {
            let planned = self.left(after, off.station);
            let off = OddReading { read: off.read + planned, expected: off.expected + planned, ..*off };
            OddGirth { after, off }
        };
        Ok(Smooth {
            after,
            girth: line.value.iter().enumerate().map(|(i, v)| v + self.left(after, i)).collect(),
            sd: line.sd.clone(),
            odd: line.off.iter().map(whole).collect(),
        })
    }

    fn moved(&self, s: &Smooth) -> Moved {
        let off = |(i, g): (usize, &f64)| self.left(s.after, i) - g;
        Moved { rib: s.after, at: s.girth.iter().enumerate().map(off).collect() }
    }

    /// A fitted rib's width: measured, or from girths, or as laid out.
    fn fitted(&self, bowl: &Bowl, smooth: &[Smooth], rib: usize) -> RibWidths {
        let measured = &bowl.widths[rib - 1];
        let girth = |after: usize| smooth.iter().find(|s| s.after == after);
        let (before, behind) = (girth(rib - 1), girth(rib));
        let spacer = if rib > 1 { self.spacer } else { 0.0 };
        let from_girths = |i: usize| Some(before?.girth[i] - behind?.girth[i] - spacer);
        let width = |i: usize| measured[i].or_else(|| from_girths(i)).unwrap_or(self.width[i]);
        let source = if measured.iter().any(Option::is_some) {
            Source::Measured
        } else if before.is_some() && behind.is_some() {
            Source::Girths
        } else {
            Source::Plan
        };
        RibWidths { source, at: (0..self.width.len()).map(width).collect() }
    }

    /// What joints took beyond their spacers. Between the first and the last girth that
    /// all ribs in between were measured, reading errors of the girths between cancel.
    fn take(&self, bowl: &Bowl, smooth: &[Smooth]) -> Vec<f64> {
        let none = vec![0.0; self.width.len()];
        let measured = |rib: usize| bowl.widths[rib - 1].iter().flatten().count() > 0;
        let (Some(last), true) = (smooth.last(), smooth.len() > 1) else { return none };
        let Some(first) = smooth.iter().find(|s| s.after > 0 && (s.after + 1..=last.after).all(measured))
        else {
            return none;
        };
        let joints = (last.after - first.after) as f64;
        if joints < 1.0 {
            return none;
        }
        let mean = |i: usize| {
            let widths: Option<f64> = (first.after..last.after).map(|rib| bowl.widths[rib][i]).sum();
            Some((first.girth[i] - last.girth[i] - widths?) / joints - self.spacer)
        };
        let means: Vec<Option<f64>> = (0..none.len()).map(mean).collect();
        let widths = bowl.settings.errors.width / joints.sqrt();
        let sd = libm::hypot(2f64.sqrt() * self.girth_sd / joints, widths);
        line_through(self.job, &means, sd, TAKES).map_or(none, |line| line.value)
    }

    fn share_out(&self, bowl: &Bowl, division: &mut Division, symmetric: bool) -> Result<(), String> {
        let fitted = division.fitted;
        let mut left: Vec<Vec<f64>> = vec![Vec::new(); self.ribs - fitted];
        for i in 0..self.width.len() {
            let known: Vec<f64> = division.ribs.iter().map(|r| r.at[i]).collect();
            let joints = (self.ribs - fitted.max(1)) as f64;
            let room = division.girth[i] - self.spacers(fitted) - joints * division.take[i];
            let shares = share(&known, room, self.ribs, symmetric);
            if let Some(narrow) = shares.iter().find(|w| **w <= 0.0) {
                return Err(self.no_room(bowl, division, i, *narrow));
            }
            let all = || known.iter().chain(&shares).copied();
            division
                .free
                .push([all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max)]);
            left.iter_mut().zip(shares).for_each(|(rib, w)| rib.push(w));
        }
        division.ribs.extend(left.into_iter().map(|at| RibWidths { source: Source::Share, at }));
        Ok(())
    }
}

/// Widths as the joints' stations tell them, along the mold: the mean over the joints.
fn laid_out(bowl: &Bowl) -> Vec<f64> {
    let arcs = |job: &Job| -> Vec<f64> {
        let frames = Joint::of(job).frames;
        job.stations.iter().zip(&frames).map(|(s, f)| along_mold(s.width, f.across_curvature)).collect()
    };
    let all: Vec<Vec<f64>> = bowl.joints.iter().map(|j| arcs(&j.job)).collect();
    let mean = |i: usize| all.iter().map(|w| w[i]).sum::<f64>() / all.len() as f64;
    (0..bowl.settings.stations.len()).map(mean).collect()
}
