//! The unit of lengths in files; inside there are only millimetres.

/// The unit of all lengths in a folder's files.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Unit {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches, with fractions such as `1 3/32` allowed in cells.
    Inch,
}

impl Unit {
    /// Millimetres in one unit.
    pub fn mm(self) -> f64 {
        match self {
            Unit::Mm => 1.0,
            Unit::Inch => 25.4,
        }
    }

    /// The unit as it is written behind a number.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Mm => "mm",
            Unit::Inch => "in",
        }
    }

    /// Decimals worth showing: about a tenth of a shaving.
    pub(crate) fn decimals(self) -> usize {
        match self {
            Unit::Mm => 2,
            Unit::Inch => 3,
        }
    }

    /// A length given in mm, written in this unit, without its symbol; a negative that rounds
    /// to nothing is a plain zero.
    pub(crate) fn figure(self, mm: f64, decimals: usize) -> String {
        let text = format!("{:.decimals$}", mm / self.mm());
        match text.strip_prefix('-') {
            Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
            _ => text,
        }
    }

    /// A length given in mm, written in this unit for a sentence: `0.12 mm`, `0.005 in`.
    pub fn say(self, mm: f64) -> String {
        format!("{} {}", self.figure(mm, self.decimals()), self.symbol())
    }

    /// A shaving, or a mean along the edge, without its symbol: with one decimal more.
    pub(crate) fn fine(self, mm: f64) -> String {
        self.figure(mm, self.decimals() + 1)
    }

    /// The same with its symbol: `0.081 mm`.
    pub fn say_fine(self, mm: f64) -> String {
        format!("{} {}", self.fine(mm), self.symbol())
    }
}

/// Where the unit of lengths is told, for what is said about one that can't be right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told {
    /// In this settings' file.
    In(&'static str),
    /// On the command line, by `--units`.
    Flag,
    /// Elsewhere, already.
    Already,
}

impl Told {
    /// What to do if lengths are in inches.
    pub(crate) fn set_inch(self) -> String {
        match self {
            Told::In(file) => format!("set units = \"inch\" in {file}"),
            Told::Flag => "give --units inch".into(),
            Told::Already => "see which unit is set".into(),
        }
    }

    /// The settings' file.
    pub(crate) fn file(self) -> &'static str {
        if let Told::In(file) = self { file } else { "the settings" }
    }
}
