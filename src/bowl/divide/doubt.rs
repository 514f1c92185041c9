//! Girths and widths that can't be right.

use super::{Division, OddWidth, Plan, Smooth, when};
use crate::bowl::line::OddReading;
use crate::job::Unit;
use crate::job::bowl::{Bowl, Girth};

/// From this many standard deviations on a measured width is named.
const ODD: f64 = 4.0;
/// What glue and gaps may take besides, mm (an assumption, no source).
const GLUE: f64 = 0.5;

impl Plan<'_> {
    /// Why nothing can be shared out at a station.
    pub(super) fn no_room(&self, bowl: &Bowl, division: &Division, station: usize, narrow: f64) -> String {
        let say = |mm: f64| self.job.unit.say(mm);
        let left = self.ribs - division.fitted;
        let next = match self.other_unit(bowl) {
            Some(unit) => format!("The girths look like {unit}: write all of them in the unit of bowl.toml"),
            None => "Measure the girth there again, and check `ribs` and [spacer] in bowl.toml".into(),
        };
        format!(
            "At station {} the girth {}, {}, leaves no room for {left} ribs and their spacers: a rib would be {} wide. {next}.",
            self.job.stations[station].name,
            when(division.fitted),
            say(division.read[station].unwrap_or(division.girth[station])),
            say(narrow)
        )
    }

    /// The unit that girths were probably read in: nearly all are as many times less
    /// than the joints' stations tell.
    fn other_unit(&self, bowl: &Bowl) -> Option<&'static str> {
        let told = |after: usize, i: usize| (self.ribs - after) as f64 * self.laid[i] + self.spacers(after);
        let ratios_of = |g: &Girth| {
            let read = g.at.iter().enumerate().filter_map(|(i, read)| Some((i, read.filter(|r| *r > 0.0)?)));
            read.map(|(i, read)| told(g.after, i) / read).collect::<Vec<f64>>()
        };
        let mut ratios: Vec<f64> = bowl.girths.iter().flat_map(ratios_of).collect();
        ratios.sort_by(f64::total_cmp);
        let most = [ratios.get(ratios.len() / 4)?, ratios.get(3 * ratios.len() / 4)?];
        let within = |low: f64, high: f64| most.iter().all(|r| (low..high).contains(*r));
        // Whoever measures in inches doesn't read ten times less by taking another unit.
        match self.job.unit {
            Unit::Mm if within(8.0, 12.5) => Some("centimetres"),
            Unit::Mm if within(21.0, 30.0) => Some("inches"),
            _ => None,
        }
    }

    /// Measured widths of a rib that miss what girths say by more than their errors allow.
    pub(super) fn odd_widths(&self, bowl: &Bowl, smooth: &[Smooth], rib: usize) -> Vec<OddWidth> {
        let girth = |after: usize| smooth.iter().find(|s| s.after == after);
        let (Some(before), Some(behind)) = (girth(rib - 1), girth(rib)) else { return Vec::new() };
        let spacer = if rib > 1 { self.spacer } else { 0.0 };
        let allowed = ODD * libm::hypot(bowl.settings.errors.width, 2f64.sqrt() * self.girth_sd) + GLUE;
        let odd = |i: usize| {
            let read = bowl.widths[rib - 1][i]?;
            let expected = before.girth[i] - behind.girth[i] - spacer;
            let off = OddReading { station: i, read, expected };
            ((read - expected).abs() > allowed).then_some(OddWidth { rib, off })
        };
        (0..self.width.len()).filter_map(odd).collect()
    }
}
