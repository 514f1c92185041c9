//! Whether what was read can be at all, before anything is planed or called fitted on it.
//!
//! ## How smooth may readings be?
//!
//! Between its neighbours' straight line and a reading lies its error, and the bend of the rib, which
//! only adds. The mean square of these departures, in the stated errors, follows a chi-square
//! distribution over its degrees of freedom (Satterthwaite, Biometrics Bulletin 2, 1946, for departures
//! that share readings; from memory). Readings
//! are held to be too smooth where that is less than feelers three times as good as stated would
//! give in one round of a hundred; half as good will do where they are written finer than any feeler
//! shows, as they are once divided by ten. Zeros are bounds and say nothing of errors.

use crate::job::{Against, Job, Round, Unit};
use crate::joint::Clearance;
use crate::maths::chi_square::lower_percent;

use super::ground::Ground;

/// What rounding may leave of a gap's sign, mm: half a hundredth.
const ROUNDING: f64 = 0.005;
/// A rib that touches reads no more than this, in stated errors of a gap, at some station.
const TOUCHES: f64 = 3.0;
/// And no more than this, mm, where it touches between two stations (an assumption, no source).
const BETWEEN: f64 = 0.2;
/// Feelers this many times as good as stated raise no doubt.
const FINER: f64 = 3.0;
/// The same where readings are written in steps finer than [`SHOWN`].
const FINER_WRITTEN: f64 = 1.5;
/// The finest step that feelers or a caliper show, mm: common practice, no source.
const SHOWN: f64 = 0.01;
/// Fewer departures than this say nothing.
const FEWEST: usize = 6;
/// No one reads more stations than this with feelers: beyond it a joint was scanned, and its
/// neighbouring readings were put together.
const BY_HAND: usize = 60;

/// What can't be in a job's readings.
pub(super) fn flaw(job: &Job) -> Option<Ground> {
    past_neighbour(job).or_else(|| not_home(job)).or_else(|| too_smooth(job)).or_else(|| unread(job))
}

/// The last round, where the rib was pushed home against its neighbour.
fn pushed_home(job: &Job) -> Option<&Round> {
    job.rounds.last().filter(|r| r.against == Against::Neighbour)
}

/// Wood can't pass into wood: most likely a minus was lost.
fn past_neighbour(job: &Job) -> Option<Ground> {
    let round = pushed_home(job)?;
    let past = |i: &usize| round.readings[*i].overlap.is_some_and(|o| o > ROUNDING);
    let stations: Vec<usize> = (0..round.readings.len()).filter(past).collect();
    (!stations.is_empty()).then_some(Ground::PastNeighbour { stations })
}

/// A rib pushed home touches somewhere; in a round of a few stations, where nobody looked.
fn not_home(job: &Job) -> Option<Ground> {
    let read = pushed_home(job)?.readings.iter().enumerate();
    let gaps: Vec<_> = read.filter_map(|(i, r)| Some((i, r.clearance(Clearance::Gap)?))).collect();
    let most = 2 * gaps.len() > job.stations.len();
    let (station, gap) = gaps.into_iter().filter(|_| most).min_by(|a, b| a.1.total_cmp(&b.1))?;
    (gap > (TOUCHES * job.reading.gap).max(BETWEEN)).then_some(Ground::NotHome { station, gap })
}

/// Ends, and places beside another such, at which no gap was read in any round.
fn unread(job: &Job) -> Option<Ground> {
    let last = job.stations.len().checked_sub(1)?;
    let unread = |i: usize| job.rounds.iter().all(|r| r.readings[i].overlap.is_none());
    let far = |i: &usize| unread(*i) && (*i == 0 || *i == last || unread(i - 1) || unread(i + 1));
    let stations: Vec<usize> = (0..=last).filter(far).collect();
    (!stations.is_empty()).then_some(Ground::Unread { stations })
}

/// Scatter far below the stated errors, in the last round or in all together.
fn too_smooth(job: &Job) -> Option<Ground> {
    if job.stations.len() > BY_HAND {
        return None;
    }
    let rounds: Vec<Vec<f64>> = job.rounds.iter().map(|r| departures(job, r)).collect();
    let finer = |rounds: &[Round]| if written_finer(job, rounds) { FINER_WRITTEN } else { FINER };
    let last = (rounds.last()?.clone(), finer(&job.rounds[job.rounds.len() - 1..]));
    let all = (rounds.concat(), finer(&job.rounds));
    let times = [last, all].iter().filter_map(|(d, finer)| times_smoother(d, *finer)).reduce(f64::max)?;
    Some(Ground::TooSmooth { times })
}

/// Whether readings in mm are written finer than they can be read.
fn written_finer(job: &Job, rounds: &[Round]) -> bool {
    let readings = || rounds.iter().flat_map(|r| &r.readings);
    let step_of = |of| step(job, readings().filter_map(move |r| r.clearance(of)));
    job.unit == Unit::Mm && step_of(Clearance::Gap).max(step_of(Clearance::Lift)) < 0.999 * SHOWN
}

/// How many times less than stated readings scatter, where that can't be chance; from squares of
/// their departures in stated errors.
fn times_smoother(squares: &[f64], finer: f64) -> Option<f64> {
    let mean = squares.iter().sum::<f64>() / squares.len().max(1) as f64;
    let bound = lower_share(squares.len()) / (finer * finer);
    (squares.len() >= FEWEST && mean < bound).then(|| 1.0 / mean.sqrt().max(1e-3))
}

/// What the mean of so many squares falls short of once in a hundred.
fn lower_share(count: usize) -> f64 {
    // Neighbouring departures share two readings, the next but one share one: correlations of
    // -2/3 and 1/6, which leave this share of the degrees of freedom.
    let freedom = count as f64 / (1.0 + 2.0 * (4.0 / 9.0 + 1.0 / 36.0));
    lower_percent(freedom)
}

/// Squares of a round's departures from the lines between neighbours, in stated errors.
fn departures(job: &Job, round: &Round) -> Vec<f64> {
    [Clearance::Gap, Clearance::Lift].iter().flat_map(|of| departures_of(job, round, *of)).collect()
}

fn departures_of(job: &Job, round: &Round, of: Clearance) -> Vec<f64> {
    let value =
        |i: usize| round.readings[i].clearance(of).filter(|v| *v > 0.0 || round.against == Against::Line);
    let rounding = step(job, (0..job.stations.len()).filter_map(value)) / 2.0;
    let error = job.reading.of(of, round.against);
    let departure = |i: usize| {
        let (left, here, right) = (value(i - 1)?, value(i)?, value(i + 1)?);
        let along = |i: usize| job.stations[i].along;
        let share = (along(i) - along(i - 1)) / (along(i + 1) - along(i - 1));
        let off = (here - left - share * (right - left)).abs() + rounding;
        Some(off * off / (error * error * (1.0 + share * share + (1.0 - share).powi(2))))
    };
    (1..job.stations.len().saturating_sub(1)).filter_map(departure).collect()
}

/// The step, mm, in whose multiples all values were read: behind it errors can hide.
fn step(job: &Job, values: impl Iterator<Item = f64>) -> f64 {
    let values: Vec<f64> = values.collect();
    let mm = job.unit.mm();
    let fits = |step: &f64| values.iter().all(|v| ((v / step).round() - v / step).abs() < 1e-6);
    [0.1, 0.05, 0.02, 0.01, 0.005, 0.002].iter().map(|s| s * mm).find(fits).unwrap_or(0.001 * mm)
}
