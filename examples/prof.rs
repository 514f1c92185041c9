//! prof
use ribwright::advice::*;
use ribwright::practice::*;
use ribwright::{fit, joint::*, seat, slice};
use std::time::Instant;
fn main() {
    let task = blank::sized(5, 13);
    let mut a = bench::Advised::default();
    let mut job = None;
    bench::run(&task, 5, &mut |j, _| {
        if j.rounds.len() == 4 {
            job = Some((j.clone(), a.taken.clone()));
            return bench::Decision::Stop;
        }
        match a.decide(j) {
            bench::Decision::Stop => bench::Decision::Take(vec![], vec![0.0; 13]),
            d => d,
        }
    });
    let (job, taken) = job.unwrap();
    let joint = Joint::of(&job);
    let t = Instant::now();
    for _ in 0..400 {
        std::hint::black_box(fit::estimate(&job, &joint, &taken, fit::SurfaceChoice::Auto));
    }
    println!("fit {:.2} ms", t.elapsed().as_secs_f64() * 50.0);
    let w = work_out(&job, &taken, &Options::default()).unwrap();
    let aims = slice::Aims { gap: 0.0, lift: Some(0.075), spare: vec![3.0; 13] };
    let t = Instant::now();
    for _ in 0..20 {
        std::hint::black_box(
            slice::least_wood(&joint, &w.fit.edge, &w.fit.spring, &aims, Pose::default()).unwrap(),
        );
    }
    println!("slice {:.3} ms", t.elapsed().as_secs_f64() * 50.0);
    let t = Instant::now();
    for _ in 0..20 {
        std::hint::black_box(slice::chances(&joint, &w.fit, &aims, &w.slice));
    }
    println!("chances {:.2} ms", t.elapsed().as_secs_f64() * 50.0);
    let t = Instant::now();
    for _ in 0..200 {
        std::hint::black_box(seat::seat(&joint, &w.fit.edge, &w.fit.spring, w.now.pose).unwrap());
    }
    println!("seat {:.3} ms", t.elapsed().as_secs_f64() * 5.0);
    let t = Instant::now();
    for _ in 0..20 {
        std::hint::black_box(work_out(&job, &taken, &Options::default()));
    }
    println!("work_out {:.2} ms", t.elapsed().as_secs_f64() * 50.0);
}
