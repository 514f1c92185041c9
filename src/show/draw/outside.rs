//! The bowl from outside: its ribs from rim to rim, fitted, in work, waiting.

use super::axis::Axis;
use super::curve::Curve;
use super::frame::{MARGIN, SMALL, Sample, WIDTH, heading, key};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{GRAIN, LEADING, Look, NEIGHBOUR, RIB, RIB_EDGE, TARGET, TEXT};
use crate::bowl::divide::Division;
use crate::job::bowl::Bowl;
use crate::joint::Joint;
use crate::show::names::clean;

/// A rib on its place.
const FITTED: Look = Look { name: "fitted", pen: TARGET.pen, ..NEIGHBOUR };
/// The one in work.
const IN_WORK: Look = Look { name: "in-work", pen: RIB_EDGE.pen, ..RIB };
/// One that waits.
const WAITING: Look = Look { name: "waiting", fill: None, pen: GRAIN.pen, hatch: None };

/// Lowest strip that holds its number, pixels.
const NUMBERED: f64 = 13.0;

/// Draws the bowl's back from outside, neck end at the left, the first rib lowest: as wide as the
/// girth makes a half-round bowl. Marks by class: `fitted`, `in-work` and `waiting`, a rib each.
/// `in_work` is the rib's number.
pub fn outside(bowl: &Bowl, division: &Division, in_work: Option<usize>) -> Sheet {
    sheet(bowl, division, in_work, WIDTH)
}

/// The same for the screen of a phone.
pub fn narrow_outside(bowl: &Bowl, division: &Division, in_work: Option<usize>) -> Sheet {
    sheet(bowl, division, in_work, SMALL)
}

fn sheet(bowl: &Bowl, division: &Division, in_work: Option<usize>, width: f64) -> Sheet {
    let about = bowl.settings.title.as_deref().map_or_else(|| "The bowl".to_owned(), clean);
    let said = said(division, in_work);
    let title = format!("The bowl from outside: {about}");
    let mut sheet = Sheet::new("outside", width, title, said.clone());
    let y = heading(&mut sheet, "The bowl from outside", &said);
    let mut entries = vec![(Sample::Box(FITTED), "fitted")];
    entries.extend(in_work.map(|_| (Sample::Box(IN_WORK), "in work")));
    entries.push((Sample::Box(Look { fill: Some(sheet.paper()), ..WAITING }), "waits"));
    let top = key(&mut sheet, y, &entries);
    let back = Back::new(bowl, division, width, top);
    (0..division.ribs.len()).for_each(|k| back.rib(&mut sheet, k, look(division, in_work, k)));
    let ends = [(MARGIN, "neck", Anchor::Start), (width - MARGIN, "tail", Anchor::End)];
    for (x, words, anchor) in ends {
        sheet.text(Text::new(Point(x, back.bottom + LEADING), words, anchor));
    }
    sheet.height = back.bottom + 2.0 * LEADING;
    sheet
}

fn look(division: &Division, in_work: Option<usize>, k: usize) -> Look {
    match k {
        k if in_work == Some(k + 1) => IN_WORK,
        k if k < division.fitted => FITTED,
        _ => WAITING,
    }
}

fn said(division: &Division, in_work: Option<usize>) -> String {
    let all = division.ribs.len();
    let work = in_work.map(|k| format!(", rib {k} in work")).unwrap_or_default();
    format!("{} of {all} ribs fitted{work}", division.fitted)
}

/// The seams between the ribs on the sheet, from rim to rim.
struct Back {
    seams: Vec<Curve>,
    bottom: f64,
}

impl Back {
    fn new(bowl: &Bowl, division: &Division, width: f64, top: f64) -> Back {
        let along = places(bowl);
        let spacer = bowl.settings.spacer.map_or(0.0, |s| s.width);
        let seams: Vec<Vec<f64>> = (0..along.len()).map(|i| across(division, spacer, i)).collect();
        let half = seams.iter().map(|s| s.last().copied().unwrap_or(0.0)).fold(0.0, f64::max);
        let ends = (along.first().copied().unwrap_or(0.0), along.last().copied().unwrap_or(1.0));
        let x = Axis::new(ends, (MARGIN, width - MARGIN));
        let scale = (width - 2.0 * MARGIN) / (ends.1 - ends.0).max(1e-9);
        let middle = top + half * scale;
        let seam = |k: usize| {
            let points = along.iter().zip(&seams).map(|(a, s)| Point(x.at(*a), middle - scale * s[k]));
            Curve::through(&points.collect::<Vec<_>>())
        };
        Back { seams: (0..=division.ribs.len()).map(seam).collect(), bottom: middle + half * scale }
    }

    fn rib(&self, sheet: &mut Sheet, k: usize, look: Look) {
        let [lower, upper] = [&self.seams[k], &self.seams[k + 1]];
        sheet.path(look, upper.strip(lower), true).tip = Some(format!("rib {}", k + 1));
        let ends = lower.points().iter().zip(upper.points());
        let highest = ends.max_by(|a, b| (a.0.1 - a.1.1).total_cmp(&(b.0.1 - b.1.1)));
        if let Some((low, high)) = highest.filter(|(low, high)| low.1 - high.1 >= NUMBERED) {
            let at = Point(low.0, (low.1 + high.1) / 2.0 + 0.34 * TEXT);
            let size = if low.1 - high.1 > TEXT + 3.0 { TEXT } else { TEXT - 3.0 };
            sheet.text(Text::new(at, (k + 1).to_string(), Anchor::Middle).sized(size));
        }
    }
}

/// Where the stations lie along the bowl, mm; evenly where no joint tells.
fn places(bowl: &Bowl) -> Vec<f64> {
    let stations = bowl.settings.stations.len();
    match bowl.joints.iter().find(|j| j.job.stations.len() == stations) {
        Some(joint) => Joint::of(&joint.job).frames.iter().map(|f| f.joint.x).collect(),
        None => (0..stations).map(|i| i as f64).collect(),
    }
}

/// The seams across at a station, from the middle: the girth is half a circle, and is seen from
/// above.
fn across(division: &Division, spacer: f64, i: usize) -> Vec<f64> {
    let mut reach = vec![0.0];
    for rib in &division.ribs {
        reach.push(reach[reach.len() - 1] + rib.at[i] + spacer);
    }
    let girth = reach[reach.len() - 1].max(1e-9);
    let radius = girth / std::f64::consts::PI;
    reach.iter().map(|r| -radius * libm::cos(std::f64::consts::PI * r / girth)).collect()
}
