//! The closed loop: read, take advice, plane, seat again, until the advice stops.

use crate::advice::{Advice, Before, Costs, NoFigures, Options, Setting, Verdict, Working, decide, work_out};
use crate::job::{Against, Job, Reading, ReadingErrors, Round, Stroke};
use crate::joint::{Clearance, Clearances};
use crate::sole::{Bed, Push};
use crate::strokes::Planned;

use super::blank::Task;
use super::dice::Dice;
use super::overcut::{self, Overcuts};
use super::rib::{ExactPose, Wood};
use super::world::Met;

/// How one run on the bench went.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outcome {
    /// Rounds read.
    pub rounds: usize,
    /// Single readings in all of them.
    pub readings: usize,
    /// Pushes of a plane.
    pub strokes: u32,
    /// Wood taken, mean over the stations, mm.
    pub wood: f64,
    /// Wood taken at each station, mm.
    pub taken: Vec<f64>,
    /// Widest gap left, mm.
    pub gap: f64,
    /// Widest lift left, mm.
    pub lift: f64,
    /// Whether the advice stopped by itself.
    pub stopped: bool,
    /// Whether more than the spare width went anywhere.
    pub beyond_spare: bool,
    /// The same where the shavings there were no thicker together than two standard
    /// deviations over what was stated: this is promised not to happen.
    pub beyond_in_spread: bool,
    /// Whether that much went before a second round had checked the first strokes.
    pub beyond_unchecked: bool,
    /// Most that went anywhere beyond the spare width, mm; negative where some is left.
    pub over_spare: f64,
    /// Most wood that the first strokes took anywhere, before a second round, mm.
    pub first_strokes: f64,
    /// Whether the rib lies within its tolerances in the end.
    pub fitted: bool,
    /// Most wood taken at any station beyond what the blank should lose, mm.
    pub overcut: f64,
    /// How often planing took too much.
    pub overcuts: Overcuts,
    /// Stations at which too much came off, one list a planning.
    pub too_much_at: Vec<Vec<usize>>,
    /// Gaps left at the stations, mm.
    pub gaps: Vec<f64>,
}

impl Outcome {
    /// Minutes that it took.
    pub fn minutes(&self, costs: &Costs) -> f64 {
        costs.minutes(self.rounds as f64, self.readings as f64, f64::from(self.strokes))
    }
}

/// What a strategy wants done after a round.
pub enum Decision {
    /// Stop: fitted, or no answer.
    Stop,
    /// Take these strokes; the surface aimed at, as heights of the edge over it at the stations.
    Take(Vec<Stroke>, Vec<f64>),
}

/// Rounds after which a run is broken off.
pub const MOST_ROUNDS: usize = 10;
/// Spread of a push's shaving as a share.
pub(super) const SHAVING_SPREAD: f64 = 0.2;

/// Runs one task to its end with a strategy.
///
/// The strategy is given the job as read so far, the last round without its
/// strokes, and the true wood for those that know it. The same task, seed and
/// strategy give the same outcome.
pub fn run(task: &Task, seed: u64, strategy: &mut dyn FnMut(&Job, &Wood) -> Decision) -> Outcome {
    run_reading(task, seed, None, &mut |job, wood| (strategy(job, wood), None))
}

/// Some readings: stations (indices) and what is read there.
pub type Readings = Vec<(usize, Clearance)>;

/// What a strategy wants to read next.
pub struct Wanted {
    /// While the rib lies as it is, or in the next round.
    pub setting: Setting,
    /// Which readings.
    pub readings: Readings,
}

/// A decision, and what is to be read next.
pub type Decided = (Decision, Option<Wanted>);

/// The same where the strategy says too what is read next; all of the next round where it doesn't.
/// `first` is what is read in the first one.
pub fn run_reading(
    task: &Task,
    seed: u64,
    first: Option<Readings>,
    strategy: &mut dyn FnMut(&Job, &Wood) -> Decided,
) -> Outcome {
    let mut wanted = first;
    let mut dice = Dice::new(seed ^ 0x9e37_79b9_7f4a_7c15);
    let mut job = task.job.clone();
    let mut wood = task.blank.clone();
    let mut pose = ExactPose::default();
    let mut outcome = Outcome::default();
    let mut excess = vec![Excess::default(); task.job.stations.len()];
    let known = &task.known;
    let (mut met, alike) = (Met::new(task.worlds, known, seed), task.worlds.alike(known));
    for _ in 0..MOST_ROUNDS {
        let (rest, clearances) = known.seat(&met.held(known, &wood), pose);
        pose = rest;
        let shown = met.shown(known.at_stations(&clearances));
        let mut round = read(&shown, &task.truth.reading, &alike, &mut dice);
        outcome.rounds += 1;
        if let Some(wrong) = task.wrong {
            wrong.mistype(&mut round, outcome.rounds, seed);
        }
        let (decision, next) = in_one_setting(&mut job, &round, wanted, &mut |job| strategy(job, &wood));
        outcome.readings += job.rounds.last().map_or(0, Round::count);
        wanted = next;
        match decision {
            Decision::Stop => {
                outcome.stopped = true;
                break;
            }
            Decision::Take(strokes, target) => {
                let before = wood.clone();
                plane(task, &mut wood.edge, &strokes, &target, &mut dice, &mut excess);
                outcome.planed(task, &strokes, &before, &wood);
                if let Some(round) = job.rounds.last_mut() {
                    round.strokes = strokes;
                }
            }
        }
    }
    let (_, clearances) = known.seat(&wood, pose);
    finish(task, &wood.edge, &met.glued(known.at_stations(&clearances)), &mut outcome);
    let spare = task.job.spare.unwrap_or(f64::INFINITY);
    let beyond = |(taken, excess): (&f64, &Excess)| *taken > spare && excess.in_spread();
    outcome.beyond_in_spread = outcome.taken.iter().zip(&excess).any(beyond);
    outcome
}

impl Outcome {
    /// Counts strokes, and what they took.
    fn planed(&mut self, task: &Task, strokes: &[Stroke], before: &Wood, after: &Wood) {
        self.strokes += strokes.iter().map(|s| s.count).sum::<u32>();
        let edge = |wood: &Wood| task.known.at_stations(&wood.edge);
        if self.rounds == 1 {
            self.first_strokes = edge(before).iter().zip(edge(after)).map(|(b, a)| b - a).fold(0.0, f64::max);
        }
        if !strokes.is_empty() {
            let beyond = overcut::of(task, before, after);
            let over = |i: &usize| beyond[*i].is_some_and(|b| b > task.job.tolerance.gap);
            self.too_much_at.push((0..beyond.len()).filter(over).collect());
            self.overcuts.add(&beyond, task.job.tolerance.gap);
        }
    }
}

/// Reads what is wanted of a round, and whatever the strategy wants beside it while the rib lies
/// as it is; what is decided then, and what is to be read in the next round.
fn in_one_setting(
    job: &mut Job,
    whole: &Round,
    mut wanted: Option<Readings>,
    strategy: &mut dyn FnMut(&Job) -> Decided,
) -> (Decision, Option<Readings>) {
    job.rounds.push(whole.clone());
    loop {
        if let (Some(round), Some(wanted)) = (job.rounds.last_mut(), &wanted) {
            round.readings.clone_from(&whole.readings);
            keep(round, wanted);
        }
        let (decision, next) = strategy(job);
        match (next, wanted.as_mut()) {
            (Some(Wanted { setting: Setting::Same, readings }), Some(wanted))
                if readings.iter().any(|more| !wanted.contains(more)) =>
            {
                wanted.extend(readings);
            }
            // What was read already would be read anew, with the rib in another place.
            (next, _) => return (decision, next.filter(|n| n.setting == Setting::New).map(|n| n.readings)),
        }
    }
}

/// How far the shavings over a station were thicker than stated, in all.
#[derive(Debug, Clone, Copy, Default)]
struct Excess {
    sum: f64,
    square: f64,
}

impl Excess {
    fn add(&mut self, shaving: f64, stated: f64) {
        self.sum += shaving - stated;
        self.square += (SHAVING_SPREAD * stated).powi(2);
    }

    fn in_spread(&self) -> bool {
        self.sum <= 2.0 * self.square.sqrt()
    }
}

fn finish(task: &Task, edge: &[f64], clearances: &[Clearances], outcome: &mut Outcome) {
    let taken: Vec<f64> = task.blank.edge.iter().zip(edge).map(|(b, e)| b - e).collect();
    let taken = task.known.at_stations(&taken);
    let most = |f: &dyn Fn(&Clearances) -> f64| clearances.iter().map(f).fold(0.0, f64::max);
    outcome.wood = taken.iter().sum::<f64>() / taken.len() as f64;
    outcome.gaps = clearances.iter().map(|c| c.gap.max(0.0)).collect();
    outcome.gap = most(&|c| c.gap);
    outcome.lift = most(&|c| c.lift);
    let spare = task.job.spare.unwrap_or(f64::INFINITY);
    outcome.fitted = outcome.gap <= task.job.tolerance.gap && outcome.lift <= task.job.tolerance.lift;
    let excess = overcut::of(task, &task.blank, &Wood { edge: edge.to_vec(), spring: Vec::new() });
    outcome.overcut = excess.iter().flatten().copied().fold(f64::NEG_INFINITY, f64::max);
    outcome.over_spare = taken.iter().map(|t| t - spare).fold(f64::NEG_INFINITY, f64::max);
    outcome.beyond_spare = outcome.over_spare > 0.0;
    outcome.beyond_unchecked = outcome.first_strokes > spare;
    outcome.taken = taken;
}

/// Reads clearances with noise; neither gaps nor lifts are read below zero. `alike` is the
/// correlation of each station's error with that of the one before.
fn read(clearances: &[Clearances], errors: &ReadingErrors, alike: &[f64], dice: &mut Dice) -> Round {
    let hundredths = |v: f64| (v.max(0.0) * 100.0).round() / 100.0;
    let mut last = [0.0; 2];
    let reading = |(c, share): (&Clearances, &f64)| {
        last = last.map(|before| share * before + (1.0 - share * share).sqrt() * dice.normal());
        Reading {
            overlap: Some(-hundredths(c.gap + errors.gap * last[0])),
            lift: Some(hundredths(c.lift + errors.lift * last[1])),
            ..Reading::default()
        }
    };
    let readings = clearances.iter().zip(alike).map(reading).collect();
    Round { against: Against::Neighbour, rebent: false, readings, strokes: Vec::new() }
}

/// Leaves what is wanted of a round.
fn keep(round: &mut Round, wanted: &Readings) {
    for (i, reading) in round.readings.iter_mut().enumerate() {
        let has = |of| wanted.contains(&(i, of));
        reading.overlap = reading.overlap.filter(|_| has(Clearance::Gap));
        reading.lift = reading.lift.filter(|_| has(Clearance::Lift));
    }
}

/// Planes strokes on the true edge with uneven shavings; `target` is the height
/// of the true edge's surface aimed at, at the stations.
fn plane(
    task: &Task,
    edge: &mut [f64],
    strokes: &[Stroke],
    target: &[f64],
    dice: &mut Dice,
    excess: &mut [Excess],
) {
    let known = &task.known;
    let target = on_grid(target, known.refine);
    let times = task.worlds.planed(&known.arc);
    for stroke in strokes {
        let plane = &task.truth.planes[stroke.plane];
        let bed = Bed::new(&known.arc, known.curvature.iter().copied(), plane.sole, plane.width);
        for _ in 0..stroke.count {
            let shaving = plane.shaving * (1.0 + SHAVING_SPREAD * dice.normal()).max(0.1);
            let stated = task.job.planes[stroke.plane].shaving;
            for i in stroke.from..=stroke.to {
                excess[i].add(shaving * times[i * known.refine], stated);
            }
            let push = Push { shaving, first: stroke.from * known.refine, last: stroke.to * known.refine };
            let height: Vec<f64> = edge.iter().zip(&target).map(|(e, t)| e - t).collect();
            let cut = bed.cut(&height, push);
            edge.iter_mut().zip(cut.iter().zip(&times)).for_each(|(e, (c, times))| *e -= c * times);
        }
    }
}

/// Values at stations, spread over the grid along straight lines.
pub(super) fn on_grid(stations: &[f64], refine: usize) -> Vec<f64> {
    let points = (stations.len() - 1) * refine + 1;
    let value = |i: usize| {
        let (k, part) = (i / refine, (i % refine) as f64 / refine as f64);
        let next = stations[(k + 1).min(stations.len() - 1)];
        stations[k] + (next - stations[k]) * part
    };
    (0..points).map(value).collect()
}

/// The real advice as a strategy, with what it remembers of the strokes so far.
#[derive(Default)]
pub struct Advised {
    /// What earlier rounds leave to the last one.
    pub before: Before,
    /// The last working.
    pub last: Option<Working>,
    /// Where too much was held to be likeliest, each time that strokes were advised.
    pub riskiest: Vec<usize>,
    /// How to advise.
    pub options: Options,
    /// The last advice.
    pub advice: Option<Advice>,
    /// Why there was none after the last round.
    pub no_figures: Option<NoFigures>,
}

impl Advised {
    /// Works out the last round and decides.
    pub fn decide(&mut self, job: &Job) -> Decision {
        let w = match work_out(job, &self.before, &self.options) {
            Ok(w) => w,
            Err(why) => {
                self.no_figures = Some(why);
                return Decision::Stop;
            }
        };
        let advice = decide(job, &w);
        let strokes = strokes(&w, advice.verdict);
        let mut planed = job.clone();
        if let Some(round) = planed.rounds.last_mut() {
            round.strokes.clone_from(&strokes);
        }
        if !strokes.is_empty() {
            self.riskiest.extend(w.plan.riskiest());
        }
        self.before.planed(&planed, &self.options);
        let target = target(&w);
        self.last = Some(w);
        let decision = match advice.verdict {
            Verdict::Fitted | Verdict::NoAnswer => Decision::Stop,
            Verdict::Plane | Verdict::ReadAgain => Decision::Take(strokes, target),
        };
        self.advice = Some(advice);
        decision
    }
}

fn strokes(w: &Working, verdict: Verdict) -> Vec<Stroke> {
    if verdict == Verdict::Plane { w.plan.strokes.iter().map(Planned::stroke).collect() } else { Vec::new() }
}

fn target(w: &Working) -> Vec<f64> {
    w.fit.edge.iter().zip(&w.slice.height).map(|(e, h)| e - h).collect()
}
