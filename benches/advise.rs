//! What an advice costs, from a job to the strokes.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use ribwright::advice::{self, Options};
use ribwright::fit::{self, Prior, SurfaceChoice};
use ribwright::job::{Job, Reading, Round, Station};
use ribwright::joint::Joint;
use ribwright::practice::{bench, blank};
use ribwright::slice::{self, Aims, LIFT_AIM};

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

#[divan::bench(args = [1, 2, 4, 8])]
fn thirteen_stations(bencher: divan::Bencher, rounds: usize) {
    let job = job(13, rounds);
    bencher.bench(|| advice::advise(&job, &Options::default()));
}

/// What to read next, beside the advice that it follows.
#[divan::bench(args = [1, 2, 4])]
fn read_next_at_thirteen_stations(bencher: divan::Bencher, rounds: usize) {
    let job = job(13, rounds);
    let options = Options::default();
    let working =
        advice::work_out(&job, &advice::Before::last_round(&job, &options), &options).expect("figures");
    let answer = advice::decide(&job, &working);
    let costs = advice::Costs::default();
    bencher.bench(|| advice::ReadNext::after(&job, &working, &answer, &costs));
}

#[divan::bench(args = [13, 130, 1300], sample_count = 3)]
fn stations(bencher: divan::Bencher, stations: usize) {
    let job = job(stations, 1);
    bencher.bench(|| advice::advise(&job, &Options::default()));
}

/// A scan: far more stations than an edge can wave between.
#[divan::bench(args = [1300, 20_000, 100_000], sample_count = 3)]
fn scanned(bencher: divan::Bencher, stations: usize) {
    let job = dense(stations);
    bencher.bench(|| advice::advise(&job, &Options::default()));
}

/// The estimate alone, which is to grow linearly with stations ...
#[divan::bench(args = [13, 130, 1300, 13000], sample_count = 3)]
fn estimate_of_stations(bencher: divan::Bencher, stations: usize) {
    bench_estimate(bencher, &dense(stations));
}

/// ... and with rounds, here the same readings again and again.
#[divan::bench(args = [1, 2, 4, 8, 16], sample_count = 3)]
fn estimate_of_rounds(bencher: divan::Bencher, rounds: usize) {
    let mut job = job(13, 1);
    job.rounds = vec![job.rounds[0].clone(); rounds];
    bench_estimate(bencher, &job);
}

fn bench_estimate(bencher: divan::Bencher, job: &Job) {
    let joint = Joint::of(job);
    bencher.bench(|| {
        fit::estimate(job, &joint, &[], SurfaceChoice::Auto, &Prior::default()).expect("an estimate")
    });
}

/// The uncertainty of a joint's slice by ten thousand draws of its wood, each sliced.
#[divan::bench(args = [13, 41], sample_count = 3)]
fn ten_thousand_draws(bencher: divan::Bencher, stations: usize) {
    let job = job(stations, 1);
    let joint = Joint::of(&job);
    let fit = fit::estimate(&job, &joint, &[], SurfaceChoice::Auto, &Prior::default()).expect("an estimate");
    let aims = Aims {
        gap: 0.0,
        lift: Some(LIFT_AIM * job.tolerance.lift),
        spare: vec![job.spare.unwrap_or(f64::INFINITY); stations],
    };
    let pose = *fit.poses.last().expect("a round");
    let slice = slice::least_wood(&joint, &fit.edge, &fit.spring, &aims, pose).expect("a slice");
    bencher.bench(|| {
        let mut rng = ChaCha8Rng::seed_from_u64(1);
        let mut wood = |number| {
            let draw = fit.draw(number, || StandardNormal.sample(&mut rng));
            (draw.edge, draw.spring)
        };
        let ribs: Vec<_> = (0..10_000).map(&mut wood).collect();
        slice.for_others(&joint, (&fit.edge, &fit.spring), &ribs, &aims)
    });
}

/// A joint of many stations on a parabola, whose readings lie on lines between those of thirteen.
fn dense(stations: usize) -> Job {
    let (task, few) = (job(13, 1), job(13, 1).rounds.remove(0));
    let share = |i: usize| i as f64 / (stations - 1) as f64;
    let station = |i: usize| Station {
        name: (i + 1).to_string(),
        along: 400.0 * share(i),
        width: 5.0 + 120.0 * share(i) * (1.0 - share(i)),
        rise: Some(480.0 * share(i) * (1.0 - share(i))),
        ..task.stations[6].clone()
    };
    let reading = |i: usize| {
        let at = share(i) * 12.0;
        let (left, right) = (&few.readings[at as usize], &few.readings[(at as usize + 1).min(12)]);
        let between = |a: Option<f64>, b: Option<f64>| Some(a? + (b? - a?) * at.fract());
        Reading {
            overlap: between(left.overlap, right.overlap),
            lift: between(left.lift, right.lift),
            ..Reading::default()
        }
    };
    let readings = (0..stations).map(reading).collect();
    let rounds = vec![Round { readings, ..few.clone() }];
    Job { stations: (0..stations).map(station).collect(), rounds, ..task }
}
