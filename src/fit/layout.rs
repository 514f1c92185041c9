//! Where each unknown stands in the estimate, and how it shows in the wood.

use nalgebra::{Matrix3, Vector3};

use crate::job::{Against, Job};
use crate::joint::Joint;
use crate::maths::arrow::{Functional, Shape};

use super::cuts::Taken;
use super::field::Field;
use super::model::Prior;

/// Places of the unknowns.
///
/// In each station's block: the edge's waves, one spring for each bending of
/// the rib, and the line's error, each with value and scaled slope. In the
/// border: the edge's plane (3), its gentle curve (0 to 2), six numbers a
/// round for its pose, and how far off each plane's shavings were.
#[derive(Debug, Clone)]
pub struct Layout {
    /// Shape for the solver.
    pub shape: Shape,
    /// Number of curve modes.
    pub modes: usize,
    /// Which spring (0, 1, ...) each round has.
    pub bending: Vec<usize>,
    /// Number of springs.
    pub springs: usize,
    /// Whether a line error is estimated.
    pub line: bool,
    /// Border place of the first pose.
    poses: usize,
    /// One group a round and plane that planed after it: round, plane.
    pub groups: Vec<(usize, usize)>,
    /// Planes that planed, in order.
    pub used: Vec<usize>,
    /// Arc length of each block, mm.
    pub arc: Vec<f64>,
    /// Each station's block, and how far along the arc it lies past it, mm.
    places: Vec<(usize, f64)>,
    /// The fields; their lengths count here, and those stay.
    fields: Prior,
}

/// Stations nearer to a block than this share it, mm. Within it a smooth field
/// is straight to a ten thousandth of its size, and blocks much nearer than
/// that would tell their neighbours' values apart only by rounding.
const SHARED: f64 = 0.5;

impl Layout {
    /// The unknowns of a job.
    pub fn of(job: &Job, joint: &Joint, taken: &[Taken], modes: usize, prior: &Prior) -> Layout {
        let mut spring = 0;
        let bending: Vec<usize> = job
            .rounds
            .iter()
            .enumerate()
            .map(|(k, round)| {
                spring += usize::from(round.rebent && k > 0);
                spring
            })
            .collect();
        let line = job.rounds.iter().any(|r| r.against == Against::Line);
        let groups: Vec<(usize, usize)> = taken.iter().map(|t| (t.round, t.plane)).collect();
        let mut used: Vec<usize> = groups.iter().map(|g| g.1).collect();
        used.sort_unstable();
        used.dedup();
        let poses = 3 + modes;
        let border = poses + 6 * job.rounds.len() + used.len() + groups.len();
        let size = 2 * (1 + spring + 1 + usize::from(line));
        let (arc, places) = blocks(joint);
        let shape = Shape { blocks: arc.len(), size, border };
        Layout {
            shape,
            modes,
            bending,
            springs: spring + 1,
            line,
            poses,
            groups,
            used,
            arc,
            places,
            fields: *prior,
        }
    }

    /// Whether a station is the one that stands for its block.
    pub fn stands(&self, station: usize) -> bool {
        let (block, past) = self.places[station];
        let nearer = |(other, other_past): &(usize, f64)| *other == block && other_past.abs() < past.abs();
        let around = station.checked_sub(1).into_iter().chain([station + 1]);
        !around.filter_map(|i| self.places.get(i)).any(|p| nearer(p) || *p == (block, -past) && past > 0.0)
    }

    /// The edge's waves at a station, scaled by `sign`.
    pub fn waves(&self, station: usize, sign: f64) -> Functional {
        self.field(station, Self::WAVES, &self.fields.waves, sign)
    }

    /// A spring at a station.
    pub fn spring_at(&self, station: usize, bending: usize) -> Functional {
        self.field(station, self.spring(bending), &self.fields.spring, 1.0)
    }

    /// The line's error at a station, scaled by `sign`.
    pub fn line_error_at(&self, station: usize, sign: f64) -> Functional {
        self.field(station, self.line_error(), &self.fields.line, sign)
    }

    /// Nothing yet, at a station.
    pub fn nothing(&self, station: usize) -> Functional {
        Functional { block: self.places[station].0, ..Functional::default() }
    }

    /// The value of the field that stands at `place` in a station's block.
    fn field(&self, station: usize, place: usize, field: &Field, sign: f64) -> Functional {
        let past = self.places[station].1;
        let mut inner = vec![(place, sign)];
        if past != 0.0 {
            inner.push((place + 1, sign * field.slope(past)));
        }
        Functional { inner, ..self.nothing(station) }
    }

    /// A plane's number among those used.
    pub fn used(&self, plane: usize) -> Option<usize> {
        self.used.iter().position(|p| *p == plane)
    }

    /// Place in a block of the edge's waves.
    pub const WAVES: usize = 0;

    /// Place in a block of a spring.
    pub fn spring(&self, bending: usize) -> usize {
        2 * (1 + bending)
    }

    /// Place in a block of the line's error.
    pub fn line_error(&self) -> usize {
        2 * (1 + self.springs)
    }

    /// Border place of a round's pose.
    pub fn pose(&self, round: usize) -> usize {
        self.poses + 6 * round
    }

    /// Border place of how far a plane's own shaving is off, as a share of it.
    pub fn plane(&self, used: usize) -> usize {
        self.poses + 6 * self.bending.len() + used
    }

    /// Border place of how far one round's shavings of a plane were off, as a share.
    pub fn group(&self, group: usize) -> usize {
        self.plane(self.used.len()) + group
    }
}

/// Blocks along the arc, and each station's block with the way past it.
fn blocks(joint: &Joint) -> (Vec<f64>, Vec<(usize, f64)>) {
    let mut arc: Vec<f64> = Vec::new();
    let mut places = Vec::with_capacity(joint.len());
    for frame in &joint.frames {
        // A block stands ahead of its first station, in the middle of those that share it.
        if arc.last().is_none_or(|block| frame.arc - block > SHARED) {
            let crowded =
                joint.frames[places.len()..].iter().take_while(|f| f.arc - frame.arc <= 2.0 * SHARED);
            let last = crowded.last().map_or(frame.arc, |f| f.arc);
            arc.push((frame.arc + last) / 2.0);
        }
        let block = arc.len() - 1;
        places.push((block, frame.arc - arc[block]));
    }
    (arc, places)
}

/// Shapes over the stations that make up the edge's large form.
#[derive(Debug, Clone)]
pub struct Forms {
    /// Per station: 1, x and z about the pivot in units of the half length, over cos bevel.
    pub plane: Vec<[f64; 3]>,
    /// Gentle-curve modes, each of largest size 1, free of any plane.
    pub modes: Vec<Vec<f64>>,
}

impl Forms {
    /// The forms of a joint, with up to two curve modes.
    pub fn of(joint: &Joint) -> Forms {
        let arm = (joint.arc_length() / 2.0).max(1.0);
        let plane: Vec<[f64; 3]> = joint
            .frames
            .iter()
            .map(|f| {
                let d = f.joint - joint.pivot;
                [1.0 / f.cos_bevel, d.x / arm / f.cos_bevel, d.z / arm / f.cos_bevel]
            })
            .collect();
        let modes = curve_modes(joint, &plane);
        Forms { plane, modes }
    }
}

impl Forms {
    /// The least-squares plane of values at the stations: its three numbers.
    pub fn plane_of(&self, values: &[f64]) -> Vector3<f64> {
        let mut normal = Matrix3::identity() * 1e-9;
        let mut rhs = Vector3::zeros();
        for (value, row) in values.iter().zip(&self.plane) {
            let row = Vector3::from(*row);
            normal += row * row.transpose();
            rhs += row * *value;
        }
        normal.cholesky().map_or_else(Vector3::zeros, |c| c.solve(&rhs))
    }

    /// Values less their least-squares plane.
    pub fn over_plane(&self, values: &[f64]) -> Vec<f64> {
        let plane = self.plane_of(values);
        let rest = |(v, row): (&f64, &[f64; 3])| v - Vector3::from(*row).dot(&plane);
        values.iter().zip(&self.plane).map(rest).collect()
    }
}

/// Low polynomials over the arc with every plane taken out, largest size 1.
fn curve_modes(joint: &Joint, plane: &[[f64; 3]]) -> Vec<Vec<f64>> {
    let n = joint.len();
    if n < 7 {
        return Vec::new();
    }
    let length = joint.arc_length();
    let mut basis: Vec<Vec<f64>> = (0..3).map(|k| plane.iter().map(|p| p[k]).collect()).collect();
    basis = orthonormal(basis);
    let mut modes = Vec::new();
    for degree in 2..=4 {
        let raw: Vec<f64> =
            joint.frames.iter().map(|f| legendre(degree, 2.0 * f.arc / length - 1.0)).collect();
        let rest = without(&raw, &basis);
        // A form that is nearly a plane on this joint can't be told from one.
        if norm(&rest) < 0.2 * norm(&raw) || modes.len() == 2 {
            continue;
        }
        let largest = rest.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
        let size = norm(&rest);
        basis.push(rest.iter().map(|v| v / size).collect());
        modes.push(rest.iter().map(|v| v / largest).collect());
    }
    modes
}

fn legendre(degree: usize, u: f64) -> f64 {
    match degree {
        2 => (3.0 * u * u - 1.0) / 2.0,
        3 => (5.0 * u * u - 3.0) * u / 2.0,
        _ => (35.0 * u.powi(4) - 30.0 * u * u + 3.0) / 8.0,
    }
}

fn norm(v: &[f64]) -> f64 {
    v.iter().map(|v| v * v).sum::<f64>().sqrt()
}

fn without(v: &[f64], basis: &[Vec<f64>]) -> Vec<f64> {
    let mut rest = v.to_vec();
    for b in basis {
        let along: f64 = rest.iter().zip(b).map(|(r, b)| r * b).sum();
        rest.iter_mut().zip(b).for_each(|(r, b)| *r -= along * b);
    }
    rest
}

fn orthonormal(vectors: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let mut basis: Vec<Vec<f64>> = Vec::new();
    for v in vectors {
        let rest = without(&v, &basis);
        let size = norm(&rest);
        if size > 1e-9 * norm(&v).max(1e-300) {
            basis.push(rest.iter().map(|r| r / size).collect());
        }
    }
    basis
}

/// The edge at a station, as a functional of the unknowns, scaled by `sign`.
pub fn edge(layout: &Layout, forms: &Forms, station: usize, sign: f64) -> Functional {
    let mut border: Vec<(usize, f64)> =
        forms.plane[station].iter().enumerate().map(|(k, v)| (k, sign * v)).collect();
    border.extend(forms.modes.iter().take(layout.modes).enumerate().map(|(k, m)| (3 + k, sign * m[station])));
    Functional { border, ..layout.waves(station, sign) }
}
