//! probe
use ribwright::advice::*;
use ribwright::practice::{bench, blank, rib::ExactPose};
fn main() {
    let seed: u64 = std::env::args().nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
    let detail: usize = std::env::args().nth(2).and_then(|s| s.parse().ok()).unwrap_or(99);
    let t = if std::env::args().nth(3).is_some() { blank::mixed(seed) } else { blank::plain(seed) };
    println!("{:?} {:?}", t.job.reading, t.job.planes);
    let last: std::cell::RefCell<Option<(Vec<f64>, Vec<f64>, Vec<f64>)>> = Default::default();
    let mut a = bench::Advised::default();
    bench::run(&t, seed, &mut |job, wood| {
        let te = t.known.at_stations(&wood.edge);
        if let Some((e, plan, h)) = last.borrow().as_ref() {
            for s in &job.rounds[job.rounds.len() - 2].strokes {
                print!("{}-{}x{} ", s.from, s.to, s.count);
            }
            println!();
            println!("  height {}", h.iter().map(|v| format!("{v:6.3}")).collect::<Vec<_>>().join(" "));
            println!("  plan   {}", plan.iter().map(|v| format!("{v:6.3}")).collect::<Vec<_>>().join(" "));
            println!(
                "  actual {}",
                e.iter().zip(&te).map(|(a, b)| format!("{:6.3}", a - b)).collect::<Vec<_>>().join(" ")
            );
        }
        let k = job.rounds.len();
        let w = work_out(job, &a.taken, &Options::default()).unwrap();
        let (_, cl) = t.known.seat(wood, ExactPose::default());
        let tc = t.known.at_stations(&cl);
        let est = w.fit.last_clearances();
        let n = tc.len() as f64;
        let rms = |f: &dyn Fn(usize) -> f64| ((0..tc.len()).map(|i| f(i).powi(2)).sum::<f64>() / n).sqrt();
        let sds: Vec<[f64; 3]> = (0..tc.len())
            .map(|i| {
                let c: [f64; 3] = std::array::from_fn(|q| {
                    let m = w.chances.draws.iter().map(|d| d.clearances[i][q]).sum::<f64>() / 100.0;
                    (w.chances.draws.iter().map(|d| (d.clearances[i][q] - m).powi(2)).sum::<f64>() / 99.0)
                        .sqrt()
                });
                c
            })
            .collect();
        let tm = tc.iter().map(|c| c.gap).fold(0.0, f64::max);
        let tl = tc.iter().map(|c| c.lift).fold(0.0, f64::max);
        println!(
            "round {k}: true gap {tm:.3} lift {tl:.3} | est gap {:.3} lift {:.3} | rms gap err {:.3} (sd {:.3}) lift err {:.3} (sd {:.3}) | fitted {:.2} remove max {:.3} pushes {} waves {:.2} spring {:.2} err {:.2} curved {} misfit {:.2} shav {:.2}±{:.2} then gap {:.3}",
            est.iter().map(|c| c[0]).fold(0.0, f64::max),
            est.iter().map(|c| c[2]).fold(0.0, f64::max),
            rms(&|i| tc[i].gap - est[i][0]),
            rms(&|i| sds[i][0]),
            rms(&|i| tc[i].lift - est[i][2]),
            rms(&|i| sds[i][2]),
            w.chances.fitted(0.15, 0.15),
            w.slice.remove.iter().copied().fold(0.0, f64::max),
            w.plan.pushes(),
            w.fit.prior.waves.amplitude,
            w.fit.prior.spring.amplitude,
            w.fit.prior.errors,
            w.fit.curved,
            w.fit.misfit,
            w.fit.shavings[0].0,
            w.fit.shavings[0].1,
            w.then.clearances.iter().map(|c| c.gap).fold(0.0, f64::max)
        );
        if k == detail {
            let sd = w.chances.sd();
            for i in 0..tc.len() {
                println!(
                    "  {i:2} true gap {:.3} seat {:.3} lift {:.3} | est {:.3}±{:.3} {:.3} {:.3}±{:.3} | edge {:.3} true {:.3} f {:.3} | rem {:.3}±{:.3} q05 {:.3} take {:.3} | then {:.3} {:.3} slice gap {:.3} seat {:.3} lift {:.3}",
                    tc[i].gap,
                    tc[i].seat,
                    tc[i].lift,
                    est[i][0],
                    sds[i][0],
                    est[i][1],
                    est[i][2],
                    sds[i][2],
                    w.fit.edge[i],
                    te[i],
                    w.fit.spring[i],
                    w.slice.remove[i],
                    sd[i],
                    w.chances.quantile(i, 0.05),
                    w.plan.taken[i],
                    w.then.clearances[i].gap,
                    w.then.clearances[i].lift,
                    w.slice.gap[i],
                    w.slice.seat[i],
                    w.slice.lift[i]
                );
            }
            for s in &w.plan.strokes {
                println!("  {s:?}");
            }
        }
        *last.borrow_mut() = Some((te, w.plan.taken.clone(), w.slice.height.clone()));
        a.decide(job)
    });
}
