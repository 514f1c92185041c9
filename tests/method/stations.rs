//! Joints written out station by station.

use ribwright::job::{Angle, Job, Station};
use ribwright::joint::Joint;

/// So many stations `apart` mm from each other along the chord, with `rise` mm over it; 30 mm wide,
/// mitred by 0.1.
pub fn evenly(count: usize, apart: f64, rise: impl Fn(usize) -> f64) -> Vec<Station> {
    let station = |i: usize| Station {
        name: i.to_string(),
        along: apart * i as f64,
        width: 30.0,
        bevel: Angle::radians(0.1),
        rise: Some(rise(i)),
        ..Station::default()
    };
    (0..count).map(station).collect()
}

/// A rise of 80 mm in the middle of seven stations.
pub fn arched(i: usize) -> f64 {
    80.0 - 80.0 * ((i as f64 - 3.0) / 3.0).powi(2)
}

pub fn joint(stations: Vec<Station>) -> Joint {
    Joint::of(&Job { stations, ..Job::default() })
}
