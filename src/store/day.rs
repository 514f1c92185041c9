//! The date, for the record.

use std::fmt;

/// A day in universal time, counted from 1 January 1970; `2026-11-27` when it is shown.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Day(pub u64);

/// In the Gregorian calendar: 400 years are 146,097 days; years are counted from March, so that a
/// leap day is a year's last.
impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let days = self.0 + 719_468;
        let (era, day) = (days / 146_097, days % 146_097);
        let year = (day - day / 1_460 + day / 36_524 - day / 146_096) / 365;
        let day = day - (365 * year + year / 4 - year / 100);
        let month = (5 * day + 2) / 153;
        let (day, from_march) = (day - (153 * month + 2) / 5 + 1, month < 10);
        let month = if from_march { month + 3 } else { month - 9 };
        let year = era * 400 + year + u64::from(!from_march);
        write!(f, "{year:04}-{month:02}-{day:02}")
    }
}
