//! The columns that tables may have.

/// What a table holds, and so which columns it may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// `stations.csv`
    Stations,
    /// `readings.csv`
    Readings,
    /// `strokes.csv`
    Strokes,
    /// Stations and readings in one table.
    Single,
    /// `girth.csv` of a bowl.
    Girth,
    /// `widths.csv` of a bowl.
    Widths,
    /// `time.csv` of a bowl.
    Time,
    /// `marks.csv` of a joint.
    Marks,
    /// The outline of a bowl's opening.
    Outline,
}

const STATIONS: [&str; 10] = [
    "station",
    "along",
    "arc",
    "width",
    "bevel",
    "rise",
    "outer_bevel",
    "inner_bevel",
    "out_of_plane",
    "note",
];
/// In the order in which a new file gets them.
pub(crate) const READINGS: [&str; 9] =
    ["round", "station", "against", "overlap", "gap", "lift", "seat", "rebent", "note"];
/// In the order in which a new file gets them.
pub(crate) const STROKES: [&str; 8] =
    ["round", "plane", "from", "to", "count", "shaving_from", "shaving_to", "note"];

/// In the order in which a new file gets them.
pub(crate) const GIRTH: [&str; 4] = ["after", "station", "girth", "note"];
/// In the order in which a new file gets them.
pub(crate) const MARKS: [&str; 5] = ["station", "compass", "edge", "reference", "note"];
const WIDTHS: [&str; 4] = ["rib", "station", "width", "note"];
const TIME: [&str; 3] = ["joint", "minutes", "note"];
const OUTLINE: [&str; 3] = ["along", "half_width", "note"];

/// Columns whose cells are measured numbers, and so show the decimal mark.
const NUMBERS: [&str; 18] = [
    "along",
    "arc",
    "width",
    "bevel",
    "rise",
    "outer_bevel",
    "inner_bevel",
    "out_of_plane",
    "overlap",
    "gap",
    "lift",
    "seat",
    "girth",
    "compass",
    "edge",
    "reference",
    "half_width",
    "minutes",
];

impl Kind {
    /// Every column that this table may have.
    pub fn known(self) -> Vec<&'static str> {
        match self {
            Kind::Stations => STATIONS.to_vec(),
            Kind::Readings => READINGS.to_vec(),
            Kind::Strokes => STROKES.to_vec(),
            Kind::Single => {
                let more = READINGS.iter().filter(|n| !STATIONS.contains(n));
                STATIONS.iter().chain(more).copied().collect()
            }
            Kind::Girth => GIRTH.to_vec(),
            Kind::Widths => WIDTHS.to_vec(),
            Kind::Time => TIME.to_vec(),
            Kind::Marks => MARKS.to_vec(),
            Kind::Outline => OUTLINE.to_vec(),
        }
    }

    /// Columns that it must have; where several names stand together, one of them.
    pub fn required(self) -> &'static [&'static [&'static str]] {
        match self {
            Kind::Stations => &[&["station"], &["along", "arc"], &["width"], &["bevel"]],
            Kind::Readings => &[&["round"], &["station"], &["against"], &["overlap", "gap"]],
            Kind::Strokes => &[&["round"], &["plane"], &["from"], &["to"], &["count"]],
            Kind::Single => &[&["station"], &["along", "arc"], &["width"], &["bevel"], &["overlap", "gap"]],
            Kind::Girth => &[&["after"], &["station"], &["girth"]],
            Kind::Widths => &[&["rib"], &["station"], &["width"]],
            Kind::Time => &[&["joint"], &["minutes"]],
            Kind::Marks => &[&["station"], &["compass"], &["edge"]],
            Kind::Outline => &[&["along"], &["half_width"]],
        }
    }
}

/// Pairs of columns of which a table may have one only.
pub(crate) const ONE_OF: [(&str, &str); 2] = [("along", "arc"), ("overlap", "gap")];

/// Whether a column's cells are measured numbers.
pub(crate) fn is_number(name: &str) -> bool {
    NUMBERS.contains(&name)
}

/// Whether any table has this column.
pub(crate) fn is_known(name: &str) -> bool {
    let all = [&STATIONS[..], &READINGS, &STROKES, &GIRTH, &WIDTHS, &TIME, &MARKS, &OUTLINE];
    all.iter().any(|list| list.contains(&name))
}

/// A column's name as it is compared: `Outer Bevel` is `outer_bevel`.
pub(crate) fn plain(header: &str) -> String {
    let joined: Vec<&str> =
        header.split([' ', '-', '_', '\n', '\r', '\u{a0}']).filter(|w| !w.is_empty()).collect();
    joined.join("_").to_lowercase()
}
