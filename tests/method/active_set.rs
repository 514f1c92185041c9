//! The active-set method on random strictly convex programs and on slices of real joints,
//! beside clarabel and the conditions of a minimum. Published cases are in
//! `published_constrained.rs`.

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
        let loose = slack.max(0.0) * lambda.clamp(0.0, 1.0);
        let exceeded = (-slack).max(0.0) * (weight - lambda).clamp(0.0, 1.0);
        worst = worst.max(outside).max(loose).max(exceeded);
    }
    worst.max(level.amax())
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
