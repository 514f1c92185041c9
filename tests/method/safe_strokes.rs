//! Strokes that are safe: runs of whole shavings, tried on draws of the edge.

use ribwright::fit::cuts::{Thickness, replay};
use ribwright::job::{Against, Job, Plane, Round, RoundNumber, Stroke};
use ribwright::sole::Bed;
use ribwright::strokes::{Ensemble, Plan, Tool, fewest, plan};

use crate::stations::evenly;

#[test]
fn runs_take_exactly_the_counts_in_the_fewest_strokes() {
    for counts in [vec![0, 1, 3, 3, 2, 5, 5, 1, 0, 0, 2], vec![2; 5], vec![3, 2, 1, 0, 1, 2, 3], vec![0; 3]] {
        let runs = fewest(&counts);
        let mut got = vec![0; counts.len()];
        for &(from, to, count) in &runs {
            (from..=to).for_each(|i| got[i] += count);
        }
        assert_eq!(got, counts);
        let rise = |i: usize| counts[i].saturating_sub(if i > 0 { counts[i - 1] } else { 0 });
        assert_eq!(runs.iter().map(|r| r.2).sum::<u32>(), (0..counts.len()).map(rise).sum::<u32>());
    }
}

const ARC: [f64; 5] = [0.0, 50.0, 100.0, 150.0, 200.0];

/// An edge that stands 0.5 mm high all along, known exactly, to be planed with shavings of
/// 0.1 mm whose own thickness is known.
fn planned(overcut: f64, most: f64) -> Plan {
    planned_on(&[0.5; 5], overcut, 0.0, most)
}

/// The same on an edge of any height, `slack` of which doesn't count as too much.
fn planned_on(high: &[f64], overcut: f64, slack: f64, most: f64) -> Plan {
    let bed = Bed::new(&ARC, ARC.iter().map(|_| 0.0), 600.0, 70.0);
    let tool = Tool {
        plane: 0,
        bed: &bed,
        shaving: 0.1,
        shavings: vec![0.1; 400],
        thickness: Thickness { shaving: 0.1, own: 0.0 },
        shortest: 100.0,
    };
    let high = high.to_vec();
    let ensemble = Ensemble {
        mean: high.clone(),
        heights: vec![high.clone(); 400],
        remove: vec![high; 400],
        most: vec![most; 5],
        slack,
        overcut,
    };
    plan(&tool, &ensemble)
}

/// Five even shavings would take just what is wanted. But each is a fifth off, one standard
/// deviation: five together 0.045 mm, so that they go deeper than 0.53 mm in a quarter of all
/// cases, four in one of two thousand (normal distribution, tables).
#[test]
fn shavings_are_reckoned_uneven() {
    let careful = planned(0.05, f64::INFINITY);
    assert_eq!(careful.pushes(), 4);
    assert!(careful.risk.iter().all(|r| *r < 0.02), "{:?}", careful.risk);
    let bold = planned(0.5, f64::INFINITY);
    assert_eq!(bold.pushes(), 5);
    assert!(bold.risk.iter().all(|r| (0.2..0.31).contains(r)), "{:?}", bold.risk);
    assert!(bold.taken.iter().all(|t| (t - 0.5).abs() < 1e-12));
    assert!(bold.strokes.last().is_some_and(|s| s.check && s.count == 1));
}

/// Of five even shavings, 0.5 mm with a scatter of 0.045, a quarter go too deep by 0.03 mm, a tenth
/// by 0.06 (normal distribution, tables): the fifth is taken where that chance may be run.
#[test]
fn the_last_push_is_taken_where_its_chance_may_be_run() {
    let pushes = |overcut, slack| planned_on(&[0.5; 5], overcut, slack, f64::INFINITY).pushes();
    assert_eq!((pushes(0.15, 0.0), pushes(0.35, 0.0)), (4, 5));
    assert_eq!((pushes(0.05, 0.03), pushes(0.15, 0.03)), (4, 5));
}

/// A shaving comes off where two thirds of it are wanted. A bump narrower than the shortest stroke is
/// left where that would take more beside it: there the edge stands half a shaving high, and the sole,
/// on the bump, no more than half of the bump's height over it.
#[test]
fn hardly_more_comes_off_than_is_wanted() {
    for (high, pushes) in [([0.06; 5], 0), ([0.07; 5], 1), ([0.05, 0.05, 0.08, 0.05, 0.05], 0)] {
        assert_eq!(planned_on(&high, 1.0, 1.0, f64::INFINITY).pushes(), pushes, "{high:?}");
    }
}

/// No push beyond what may come off, each counted two standard deviations thick: three take
/// at most 0.3 + 2 * 0.02 * sqrt 3 = 0.369 mm.
#[test]
fn pushes_stay_within_what_may_come_off() {
    assert_eq!(planned(0.5, 0.37).pushes(), 3);
    assert_eq!(planned(0.5, 0.36).pushes(), 2);
}

/// Strokes of two planes, `(plane, from, to, count)`, after a round at the stations of `ARC`.
fn planed(strokes: &[(usize, usize, usize, u32)]) -> Job {
    let stroke = |&(plane, from, to, count): &_| Stroke { plane, from, to, count, shaving: None };
    let strokes = strokes.iter().map(stroke).collect();
    let round = Round { against: Against::Neighbour, rebent: false, readings: Vec::new(), strokes };
    Job {
        stations: evenly(5, 50.0, |_| 0.0),
        planes: vec![Plane::default(), Plane { shaving: 0.05, ..Plane::default() }],
        rounds: vec![round],
        ..Job::default()
    }
}

/// A sole on an edge as straight as itself takes a whole shaving at every push, however that edge
/// slopes: each plane's group loses what its own pushes take, without spread.
#[test]
fn on_a_straight_edge_every_push_takes_a_whole_shaving() {
    let job = planed(&[(0, 0, 4, 3), (1, 0, 4, 2), (0, 0, 4, 1)]);
    let bed = Bed::new(&ARC, ARC.iter().map(|_| 0.0), 600.0, 70.0);
    let sloping = |a: f64, b: f64| ARC.iter().map(|s| a + b * s).collect::<Vec<f64>>();
    let heights = [sloping(0.5, 0.0), sloping(0.2, 0.001), sloping(0.4, -0.002)];
    let taken = replay(&job, RoundNumber::FIRST, &[bed.clone(), bed], &[0.08, 0.05], &heights);
    let told: Vec<_> = taken.iter().map(|t| (t.plane, t.pushes[2])).collect();
    assert_eq!(told, [(0, 4.0), (1, 2.0)]);
    for (group, whole) in taken.iter().zip([4.0 * 0.08, 2.0 * 0.05]) {
        assert!(group.cut.iter().all(|c| (c - whole).abs() < 1e-12), "{:?}", group.cut);
        assert!(group.sd.iter().all(|sd| *sd < 1e-12), "{:?}", group.sd);
    }
}
