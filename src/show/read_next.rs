//! What to read next, in a sentence.

use super::names::clean;
use crate::advice::{ReadNext, Setting};
use crate::job::{Clearance, Job};

/// `Read the gap at 1, 4 to 7 and 9 and the lift at 4: 56 s. More would not change what to plane.`
pub fn read_next_text(job: &Job, next: &ReadNext) -> String {
    let read = |of: Clearance| {
        let at = next.readings.iter().filter(|(_, what)| *what == of);
        let stations: Vec<usize> = at.map(|(i, _)| *i).collect();
        (!stations.is_empty()).then(|| format!("the {} at {}", of.name(), listed(&named(job, &stations))))
    };
    let what: Vec<String> =
        [Clearance::Gap, Clearance::Lift, Clearance::Seat].into_iter().filter_map(read).collect();
    let what = what.join(" and ");
    let when = match next.setting {
        Setting::Same => "With the rib as it lies, read",
        Setting::New if job.rounds.is_empty() => "Set the rib in place and read",
        Setting::New => "In the next round read",
    };
    format!("{when} {what}: about {:.0} s. {}", next.seconds, next.why)
}

/// Stations by name, in their order along the rib; three or more in a row as `1 to 3`.
fn named(job: &Job, stations: &[usize]) -> Vec<String> {
    let name = |i: usize| clean(&job.stations[i].name);
    let runs = stations.chunk_by(|a, b| a + 1 == *b);
    let said = |run: &[usize]| match run {
        [first, _, .., last] if run.len() > 2 => vec![format!("{} to {}", name(*first), name(*last))],
        _ => run.iter().map(|i| name(*i)).collect(),
    };
    runs.flat_map(said).collect()
}

fn listed(names: &[String]) -> String {
    match names {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        _ => names.concat(),
    }
}
