//! The bodies in the picture, in the joint's frame, mm.

use nalgebra::{Point3, Vector3};

use super::super::scene::Scene;
use super::view::Line;
use crate::seat::Seated;

/// How much of the mold is drawn past the ribs, as a share of the rib's width.
const PAST: f64 = 0.45;
/// How thick ribs are drawn, as a share of the widest.
const THICK: f64 = 0.2;

/// A rib as a body with corners: the measured lines lie on its outer face, its thickness goes
/// inwards from there to the mold.
pub(super) struct Solid {
    /// Its outer face's edge on the neighbour's side, and on the other; then the same of the face
    /// that lies on the mold, the other way round.
    pub(super) rims: [Line; 4],
}

impl Solid {
    /// From the two rims of the outer face and the way inwards at each of their points.
    fn between(rims: [Line; 2], inwards: impl Fn(usize) -> [Vector3<f64>; 2]) -> Solid {
        let [first, second] = rims;
        let low = [first.moved(|i| inwards(i)[0]), second.moved(|i| inwards(i)[1])];
        let [low_first, low_second] = low;
        Solid { rims: [first, second, low_second, low_first] }
    }

    /// All its points.
    pub(super) fn reach(&self) -> impl Iterator<Item = Point3<f64>> {
        self.rims.iter().flat_map(|l| l.points().iter().copied())
    }
}

/// The mold with what is fitted on it.
pub(super) struct Bowl {
    /// The neighbour; its second rim is the joint line. Its width is not measured: it is drawn as
    /// wide as the rib.
    pub(super) neighbour: Solid,
    /// The neighbour's grain.
    pub(super) grain: Vec<Line>,
    /// Lines along the mold: past the neighbour, at its far edge, under the joint, under the rib's
    /// outer edge, and past the rib.
    pub(super) mold: [Line; 5],
}

impl Bowl {
    pub(super) fn of(scene: &Scene) -> Bowl {
        let stations: Vec<Across> = (0..scene.joint.len()).map(|i| Across::at(scene, i)).collect();
        let line = |f: &dyn Fn(&Across) -> Point3<f64>| Line::through(stations.iter().map(f).collect());
        let grain = |part: f64| line(&move |s| s.joint + (s.far - s.joint) * part);
        let inwards = |i: usize| [mirrored(stations[i].outer_in), stations[i].joint_in];
        Bowl {
            neighbour: Solid::between([line(&|s| s.far), line(&|s| s.joint)], inwards),
            grain: [0.25, 0.5, 0.75].map(grain).into(),
            mold: [
                line(&|s| s.beyond + mirrored(s.outer_in)),
                line(&|s| s.far + mirrored(s.outer_in)),
                line(&|s| s.joint + s.joint_in),
                line(&|s| s.outer + s.outer_in),
                line(&|s| s.near + s.outer_in),
            ],
        }
    }

    /// Points within which all of it lies.
    pub(super) fn reach(&self) -> Vec<Point3<f64>> {
        let mold = self.mold.iter().flat_map(|l| l.points().iter().copied());
        self.neighbour.reach().chain(mold).collect()
    }
}

/// On the joint plane's other side all is the mirror image of this side.
fn mirrored(v: Vector3<f64>) -> Vector3<f64> {
    Vector3::new(v.x, -v.y, v.z)
}

/// How thick ribs are drawn, mm.
pub(super) fn thickness(scene: &Scene) -> f64 {
    THICK * scene.job.stations.iter().map(|s| s.width).fold(0.0, f64::max)
}

/// Bowl and ribs across at one station.
struct Across {
    joint: Point3<f64>,
    outer: Point3<f64>,
    far: Point3<f64>,
    near: Point3<f64>,
    beyond: Point3<f64>,
    /// Through a rib to the mold, at the joint and at the outer edge.
    joint_in: Vector3<f64>,
    outer_in: Vector3<f64>,
}

impl Across {
    /// The next rib leans by as much more against this one as this one against
    /// the joint plane.
    fn at(scene: &Scene, i: usize) -> Across {
        let frame = &scene.joint.frames[i];
        let (bevel, width) = (scene.job.stations[i].bevel, scene.job.stations[i].width);
        let outward = Vector3::new(-frame.tangent.z, 0.0, frame.tangent.x);
        let (sin, cos) = (3.0 * bevel).sin_cos();
        let next = Vector3::y() * cos - outward * sin;
        let across = frame.outer - frame.joint;
        let far = frame.joint + mirrored(across);
        let thick = thickness(scene);
        Across {
            joint: frame.joint,
            outer: frame.outer,
            far,
            near: frame.outer + next * (PAST * width),
            beyond: far + mirrored(next) * (PAST * width),
            joint_in: frame.seat_normal * -thick,
            outer_in: frame.lift_normal * -thick,
        }
    }
}

/// A rib as it lies, its displacements enlarged.
pub(super) struct Rib {
    /// Its body; the first rim is the edge at the joint, the second the outer edge.
    pub(super) solid: Solid,
}

impl Rib {
    pub(super) fn of(scene: &Scene, rib: &Seated, factor: f64) -> Rib {
        let edges = |i: usize| {
            let frame = &scene.joint.frames[i];
            let [edge, outer] = rib.displaced(scene.joint, i);
            [frame.joint + edge * factor, frame.outer + outer * factor]
        };
        let points: Vec<[Point3<f64>; 2]> = (0..scene.joint.len()).map(edges).collect();
        let line = |k: usize| Line::through(points.iter().map(|p| p[k]).collect());
        let thick = thickness(scene);
        let inwards = |i: usize| {
            let frame = &scene.joint.frames[i];
            [frame.seat_normal * -thick, frame.lift_normal * -thick]
        };
        Rib { solid: Solid::between([line(0), line(1)], inwards) }
    }

    /// Its edge at the joint.
    pub(super) fn edge(&self) -> &Line {
        &self.solid.rims[0]
    }

    /// Its outer edge, and the same on the side of the mold.
    pub(super) fn outer(&self) -> [&Line; 2] {
        [&self.solid.rims[1], &self.solid.rims[2]]
    }

    /// Where the edge would lie with so much wood less at each station, mm.
    pub(super) fn without(&self, scene: &Scene, wood: &[f64], factor: f64) -> Line {
        self.edge().moved(|i| {
            let frame = &scene.joint.frames[i];
            let across = (frame.outer - frame.joint).try_normalize(0.0).unwrap_or_else(Vector3::y);
            across * (factor * wood[i])
        })
    }
}
