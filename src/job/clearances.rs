//! The three clearances of a rib at a station, and one value for each of them.

use std::ops::{Index, IndexMut};

/// A clearance of the rib at a station.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clearance {
    /// Of the joint edge off the neighbour or the line, along the rib.
    Gap,
    /// Of the joint edge off the mold.
    Seat,
    /// Of the outer edge off the mold.
    Lift,
}

impl Clearance {
    /// All three, in the order in which they stand in lists.
    pub const ALL: [Clearance; 3] = [Clearance::Gap, Clearance::Seat, Clearance::Lift];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Clearance::Gap => "gap",
            Clearance::Seat => "seat",
            Clearance::Lift => "lift",
        }
    }
}

/// One value for each clearance at one station; plain numbers are mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Clearances<T = f64> {
    /// The gap's.
    pub gap: T,
    /// The seat's.
    pub seat: T,
    /// The lift's.
    pub lift: T,
}

impl<T> Clearances<T> {
    /// The value that `value` gives to each.
    pub fn each(mut value: impl FnMut(Clearance) -> T) -> Clearances<T> {
        let [gap, seat, lift] = Clearance::ALL.map(&mut value);
        Clearances { gap, seat, lift }
    }

    /// The values with what they are of.
    pub fn into_pairs(self) -> [(Clearance, T); 3] {
        [(Clearance::Gap, self.gap), (Clearance::Seat, self.seat), (Clearance::Lift, self.lift)]
    }
}

impl<T: Copy> Clearances<T> {
    /// Rows of three values, station by station, as a solver lists them; a rest of one or two is
    /// left out.
    pub fn rows(flat: &[T]) -> Vec<Clearances<T>> {
        flat.chunks_exact(3).map(|c| Clearances { gap: c[0], seat: c[1], lift: c[2] }).collect()
    }
}

impl Clearances {
    /// The clearances of a rib in a pose that gives a perfect rib these: wood beyond the joint
    /// surface closes the gap, spring lifts the outer edge; all in mm.
    pub fn of_wood(self, edge: f64, spring: f64) -> Clearances {
        Clearances { gap: self.gap - edge, seat: self.seat, lift: self.lift + spring }
    }
}

impl<T> Index<Clearance> for Clearances<T> {
    type Output = T;

    fn index(&self, of: Clearance) -> &T {
        match of {
            Clearance::Gap => &self.gap,
            Clearance::Seat => &self.seat,
            Clearance::Lift => &self.lift,
        }
    }
}

impl<T> IndexMut<Clearance> for Clearances<T> {
    fn index_mut(&mut self, of: Clearance) -> &mut T {
        match of {
            Clearance::Gap => &mut self.gap,
            Clearance::Seat => &mut self.seat,
            Clearance::Lift => &mut self.lift,
        }
    }
}
