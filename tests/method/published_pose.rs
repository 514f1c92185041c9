//! The rigid pose against S. Umeyama, IEEE TPAMI 13(4):376-380 (1991), worked
//! example in the plane; and properties that need no source.

use nalgebra::{Matrix2, Matrix3, Rotation3, Vector2, Vector3, vector};
use proptest::prelude::*;
use ribwright::maths::rigid::{Error, Pose, Size, pose};

fn umeyama(size: Size) -> Pose<2> {
    let from = [vector![0.0, 0.0], vector![1.0, 0.0], vector![0.0, 2.0]];
    let to = [vector![0.0, 0.0], vector![-1.0, 0.0], vector![0.0, 2.0]];
    pose(&from, &to, size).unwrap()
}

#[test]
fn umeyama_1991_with_scale() {
    let found = umeyama(Size::Free);
    // Published to three digits: R = [0.832 0.555; -0.555 0.832], t = [-0.8, 0.4],
    // c = 0.721. Exactly: [3 2; -2 3]/sqrt 13, [-4/5, 2/5], sqrt 13 / 5.
    let root = 13.0_f64.sqrt();
    let rotation = Matrix2::new(3.0, 2.0, -2.0, 3.0) / root;
    let published = Matrix2::new(0.832, 0.555, -0.555, 0.832);
    assert!((found.rotation - published).amax() < 5e-4);
    assert!((found.rotation - rotation).amax() < 1e-14);
    assert!((found.translation - vector![-0.8, 0.4]).amax() < 1e-14);
    assert!((found.scale - 0.721).abs() < 5e-4);
    assert!((found.scale - root / 5.0).abs() < 1e-14);
}

#[test]
fn umeyama_1991_rigid() {
    // The same points at scale 1, recomputed.
    let found = umeyama(Size::Kept);
    let translation: Vector2<f64> = vector![-0.98048356, 0.29686654];
    assert!((found.translation - translation).amax() < 1e-8);
    assert!((found.mean_square - 0.6197549886826714).abs() < 1e-14);
}

#[test]
fn a_mirrored_set_is_turned_never_mirrored() {
    let from = corners();
    let to = from.map(|p| vector![-p.x, p.y, p.z]);
    let found = pose(&from, &to, Size::Kept).unwrap();
    assert!((found.rotation.determinant() - 1.0).abs() < 1e-14);
    assert!(found.mean_square > 0.1);
}

#[test]
fn what_leaves_a_turn_free_is_an_error() {
    let rod = [1.0, 2.0, 4.0].map(|s| vector![s, 2.0 * s, -s]);
    assert_eq!(pose(&rod, &rod, Size::Kept), Err(Error::Undetermined));
    let one = [vector![1.0, 2.0, 3.0]];
    assert_eq!(pose(&one, &one, Size::Kept), Err(Error::Undetermined));
    assert_eq!(pose(&rod, &one, Size::Kept), Err(Error::Shape));
    let nan = rod.map(|p| p * f64::NAN);
    assert_eq!(pose(&rod, &nan, Size::Kept), Err(Error::NotFinite));
    // An even set mirrored through its middle: any turn about any axis serves.
    let even = [1.0, -1.0].map(|s| [vector![s, 0.0, 0.0], vector![0.0, s, 0.0], vector![0.0, 0.0, s]]);
    let even = even.concat();
    let mirrored: Vec<_> = even.iter().map(|p| -p).collect();
    assert_eq!(pose(&even, &mirrored, Size::Kept), Err(Error::Undetermined));
}

fn corners() -> [Vector3<f64>; 4] {
    [vector![0.0, 0.0, 0.0], vector![3.0, 0.0, 0.0], vector![0.0, 2.0, 0.0], vector![0.0, 0.0, 1.0]]
}

/// Rodrigues' formula, 1 + sin t K + (1 - cos t) K^2, written out.
fn rodrigues(w: &Vector3<f64>) -> Matrix3<f64> {
    let k = (w / w.norm()).cross_matrix();
    let half = (0.5 * w.norm()).sin();
    Matrix3::identity() + k * w.norm().sin() + k * k * (2.0 * half * half)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// A planted motion is found again, and nalgebra's rotation of a rotation
    /// vector is Rodrigues', for large turns and for a thousandth of them.
    #[test]
    fn a_planted_motion_comes_back(
        w in [-3.0..3.0_f64, -3.0..3.0, -3.0..3.0],
        t in [-300.0..300.0_f64, -300.0..300.0, -300.0..300.0],
        scale in 0.2..5.0_f64,
    ) {
        for w in [Vector3::from(w), Vector3::from(w) * 1e-3] {
            prop_assume!(w.norm() > 1e-9);
            let turn = Rotation3::new(w);
            prop_assert!((turn.matrix() - rodrigues(&w)).amax() < 1e-14);
            let to = corners().map(|p| turn * p * scale + Vector3::from(t));
            let found = pose(&corners(), &to, Size::Free).unwrap();
            prop_assert!((found.rotation - turn.matrix()).amax() < 1e-12);
            prop_assert!((found.scale - scale).abs() < 1e-12);
            for (p, q) in corners().iter().zip(&to) {
                prop_assert!((found.apply(p) - q).amax() < 1e-11);
            }
            prop_assert!(found.mean_square < 1e-12);
        }
    }
}
