//! A joint of an invented bowl and a rib of known wood, seated exactly.

use nalgebra::{DVector, Matrix3, Point3, Rotation3, Vector3};

use crate::job::{Angle, Job, Station};
use crate::joint::{Clearance, Clearances};
use crate::maths::program::Program;

use super::mold::Mold;

/// A clearance, the direction in which it grows, and the rib's point.
type Contact = (f64, Vector3<f64>, Point3<f64>);

/// One point of the joint on the fine grid, in the joint's frame.
#[derive(Debug, Clone)]
struct Place {
    joint: Point3<f64>,
    outer: Point3<f64>,
    cos_bevel: f64,
}

/// A joint with its mold, on a grid finer than the stations.
#[derive(Debug, Clone)]
pub struct KnownJoint {
    mold: Mold,
    joint: usize,
    /// Columns: the joint's x, y (into the new rib) and z (outwards) in the mold's axes.
    /// It mirrors; nothing in the model knows left from right.
    frame: Matrix3<f64>,
    places: Vec<Place>,
    pivot: Point3<f64>,
    /// Arc length at each grid point, mm.
    pub arc: Vec<f64>,
    /// Curvature of the joint line at each grid point, 1/mm.
    pub curvature: Vec<f64>,
    /// Grid points from one station to the next.
    pub refine: usize,
    /// How low the mold lies under what it is taken for at each grid point, mm.
    pub low: Vec<f64>,
    /// The stations as a maker would measure them.
    pub stations: Vec<Station>,
}

/// Wood of a rib on the grid, mm.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Wood {
    /// Beyond the joint surface when the rib lies right.
    pub edge: Vec<f64>,
    /// How far the outer edge stands off the mold by itself.
    pub spring: Vec<f64>,
}

/// A pose: rotation about the joint's pivot, then translation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExactPose {
    turn: Rotation3<f64>,
    shift: Vector3<f64>,
}

impl Default for ExactPose {
    fn default() -> Self {
        ExactPose { turn: Rotation3::identity(), shift: Vector3::zeros() }
    }
}

impl ExactPose {
    /// A turn by a rotation vector (radians) about the joint's pivot, then a shift (mm).
    pub fn new(turn: Vector3<f64>, shift: Vector3<f64>) -> ExactPose {
        ExactPose { turn: Rotation3::new(turn), shift }
    }
}

impl KnownJoint {
    /// Joint line `joint` of a mold with stations evenly along the chord.
    pub fn new(mold: &Mold, joint: usize, stations: usize, refine: usize) -> KnownJoint {
        let middle = mold.joint_point(joint, mold.length / 2.0);
        let angle = libm::atan2(middle.z, middle.y);
        let (sine, cosine) = libm::sincos(angle);
        let frame = Matrix3::from_columns(&[
            Vector3::x(),
            Vector3::new(0.0, -sine, cosine),
            Vector3::new(0.0, cosine, sine),
        ]);
        let points = (stations - 1) * refine + 1;
        let margin = 0.03 * mold.length;
        let along = |i: usize| margin + (mold.length - 2.0 * margin) * i as f64 / (points - 1) as f64;
        let mut known = KnownJoint {
            mold: mold.clone(),
            joint,
            frame,
            places: Vec::new(),
            pivot: Point3::origin(),
            arc: Vec::new(),
            curvature: Vec::new(),
            refine,
            low: vec![0.0; points],
            stations: Vec::new(),
        };
        (0..points).for_each(|i| known.add_place(along(i)));
        let mean = |f: fn(&Place) -> f64| known.places.iter().map(f).sum::<f64>() / points as f64;
        known.pivot = Point3::new(mean(|p| p.joint.x), 0.0, mean(|p| p.joint.z));
        known.stations = (0..stations).map(|i| known.station(i, 0.1)).collect();
        known
    }

    /// The same with stations measured to all digits, where a test must tell the
    /// method's errors from the ruler's.
    pub fn measured_exactly(mut self) -> KnownJoint {
        self.stations = (0..self.stations.len()).map(|i| self.station(i, 0.0)).collect();
        self
    }

    /// The joint line in its own frame at x.
    fn line(&self, x: f64) -> Point3<f64> {
        self.frame.transpose() * self.mold.joint_point(self.joint, x)
    }

    fn directions(&self, x: f64) -> (Vector3<f64>, f64) {
        let h = 1e-3;
        let (before, here, after) = (self.line(x - h), self.line(x), self.line(x + h));
        let slope = (after.z - before.z) / (2.0 * h);
        let bend = (after.z - 2.0 * here.z + before.z) / (h * h);
        let size = libm::hypot(slope, 1.0);
        (Vector3::new(-slope / size, 0.0, 1.0 / size), -bend / size.powi(3))
    }

    fn add_place(&mut self, x: f64) {
        let joint = self.line(x);
        let (outward, curvature) = self.directions(x);
        let (y, n) = (self.frame * Vector3::y(), self.frame * outward);
        let on_mold = self.mold.across(self.joint + 1, &(self.frame * joint), &y, &n);
        let outer = self.frame.transpose() * on_mold;
        let across = outer - joint;
        let step = self.places.last().map_or(0.0, |p| (joint - p.joint).norm());
        let arc = self.arc.last().copied().unwrap_or(0.0) + step;
        self.arc.push(arc);
        self.curvature.push(curvature);
        self.places.push(Place { joint, outer, cos_bevel: across.y / across.norm() });
    }

    /// What a maker measures at station `i`, in steps of so many mm and degrees; 0 is exact.
    fn station(&self, i: usize, step: f64) -> Station {
        let place = &self.places[i * self.refine];
        let across = place.outer - place.joint;
        let lean = |p: &Point3<f64>| libm::asin(self.off_mold(p).1.y);
        let length = |v: f64| if step > 0.0 { (v / step).round() * step } else { v };
        let degrees = |v: f64| Angle::degrees(length(v.to_degrees()));
        Station {
            name: (i + 1).to_string(),
            along: length(place.joint.x),
            width: length(across.norm()),
            bevel: degrees(libm::acos(place.cos_bevel)),
            rise: Some(length(place.joint.z)),
            outer_bevel: Some(degrees(lean(&place.outer))),
            inner_bevel: Some(degrees(lean(&place.joint))),
            // Nobody measures that with a ruler.
            out_of_plane: (step == 0.0).then_some(place.joint.y),
        }
    }

    /// Distance of a point (joint's frame) to the mold and the outward normal.
    fn off_mold(&self, p: &Point3<f64>) -> (f64, Vector3<f64>) {
        let (distance, normal) = self.mold.distance(&(self.frame * p));
        (distance, self.frame.transpose() * normal)
    }

    /// Gap, seat and lift of every grid point in a pose, with the directions they grow in.
    fn contacts(&self, wood: &Wood, pose: &ExactPose) -> Vec<Clearances<Contact>> {
        let moved = |p: &Point3<f64>| self.pivot + pose.turn * (p - self.pivot) + pose.shift;
        let contact = |i: usize| {
            let place = &self.places[i];
            let (joint, outer) = (moved(&place.joint), moved(&place.outer));
            let (surface, slope) = self.surface(joint.x);
            let gap = (joint.y - surface) / place.cos_bevel - wood.edge[i];
            let gap_way = Vector3::new(-slope, 1.0, 0.0) / place.cos_bevel;
            let (seat, seat_way) = self.off_mold(&joint);
            let (lift, lift_way) = self.off_mold(&outer);
            Clearances {
                gap: (gap, gap_way, joint),
                seat: (seat + self.low[i], seat_way, joint),
                lift: (lift + self.low[i] + wood.spring[i], lift_way, outer),
            }
        };
        (0..self.places.len()).map(contact).collect()
    }

    /// The joint surface's departure from its plane at x, and its slope.
    fn surface(&self, x: f64) -> (f64, f64) {
        let h = 1e-3;
        let x = x.clamp(2.0 * h, self.mold.length - 2.0 * h);
        (self.line(x).y, (self.line(x + h).y - self.line(x - h).y) / (2.0 * h))
    }

    /// Seats the rib: pushed to the joint and down, nothing passing through anything. The pose
    /// it comes to rest in, found from `start`, and its clearances, mm, one entry a station.
    pub fn seat(&self, wood: &Wood, start: ExactPose) -> (ExactPose, Vec<Clearances>) {
        let mut pose = start;
        let arm = (self.arc.last().copied().unwrap_or(1.0) / 2.0).max(1.0);
        for _ in 0..15 {
            let Ok(minimum) = self.linearised(wood, &pose, arm).minimise() else {
                break;
            };
            let x = minimum.x;
            let turn = Vector3::new(x[3], x[4], x[5]) / arm;
            pose.turn = Rotation3::new(turn) * pose.turn;
            pose.shift = Rotation3::new(turn) * pose.shift + Vector3::new(x[0], x[1], x[2]);
            if x.amax() < 1e-6 {
                break;
            }
        }
        (pose, self.held(wood, &pose))
    }

    /// Clearances on the grid of a rib that is held in a pose, mm: whatever they are, above zero or below.
    pub fn held(&self, wood: &Wood, pose: &ExactPose) -> Vec<Clearances> {
        self.contacts(wood, pose).iter().map(|c| Clearances::each(|of| c[of].0)).collect()
    }

    /// The joint line's departure from its plane on the grid, along the rib, mm: the wood
    /// that a flat edge is short of.
    pub fn out_of_plane(&self) -> Vec<f64> {
        self.places.iter().map(|p| p.joint.y / p.cos_bevel).collect()
    }

    fn linearised(&self, wood: &Wood, pose: &ExactPose, arm: f64) -> Program {
        let mut program = Program::new(6);
        program.h.fill_diagonal(1e-9);
        let share = 1.0 / self.places.len() as f64;
        for contacts in self.contacts(wood, pose) {
            for (of, (clearance, way, point)) in contacts.into_pairs() {
                let push = if of == Clearance::Lift { 0.25 } else { 1.0 };
                let turn = (point - self.pivot).cross(&way) / arm;
                let slope = [way.x, way.y, way.z, turn.x, turn.y, turn.z];
                program.g += DVector::from_row_slice(&slope) * (push * share);
                program.hard(&slope.map(|v| -v), clearance);
            }
        }
        program
    }

    /// Grid values at the stations.
    pub fn at_stations<T: Clone>(&self, grid: &[T]) -> Vec<T> {
        grid.iter().step_by(self.refine).cloned().collect()
    }

    /// How far the outer edge stands off the mold at the stations with the rib lying right, mm: by
    /// itself, and where the mold is low.
    pub fn stands_off(&self, wood: &Wood) -> Vec<f64> {
        let all: Vec<f64> = wood.spring.iter().zip(&self.low).map(|(f, low)| f + low).collect();
        self.at_stations(&all)
    }

    /// A job with these stations and no rounds yet.
    pub fn job(&self) -> Job {
        Job { stations: self.stations.clone(), spare: Some(3.0), ..Job::default() }
    }

    /// For a planar motion of the rib: wood beyond the joint surface on the grid, mm.
    pub fn planar(&self, shift: f64, taper: f64, turn: f64) -> Vec<f64> {
        let arm = self.arc.last().copied().unwrap_or(1.0) / 2.0;
        let value = |p: &Place| {
            let d = p.joint - self.pivot;
            (shift + taper * d.x / arm + turn * d.z / arm) / p.cos_bevel
        };
        self.places.iter().map(value).collect()
    }
}
