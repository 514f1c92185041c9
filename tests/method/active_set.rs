//! The active-set method on random strictly convex programs and on slices of real joints,
//! beside clarabel and the conditions of a minimum. Published cases are in
//! `published_constrained.rs`.

use nalgebra::{DMatrix, DVector};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{RngCore, SeedableRng};

use crate::convex::{Case, General, Random, other_wood, random_program, slice_program};
use ribwright::maths::program::{Failure, Minimum, Program};
use ribwright::maths::simplex::Tracker;

/// How far a minimum is from its conditions (Karush, Kuhn and Tucker; textbook, from memory):
/// level cost, rows kept to, multipliers in their boxes, slack only where a multiplier is at the
/// end of its box.
fn off(program: &Program, minimum: &Minimum) -> f64 {
    let mut level = &program.h * &minimum.x + &program.g;
    let excess = program.excess(minimum.x.as_slice());
    let mut worst: f64 = 0.0;
    for (j, &lambda) in minimum.multipliers.iter().enumerate() {
        level.iter_mut().zip(program.row(j)).for_each(|(l, a)| *l += lambda * a);
        let (slack, weight) = (-excess[j], program.weights[j]);
        let outside = (-lambda).max(lambda - weight);
        let loose = both(slack, lambda);
        let exceeded = both(-slack, weight - lambda);
        worst = worst.max(outside).max(loose).max(exceeded);
    }
    worst.max(level.amax())
}

/// How far two numbers are from one of them being zero.
fn both(length: f64, multiplier: f64) -> f64 {
    let (length, multiplier) = (length.max(0.0), multiplier.max(0.0));
    length.min(multiplier).max(length * multiplier.min(1.0))
}

/// Unknowns and costs agree with clarabel's to 1e-8 on programs of 20 unknowns and 60 rows.
fn agree(case: Case) {
    for seed in 0..200 {
        let program = random_program(seed, case);
        let own = program.minimise().expect("a minimum");
        assert!(off(&program, &own) < 1e-9, "{seed}: {:e}", off(&program, &own));
        let general = General::of(&program).minimise(1e-13).expect("a minimum");
        assert!((&own.x - &general).amax() < 1e-8, "{seed}: {:e}", (&own.x - &general).amax());
        assert!((program.cost(&own.x) - program.cost(&general)).abs() < 1e-8, "{seed}");
    }
}

#[test]
fn rows_in_general_position() {
    agree(Case::General);
}

#[test]
fn rows_that_meet_in_one_point_and_twice() {
    agree(Case::Degenerate);
}

#[test]
fn rows_that_may_be_exceeded() {
    agree(Case::Soft);
}

#[test]
fn contradictions_are_told() {
    for seed in 0..200 {
        let program = random_program(seed, Case::Infeasible);
        assert_eq!(program.minimise().unwrap_err(), Failure::Infeasible, "{seed}");
        assert!(General::of(&program).minimise(1e-9).is_none(), "{seed}");
    }
}

#[test]
fn a_row_of_zeros_holds_or_is_paid_for() {
    // A row of zeros that can't hold, and the same where exceeding it costs something.
    let mut empty = random_program(1, Case::General);
    empty.hard(&[0.0; 20], -1.0);
    assert_eq!(empty.minimise().unwrap_err(), Failure::Infeasible);
    *empty.weights.last_mut().expect("a row") = 2.0;
    let minimum = empty.minimise().expect("a minimum");
    assert!(off(&empty, &minimum) < 1e-9 && minimum.multipliers.last() == Some(&2.0));
}

#[test]
fn slices_cost_the_same_by_every_way() {
    for seed in 0..200 {
        let program = slice_program(seed, 7 + (seed % 9) as usize);
        let own = program.minimise().expect("a minimum");
        let near = |cost: f64| (program.cost(&own.x) - cost).abs() < 1e-8 * cost.abs().max(1.0);
        let general = General::of(&program).minimise(1e-11).expect("a minimum");
        assert!(near(program.cost(&general)), "{seed}: {} {}", program.cost(&own.x), program.cost(&general));
    }
}

#[test]
fn following_a_corner_ends_where_starting_anew_does() {
    let mut solved = 0;
    for seed in 0..100 {
        let mut random = Random::new(seed);
        let program = slice_program(seed, 7 + (seed % 9) as usize);
        let mut start = Tracker::default();
        start.minimise(&program).expect("a minimum");
        for _ in 0..5 {
            let other = other_wood(&program, &mut random);
            let anew = other.minimise();
            let followed = start.clone().follow(&other);
            match (anew, followed) {
                (Ok(anew), Ok(found)) => {
                    let cost = other.cost(&found.x);
                    assert!(
                        (cost - other.cost(&anew.x)).abs() < 1e-8 * cost.abs().max(1.0),
                        "{seed} {cost} {}",
                        other.cost(&anew.x)
                    );
                    solved += 1;
                }
                (Err(_), Err(_)) => {}
                (anew, _) => panic!("{seed}: only one of both, {:?}", anew.map(|m| m.x)),
            }
        }
    }
    assert!(solved > 300, "{solved}");
}

/// Random numbers between -1 and 1.
fn random(seed: u64) -> impl FnMut() -> f64 {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    move || f64::from(rng.next_u32()) / f64::from(u32::MAX) * 2.0 - 1.0
}

/// A program of which some rows are soft, some meet in one point, and some stand twice;
/// its curvature is of size `curved`.
fn crowded(seed: u64, curved: f64) -> Program {
    let mut random = random(seed);
    let m = 2 + seed as usize % 5;
    let mut p = Program::new(m);
    let root = DMatrix::from_fn(m, m, |_, _| random());
    p.h = (root.tr_mul(&root) + DMatrix::identity(m, m)) * curved;
    p.g = DVector::from_fn(m, |_, _| 2.0 * random());
    for k in 0..4 * m {
        let a: Vec<f64> = (0..m).map(|_| random()).collect();
        let side = if k % 3 == 0 { 0.0 } else { random().abs() };
        let weight = if k % 2 == 0 { f64::INFINITY } else { 0.5 + random().abs() };
        (0..=usize::from(k % 7 == 6)).for_each(|_| p.soft(&a, side, weight));
    }
    // Nothing is endless.
    for c in 0..m {
        let unit: Vec<f64> = (0..m).map(|k| f64::from(u8::from(k == c))).collect();
        p.hard(&unit, 3.0);
        p.hard(&unit.iter().map(|v| -v).collect::<Vec<_>>(), 3.0);
    }
    p
}

#[test]
fn crowded_minima_meet_their_conditions() {
    for seed in 0..400 {
        for curved in [1.0, 1e-3, 1e-9] {
            let p = crowded(seed, curved);
            let off = off(&p, &p.minimise().unwrap());
            assert!(off < 1e-8, "{seed} {curved}: {off:e}");
        }
    }
}

/// The same program with other slopes, its rows' coefficients a thousandth larger.
fn enlarged(p: &Program, slope: f64) -> Program {
    let mut other = Program::new(p.g.len());
    (other.h, other.g) = (p.h.clone(), p.g.clone());
    other.g[0] += slope;
    for j in 0..p.len() {
        let a: Vec<f64> = p.row(j).iter().map(|a| a * 1.001).collect();
        other.soft(&a, p.sides[j], p.weights[j]);
    }
    other
}

#[test]
fn followed_minima_meet_them_too() {
    for seed in 0..200 {
        let mut p = crowded(seed, 1e-9);
        let mut random = random(seed + 1000);
        let mut tracker = Tracker::default();
        tracker.minimise(&p).unwrap();
        for k in 0..12 {
            let step = 0.3 * f64::from(k % 3);
            p.sides.iter_mut().for_each(|b| *b = (*b + step * random()).abs());
            let off = off(&p, &tracker.follow(&p).unwrap());
            assert!(off < 1e-7, "{seed} {k}: {off:e}");
        }
        let other = enlarged(&p, 0.1 * random());
        let off = off(&other, &tracker.minimise(&other).unwrap());
        assert!(off < 1e-7, "{seed}: {off:e}");
    }
}

/// Eight hinges and sixteen that may be exceeded at a cost, in three unknowns.
fn hinges(random: &mut impl FnMut() -> f64) -> Program {
    let mut p = flat(3);
    p.g = DVector::from_fn(3, |_, _| 0.3 * random());
    for k in 0..24 {
        let a = [random(), random(), random()];
        let weight = if k % 3 == 0 { f64::INFINITY } else { 1.0 + random().abs() };
        p.soft(&a, random().abs(), weight);
    }
    p
}

/// Once at a corner the way to the next is found, and never sought anew.
#[test]
fn from_a_corner_no_minimum_is_sought_anew() {
    let mut random = random(3);
    let mut followed = 0;
    for _ in 0..200 {
        let mut p = hinges(&mut random);
        let mut tracker = Tracker::default();
        let Ok(_) = tracker.minimise(&p) else { continue };
        let Ok(_) = tracker.follow(&p) else { continue };
        if tracker.anew() > 1 {
            // There was no corner: fewer independent rows meet than there are unknowns.
            continue;
        }
        for _ in 0..5 {
            p.sides.iter_mut().for_each(|b| *b = (*b + 0.2 * random()).abs());
            let found = tracker.follow(&p).expect("a way there");
            assert_eq!(tracker.anew(), 1);
            let anew = p.minimise().expect("a minimum");
            let costs = [p.cost(&found.x), p.cost(&anew.x)];
            assert!((costs[0] - costs[1]).abs() < 1e-8, "{costs:?}");
            let both = found.multipliers.iter().zip(&anew.multipliers);
            assert!(both.clone().all(|(a, b)| (a - b).abs() < 1e-5));
            followed += 1;
        }
    }
    assert!(followed > 500, "{followed}");
}

/// A trace of curvature and no rows yet.
fn flat(m: usize) -> Program {
    let mut program = Program::new(m);
    program.h.fill_diagonal(1e-9);
    program
}

#[test]
fn rows_beyond_a_group_keep_their_places() {
    let mut program = flat(3);
    (0..19).for_each(|j| program.soft(&[j as f64, 1.0, -2.0], 0.5 * j as f64, 2.0));
    assert_eq!(program.row(17), [17.0, 1.0, -2.0]);
    let excess = program.excess(&[1.0, 3.0, 1.0]);
    assert_eq!(excess.len(), 19);
    assert!((0..19).all(|j| excess[j] == 0.5 * j as f64 + 1.0));
    let cost = program.cost(&DVector::from_vec(vec![1.0, 3.0, 1.0]));
    assert!((cost - 2.0 * (0.5 * 171.0 + 19.0)).abs() < 1e-7);
}

#[test]
fn every_failure_is_told_from_the_others() {
    let mut p = flat(1);
    p.hard(&[1.0], -1.0);
    p.hard(&[-1.0], -1.0);
    assert_eq!(p.minimise().unwrap_err(), Failure::Infeasible);
    for (spoil, told) in [
        (Box::new(|p: &mut Program| p.sides[0] = f64::NAN) as Box<dyn Fn(&mut Program)>, Failure::NotFinite),
        (Box::new(|p| p.weights[0] = -1.0), Failure::NotFinite),
        (Box::new(|p| p.h[(0, 0)] = f64::INFINITY), Failure::NotFinite),
        (Box::new(|p| p.g[0] = f64::NAN), Failure::NotFinite),
        (Box::new(|p| p.h[(0, 0)] = 0.0), Failure::NoMinimum),
        (Box::new(|p| p.h[(0, 0)] = 1e-320), Failure::LostPrecision),
    ] {
        let mut spoilt = p.clone();
        spoil(&mut spoilt);
        assert_eq!(spoilt.minimise().unwrap_err(), told);
    }
}
