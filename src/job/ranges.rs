//! The plausible range of every quantity, named once: validation, messages and
//! documentation all use these constants.
//!
//! The limits are wide: they are there to catch a lost decimal mark, another
//! unit or a mistaken column, not to judge an instrument. They are common
//! practice, no source.

pub use crate::table::{Measure, Range, Slip};

/// A station's place along the chord or the arc, from any origin.
pub const ALONG: Range = Range::new("place along the joint", -3000.0, 3000.0, Measure::Length, Slip::Size);
/// From the first station to the last.
pub const LENGTH: Range =
    Range::new("length from the first station to the last", 100.0, 2500.0, Measure::Length, Slip::OtherUnit);
/// The rib's width at a station.
pub const WIDTH: Range = Range::new("width of a rib", 0.5, 200.0, Measure::Length, Slip::Size);
/// The mitre of the joint face, from square: below zero towards the far rim of a shallow bowl.
pub const BEVEL: Range = Range::new("bevel", -30.0, 45.0, Measure::Angle, Slip::FromFace);
/// The joint line's height over the chord.
pub const RISE: Range = Range::new("rise", -50.0, 500.0, Measure::Length, Slip::Size);
/// Lean of the mold's normal at the outer line: up to twice the bevel.
pub const OUTER_BEVEL: Range = Range::new("outer bevel", -45.0, 90.0, Measure::Angle, Slip::FromFace);
/// Lean of the mold's normal at the joint line.
pub const INNER_BEVEL: Range = Range::new("inner bevel", -45.0, 45.0, Measure::Angle, Slip::FromFace);
/// Departure of the drawn joint line from its plane.
pub const OUT_OF_PLANE: Range =
    Range::new("departure from the plane", -25.0, 25.0, Measure::Length, Slip::DecimalMark);
/// Wood past the joint line (positive) or daylight at it (negative).
pub const OVERLAP: Range = Range::new("overlap", -25.0, 25.0, Measure::Length, Slip::DecimalMark);
/// The same number with the opposite sign.
pub const GAP: Range = Range::new("gap", -25.0, 25.0, Measure::Length, Slip::DecimalMark);
/// How far the outer edge stands off the mold.
pub const LIFT: Range = Range::new("lift", 0.0, 20.0, Measure::Length, Slip::Standing);
/// How far the joint edge stands off the mold.
pub const SEAT: Range = Range::new("seat", 0.0, 20.0, Measure::Length, Slip::Standing);
/// The rib's thickness.
pub const THICKNESS: Range = Range::new("thickness of a rib", 0.3, 10.0, Measure::Length, Slip::DecimalMark);
/// The most that may come off at any station.
pub const SPARE: Range = Range::new("spare width", 0.01, 30.0, Measure::Length, Slip::DecimalMark);
/// Which reading of a place it is while the rib lies as it was.
pub const REPEAT: Range = Range::new("number of a reading", 1.0, 20.0, Measure::Count, Slip::Unknown);
/// Thickness of a leaf of feelers.
pub const LEAF: Range = Range::new("thickness of a leaf", 0.01, 10.0, Measure::Length, Slip::DecimalMark);
/// Standard deviation of one reading.
pub const READING_SD: Range =
    Range::new("standard deviation of a reading", 0.001, 5.0, Measure::Length, Slip::DecimalMark);
/// A gap or lift that may stay.
pub const TOLERANCE: Range = Range::new("tolerance", 0.001, 5.0, Measure::Length, Slip::DecimalMark);
/// Confidence with which 'fitted' is stated.
pub const CONFIDENCE: Range = Range::share("confidence", 0.5, 1.0);
/// Chance of taking too much at the worst station.
pub const OVERCUT: Range = Range::share("chance of taking too much", 0.0, 0.5);
/// Force with which a gap may be pressed closed.
pub const FORCE: Range = Range::new("force in newtons", 0.1, 500.0, Measure::Force, Slip::Unknown);
/// Length of a plane's sole.
pub const SOLE: Range = Range::new("length of a sole", 20.0, 2000.0, Measure::Length, Slip::OtherUnit);
/// Width of a plane's sole.
pub const SOLE_WIDTH: Range = Range::new("width of a sole", 5.0, 200.0, Measure::Length, Slip::OtherUnit);
/// Thickness of one shaving.
pub const SHAVING: Range =
    Range::new("thickness of a shaving", 0.005, 1.0, Measure::Length, Slip::DecimalMark);
/// Shortest sensible run of a stroke.
pub const SHORTEST: Range =
    Range::new("shortest run of a stroke", 1.0, 2000.0, Measure::Length, Slip::OtherUnit);
/// A round's number.
pub const ROUND: Range = Range::new("round's number", 1.0, 999.0, Measure::Count, Slip::Unknown);
/// Pushes of the plane over one run.
pub const COUNT: Range = Range::new("number of pushes", 1.0, 999.0, Measure::Count, Slip::Unknown);
/// Ribs of a bowl.
pub const RIBS: Range = Range::new("number of ribs", 3.0, 99.0, Measure::Count, Slip::Unknown);
/// Width of a spacer: what it takes of the bowl's girth.
pub const SPACER_WIDTH: Range =
    Range::new("width of a spacer", 0.2, 10.0, Measure::Length, Slip::DecimalMark);
/// Height of a spacer, square to the mold.
pub const SPACER_HEIGHT: Range =
    Range::new("height of a spacer", 0.5, 25.0, Measure::Length, Slip::DecimalMark);
/// How much the widths of a bowl's ribs may differ.
pub const EVEN: Range =
    Range::new("tolerance on equal width", 0.05, 20.0, Measure::Length, Slip::DecimalMark);
/// Along the mold, from an edge to the far edge.
pub const GIRTH: Range = Range::new("girth", 0.0, 2000.0, Measure::Length, Slip::Size);
/// A compass distance across a rib.
pub const COMPASS: Range = Range::new("compass distance", -50.0, 250.0, Measure::Length, Slip::Size);
/// From the reference line to the present outer edge.
pub const EDGE: Range = Range::new("distance to the outer edge", -50.0, 250.0, Measure::Length, Slip::Size);
/// From the joint edge to the reference line.
pub const REFERENCE: Range =
    Range::new("distance of the reference line", 0.0, 200.0, Measure::Length, Slip::Size);
/// Half the width of the bowl's opening.
pub const HALF_WIDTH: Range = Range::new("half width", 0.0, 500.0, Measure::Length, Slip::OtherUnit);
/// Depth of a bowl.
pub const DEPTH: Range = Range::new("depth of a bowl", 20.0, 500.0, Measure::Length, Slip::OtherUnit);
/// Moisture content of wood; the published coefficients hold from 6 to 14 %.
pub const MOISTURE: Range = Range::new("moisture content", 6.0, 14.0, Measure::Percent, Slip::Unknown);
/// Minutes of work.
pub const MINUTES: Range = Range::new("time in minutes", 0.0, 100_000.0, Measure::Count, Slip::Unknown);
/// How many ribs were fitted.
pub const FITTED: Range = Range::new("number of fitted ribs", 0.0, 99.0, Measure::Count, Slip::Unknown);
/// A rib's number, counted from one rim of the bowl.
pub const RIB: Range = Range::new("rib's number", 1.0, 99.0, Measure::Count, Slip::Unknown);
/// A joint's number: that of the rib that was there before.
pub const JOINT: Range = Range::new("joint's number", 1.0, 98.0, Measure::Count, Slip::Unknown);
