//! From a slice to whole shavings, in strokes of a plane.
//!
//! Shavings come whole: at each station as many as are safe, in the fewest
//! strokes, short runs first and long ones after, so that the long sole levels
//! what the short ones left. Every stroke is simulated with the real sole on
//! the edge before it is advised.

use crate::sole::{Bed, Push};

/// A stroke on a plan: one plane over a run of stations, some pushes.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// Plane (index).
    pub plane: usize,
    /// First station of the run.
    pub from: usize,
    /// Last station of the run.
    pub to: usize,
    /// Number of pushes.
    pub count: u32,
    /// A full-length stroke held back for the end as the check.
    pub check: bool,
}

/// Runs that take exactly `counts` whole shavings, as few as possible: the
/// number is the sum of `max(0, n_i - n_(i-1))`. Shortest first.
pub fn fewest(counts: &[u32]) -> Vec<(usize, usize, u32)> {
    let mut runs: Vec<(usize, usize, u32)> = Vec::new();
    for level in 1..=counts.iter().copied().max().unwrap_or(0) {
        let mut from = None;
        for i in 0..=counts.len() {
            match (from, counts.get(i).is_some_and(|n| *n >= level)) {
                (None, true) => from = Some(i),
                (Some(start), false) => {
                    add_run(&mut runs, start, i - 1);
                    from = None;
                }
                _ => {}
            }
        }
    }
    runs.sort_by_key(|&(from, to, _)| (to - from, from));
    runs
}

fn add_run(runs: &mut Vec<(usize, usize, u32)>, from: usize, to: usize) {
    match runs.iter_mut().find(|r| (r.0, r.1) == (from, to)) {
        Some(run) => run.2 += 1,
        None => runs.push((from, to, 1)),
    }
}

/// One plane as planning needs it.
pub struct Tool<'a> {
    /// Index into the job's planes.
    pub plane: usize,
    /// Its sole on this edge.
    pub bed: &'a Bed<'a>,
    /// One shaving, as learned, mm.
    pub shaving: f64,
    /// Shortest sensible run, mm.
    pub shortest: f64,
}

/// A plan and what it does.
#[derive(Debug, Clone, Default)]
pub struct Plan {
    /// The strokes in the order to plane them.
    pub strokes: Vec<Planned>,
    /// Height over the surface aimed at after each stroke, mm.
    pub after: Vec<Vec<f64>>,
    /// Wood taken at each station, mm.
    pub taken: Vec<f64>,
}

impl Plan {
    /// Number of pushes in all.
    pub fn pushes(&self) -> u32 {
        self.strokes.iter().map(|s| s.count).sum()
    }
}

/// Plans strokes of one plane from the height of the edge over the surface
/// aimed at and the most that may come off at each station now, both in mm.
/// `safe(station, wood, pushes)` says whether that much may come off there.
pub fn plan(tool: &Tool, height: &[f64], safe: &dyn Fn(usize, f64, f64) -> bool) -> Plan {
    let counts: Vec<u32> = (0..height.len()).map(|i| whole_shavings(tool, i, safe)).collect();
    let mut bench = Simulation::new(tool, height, safe);
    let full = counts.len().saturating_sub(1);
    let mut runs = fewest(&counts);
    let hold_back = counts.iter().all(|n| *n >= 1);
    if hold_back {
        if let Some(run) = runs.iter_mut().find(|r| r.0 == 0 && r.1 == full) {
            run.2 -= 1;
        }
    }
    for (from, to, count) in runs {
        if let Some((from, to)) = bench.sensible(from, to) {
            bench.push_while_safe(from, to, count);
        }
    }
    bench.check(full);
    bench.plan
}

fn whole_shavings(tool: &Tool, station: usize, safe: &dyn Fn(usize, f64, f64) -> bool) -> u32 {
    let fits = |n: u32| safe(station, f64::from(n) * tool.shaving, f64::from(n));
    (1..=200).take_while(|n| fits(*n)).last().unwrap_or(0)
}

/// Strokes tried on the simulated edge before they are advised.
struct Simulation<'a> {
    tool: &'a Tool<'a>,
    safe: &'a dyn Fn(usize, f64, f64) -> bool,
    height: Vec<f64>,
    pushes: Vec<f64>,
    plan: Plan,
}

impl<'a> Simulation<'a> {
    fn new(tool: &'a Tool<'a>, height: &[f64], safe: &'a dyn Fn(usize, f64, f64) -> bool) -> Self {
        let plan = Plan { taken: vec![0.0; height.len()], ..Plan::default() };
        Simulation { tool, safe, height: height.to_vec(), pushes: vec![0.0; height.len()], plan }
    }

    /// The run, lengthened where it is shorter than the plane's shortest sensible one.
    fn sensible(&self, from: usize, to: usize) -> Option<(usize, usize)> {
        let arc = self.tool.bed.arc;
        let (mut from, mut to, last) = (from, to, arc.len() - 1);
        while arc[to] - arc[from] < self.tool.shortest {
            let left = (from > 0).then(|| self.height[from - 1]);
            let right = (to < last).then(|| self.height[to + 1]);
            match (left, right) {
                (None, None) => return (arc.len() > 1).then_some((from, to)),
                (Some(l), Some(r)) if l >= r => from -= 1,
                (Some(_), None) => from -= 1,
                _ => to += 1,
            }
        }
        Some((from, to))
    }

    /// What one push would take; `None` if that is more than is safe anywhere, or nothing.
    fn try_push(&self, from: usize, to: usize) -> Option<Vec<f64>> {
        let push = Push { shaving: self.tool.shaving, first: from, last: to };
        let cut = self.tool.bed.cut(&self.height, push);
        let fits = |i: usize| {
            cut[i] <= 0.0 || (self.safe)(i, self.plan.taken[i] + cut[i], self.pushes[i] + 1.0)
        };
        let some = cut.iter().any(|c| *c > 0.25 * self.tool.shaving);
        (some && (0..cut.len()).all(fits)).then_some(cut)
    }

    fn push_while_safe(&mut self, from: usize, to: usize, count: u32) {
        let mut done = 0;
        while done < count {
            let Some(cut) = self.try_push(from, to) else { break };
            self.take(&cut);
            done += 1;
        }
        self.record(from, to, done, false);
    }

    fn take(&mut self, cut: &[f64]) {
        for (i, c) in cut.iter().enumerate().filter(|(_, c)| **c > 0.0) {
            self.height[i] -= c;
            self.plan.taken[i] += c;
            self.pushes[i] += 1.0;
        }
    }

    fn record(&mut self, from: usize, to: usize, count: u32, check: bool) {
        if count > 0 {
            self.plan.strokes.push(Planned { plane: self.tool.plane, from, to, count, check });
            self.plan.after.push(self.height.clone());
        }
    }

    /// A full-length stroke for the end, where it stays within what is safe.
    fn check(&mut self, last: usize) {
        if let Some(cut) = self.try_push(0, last) {
            self.take(&cut);
            self.record(0, last, 1, true);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_take_exactly_the_counts_in_the_fewest_strokes() {
        for counts in [vec![0, 1, 3, 3, 2, 5, 5, 1, 0, 0, 2], vec![2; 5], vec![3, 2, 1, 0, 1, 2, 3], vec![0; 3]] {
            let runs = fewest(&counts);
            let mut got = vec![0; counts.len()];
            for &(from, to, count) in &runs {
                (from..=to).for_each(|i| got[i] += count);
            }
            assert_eq!(got, counts);
            let rise = |i: usize| counts[i].saturating_sub(if i > 0 { counts[i - 1] } else { 0 });
            assert_eq!(runs.iter().map(|r| r.2).sum::<u32>(), (0..counts.len()).map(rise).sum::<u32>());
        }
    }
}
