//! Frames of beams against closed forms, tables and other codes, and the rib held on its mold.

use std::f64::consts::{FRAC_PI_2, PI};

use nalgebra::{DMatrix, DVector, Vector3};
use ribwright::job::{Job, Mold};
use ribwright::joint::{Clearances, Frame, Joint, Pose};
use ribwright::maths::beam::{Beam, Elastic, chain};
use ribwright::maths::program::Program;
use ribwright::practice::Recipe;
use ribwright::seat::elastic::{HeldRib, Spread};
use ribwright::seat::seat;
use serde_json::Value;

use crate::convex::General;
use crate::try_and_press::{evenly, straight};

/// Black walnut's moduli, MPa, as in the worked cases.
const WALNUT: Elastic = Elastic { elasticity: 11_600.0, shear: 986.0 };

fn close(got: f64, want: f64, share: f64) {
    assert!((got - want).abs() <= share * want.abs(), "{got}, not {want}");
}

/// A straight strip of `count` beams along x, its width along y.
fn strip(length: f64, count: usize, section: [f64; 2], with_shear: bool) -> Vec<Beam> {
    let along = Vector3::x() * (length / count as f64);
    vec![Beam { along, across: Vector3::y(), section, with_shear }; count]
}

/// How a frame moves under loads, with some of its numbers held at zero.
fn moves(stiffness: &DMatrix<f64>, held: &[usize], loads: &[(usize, f64)]) -> DVector<f64> {
    let mut k = stiffness.clone();
    let mut f = DVector::zeros(k.nrows());
    loads.iter().for_each(|&(place, load)| f[place] += load);
    for &place in held {
        k.row_mut(place).fill(0.0);
        k.column_mut(place).fill(0.0);
        k[(place, place)] = 1.0;
        f[place] = 0.0;
    }
    k.lu().solve(&f).expect("held well enough")
}

/// P L^3/(3 E I) + P L/(G 5/6 w t), M L/(G J) (Gere and Timoshenko, Mechanics of Materials; from
/// memory).
#[test]
fn a_cantilever_bends_and_twists_as_in_closed_form() {
    let (length, [w, t]) = (200.0_f64, [36.0_f64, 1.6_f64]);
    let Elastic { elasticity: e, shear: g } = WALNUT;
    let twist = w * t.powi(3) / 3.0 * (1.0 - 0.63 * t / w * (1.0 - (t / w).powi(4) / 12.0));
    for with_shear in [false, true] {
        let k = chain(&strip(length, 10, [w, t], with_shear), WALNUT);
        let tip = |place: usize, load: f64| moves(&k, &[0, 1, 2, 3, 4, 5], &[(60 + place, load)])[60 + place];
        let sheared = if with_shear { length / (g * 5.0 / 6.0 * w * t) } else { 0.0 };
        close(tip(1, 1.0), length.powi(3) / (3.0 * e * t * w.powi(3) / 12.0) + sheared, 1e-9);
        close(tip(2, 1.0), length.powi(3) / (3.0 * e * w * t.powi(3) / 12.0) + sheared, 1e-9);
        close(tip(3, 100.0), 100.0 * length / (g * twist), 1e-9);
        close(tip(0, 1.0), length / (e * w * t), 1e-9);
    }
}

/// USDA Wood Handbook, FPL-GTR-190, Table 9-1: deflection under a total load W is
/// kb W s^3/(E I) + ks W s/(G A').
#[test]
fn the_handbooks_coefficients_come_back() {
    let (span, count, [w, t]) = (300.0_f64, 60, [36.0_f64, 1.6]);
    let at = |share: f64| (share * count as f64).round() as usize;
    let whole: Vec<(usize, f64)> =
        (0..=count).map(|i| (i, if i % count == 0 { 0.5 } else { 1.0 } / count as f64)).collect();
    let quarters = vec![(at(0.25), 0.5), (at(0.75), 0.5)];
    let (middle, end) = (vec![(at(0.5), 1.0)], vec![(count, 1.0)]);
    let (both, one) = (vec![0, count], vec![0]);
    let rows = [
        ("uniform, midspan", &both, &whole, 0.5, 5.0 / 384.0, 1.0 / 8.0),
        ("midspan", &both, &middle, 0.5, 1.0 / 48.0, 1.0 / 4.0),
        ("quarters, midspan", &both, &quarters, 0.5, 11.0 / 768.0, 1.0 / 8.0),
        ("quarters, load", &both, &quarters, 0.25, 1.0 / 96.0, 1.0 / 8.0),
        ("cantilever, uniform", &one, &whole, 1.0, 1.0 / 8.0, 1.0 / 2.0),
        ("cantilever, end", &one, &end, 1.0, 1.0 / 3.0, 1.0),
    ];
    for (row, bearings, loads, read, kb, ks) in rows {
        let bends = |with_shear: bool| {
            let k = chain(&strip(span, count, [w, t], with_shear), WALNUT);
            // In its plane only; a cantilever's end doesn't turn.
            let mut held: Vec<usize> = (0..=count).flat_map(|i| [0, 2, 3, 4].map(|p| 6 * i + p)).collect();
            held.extend(bearings.iter().map(|i| 6 * i + 1));
            held.extend((bearings.len() == 1).then_some(5));
            let loads: Vec<(usize, f64)> = loads.iter().map(|(i, load)| (6 * i + 1, *load)).collect();
            moves(&k, &held, &loads)[6 * at(read) + 1]
        };
        let inertia = t * w.powi(3) / 12.0;
        let bent = bends(false) * WALNUT.elasticity * inertia / span.powi(3);
        let sheared = (bends(true) - bends(false)) * WALNUT.shear * 5.0 / 6.0 * w * t / span;
        assert!((bent - kb).abs() < 2e-5 && (sheared - ks).abs() < 2e-4, "{row}: {bent} {sheared}");
    }
}

/// R. K. Bansal, Strength of Materials: problem 13.1 (centre load, 50 kN over 6 m, I = 78e6 mm4:
/// 13.736 mm; book and printed answer from memory) and 12.1 (cantilever, 25 kN at 3 m,
/// I = 1e8 mm4: 10.714 mm, the answer from memory); slopes 0.006868 and 0.005357 rad from
/// P L^2/(16 E I) and P L^2/(2 E I). E = 2.1e5 N/mm2 in both; no shear.
#[test]
fn textbook_beams_come_back() {
    let steel = Elastic { elasticity: 2.1e5, shear: 8e4 };
    let of_inertia = |i: f64| [300.0, 12.0 * i / 300f64.powi(3)];
    let k = chain(&strip(6000.0, 12, of_inertia(78e6), false), steel);
    let bent = moves(&k, &[0, 1, 2, 3, 73, 74], &[(37, 50e3)]);
    assert!((bent[37] - 13.736).abs() < 5e-4 && (bent[5] - 0.006_868).abs() < 1e-6);
    let k = chain(&strip(3000.0, 6, of_inertia(1e8), false), steel);
    let bent = moves(&k, &[0, 1, 2, 3, 4, 5], &[(37, 25e3)]);
    assert!((bent[37] - 10.714).abs() < 5e-4 && (bent[41] - 0.005_357).abs() < 1e-6);
}

/// A quarter ring, clamped at one end: P R^3 (pi/(4 E I) + (3 pi/4 - 2)/(G J)) out of its plane,
/// pi P R^3/(4 E I) + pi P R/(4 E A) in it, radial at the free end (Castigliano; Timoshenko,
/// Strength of Materials: from memory). Straight pieces come nearer with the square of their number.
#[test]
fn a_quarter_ring_gives_way_as_castigliano_says() {
    let (radius, [w, t]) = (170.0_f64, [36.0_f64, 1.6_f64]);
    let Elastic { elasticity: e, shear: g } = WALNUT;
    let (edgewise, flatwise) = (t * w.powi(3) / 12.0, w * t.powi(3) / 12.0);
    let twist = w * t.powi(3) / 3.0 * (1.0 - 0.63 * t / w * (1.0 - (t / w).powi(4) / 12.0));
    let out = radius.powi(3) * (PI / (4.0 * e * edgewise) + (0.75 * PI - 2.0) / (g * twist));
    let within = PI * radius.powi(3) / (4.0 * e * flatwise) + PI * radius / (4.0 * e * w * t);
    let off = |count: usize| {
        let at = |i: usize| {
            let angle = FRAC_PI_2 * i as f64 / count as f64;
            Vector3::new(angle.sin(), 0.0, angle.cos()) * radius
        };
        let tie =
            |i| Beam { along: at(i + 1) - at(i), across: Vector3::y(), section: [w, t], with_shear: false };
        let k = chain(&(0..count).map(tie).collect::<Vec<_>>(), WALNUT);
        let free =
            |place: usize| moves(&k, &[0, 1, 2, 3, 4, 5], &[(6 * count + place, 1.0)])[6 * count + place];
        [free(1) / out - 1.0, free(0) / within - 1.0]
    };
    let (coarse, fine) = (off(20), off(40));
    for (coarse, fine) in coarse.into_iter().zip(fine) {
        assert!(fine.abs() < 1.2e-3 && (coarse / fine - 4.0).abs() < 0.1, "{coarse} {fine}");
    }
}

/// A bent rib of 24 beams, worked with two frame codes, one of them a general library.
fn curved_rib() -> Value {
    serde_json::from_str(include_str!("../published/beam/curved_rib.json")).unwrap()
}

fn vectors(rib: &Value, key: &str) -> Vec<Vector3<f64>> {
    let vector = |v: &Value| Vector3::from_fn(|k, _| v[k].as_f64().unwrap());
    rib[key].as_array().unwrap().iter().map(vector).collect()
}

fn stiffness_of(rib: &Value, with_shear: bool) -> DMatrix<f64> {
    let (nodes, up) = (vectors(rib, "nodes"), vectors(rib, "up"));
    let (thickness, material) = (rib["thickness"].as_f64().unwrap(), WALNUT);
    let tie = |(i, pair): (usize, &[Vector3<f64>])| Beam {
        along: pair[1] - pair[0],
        across: up[i],
        section: [rib["width"][i].as_f64().unwrap(), thickness],
        with_shear,
    };
    chain(&nodes.windows(2).enumerate().map(tie).collect::<Vec<_>>(), material)
}

/// Clamped at its first node and loaded at its last.
#[test]
fn a_clamped_rib_moves_as_two_other_codes_say() {
    let rib = curved_rib();
    for (with_shear, key) in [(false, "moves"), (true, "moves_with_shear")] {
        let k = stiffness_of(&rib, with_shear);
        for case in rib["clamped"].as_array().unwrap() {
            let loads: Vec<(usize, f64)> =
                (0..6).map(|p| (144 + p, case["load"][p].as_f64().unwrap())).collect();
            let moved = moves(&k, &[0, 1, 2, 3, 4, 5], &loads);
            (0..6).for_each(|p| close(moved[144 + p], case[key][p].as_f64().unwrap(), 2e-4));
        }
    }
}

/// How far a point of a section moves in a direction, by its node's six numbers.
fn row(node: usize, arm: Vector3<f64>, direction: Vector3<f64>, size: usize) -> DVector<f64> {
    let mut row = DVector::zeros(size);
    row.fixed_rows_mut::<3>(6 * node).copy_from(&direction);
    row.fixed_rows_mut::<3>(6 * node + 3).copy_from(&arm.cross(&direction));
    row
}

/// Its joint edge on three bearings: node 2 held in x, y and z, 14 in y, 22 in y and z.
#[test]
fn a_rib_on_three_bearings_moves_as_two_other_codes_say() {
    let rib = curved_rib();
    let (nodes, joint, outer) = (vectors(&rib, "nodes"), vectors(&rib, "joint"), vectors(&rib, "outer"));
    let lift_normal = vectors(&rib, "lift_normal");
    let size = 6 * nodes.len();
    let at_joint = |node: usize, along: Vector3<f64>| row(node, joint[node] - nodes[node], along, size);
    let [x, y, z] = [Vector3::x(), Vector3::y(), Vector3::z()];
    let held = [(2, x), (2, y), (2, z), (14, y), (22, y), (22, z)].map(|(node, along)| at_joint(node, along));
    for (with_shear, key) in [(false, "read"), (true, "read_with_shear")] {
        // Lagrange's multipliers hold the bearings.
        let mut k = stiffness_of(&rib, with_shear).resize(size + 6, size + 6, 0.0);
        for (i, row) in held.iter().enumerate() {
            k.view_mut((0, size + i), (size, 1)).copy_from(row);
            k.view_mut((size + i, 0), (1, size)).copy_from(&row.transpose());
        }
        let k = k.lu();
        for case in rib["on_three_bearings"].as_array().unwrap() {
            let node = case["node"].as_u64().unwrap() as usize;
            let of_joint = case["at"] == "joint";
            let force = Vector3::from_fn(|i, _| case["force"][i].as_f64().unwrap());
            let point = if of_joint { joint[node] } else { outer[node] };
            let load = row(node, point - nodes[node], force, size).resize_vertically(size + 6, 0.0);
            let moved = k.solve(&load).unwrap();
            for station in 0..13 {
                let node = 2 * station;
                let read = if of_joint {
                    at_joint(node, y)
                } else {
                    row(node, outer[node] - nodes[node], lift_normal[node], size)
                };
                let (got, want) = (read.dot(&moved.rows(0, size)), case[key][station].as_f64().unwrap());
                assert!((got - want).abs() < 3e-5 + 2e-4 * want.abs(), "station {station}: {got}, {want}");
            }
        }
    }
}

fn gaps(values: &[f64]) -> Vec<Clearances> {
    values.iter().map(|&gap| Clearances { gap, ..Clearances::default() }).collect()
}

fn of_walnut(job: Job) -> Job {
    Job { wood: Some("black walnut".into()), thickness: Some(1.6), ..job }
}

/// On a facet the rib bends in its own plane only: the handbook's 48 and 4, at whatever bevel.
#[test]
fn a_straight_rib_held_flat_takes_the_handbooks_force() {
    for stations in [5, 9, 13] {
        let job = of_walnut(Job { mold: Mold::Faceted, ..straight(&evenly(stations, 400.0)) });
        let rib = HeldRib::of(&job, &Joint::of(&job)).unwrap();
        let middle = stations / 2;
        let open: Vec<f64> = (0..stations)
            .map(|i| {
                if i == 0 || i == stations - 1 {
                    0.0
                } else if i == middle {
                    0.2
                } else {
                    5.0
                }
            })
            .collect();
        let [w, t, s] = [36.0_f64, 1.6, 400.0];
        let bends = s.powi(3) / (48.0 * 11_600.0 * t * w.powi(3) / 12.0);
        let shears = s / (4.0 * 986.0 * 5.0 / 6.0 * w * t);
        close(rib.closing(&gaps(&open), middle).unwrap(), 0.2 / (bends + shears), 1e-5);
        let twice: Vec<f64> = open.iter().map(|g| 2.0 * g).collect();
        close(rib.closing(&gaps(&twice), middle).unwrap(), 0.4 / (bends + shears), 1e-5);
    }
}

fn arm(frame: &Frame, outer: bool) -> Vector3<f64> {
    (frame.outer - frame.joint) * if outer { 0.5 } else { -0.5 }
}

/// Energy of a bent rib with its edges held on the mold, one gap closed to `left` and none passed
/// through, by a general solver.
fn energy(job: &Job, joint: &Joint, open: &[f64], station: usize, left: f64) -> f64 {
    let frames = &joint.frames;
    let across = |i: usize| (frames[i].outer - frames[i].joint).normalize();
    let middle = |i: usize| (frames[i].outer.coords + frames[i].joint.coords) / 2.0;
    let width = |i: usize| (job.stations[i].width + job.stations[i + 1].width) / 2.0;
    let tie = |i: usize| Beam {
        along: middle(i + 1) - middle(i),
        across: across(i) + across(i + 1),
        section: [width(i), 1.6],
        with_shear: true,
    };
    let size = 6 * frames.len();
    let mut program = Program::new(size);
    program.h = chain(&(0..frames.len() - 1).map(tie).collect::<Vec<_>>(), WALNUT);
    // Nothing else holds it along the joint.
    (0..size).for_each(|k| program.h[(k, k)] += 1e-6);
    for (i, frame) in frames.iter().enumerate() {
        for (outer, normal) in [(false, frame.seat_normal), (true, frame.lift_normal)] {
            // As good as held, for a solver that wants room inside its rows.
            let held = row(i, arm(frame, outer), normal, size);
            program.h += 1e6 * &held * held.transpose();
        }
        let opens = row(i, arm(frame, false), Vector3::y() / frame.cos_bevel, size);
        program.hard((-&opens).as_slice(), open[i]);
        if i == station {
            program.hard(opens.as_slice(), left - open[i]);
        }
    }
    let moved = General::of(&program).minimise(1e-12).expect("a rib can be pressed");
    (moved.transpose() * &program.h * &moved)[0] / 2.0
}

/// The force is how fast the energy grows as the gap closes (theorem of Castigliano), the energy by
/// clarabel over all motions of all sections.
#[test]
fn the_force_on_a_bent_rib_is_a_general_solvers() {
    for seed in [1, 4] {
        let job = of_walnut(Recipe { plain: true, ..Recipe::default() }.task(seed).known.job());
        let joint = Joint::of(&job);
        let n = joint.len();
        let open: Vec<f64> =
            (0..n).map(|i| 0.3 * (3.0 * PI * i as f64 / (n - 1) as f64).sin().powi(2)).collect();
        let station = (0..n).max_by(|&a, &b| open[a].total_cmp(&open[b])).unwrap();
        let force = HeldRib::of(&job, &joint).unwrap().closing(&gaps(&open), station).unwrap();
        let at = |left: f64| energy(&job, &joint, &open, station, left);
        // So near to closed nothing more comes to touch, and the energy is a parabola.
        close(force, (3.0 * at(0.0) - 4.0 * at(0.01) + at(0.02)) / 0.02, 2e-3);
    }
}

/// Rests of real ribs as rigid seating finds them.
fn rests(seeds: std::ops::Range<u64>) -> impl Iterator<Item = (Job, Joint, Vec<Clearances>)> {
    seeds.map(|seed| {
        let task = Recipe { plain: true, stations: Some(13), ..Recipe::default() }.task(seed);
        let job = of_walnut(task.known.job());
        let joint = Joint::of(&job);
        let rest = seat(&joint, &task.blank.edge, &task.blank.spring, Pose::default()).unwrap();
        (job, joint, rest.clearances)
    })
}

fn push(clearances: &[Clearances]) -> f64 {
    clearances.iter().map(|c| c.gap + c.seat + c.lift / 4.0).sum::<f64>() / clearances.len() as f64
}

/// No hand, or hardly any: the rib lies as a rigid one does. The firmer the hand, the less is left
/// of the push's sum; nothing passes through anything.
#[test]
fn a_firmer_hand_leaves_less_and_none_leaves_the_rigid_rest() {
    for (job, joint, rigid) in rests(0..4) {
        let rib = Spread::of(&job, &joint).unwrap();
        let light = rib.under(1e-6, &rigid).unwrap();
        for (light, rigid) in light.iter().zip(&rigid) {
            let off = Clearances::each(|of| (light[of] - rigid[of]).abs());
            assert!(off.gap + off.seat + off.lift < 1e-4, "{light:?} {rigid:?}");
        }
        let left = [0.0, 1.0, 2.0, 5.0, 10.0].map(|newtons| {
            let lies = rib.under(newtons, &rigid).unwrap();
            assert!(lies.iter().all(|c| c.gap >= 0.0 && c.seat >= 0.0 && c.lift >= 0.0));
            push(&lies)
        });
        assert!(left.windows(2).all(|w| w[1] <= w[0] + 1e-9), "{left:?}");
        assert!(left[4] < 0.95 * left[0], "ten newtons close a part: {left:?}");
    }
}

/// A rib of stone lies as a rigid one under any hand.
#[test]
fn a_rib_that_gives_way_nowhere_lies_as_a_rigid_one() {
    for (job, joint, rigid) in rests(0..4) {
        let thick = Job { thickness: Some(20.0), ..job };
        let lies = Spread::of(&thick, &joint).unwrap().under(0.01, &rigid).unwrap();
        let off = lies.iter().zip(&rigid).map(|(a, b)| (a.gap - b.gap).abs()).fold(0.0, f64::max);
        assert!(off < 2e-3, "{off}");
    }
}
