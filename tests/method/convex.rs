//! Convex programs of real joints and random ones, and clarabel to hold the own solver against: an
//! interior-point solver written by others (Goulart and Chen, 2024; published as open source).

// Not every test needs all of it.
#![allow(dead_code)]

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettings, DefaultSolver, IPSolver, NonnegativeConeT, SolverStatus, SupportedConeT,
};
use nalgebra::{DMatrix, DVector};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use ribwright::job::Job;
use ribwright::joint::{Joint, Pose};
use ribwright::maths::program::Program;
use ribwright::practice::blank::{blank, mold};
use ribwright::practice::dice::Dice;
use ribwright::practice::rib::{KnownJoint, Wood};
use ribwright::seat;
use ribwright::slice::{self, Aims};

/// A joint of an invented bowl and a blank at its stations.
pub fn real(seed: u64, stations: usize) -> (Joint, Wood) {
    let mut dice = Dice::new(seed);
    let mold = mold(&mut dice, seed % 2 == 1);
    let joint = dice.whole(1, mold.ribs - 1);
    let known = KnownJoint::new(&mold, joint, stations, 1);
    let wood = blank(&mut dice, &known);
    let job: Job = known.job();
    (Joint::of(&job), wood)
}

/// The slice's program around where the rib rests, with spare wood that binds in every third.
pub fn slice_program(seed: u64, stations: usize) -> Program {
    let (joint, wood) = real(seed, stations);
    let spare = if seed.is_multiple_of(3) { 0.15 } else { 3.0 };
    let aims = Aims { gap: 0.0, lift: Some(0.075), spare: vec![spare; stations] };
    let pose = seat::seat(&joint, &wood.edge, &wood.spring, Pose::default()).expect("at rest").pose;
    slice::program(&joint, &wood.edge, &wood.spring, &aims, &pose)
}

/// A rib in the same joint whose edge and spring differ by a tenth of a millimetre, standard
/// deviation.
pub fn other_wood(program: &Program, random: &mut Random) -> Program {
    let mut other = program.clone();
    // Seven rows a station: three tell of the edge, two of the seat, two of the lift.
    for sides in other.sides.chunks_exact_mut(7) {
        let (edge, spring) = (0.1 * random.normal(), 0.1 * random.normal());
        let changes = [-edge, edge, -edge, 0.0, 0.0, spring, -spring];
        sides.iter_mut().zip(changes).for_each(|(b, change)| *b += change);
    }
    other
}

/// Normal random numbers of a seed.
pub struct Random(ChaCha8Rng);

impl Random {
    pub fn new(seed: u64) -> Random {
        Random(ChaCha8Rng::seed_from_u64(seed))
    }

    pub fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.0)
    }

    pub fn normals(&mut self, n: usize) -> Vec<f64> {
        (0..n).map(|_| self.normal()).collect()
    }
}

/// What the rows of a random program are like.
#[derive(Clone, Copy, PartialEq)]
pub enum Case {
    /// In general position.
    General,
    /// Half of them meet in one point, some of them twice.
    Degenerate,
    /// A few contradict each other.
    Infeasible,
    /// Half of them may be exceeded at a cost.
    Soft,
}

pub const UNKNOWNS: usize = 20;
pub const ROWS: usize = 60;

/// A strictly convex program of 20 unknowns and 60 rows.
pub fn random_program(seed: u64, case: Case) -> Program {
    let mut random = Random::new(seed);
    let root = DMatrix::from_vec(UNKNOWNS, UNKNOWNS, random.normals(UNKNOWNS * UNKNOWNS));
    let mut program = Program::new(UNKNOWNS);
    program.h = root.tr_mul(&root) / UNKNOWNS as f64 + DMatrix::identity(UNKNOWNS, UNKNOWNS) * 0.1;
    program.g = DVector::from_vec(random.normals(UNKNOWNS)) * 3.0;
    let inside = DVector::from_vec(random.normals(UNKNOWNS)) * 0.3;
    for j in 0..ROWS {
        let twice = case == Case::Degenerate && j % 6 == 5;
        let a = if twice { program.row(j - 1) } else { random.normals(UNKNOWNS) };
        let at: f64 = a.iter().zip(inside.iter()).map(|(a, x)| a * x).sum();
        let room = random.normal().abs();
        let room = if case == Case::Degenerate && (j % 2 == 0 || twice) { 0.0 } else { room };
        let weight = if case == Case::Soft && j % 2 == 0 { random.normal().abs() } else { f64::INFINITY };
        if case == Case::Infeasible && j + 1 == ROWS {
            contradict(&mut program, &mut random);
        } else {
            program.soft(&a, at + room, weight);
        }
    }
    program
}

/// Adds a row that contradicts a few others (Farkas' lemma).
fn contradict(program: &mut Program, random: &mut Random) {
    let (mut a, mut b) = (vec![0.0; UNKNOWNS], -0.01);
    for j in 0..7 {
        let share = random.normal().abs();
        a.iter_mut().zip(program.row(j)).for_each(|(s, v)| *s -= share * v);
        b -= share * program.sides[j];
    }
    program.hard(&a, b);
}

/// A program as clarabel takes it: the unknowns, then one excess for each soft row,
/// `1/2 x'Hx + g'x + sum w t`, `a'x - t <= b`, `t >= 0`.
pub struct General {
    unknowns: usize,
    p: CscMatrix<f64>,
    q: Vec<f64>,
    a: CscMatrix<f64>,
    b: Vec<f64>,
}

impl General {
    pub fn of(program: &Program) -> General {
        let m = program.g.len();
        let finite = |j: &usize| program.weights[*j].is_finite();
        let soft: Vec<usize> = (0..program.len()).filter(finite).collect();
        let n = m + soft.len();
        let mut p = DMatrix::zeros(n, n);
        p.view_mut((0, 0), (m, m)).copy_from(&program.h.upper_triangle());
        let mut q = vec![0.0; n];
        q[..m].copy_from_slice(program.g.as_slice());
        let count = program.len() + soft.len();
        let mut a = DMatrix::zeros(count, n);
        let mut b = vec![0.0; count];
        for j in 0..program.len() {
            program.row(j).into_iter().enumerate().for_each(|(c, v)| a[(j, c)] = v);
            b[j] = program.sides[j];
        }
        for (k, &j) in soft.iter().enumerate() {
            q[m + k] = program.weights[j];
            a[(j, m + k)] = -1.0;
            a[(program.len() + k, m + k)] = -1.0;
        }
        General { unknowns: m, p: sparse(&p), q, a: sparse(&a), b }
    }

    /// The minimum to the stated tolerance; `None` where no point satisfies all rows.
    pub fn minimise(&self, tolerance: f64) -> Option<DVector<f64>> {
        let settings = DefaultSettings {
            verbose: false,
            tol_gap_abs: tolerance,
            tol_gap_rel: tolerance,
            tol_feas: tolerance,
            max_iter: 300,
            ..DefaultSettings::default()
        };
        let cones: [SupportedConeT<f64>; 1] = [NonnegativeConeT(self.b.len())];
        let solver = DefaultSolver::new(&self.p, &self.q, &self.a, &self.b, &cones, settings);
        let mut solver = solver.expect("a sound program");
        solver.solve();
        match solver.solution.status {
            SolverStatus::Solved | SolverStatus::AlmostSolved => {
                Some(DVector::from_column_slice(&solver.solution.x[..self.unknowns]))
            }
            SolverStatus::PrimalInfeasible | SolverStatus::AlmostPrimalInfeasible => None,
            other => panic!("{other:?}"),
        }
    }
}

fn sparse(m: &DMatrix<f64>) -> CscMatrix<f64> {
    let rows: Vec<Vec<f64>> = m.row_iter().map(|r| r.iter().copied().collect()).collect();
    CscMatrix::from(&rows)
}
