//! What is known about one joint: the types that every other room reads.

use super::Angle;
use serde::{Deserialize, Serialize};

use super::clearances::{Clearance, Clearances};
use super::names::{BOWL, SETTINGS};
use crate::table::{Interval, Unit, Warning};

/// The shape of the mold across a rib.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Mold {
    /// The rib follows the mold across its width (hollowed or cupped).
    #[default]
    Round,
    /// The rib lies flat in its facet.
    Faceted,
}

/// Standard deviations of one reading, in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadingErrors {
    /// Feelers against the neighbour.
    pub gap: f64,
    /// Overlap against a line.
    pub line: f64,
    /// Lift of the outer edge.
    pub lift: f64,
    /// Seat of the joint edge.
    pub seat: f64,
}

impl ReadingErrors {
    /// The error of reading one clearance, mm.
    pub fn of(&self, clearance: Clearance, against: Against) -> f64 {
        match (clearance, against) {
            (Clearance::Gap, Against::Line) => self.line,
            (Clearance::Gap, Against::Neighbour) => self.gap,
            (Clearance::Seat, _) => self.seat,
            (Clearance::Lift, _) => self.lift,
        }
    }
}

impl Default for ReadingErrors {
    fn default() -> Self {
        ReadingErrors { gap: 0.1, line: 0.3, lift: 0.15, seat: 0.1 }
    }
}

/// What counts as fitted, and how careful to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Widest gap that may stay, mm.
    pub gap: f64,
    /// Widest lift (and seat) that may stay, mm.
    pub lift: f64,
    /// Confidence with which `fitted` is stated, 0 to 1.
    pub confidence: f64,
    /// Chance of taking too much at the worst station, 0 to 1.
    pub overcut: f64,
    /// Force with which a gap may be pressed closed, newtons, if the maker gave one.
    pub force: Option<f64>,
}

impl Tolerance {
    /// The widest of a clearance that may stay, mm.
    pub fn of(&self, clearance: Clearance) -> f64 {
        match clearance {
            Clearance::Gap => self.gap,
            Clearance::Seat | Clearance::Lift => self.lift,
        }
    }
}

impl Default for Tolerance {
    fn default() -> Self {
        Tolerance { gap: 0.1, lift: 0.15, confidence: 0.9, overcut: 0.05, force: None }
    }
}

/// A plane as the maker describes it. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Plane {
    /// The maker's name for it.
    pub name: String,
    /// Length of the sole.
    pub sole: f64,
    /// Width of the sole.
    pub width: f64,
    /// Thickness of one shaving.
    pub shaving: f64,
    /// Shortest sensible run of a stroke.
    pub shortest: f64,
}

impl Default for Plane {
    fn default() -> Self {
        Plane { name: "long".into(), sole: 600.0, width: 70.0, shaving: 0.08, shortest: 100.0 }
    }
}

/// How the stations' places along the joint were measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Measured {
    /// Along the chord.
    #[default]
    Along,
    /// With a tape laid along the edge.
    Arc,
}

/// One station of the joint. Lengths in mm.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Station {
    /// The maker's name for it, unique in the joint.
    pub name: String,
    /// Distance along the chord or along the arc, see [`Job::measured`].
    pub along: f64,
    /// Width of the rib from joint line to outer line.
    pub width: f64,
    /// Angle between the rib's cross direction, from the joint to its outer edge, and the joint
    /// plane's normal; positive where the rib falls inwards, towards the mold's middle, as on every
    /// round bowl, negative where it rises outwards.
    pub bevel: Angle,
    /// Height of the joint line over the chord.
    pub rise: Option<f64>,
    /// Lean of the mold's normal at the outer line.
    pub outer_bevel: Option<Angle>,
    /// Lean of the mold's normal at the joint line.
    pub inner_bevel: Option<Angle>,
    /// Departure of the drawn joint line from its plane, into the rib positive.
    pub out_of_plane: Option<f64>,
}

/// What the rib was held against in a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Against {
    /// A line drawn on the mold or on paper.
    Line,
    /// The fitted rib, the new one pushed home.
    Neighbour,
}

impl Against {
    /// The word for it in a table.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Against::Line => "line",
            Against::Neighbour => "neighbour",
        }
    }
}

/// The readings of one round at one station, mm; `None` where not read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Reading {
    /// Wood beyond the joint line; a gap is negative.
    pub overlap: Option<f64>,
    /// How far the outer edge stands off the mold.
    pub lift: Option<f64>,
    /// How far the joint edge itself stands off the mold.
    pub seat: Option<f64>,
    /// Where a clearance was told as an interval, mm; the number above is then its middle or its
    /// only end.
    pub within: Clearances<Option<Interval>>,
    /// How often each clearance was read again while the rib lay as it was; the numbers above are
    /// then means.
    pub again: Clearances<u32>,
    /// The rib was felt to bear here, or between here and the stations beside.
    pub bears: bool,
}

impl Reading {
    /// What was read of a clearance, mm: an overlap is a negative gap.
    pub fn clearance(&self, of: Clearance) -> Option<f64> {
        match of {
            Clearance::Gap => self.overlap.map(|o| -o),
            Clearance::Seat => self.seat,
            Clearance::Lift => self.lift,
        }
    }

    /// Number of single readings in it.
    pub fn count(&self) -> usize {
        let read = |of: Clearance| self.clearance(of).map_or(0, |_| 1 + self.again[of] as usize);
        Clearance::ALL.map(read).iter().sum::<usize>() + usize::from(self.bears)
    }
}

/// What was planed after a round: `count` pushes of one plane over one run.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Index into [`Job::planes`].
    pub plane: usize,
    /// First station of the run (index).
    pub from: usize,
    /// Last station of the run (index), `from <= to`.
    pub to: usize,
    /// Number of pushes.
    pub count: u32,
    /// First and last station between which the shaving ran unbroken, if watched.
    pub shaving: Option<(usize, usize)>,
}

/// One trial of the rib in place.
#[derive(Debug, Clone, PartialEq)]
pub struct Round {
    /// What the rib was held against.
    pub against: Against,
    /// The rib was bent again before this round, so its spring starts anew.
    pub rebent: bool,
    /// One entry per station, in station order.
    pub readings: Vec<Reading>,
    /// What was planed after this round, in order.
    pub strokes: Vec<Stroke>,
}

impl Round {
    /// Number of single readings in it.
    pub fn count(&self) -> usize {
        self.readings.iter().map(Reading::count).sum()
    }
}

/// Everything that is known about one joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// The maker's title.
    pub title: Option<String>,
    /// Unit of the files, for showing results back.
    pub unit: Unit,
    /// Shape of the mold across the rib.
    pub mold: Mold,
    /// The wood, if named.
    pub wood: Option<String>,
    /// Thickness of the rib, mm.
    pub thickness: Option<f64>,
    /// The most that may come off at any station from round 1 on, mm.
    pub spare: Option<f64>,
    /// Standard deviations of readings.
    pub reading: ReadingErrors,
    /// The leaves of the feelers, mm, from thin to thick; where there are any, a number read
    /// against the neighbour or off the mold means: this leaf goes in, the next one doesn't.
    pub leaves: Vec<f64>,
    /// What counts as fitted.
    pub tolerance: Tolerance,
    /// The planes at hand, at least one.
    pub planes: Vec<Plane>,
    /// Whether they are stated once for the whole bowl, in `bowl.toml`.
    pub planes_of_bowl: bool,
    /// How `along` was measured.
    pub measured: Measured,
    /// The stations in order along the joint.
    pub stations: Vec<Station>,
    /// Rounds 1, 2, ... in order; may be empty.
    pub rounds: Vec<Round>,
    /// What was noticed while reading the files.
    pub warnings: Vec<Warning>,
}

impl Job {
    /// The file that describes the planes.
    pub fn planes_file(&self) -> &'static str {
        if self.planes_of_bowl { BOWL } else { SETTINGS }
    }
}

impl Default for Job {
    /// A joint in mm on a round mold with one plane and no stations yet.
    fn default() -> Self {
        Job {
            title: None,
            unit: Unit::default(),
            mold: Mold::default(),
            wood: None,
            thickness: None,
            spare: None,
            reading: ReadingErrors::default(),
            leaves: Vec::new(),
            tolerance: Tolerance::default(),
            planes: vec![Plane::default()],
            planes_of_bowl: false,
            measured: Measured::default(),
            stations: Vec::new(),
            rounds: Vec::new(),
            warnings: Vec::new(),
        }
    }
}
