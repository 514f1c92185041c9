//! Slice and seat programs of real joints through slow and obvious solvers, and
//! through clarabel, an interior-point solver written by others (Goulart and
//! Chen, 2024; published as open source).

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettings, DefaultSolver, IPSolver, NonnegativeConeT, SolverStatus, SupportedConeT,
};
use nalgebra::{DMatrix, DVector, SMatrix, SVector};
use ribwright::job::Job;
use ribwright::joint::{Joint, Pose};
use ribwright::maths::hinge::{Program, Row};
use ribwright::practice::blank::{blank, mold};
use ribwright::practice::dice::Dice;
use ribwright::practice::rib::{KnownJoint, Wood};
use ribwright::seat;
use ribwright::slice::{self, Aims};

/// A joint of an invented bowl and a blank at its stations.
fn real(seed: u64, stations: usize) -> (Joint, Wood) {
    let mut dice = Dice::new(seed);
    let mold = mold(&mut dice, seed % 2 == 1);
    let joint = dice.whole(1, mold.ribs - 1);
    let known = KnownJoint::new(&mold, joint, stations, 1);
    let wood = blank(&mut dice, &known);
    let job: Job = known.job();
    (Joint::of(&job), wood)
}

/// The slice's program around where the rib rests, with spare wood that binds in every third.
fn slice_program(seed: u64, stations: usize) -> Program {
    let (joint, wood) = real(seed, stations);
    let spare = if seed.is_multiple_of(3) { 0.15 } else { 3.0 };
    let aims = Aims { gap: 0.0, lift: Some(0.075), spare: vec![spare; stations] };
    let pose = seat::seat(&joint, &wood.edge, &wood.spring, Pose::default()).unwrap().pose;
    slice::program(&joint, &wood.edge, &wood.spring, &aims, &pose)
}

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

/// Unknowns, then one excess for each soft row: `1/2 x'Hx + g'x + sum w t`,
/// `a'x - t <= b`, `t >= 0`.
fn by_clarabel(program: &Program) -> (f64, DVector<f64>) {
    let m = program.g.len();
    let soft: Vec<usize> = (0..program.rows.len()).filter(|j| program.rows[*j].weight.is_finite()).collect();
    let n = m + soft.len();
    let mut p = DMatrix::zeros(n, n);
    p.view_mut((0, 0), (m, m)).copy_from(&program.h.upper_triangle());
    let mut q = vec![0.0; n];
    q[..m].copy_from_slice(program.g.as_slice());
    let count = program.rows.len() + soft.len();
    let mut a = DMatrix::zeros(count, n);
    let mut b = vec![0.0; count];
    for (j, row) in program.rows.iter().enumerate() {
        (0..m).for_each(|c| a[(j, c)] = row.a[c]);
        b[j] = row.b;
    }
    for (k, &j) in soft.iter().enumerate() {
        q[m + k] = program.rows[j].weight;
        a[(j, m + k)] = -1.0;
        a[(program.rows.len() + k, m + k)] = -1.0;
    }
    let sparse = |m: &DMatrix<f64>| {
        let rows: Vec<Vec<f64>> = m.row_iter().map(|r| r.iter().copied().collect()).collect();
        CscMatrix::from(&rows)
    };
    let settings = DefaultSettings {
        verbose: false,
        tol_gap_abs: 1e-11,
        tol_gap_rel: 1e-11,
        tol_feas: 1e-11,
        max_iter: 300,
        ..DefaultSettings::default()
    };
    let cones: [SupportedConeT<f64>; 1] = [NonnegativeConeT(count)];
    let mut solver = DefaultSolver::new(&sparse(&p), &q, &sparse(&a), &b, &cones, settings).unwrap();
    solver.solve();
    let status = solver.solution.status;
    assert!(matches!(status, SolverStatus::Solved | SolverStatus::AlmostSolved), "{status:?}");
    let x = DVector::from_column_slice(&solver.solution.x[..m]);
    (program.cost(&x), x)
}

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
        let (cost, x) = by_clarabel(&program);
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
