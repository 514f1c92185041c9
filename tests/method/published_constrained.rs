//! Constrained fits through the small convex solver; the source stands beside each check.

use nalgebra::{DMatrix, DVector, dmatrix, dvector};
use proptest::prelude::*;
use ribwright::maths::program::Program;

fn close(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected}");
}

/// min 1/2 |b - A x|^2, rows to follow.
fn squares(a: &DMatrix<f64>, b: &DVector<f64>) -> Program {
    let mut program = Program::new(a.ncols());
    program.h = a.tr_mul(a);
    program.g = -a.tr_mul(b);
    program
}

fn unit(n: usize, j: usize, sign: f64) -> Vec<f64> {
    (0..n).map(|i| if i == j { sign } else { 0.0 }).collect()
}

/// low <= x_j <= high, infinite where there is no bound.
fn bounded(mut program: Program, bounds: &[(f64, f64)]) -> DVector<f64> {
    let n = bounds.len();
    for (j, (low, high)) in bounds.iter().enumerate() {
        if low.is_finite() {
            program.hard(&unit(n, j, -1.0), -low);
        }
        if high.is_finite() {
            program.hard(&unit(n, j, 1.0), *high);
        }
    }
    program.minimise().unwrap().x
}

#[test]
fn lawson_and_hanson_constrained_line() {
    // C. L. Lawson and R. J. Hanson, Solving Least Squares Problems (1974),
    // ch. 23: a line x1 t + x2 with x1, x2 >= 0 and x1 + x2 <= 1. Published to
    // 5 digits; 274/441 and 167/441 exactly (recomputed).
    let a = dmatrix![0.25, 1.0; 0.5, 1.0; 0.5, 1.0; 0.8, 1.0];
    let w = dvector![0.5, 0.6, 0.7, 1.2];
    let mut program = squares(&a, &w);
    program.hard(&[-1.0, 0.0], 0.0);
    program.hard(&[0.0, -1.0], 0.0);
    program.hard(&[1.0, 1.0], 1.0);
    let minimum = program.minimise().unwrap();
    close(minimum.x[0], 0.62132, 5e-6);
    close(minimum.x[1], 0.37868, 5e-6);
    close((&w - &a * &minimum.x).norm(), 0.33822935, 5e-9);
    close(minimum.x[0], 274.0 / 441.0, 1e-12);
    close(minimum.x[1], 167.0 / 441.0, 1e-12);
    // Only the sum is held.
    let held: Vec<bool> = minimum.multipliers.iter().map(|m| *m > 1e-6).collect();
    assert_eq!(held, [false, false, true]);
}

#[test]
fn bounded_least_squares() {
    // SciPy's test suite, with values from MATLAB.
    let a = dmatrix![0.171, -0.057; -0.049, -0.248; -0.166, 0.054];
    let b = dvector![0.074, 1.014, -0.383];
    let open = f64::INFINITY;
    let x = bounded(squares(&a, &b), &[(-1.0, open), (0.0, open)]);
    close(x[0], 0.448427311733504, 1e-12);
    close(x[1], 0.0, 1e-12);
    let x = bounded(squares(&a, &b), &[(0.0, 1.0), (-4.0, 0.0)]);
    close(x[0], 0.005236663400791, 1e-12);
    close(x[1], -4.0, 1e-12);
}

#[test]
fn chebyshev_line_to_the_exponential() {
    // A textbook classic (from memory; closed form derived): the line nearest
    // to exp(x) on 0 .. 1 has slope e - 1 and touches at x = ln(e - 1), which is
    // among the points here.
    let slope = std::f64::consts::E - 1.0;
    let grid = (0..=200).map(|i| f64::from(i) / 200.0);
    // The cost is linear; a trace of curvature, as in the programs of ribs, moves no corner.
    let mut program = Program::new(3);
    program.h.fill_diagonal(1e-9);
    program.g[2] = 1.0;
    for x in grid.chain([slope.ln()]) {
        program.hard(&[1.0, x, -1.0], x.exp());
        program.hard(&[-1.0, -x, -1.0], -x.exp());
    }
    let x = program.minimise().unwrap().x;
    close(x[0], 0.8940665837422168, 1e-9);
    close(x[1], slope, 1e-9);
    close(x[2], 0.1059334162577832, 1e-9);
}

#[test]
fn chebyshev_line_to_a_corner() {
    // min t over |y - (a + b x)| <= t for y = |x| on -1, 0, 1: t = 1/2 (by hand).
    let mut program = Program::new(3);
    program.h.fill_diagonal(1e-9);
    program.g[2] = 1.0;
    for (x, y) in [(-1.0, 1.0), (0.0, 0.0), (1.0, 1.0)] {
        program.hard(&[1.0, x, -1.0], y);
        program.hard(&[-1.0, -x, -1.0], -y);
    }
    let x = program.minimise().unwrap().x;
    close(x[2], 0.5, 1e-9);
    close(x[1], 0.0, 1e-9);
}

#[test]
fn soft_rows_give_the_median() {
    // The sum of distances is least at the median (textbook).
    let mut program = Program::new(1);
    program.h.fill_diagonal(1e-9);
    for y in [1.0, 2.0, 4.0, 8.0, 100.0] {
        program.soft(&[1.0], y, 1.0);
        program.soft(&[-1.0], -y, 1.0);
    }
    close(program.minimise().unwrap().x[0], 4.0, 1e-8);
}

// ---------------------------------------------------------------------------
// The slow and obvious way (no source): every set of rows in turn is held as
// equal; of the points that satisfy all rows, the cheapest.

fn every_active_set(program: &Program) -> Option<(f64, DVector<f64>)> {
    let (m, n) = (program.g.len(), program.len());
    let sets = (0_u32..1 << n).filter(|set| set.count_ones() as usize <= m);
    let points = sets.filter_map(|set| {
        let held: Vec<usize> = (0..n).filter(|j| set >> j & 1 == 1).collect();
        stationary(program, &held).filter(|x| feasible(program, x))
    });
    points.map(|x| (program.cost(&x), x)).min_by(|a, b| a.0.total_cmp(&b.0))
}

/// Where the cost is level with the `held` rows equal.
fn stationary(program: &Program, held: &[usize]) -> Option<DVector<f64>> {
    let m = program.g.len();
    let size = m + held.len();
    let mut system = DMatrix::zeros(size, size);
    system.view_mut((0, 0), (m, m)).copy_from(&program.h);
    let mut right = DVector::zeros(size);
    right.rows_mut(0, m).copy_from(&-&program.g);
    for (k, &row) in held.iter().enumerate() {
        right[m + k] = program.sides[row];
        for (j, a) in program.row(row).into_iter().enumerate() {
            system[(m + k, j)] = a;
            system[(j, m + k)] = a;
        }
    }
    let solution = system.full_piv_lu().solve(&right)?;
    Some(solution.rows(0, m).into_owned())
}

fn feasible(program: &Program, x: &DVector<f64>) -> bool {
    program.excess(x.as_slice()).iter().all(|e| *e <= 1e-9)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn all_active_sets_agree(
        a in proptest::collection::vec(-1.0..1.0_f64, 18),
        b in proptest::collection::vec(-1.0..1.0_f64, 6),
        rows in proptest::collection::vec(([-1.0..1.0_f64, -1.0..1.0, -1.0..1.0], 0.0..0.5_f64), 1..9),
    ) {
        let a = DMatrix::from_row_slice(6, 3, &a);
        prop_assume!(a.singular_values().min() > 0.1);
        let mut program = squares(&a, &DVector::from_vec(b));
        // Right sides above zero: x = 0 satisfies all rows.
        rows.iter().for_each(|(a, b)| program.hard(a, *b));
        let x = program.minimise().unwrap().x;
        let quick = program.cost(&x);
        let (cost, slow) = every_active_set(&program).unwrap();
        prop_assert!((quick - cost).abs() < 1e-8, "{quick} {cost}");
        prop_assert!((&x - &slow).amax() < 1e-6, "{x} {slow}");
    }
}
