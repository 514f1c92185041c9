//! What one stroke of a plane takes: the sole on the edge.
//!
//! A long sole bridges hollows. With the edge's height `d` over the surface
//! aimed at, the sole lies on the lowest straight line that is nowhere under
//! the edge within half its length each way; at the iron the stroke takes
//! `max(0, d - (line - shaving))`. Plain geometry of a stiff sole (no source).

/// The edge as the sole meets it.
#[derive(Debug, Clone)]
pub struct Bed<'a> {
    /// Arc length at each point, growing, mm.
    pub arc: &'a [f64],
    /// Half the length that guides the sole at each point, mm, see [`guided`].
    pub reach: Vec<f64>,
}

/// One push: shaving (mm) over the points `first..=last`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Push {
    /// Thickness of the shaving, mm.
    pub shaving: f64,
    /// First point of the run.
    pub first: usize,
    /// Last point of the run.
    pub last: usize,
}

/// Length of the sole that an edge guides, mm: on an edge curved with
/// `curvature` (1/mm) only what fits on the sole's width, about
/// `2 sqrt(2 r W)`, and never more than the sole.
pub fn guided(sole: f64, width: f64, curvature: f64) -> f64 {
    let bend = curvature.abs();
    if bend <= 0.0 { sole } else { sole.min(2.0 * (2.0 * width / bend).sqrt()) }
}

impl<'a> Bed<'a> {
    /// The bed of a sole on an edge with the given curvature (1/mm) at each point.
    pub fn new(arc: &'a [f64], curvature: impl Iterator<Item = f64>, sole: f64, width: f64) -> Self {
        let reach = curvature.map(|c| guided(sole, width, c) / 2.0).collect();
        Bed { arc, reach }
    }

    /// What one push takes at each point from the height `profile`, mm: one value
    /// a point, never negative, 0 outside the run.
    pub fn cut(&self, profile: &[f64], push: Push) -> Vec<f64> {
        let mut cut = vec![0.0; profile.len()];
        for i in push.first..=push.last.min(profile.len().saturating_sub(1)) {
            let line = self.sole_line(profile, i);
            cut[i] = (profile[i] - (line - push.shaving)).max(0.0);
        }
        cut
    }

    /// Height at the iron of the lowest line over the edge within reach of point `i`.
    fn sole_line(&self, profile: &[f64], i: usize) -> f64 {
        let (at, reach) = (self.arc[i], self.reach[i] * (1.0 + 1e-12));
        let low = self.arc.partition_point(|&s| s < at - reach).min(i);
        let high = self.arc.partition_point(|&s| s <= at + reach).max(i + 1);
        let hull = upper_hull((low..high).map(|j| (self.arc[j], profile[j])));
        height(&hull, at)
    }
}

/// Upper hull of points given in growing order of arc.
fn upper_hull(points: impl Iterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
    let mut hull: Vec<(f64, f64)> = Vec::new();
    for p in points {
        while hull.len() > 1 && below(hull[hull.len() - 2], hull[hull.len() - 1], p) {
            hull.pop();
        }
        hull.push(p);
    }
    hull
}

/// Whether `b` lies on or under the line from `a` to `c`; `b` lies between them.
fn below(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> bool {
    (b.1 - a.1) * (c.0 - a.0) <= (c.1 - a.1) * (b.0 - a.0)
}

/// Height of a hull at `at`, which lies on or between its points.
fn height(hull: &[(f64, f64)], at: f64) -> f64 {
    let right = hull.partition_point(|p| p.0 < at).min(hull.len() - 1);
    if right == 0 || hull[right].0 == at {
        return hull[right].1;
    }
    let (a, b) = (hull[right - 1], hull[right]);
    a.1 + (b.1 - a.1) * (at - a.0) / (b.0 - a.0)
}
