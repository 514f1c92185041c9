//! Robust fits of K. A. Brownlee's stack-loss data (Statistical Theory and
//! Methodology, 1965; 21 days of a plant) against the Huber and bisquare fits
//! published in the test results of general statistics packages (R MASS `rlm`,
//! loosely converged: 1e-4), and against those fits converged to 1e-14
//! (recomputed by two programs that agree: 1e-10).

use nalgebra::{DMatrix, DVector, dmatrix, dvector};
use ribwright::maths::robust::{Fit, Loss, NORMAL_MEDIAN, Scale, fit};

/// Stack loss; air flow, water temperature, acid concentration.
const STACK_LOSS: [[f64; 4]; 21] = [
    [42.0, 80.0, 27.0, 89.0],
    [37.0, 80.0, 27.0, 88.0],
    [37.0, 75.0, 25.0, 90.0],
    [28.0, 62.0, 24.0, 87.0],
    [18.0, 62.0, 22.0, 87.0],
    [18.0, 62.0, 23.0, 87.0],
    [19.0, 62.0, 24.0, 93.0],
    [20.0, 62.0, 24.0, 93.0],
    [15.0, 58.0, 23.0, 87.0],
    [14.0, 58.0, 18.0, 80.0],
    [14.0, 58.0, 18.0, 89.0],
    [13.0, 58.0, 17.0, 88.0],
    [11.0, 58.0, 18.0, 82.0],
    [12.0, 58.0, 19.0, 93.0],
    [8.0, 50.0, 18.0, 89.0],
    [7.0, 50.0, 18.0, 86.0],
    [8.0, 50.0, 19.0, 72.0],
    [8.0, 50.0, 19.0, 79.0],
    [9.0, 50.0, 20.0, 80.0],
    [15.0, 56.0, 20.0, 82.0],
    [15.0, 70.0, 20.0, 91.0],
];

fn stack_loss() -> (DMatrix<f64>, DVector<f64>) {
    let a = DMatrix::from_fn(21, 4, |i, j| if j == 3 { 1.0 } else { STACK_LOSS[i][j + 1] });
    (a, DVector::from_fn(21, |i, _| STACK_LOSS[i][0]))
}

/// Air flow, water temperature, acid concentration, intercept, scale.
fn agree(fit: &Fit, expected: [f64; 5], tolerance: f64) {
    let x = fit.solution.estimates().unwrap();
    let found = [x[0], x[1], x[2], x[3], fit.scale];
    for (found, expected) in found.iter().zip(expected) {
        assert!((found - expected).abs() < tolerance, "{found} is not {expected}");
    }
}

#[test]
fn stack_loss_huber() {
    let (a, b) = stack_loss();
    let fit = fit(&a, &b, None, Loss::HUBER, Scale::Median).unwrap();
    assert!(fit.settled);
    let published = [0.82937387, 0.92610818, -0.12784916, -41.02653105, 2.4407137948];
    let converged = [0.829384334600, 0.926065966197, -0.127846724946, -41.026498352400, 2.440536091721];
    // The published intercept and scale are 3e-5 and 2e-4 from convergence.
    agree(&fit, published, 2e-4);
    agree(&fit, converged, 1e-10);
}

#[test]
fn stack_loss_bisquare() {
    let (a, b) = stack_loss();
    let fit = fit(&a, &b, None, Loss::BISQUARE, Scale::Median).unwrap();
    assert!(fit.settled);
    let published = [0.9275471, 0.65073222, -0.11233103, -42.28525369, 2.28188588];
    let converged = [0.927557322756, 0.650717687214, -0.112333153791, -42.285350779330, 2.281881334951];
    agree(&fit, published, 1e-4);
    agree(&fit, converged, 1e-10);
}

#[test]
fn stack_loss_suspects_are_days_21_and_4() {
    // The days that stand out in every robust fit of these data (from memory).
    let (a, b) = stack_loss();
    for loss in [Loss::HUBER, Loss::BISQUARE] {
        let weights = fit(&a, &b, None, loss, Scale::Median).unwrap().weights;
        let mut days: Vec<usize> = (1..=21).collect();
        days.sort_by(|i, j| weights[i - 1].total_cmp(&weights[j - 1]));
        assert_eq!(days[..2], [21, 4], "{loss:?}");
        assert!(weights[20] < 0.4);
    }
}

#[test]
fn least_squares_when_nothing_is_far_off() {
    // Least squares of the same data, recomputed; a huge k weights nothing down.
    let (a, b) = stack_loss();
    let fit = fit(&a, &b, None, Loss::Huber(1e6), Scale::Known(1.0)).unwrap();
    let expected = [0.7156402, 1.29528612, -0.15212252, -39.91967442, 1.0];
    agree(&fit, expected, 1e-7);
    assert!(fit.weights.iter().all(|w| *w == 1.0));
    let sd = fit.solution.residual_sd().unwrap();
    assert!((sd - 3.243363918185223).abs() < 1e-8);
}

// From here on no source: follows from the definitions.

#[test]
fn the_scale_makes_the_median_of_normal_errors_one_sd() {
    // Phi(0.6745) = 3/4, by Simpson's rule on the normal density.
    let n = 2000;
    let density = |k: usize| {
        let x = NORMAL_MEDIAN * k as f64 / n as f64;
        let weight = if k == 0 || k == n { 1.0 } else { 2.0 * (1 + k % 2) as f64 };
        weight * (-0.5 * x * x).exp()
    };
    let sum: f64 = (0..=n).map(density).sum();
    let area = sum * NORMAL_MEDIAN / (3.0 * n as f64) / std::f64::consts::TAU.sqrt();
    assert!((area - 0.25).abs() < 1e-13, "{area}");
}

#[test]
fn one_wild_value_among_exact_ones_does_not_count() {
    let a = DMatrix::from_fn(9, 2, |i, j| if j == 0 { 1.0 } else { i as f64 });
    let mut b = DVector::from_fn(9, |i, _| 2.0 + 0.5 * i as f64);
    b[4] += 30.0;
    for loss in [Loss::HUBER, Loss::BISQUARE] {
        let fit = fit(&a, &b, None, loss, Scale::Median).unwrap();
        let x = fit.solution.estimates().unwrap();
        assert!((x[0] - 2.0).abs() < 1e-9 && (x[1] - 0.5).abs() < 1e-9, "{loss:?} {x}");
        assert!(fit.weights[4] < 1e-6);
    }
}

#[test]
fn stated_errors_decide_what_is_far_off() {
    // 1 is ten sds from the others in the first case, one in the second.
    let (a, b) = (dmatrix![1.0; 1.0; 1.0], dvector![0.0, 0.0, 1.0]);
    let weight = |sd: f64| {
        let sd = dvector![0.1, 0.1, sd];
        let fit = fit(&a, &b, Some(&sd), Loss::HUBER, Scale::Known(1.0)).unwrap();
        fit.weights[2]
    };
    assert!(weight(0.1) < 0.2 && weight(1.0) == 1.0);
}
