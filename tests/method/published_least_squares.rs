//! Published least-squares fits through the information, the estimate and the covariance that
//! the fit of a joint uses; the source stands beside each check.
//!
//! `digits` is the log relative error, -log10 |value - certified| / |certified|, capped at 15.
//! The floors asserted are half a digit below what was reached. Normal equations lose twice the
//! digits that the data's condition costs: a line keeps nearly 12, six correlated predictors 7, a
//! polynomial of degree 5 about 6. So polynomials of degree 10 are left out.

use nalgebra::DVector;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use ribwright::maths::information::{Covariance, Estimate, Functional, Information, Shape, evaluate};

fn digits(value: f64, certified: f64) -> f64 {
    (-((value - certified) / certified).abs().log10()).min(15.0)
}

fn close(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected}");
}

/// A fitted regression, the first `inner` of whose unknowns stand in a block, the others in the
/// border.
struct Fit {
    inner: usize,
    /// Each unknown counts in units in which its column is at most 1.
    scale: Vec<f64>,
    estimate: Estimate,
    covariance: Covariance,
    /// Sum of the squared residuals, each over its standard deviation.
    chi_squared: f64,
    dof: usize,
}

impl Fit {
    fn of(rows: &[Vec<f64>], y: &[f64], sd: &[f64], inner: usize) -> Fit {
        let n = rows[0].len();
        let scale: Vec<f64> =
            (0..n).map(|j| 1.0 / rows.iter().map(|r| r[j].abs()).fold(0.0, f64::max)).collect();
        let shape = Shape { blocks: usize::from(inner > 0), size: inner.max(1), border: n - inner };
        let mut information = Information::new(shape);
        let functionals: Vec<Functional> = rows.iter().map(|r| functional(r, &scale, inner)).collect();
        for ((f, y), sd) in functionals.iter().zip(y).zip(sd) {
            information.add(f, *y, 1.0 / (sd * sd));
        }
        let estimate = information.factor().expect("positive definite");
        let squares = || y.iter().zip(sd).map(|(y, sd)| (y / sd).powi(2)).sum::<f64>();
        let residuals = functionals.iter().zip(y).zip(sd).map(|((f, y), sd)| (y - estimate.value(f)) / sd);
        let chi_squared: f64 = residuals.map(|r| r * r).sum();
        // The evidence reckons it by what the estimate explains, to the digits that cancel.
        close(squares() - estimate.explained(), chi_squared, 1e-11 * squares());
        Fit { inner, scale, covariance: estimate.covariance(), estimate, chi_squared, dof: y.len() - n }
    }

    /// Value and standard deviation of `row . x`.
    fn predict(&self, row: &[f64]) -> (f64, f64) {
        let f = functional(row, &self.scale, self.inner);
        (self.estimate.value(&f), self.covariance.variance(&f).sqrt())
    }

    fn value(&self, j: usize) -> (f64, f64) {
        self.predict(&unit(self.scale.len(), j))
    }

    /// Covariance of two unknowns, from the variances of both and of their sum.
    fn between(&self, i: usize, j: usize) -> f64 {
        let n = self.scale.len();
        let both: Vec<f64> = unit(n, i).iter().zip(unit(n, j)).map(|(a, b)| a + b).collect();
        let [sum, one, other] = [self.predict(&both), self.value(i), self.value(j)].map(|v| v.1 * v.1);
        0.5 * (sum - one - other)
    }

    fn residual_sd(&self) -> f64 {
        (self.chi_squared / self.dof as f64).sqrt()
    }
}

fn unit(n: usize, j: usize) -> Vec<f64> {
    (0..n).map(|i| f64::from(u8::from(i == j))).collect()
}

fn functional(row: &[f64], scale: &[f64], inner: usize) -> Functional {
    let scaled = || row.iter().zip(scale).map(|(a, s)| a * s).enumerate();
    Functional {
        inner: scaled().take(inner).collect(),
        border: scaled().skip(inner).map(|(j, a)| (j - inner, a)).collect(),
        ..Functional::default()
    }
}

/// All unknowns in the border, all in the block, and some in each.
fn layouts(n: usize) -> [usize; 3] {
    [0, n, n.div_ceil(2)]
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
fn data(dataset: &str) -> (Vec<f64>, Vec<Vec<f64>>) {
    let cells = |line: &str| numbers(&line.split(',').collect::<Vec<_>>());
    nist(dataset).lines().skip(1).map(cells).map(|r| (r[0], r[1..].to_vec())).unzip()
}

/// A polynomial's rows, x^from ... x^to by repeated multiplication.
fn polynomial(dataset: &str, from: usize, to: usize) -> (Vec<f64>, Vec<Vec<f64>>) {
    let (y, x) = data(dataset);
    let powers = |x: f64| std::iter::successors(Some(1.0), move |p| Some(p * x));
    (y, x.iter().map(|x| powers(x[0]).skip(from).take(to + 1 - from).collect()).collect())
}

/// Fewest digits, in every layout, among estimates, their sds, and the residual sd, against the
/// published and the exact certified values.
fn reaches(dataset: &str, (y, rows): (Vec<f64>, Vec<Vec<f64>>), floors: [f64; 3]) {
    let mut reached = [15.0_f64; 3];
    for inner in layouts(rows[0].len()) {
        let fit = Fit::of(&rows, &y, &vec![1.0; y.len()], inner);
        let s = fit.residual_sd();
        for (j, c) in certified("parameters", dataset, 2).iter().enumerate() {
            let (value, sd) = fit.value(j);
            for exact in [0, 2] {
                reached[0] = reached[0].min(digits(value, c[exact]));
                reached[1] = reached[1].min(digits(sd * s, c[exact + 1]));
            }
        }
        let residual = &certified("residual_sd", dataset, 1)[0];
        reached[2] = reached[2].min(digits(s, residual[0])).min(digits(s, residual[1]));
    }
    println!("{dataset}: digits of estimates, sds, residual sd {reached:.1?}");
    let enough = reached.iter().zip(&floors).all(|(r, f)| r >= f);
    assert!(enough, "{dataset}: {reached:.2?} where {floors:?} are due");
}

#[test]
fn nist_norris_line() {
    reaches("Norris", polynomial("Norris", 0, 1), [11.4, 13.2, 13.2]);
}

#[test]
fn nist_pontius_quadratic() {
    reaches("Pontius", polynomial("Pontius", 0, 2), [10.4, 12.9, 12.8]);
}

#[test]
fn nist_lines_through_the_origin() {
    reaches("NoInt1", polynomial("NoInt1", 1, 1), [14.3, 14.5, 14.5]);
    reaches("NoInt2", polynomial("NoInt2", 1, 1), [14.5, 14.3, 14.4]);
}

#[test]
fn nist_longley_six_predictors() {
    let (y, x) = data("Longley");
    let rows = x.iter().map(|x| [&[1.0], &x[..]].concat()).collect();
    reaches("Longley", (y, rows), [6.4, 7.5, 11.9]);
}

#[test]
fn nist_wampler_degree_5_with_errors() {
    // Wampler5's printed residual sum of squares is a known misprint; its
    // residual sd is right.
    for dataset in ["Wampler3", "Wampler4", "Wampler5"] {
        reaches(dataset, polynomial(dataset, 0, 5), [5.3, 11.0, 13.2]);
    }
}

// ---------------------------------------------------------------------------
// JCGM 100:2008 (GUM), annex H.3: corrections of a thermometer, 11 readings.
// Published to 3 digits or so; the longer figures are exact recomputations.

#[test]
fn gum_h3_thermometer() {
    let t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
    let b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];
    let rows: Vec<Vec<f64>> = t.iter().map(|t| vec![1.0, t - 20.0]).collect();
    for inner in layouts(2) {
        let fit = Fit::of(&rows, &b, &[1.0; 11], inner);
        let s = fit.residual_sd();
        let (y1, u1) = fit.value(0);
        let (y2, u2) = fit.value(1);
        let (at_30, u_30) = fit.predict(&[1.0, 10.0]);
        assert_eq!(fit.dof, 9);
        for (value, published, half_unit, exact) in [
            (y1, -0.1712, 5e-5, -0.171_203_790_131_349_98),
            (u1 * s, 0.0029, 5e-5, 0.002_877_597_835_159_954),
            (y2, 0.00218, 5e-6, 0.002_182_697_739_887_278),
            (u2 * s, 0.00067, 5e-6, 0.000_667_938_773_227_831_7),
            (fit.between(0, 1) / (u1 * u2), -0.930, 5e-4, -0.930_429_603_093_445_9),
            (s, 0.0035, 5e-5, 0.003_497_563_963_505_284),
            (at_30, -0.1494, 5e-5, -0.149_376_812_732_477_2),
            (u_30 * s, 0.0041, 5e-5, 0.004_138_595_752_854_955),
        ] {
            close(value, published, half_unit);
            assert!(digits(value, exact) > 11.0, "{value} is not {exact}");
        }
    }
}

// ---------------------------------------------------------------------------
// ISO/TS 28037:2010, straight lines with stated uncertainties; longer figures
// recomputed.

fn line(x: &[f64], y: &[f64], u: &[f64], inner: usize) -> Fit {
    let rows: Vec<Vec<f64>> = x.iter().map(|x| vec![1.0, *x]).collect();
    Fit::of(&rows, y, u, inner)
}

/// a, u(a), b, u(b), cov(a, b), observed chi-squared.
fn figures(fit: &Fit) -> [f64; 6] {
    let (a, ua) = fit.value(0);
    let (b, ub) = fit.value(1);
    [a, ua, b, ub, fit.between(0, 1), fit.chi_squared]
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
    for inner in layouts(2) {
        let fit = line(&SIX, &[3.3, 5.6, 7.1, 9.3, 10.7, 12.1], &[0.5; 6], inner);
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
        let (y, u) = fit.predict(&[1.0, 3.5]);
        close(y, 8.016_666_666_666_67, 1e-12);
        close(u.hypot(found[2] * 0.2), 0.406_409_531_732_455, 1e-12);
        // Inverse: x at y = 10.5 with u(y) = 0.5.
        let x = (10.5 - found[0]) / found[2];
        let (_, u) = fit.predict(&[1.0, x]);
        close(x, 4.913_279_132_791_33, 1e-12);
        close(u.hypot(0.5) / found[2], 0.322_035_560_128_91, 1e-12);
    }
}

#[test]
fn iso_28037_unequal_weights() {
    // Clause 6.3, second example; inverse x at y = 10.5 with u(y) = 1.0.
    for inner in layouts(2) {
        let y = [3.2, 4.3, 7.6, 8.6, 11.7, 12.8];
        let fit = line(&SIX, &y, &[0.5, 0.5, 0.5, 1.0, 1.0, 1.0], inner);
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
        let (_, u) = fit.predict(&[1.0, x]);
        close(x, 4.674, 5e-4);
        close(u.hypot(1.0) / found[2], 0.533, 5e-4);
    }
}

#[test]
fn iso_28037_unknown_common_uncertainty() {
    // Annex E; the standard deviations come from the residuals.
    for inner in layouts(2) {
        let fit = line(&SIX, &[3.014, 5.225, 7.004, 9.061, 11.201, 12.762], &[1.0; 6], inner);
        let s = fit.residual_sd();
        close(fit.chi_squared, 0.116_498_285_71, 1e-11);
        close(s, 0.171, 5e-4);
        let [a, ua, b, ub, between, chi] = figures(&fit);
        let published = [1.172, 0.159, 1.964, 0.041, -0.006, chi];
        let exact = [
            1.172,
            0.158_875_093_196_181,
            1.963_571_428_571_43,
            0.040_795_357_879_172_9,
            -0.005_824_914_285_714_29,
            chi,
        ];
        agree([a, ua * s, b, ub * s, between * s * s, chi], published, exact);
    }
}

#[test]
fn iso_28037_errors_in_both() {
    // Clause 7.4: the true x are unknowns too, one a block, as a joint's stations are; the line
    // stands in the border, as a joint's plane does. Linearised anew until it settles.
    let x = [1.2, 1.9, 2.9, 4.0, 4.7, 5.9];
    let y = [3.4, 4.4, 7.2, 8.5, 10.8, 13.5];
    let (mut a, mut b, mut at) = (0.0, 1.0, x);
    let mut last = None;
    for _ in 0..30 {
        let mut information = Information::new(Shape { blocks: 6, size: 1, border: 2 });
        let mut squares = 0.0;
        let mut add = |f: Functional, value: f64, sd: f64| {
            squares += ((value - f.offset) / sd).powi(2);
            information.add(&f, value, 1.0 / (sd * sd));
        };
        for i in 0..6 {
            add(Functional { block: i, inner: vec![(0, 1.0)], ..Functional::default() }, x[i], 0.2);
            let (inner, border) = (vec![(0, b)], vec![(0, 1.0), (1, at[i])]);
            let sd = if i < 3 { 0.2 } else { 0.4 };
            add(Functional { block: i, inner, border, offset: -b * at[i] }, y[i], sd);
        }
        let estimate = information.factor().expect("positive definite");
        (a, b) = (estimate.outer[0], estimate.outer[1]);
        at.copy_from_slice(&estimate.inner);
        last = Some((squares - estimate.explained(), estimate.covariance()));
    }
    let (chi, covariance) = last.expect("settled");
    let [ua, ub] = [0, 1].map(|j| covariance.border(j, j).sqrt());
    let published = [0.5788, 0.4764, 2.159, 0.1355, -0.0577, 2.743];
    // One of the published figures is cut off rather than rounded.
    let half_unit = [5e-5, 5e-5, 5e-4, 5e-5, 5e-5, 5e-4];
    for (k, found) in [a, ua, b, ub, covariance.border(0, 1), chi].into_iter().enumerate() {
        close(found, published[k], 1.4 * half_unit[k]);
    }
    close(a, 0.578_822_122_145_264, 1e-9);
    close(b, 2.159_656_567_400_64, 1e-9);
    close(chi, 2.742_676_789_73, 1e-9);
}

// ---------------------------------------------------------------------------
// JCGM 101:2008 (Monte Carlo supplement), 9.2.2: the sum of four standard normal quantities has
// u = 2.00 and the 95 % interval [-3.92; 3.92]. By draws from an estimate, two of the four in
// blocks that are tied to each other, two in the border.

#[test]
fn jcgm_101_sum_of_four() {
    let shape = Shape { blocks: 2, size: 1, border: 2 };
    let mut information = Information::new(shape);
    for r in 0..2 {
        information.add_inner(r, r, 1.0);
        information.add_border(r, 1.0);
    }
    let estimate = information.factor().expect("positive definite");
    let last = Functional {
        block: 1,
        inner: vec![(0, 1.0)],
        border: vec![(0, 1.0), (1, 1.0)],
        ..Functional::default()
    };
    let mut rng = ChaCha8Rng::seed_from_u64(101);
    let mut sums: Vec<f64> = (0..200_000)
        .map(|_| estimate.draw(|| StandardNormal.sample(&mut rng)))
        .map(|(inner, outer): (Vec<f64>, DVector<f64>)| inner[0] + evaluate(&shape, &last, &inner, &outer))
        .collect();
    sums.sort_by(f64::total_cmp);
    let count = sums.len() as f64;
    let u = (sums.iter().map(|s| s * s).sum::<f64>() / count).sqrt();
    // Three standard errors of so many draws.
    close(u, 2.0, 0.01);
    close(sums[(0.025 * count) as usize], -3.92, 0.04);
    close(sums[(0.975 * count) as usize], 3.92, 0.04);
}
