//! What wood taken comes to.

use super::grade::Grade;
use super::parts::{Answer, Lesson};
use super::words;
use crate::maths::program::Failure;

impl Lesson {
    /// The answer for wood taken at each station; its `why` and `chosen` are the lesson's.
    pub(super) fn weigh(&self, taken: Vec<f64>) -> Result<Answer, Failure> {
        let after = self.rib.lie(&taken)?;
        // As the bench defines too much: against closing everything, half the lift's tolerance left.
        let least = self.rib.least(0.0, self.aim.lift.map(|lift| lift / 2.0))?;
        let (wood, least_wood) = (self.rib.mean(&taken), self.rib.mean(&least));
        let mut answer = Answer {
            chosen: String::new(),
            verdict: Grade::of(&self.aim, &self.before, &after, wood, least_wood),
            taken,
            least,
            wood,
            least_wood,
            after,
            edges: None,
            happened: String::new(),
            compared: String::new(),
            why: String::new(),
            beside: Vec::new(),
        };
        answer.happened = words::happened(self, &answer);
        answer.compared = words::compared(self, &answer);
        Ok(answer)
    }
}
