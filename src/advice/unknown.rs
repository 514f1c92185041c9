//! When the readings lead to no figures at all, and why, in plain sentences.

use crate::job::Job;

use super::words::counted;

/// Stations below which no plane in space can be told.
const FEWEST_STATIONS: usize = 3;

/// Why there can be no figures at all, and what would help.
pub(super) fn missing(job: &Job) -> Option<String> {
    if job.stations.len() < FEWEST_STATIONS {
        return Some(format!(
            "{} can't tell which way the edge leans. Read at three stations at least, better at seven or more.",
            counted(job.stations.len(), "station")
        ));
    }
    let Some(last) = job.rounds.last() else {
        return Some(
            "there are no readings yet. Set the rib in place, read overlap and lift at each station, \
             and enter them as round 1."
                .into(),
        );
    };
    let read = last.readings.iter().filter(|r| r.overlap.is_some()).count();
    (read < FEWEST_STATIONS).then(|| {
        format!(
            "round {} has overlaps at {} only. Read the joint at three at least, better at all.",
            job.rounds.len(),
            counted(read, "station")
        )
    })
}

/// Said when the numbers are too far out for any estimate.
pub(super) fn no_estimate() -> String {
    "the readings lead to no estimate at all: look for a figure that is far out, and read again.".into()
}
