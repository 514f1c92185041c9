//! Who decides after each round: the advice, and simpler rules beside it.

use serde::Serialize;

use crate::advice::{Costs, Forecast, Hits, NoFigures, ReadNext, Verdict};
use crate::fit::cuts::Thickness;
use crate::fit::{self, Prior, SurfaceChoice};
use crate::job::{Job, Reading, Round, Station, Stroke};
use crate::joint::{Joint, Pose};
use crate::slice::{self, Aims};
use crate::sole::Bed;
use crate::strokes::{self, Ensemble, Planned, Tool};

use super::bench::{self, Advised, Decision, Outcome, Wanted};
use super::blank::Task;
use super::insight::Insight;
use super::rib::{ExactPose, Wood};

/// A way of deciding what to plane after a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Strategy {
    /// Knows the wood exactly, and goes on until less than half a shaving is wanted.
    Knowing,
    /// The advice: all rounds together.
    Advice,
    /// The advice, reading what it says and no more.
    ReadNext,
    /// The same estimate from the last round alone, its slice taken whole.
    OneRound,
    /// Levels every place with the widest gap.
    Levelling,
    /// A straight line in x from the last round, no rise, no lift.
    StraightLine,
}

/// One run, and how well the advice foresaw its readings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Run {
    /// How it went.
    pub outcome: Outcome,
    /// How the readings met the forecasts; empty for rules that foresee nothing.
    pub hits: Hits,
    /// What each round's estimate was worth; empty for the simple rules.
    pub insights: Vec<Insight>,
    /// Whether the advice called it fitted in the end.
    pub said_fitted: bool,
    /// Whether the advice ever said that something stated or entered can't be right.
    pub noticed: bool,
    /// Why it stopped without a plan, if it did.
    pub no_figures: Option<NoFigures>,
}

/// What the knowing one is content with, mm of gap and lift.
const KNOWING: (f64, f64) = (0.02, 0.05);
/// The lift that a simple slice leaves, as a share of the tolerance.
const LIFT_LEFT: f64 = 0.5;

impl Strategy {
    /// All of them, in the order of the table.
    pub const ALL: [Strategy; 6] = [
        Strategy::Knowing,
        Strategy::Advice,
        Strategy::ReadNext,
        Strategy::OneRound,
        Strategy::Levelling,
        Strategy::StraightLine,
    ];

    /// What it does, in a few words.
    pub fn describe(self) -> &'static str {
        match self {
            Strategy::Knowing => "knows the wood exactly, goes on until less than half a shaving is wanted",
            Strategy::Advice => "the advice",
            Strategy::ReadNext => "the advice, reading what it says and no more",
            Strategy::OneRound => "one round at a time, its slice taken whole",
            Strategy::Levelling => "levels every place with the widest gap",
            Strategy::StraightLine => "straight line in x, no rise, no lift",
        }
    }

    /// Runs one task to its end.
    pub fn run(self, task: &Task, seed: u64, costs: &Costs) -> Run {
        let mut foreseen = Foreseen::default();
        let mut no_figures = None;
        let mut outcome = match self {
            Strategy::Advice => bench::run(task, seed, &mut |job, wood| foreseen.decide(task, job, wood)),
            Strategy::ReadNext => {
                let first = ReadNext::first(&task.job, costs).map(|next| next.readings);
                bench::run_reading(task, seed, first, &mut |job, wood| {
                    let decision = foreseen.decide(task, job, wood);
                    (decision, foreseen.read_next(job, costs))
                })
            }
            _ => bench::run(task, seed, &mut |job, wood| {
                // Without figures a maker of this school stops.
                self.decide(task, job, wood).unwrap_or_else(|why| {
                    no_figures = Some(why);
                    Decision::Stop
                })
            }),
        };
        let held = foreseen.advised.riskiest.iter().zip(&outcome.too_much_at);
        outcome.overcuts.add_riskiest(held.map(|(place, over)| over.contains(place)));
        let verdict = foreseen.advised.advice.as_ref().map(|advice| advice.verdict);
        Run {
            said_fitted: outcome.stopped && verdict == Some(Verdict::Fitted),
            outcome,
            hits: foreseen.hits,
            insights: foreseen.insights,
            noticed: foreseen.noticed,
            no_figures: no_figures.or(foreseen.advised.no_figures),
        }
    }

    fn decide(self, task: &Task, job: &Job, wood: &Wood) -> Result<Decision, NoFigures> {
        match self {
            Strategy::Knowing => knowing(task, job, wood),
            Strategy::Levelling => Ok(levelling(task, job, wood)),
            Strategy::StraightLine => alone(&without_rise_and_lift(job)),
            Strategy::OneRound | Strategy::Advice | Strategy::ReadNext => alone(job),
        }
    }
}

/// The advice, with its forecasts held against the readings.
#[derive(Default)]
struct Foreseen {
    advised: Advised,
    forecast: Option<Forecast>,
    hits: Hits,
    insights: Vec<Insight>,
    noticed: bool,
}

impl Foreseen {
    fn decide(&mut self, task: &Task, job: &Job, wood: &Wood) -> Decision {
        // What more is read with the rib as it lies was foreseen with this round.
        let again = self.insights.last().is_some_and(|i| i.round == job.rounds.len());
        if let (Some(forecast), Some(round), false) = (&self.forecast, job.rounds.last(), again) {
            self.hits = self.hits.and(forecast.hits(round));
        }
        let decision = self.advised.decide(job);
        self.forecast = match (&decision, &self.advised.last) {
            (Decision::Take(strokes, _), Some(w)) => Forecast::after(job, w, strokes),
            _ => None,
        };
        if let Some(w) = &self.advised.last {
            self.noticed |= w.amiss();
            self.insights.push(Insight::of(task, wood, w, job.rounds.len()));
        }
        decision
    }

    /// What is to be read next; all where the advice doesn't say.
    fn read_next(&self, job: &Job, costs: &Costs) -> Option<Wanted> {
        let (w, advice) = (self.advised.last.as_ref()?, self.advised.advice.as_ref()?);
        let ReadNext { setting, readings, .. } = ReadNext::after(job, w, advice, costs)?;
        Some(Wanted { setting, readings })
    }
}

/// Plans with the true wood, its strokes simulated.
fn knowing(task: &Task, job: &Job, wood: &Wood) -> Result<Decision, NoFigures> {
    let joint = Joint::of(job);
    let (edge, spring) = (task.known.at_stations(&wood.edge), task.known.stands_off(wood));
    let blank = task.known.at_stations(&task.blank.edge);
    let gone = blank.iter().zip(&edge).map(|(b, e)| b - e);
    let left: Vec<f64> = spare(job).iter().zip(gone).map(|(s, g)| (s - g).max(0.0)).collect();
    let aims = Aims { gap: KNOWING.0, lift: Some(KNOWING.1), spare: left.clone() };
    let slice = slice::least_wood(&joint, &edge, &spring, &aims, Pose::default())?;
    let arc: Vec<f64> = joint.frames.iter().map(|f| f.arc).collect();
    let Some(plane) = job.planes.first() else { return Ok(Decision::Stop) };
    if slice.remove.iter().all(|r| *r < 0.5 * plane.shaving) {
        return Ok(Decision::Stop);
    }
    let bed = Bed::new(&arc, joint.frames.iter().map(|f| f.along_curvature), plane.sole, plane.width);
    let tool = Tool {
        plane: 0,
        bed: &bed,
        shaving: plane.shaving,
        shavings: vec![plane.shaving],
        thickness: Thickness { shaving: plane.shaving, own: 0.0 },
        shortest: plane.shortest,
    };
    let ensemble = Ensemble {
        mean: slice.height.clone(),
        heights: vec![slice.height.clone()],
        remove: vec![slice.remove.iter().map(|r| r + 0.5 * plane.shaving).collect()],
        most: left,
        slack: 0.0,
        overcut: 0.0,
    };
    let planned = strokes::plan(&tool, &ensemble).strokes;
    let target = edge.iter().zip(&slice.height).map(|(e, h)| e - h).collect();
    Ok(take(planned.iter().map(Planned::stroke).collect(), target))
}

/// The last round alone: its estimate, its slice, the nearest whole shavings.
fn alone(job: &Job) -> Result<Decision, NoFigures> {
    let last: Vec<Round> = job.rounds.last().cloned().into_iter().collect();
    let lift_read = last.iter().flat_map(|r| &r.readings).any(|r| r.lift.is_some());
    let job = Job { rounds: last, ..job.clone() };
    let joint = Joint::of(&job);
    let fit = fit::estimate(&job, &joint, &[], SurfaceChoice::Auto, &Prior::default())?;
    let lift = lift_read.then_some(LIFT_LEFT * job.tolerance.lift);
    let aims = Aims { gap: 0.0, lift, spare: spare(&job) };
    let lay = fit.poses.last().copied().unwrap_or_default();
    let slice = slice::least_wood(&joint, &fit.edge, &fit.spring, &aims, lay)?;
    let target = fit.edge.iter().zip(&slice.height).map(|(e, h)| e - h).collect();
    Ok(take(whole(&job, &slice.remove), target))
}

/// Takes the wood that stands nearer to the neighbour than the widest gap. The
/// rib is planed as it lay, so the surface aimed at is the one it lay along.
fn levelling(task: &Task, job: &Job, wood: &Wood) -> Decision {
    let Some(round) = job.rounds.last() else { return Decision::Stop };
    let gaps: Vec<f64> = round.readings.iter().map(|r| -r.overlap.unwrap_or(0.0)).collect();
    let widest = gaps.iter().copied().fold(0.0, f64::max);
    let remove: Vec<f64> = gaps.iter().map(|g| widest - g).collect();
    let (_, clearances) = task.known.seat(wood, ExactPose::default());
    let lay = task.known.at_stations(&clearances);
    let edge = task.known.at_stations(&wood.edge);
    let target = edge.iter().zip(&lay).map(|(e, c)| e + c.gap).collect();
    take(whole(job, &remove), target)
}

fn without_rise_and_lift(job: &Job) -> Job {
    let mut job = job.clone();
    job.stations.iter_mut().for_each(|s| *s = Station { rise: None, ..s.clone() });
    let readings = job.rounds.iter_mut().flat_map(|r| &mut r.readings);
    readings.for_each(|r| *r = Reading { lift: None, ..r.clone() });
    job
}

fn spare(job: &Job) -> Vec<f64> {
    vec![job.spare.unwrap_or(f64::INFINITY); job.stations.len()]
}

fn take(strokes: Vec<Stroke>, target: Vec<f64>) -> Decision {
    if strokes.is_empty() { Decision::Stop } else { Decision::Take(strokes, target) }
}

/// The nearest whole shavings of the first plane, in the fewest strokes.
fn whole(job: &Job, remove: &[f64]) -> Vec<Stroke> {
    let Some(plane) = job.planes.first() else { return Vec::new() };
    let counts: Vec<u32> = remove.iter().map(|r| (r / plane.shaving).round().max(0.0) as u32).collect();
    let stroke = |(from, to, count)| Stroke { plane: 0, from, to, count, shaving: None };
    strokes::fewest(&counts).into_iter().map(stroke).collect()
}
