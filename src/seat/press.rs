//! What force closes the gaps that are left.

use crate::job::Job;
use crate::joint::Clearances;

use super::elastic::HeldRib;
use super::wood::Wood;

/// Why no force can be told.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unknown {
    /// The job names no wood.
    #[error("no wood is named: set `wood` in joint.toml to one of {}", known())]
    NoWood,
    /// The stiffness of the named wood isn't known.
    #[error("the stiffness of `{name}` isn't known here; {next}", next = near(name))]
    Wood {
        /// Its name in the job.
        name: String,
    },
    /// The job gives no thickness.
    #[error("the rib's thickness isn't given: set `thickness` in joint.toml")]
    NoThickness,
}

/// What to write for a wood that isn't known.
fn near(name: &str) -> String {
    match Wood::like(name).as_slice() {
        [] => format!("set `wood` in joint.toml to one of {} if it is one of them", known()),
        like => format!("set `wood` in joint.toml to {} if it is that", like.join(" or ")),
    }
}

fn known() -> String {
    Wood::names().collect::<Vec<_>>().join(", ")
}

/// The wood and the thickness (mm) of a job's rib.
///
/// # Errors
/// What is missing, with the next step.
pub fn material(job: &Job) -> Result<(Wood, f64), Unknown> {
    let name = job.wood.as_deref().ok_or(Unknown::NoWood)?;
    let wood = Wood::named(name).ok_or_else(|| Unknown::Wood { name: name.to_owned() })?;
    Ok((wood, job.thickness.ok_or(Unknown::NoThickness)?))
}

/// A gap that counts as touching, mm.
const TOUCHES: f64 = 0.005;

/// The force that closes each gap of a rib at rest: for each run of stations that stand open, the
/// station (index) of its widest gap and the newtons pressed there towards the neighbour; none
/// where rounding takes the answer. A rib at rest touches somewhere; for clearances that touch
/// nowhere the answer is empty.
pub fn closing_force(rib: &HeldRib, clearances: &[Clearances]) -> Option<Vec<(usize, f64)>> {
    let force = |widest: usize| Some((widest, rib.closing(clearances, widest).ok()?));
    widest_open(clearances).into_iter().map(force).collect()
}

/// The widest place of each run of stations that stand open.
fn widest_open(clearances: &[Clearances]) -> Vec<usize> {
    let open = |i: &usize| clearances[*i].gap > TOUCHES;
    let stations: Vec<usize> = (0..clearances.len()).collect();
    if stations.iter().all(open) {
        return Vec::new();
    }
    let widest =
        |run: &[usize]| run.iter().copied().max_by(|&a, &b| clearances[a].gap.total_cmp(&clearances[b].gap));
    stations.split(|i| !open(i)).filter_map(widest).collect()
}
