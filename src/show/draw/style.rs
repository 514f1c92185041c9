//! The one style of all pictures: colours, lines, hatching, sizes of text.
//!
//! Meaning never rests on colour alone: looks that can meet in a picture also
//! differ in what is left without colour (filled, hatched, dashed, line
//! width). Tests hold the palette to contrast by number, as it is,
//! in grey print, and as seen without the red or the green cones.

/// An sRGB colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colour(pub u8, pub u8, pub u8);

impl std::fmt::Display for Colour {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }
}

/// What is drawn on.
pub const PAPER: Colour = Colour(0xff, 0xff, 0xff);
/// Text, axes and marks.
pub const INK: Colour = Colour(0x1a, 0x1a, 0x1a);
/// Lines that guide the eye and carry no meaning.
pub const FAINT: Colour = Colour(0xd2, 0xd2, 0xd2);
/// What was before.
pub const PAST: Colour = Colour(0x66, 0x66, 0x66);
/// What is wanted in the end.
pub const DEEP: Colour = Colour(0x14, 0x3f, 0x7a);
/// The uncertainty of that.
pub const PALE: Colour = Colour(0xd3, 0xe1, 0xf3);
/// What is taken now.
pub const AMBER: Colour = Colour(0xf0, 0xae, 0x4e);
/// Its outline and hatching.
pub const BROWN: Colour = Colour(0x7c, 0x42, 0x00);
/// The mold.
pub const STONE: Colour = Colour(0xf4, 0xf1, 0xea);
/// The rib that is fitted already.
pub const TAN: Colour = Colour(0xdf, 0xcd, 0xac);

/// The side of the neighbour that the rib meets.
pub const UMBER: Colour = Colour(0xa8, 0x84, 0x50);

/// How many shades a face can have.
pub const SHADES: usize = 8;

/// A colour as it is on a face that is turned from the light; 0 for one that meets it.
pub fn shade(colour: Colour, level: usize) -> Colour {
    let Colour(red, green, blue) = colour;
    let part = 100 - 3 * level as u16;
    Colour(
        (red as u16 * part / 100) as u8,
        (green as u16 * part / 100) as u8,
        (blue as u16 * part / 100) as u8,
    )
}

/// A line: colour, width and dashes (drawn, left out) in pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Colour of the line.
    pub colour: Colour,
    /// Width of the line.
    pub width: f32,
    /// Length drawn and length left out; `None` for an unbroken line.
    pub dash: Option<[f32; 2]>,
}

const fn solid(colour: Colour, width: f32) -> Option<Pen> {
    Some(Pen { colour, width, dash: None })
}

const fn dashed(colour: Colour, width: f32, dash: [f32; 2]) -> Option<Pen> {
    Some(Pen { colour, width, dash: Some(dash) })
}

/// How a mark looks; its name becomes the mark's class in SVG.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// What the mark means, in one word.
    pub name: &'static str,
    /// Colour inside.
    pub fill: Option<Colour>,
    /// The outline, or the line itself.
    pub pen: Option<Pen>,
    /// Slanting lines inside.
    pub hatch: Option<Pen>,
}

const fn line(name: &'static str, pen: Option<Pen>) -> Look {
    Look { name, fill: None, pen, hatch: None }
}

const fn filled(name: &'static str, fill: Colour, pen: Option<Pen>) -> Look {
    Look { name, fill: Some(fill), pen, hatch: None }
}

/// An axis and its ticks.
pub const AXIS: Look = line("axis", solid(INK, 1.2));
/// From a tick to its label.
pub const LEADER: Look = line("leader", solid(PAST, 0.8));
/// A line that guides the eye.
pub const GUIDE: Look = line("guide", solid(FAINT, 1.0));
/// A place without a number.
pub const MISSING: Look = line("missing", solid(INK, 2.0));
/// A station where the joint edge bears.
pub const BEARING: Look = filled("bearing", INK, None);
/// What comes off in the end: the curve.
pub const END: Look = line("end", solid(DEEP, 2.4));
/// What comes off in the end: the figure at a station.
pub const END_POINT: Look = filled("end-point", DEEP, solid(PAPER, 1.0));
/// Its standard uncertainty at a station.
pub const END_SD: Look = line("end-sd", solid(DEEP, 1.4));
/// Its standard uncertainty between stations.
pub const END_BAND: Look = filled("end-band", PALE, None);
/// What comes off now.
pub const NOW: Look =
    Look { name: "now", fill: Some(AMBER), pen: solid(BROWN, 1.2), hatch: solid(BROWN, 1.0) };
/// The same where there is no room for hatching.
pub const NARROW: Look = filled("now", BROWN, None);
/// A stroke over its run.
pub const STROKE: Look = Look { name: "stroke", ..NOW };
/// The stroke that is the check: it takes wood as any other.
pub const CHECK: Look = Look { name: "check", pen: solid(INK, 2.4), ..NOW };
/// What one stroke takes from the edge.
pub const TAKEN: Look = filled("taken", AMBER, None);
/// The edge before a stroke.
pub const BEFORE: Look = line("before", dashed(PAST, 1.6, [5.0, 4.0]));
/// The edge after a stroke.
pub const AFTER: Look = line("after", solid(DEEP, 2.4));
/// The surface aimed at.
pub const TARGET: Look = line("target", solid(INK, 1.2));
/// What may stay: gap or lift within tolerance.
pub const TOLERANCE: Look = filled("tolerance", PALE, None);
/// The most that may stay.
pub const LIMIT: Look = line("limit", dashed(INK, 1.2, [2.0, 3.0]));
/// A value that was read.
pub const READ: Look = filled("read", PAPER, solid(INK, 1.4));
/// How the rib lay before, at a station.
pub const BEFORE_POINT: Look = filled("before-point", PAPER, solid(PAST, 1.4));
/// How the rib lies after, at a station.
pub const AFTER_POINT: Look = filled("after-point", DEEP, solid(PAPER, 1.0));
/// A station where the joint edge bore before.
pub const BORE: Look = filled("bore", PAPER, solid(INK, 1.2));
/// The mold under the ribs.
pub const MOLD: Look = filled("mold", STONE, None);
/// The fitted rib.
pub const NEIGHBOUR: Look = filled("neighbour", TAN, None);
/// Its grain.
pub const GRAIN: Look = line("grain", solid(PAST, 0.8));
/// Its face at the joint, which the new rib has to meet.
pub const JOINT_FACE: Look = filled("joint-face", UMBER, None);
/// The joint line.
pub const JOINT_LINE: Look = line("joint-line", solid(INK, 1.8));
/// The rib as it lies.
pub const RIB: Look = filled("rib", PALE, None);
/// Its outer edge.
pub const RIB_OUTER: Look = line("rib-outer", solid(DEEP, 1.2));
/// Its edge at the joint.
pub const RIB_EDGE: Look = line("rib-edge", solid(DEEP, 2.8));
/// Where the rib's outer edge lay before.
pub const FORMER: Look = line("former", dashed(PAST, 1.4, [6.0, 4.0]));
/// A gap, from the joint line to the rib's edge.
pub const GAP: Look = line("gap", solid(INK, 1.4));
/// A lift, from the mold to the rib's outer edge.
pub const LIFT: Look = line("lift", dashed(INK, 1.6, [3.0, 2.0]));
/// Across the wood that comes off.
pub const TAKEN_GRAIN: Look = line("taken-grain", solid(BROWN, 0.9));
/// How far a place comes down or rises.
pub const DROP: Look = line("drop", solid(BROWN, 2.0));
/// The edge as it would lie with a little wood off.
pub const LESS: Look = line("after", dashed(BROWN, 2.2, [7.0, 4.0]));
/// A plane's sole.
pub const SOLE: Look = filled("sole", FAINT, solid(INK, 1.2));
/// Its iron.
pub const IRON: Look = line("iron", solid(INK, 3.2));
/// Wood taken, mean over the joint.
pub const WOOD: Look = Look { name: "wood", ..NOW };
/// Wood taken, most at a station.
pub const MOST: Look = line("most", solid(INK, 1.4));

/// Height of the heading's letters (one em), pixels.
pub const HEADING: f64 = 20.0;
/// Height of all other letters.
pub const TEXT: f64 = 14.0;
/// Distance from one line of text to the next.
pub const LEADING: f64 = 18.0;
/// Distance between hatching lines, across.
pub const HATCH: f64 = 6.0;

/// Every look, for tests and for keys that show them all.
pub const LOOKS: [Look; 41] = [
    AXIS,
    LEADER,
    GUIDE,
    MISSING,
    BEARING,
    END,
    END_POINT,
    END_SD,
    END_BAND,
    NOW,
    NARROW,
    STROKE,
    CHECK,
    TAKEN,
    BEFORE,
    AFTER,
    TARGET,
    TOLERANCE,
    LIMIT,
    READ,
    BEFORE_POINT,
    AFTER_POINT,
    BORE,
    MOLD,
    NEIGHBOUR,
    GRAIN,
    JOINT_FACE,
    JOINT_LINE,
    RIB,
    RIB_OUTER,
    RIB_EDGE,
    FORMER,
    GAP,
    LIFT,
    TAKEN_GRAIN,
    DROP,
    LESS,
    SOLE,
    IRON,
    WOOD,
    MOST,
];
