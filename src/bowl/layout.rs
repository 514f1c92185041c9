//! A regular bowl as settings and joints, so that a maker can start with readings.

use crate::job::bowl::BowlSettings;
use crate::job::ranges::{self, Range};
use crate::job::{Job, Plane, Unit};

use super::shape::{Outline, Shape};

/// Length of the opening.
pub const LENGTH: Range = Range { name: "length of the opening", ..ranges::LENGTH };
/// Its largest width, from rim to rim.
pub const OPENING: Range = Range { name: "width of the opening", low: 60.0, high: 1000.0, ..ranges::LENGTH };
/// The most that may come off, for a start, mm (common practice, no source).
pub const SPARE: f64 = 3.0;
/// Stations of a joint, for a start.
pub const STATIONS: usize = 13;

/// What speaks against an opening so long and so wide, mm.
pub fn exchanged(length: f64, width: f64, unit: Unit) -> Option<String> {
    let (long, wide) = (unit.say(length), unit.say(width));
    (width > length).then(|| {
        format!("An opening {long} long and {wide} wide is wider than long: were the two exchanged?")
    })
}

/// What a bowl is laid out from. Lengths in mm.
#[derive(Debug, Clone)]
pub struct Wanted {
    /// Everything but the stations' names.
    pub settings: BowlSettings,
    /// The opening.
    pub outline: Outline,
    /// Depth in the middle; left out, the bowl is round.
    pub depth: Option<f64>,
    /// Stations of each joint.
    pub stations: usize,
    /// The plane at hand.
    pub plane: Plane,
    /// The most that may come off at any station.
    pub spare: f64,
}

/// A bowl laid out.
#[derive(Debug, Clone)]
pub struct LaidOut {
    /// For `bowl.toml`.
    pub settings: BowlSettings,
    /// The joints, in order, without rounds.
    pub joints: Vec<Job>,
    /// The shape that they come from.
    pub shape: Shape,
}

/// Fills in the regular geometry of every joint.
///
/// # Errors
/// A sentence where the numbers make no bowl.
pub fn lay_out(wanted: &Wanted) -> Result<LaidOut, String> {
    let mut settings = wanted.settings.clone();
    settings.planes = vec![wanted.plane.clone()];
    settings.stations = (1..=wanted.stations).map(|i| i.to_string()).collect();
    let half = wanted.outline.widest().0;
    let ratio = wanted.depth.map_or(1.0, |d| d / half);
    if !(0.2..=2.0).contains(&ratio) {
        return Err(format!(
            "A depth of {} on a half width of {} makes no bowl: expected 0.2 to 2 times the half width. Give the depth \
             from the opening's plane to the deepest rib, and the whole width of the opening.",
            settings.unit.say(ratio * half),
            settings.unit.say(half)
        ));
    }
    // A depth that was measured as the half width is meant as just that.
    let ratio = if (ratio - 1.0).abs() < 1e-6 { 1.0 } else { ratio };
    let shape = Shape { outline: wanted.outline.clone(), ratio, ribs: settings.ribs, mold: settings.mold };
    let joints = (1..settings.ribs).map(|j| joint(wanted, &settings, &shape, j)).collect();
    let laid_out = LaidOut { settings, joints, shape };
    sensible(&laid_out)?;
    Ok(laid_out)
}

fn joint(wanted: &Wanted, settings: &BowlSettings, shape: &Shape, number: usize) -> Job {
    let title =
        settings.title.as_deref().map_or(format!("Joint {number}"), |t| format!("{t}, joint {number}"));
    // The lines of the shape lie in the middle of the spacers: what these take is no rib.
    let ribs = settings.ribs as f64;
    let spacers = settings.spacer.map_or(0.0, |s| s.width * (ribs - 1.0) / ribs);
    let mut stations = shape.stations(number, &settings.stations);
    stations.iter_mut().for_each(|s| s.width -= spacers);
    Job {
        title: Some(title),
        unit: settings.unit,
        mold: settings.mold,
        wood: settings.wood.clone(),
        thickness: settings.thickness,
        spare: Some(wanted.spare),
        planes: settings.planes.clone(),
        planes_of_bowl: true,
        stations,
        ..Job::default()
    }
}

/// Every figure must be one that the reader of the files takes.
fn sensible(laid_out: &LaidOut) -> Result<(), String> {
    let fits = |s: &crate::job::Station| {
        ranges::WIDTH.holds(s.width)
            && ranges::BEVEL.holds(s.bevel.in_degrees())
            && s.rise.is_none_or(|r| ranges::RISE.holds(r))
    };
    for (k, job) in laid_out.joints.iter().enumerate() {
        if let Some(bad) = job.stations.iter().find(|s| !fits(s)) {
            return Err(format!(
                "At joint {}, station {}, a rib would be {} wide with a bevel of {:.1} degrees, which is no rib. Check \
                 outline, depth and number of ribs.",
                k + 1,
                bad.name,
                job.unit.say(bad.width),
                bad.bevel.in_degrees()
            ));
        }
    }
    Ok(())
}
