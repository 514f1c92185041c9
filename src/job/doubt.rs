//! Readings in range that are a slip more often than not: worth a second look
//! while the rib is still in place.

use super::{Against, Job, Quantity, ReadingColumns};

/// A reading being entered, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entered {
    /// What the rib is held against in this round.
    pub against: Against,
    /// The rib was bent again before this round.
    pub rebent: bool,
    /// The station (index).
    pub station: usize,
    /// What was read.
    pub quantity: Quantity,
    /// The reading, as [`super::Reading`] has it.
    pub mm: f64,
}

/// Standard deviations of the difference of two readings that chance may bring:
/// passed by 1 in 16,000 sound readings if errors are normal.
const CHANCE: f64 = 4.0;
/// Times the wood planed since, for a rib that turns on its bearings. Common
/// practice, no source.
const TURN: f64 = 3.0;
/// No rib that is set in place reads more than this at the joint, mm (common practice, no source).
const WIDEST: f64 = 10.0;
/// Nor does it stand further off the mold, mm (common practice, no source).
const HIGHEST: f64 = 5.0;

/// The job without the last round's readings at some stations (indices): what a new
/// reading is compared with where those are in doubt themselves.
pub fn believed(job: &Job, doubted: &[usize]) -> Job {
    let mut job = job.clone();
    if let Some(last) = job.rounds.last_mut() {
        doubted.iter().filter_map(|i| last.readings.get_mut(*i).map(std::mem::take)).for_each(drop);
    }
    job
}

/// Says why a reading should be looked at again before it is believed; `None` if
/// nothing speaks against it.
///
/// It is in doubt if wood would pass into the neighbour's wood, or if it is further
/// from the last round's reading at this station than reading errors and the wood
/// planed since explain. Where there is nothing to compare it with (a first round, a rib
/// that was bent again or is held against something else now), it is if no rib that is
/// set in place reads so much.
pub fn doubt(job: &Job, columns: &ReadingColumns, entered: &Entered) -> Option<String> {
    into_neighbour(columns, entered).or_else(|| match before(job, entered) {
        Some(before) => far_from_last(job, columns, entered, before),
        None => too_much(job, columns, entered),
    })
}

/// What a reading is compared with, mm.
fn before(job: &Job, entered: &Entered) -> Option<f64> {
    let last = job.rounds.last().filter(|_| !entered.rebent)?;
    let other = entered.quantity == Quantity::Overlap && last.against != entered.against;
    entered.quantity.of(last.readings.get(entered.station)?).filter(|_| !other)
}

fn into_neighbour(columns: &ReadingColumns, entered: &Entered) -> Option<String> {
    let past = entered.quantity == Quantity::Overlap && entered.mm > 0.0;
    (past && entered.against == Against::Neighbour).then(|| {
        let daylight =
            if columns.gap { "daylight is a gap above 0" } else { "daylight is an overlap below 0" };
        format!("Wood can't pass into the neighbour's wood: {daylight}.")
    })
}

fn too_much(job: &Job, columns: &ReadingColumns, entered: &Entered) -> Option<String> {
    let most = if entered.quantity == Quantity::Overlap { WIDEST } else { HIGHEST };
    (entered.mm.abs() > most).then(|| {
        let sides = if entered.quantity == Quantity::Overlap { " either way" } else { "" };
        format!(
            "{} is too much for {} {} of a rib set in place: {}{sides} is more than any reads.",
            job.unit.say(columns.turned(entered.quantity, entered.mm)),
            if columns.gap || entered.quantity != Quantity::Overlap { "a" } else { "an" },
            columns.name(entered.quantity),
            job.unit.say(most)
        )
    })
}

fn far_from_last(job: &Job, columns: &ReadingColumns, entered: &Entered, before: f64) -> Option<String> {
    ((entered.mm - before).abs() > explained(job, entered)).then(|| {
        let say = |mm| job.unit.say(columns.turned(entered.quantity, mm));
        format!(
            "{} is far from the {} of round {}, more than reading errors and planing explain.",
            say(entered.mm),
            say(before),
            job.rounds.len()
        )
    })
}

/// How far two readings may lie apart, mm.
fn explained(job: &Job, entered: &Entered) -> f64 {
    let sd = match (entered.quantity, entered.against) {
        (Quantity::Overlap, Against::Neighbour) => job.reading.gap,
        (Quantity::Overlap, Against::Line) => job.reading.line,
        (Quantity::Lift, _) => job.reading.lift,
        (Quantity::Seat, _) => job.reading.seat,
    };
    CHANCE * sd * std::f64::consts::SQRT_2 + TURN * planed(job)
}

/// The most wood that the strokes told after the last round took at any station, mm.
fn planed(job: &Job) -> f64 {
    let strokes = job.rounds.last().map_or(&[][..], |r| &r.strokes);
    let off_at = |i: usize| -> f64 {
        let over = strokes.iter().filter(|s| (s.from..=s.to).contains(&i));
        over.filter_map(|s| Some(f64::from(s.count) * job.planes.get(s.plane)?.shaving)).sum()
    };
    (0..job.stations.len()).map(off_at).fold(0.0, f64::max)
}
