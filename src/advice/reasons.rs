//! What a verdict rests on, in sentences: why, how sure, and the next step.

use crate::fit::Doubt;
use crate::job::{Against, Job, Unit};
use crate::joint::Clearance;
use crate::seat::Leverage;
use crate::strokes::BEYOND;

use super::ground::Ground;
use super::passes::levers;
use super::words::{capital, left_over, leverage_said, percent, stations_named, what_was_read, widest};
use super::work::{Working, thinnest_shaving};

/// The reason of a verdict.
pub(super) fn reason(job: &Job, w: &Working, ground: &Ground) -> String {
    match ground {
        Ground::PlanedSince => planed_since(job),
        Ground::Doubted(doubt) => doubted(job, doubt),
        Ground::PastNeighbour { stations } => past_neighbour(job, stations),
        Ground::NotHome { station, gap } => not_home(job, *station, *gap),
        Ground::TooSmooth { times } => too_smooth(job, *times),
        Ground::Unread { stations } => unread(job, stations),
        Ground::PartRead { chance, stations } => part_read(job, *chance, stations),
        Ground::Contradiction => contradiction(w),
        Ground::Fitted { chance } => fitted(job, w, *chance),
        Ground::Pressed { force, chance } => pressed(job, w, *force, *chance),
        Ground::Wanted { chance } => plane(job, w, *chance),
        Ground::SpareUsed { station, spare } => spare_used(job, *station, *spare),
        Ground::LiftStays { station, lift } => lift_stays(job, w, *station, *lift),
        Ground::NoProgress { chance } => no_progress(job, w, *chance),
        Ground::NotSure { chance } => not_sure(job, w, *chance),
    }
}

/// No stroke by a part of the readings.
fn part_read(job: &Job, chance: f64, stations: &[usize]) -> String {
    format!(
        "By what was read since the last strokes nothing is to be planed, and it is fitted with a chance of {}. \
         Before you stop, read the rest with the rib as it lies: {}.",
        percent(chance),
        stations_named(job, stations)
    )
}

fn planed_since(job: &Job) -> String {
    format!(
        "Strokes are recorded after round {} and nothing was read since. Set the rib in place and read \
         round {}.",
        job.rounds.len(),
        job.next_round()
    )
}

pub(super) fn doubted(job: &Job, doubt: &Doubt) -> String {
    format!(
        "Read station {} again: {} does not go with the other readings, which say about {}. Nothing is planed \
         on a reading in doubt; correct it, or add a new round.",
        job.stations[doubt.station].name,
        what_was_read(job, doubt),
        job.unit.say(shown(doubt.of, doubt.expected))
    )
}

/// A clearance in the sense of its column.
fn shown(kind: Clearance, clearance: f64) -> f64 {
    if kind == Clearance::Gap { -clearance } else { clearance.max(0.0) }
}

fn past_neighbour(job: &Job, stations: &[usize]) -> String {
    format!(
        "Read {} again: an overlap against the neighbour was read there, and wood can't pass into wood. If it \
         was daylight, a minus was lost: correct it in the table. Nothing is planed on it.",
        stations_named(job, stations)
    )
}

fn not_home(job: &Job, station: usize, gap: f64) -> String {
    format!(
        "The rib is not home: daylight was read at every station, at least {} (station {}), and a rib pushed \
         home touches its neighbour somewhere. Take it out, look for grit, glue or a splinter in the joint and \
         under the rib, push it home, and read again.",
        job.unit.say(gap),
        job.stations[station].name
    )
}

fn too_smooth(job: &Job, times: f64) -> String {
    let folder = match job.unit {
        Unit::Mm => "mm, and readings in inches or centimetres look",
        Unit::Inch => "inches, and readings in feet look",
    };
    format!(
        "Check the readings' unit: they lie about {times:.0} times closer to a smooth line than feelers that err \
         by {} could. This folder is in {folder} like that. Correct them, or read again. If your feelers really \
         are that fine, say so under [reading] in joint.toml: gap = {}, lift = {}.",
        job.unit.say(job.reading.gap),
        job.unit.fine(job.reading.gap / times),
        job.unit.fine(job.reading.lift / times)
    )
}

fn unread(job: &Job, stations: &[usize]) -> String {
    format!(
        "Read {} too: nobody has read there, so nothing is known of the joint there, and nothing is planed or \
         called fitted on it.",
        stations_named(job, stations)
    )
}

fn contradiction(w: &Working) -> String {
    format!(
        "The readings contradict each other: they miss any rib by {:.1} times their stated errors. If your \
         feelers err that much, say so under [reading] in joint.toml; else check the stations' widths and \
         bevels, the kind of mold, and whether strokes are missing from strokes.csv.",
        w.fit.misfit
    )
}

fn fitted(job: &Job, w: &Working, chance: f64) -> String {
    let left = capital(&left_over(job, w));
    format!(
        "{left}: within tolerance at every station with a chance of {}. Before you glue, hold the rib only so that it \
         doesn't slip, and try a leaf thicker than {} all along the joint: a hand that presses while it reads hides \
         gaps. Where it goes in, read a new round held like that.",
        percent(chance),
        job.unit.say(job.tolerance.gap)
    )
}

fn plane(job: &Job, w: &Working, chance: f64) -> String {
    let wood = widest(w.slice.remove.iter().copied());
    let mut text = lift_beside(job, w);
    text += &format!(
        "{}; {} is still to come off at station {}.",
        capital(&left_over(job, w)),
        job.unit.say(wood.1),
        job.stations[wood.0].name
    );
    if job.rounds.last().is_some_and(|r| r.against == Against::Neighbour) && chance > 0.3 {
        text.push_str(&format!(" Fitted already with a chance of {} only.", percent(chance)));
    }
    if let Some(bearing) = strongest_bearing(job, w) {
        text.push_str(&format!(" {bearing}"));
    }
    text
}

/// Said before strokes that close gaps where a lift stays all the same.
fn lift_beside(job: &Job, w: &Working) -> String {
    let stands_off = |(station, _): &(usize, f64)| w.now.clearances[*station].lift > job.tolerance.lift;
    let Some((station, lift)) = w.lift_left(job).filter(stands_off) else { return String::new() };
    format!(
        "The strokes close gaps only: about {} of lift stays at station {} after any slice. ",
        job.unit.say(lift),
        job.stations[station].name
    )
}

/// The bearing at which a little wood closes most elsewhere.
fn strongest_bearing(job: &Job, w: &Working) -> Option<String> {
    let all = levers(w);
    let closes = |l: &Leverage| l.closes_most().map_or(0.0, |(_, closed)| closed);
    let strongest = all.iter().max_by(|a, b| closes(a).total_cmp(&closes(b)))?;
    (closes(strongest) > 0.0).then(|| leverage_said(job, strongest))
}

/// Said when pressing with the force that the maker gave closes what is left.
fn pressed(job: &Job, w: &Working, force: f64, chance: f64) -> String {
    let left = capital(&left_over(job, w));
    format!(
        "{left}: a force of {force:.0} N closes what is left, lifts are within tolerance, with a chance of {}.",
        percent(chance)
    )
}

fn spare_used(job: &Job, station: usize, spare: f64) -> String {
    format!(
        "The spare width of {} is used up at station {}, every shaving counted whole and at its thickest: no more \
         may come off there. Shim the rib there, bend it again, or press the joint; or measure its width, and give \
         more spare in joint.toml if it can do with less.",
        job.unit.say(spare),
        job.stations[station].name
    )
}

fn lift_stays(job: &Job, w: &Working, station: usize, lift: f64) -> String {
    format!(
        "Planing won't help here: about {} of lift stays at station {} after any slice (tolerance {}). Put a \
         shim under the rib there, `ribwright shim` says how thick; or bend it again, or press it down. {}.",
        job.unit.say(lift),
        job.stations[station].name,
        job.unit.say(job.tolerance.lift),
        capital(&left_over(job, w))
    )
}

/// What keeps the plan empty: too little wanted for a shaving, or too little known.
fn obstacle(job: &Job, w: &Working) -> String {
    let (at, wanted) = widest(w.slice.remove.iter().copied());
    let shaving = thinnest_shaving(job);
    if !w.plan.strokes.is_empty() {
        return "everything that was read is within tolerance, so a second reading tells more than a stroke"
            .into();
    }
    if wanted < (1.0 - BEYOND) * shaving {
        format!(
            "less than two thirds of a shaving are wanted anywhere (the thinnest is {})",
            job.unit.say(shaving)
        )
    } else {
        format!(
            "{} is wanted at station {}, but the readings don't yet make a whole shaving there safe",
            job.unit.say(wanted),
            job.stations[at].name
        )
    }
}

fn not_sure(job: &Job, w: &Working, chance: f64) -> String {
    let neighbour = job.rounds.last().is_some_and(|r| r.against == Against::Neighbour);
    let next = if neighbour {
        "Take the rib out, set it again and read once more"
    } else {
        "Push the rib home against its neighbour and read with feelers"
    };
    format!(
        "{next}: {}, fitted with a chance of {}; {}.",
        left_over(job, w),
        percent(chance),
        obstacle(job, w)
    )
}

fn no_progress(job: &Job, w: &Working, chance: f64) -> String {
    format!(
        "More reading won't settle it: {}, fitted with a chance of {}; {}. Set a finer shaving, read with finer \
         feelers, or take it as it is.",
        left_over(job, w),
        percent(chance),
        obstacle(job, w)
    )
}

/// From so many stations on a curve can be told from a plane.
const TELLS_CURVE: usize = 7;

/// Stations whose gap was read in some round.
fn stations_read(job: &Job) -> usize {
    (0..job.stations.len()).filter(|i| job.rounds.iter().any(|r| r.readings[*i].overlap.is_some())).count()
}

/// Why the surface is held to be a plane or curved.
pub(super) fn surface(job: &Job, w: &Working) -> String {
    match (w.fit.curved, w.fit.curve_evidence) {
        (true, Some(gain)) if gain > 0.0 => {
            let odds = libm::exp(gain).min(9999.0);
            format!("The edge bends gently over its length: {odds:.0} to 1 by the readings.")
        }
        (true, _) => "A gentle curve was asked for.".into(),
        (false, Some(_)) if stations_read(job) < TELLS_CURVE => {
            "Too few stations read to tell a curve from a plane.".into()
        }
        (false, Some(_)) => "The readings don't call for a curve.".into(),
        (false, None) if job.stations.len() < TELLS_CURVE => {
            "Too few stations to tell a curve from a plane.".into()
        }
        (false, None) => "A plane was asked for.".into(),
    }
}
