//! What an advice costs, from a job to the strokes.

use ribwright::advice::{self, Options};
use ribwright::job::Job;
use ribwright::practice::{bench, blank};

fn main() {
    divan::main();
}

/// A practice job after `rounds` rounds of following the advice.
fn job(stations: usize, rounds: usize) -> Job {
    let task = blank::sized(5, stations);
    let mut kept = None;
    let mut advised = bench::Advised::default();
    bench::run(&task, 5, &mut |job, _| {
        if job.rounds.len() == rounds {
            kept = Some(job.clone());
            return bench::Decision::Stop;
        }
        match advised.decide(job) {
            bench::Decision::Stop => bench::Decision::Take(Vec::new(), vec![0.0; stations]),
            go_on => go_on,
        }
    });
    kept.expect("as many rounds as asked for")
}

#[divan::bench(args = [1, 2, 4])]
fn thirteen_stations(bencher: divan::Bencher, rounds: usize) {
    let job = job(13, rounds);
    bencher.bench(|| advice::advise(&job, &Options::default()));
}

#[divan::bench(args = [13, 130, 1300], sample_count = 3)]
fn stations(bencher: divan::Bencher, stations: usize) {
    let job = job(stations, 1);
    bencher.bench(|| advice::advise(&job, &Options::default()));
}
