//! What is typed of a bowl, held against what is known of it: worth a second look while
//! the strip of paper still lies there, or refused where nothing can be made of it.

use crate::job::bowl::{Bowl, Mark};
use crate::job::{Job, Unit};

use super::divide::{divide, expected, when};

/// Why a figure is not taken as it was typed.
#[derive(Debug, Clone, PartialEq)]
pub enum Doubt {
    /// It can't be right together with what is written already.
    Cannot(String),
    /// It hardly can: it is kept if it is given twice.
    Hardly(String),
}

/// How far a figure may be from what is expected: mm, and a share of it. An assumption, no
/// source: wide enough for a mold that differs from the regular shape, far less than a
/// slip of a digit.
#[derive(Debug, Clone, Copy)]
struct Room(f64, f64);

impl Room {
    /// Expected by the regular shape alone.
    const LAID_OUT: Room = Room(8.0, 0.10);
    /// Expected by a girth that was read.
    const READ: Room = Room(4.0, 0.02);

    fn holds(self, expected: f64, found: f64) -> bool {
        (found - expected).abs() <= self.0 + self.1 * expected.abs()
    }
}

/// A girth that is being typed.
#[derive(Debug, Clone)]
pub struct TypedGirth<'a> {
    bowl: &'a Bowl,
    after: usize,
    expected: Vec<f64>,
}

impl<'a> TypedGirth<'a> {
    /// The girth read after so many ribs.
    pub fn new(bowl: &'a Bowl, after: usize) -> TypedGirth<'a> {
        TypedGirth { bowl, after, expected: expected(bowl, after).unwrap_or_default() }
    }

    /// What speaks against `mm` at a station (index).
    pub fn doubt(&self, station: usize, mm: f64) -> Option<Doubt> {
        self.more(station, mm).or_else(|| self.less(station, mm)).or_else(|| self.far(station, mm))
    }

    /// Every rib covers some of the girth: less is left than after fewer ribs.
    fn more(&self, station: usize, mm: f64) -> Option<Doubt> {
        let earlier = self.bowl.girths.iter().filter(|g| g.after < self.after);
        let least = earlier.filter_map(|g| Some((g.after, g.at.get(station).copied().flatten()?)));
        let (after, most) = least.min_by(|a, b| a.1.total_cmp(&b.1))?;
        (mm > most + self.slack()).then(|| Doubt::Cannot(self.order("more", (after, most), mm)))
    }

    fn less(&self, station: usize, mm: f64) -> Option<Doubt> {
        let later = self.bowl.girths.iter().filter(|g| g.after > self.after);
        let largest = later.filter_map(|g| Some((g.after, g.at.get(station).copied().flatten()?)));
        let (after, least) = largest.max_by(|a, b| a.1.total_cmp(&b.1))?;
        (mm < least - self.slack()).then(|| Doubt::Cannot(self.order("less", (after, least), mm)))
    }

    /// As the reader of the table allows.
    fn slack(&self) -> f64 {
        4.0 * self.bowl.settings.errors.girth
    }

    fn order(&self, word: &str, (after, other): (usize, f64), mm: f64) -> String {
        let say = |mm: f64| self.bowl.settings.unit.say(mm);
        format!(
            "{} is {word} than the {} that was read here {}, and every rib covers some. Measure again; if that one is \
             wrong, stop and correct it in girth.csv first.",
            say(mm),
            say(other),
            when(after)
        )
    }

    fn far(&self, station: usize, mm: f64) -> Option<Doubt> {
        let wanted = *self.expected.get(station)?;
        let whole = self.bowl.girths.iter().any(|g| g.after == 0);
        let (room, by) = match whole {
            true => (Room::READ, "by the girth from rim to rim"),
            false => (Room::LAID_OUT, "as the bowl is laid out"),
        };
        (!room.holds(wanted, mm)).then(|| {
            let unit = self.bowl.settings.unit;
            Doubt::Hardly(format!("About {} is left here {by}, not {}.", unit.say(wanted), unit.say(mm)))
        })
    }
}

/// The bowl with one more girth.
pub fn with_girth(bowl: &Bowl, after: usize, at: Vec<Option<f64>>) -> Bowl {
    let mut bowl = bowl.clone();
    bowl.girths.push(crate::job::bowl::Girth { after, at });
    bowl.girths.sort_by_key(|g| g.after);
    bowl
}

/// What comes off an outer edge, at the least and at the most, mm (common practice, no
/// source): a rib is sawn a few millimetres too wide.
const COMES_OFF: [f64; 2] = [-2.0, 8.0];

/// Marks that are being typed.
#[derive(Debug, Clone)]
pub struct TypedMarks {
    unit: Unit,
    /// From the joint edge to the line on the mold.
    lines: Vec<f64>,
    room: Room,
}

impl TypedMarks {
    /// Those of a bowl's joint.
    pub fn new(bowl: &Bowl, number: usize, job: &Job) -> TypedMarks {
        let read = bowl.girths.iter().any(|g| g.after == number);
        let shared = if read { divide(bowl, Some(number), false).ok() } else { None };
        let room = if shared.is_some() { Room::READ } else { Room::LAID_OUT };
        let fitted = bowl.settings.ribs.saturating_sub(1);
        let laid_out = || expected(bowl, fitted).unwrap_or_default();
        let half = bowl.settings.spacer.map_or(0.0, |s| s.width / 2.0);
        // The last rib's girth is a rib and its spacer.
        let last = |w: f64| w - 2.0 * half;
        let widths = shared.map_or_else(|| laid_out().into_iter().map(last).collect(), |d| d.next().to_vec());
        TypedMarks { unit: job.unit, lines: widths.iter().map(|w| w + half).collect(), room }
    }

    /// What speaks against the present edge, with its compass distance.
    pub fn edge(&self, compass: f64, edge: f64) -> Option<Doubt> {
        let off = edge - compass;
        if (COMES_OFF[0]..=COMES_OFF[1]).contains(&off) {
            return None;
        }
        let say = |mm: f64| self.unit.say(mm);
        Some(Doubt::Hardly(match off > 0.0 {
            true => format!("The edge would stand {} outside the line on the mold.", say(off)),
            false => format!("The edge would be {} short of the line on the mold already.", say(-off)),
        }))
    }

    /// What speaks against compass and reference together, at a station (index).
    pub fn line(&self, station: usize, mark: &Mark) -> Option<Doubt> {
        let (wanted, found) = (*self.lines.get(station)?, mark.compass + mark.reference);
        (!self.room.holds(wanted, found)).then(|| {
            let by = if self.room.1 < Room::LAID_OUT.1 { "by the girth" } else { "as the bowl is laid out" };
            Doubt::Hardly(format!(
                "Compass and reference together put the line {} from the joint edge; {by} it lies at about {}.",
                self.unit.say(found),
                self.unit.say(wanted)
            ))
        })
    }
}
