//! Slice and seat programs of real joints through slow and obvious solvers, and
//! through clarabel.

use crate::convex::{General, real, slice_program};
use nalgebra::{DVector, SMatrix, SVector};
use ribwright::joint::Pose;
use ribwright::maths::program::Program;
use ribwright::seat;

fn seat_program(seed: u64, stations: usize) -> Program {
    let (joint, wood) = real(seed, stations);
    seat::program(&joint, &wood.edge, &wood.spring, &Pose::default())
}

// ---------------------------------------------------------------------------
// Every corner (no source: the definition). The curvature of these programs is a
// trace that only keeps unnoticed motions small, so the cost is least where as
// many rows meet as there are unknowns, but for that trace.

const UNKNOWNS: usize = 6;

/// The cheapest corner that keeps to all hard rows.
fn cheapest_corner(program: &Program) -> Option<f64> {
    let rows: Vec<Vec<f64>> = (0..program.len()).map(|j| program.row(j)).collect();
    let mut chosen = [0_usize; UNKNOWNS];
    let mut best: Option<f64> = None;
    each_choice(rows.len(), 0, 0, &mut chosen, &mut |chosen| {
        let a = SMatrix::<f64, UNKNOWNS, UNKNOWNS>::from_fn(|r, c| rows[chosen[r]][c]);
        let b = SVector::<f64, UNKNOWNS>::from_fn(|r, _| program.sides[chosen[r]]);
        let Some(x) = a.lu().solve(&b) else { return };
        if !x.iter().all(|v| v.abs() < 1e4) || !holds(program, x.as_slice()) {
            return;
        }
        let cost = program.cost(&DVector::from_column_slice(x.as_slice()));
        best = Some(best.map_or(cost, |b| b.min(cost)));
    });
    best
}

/// Whether all hard rows hold.
fn holds(program: &Program, x: &[f64]) -> bool {
    program.excess(x).iter().zip(&program.weights).all(|(e, w)| w.is_finite() || *e <= 1e-9)
}

/// Calls `f` with every choice of rows.
fn each_choice(
    rows: usize,
    from: usize,
    depth: usize,
    chosen: &mut [usize; UNKNOWNS],
    f: &mut impl FnMut(&[usize; UNKNOWNS]),
) {
    if depth == UNKNOWNS {
        f(chosen);
        return;
    }
    for row in from..rows {
        chosen[depth] = row;
        each_choice(rows, row + 1, depth + 1, chosen, f);
    }
}

#[test]
fn slices_cost_what_the_cheapest_corner_costs() {
    for seed in 0..12 {
        // Three stations: 21 rows, 54,264 choices of six.
        let program = slice_program(seed, 3);
        let quick = program.cost(&program.minimise().unwrap().x);
        let slow = cheapest_corner(&program).unwrap();
        assert!((quick - slow).abs() < 1e-6 * slow.abs().max(1.0), "{seed}: {} {slow}", quick);
    }
}

#[test]
fn ribs_rest_at_the_cheapest_corner() {
    for seed in 0..12 {
        // Seven stations: 21 rows.
        let program = seat_program(seed, 7);
        let quick = program.cost(&program.minimise().unwrap().x);
        let slow = cheapest_corner(&program).unwrap();
        assert!((quick - slow).abs() < 1e-6, "{seed}: {} {slow}", quick);
    }
}

// ---------------------------------------------------------------------------
// clarabel

/// How much two answers differ in any clearance of the rib, mm.
fn apart(program: &Program, a: &DVector<f64>, b: &DVector<f64>) -> f64 {
    let [a, b] = [a, b].map(|x| program.excess(x.as_slice()));
    a.iter().zip(&b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

/// Costs agree to 1e-9; clearances too, but for the few programs whose minimum is
/// flat: there a trace of curvature decides, which both solvers reach to 0.003 mm.
fn agree(programs: impl Iterator<Item = Program>) {
    let mut far = 0;
    for (k, program) in programs.enumerate() {
        let own = program.minimise().unwrap().x;
        let quick = program.cost(&own);
        let x = General::of(&program).minimise(1e-11).expect("a minimum");
        let cost = program.cost(&x);
        assert!((quick - cost).abs() < 1e-9 * cost.abs().max(1.0), "{k}: {} {cost}", quick);
        let apart = apart(&program, &own, &x);
        assert!(apart < 0.005, "{k}: {apart:e}");
        far += usize::from(apart > 1e-6);
    }
    assert!(far <= 4, "{far} flat programs");
}

/// A rib that fits touches everywhere, and many shares balance the push. It bears where clarabel
/// finds that a place which stands proud by 1 raises it.
#[test]
fn a_rib_that_fits_bears_wherever_it_can() {
    let stations = 9;
    let nothing = vec![0.0; stations];
    let mut bearing = 0;
    for seed in 0..6 {
        let (joint, _) = real(seed, stations);
        let rest = seat::seat(&joint, &nothing, &nothing, Pose::default()).unwrap();
        let at_rest = seat::program(&joint, &nothing, &nothing, &rest.pose);
        assert!(at_rest.sides.iter().all(|b| b.abs() < 1e-6), "{seed}");
        for i in 0..stations {
            let mut proud = at_rest.clone();
            proud.sides.fill(0.0);
            proud.sides[3 * i] = -1.0;
            let raised = proud.cost(&General::of(&proud).minimise(1e-11).expect("a minimum"));
            assert_eq!(rest.bearings.contains(&i), raised > 1e-4, "{seed} {i}: {raised:e}");
        }
        bearing += rest.bearings.len();
    }
    // Six places hold a rib, of which a corner would name three or so at the joint.
    assert!(bearing > 6 * 4, "{bearing}");
}

#[test]
fn clarabel_finds_the_same_slices() {
    agree((0..30).map(|seed| slice_program(seed, 7 + (seed % 9) as usize)));
}

#[test]
fn clarabel_finds_the_same_rest() {
    agree((0..30).map(|seed| seat_program(seed, 7 + (seed % 9) as usize)));
}
