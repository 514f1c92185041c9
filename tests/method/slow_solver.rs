//! Slice and seat programs of real joints through slow and obvious solvers, and
//! through clarabel.

use crate::convex::{General, real, slice_program};
use nalgebra::{DVector, SMatrix, SVector};
use ribwright::joint::Pose;
use ribwright::maths::hinge::{Program, Row};
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
    let rows = &program.rows;
    let mut chosen = [0_usize; UNKNOWNS];
    let mut best: Option<f64> = None;
    each_choice(rows.len(), 0, 0, &mut chosen, &mut |chosen| {
        let a = SMatrix::<f64, UNKNOWNS, UNKNOWNS>::from_fn(|r, c| rows[chosen[r]].a[c]);
        let b = SVector::<f64, UNKNOWNS>::from_fn(|r, _| rows[chosen[r]].b);
        let Some(x) = a.lu().solve(&b) else { return };
        if !x.iter().all(|v| v.abs() < 1e4) || !rows.iter().all(|r| holds(r, x.as_slice())) {
            return;
        }
        let cost = program.cost(&DVector::from_column_slice(x.as_slice()));
        best = Some(best.map_or(cost, |b| b.min(cost)));
    });
    best
}

fn holds(row: &Row, x: &[f64]) -> bool {
    row.weight.is_finite() || row.a.iter().zip(x).map(|(a, x)| a * x).sum::<f64>() <= row.b + 1e-9
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
        let (quick, slow) = (program.minimise().unwrap(), cheapest_corner(&program).unwrap());
        assert!((quick.cost - slow).abs() < 1e-6 * slow.abs().max(1.0), "{seed}: {} {slow}", quick.cost);
    }
}

#[test]
fn ribs_rest_at_the_cheapest_corner() {
    for seed in 0..12 {
        // Seven stations: 21 rows.
        let program = seat_program(seed, 7);
        let (quick, slow) = (program.minimise().unwrap(), cheapest_corner(&program).unwrap());
        assert!((quick.cost - slow).abs() < 1e-6, "{seed}: {} {slow}", quick.cost);
    }
}

// ---------------------------------------------------------------------------
// clarabel

/// How much two answers differ in any clearance of the rib, mm.
fn apart(program: &Program, a: &DVector<f64>, b: &DVector<f64>) -> f64 {
    let by = |row: &Row| row.a.iter().zip((a - b).iter()).map(|(a, d)| a * d).sum::<f64>().abs();
    program.rows.iter().map(by).fold(0.0, f64::max)
}

/// Costs agree to 1e-9; clearances too, but for the few programs whose minimum is
/// flat: there a trace of curvature decides, which both solvers reach to 0.003 mm.
fn agree(programs: impl Iterator<Item = Program>) {
    let mut far = 0;
    for (k, program) in programs.enumerate() {
        let quick = program.minimise().unwrap();
        let x = General::of(&program).minimise(1e-11).expect("a minimum");
        let cost = program.cost(&x);
        assert!((quick.cost - cost).abs() < 1e-9 * cost.abs().max(1.0), "{k}: {} {cost}", quick.cost);
        let apart = apart(&program, &quick.x, &x);
        assert!(apart < 0.005, "{k}: {apart:e}");
        far += usize::from(apart > 1e-6);
    }
    assert!(far <= 4, "{far} flat programs");
}

#[test]
fn clarabel_finds_the_same_slices() {
    agree((0..30).map(|seed| slice_program(seed, 7 + (seed % 9) as usize)));
}

#[test]
fn clarabel_finds_the_same_rest() {
    agree((0..30).map(|seed| seat_program(seed, 7 + (seed % 9) as usize)));
}
