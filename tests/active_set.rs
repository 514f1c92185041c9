//! The active-set method on random strictly convex programs and on slices of real joints,
//! beside clarabel, the interior-point method, and the conditions of a minimum.

mod convex;

use convex::{Case, General, Random, random_program, slice_program};
use nalgebra::{DMatrix, DVector, dmatrix, dvector};
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

/// A rib whose edge and spring differ by a tenth of a millimetre, standard deviation.
fn other_wood(program: &Program, random: &mut Random) -> Program {
    let mut other = program.clone();
    // Seven rows a station: three tell of the edge, two of the seat, two of the lift.
    for rows in other.rows.chunks_exact_mut(7) {
        let (edge, spring) = (0.1 * random.normal(), 0.1 * random.normal());
        let sides = [-edge, edge, -edge, 0.0, 0.0, spring, -spring];
        rows.iter_mut().zip(sides).for_each(|(r, s)| r.b += s);
    }
    other
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

// ---------------------------------------------------------------------------
// Published

fn squares(a: &DMatrix<f64>, b: &DVector<f64>, rows: &[([f64; 2], f64)]) -> DVector<f64> {
    let mut program = Program::new(2);
    (program.h, program.g) = (a.tr_mul(a), -a.tr_mul(b));
    program.rows = rows.iter().map(|(a, b)| Row::hard(*a, *b)).collect();
    minimise(&program).expect("a minimum").x
}

#[test]
fn lawson_and_hanson_constrained_line() {
    // C. L. Lawson and R. J. Hanson, Solving Least Squares Problems (1974), ch. 23; 274/441 and
    // 167/441 exactly (recomputed).
    let a = dmatrix![0.25, 1.0; 0.5, 1.0; 0.5, 1.0; 0.8, 1.0];
    let w = dvector![0.5, 0.6, 0.7, 1.2];
    let x = squares(&a, &w, &[([-1.0, 0.0], 0.0), ([0.0, -1.0], 0.0), ([1.0, 1.0], 1.0)]);
    assert!((x[0] - 274.0 / 441.0).abs() < 1e-12 && (x[1] - 167.0 / 441.0).abs() < 1e-12, "{x}");
}

#[test]
fn bounded_least_squares() {
    // SciPy's test suite, with values from MATLAB.
    let a = dmatrix![0.171, -0.057; -0.049, -0.248; -0.166, 0.054];
    let b = dvector![0.074, 1.014, -0.383];
    let x = squares(&a, &b, &[([-1.0, 0.0], 1.0), ([0.0, -1.0], 0.0)]);
    assert!((x[0] - 0.448427311733504).abs() < 1e-12 && x[1].abs() < 1e-12, "{x}");
    let rows = [([-1.0, 0.0], 0.0), ([0.0, -1.0], 4.0), ([1.0, 0.0], 1.0), ([0.0, 1.0], 0.0)];
    let x = squares(&a, &b, &rows);
    assert!((x[0] - 0.005236663400791).abs() < 1e-12 && (x[1] + 4.0).abs() < 1e-12, "{x}");
}
