//! The wood taken between rounds: recorded strokes, replayed on the edge.

use crate::job::{Job, Plane};
use crate::joint::Joint;
use crate::sole::{Bed, Push};

/// Wood taken by one plane after one round.
#[derive(Debug, Clone)]
pub struct Taken {
    /// Round (index) after which it was taken.
    pub round: usize,
    /// Plane (index into the job's planes).
    pub plane: usize,
    /// Wood at each station, mm, at the plane's nominal shaving.
    pub cut: Vec<f64>,
    /// Pushes that reached each station.
    pub pushes: Vec<f64>,
}

/// How far one push's shaving is off its plane's own, as a share (model: about 20 %).
pub const STROKE_SPREAD: f64 = 0.2;
/// How far a plane's own shaving may be off what the maker stated, as a share.
pub const PLANE_SPREAD: f64 = 0.2;

/// The bed of a plane's sole on a joint's edge.
pub fn bed<'a>(arc: &'a [f64], joint: &Joint, plane: &Plane) -> Bed<'a> {
    Bed::new(
        arc,
        joint.frames.iter().map(|f| f.along_curvature),
        plane.sole,
        plane.width,
    )
}

/// Replays all recorded strokes backwards-consistently: `edge` is the height
/// over the surface aimed at as it is now, after the strokes before the last
/// round. Returns what each round and plane took, in order; the last round's
/// strokes, with nothing read since, come last and are simulated from `edge`.
pub fn replay(job: &Job, joint: &Joint, edge: Option<&[f64]>) -> Vec<Taken> {
    let arc: Vec<f64> = joint.frames.iter().map(|f| f.arc).collect();
    let beds: Vec<Bed> = job.planes.iter().map(|p| bed(&arc, joint, p)).collect();
    let last = job.rounds.len().saturating_sub(1);
    let nominal: Vec<Vec<Taken>> = (0..job.rounds.len())
        .map(|k| simulate(job, &beds, k, None))
        .collect();
    let Some(edge) = edge else {
        return nominal.into_iter().flatten().collect();
    };
    // Height before each round's strokes: what is now, and what came off since.
    let mut taken: Vec<Vec<Taken>> = vec![Vec::new(); job.rounds.len()];
    let mut profile = edge.to_vec();
    if !job.rounds.is_empty() {
        taken[last] = simulate(job, &beds, last, Some(&profile));
    }
    for k in (0..last).rev() {
        // The cut depends on the profile before it, which depends on the cut: iterate.
        let mut guess = nominal[k].clone();
        for _ in 0..3 {
            let before = added(&profile, &guess);
            guess = simulate(job, &beds, k, Some(&before));
        }
        profile = added(&profile, &guess);
        taken[k] = guess;
    }
    taken.into_iter().flatten().collect()
}

fn added(profile: &[f64], taken: &[Taken]) -> Vec<f64> {
    let mut sum = profile.to_vec();
    for t in taken {
        sum.iter_mut().zip(&t.cut).for_each(|(s, c)| *s += c);
    }
    sum
}

/// One round's strokes in order on `profile`; whole shavings where it is not known.
fn simulate(job: &Job, beds: &[Bed], round: usize, profile: Option<&[f64]>) -> Vec<Taken> {
    let mut now = profile.map(<[f64]>::to_vec);
    let mut groups: Vec<Taken> = Vec::new();
    let n = job.stations.len();
    for stroke in &job.rounds[round].strokes {
        let shaving = job.planes[stroke.plane].shaving;
        let place = groups
            .iter()
            .position(|g| g.plane == stroke.plane)
            .unwrap_or_else(|| {
                groups.push(Taken {
                    round,
                    plane: stroke.plane,
                    cut: vec![0.0; n],
                    pushes: vec![0.0; n],
                });
                groups.len() - 1
            });
        for _ in 0..stroke.count {
            let push = Push {
                shaving,
                first: stroke.from,
                last: stroke.to,
            };
            let cut = match &now {
                Some(profile) => beds[stroke.plane].cut(profile, push),
                None => (0..n)
                    .map(|i| {
                        if (stroke.from..=stroke.to).contains(&i) {
                            shaving
                        } else {
                            0.0
                        }
                    })
                    .collect(),
            };
            for (i, c) in cut.iter().enumerate().filter(|(_, c)| **c > 0.0) {
                groups[place].cut[i] += c;
                groups[place].pushes[i] += 1.0;
                if let Some(profile) = &mut now {
                    profile[i] -= c;
                }
            }
        }
    }
    groups
}
