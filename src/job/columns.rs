//! Every table's columns, each declared once: its name, what stands in it and in which
//! range, whether it must be there, its line in the documentation; and, of numbers, the
//! field that they become and are written from.

use super::bowl::Mark;
use super::{Angle, Reading, Station, names, ranges};
use crate::table::layout::{Column, Layout};

const fn layout(file: &'static str, parts: &'static [&'static [Column]]) -> Layout {
    Layout { file, parts, spared: &[], units: false, empty: Layout::EMPTY, family: &FAMILY }
}

/// In the order in which a misplaced table is looked up.
static FAMILY: [&Layout; 9] =
    [&STATIONS, &READINGS, &STROKES, &GIRTH, &WIDTHS, &TIME, &MARKS, &SINGLE, &OUTLINE];

/// `stations.csv`
pub(crate) static STATIONS: Layout =
    Layout { units: true, empty: "write the stations into it", ..layout(names::STATIONS, &[&STATION]) };
/// `readings.csv`
pub(crate) static READINGS: Layout = Layout { units: true, ..layout(names::READINGS, &[&READ]) };
/// `strokes.csv`
pub(crate) static STROKES: Layout = layout(names::STROKES, &[&STROKE]);
/// Stations and readings in one table: all of it is round 1, against a line, if not told.
pub(crate) static SINGLE: Layout =
    Layout { spared: &["round", "against"], units: true, ..layout("", &[&STATION, &READ]) };
/// `girth.csv` of a bowl.
pub(crate) static GIRTH: Layout = layout(
    names::GIRTH,
    &[&[
        Column::whole("after", ranges::FITTED, "number of fitted ribs"),
        AT,
        Column::number("girth", ranges::GIRTH, ""),
        NOTE,
    ]],
);
/// `widths.csv` of a bowl.
pub(crate) static WIDTHS: Layout = layout(
    names::WIDTHS,
    &[&[
        Column::whole("rib", ranges::RIB, "rib's number"),
        AT,
        Column::number("width", ranges::WIDTH, ""),
        NOTE,
    ]],
);
/// `time.csv` of a bowl.
pub(crate) static TIME: Layout = layout(
    names::TIME,
    &[&[
        Column::whole("joint", ranges::JOINT, "joint's number"),
        Column::number("minutes", ranges::MINUTES, "minutes of work"),
        NOTE,
    ]],
);
/// `marks.csv` of a joint.
pub(crate) static MARKS: Layout = layout(
    names::MARKS,
    &[&[
        AT,
        Column::number(
            "compass",
            ranges::COMPASS,
            "the distance from the reference line to the line on the mold",
        ),
        Column::number(
            "edge",
            ranges::EDGE,
            "the distance from the reference line to the present outer edge",
        ),
        Column::number("reference", ranges::REFERENCE, "").may(),
        NOTE,
    ]],
);
/// The outline of a bowl's opening.
pub(crate) static OUTLINE: Layout = layout(
    "",
    &[&[
        Column::number("along", ranges::ALONG, "the place from the neck end"),
        Column::number("half_width", ranges::HALF_WIDTH, "from the middle line to the rim"),
        NOTE,
    ]],
);

const NOTE: Column = Column::text("note", "").may();
const AT: Column = Column::text("station", "a station's name");

const STATION: [Column; 10] = [
    Column::text("station", "a station's name or number").line("its name, in order along the joint"),
    Column::number("along", ranges::ALONG, "the station's place along the joint").or("arc").line(
        "distance along the chord from any origin, growing; or, instead, `arc`: a tape laid along the edge",
    ),
    Column::number("arc", ranges::ALONG, "the station's place along the joint").or("along"),
    Column::number("width", ranges::WIDTH, "the rib's width at this station")
        .line("of the rib, from the joint line to the outer line, square to the joint line"),
    Column::number("bevel", ranges::BEVEL, "the bevel in degrees from square, 0 for a square joint")
        .line(
            "the mitre of the joint face, degrees from square; positive where the rib falls inwards from the \
             joint to its outer edge, as on a round bowl, negative where it rises",
        ),
    Column::number("rise", ranges::RISE, "")
        .may()
        .line("height of the joint line over the chord; can be left out, see [what it can't know](../README.md#what-it-cant-know)"),
    Column::number("outer_bevel", ranges::OUTER_BEVEL, "").may().line(
        "lean of the mold's normal at the outer line, from the joint plane, degrees; left out: twice the \
         bevel on a round mold, the bevel on a faceted one",
    ),
    Column::number("inner_bevel", ranges::INNER_BEVEL, "")
        .may()
        .line("the same at the joint line; left out: 0 on a round mold, the bevel on a faceted one"),
    Column::number("out_of_plane", ranges::OUT_OF_PLANE, "")
        .may()
        .line("how far the drawn joint line leaves its plane, into the rib positive; left out: 0"),
    NOTE,
];

const READ: [Column; 11] = [
    Column::whole("round", ranges::ROUND, "the round's number, from 1").line("1, 2, 3 and so on"),
    AT,
    Column::text("against", "neighbour or line").line(
        "`neighbour`: the new rib pushed home against the fitted one, gaps read with feelers; or `line`: a \
         line drawn on the mold or on paper. One for the whole round",
    ),
    Column::number("overlap", ranges::OVERLAP, "")
        .or("gap")
        .sign("wood too much is positive")
        .line("wood past the joint line, positive; or, instead, a column `gap` with daylight positive"),
    Column::number("gap", ranges::GAP, "").or("overlap").sign("daylight is positive"),
    Column::number("lift", ranges::LIFT, "")
        .may()
        .line("of the outer edge off the mold; left out, nothing is said of the outer edge"),
    Column::number("seat", ranges::SEAT, "")
        .may()
        .line("of the joint edge off the mold; left out, it is taken to be held down"),
    Column::text("bears", "").may().line(
        "`yes` where the rib, pressed lightly, is felt to bear: at this station, or between it and its neighbours",
    ),
    Column::whole("reading", ranges::REPEAT, "1, 2 and so on")
        .may()
        .line("1, 2 and so on, in rows for a station that was read again while the rib lay as it was"),
    Column::text("rebent", "").may().line("`yes` in a round before which the rib was bent again"),
    NOTE,
];

const STROKE: [Column; 8] = [
    Column::whole("round", ranges::ROUND, "the round after which it was planed"),
    Column::text("plane", "the name of a plane"),
    Column::text("from", "the name of a station"),
    Column::text("to", "the name of a station"),
    Column::whole("count", ranges::COUNT, "the number of pushes"),
    Column::text("shaving_from", "").may(),
    Column::text("shaving_to", "").may(),
    NOTE,
];

/// A column of numbers as a field: mm, radians.
pub(crate) struct Field<T> {
    /// The column's name.
    pub name: &'static str,
    /// The value, if there is one.
    pub get: fn(&T) -> Option<f64>,
    /// Puts a value in its place.
    pub put: fn(&mut T, f64),
}

/// The geometry of a station.
pub(crate) static GEOMETRY: [Field<Station>; 8] = [
    Field { name: "along", get: |s| Some(s.along), put: |s, v| s.along = v },
    Field { name: "arc", get: |s| Some(s.along), put: |s, v| s.along = v },
    Field { name: "width", get: |s| Some(s.width), put: |s, v| s.width = v },
    Field { name: "bevel", get: |s| Some(s.bevel.in_radians()), put: |s, v| s.bevel = Angle::radians(v) },
    Field { name: "rise", get: |s| s.rise, put: |s, v| s.rise = Some(v) },
    Field {
        name: "outer_bevel",
        get: |s| s.outer_bevel.map(Angle::in_radians),
        put: |s, v| s.outer_bevel = Some(Angle::radians(v)),
    },
    Field {
        name: "inner_bevel",
        get: |s| s.inner_bevel.map(Angle::in_radians),
        put: |s, v| s.inner_bevel = Some(Angle::radians(v)),
    },
    Field { name: "out_of_plane", get: |s| s.out_of_plane, put: |s, v| s.out_of_plane = Some(v) },
];

/// What is read at a station. A gap is an overlap with the opposite sign, taken from 0 so
/// that no minus comes before a zero.
pub(crate) static READINGS_AT: [Field<Reading>; 4] = [
    Field { name: "overlap", get: |r| r.overlap, put: |r, v| r.overlap = Some(v) },
    Field { name: "gap", get: |r| r.overlap.map(|o| 0.0 - o), put: |r, v| r.overlap = Some(0.0 - v) },
    Field { name: "lift", get: |r| r.lift, put: |r, v| r.lift = Some(v) },
    Field { name: "seat", get: |r| r.seat, put: |r, v| r.seat = Some(v) },
];

/// What is measured for the outer edge.
pub(crate) static MARKED: [Field<Mark>; 3] = [
    Field { name: "compass", get: |m| Some(m.compass), put: |m, v| m.compass = v },
    Field { name: "edge", get: |m| Some(m.edge), put: |m, v| m.edge = v },
    Field { name: "reference", get: |m| Some(m.reference), put: |m, v| m.reference = v },
];

/// The columns that have a line of their own in the documentation, each once, with that line.
pub fn documented() -> Vec<(&'static str, &'static str)> {
    let mut all = Vec::new();
    for column in FAMILY.iter().flat_map(|layout| layout.columns()).filter(|c| !c.line.is_empty()) {
        if !all.contains(&(column.name, column.line)) {
            all.push((column.name, column.line));
        }
    }
    all
}
