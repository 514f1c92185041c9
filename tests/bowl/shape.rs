//! Regular bowls against closed forms, and against the practice bench's exact mold.

use std::f64::consts::PI;

use ribwright::bowl::shape::{Outline, Shape};
use ribwright::bowl::{along_mold, straight};
use ribwright::job::bowl::OutlinePoint;
use ribwright::job::{Job, Mold, Station};
use ribwright::joint::Joint;
use ribwright::practice::mold::Mold as ExactMold;
use ribwright::practice::rib::KnownJoint;

fn names(count: usize) -> Vec<String> {
    (1..=count).map(|i| i.to_string()).collect()
}

fn round(ribs: usize, length: f64, half_width: f64, widest: f64) -> Shape {
    Shape { outline: Outline::Numbers { length, half_width, widest }, ratio: 1.0, ribs, mold: Mold::Round }
}

/// Half a circle of radius `r` as a table, its middle at `r`.
fn circle(r: f64, places: usize) -> Outline {
    let at = |i: usize| {
        let along = 2.0 * r * i as f64 / (places - 1) as f64;
        OutlinePoint { along, half_width: (r * r - (along - r).powi(2)).max(0.0).sqrt() }
    };
    Outline::through(&(0..places).map(at).collect::<Vec<_>>())
}

/// N ribs over 180 degrees: plane geometry of a regular polygon's side.
#[test]
fn a_round_bowl_has_the_closed_forms_where_the_outline_is_level() {
    for ribs in [7, 9, 15, 25] {
        for r in [90.0, 165.0, 240.0] {
            // The middle station of a half circle stands where it is level.
            let shape = Shape { outline: circle(r, 33), ratio: 1.0, ribs, mold: Mold::Round };
            for joint in [1, ribs / 2, ribs - 1] {
                let stations = shape.stations(joint, &names(9));
                let s = &stations[4];
                let a = PI / 2.0 / ribs as f64;
                assert!((s.width - 2.0 * r * a.sin()).abs() < 1e-3, "{ribs} {r}: {}", s.width);
                assert!((s.bevel.in_radians() - a).abs() < 1e-5, "{:?} {a}", s.bevel);
                assert!((s.outer_bevel.unwrap().in_radians() - 2.0 * a).abs() < 1e-5);
                assert!(s.inner_bevel.unwrap().in_radians().abs() < 1e-9);
                assert!((s.rise.unwrap() - r).abs() < 1e-3);
            }
        }
    }
}

/// A sphere's joint lines are half circles: a joint's developed length is its angle
/// times the radius, and all widths are known: the chord of the turn about the axis.
#[test]
fn a_half_sphere_has_its_developed_lengths() {
    let r: f64 = 150.0;
    let shape = Shape { outline: circle(r, 61), ratio: 1.0, ribs: 15, mold: Mold::Round };
    let stations = shape.stations(5, &names(41));
    let job = Job { stations: stations.clone(), ..Job::default() };
    let angle = 2.0 * ((r - 0.06 * r) / r).asin();
    let length = Joint::of(&job).arc_length();
    assert!((length - r * angle).abs() < 0.02, "{length} {}", r * angle);
}

/// The practice bench solves the same geometry on its own mold, with its own method.
#[test]
fn the_exact_mold_agrees_along_the_whole_joint() {
    let cases = [(480.0, 165.0, 0.58, 15), (400.0, 130.0, 0.5, 11), (520.0, 190.0, 0.62, 21)];
    for (length, half_width, widest, ribs) in cases {
        let shape = round(ribs, length, half_width, widest * length);
        let belly = 0.5f64.ln() / f64::ln(widest);
        let mold =
            ExactMold { length, half_width, belly, bluntness: 0.8, depth: 1.0, depth_change: 0.0, ribs };
        for joint in [1, ribs / 2] {
            let known = KnownJoint::new(&mold, joint, 13, 1).measured_exactly();
            for (ours, exact) in shape.stations(joint, &names(13)).iter().zip(&known.stations) {
                let close = |f: &dyn Fn(&Station) -> f64, within: f64, what: &str| {
                    assert!(
                        (f(ours) - f(exact)).abs() < within,
                        "{what} {}: {} {}",
                        ours.name,
                        f(ours),
                        f(exact)
                    );
                };
                close(&|s| s.along, 1e-9, "along");
                close(&|s| s.width, 1e-5, "width");
                close(&|s| s.bevel.in_radians(), 1e-6, "bevel");
                close(&|s| s.rise.unwrap(), 1e-6, "rise");
                close(&|s| s.outer_bevel.unwrap().in_radians(), 1e-6, "outer bevel");
                close(&|s| s.inner_bevel.unwrap().in_radians(), 1e-6, "inner bevel");
            }
        }
    }
}

/// On a flattened bowl the ribs are equally wide along the mold: to a tenth of a mm,
/// as far as circles through a rib's edges stand for an ellipse.
#[test]
fn a_flattened_bowl_has_equally_wide_ribs() {
    let shape = Shape { outline: circle(150.0, 33), ratio: 0.7, ribs: 13, mold: Mold::Round };
    let widths = |joint: usize| -> Vec<f64> {
        let job = Job { stations: shape.stations(joint, &names(9)), ..Job::default() };
        let frames = Joint::of(&job).frames;
        job.stations.iter().zip(&frames).map(|(s, f)| along_mold(s.width, f.across_curvature)).collect()
    };
    let middle = widths(6);
    for joint in 1..13 {
        // Where the outline is level; elsewhere the cross direction slants.
        let off = widths(joint)[4] - middle[4];
        assert!(off.abs() < 0.25, "joint {joint}: {off}");
    }
    // The mirrored joint has the same line.
    let (a, b) = (shape.stations(4, &names(9)), shape.stations(9, &names(9)));
    assert!(a.iter().zip(&b).all(|(a, b)| (a.rise.unwrap() - b.rise.unwrap()).abs() < 1e-6));
}

#[test]
fn widths_along_the_mold_and_straight_are_each_others_inverse() {
    for (width, curvature) in [(36.0, 1.0 / 170.0), (3.0, 0.01), (50.0, 0.0)] {
        assert!((straight(along_mold(width, curvature), curvature) - width).abs() < 1e-9);
    }
    // A quarter circle over its chord.
    let r: f64 = 100.0;
    assert!((along_mold(r * 2f64.sqrt(), 1.0 / r) - r * PI / 2.0).abs() < 1e-9);
}
