//! tune
use rayon::prelude::*;
use ribwright::practice::{bench, blank, rib::Wood};
use ribwright::{
    job::{Job, Stroke},
    joint::{Joint, Pose},
    slice,
    sole::Bed,
    strokes,
};
fn oracle(task: &blank::Task, job: &Job, wood: &Wood) -> bench::Decision {
    let joint = Joint::of(job);
    let e = task.known.at_stations(&wood.edge);
    let f = task.known.at_stations(&wood.spring);
    let aims = slice::Aims { gap: 0.02, lift: Some(0.05), spare: vec![3.0; e.len()] };
    let s = slice::least_wood(&joint, &e, &f, &aims, Pose::default()).unwrap();
    let arc: Vec<f64> = joint.frames.iter().map(|f| f.arc).collect();
    let p = &job.planes[0];
    let bed = Bed::new(&arc, joint.frames.iter().map(|f| f.along_curvature), p.sole, p.width);
    let tool = strokes::Tool {
        plane: 0,
        bed: &bed,
        shaving: p.shaving,
        shavings: vec![p.shaving],
        shortest: p.shortest,
    };
    let en = strokes::Ensemble {
        slack: 0.0,
        mean: s.height.clone(),
        heights: vec![s.height.clone()],
        remove: vec![s.remove.iter().map(|r| r + 0.5 * p.shaving).collect()],
        most: vec![3.0; e.len()],
        overcut: 0.0,
    };
    let plan = strokes::plan(&tool, &en);
    if plan.strokes.is_empty() {
        return bench::Decision::Stop;
    }
    let st = plan
        .strokes
        .iter()
        .map(|s| Stroke { plane: 0, from: s.from, to: s.to, count: s.count, shaving: None })
        .collect();
    bench::Decision::Take(st, e.iter().zip(&s.height).map(|(e, h)| e - h).collect())
}
static STATS: std::sync::Mutex<Vec<[f64; 9]>> = std::sync::Mutex::new(Vec::new());
fn stats(t: &blank::Task, wood: &Wood, w: &ribwright::advice::Working, k: usize) {
    let (_, cl) = t.known.seat(wood, Default::default());
    let tc = t.known.at_stations(&cl);
    let est = w.fit.last_clearances();
    let n = tc.len();
    let d = &w.chances.draws;
    let m = d.len() as f64;
    let mut s = [0.0; 9];
    s[0] = k as f64;
    s[8] = 1.0;
    for i in 0..n {
        for (q, tv) in [(0, tc[i].gap), (2, tc[i].lift)] {
            let mu = d.iter().map(|d| d.clearances[i][q]).sum::<f64>() / m;
            let v = d.iter().map(|d| (d.clearances[i][q] - mu).powi(2)).sum::<f64>() / m;
            let e = tv - est[i][q];
            let b = q / 2 * 3;
            s[1 + b] += e * e / n as f64;
            s[2 + b] += e * e / (v + 1e-6) / n as f64;
            s[3 + b] += e / n as f64;
        }
    }
    // too much
    STATS.lock().unwrap().push(s);
}
fn over(out: &[bench::Outcome], make: &dyn Fn(u64) -> blank::Task, x: f64) -> f64 {
    out.iter()
        .enumerate()
        .filter(|(s, o)| o.overcut > 0.005 + x * make(*s as u64).job.planes[0].shaving)
        .count() as f64
        / out.len() as f64
}
fn main() {
    let count: u64 = std::env::args().nth(1).and_then(|s| s.parse().ok()).unwrap_or(20);
    for (name, make) in [("plain", blank::plain as fn(u64) -> blank::Task), ("mixed", blank::mixed)] {
        for who in ["oracle", "advised"] {
            let t = std::time::Instant::now();
            let out: Vec<bench::Outcome> = (0..count)
                .into_par_iter()
                .map(|s| {
                    let task = make(s);
                    let mut a = bench::Advised::default();
                    bench::run(&task, s, &mut |j, w| {
                        if who == "oracle" {
                            oracle(&task, j, w)
                        } else {
                            let d = a.decide(j);
                            stats(&task, w, a.last.as_ref().unwrap(), j.rounds.len());
                            d
                        }
                    })
                })
                .collect();
            let mean = |f: &dyn Fn(&bench::Outcome) -> f64| out.iter().map(f).sum::<f64>() / count as f64;
            let q90 = |f: &dyn Fn(&bench::Outcome) -> f64| {
                let mut v: Vec<f64> = out.iter().map(f).collect();
                v.sort_by(f64::total_cmp);
                v[(0.9 * (count as f64 - 1.0)).round() as usize]
            };
            println!(
                "{name} {who}: rounds {:.1} strokes {:.1} wood {:.3} gap {:.3}/{:.3} lift {:.3}/{:.3} stopped {:.0}% beyond {} fit when stopped {:.2} over0 {:.2} over.5t {:.2} over1t {:.2} q50 {:.3} | {:.1} s",
                mean(&|o| o.rounds as f64),
                mean(&|o| o.strokes as f64),
                mean(&|o| o.wood),
                mean(&|o| o.gap),
                q90(&|o| o.gap),
                mean(&|o| o.lift),
                q90(&|o| o.lift),
                100.0 * mean(&|o| o.stopped as u8 as f64),
                out.iter().filter(|o| o.beyond_spare).count(),
                out.iter().filter(|o| o.stopped && o.gap <= 0.15 && o.lift <= 0.15).count() as f64
                    / out.iter().filter(|o| o.stopped).count().max(1) as f64,
                over(&out, &make, 0.0),
                over(&out, &make, 0.5),
                over(&out, &make, 1.0),
                {
                    let mut v: Vec<f64> = out.iter().map(|o| o.overcut).collect();
                    v.sort_by(f64::total_cmp);
                    v[v.len() / 2]
                },
                t.elapsed().as_secs_f64()
            );
            if who == "advised" {
                let st = STATS.lock().unwrap();
                for r in [1.0, 3.0, 6.0] {
                    let v: Vec<_> = st.iter().filter(|s| s[0] == r).collect();
                    if v.is_empty() {
                        continue;
                    }
                    let c = v.len() as f64;
                    let a = |j: usize| v.iter().map(|s| s[j]).sum::<f64>() / c;
                    println!(
                        "   round {r}: gap rms {:.3} z2 {:.2} bias {:.3} | lift rms {:.3} z2 {:.2} bias {:.3}",
                        a(1).sqrt(),
                        a(2),
                        a(3),
                        a(4).sqrt(),
                        a(5),
                        a(6)
                    );
                }
            }
            STATS.lock().unwrap().clear();
            if name == "mixed" && who == "advised" {
                for (lo, hi) in [(0.0, 0.1), (0.1, 0.15), (0.15, 0.3)] {
                    let sel: Vec<_> = out
                        .iter()
                        .enumerate()
                        .filter(|(s, _)| {
                            let g = make(*s as u64).job.reading.gap;
                            g >= lo && g < hi
                        })
                        .map(|x| x.1)
                        .collect();
                    let m = |f: &dyn Fn(&bench::Outcome) -> f64| {
                        sel.iter().map(|o| f(o)).sum::<f64>() / sel.len() as f64
                    };
                    println!(
                        "   noise {lo}-{hi}: {} rounds {:.1} strokes {:.1} wood {:.3} gap {:.3} lift {:.3} stopped {:.2} fit {:.2}",
                        sel.len(),
                        m(&|o| o.rounds as f64),
                        m(&|o| o.strokes as f64),
                        m(&|o| o.wood),
                        m(&|o| o.gap),
                        m(&|o| o.lift),
                        m(&|o| o.stopped as u8 as f64),
                        m(&|o| (o.gap <= 0.15 && o.lift <= 0.15) as u8 as f64)
                    );
                }
            }
            if std::env::args().nth(2).is_some() {
                for (i, o) in out.iter().enumerate() {
                    println!("{i} {o:?}");
                }
            }
        }
    }
}
