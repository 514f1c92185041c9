//! `ribwright try`: what if wood came off here.

use std::io::Write;
use std::path::PathBuf;

use clap::Parser;

use super::number::number;
use super::screen::{Failure, Run, Screen};
use crate::advice::{self, JointInBowl, Options};
use crate::job::Job;
use crate::job::ranges::OVERLAP;
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright try demo-readings/plain --take 6:0.1 --take 7-9:0.05
  ribwright try demo-readings/shallow --take 3:0,08 --json
  ribwright try demo-readings/plain      (how it lies now, and each bearing's leverage)";

/// Say where the rib would come to rest if wood came off at some stations
///
/// Seats the rib as the readings tell it, once as it is and once less the
/// wood: bearings, gaps and lifts before and after, and the force that would
/// press closed what is left. Nothing is written to the folder.
#[derive(Debug, Parser)]
#[command(name = "try", after_help = EXAMPLE)]
pub(super) struct TryCut {
    /// The joint's folder, or a single table of stations and readings
    path: PathBuf,
    /// Wood to take, in the folder's unit: at one station (6:0.1) or at each of a run (7-9:0,05)
    #[arg(long, value_name = "STATIONS:AMOUNT")]
    take: Vec<String>,
    /// Print the answer for programs, lengths in mm, forces in newtons
    #[arg(long)]
    json: bool,
}

impl Run for TryCut {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let JointInBowl { job, start, .. } = advice::open(&self.path).map_err(Failure::wrong)?;
        let options = Options { start, ..Options::default() };
        let cut = cuts(&job, &self.take).map_err(Failure::wrong)?;
        let answer = advice::what_if(&job, &cut, &options).map_err(Failure::wrong)?;
        if self.json {
            writeln!(screen.out(), "{}", show::what_if_json(&job, &answer)?)?;
        } else {
            show::what_if_text(&job, &answer, screen.out())?;
        }
        Ok(())
    }
}

/// Wood off at each station, mm; cuts that overlap add up.
fn cuts(job: &Job, takes: &[String]) -> Result<Vec<f64>, String> {
    let mut cut = vec![0.0; job.stations.len()];
    for take in takes {
        let (from, to, amount) = one(job, take)?;
        cut[from..=to].iter_mut().for_each(|c| *c += amount);
    }
    match cut.iter().position(|c| !OVERLAP.holds(*c)) {
        Some(at) => Err(format!(
            "--take: together {} would come off at station {}; expected {} at most. Next: take less, or check for a run \
             that was given twice.",
            job.unit.say(cut[at]),
            job.stations[at].name,
            job.unit.say(OVERLAP.high)
        )),
        None => Ok(cut),
    }
}

/// So much at one station is no cut.
fn too_much(job: &Job, take: &str) -> String {
    format!("--take {take}: expected {} at most. Next: check the decimal mark.", job.unit.say(OVERLAP.high))
}

/// First station, last station and amount (mm) of one `--take`.
fn one(job: &Job, take: &str) -> Result<(usize, usize, f64), String> {
    let expected =
        || format!("--take {take}: expected stations, a colon and an amount, such as 6:0.1 or 7-9:0.05");
    let (stations, amount) = take.rsplit_once(':').ok_or_else(expected)?;
    let amount = number(amount).map_err(|why| format!("--take {take}: {why}"))?;
    if amount <= 0.0 {
        return Err(format!(
            "--take {take}: wood only comes off; expected an amount above 0. Next: leave out the minus, or the cut."
        ));
    }
    let mm = amount * job.unit.mm();
    if !OVERLAP.holds(mm) {
        return Err(too_much(job, take));
    }
    let (from, to) = run(job, stations.trim()).map_err(|why| format!("--take {take}: {why}"))?;
    Ok((from.min(to), from.max(to), mm))
}

/// A station's name, or two with a dash between them. A name may hold dashes
/// itself, so every dash is tried; what can be read in two ways is sent back.
pub(super) fn run(job: &Job, text: &str) -> Result<(usize, usize), String> {
    let named = |name: &str| job.stations.iter().position(|s| s.name == name.trim());
    let whole = named(text).map(|i| (i, i));
    let split =
        text.match_indices('-').filter_map(|(at, _)| Some((named(&text[..at])?, named(&text[at + 1..])?)));
    let found: Vec<(usize, usize)> = whole.into_iter().chain(split).collect();
    match found[..] {
        [one] => Ok(one),
        [] => Err(format!("there is no station `{text}`; stations are {}", names(job))),
        _ => Err(format!("`{text}` is a station and also a run; give the stations one by one")),
    }
}

fn names(job: &Job) -> String {
    job.stations.iter().map(|s| s.name.as_str()).collect::<Vec<_>>().join(", ")
}
