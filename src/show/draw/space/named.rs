//! The names of all that the rib in space shows, each with the place that it points to.

use nalgebra::Point3;

use super::shape::Rib;
use super::view::Stage;
use super::{NOTHING, Panel, Play, most};
use crate::joint::Clearance;
use crate::seat::Seated;
use crate::show::draw::labels::Label;

impl Play<'_> {
    /// How open the joint is, and what comes off.
    pub(super) fn opening(&self, stage: &Stage, panel: &Panel, rib: &Rib) -> Vec<Label> {
        let mut labels = vec![self.widest(Clearance::Gap, stage, panel, rib)];
        if let Some((at, most)) = panel.wood.and_then(most).filter(|(_, most)| *most > NOTHING) {
            let left = rib.without(self.scene, panel.wood.unwrap_or(&[]), self.factor);
            let place = nalgebra::center(&rib.edge().points()[at], &left.points()[at]);
            let words = format!("comes off: {} at {}", self.scene.job.unit.say(most), self.name(at));
            labels.push(Label { at: stage.at(&place), words });
        }
        labels
    }

    /// The widest place of a clearance in the first drawing, as it is in this one.
    fn widest(&self, of: Clearance, stage: &Stage, panel: &Panel, rib: &Rib) -> Label {
        let i = self.widest[usize::from(of == Clearance::Lift)];
        let value = panel.rib.rib.rest.clearances[i][of].max(0.0);
        let [a, b] = self.across(of, rib, i, value);
        let words = format!("{} {} at {}", of.name(), self.scene.job.unit.say(value), self.name(i));
        Label { at: stage.at(&nalgebra::center(&a, &b)), words }
    }

    /// The fitted rib and its face, which shows where the joint is open.
    pub(super) fn fitted(&self, stage: &Stage) -> [Label; 2] {
        let [far, joint, low, _] = &self.bowl.neighbour.rims;
        let last = self.scene.joint.len().saturating_sub(1);
        let (open, away) = (self.widest[0], (self.widest[0] + last / 2) % (last + 1));
        let beside = if open > 0 { open - 1 } else { last.min(1) };
        let face = joint.points()[beside] + (low.points()[beside] - joint.points()[beside]) * 0.4;
        let body = nalgebra::center(&far.points()[away], &joint.points()[away]);
        [
            Label { at: stage.at(&face), words: "joint surface".into() },
            Label { at: stage.at(&body), words: "neighbour".into() },
        ]
    }

    /// How far the outer edge stands off, where it lay, and what bears.
    pub(super) fn resting(&self, stage: &Stage, panel: &Panel, rib: &Rib) -> Vec<Label> {
        let mut labels = Vec::new();
        if self.scene.lifts {
            labels.push(self.widest(Clearance::Lift, stage, panel, rib));
        }
        let label = |p: &Point3<f64>, words: String| Label { at: stage.at(p), words };
        labels.extend(self.bears(panel.rib.rib).map(|(i, words)| label(&rib.edge().points()[i], words)));
        if let Some(former) = panel.former {
            let former = Rib::of(self.scene, former, self.factor);
            let at = former.outer()[0].points()[self.scene.joint.len() / 4];
            labels.push(label(&at, "outer edge as it lay".into()));
        }
        labels
    }

    /// The ends, the rib and the mold.
    pub(super) fn carried(&self, stage: &Stage, rib: &Rib) -> [Label; 4] {
        let last = self.scene.joint.len().saturating_sub(1);
        let [outer, low] = rib.outer();
        let [.., under, past] = &self.bowl.mold;
        let label = |p: &Point3<f64>, words: String| Label { at: stage.at(p), words };
        let middle = nalgebra::center(&rib.edge().points()[last / 4], &outer.points()[last / 4]);
        let mold = nalgebra::center(&under.points()[3 * last / 4], &past.points()[3 * last / 4]);
        [
            label(&low.points()[0], format!("neck ({})", self.name(0))),
            label(&low.points()[last], format!("tail ({})", self.name(last))),
            label(&middle, "rib".into()),
            label(&mold, "mold".into()),
        ]
    }

    /// Where the edge bears: each place, or one for all of many.
    fn bears(&self, rib: &Seated) -> impl Iterator<Item = (usize, String)> {
        let all = &rib.rest.bearings;
        let named = |i: usize| (i, format!("bears at {}", self.name(i)));
        let few = if all.len() <= 3 { all.iter().map(|i| named(*i)).collect() } else { Vec::new() };
        let many = all.get(all.len() / 2).filter(|_| all.len() > 3);
        few.into_iter().chain(many.map(|i| (*i, format!("bears at {} stations", all.len()))))
    }
}
