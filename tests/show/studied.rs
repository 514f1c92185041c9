//! Joints worked out in full, for pictures that need more than an answer: ribs of
//! the practice bench, whose makers, bowls and readings are invented.
#![allow(dead_code, reason = "each test file uses its own part")]

use ribwright::advice::{self, Advice, Options, PastRound, Working};
use ribwright::job::Job;
use ribwright::practice::{bench, blank};
use ribwright::show::draw::{Album, View};

/// A joint with its answer and everything behind it.
pub struct Studied {
    pub job: Job,
    pub advice: Advice,
    pub working: Working,
    pub past: Vec<PastRound>,
}

impl Studied {
    pub fn album(&self) -> Album<'_> {
        let (job, advice, working) = (&self.job, &self.advice, Some(&self.working));
        Album { job, advice, working, past: &self.past, view: View::default() }
    }
}

/// A practice joint after `rounds` rounds of following the advice.
pub fn studied(seed: u64, stations: usize, rounds: usize, change: impl Fn(&mut Job)) -> Studied {
    let task = blank::sized(seed, stations);
    let mut kept = None;
    let mut advised = bench::Advised::default();
    bench::run(&task, seed, &mut |job, _| {
        if job.rounds.len() == rounds {
            kept = Some(job.clone());
            return bench::Decision::Stop;
        }
        match advised.decide(job) {
            bench::Decision::Stop => bench::Decision::Take(Vec::new(), vec![0.0; stations]),
            go_on => go_on,
        }
    });
    let mut job = kept.expect("as many rounds as asked for");
    change(&mut job);
    let (advice, working) = advice::advise_and_show(&job, &Options::default());
    let past = advice::past(&job, &Options::default()).expect("rounds");
    Studied { advice, working: working.expect("an estimate"), past, job }
}

/// Names as makers write them who don't number their stations.
pub fn long_names(job: &mut Job) {
    job.title = Some("the widest joint of the large bowl ".repeat(5));
    for (i, station) in job.stations.iter_mut().enumerate() {
        let names = ["under the neck block", "highest point of the rise, left of the paper strip", "tail"];
        station.name = format!("{} {}", names[i % 3], i + 1);
    }
}

/// Joints with 7, 13 and 31 stations, plain and long names.
pub fn cases() -> Vec<Studied> {
    let mut cases = Vec::new();
    for stations in [7, 13, 31] {
        cases.push(studied(3, stations, 1, |_| ()));
        cases.push(studied(4, stations, 3, long_names));
    }
    cases
}

/// A joint with 31 long names, four rounds and twenty strokes.
pub fn large() -> Studied {
    let mut large = studied(4, 31, 3, long_names);
    let strokes = large.advice.strokes.clone();
    assert!(!strokes.is_empty());
    large.advice.strokes = strokes.into_iter().cycle().take(20).collect();
    large
}

/// Every picture in the page, as XML, with its name.
pub fn pictures(page: &str) -> Vec<(String, &str)> {
    let mut found = Vec::new();
    for piece in page.split("<svg ").skip(1) {
        let end = piece.find("</svg>").expect("closed");
        let label = piece.split("aria-labelledby=\"").nth(1).expect("named");
        let name = label.split("-title").next().expect("a name").to_owned();
        found.push((name, &piece[..end]));
    }
    found
}

pub fn parsed(picture: &str) -> String {
    format!("<svg {picture}</svg>")
}
