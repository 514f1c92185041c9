//! Cells that tell an interval: `0.10..0.15`, `<0.05`, `>0.5`, and `0.10-0.15`.

use serde::{Deserialize, Serialize};

/// Where a value lies; an end may be infinite, which JSON has as `null`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(from = "[Option<f64>; 2]", into = "[Option<f64>; 2]")]
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

impl From<[Option<f64>; 2]> for Interval {
    fn from([low, high]: [Option<f64>; 2]) -> Interval {
        Interval { low: low.unwrap_or(f64::NEG_INFINITY), high: high.unwrap_or(f64::INFINITY) }
    }
}

impl From<Interval> for [Option<f64>; 2] {
    fn from(Interval { low, high }: Interval) -> Self {
        [low, high].map(|end| Some(end).filter(|end| end.is_finite()))
    }
}

/// What a cell tells: a number, or an interval in which it lies.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Figure {
    /// A number.
    Number(f64),
    /// An interval.
    Within(Interval),
}

impl Figure {
    /// The number, or the interval's middle or only end.
    pub fn middle(self) -> f64 {
        match self {
            Figure::Number(number) => number,
            Figure::Within(interval) => interval.middle(),
        }
    }

    /// The same with the opposite sign; taken from 0, so that no minus comes before a zero.
    pub fn negated(self) -> Figure {
        match self {
            Figure::Number(number) => Figure::Number(0.0 - number),
            Figure::Within(interval) => Figure::Within(interval.negated()),
        }
    }

    /// Whether two tell the same, but for so much at either end.
    pub fn is_near(self, other: Figure, most: f64) -> bool {
        let near = |a: f64, b: f64| a == b || (a - b).abs() < most;
        match (self, other) {
            (Figure::Number(a), Figure::Number(b)) => near(a, b),
            (Figure::Within(a), Figure::Within(b)) => near(a.low, b.low) && near(a.high, b.high),
            _ => false,
        }
    }

    /// As a cell has it, its numbers written by `number`.
    pub fn written(self, number: impl Fn(f64) -> String) -> String {
        match self {
            Figure::Number(value) => number(value),
            Figure::Within(Interval { low, high }) if low.is_infinite() => format!("<{}", number(high)),
            Figure::Within(Interval { low, high }) if high.is_infinite() => format!(">{}", number(low)),
            Figure::Within(Interval { low, high }) => format!("{}..{}", number(low), number(high)),
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
