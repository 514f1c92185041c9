//! Cells that tell an interval: `0.10..0.15`, `<0.05`, `>0.5`, and `0.10-0.15`.

/// Where a value lies; an end may be infinite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

impl Interval {
    /// The interval of the opposite sign.
    pub fn negated(self) -> Interval {
        Interval { low: 0.0 - self.high, high: 0.0 - self.low }
    }

    /// Its middle; where it has one end only, that.
    pub fn middle(self) -> f64 {
        match (self.low.is_finite(), self.high.is_finite()) {
            (true, true) => (self.low + self.high) / 2.0,
            (true, false) => self.low,
            _ => self.high,
        }
    }
}

/// The texts of an interval's ends, of which one may be missing; `None` where a cell is none.
/// `dashed`: a dash between two numbers with a decimal mark is one too. Without a mark it may be
/// what a spreadsheet made of something else.
pub fn ends(cell: &str, dashed: bool) -> Option<(Option<&str>, Option<&str>)> {
    let cell = cell.trim();
    if let Some(high) = cell.strip_prefix('<') {
        return Some((None, Some(high.trim())));
    }
    if let Some(low) = cell.strip_prefix('>') {
        return Some((Some(low.trim()), None));
    }
    let pair = cell.split_once("..").or_else(|| at_dash(cell).filter(|_| dashed))?;
    let (low, high) = (pair.0.trim(), pair.1.trim());
    (!low.is_empty() && !high.is_empty()).then_some((Some(low), Some(high)))
}

fn at_dash(cell: &str) -> Option<(&str, &str)> {
    let pair = cell.split_once(['-', '\u{2013}'])?;
    let number = |text: &str| {
        let digits = text.trim();
        digits.contains(['.', ',']) && digits.chars().all(|c| c.is_ascii_digit() || ".,".contains(c))
    };
    (number(pair.0) && number(pair.1)).then_some(pair)
}
