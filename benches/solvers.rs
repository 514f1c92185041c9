//! The own convex solver beside clarabel, in one run: on the slice's program, on random ones,
//! and on other ribs in the same joint.

#[path = "../tests/method/convex.rs"]
mod convex;

use convex::{Case, General, Random, other_wood, random_program, slice_program};
use divan::Bencher;
use ribwright::maths::program::Program;
use ribwright::maths::simplex::Tracker;

fn main() {
    divan::main();
}

/// Stations: 7 make a program of 49 rows, as clarabel takes it of 34 unknowns and 77 rows.
const STATIONS: [usize; 3] = [7, 13, 41];

#[divan::bench(args = STATIONS)]
fn slice_by_active_set(bencher: Bencher, stations: usize) {
    let program = slice_program(5, stations);
    bencher.bench(|| program.minimise().expect("a minimum"));
}

#[divan::bench(args = STATIONS)]
fn slice_by_clarabel(bencher: Bencher, stations: usize) {
    let program = General::of(&slice_program(5, stations));
    bencher.bench(|| program.minimise(1e-10).expect("a minimum"));
}

/// A hundred other ribs in the same joint, each followed from the first one's corner.
#[divan::bench(args = STATIONS)]
fn hundred_slices_by_corner(bencher: Bencher, stations: usize) {
    let (mut random, program) = (Random::new(1), slice_program(5, stations));
    let others: Vec<Program> = (0..100).map(|_| other_wood(&program, &mut random)).collect();
    let mut start = Tracker::default();
    start.minimise(&program).expect("a minimum");
    bencher.bench_local(|| others.iter().filter(|p| start.clone().follow(p).is_ok()).count());
}

/// 20 unknowns, 60 rows, strictly convex.
#[divan::bench]
fn random_by_active_set(bencher: Bencher) {
    let program = random_program(1, Case::General);
    bencher.bench(|| program.minimise().expect("a minimum"));
}

#[divan::bench]
fn random_by_clarabel(bencher: Bencher) {
    let program = General::of(&random_program(1, Case::General));
    bencher.bench(|| program.minimise(1e-10).expect("a minimum"));
}
