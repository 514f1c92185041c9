//! Least squares against published fits; the source stands beside each check.
//!
//! `digits` is the log relative error, -log10 |value - certified| / |certified|,
//! capped at 15. The floors asserted are half a digit below what was reached.

use nalgebra::{DMatrix, DVector, dmatrix, dvector};
use proptest::prelude::*;
use ribwright::maths::least_squares::{Error, Solution, solve};

fn digits(value: f64, certified: f64) -> f64 {
    (-((value - certified) / certified).abs().log10()).min(15.0)
}

fn close(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected}");
}

// ---------------------------------------------------------------------------
// NIST/ITL Statistical Reference Datasets, linear least squares. The published
// certified values carry 15 digits; beside them in tests/published/nist stand
// recomputations with exact rational arithmetic, which agree to 14 digits.

fn nist(name: &str) -> String {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/published/nist");
    std::fs::read_to_string(format!("{folder}/{name}.csv")).unwrap()
}

fn numbers(cells: &[&str]) -> Vec<f64> {
    cells.iter().map(|c| c.parse().unwrap()).collect()
}

/// Rows of a table of certified values that belong to `dataset`, numbers only.
fn certified(table: &str, dataset: &str, skip: usize) -> Vec<Vec<f64>> {
    let table = nist(table);
    let rows = table.lines().map(|l| l.split(',').collect::<Vec<_>>());
    rows.filter(|c| c[0] == dataset).map(|c| numbers(&c[skip..])).collect()
}

/// Response and predictors of a dataset.
fn data(dataset: &str) -> (DVector<f64>, Vec<Vec<f64>>) {
    let rows: Vec<Vec<f64>> =
        nist(dataset).lines().skip(1).map(|l| numbers(&l.split(',').collect::<Vec<_>>())).collect();
    let y = DVector::from_iterator(rows.len(), rows.iter().map(|r| r[0]));
    (y, rows.into_iter().map(|r| r[1..].to_vec()).collect())
}

/// x^from ... x^to by repeated multiplication.
fn powers(x: f64, from: usize, to: usize) -> impl Iterator<Item = f64> {
    std::iter::successors(Some(1.0), move |p| Some(p * x)).skip(from).take(to + 1 - from)
}

fn polynomial(dataset: &str, from: usize, to: usize) -> Solution {
    let (y, x) = data(dataset);
    let rows: Vec<f64> = x.iter().flat_map(|x| powers(x[0], from, to)).collect();
    let a = DMatrix::from_row_slice(y.len(), to + 1 - from, &rows);
    scaled(&a, &y)
}

fn scaled(a: &DMatrix<f64>, y: &DVector<f64>) -> Solution {
    let solution = solve(a, y, None).unwrap();
    assert_eq!(solution.rank, a.ncols());
    solution.scaled_by_residuals().unwrap()
}

/// Fewest digits among estimates, their sds, and the residual sd, against the
/// published and the exact certified values.
fn worst(dataset: &str, fit: &Solution) -> [f64; 3] {
    let parameters = certified("parameters", dataset, 2);
    assert_eq!(parameters.len(), fit.rank);
    let mut worst = [15.0_f64; 3];
    for (j, c) in parameters.iter().enumerate() {
        let (value, sd) = fit.value(j).unwrap();
        for exact in [0, 2] {
            worst[0] = worst[0].min(digits(value, c[exact]));
            worst[1] = worst[1].min(digits(sd, c[exact + 1]));
        }
    }
    let residual = &certified("residual_sd", dataset, 1)[0];
    let sd = fit.residual_sd().unwrap();
    worst[2] = digits(sd, residual[0]).min(digits(sd, residual[1]));
    worst
}

fn reaches(dataset: &str, fit: &Solution, floors: [f64; 3]) {
    let reached = worst(dataset, fit);
    println!("{dataset}: digits of estimates, sds, residual sd {reached:.1?}");
    let enough = reached.iter().zip(&floors).all(|(r, f)| r >= f);
    assert!(enough, "{dataset}: {reached:.2?} where {floors:?} are due");
}

#[test]
fn nist_norris_line() {
    reaches("Norris", &polynomial("Norris", 0, 1), [13.4, 13.4, 13.5]);
}

#[test]
fn nist_pontius_quadratic() {
    reaches("Pontius", &polynomial("Pontius", 0, 2), [13.0, 13.3, 13.3]);
}

#[test]
fn nist_lines_through_the_origin() {
    reaches("NoInt1", &polynomial("NoInt1", 1, 1), [14.2, 14.4, 14.5]);
    reaches("NoInt2", &polynomial("NoInt2", 1, 1), [14.2, 14.4, 14.5]);
}

#[test]
fn nist_longley_six_predictors() {
    let (y, x) = data("Longley");
    let a = DMatrix::from_fn(y.len(), 7, |i, j| if j == 0 { 1.0 } else { x[i][j - 1] });
    reaches("Longley", &scaled(&a, &y), [14.1, 12.4, 14.5]);
}

#[test]
fn nist_wampler_degree_5_with_errors() {
    // Wampler5's printed residual sum of squares is a known misprint; its
    // residual sd is right.
    for dataset in ["Wampler3", "Wampler4", "Wampler5"] {
        reaches(dataset, &polynomial(dataset, 0, 5), [14.5, 12.9, 14.3]);
    }
}

#[test]
fn nist_wampler_degree_5_exact() {
    // Certified residual sd and sds of estimates: 0.
    let one = polynomial("Wampler1", 0, 5);
    assert!((0..6).all(|j| one.value(j) == Some((1.0, 0.0))));
    assert_eq!(one.residual_sd(), Some(0.0));
    // Wampler2's responses are decimals: their own rounding, 3.6e-15, remains.
    let two = polynomial("Wampler2", 0, 5);
    assert!(two.residual_sd().unwrap() < 3.6e-15);
    for (j, c) in certified("parameters", "Wampler2", 2).iter().enumerate() {
        let (value, sd) = two.value(j).unwrap();
        assert!(digits(value, c[2]) > 12.7 && sd < 3.6e-15, "{j}: {value}");
    }
}

#[test]
fn nist_filip_degree_10_as_it_stands() {
    // Condition 1e10 after scaling: rounding the powers of x to 16 digits
    // already costs all but 7 or 8 of them, whoever solves it.
    let fit = polynomial("Filip", 0, 10);
    assert!(fit.condition > 1e9);
    reaches("Filip", &fit, [7.4, 7.4, 8.0]);
    // Exact rational solution of that same rounded matrix (recomputed): the
    // solver itself loses next to nothing.
    let exact = FILIP_ROUNDED;
    for (j, exact) in exact.iter().enumerate() {
        let reached = digits(fit.value(j).unwrap().0, *exact);
        assert!(reached > 14.0, "{j}: {reached}");
    }
}

const FILIP_ROUNDED: [f64; 11] = [
    -1467.4896313887714,
    -2772.1796242619316,
    -2316.371108609359,
    -1127.9739541497518,
    -354.4782378552308,
    -75.12420262435174,
    -10.875318164699452,
    -1.0622149986404843,
    -0.06701911627445624,
    -0.002467810813235648,
    -4.029625301456807e-05,
];

#[test]
fn nist_filip_degree_10_about_its_middle() {
    // The same polynomial in u = x + 6, where x lies in -9 .. -3: B_j is the
    // sum over k of c_k binomial(k, j) 6^(k - j), a prediction of the fit in u.
    let (y, x) = data("Filip");
    let rows: Vec<f64> = x.iter().flat_map(|x| powers(x[0] + 6.0, 0, 10)).collect();
    let fit = scaled(&DMatrix::from_row_slice(82, 11, &rows), &y);
    let mut worst = [15.0_f64; 2];
    for (j, c) in certified("parameters", "Filip", 2).iter().enumerate() {
        let (value, sd) = fit.predict(&shift_row(j, 10, 6.0)).unwrap();
        worst = [worst[0].min(digits(value, c[2])), worst[1].min(digits(sd, c[3]))];
    }
    println!("Filip about its middle: {worst:.1?} at condition {:.0e}", fit.condition);
    assert!(worst[0] > 13.5 && worst[1] > 13.3, "{worst:?}");
    let residual = certified("residual_sd", "Filip", 1)[0][1];
    assert!(digits(fit.residual_sd().unwrap(), residual) > 12.0);
}

/// d^j/du^j of powers of u, over j!, at u = by.
fn shift_row(j: usize, degree: usize, by: f64) -> DVector<f64> {
    let binomial = |k: usize| (0..j).fold(1.0, |b, i| b * (k - i) as f64 / (i + 1) as f64);
    let entry = |k: usize| binomial(k) * by.powi((k - j) as i32);
    DVector::from_fn(degree + 1, |k, _| if k < j { 0.0 } else { entry(k) })
}

// ---------------------------------------------------------------------------
// JCGM 100:2008 (GUM), annex H.3: corrections of a thermometer, 11 readings.
// Published to 3 digits or so; the longer figures are exact recomputations.

#[test]
fn gum_h3_thermometer() {
    let t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
    let b = dvector![-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];
    let a = DMatrix::from_fn(11, 2, |i, j| if j == 0 { 1.0 } else { t[i] - 20.0 });
    let fit = scaled(&a, &b);
    let covariance = fit.covariance().unwrap();
    let (y1, u1) = fit.value(0).unwrap();
    let (y2, u2) = fit.value(1).unwrap();
    let correlation = covariance[(0, 1)] / (u1 * u2);
    let (at_30, u_30) = fit.predict(&dvector![1.0, 10.0]).unwrap();
    let s = fit.residual_sd().unwrap();
    assert_eq!(fit.dof, 9);
    for (value, published, half_unit, exact) in [
        (y1, -0.1712, 5e-5, -0.171_203_790_131_349_98),
        (u1, 0.0029, 5e-5, 0.002_877_597_835_159_954),
        (y2, 0.00218, 5e-6, 0.002_182_697_739_887_278),
        (u2, 0.00067, 5e-6, 0.000_667_938_773_227_831_7),
        (correlation, -0.930, 5e-4, -0.930_429_603_093_445_9),
        (s, 0.0035, 5e-5, 0.003_497_563_963_505_284),
        (at_30, -0.1494, 5e-5, -0.149_376_812_732_477_2),
        (u_30, 0.0041, 5e-5, 0.004_138_595_752_854_955),
    ] {
        close(value, published, half_unit);
        assert!(digits(value, exact) > 12.5, "{value} is not {exact}");
    }
}

// ---------------------------------------------------------------------------
// ISO/TS 28037:2010, straight lines with stated uncertainties; longer figures
// recomputed.

fn line(x: &[f64], y: &[f64], u: &[f64]) -> Solution {
    let a = DMatrix::from_fn(x.len(), 2, |i, j| if j == 0 { 1.0 } else { x[i] });
    let (y, u) = (DVector::from_row_slice(y), DVector::from_row_slice(u));
    solve(&a, &y, Some(&u)).unwrap()
}

/// a, u(a), b, u(b), cov(a, b), observed chi-squared.
fn figures(fit: &Solution) -> [f64; 6] {
    let (a, ua) = fit.value(0).unwrap();
    let (b, ub) = fit.value(1).unwrap();
    let covariance = fit.covariance().unwrap()[(0, 1)];
    [a, ua, b, ub, covariance, fit.chi_squared]
}

fn agree(found: [f64; 6], published: [f64; 6], exact: [f64; 6]) {
    for k in 0..6 {
        close(found[k], published[k], 5.01e-4);
        close(found[k], exact[k], 2e-11 * exact[k].abs().max(0.05));
    }
}

const SIX: [f64; 6] = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0];

#[test]
fn iso_28037_equal_weights() {
    // Clause 6.3, first example.
    let fit = line(&SIX, &[3.3, 5.6, 7.1, 9.3, 10.7, 12.1], &[0.5; 6]);
    let found = figures(&fit);
    let published = [1.867, 0.465, 1.757, 0.120, -0.050, 1.665];
    let exact = [
        1.866_666_666_666_67,
        0.465_474_668_125_631,
        1.757_142_857_142_86,
        0.119_522_860_933_439,
        -0.05,
        1.664_761_904_76,
    ];
    agree(found, published, exact);
    assert_eq!(fit.dof, 4);
    // Forward: y at x = 3.5 with u(x) = 0.2.
    let (y, u) = fit.predict(&dvector![1.0, 3.5]).unwrap();
    close(y, 8.016_666_666_666_67, 1e-13);
    close(u.hypot(found[2] * 0.2), 0.406_409_531_732_455, 1e-13);
    // Inverse: x at y = 10.5 with u(y) = 0.5.
    let x = (10.5 - found[0]) / found[2];
    let (_, u) = fit.predict(&dvector![1.0, x]).unwrap();
    close(x, 4.913_279_132_791_33, 1e-13);
    close(u.hypot(0.5) / found[2], 0.322_035_560_128_91, 1e-13);
}

#[test]
fn iso_28037_unequal_weights() {
    // Clause 6.3, second example; inverse x at y = 10.5 with u(y) = 1.0.
    let y = [3.2, 4.3, 7.6, 8.6, 11.7, 12.8];
    let fit = line(&SIX, &y, &[0.5, 0.5, 0.5, 1.0, 1.0, 1.0]);
    let found = figures(&fit);
    let published = [0.885, 0.530, 2.057, 0.178, -0.082, 4.131];
    let exact = [
        0.885_232_067_510_549,
        0.529_708_143_508_836,
        2.056_962_025_316_46,
        0.177_892_016_741_205,
        -0.082_278_481_012_658_2,
        4.130_801_687_76,
    ];
    agree(found, published, exact);
    let x = (10.5 - found[0]) / found[2];
    let (_, u) = fit.predict(&dvector![1.0, x]).unwrap();
    close(x, 4.674, 5e-4);
    close(u.hypot(1.0) / found[2], 0.533, 5e-4);
}

#[test]
fn iso_28037_unknown_common_uncertainty() {
    // Annex E; the standard deviations come from the residuals.
    let fit = line(&SIX, &[3.014, 5.225, 7.004, 9.061, 11.201, 12.762], &[1.0; 6]);
    close(fit.chi_squared, 0.116_498_285_71, 1e-11);
    close(fit.residual_sd().unwrap(), 0.171, 5e-4);
    let found = figures(&fit.scaled_by_residuals().unwrap());
    let published = [1.172, 0.159, 1.964, 0.041, -0.006, found[5]];
    let exact = [
        1.172,
        0.158_875_093_196_181,
        1.963_571_428_571_43,
        0.040_795_357_879_172_9,
        -0.005_824_914_285_714_29,
        found[5],
    ];
    agree(found, published, exact);
}

#[test]
fn iso_28037_errors_in_both() {
    // Clause 7.4: the true x are unknowns too. Gauss-Newton over (a, b, x_1..6),
    // 12 weighted rows in 8 unknowns a step.
    let x = [1.2, 1.9, 2.9, 4.0, 4.7, 5.9];
    let y = [3.4, 4.4, 7.2, 8.5, 10.8, 13.5];
    let sd = DVector::from_fn(12, |i, _| if i < 9 { 0.2 } else { 0.4 });
    let mut at = DVector::from_fn(8, |j, _| if j < 2 { j as f64 } else { x[j - 2] });
    let mut step = None;
    for _ in 0..30 {
        let a = DMatrix::from_fn(12, 8, |i, j| match (i, j) {
            (i, 0) if i >= 6 => 1.0,
            (i, 1) if i >= 6 => at[i - 4],
            (i, j) if i >= 6 && j == i - 4 => at[1],
            (i, j) if i < 6 && j == i + 2 => 1.0,
            _ => 0.0,
        });
        let off = |i: usize| match i {
            0..6 => x[i] - at[i + 2],
            _ => y[i - 6] - at[0] - at[1] * at[i - 4],
        };
        let fit = solve(&a, &DVector::from_fn(12, |i, _| off(i)), Some(&sd)).unwrap();
        at += fit.estimates().unwrap();
        step = Some(fit);
    }
    let fit = step.unwrap();
    let [_, ua, _, ub, covariance, chi] = figures(&fit);
    let published = [0.5788, 0.4764, 2.159, 0.1355, -0.0577, 2.743];
    // One of the published figures is cut off rather than rounded.
    let half_unit = [5e-5, 5e-5, 5e-4, 5e-5, 5e-5, 5e-4];
    for (k, found) in [at[0], ua, at[1], ub, covariance, chi].iter().enumerate() {
        close(*found, published[k], 1.4 * half_unit[k]);
    }
    close(at[0], 0.578_822_122_145_264, 1e-9);
    close(at[1], 2.159_656_567_400_64, 1e-9);
    close(chi, 2.742_676_789_73, 1e-10);
    assert_eq!(fit.dof, 4);
}

// ---------------------------------------------------------------------------
// What the data can't tell (no source: follows from the definitions).

#[test]
fn dependent_columns_leave_only_what_is_determined() {
    // x0 and 1000 x1 only as a sum, x2 by itself, x3 not at all.
    let a = dmatrix![
        1.0, 1000.0, 1.0, 0.0;
        1.0, 1000.0, 2.0, 0.0;
        1.0, 1000.0, 4.0, 0.0
    ];
    let fit = solve(&a, &dvector![5.0, 7.0, 11.0], None).unwrap();
    assert_eq!((fit.rank, fit.dof), (2, 1));
    assert_eq!(fit.undetermined.ncols(), 2);
    assert!((&a * &fit.undetermined).amax() < 1e-12);
    assert!(fit.estimates().is_none() && fit.covariance().is_none());
    assert_eq!([0, 1, 3, 4].map(|j| fit.value(j)), [None; 4]);
    close(fit.value(2).unwrap().0, 2.0, 1e-13);
    let (sum, sd) = fit.predict(&dvector![1.0, 1000.0, 0.0, 0.0]).unwrap();
    close(sum, 3.0, 1e-12);
    // Sd of an intercept at x = 1, 2, 4: sqrt(21 / 14).
    close(sd, 1.5_f64.sqrt(), 1e-13);
    assert!(fit.predict(&dvector![1.0, 999.0, 0.0, 0.0]).is_none());
}

#[test]
fn fewer_rows_than_unknowns_and_zeros() {
    let fit = solve(&dmatrix![1.0, 2.0, 0.0], &dvector![3.0], None).unwrap();
    assert_eq!((fit.rank, fit.dof, fit.residual_sd()), (1, 0, None));
    close(fit.predict(&dvector![2.0, 4.0, 0.0]).unwrap().0, 6.0, 1e-14);
    assert!(fit.predict(&dvector![2.0, 4.0, 1.0]).is_none());
    let nothing = solve(&DMatrix::zeros(2, 2), &dvector![1.0, 2.0], None).unwrap();
    assert_eq!((nothing.rank, nothing.value(0)), (0, None));
    close(nothing.chi_squared, 5.0, 1e-15);
}

#[test]
fn an_infinite_sd_leaves_a_row_out() {
    let (a, b) = (dmatrix![1.0; 1.0; 1.0], dvector![1.0, 3.0, 99.0]);
    let sd = dvector![1.0, 1.0, f64::INFINITY];
    let fit = solve(&a, &b, Some(&sd)).unwrap();
    assert_eq!(fit.dof, 1);
    close(fit.value(0).unwrap().0, 2.0, 1e-15);
    close(fit.residuals[2], 97.0, 1e-13);
}

#[test]
fn misuse_is_told_by_row() {
    let a = dmatrix![1.0; 1.0];
    let error = |b, sd| solve(&a, &b, Some(&sd)).unwrap_err();
    assert_eq!(error(dvector![1.0], dvector![1.0]), Error::Shape);
    let nan = error(dvector![1.0, f64::NAN], dvector![1.0, 1.0]);
    assert_eq!(nan, Error::NotFinite { row: 1 });
    let zero = error(dvector![1.0, 1.0], dvector![0.0, 1.0]);
    assert_eq!(zero, Error::BadSd { row: 0 });
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Planted unknowns come back whatever the units of columns and rows.
    #[test]
    fn planted_unknowns_come_back(
        entries in proptest::collection::vec(-1.0..1.0_f64, 40),
        planted in proptest::collection::vec(-5.0..5.0_f64, 4),
        units in proptest::collection::vec(-6..6_i32, 4),
    ) {
        let unit = |j: usize| 10_f64.powi(units[j]);
        let a = DMatrix::from_fn(10, 4, |i, j| entries[4 * i + j] * unit(j));
        let x = DVector::from_fn(4, |j, _| planted[j] / unit(j));
        let fit = solve(&a, &(&a * &x), None).unwrap();
        prop_assume!(fit.condition < 1e4);
        let found = fit.estimates().unwrap();
        for j in 0..4 {
            prop_assert!((found[j] - x[j]).abs() * unit(j) < 1e-10);
        }
    }
}
