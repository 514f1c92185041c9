//! Choices worth looking at, and whether one can be taken.

use super::choice::{Ask, Choice, Refused};
use super::parts::Lesson;

impl Lesson {
    /// A few choices worth looking at, right and wrong ones, where nobody is asked.
    pub fn tries(&self) -> Vec<Choice> {
        match &self.ask {
            Ask::One { options } => (0..options.len()).map(Choice::One).collect(),
            Ask::Pushes { planes, .. } => {
                let each = |count| (0..planes.len()).map(move |plane| Choice::Pushes { plane, count });
                [3, 6, 12].into_iter().flat_map(each).collect()
            }
            Ask::Shavings { shaving, most } => self.planed(*shaving, *most),
        }
    }

    /// At the daylight, or nothing where there is hardly any; at a bearing; the least wood in whole shavings, and twice that.
    fn planed(&self, shaving: f64, most: u32) -> Vec<Choice> {
        let least = self.rib.least(0.0, self.aim.lift.map(|lift| lift / 2.0)).unwrap_or_default();
        let times = |k: f64| {
            let whole = least.iter().map(|r| ((k * r / shaving).round() as u32).min(most));
            Choice::Shavings(whole.collect())
        };
        let alone = |at: Option<usize>| {
            Choice::Shavings((0..self.stations.len()).map(|i| if at == Some(i) { 3 } else { 0 }).collect())
        };
        let daylight = self.aim.lift.is_none().then_some(self.before.widest_gap().0);
        vec![alone(daylight), alone(self.before.bearings.first().copied()), times(1.0), times(2.0)]
    }

    pub(super) fn check(&self, choice: &Choice) -> Result<(), Refused> {
        let within = |given: u32, most: u32| match given > most {
            true => Err(Refused::TooMany { given, most }),
            false => Ok(()),
        };
        let there = |given: usize, there: usize| match given < there {
            true => Ok(()),
            false => Err(Refused::NoSuch { given: given + 1, there }),
        };
        match (&self.ask, choice) {
            (Ask::Shavings { most, .. }, Choice::Shavings(counts)) => {
                let (given, stations) = (counts.len(), self.stations.len());
                if given != stations {
                    return Err(Refused::Stations { given, stations });
                }
                within(counts.iter().copied().max().unwrap_or(0), *most)
            }
            (Ask::Pushes { planes, most }, Choice::Pushes { plane, count }) => {
                there(*plane, planes.len())?;
                within(*count, *most)
            }
            (Ask::One { options }, Choice::One(one)) => there(*one, options.len()),
            _ => Err(Refused::OtherKind),
        }
    }
}
