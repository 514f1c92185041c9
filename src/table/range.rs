//! A quantity's plausible range, and what a value outside it was probably meant to be.

use super::{Told, Unit};

/// What a quantity is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// A length: mm inside, the folder's unit in files.
    Length,
    /// An angle: degrees in files.
    Angle,
    /// A force in newtons.
    Force,
    /// A share of 1.
    Share,
    /// Parts of a hundred.
    Percent,
    /// A whole number of something.
    Count,
}

/// What a value outside its range was probably meant to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slip {
    /// A reading whose decimal mark was lost, or written in hundredths.
    DecimalMark,
    /// The same for what can't be below zero, since nothing passes through the mold.
    Standing,
    /// A length in centimetres or inches.
    OtherUnit,
    /// A length of many millimetres whose decimal mark was lost, or in another unit.
    Size,
    /// An angle measured from the face rather than from square.
    FromFace,
    /// A share written as a percentage.
    Percent,
    /// Nothing that could be named.
    Unknown,
}

/// A quantity's name and plausible range: mm, degrees, newtons or plain numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The quantity, as messages name it.
    pub name: &'static str,
    /// The least plausible value.
    pub low: f64,
    /// The greatest plausible value.
    pub high: f64,
    /// Whether `low` and `high` themselves are outside.
    pub open: bool,
    /// What it is measured in.
    pub measure: Measure,
    /// The usual slip behind a value outside.
    pub slip: Slip,
}

impl Range {
    /// A range with its limits inside.
    pub(crate) const fn new(name: &'static str, low: f64, high: f64, measure: Measure, slip: Slip) -> Range {
        Range { name, low, high, open: false, measure, slip }
    }

    /// A share of 1, its limits outside.
    pub(crate) const fn share(name: &'static str, low: f64, high: f64) -> Range {
        Range { name, low, high, open: true, measure: Measure::Share, slip: Slip::Percent }
    }

    /// Whether a value in mm, degrees or plain numbers is plausible.
    pub fn holds(&self, value: f64) -> bool {
        let inside = self.low <= value && value <= self.high;
        inside && !(self.open && (value == self.low || value == self.high))
    }

    /// Units of the file in one unit inside: mm for an inch, degrees for a degree.
    pub(crate) fn scale(&self, unit: Unit) -> f64 {
        if self.measure == Measure::Length { unit.mm() } else { 1.0 }
    }

    /// Whether a length out of range would be in range in the other unit; `raw` as
    /// the file has it.
    pub(crate) fn in_other_unit(&self, raw: f64, unit: Unit) -> bool {
        let other = if unit == Unit::Mm { Unit::Inch } else { Unit::Mm };
        self.measure == Measure::Length && !self.holds(raw * unit.mm()) && self.holds(raw * other.mm())
    }

    fn unit_name(&self, unit: Unit) -> &'static str {
        match (self.measure, unit) {
            (Measure::Length, Unit::Mm) => " mm",
            (Measure::Length, Unit::Inch) => " inch",
            (Measure::Angle, _) => " degrees",
            (Measure::Force, _) => " N",
            (Measure::Percent, _) => " %",
            (Measure::Share | Measure::Count, _) => "",
        }
    }

    /// The range in words, in the unit of the file: `a lift from 0 to 20 mm`.
    pub fn in_words(&self, unit: Unit) -> String {
        let article = if self.name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
        let (low, high) = (self.low / self.scale(unit), self.high / self.scale(unit));
        let between = if self.open {
            format!("between {} and {}", short(low), short(high))
        } else {
            format!("from {} to {}", short(low), short(high))
        };
        format!("{article} {} {between}{}", self.name, self.unit_name(unit))
    }

    /// What to do about a value outside, with what was probably meant; `value` as
    /// the file has it, `told` where its unit is set.
    pub fn advice(&self, value: f64, unit: Unit, told: Told) -> String {
        let guesses = match unit {
            Unit::Inch if self.measure == Measure::Length => self.inch_slips(value),
            _ => self.usual_slips(value, told),
        };
        let likely: Vec<String> =
            guesses.into_iter().filter(|(meant, _)| self.holds(*meant)).map(|(_, words)| words).collect();
        if !likely.is_empty() {
            return format!("write it again; probably {}", likely.join(", or "));
        }
        if self.slip == Slip::DecimalMark && unit == Unit::Mm && value > self.high && self.holds(value / 10.0)
        {
            return format!("write it again; probably {} mm, ten times less", short(value / 10.0));
        }
        if self.measure == Measure::Percent && value > 0.0 && self.holds(value * 100.0) {
            return format!("write per cent; probably {}", short(value * 100.0));
        }
        let metres = value * 1000.0;
        if self.slip == Slip::OtherUnit && unit == Unit::Mm && value < self.low && self.holds(metres) {
            return format!("write it again; probably metres ({} mm): write millimetres", short(metres));
        }
        if value < 0.0 && self.slip == Slip::Standing {
            return format!(
                "read it again: a {} is 0 where nothing stands off and never below; leave the cell empty if it was not read",
                self.name
            );
        }
        if self.measure == Measure::Length && looks_like_a_day(value) {
            return "make the column plain text and write it again; a spreadsheet probably turned a fraction into a date and shows its number".into();
        }
        "check the number and write it again".into()
    }

    /// What may have been meant in a folder in inches; values in mm.
    fn inch_slips(&self, value: f64) -> Vec<(f64, String)> {
        let mm = (value, "millimetres, while the folder's units are inches".to_string());
        let thousandths = value / 1000.0;
        let words = format!("thousandths of an inch ({} inch)", short(thousandths));
        match self.slip {
            Slip::DecimalMark | Slip::Standing | Slip::Size if !self.holds(value) => {
                vec![(thousandths * 25.4, words)]
            }
            _ => vec![mm],
        }
    }

    /// A length of many millimetres less its decimal mark: one or two places were behind it.
    fn lost_mark(&self, v: f64) -> Option<(f64, String)> {
        let meant: Vec<f64> = [v / 10.0, v / 100.0].into_iter().filter(|m| self.holds(*m)).collect();
        let words: Vec<String> = meant.iter().map(|m| short(*m)).collect();
        Some((*meant.first()?, format!("{} mm whose decimal mark was lost", words.join(" or "))))
    }

    /// What may have been meant in mm, degrees or plain numbers.
    fn usual_slips(&self, v: f64, told: Told) -> Vec<(f64, String)> {
        match self.slip {
            Slip::DecimalMark | Slip::Standing if v.abs() > self.high => vec![
                (v / 1000.0, format!("{} mm whose decimal mark was lost", short(v / 1000.0))),
                (v / 100.0, format!("hundredths of a millimetre ({} mm)", short(v / 100.0))),
            ],
            Slip::Size if v.abs() > self.high => self.lost_mark(v).into_iter().collect(),
            Slip::OtherUnit | Slip::DecimalMark | Slip::Size if v > 0.0 && v < self.low => vec![
                (v * 10.0, format!("centimetres ({} mm): write millimetres", short(v * 10.0))),
                (v * 25.4, format!("inches ({} mm): {}", short(v * 25.4), told.set_inch())),
            ],
            Slip::OtherUnit if v > self.high => {
                vec![(v / 10.0, format!("{} mm, ten times less", short(v / 10.0)))]
            }
            Slip::FromFace => vec![(
                90.0 - v,
                format!("measured from the face rather than from square: then {} degrees", short(90.0 - v)),
            )],
            Slip::Percent if v >= 1.0 => {
                vec![(v / 100.0, format!("{}, a share of 1", short(v / 100.0)))]
            }
            _ => Vec::new(),
        }
    }
}

/// Spreadsheets count days: 20,000 to 80,000 are the years 1954 to 2119.
fn looks_like_a_day(value: f64) -> bool {
    value.fract() == 0.0 && (20_000.0..80_000.0).contains(&value)
}

/// At most three decimals, without trailing zeros; of what is less than that two
/// digits that count, so that it does not become 0.
pub(crate) fn short(value: f64) -> String {
    let small = value.abs() < 0.01 && value.abs() > 1e-9;
    let decimals = if small { (2.0 - libm::log10(value.abs())).floor() as usize } else { 3 };
    trimmed(format!("{value:.decimals$}"))
}

/// The same number without zeros at its end, and without a minus before 0.
pub(crate) fn trimmed(mut text: String) -> String {
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".into() } else { text }
}
