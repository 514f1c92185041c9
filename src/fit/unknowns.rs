//! What is unknown, where it stands in the estimate, and what the wood is the sum of.
//!
//! The edge `e` at a station, wood beyond the joint surface with the rib lying right, is a plane
//! and a gentle curve ([`Forms`]) and waves, a smooth [`Field`] along the arc. The spring `f`, how
//! far the outer edge stands off a mold that it should touch, is such a field too; so is the error
//! of a drawn line. On top of the smooth spring each station has one of its own, see `own`. Each
//! round has a pose of its own, six numbers; each plane a shaving that is off
//! by a share of it, and each round's strokes of a plane once more.
//!
//! *To add a field*: its place after the last one in [`Unknowns::of`], its line in
//! [`Unknowns::fields`], and its value at a station beside [`Unknowns::spring`].

use nalgebra::Vector3;

use crate::job::{Against, Job};
use crate::joint::Joint;
use crate::maths::both_ends::Mirror;
use crate::maths::information::{Functional, Shape};

use super::cuts::{STROKE_SPREAD, Taken};
use super::field::Field;
use super::forms::Forms;
use super::prior::{Amplitudes, Prior};

/// Places of the unknowns.
///
/// In each station's block: the edge's waves, one spring for each bending of
/// the rib, and the line's error, each with value and scaled slope; then each
/// bending's spring of the place's own. In the border: the edge's plane (3), its gentle curve (0 to 2), six numbers a
/// round for its pose, and how far off each plane's shavings were.
#[derive(Debug, Clone)]
pub struct Unknowns {
    /// Shape for the solver.
    pub shape: Shape,
    /// The edge's large forms.
    pub forms: Forms,
    /// Number of curve modes that are estimated.
    pub modes: usize,
    /// Which spring (0, 1, ...) each round has.
    pub bending: Vec<usize>,
    /// Number of springs.
    springs: usize,
    /// Whether a line error is estimated.
    pub line: bool,
    /// Border place of the first pose.
    poses: usize,
    /// Planes that planed, in order.
    used: Vec<usize>,
    /// The most pushes over one station in each group of strokes: a round's with one plane.
    groups: Vec<f64>,
    /// Arc length of each block, mm.
    arc: Vec<f64>,
    /// Half the joint's length, mm: the arm of a turn.
    arm: f64,
    /// Each station's block, and how far along the arc it lies past it, mm.
    places: Vec<(usize, f64)>,
    /// The fields; their lengths count here, and those stay.
    amplitudes: Amplitudes,
}

/// Stations nearer to a block than this share it, mm. Within it a smooth field
/// is straight to a ten thousandth of its size, and blocks much nearer than
/// that would tell their neighbours' values apart only by rounding.
const SHARED: f64 = 0.5;
/// Place in a block of the edge's waves.
const WAVES: usize = 0;

impl Unknowns {
    /// The unknowns of a job, with the gentle curve or without.
    pub fn of(job: &Job, joint: &Joint, taken: &[Taken], curved: bool, prior: &Prior) -> Unknowns {
        let forms = Forms::of(joint);
        let modes = if curved { forms.modes.len() } else { 0 };
        let bending = bendings(job);
        let springs = bending.last().map_or(1, |last| last + 1);
        let line = job.rounds.iter().any(|r| r.against == Against::Line);
        let mut used: Vec<usize> = taken.iter().map(|t| t.plane).collect();
        used.sort_unstable();
        used.dedup();
        let most = |t: &Taken| t.pushes.iter().fold(1.0, |m: f64, p| m.max(*p));
        let groups: Vec<f64> = taken.iter().map(most).collect();
        let poses = 3 + modes;
        let border = poses + 6 * job.rounds.len() + used.len() + groups.len();
        let size = 2 * (1 + springs + usize::from(line)) + springs;
        let (arc, places) = blocks(joint);
        Unknowns {
            shape: Shape { blocks: arc.len(), size, border },
            forms,
            modes,
            bending,
            springs,
            line,
            poses,
            used,
            groups,
            arc,
            arm: (joint.arc_length() / 2.0).max(1.0),
            places,
            amplitudes: prior.amplitudes,
        }
    }

    /// Every field with its place in a block, at the given amplitudes.
    pub fn fields(&self, at: &Amplitudes) -> Vec<(usize, Field)> {
        let springs = (0..self.springs).map(|bending| (self.spring_place(bending), at.spring));
        let line = self.line.then_some((self.line_place(), at.line));
        [(WAVES, at.waves)].into_iter().chain(springs).chain(line).collect()
    }

    /// Which of the amplitudes that the evidence moves the field at a place in a block has: that of
    /// the waves (0) or the spring's (1); none of a line's error.
    pub fn amplitude_of(&self, place: usize) -> Option<usize> {
        (place < self.line_place()).then(|| usize::from(place != WAVES))
    }

    /// What changes its sign where the joint is told from its other end: slopes; of the edge's plane
    /// and gentle curve the odd forms; of a pose what goes along the joint, and turns but about it.
    pub fn mirror(&self) -> Mirror {
        let mut block = [1.0, -1.0].repeat(1 + self.springs + usize::from(self.line));
        block.resize(self.shape.size, 1.0);
        let mut border = vec![1.0, -1.0, 1.0];
        border.extend(self.forms.mirrored.iter().take(self.modes));
        self.bending.iter().for_each(|_| border.extend([-1.0, 1.0, 1.0, 1.0, -1.0, -1.0]));
        border.resize(self.shape.border, 1.0);
        Mirror { block, border }
    }

    /// Standard deviation before any reading of each border unknown, in their order.
    pub fn border_sizes(&self, at: &Amplitudes, prior: &Prior) -> Vec<f64> {
        let (shift, turn) = (at.pose, at.pose / self.arm);
        let pose = [shift, shift, shift, turn, turn, turn];
        let mut sizes = vec![at.plane; 3];
        sizes.extend(std::iter::repeat_n(at.curve, self.modes));
        self.bending.iter().for_each(|_| sizes.extend(pose));
        sizes.extend(self.used.iter().map(|&p| prior.plane(p).1));
        // Strokes vary one by one: the more of them, the nearer their mean is to the plane's own.
        sizes.extend(self.groups.iter().map(|most| STROKE_SPREAD / most.sqrt()));
        sizes
    }

    /// Border unknowns whose mean before any reading is not zero: place and mean.
    pub fn border_means(&self, prior: &Prior) -> Vec<(usize, f64)> {
        let mean = |(used, &plane): (usize, &usize)| (self.plane_place(used), prior.plane(plane).0 - 1.0);
        self.used.iter().enumerate().map(mean).collect()
    }

    /// Arc length of each block, mm.
    pub fn arc(&self) -> &[f64] {
        &self.arc
    }

    /// Whether a station is the one that stands for its block.
    pub fn stands(&self, station: usize) -> bool {
        let (block, past) = self.places[station];
        let nearer = |(other, other_past): &(usize, f64)| *other == block && other_past.abs() < past.abs();
        let around = station.checked_sub(1).into_iter().chain([station + 1]);
        !around.filter_map(|i| self.places.get(i)).any(|p| nearer(p) || *p == (block, -past) && past > 0.0)
    }

    /// The edge at a station, scaled by `sign`: plane, gentle curve and waves.
    pub fn edge(&self, station: usize, sign: f64) -> Functional {
        let plane = self.forms.plane[station].iter().enumerate().map(|(k, v)| (k, sign * v));
        let modes = self.forms.modes.iter().take(self.modes).enumerate();
        let curve = modes.map(|(k, mode)| (3 + k, sign * mode[station]));
        let border = plane.chain(curve).collect();
        Functional { border, ..self.field(station, WAVES, &self.amplitudes.waves, sign) }
    }

    /// The spring of a round at a station.
    pub fn spring(&self, station: usize, round: usize) -> Functional {
        let bending = self.bending[round];
        let mut sum = self.field(station, self.spring_place(bending), &self.amplitudes.spring, 1.0);
        sum.inner.push((self.own_place(bending), 1.0));
        sum
    }

    /// The places' own springs, each as the only part of a sum: bending by bending, block by block.
    pub fn own(&self) -> impl Iterator<Item = Functional> {
        let blocks = self.shape.blocks;
        (0..self.springs).flat_map(move |bending| {
            let inner = move || vec![(self.own_place(bending), 1.0)];
            (0..blocks).map(move |block| Functional { block, inner: inner(), ..Functional::default() })
        })
    }

    /// The line's error at a station, scaled by `sign`.
    pub fn line_error(&self, station: usize, sign: f64) -> Functional {
        self.field(station, self.line_place(), &self.amplitudes.line, sign)
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

    fn spring_place(&self, bending: usize) -> usize {
        2 * (1 + bending)
    }

    fn line_place(&self) -> usize {
        2 * (1 + self.springs)
    }

    fn own_place(&self, bending: usize) -> usize {
        2 * (1 + self.springs + usize::from(self.line)) + bending
    }

    /// Border place of a round's pose.
    pub fn pose_place(&self, round: usize) -> usize {
        self.poses + 6 * round
    }

    /// Border place of how far a plane's own shaving is off, as a share of it; none where the
    /// plane never planed.
    pub fn shaving_place(&self, plane: usize) -> Option<usize> {
        self.used.iter().position(|p| *p == plane).map(|used| self.plane_place(used))
    }

    fn plane_place(&self, used: usize) -> usize {
        self.poses + 6 * self.bending.len() + used
    }

    /// Border place of how far one round's shavings of a plane were off, as a share.
    pub fn group_place(&self, group: usize) -> usize {
        self.plane_place(self.used.len()) + group
    }

    /// The largest shift of a pose's six numbers, mm, turns counted at half the joint's length.
    pub fn pose_size(&self, change: &nalgebra::Vector6<f64>) -> f64 {
        let turn: Vector3<f64> = change.fixed_rows::<3>(3).into();
        change.fixed_rows::<3>(0).amax().max(self.arm * turn.amax())
    }
}

/// Which spring each round has: a new one where the rib was bent again.
fn bendings(job: &Job) -> Vec<usize> {
    let mut bending = 0;
    let next = |(k, round): (usize, &crate::job::Round)| {
        bending += usize::from(round.rebent && k > 0);
        bending
    };
    job.rounds.iter().enumerate().map(next).collect()
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
