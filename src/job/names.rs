//! What the files of a joint's and of a bowl's folder are called.

/// The settings' file.
pub(crate) const SETTINGS: &str = "joint.toml";
/// The stations' file.
pub(crate) const STATIONS: &str = "stations.csv";
/// The readings' file.
pub(crate) const READINGS: &str = "readings.csv";
/// The strokes' file.
pub(crate) const STROKES: &str = "strokes.csv";

/// What was confirmed, a second time.
pub(crate) const CONFIRMED: &str = "confirmed.log";

/// Every file that is read: none of them is another one misnamed.
pub(crate) const READ: [&str; 10] =
    [SETTINGS, STATIONS, READINGS, STROKES, BOWL, GIRTH, WIDTHS, TIME, MARKS, CONFIRMED];

/// The settings' file of a bowl.
pub const BOWL: &str = "bowl.toml";
/// Where a bowl's joints stand.
pub const JOINTS: &str = "joints";
/// What is still to be covered.
pub(crate) const GIRTH: &str = "girth.csv";
/// Ribs as they came out.
pub(crate) const WIDTHS: &str = "widths.csv";
/// Minutes of work.
pub(crate) const TIME: &str = "time.csv";
/// The table of a joint's marks.
pub const MARKS: &str = "marks.csv";
