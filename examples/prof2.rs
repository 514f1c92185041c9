//! prof2
use ribwright::advice::*;
use ribwright::practice::*;
use ribwright::{fit, joint::*, seat, slice, strokes};
use std::time::Instant;
fn main() {
    let n = 1000;
    let task = blank::sized(5, n);
    let mut job = None;
    bench::run(&task, 5, &mut |j, _| {
        job = Some(j.clone());
        bench::Decision::Stop
    });
    let job = job.unwrap();
    let joint = Joint::of(&job);
    let ms = |t: Instant| t.elapsed().as_secs_f64() * 1e3;
    let t = Instant::now();
    let f = fit::estimate(&job, &joint, &[], fit::SurfaceChoice::Auto).unwrap();
    println!("fit {:.1}", ms(t));
    let aims = slice::Aims { gap: 0.0, lift: Some(0.06), spare: vec![3.0; n] };
    let t = Instant::now();
    let s = slice::least_wood(&joint, &f.edge, &f.spring, &aims, f.poses[0]).unwrap();
    println!("slice {:.1}", ms(t));
    let t = Instant::now();
    let d = slice::draws(&f, 100);
    println!("draws {} {:.1}", d.len(), ms(t));
    let ribs: Vec<_> = d.iter().map(|d| (d.edge.clone(), d.spring.clone())).collect();
    let t = Instant::now();
    s.for_others(&joint, (&f.edge, &f.spring), &ribs, &aims);
    println!("others {:.1}", ms(t));
    let t = Instant::now();
    let r = seat::seat(&joint, &f.edge, &f.spring, f.poses[0]).unwrap();
    println!("seat {:.1}", ms(t));
    let t = Instant::now();
    let mut p = seat::Push::around(&joint, &f.edge, &f.spring, r.pose).unwrap();
    for (e, g) in &ribs {
        p.rest(e, g).unwrap();
    }
    println!("rests {:.1}", ms(t));
    let _ = strokes::fewest(&[1]);
    let t = Instant::now();
    work_out(&job, &[], &Options::default());
    println!("all {:.1}", ms(t));
}
