//! The bodies in the picture, in the joint's frame, mm.

use nalgebra::{Point3, Vector3};

use super::super::scene::Scene;
use super::view::Line;
use crate::job::Mold;
use crate::seat::Seated;

/// The mold with what is fitted on it.
pub(super) struct Bowl {
    /// The joint line.
    pub(super) joint: Line,
    /// The joint plane's upper side, as far out as the picture shows it.
    pub(super) upper: Line,
    /// The neighbour's other edge. Its width is not measured: it is drawn as wide
    /// as the rib.
    pub(super) far: Line,
    /// The neighbour's grain.
    pub(super) grain: Vec<Line>,
    /// The mold's sides in the picture: past the neighbour, past the rib.
    pub(super) beyond: Line,
    /// The near side.
    pub(super) near: Line,
    /// Lines across the mold, one a station.
    pub(super) sections: Vec<Line>,
}

/// How far out the joint plane is drawn, as a share of the widest rib.
const PLANE: f64 = 0.45;
/// How much of the mold is drawn past the ribs, as a share of the rib's width.
const PAST: f64 = 0.45;

impl Bowl {
    pub(super) fn of(scene: &Scene) -> Bowl {
        let widest = scene.job.stations.iter().map(|s| s.width).fold(0.0, f64::max);
        let stations: Vec<Across> = (0..scene.joint.len()).map(|i| Across::at(scene, i)).collect();
        let line = |f: &dyn Fn(&Across) -> Point3<f64>| Line::through(stations.iter().map(f).collect());
        let grain = |part: f64| line(&move |s| s.joint + (s.far - s.joint) * part);
        Bowl {
            joint: line(&|s| s.joint),
            upper: line(&|s| s.joint + s.outward * (PLANE * widest)),
            far: line(&|s| s.far),
            grain: [0.25, 0.5, 0.75].map(grain).into(),
            beyond: line(&|s| s.beyond),
            near: line(&|s| s.near),
            sections: stations.iter().map(|s| s.section(scene.job.mold)).collect(),
        }
    }

    /// Points within which all of it lies.
    pub(super) fn reach(&self) -> Vec<Point3<f64>> {
        let lines = [&self.upper, &self.beyond, &self.near];
        lines.iter().flat_map(|l| l.points().iter().copied()).collect()
    }
}

/// The mold across at one station.
struct Across {
    joint: Point3<f64>,
    outward: Vector3<f64>,
    outer: Point3<f64>,
    far: Point3<f64>,
    near: Point3<f64>,
    beyond: Point3<f64>,
}

impl Across {
    /// The next rib leans by as much more against this one as this one against
    /// the joint plane; beyond the plane all is its mirror image.
    fn at(scene: &Scene, i: usize) -> Across {
        let frame = &scene.joint.frames[i];
        let (bevel, width) = (scene.job.stations[i].bevel, scene.job.stations[i].width);
        let outward = Vector3::new(-frame.tangent.z, 0.0, frame.tangent.x);
        let next = Vector3::y() * (3.0 * bevel).cos() - outward * (3.0 * bevel).sin();
        let across = frame.outer - frame.joint;
        let mirrored = |v: Vector3<f64>| Vector3::new(v.x, -v.y, v.z);
        let far = frame.joint + mirrored(across);
        Across {
            joint: frame.joint,
            outward,
            outer: frame.outer,
            far,
            near: frame.outer + next * (PAST * width),
            beyond: far + mirrored(next) * (PAST * width),
        }
    }

    /// Curved on a round mold, with corners on a faceted one.
    fn section(&self, mold: Mold) -> Line {
        let points = vec![self.beyond, self.far, self.joint, self.outer, self.near];
        match mold {
            Mold::Round => Line::through(points),
            Mold::Faceted => Line::straight(points),
        }
    }
}

/// A rib as it lies, its displacements enlarged.
pub(super) struct Rib {
    /// Its edge at the joint.
    pub(super) edge: Line,
    /// Its outer edge.
    pub(super) outer: Line,
}

impl Rib {
    pub(super) fn of(scene: &Scene, rib: &Seated, factor: f64) -> Rib {
        let at = |i: usize| {
            let frame = &scene.joint.frames[i];
            let [edge, outer] = rib.displaced(scene.joint, i);
            [frame.joint + edge * factor, frame.outer + outer * factor]
        };
        let points: Vec<[Point3<f64>; 2]> = (0..scene.joint.len()).map(at).collect();
        let line = |k: usize| Line::through(points.iter().map(|p| p[k]).collect());
        Rib { edge: line(0), outer: line(1) }
    }

    /// Where the edge would be, the rib lying as it does now, with the wood that
    /// it had before.
    pub(super) fn with_wood(&self, scene: &Scene, before: &Seated, now: &Seated, factor: f64) -> Line {
        let at = |(i, p): (usize, &Point3<f64>)| {
            let frame = &scene.joint.frames[i];
            let across = (frame.outer - frame.joint).try_normalize(0.0).unwrap_or_else(Vector3::y);
            p - across * (factor * (before.edge[i] - now.edge[i]))
        };
        Line::through(self.edge.points().iter().enumerate().map(at).collect())
    }

    /// Points within which it lies.
    pub(super) fn reach(&self) -> Vec<Point3<f64>> {
        self.edge.points().iter().chain(self.outer.points()).copied().collect()
    }
}
