//! What to read next, in a sentence.

use super::names::clean;
use crate::advice::{ReadNext, Setting};
use crate::job::{Clearance, Job};

/// `Read the gap at 1, 4 and 7 and the lift at 4: 32 s. More would not change what to plane.`
pub fn read_next_text(job: &Job, next: &ReadNext) -> String {
    let of = |of: Clearance| {
        let at = next.readings.iter().filter(|(_, what)| *what == of);
        let names: Vec<String> = at.map(|(i, _)| clean(&job.stations[*i].name)).collect();
        (!names.is_empty()).then(|| format!("the {} at {}", of.name(), listed(&names)))
    };
    let what: Vec<String> =
        [Clearance::Gap, Clearance::Lift, Clearance::Seat].into_iter().filter_map(of).collect();
    let what = what.join(" and ");
    let when = match next.setting {
        Setting::Same => "With the rib as it lies, read",
        Setting::New if job.rounds.is_empty() => "Set the rib in place and read",
        Setting::New => "In the next round read",
    };
    format!("{when} {what}: about {:.0} s. {}", next.seconds, next.why)
}

fn listed(names: &[String]) -> String {
    match names {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        _ => names.concat(),
    }
}
