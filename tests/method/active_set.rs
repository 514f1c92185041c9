//! The active-set method on random strictly convex programs and on slices of real joints,
//! beside clarabel, the interior-point method, and the conditions of a minimum. Published cases of
//! both methods are in `published_constrained.rs`.

use crate::convex::{Case, General, Random, other_wood, random_program, slice_program};
use ribwright::maths::corner::Tracker;
use ribwright::maths::dual::minimise;
use ribwright::maths::hinge::{Failure, Minimum, Program, Row};

/// How far a minimum is from its conditions (Karush, Kuhn and Tucker; textbook, from memory):
/// level cost, rows kept to, multipliers in their boxes, slack only where a multiplier is at the
/// end of its box.
fn off(program: &Program, minimum: &Minimum) -> f64 {
    let mut level = &program.h * &minimum.x + &program.g;
    let mut worst: f64 = 0.0;
    for (row, &lambda) in program.rows.iter().zip(&minimum.multipliers) {
        level.iter_mut().zip(&row.a).for_each(|(l, a)| *l += lambda * a);
        let slack = row.b - row.a.iter().zip(minimum.x.iter()).map(|(a, x)| a * x).sum::<f64>();
        let outside = (-lambda).max(lambda - row.weight);
        let loose = slack.max(0.0) * lambda.clamp(0.0, 1.0);
        let exceeded = (-slack).max(0.0) * (row.weight - lambda).clamp(0.0, 1.0);
        worst = worst.max(outside).max(loose).max(exceeded);
    }
    worst.max(level.amax())
}

/// Unknowns and costs agree with clarabel's to 1e-8 on programs of 20 unknowns and 60 rows.
fn agree(case: Case) {
    for seed in 0..200 {
        let program = random_program(seed, case);
        let own = minimise(&program).expect("a minimum");
        assert!(off(&program, &own) < 1e-9, "{seed}: {:e}", off(&program, &own));
        let general = General::of(&program).minimise(1e-13).expect("a minimum");
        assert!((&own.x - &general).amax() < 1e-8, "{seed}: {:e}", (&own.x - &general).amax());
        assert!((own.cost - program.cost(&general)).abs() < 1e-8, "{seed}");
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
        assert_eq!(minimise(&program).unwrap_err(), Failure::NoMinimum, "{seed}");
        assert!(General::of(&program).minimise(1e-9).is_none(), "{seed}");
    }
}

#[test]
fn what_it_cannot_take_is_told() {
    let mut program = random_program(1, Case::General);
    program.rows[3].b = f64::NAN;
    assert_eq!(minimise(&program).unwrap_err(), Failure::NotFinite);
    let mut flat = Program::new(2);
    flat.rows.push(Row::hard([1.0, 0.0], 1.0));
    assert_eq!(minimise(&flat).unwrap_err(), Failure::NoMinimum);
    // A row of zeros that can't hold, and the same where exceeding it costs something.
    let mut empty = random_program(1, Case::General);
    empty.rows[0] = Row::hard(vec![0.0; 20], -1.0);
    assert_eq!(minimise(&empty).unwrap_err(), Failure::NoMinimum);
    empty.rows[0] = Row::soft(vec![0.0; 20], -1.0, 2.0);
    let minimum = minimise(&empty).expect("a minimum");
    assert!(off(&empty, &minimum) < 1e-9 && minimum.multipliers[0] == 2.0);
}

#[test]
fn slices_cost_the_same_by_every_way() {
    for seed in 0..200 {
        let program = slice_program(seed, 7 + (seed % 9) as usize);
        let own = minimise(&program).expect("a minimum");
        let near = |cost: f64| (own.cost - cost).abs() < 1e-8 * cost.abs().max(1.0);
        let general = General::of(&program).minimise(1e-11).expect("a minimum");
        assert!(near(program.cost(&general)), "{seed}: {} {}", own.cost, program.cost(&general));
        assert!(near(program.minimise().expect("a minimum").cost), "{seed}");
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
            let anew = minimise(&other);
            let followed = start.clone().minimise(&other);
            match (anew, followed) {
                (Ok(anew), Ok((x, _))) => {
                    let cost = other.cost(&x);
                    assert!(
                        (cost - anew.cost).abs() < 1e-8 * cost.abs().max(1.0),
                        "{seed} {cost} {}",
                        anew.cost
                    );
                    solved += 1;
                }
                (Err(_), Err(_)) => {}
                (anew, _) => panic!("{seed}: only one of both, {:?}", anew.map(|m| m.cost)),
            }
        }
    }
    assert!(solved > 300, "{solved}");
}
