//! Sharing out a girth, marking, and bending, against closed forms, handbooks and a
//! general convex solver.

use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSettingsBuilder, DefaultSolver, IPSolver, NonnegativeConeT, ZeroConeT};
use proptest::prelude::*;
use ribwright::bowl::divide::share;
use ribwright::bowl::moisture::change;
use ribwright::bowl::spacer::{Bending, spacer, strain};
use ribwright::bowl::tacks::{APART, tacks};
use ribwright::job::bowl::Spacer;
use ribwright::job::{Angle, Job, Station};
use ribwright::seat::wood::Wood;

/// Least over the widths left of `1/2 x'Px + q'x` with rows `a x (=, <=) b`.
fn solve(p: Vec<Vec<f64>>, q: Vec<f64>, a: Vec<Vec<f64>>, b: Vec<f64>, equal: usize) -> Vec<f64> {
    let (p, a) = (CscMatrix::from(&upper(p)), CscMatrix::from(&a));
    let cones = [ZeroConeT(equal), NonnegativeConeT(b.len() - equal)];
    let settings = DefaultSettingsBuilder::default().verbose(false).build().unwrap();
    let mut solver = DefaultSolver::new(&p, &q, &a, &b, &cones, settings).unwrap();
    solver.solve();
    solver.solution.x.clone()
}

fn upper(p: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    p.iter()
        .enumerate()
        .map(|(i, r)| r.iter().enumerate().map(|(j, v)| if j < i { 0.0 } else { *v }).collect())
        .collect()
}

fn range(widths: &[f64]) -> f64 {
    let fold = |f: fn(f64, f64) -> f64, from| widths.iter().copied().fold(from, f);
    fold(f64::max, f64::NEG_INFINITY) - fold(f64::min, f64::INFINITY)
}

fn squares(widths: &[f64]) -> f64 {
    let mean = widths.iter().sum::<f64>() / widths.len() as f64;
    widths.iter().map(|w| (w - mean).powi(2)).sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// The shares are the least in squares and in the largest difference: both as a
    /// general convex solver finds them.
    #[test]
    fn shares_are_least_in_both_senses(
        fitted in prop::collection::vec(30.0f64..40.0, 1..8),
        n in 2usize..8,
        mean in 30.0f64..40.0,
    ) {
        let (k, left) = (fitted.len(), mean * n as f64);
        let ours = share(&fitted, left, k + n, false);
        prop_assert!((ours.iter().sum::<f64>() - left).abs() < 1e-9);
        let all = |left: &[f64]| [&fitted, left].concat();
        // Squares: sum (w - m)^2 over all ribs, with the mean m given by the sums.
        let m = (fitted.iter().sum::<f64>() + left) / (k + n) as f64;
        let unit = |i: usize, of: usize| (0..of).map(|j| f64::from(u8::from(i == j))).collect::<Vec<f64>>();
        let p = (0..n).map(|i| unit(i, n)).collect();
        let least = solve(p, vec![-m; n], vec![vec![1.0; n]], vec![left], 1);
        prop_assert!(squares(&all(&ours)) <= squares(&all(&least)) + 1e-6);
        // Largest difference: high - low, every rib between.
        let (high, low) = (n, n + 1);
        let mut a = vec![[vec![1.0; n], vec![0.0; 2]].concat()];
        let mut b = vec![left];
        for i in 0..n {
            let (mut below, mut above) = (unit(i, n + 2), unit(i, n + 2));
            below[high] = -1.0;
            above.iter_mut().for_each(|v| *v = -*v);
            above[low] = 1.0;
            a.extend([below, above]);
            b.extend([0.0, 0.0]);
        }
        for f in &fitted {
            let (mut below, mut above) = (vec![0.0; n + 2], vec![0.0; n + 2]);
            below[high] = -1.0;
            above[low] = 1.0;
            a.extend([below, above]);
            b.extend([-f, *f]);
        }
        let mut q = vec![0.0; n + 2];
        (q[high], q[low]) = (1.0, -1.0);
        let least = solve(vec![vec![0.0; n + 2]; n + 2], q, a, b, 1);
        prop_assert!(range(&all(&ours)) <= range(&all(&least[..n])) + 1e-5);
    }

    /// Symmetric: partners match, and the sum is kept, whatever is left.
    #[test]
    fn symmetric_shares_match_their_partners(
        fitted in prop::collection::vec(30.0f64..40.0, 0..14),
        mean in 30.0f64..40.0,
    ) {
        let ribs = 15;
        let n = ribs - fitted.len();
        let left = mean * n as f64;
        let shares = share(&fitted, left, ribs, true);
        prop_assert!((shares.iter().sum::<f64>() - left).abs() < 1e-9);
        let all = [fitted.as_slice(), &shares].concat();
        let off: Vec<f64> =
            (fitted.len()..ribs).filter(|j| ribs - 1 - j < fitted.len()).map(|j| all[j] - all[ribs - 1 - j]).collect();
        // All partners miss theirs by the same, and by nothing while a rib is free.
        prop_assert!(off.windows(2).all(|p| (p[0] - p[1]).abs() < 1e-9));
        if fitted.len() <= ribs / 2 {
            prop_assert!(off.iter().all(|o| o.abs() < 1e-9));
        }
    }
}

/// USDA Wood Handbook, FPL-GTR-190, Table 13-5 (read): C_R and C_T per cent of moisture.
/// The worked figures are recomputed: width x coefficient x change.
#[test]
fn wood_moves_by_the_handbooks_coefficients() {
    let table = [
        ("black walnut", 0.00190, 0.00274),
        ("sugar maple", 0.00165, 0.00353),
        ("yellow birch", 0.00256, 0.00338),
        ("black cherry", 0.00126, 0.00248),
    ];
    for (name, radial, tangential) in table {
        assert_eq!(Wood::named(name).unwrap().movement, [radial, tangential]);
    }
    // A walnut rib of 35 mm, quartered, two per cent: 0.133 mm.
    assert!((change(35.0, 0.00190, 2.0) - 0.133).abs() < 1e-12);
    assert!((change(35.0, 0.00190, -2.0) + 0.133).abs() < 1e-12);
}

/// Same source and technology sheets: rupture over elasticity (12 % moisture content).
#[test]
fn strips_break_where_rupture_over_elasticity_says() {
    for (name, rupture, elasticity) in [
        ("black walnut", 101.0, 11_600.0),
        ("sugar maple", 109.0, 12_600.0),
        ("yellow birch", 114.0, 13_900.0),
        ("black cherry", 85.0, 10_300.0),
    ] {
        let wood = Wood::named(name).unwrap();
        assert_eq!((wood.rupture, wood.elasticity), (rupture, elasticity));
    }
    // A beam under its moment M has the stress M h / (2 I) and the radius E I / M, so a
    // strain of h / (2 r). With the centre load of R. K. Bansal, Strength of Materials,
    // problem 13.1 (P = 50 kN, L = 6 m, E = 2.1e5 N/mm2, I = 78e6 mm4; from memory), height 300:
    let (moment, e, i, h) = (50e3 * 6000.0 / 4.0, 2.1e5, 78e6, 300.0);
    let stress: f64 = moment * h / 2.0 / i;
    assert!((strain(h, e * i / moment) - stress / e).abs() < 1e-15);
}

/// Stations on half a circle of radius `r`.
fn arch(r: f64) -> Job {
    let station = |i: usize| {
        let angle = 0.35 + 2.44 * i as f64 / 20.0;
        Station {
            name: (i + 1).to_string(),
            along: -r * angle.cos(),
            width: 36.0,
            bevel: Angle::radians(0.1),
            rise: Some(r * angle.sin()),
            outer_bevel: None,
            inner_bevel: None,
            out_of_plane: None,
        }
    };
    Job { stations: (0..21).map(station).collect(), ..Job::default() }
}

#[test]
fn a_spacer_on_a_circle_has_its_length_and_strain() {
    let walnut = Wood::named("black walnut");
    for (r, height, bending) in
        [(150.0, 1.2, Bending::Cold), (150.0, 3.0, Bending::Hot), (60.0, 3.0, Bending::TooTight)]
    {
        let plan = spacer(&arch(r), Spacer { width: 1.2, height }, walnut, 20.0);
        assert!((plan.length() - (2.44 * r + 40.0)).abs() < 0.05, "{}", plan.length());
        assert!((plan.strain / (height / (2.0 * r)) - 1.0).abs() < 0.03, "{}", plan.strain);
        assert_eq!(plan.bending, bending);
    }
}

#[test]
fn tacks_keep_their_distance_from_each_other_and_from_stations() {
    for length in [90.0, 200.0, 433.3, 560.0, 700.0] {
        for count in [3usize, 9, 13, 21] {
            let marks: Vec<f64> = (0..count).map(|i| length * i as f64 / (count - 1) as f64).collect();
            let found = tacks(length, &marks);
            assert!(found.clear >= 2.0, "{length} {count}: {}", found.clear);
            assert!(found.at.windows(2).all(|p| (APART[0]..=APART[1]).contains(&(p[1] - p[0]))), "{found:?}");
            let clear = |t: &f64| marks.iter().all(|m| (m - t).abs() >= found.clear);
            assert!(found.at.iter().all(clear), "{found:?}");
            assert!(found.at[0] <= 30.0 && length - found.at[found.at.len() - 1] <= 31.0, "{found:?}");
        }
    }
}
