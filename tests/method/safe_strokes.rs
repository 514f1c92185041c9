//! Strokes that are safe: runs of whole shavings, tried on draws of the edge.

use ribwright::fit::cuts::Thickness;
use ribwright::sole::Bed;
use ribwright::strokes::{Ensemble, Plan, Tool, fewest, plan};

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
    let bed = Bed::new(&ARC, ARC.iter().map(|_| 0.0), 600.0, 70.0);
    let tool = Tool {
        plane: 0,
        bed: &bed,
        shaving: 0.1,
        shavings: vec![0.1; 400],
        thickness: Thickness { shaving: 0.1, own: 0.0 },
        shortest: 100.0,
    };
    let high = vec![0.5; 5];
    let ensemble = Ensemble {
        mean: high.clone(),
        heights: vec![high.clone(); 400],
        remove: vec![high; 400],
        most: vec![most; 5],
        slack: 0.0,
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

/// No push beyond what may come off, each counted two standard deviations thick: three take
/// at most 0.3 + 2 * 0.02 * sqrt 3 = 0.369 mm.
#[test]
fn pushes_stay_within_what_may_come_off() {
    assert_eq!(planned(0.5, 0.37).pushes(), 3);
    assert_eq!(planned(0.5, 0.36).pushes(), 2);
}
