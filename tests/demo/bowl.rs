//! The demo bowl: an invented oud bowl with joints at different stages, its girths,
//! widths and marks, written as a maker would have.

use std::fs;
use std::path::Path;

use ribwright::bowl::along_mold;
use ribwright::job::Job;
use ribwright::job::bowl::{BowlErrors, BowlSettings, Grain, Spacer};
use ribwright::joint::Joint;
use ribwright::practice::dice::Dice;
use ribwright::practice::rib::KnownJoint;
use ribwright::record::{Style, write_bowl};

use super::trial::{self, Demo};
use super::{Recipe, oud};

/// Its folder.
pub const BOWL_DEMO: &str = "bowl";
/// Joints that have rounds.
const BEGUN: usize = 3;
const STATIONS: usize = 13;
const SPACER: Spacer = Spacer { width: 1.2, height: 2.5 };

/// The demo bowl with everything that is known about it.
#[derive(Debug, Clone)]
pub struct DemoBowl {
    /// For `bowl.toml`.
    pub settings: BowlSettings,
    /// The joints that were begun, as they really are.
    pub begun: Vec<Demo>,
    /// All joints as their files tell them.
    pub joints: Vec<Job>,
    /// How wide every rib is as laid out, along the mold, mm.
    pub plan: Vec<f64>,
    /// How far the outer edges of the first ribs really lie past their lines, mm.
    pub past: Vec<Vec<f64>>,
}

/// Makes it.
pub fn demo_bowl() -> DemoBowl {
    let begun: Vec<Demo> = recipes().iter().map(trial::work).collect();
    let waiting = (BEGUN + 1..oud().ribs).map(|joint| {
        let known = KnownJoint::new(&oud(), joint, STATIONS, 1);
        let recipe = Recipe { title: "", ..fitted(0) };
        Job { title: Some(title(joint)), ..super::usual(&known, &recipe) }
    });
    let joints: Vec<Job> = begun.iter().map(|d| d.job.clone()).chain(waiting).collect();
    let joints: Vec<Job> =
        (joints.into_iter().enumerate()).map(|(k, job)| Job { title: Some(title(k + 1)), ..job }).collect();
    let frames = Joint::of(&joints[0]).frames;
    let plan = joints[0].stations.iter().zip(&frames).map(|(s, f)| along_mold(s.width, f.across_curvature));
    let settings = BowlSettings {
        title: Some("Oud bowl of 15 ribs (invented)".into()),
        ribs: oud().ribs,
        wood: Some("black walnut".into()),
        thickness: Some(1.6),
        grain: Some(Grain::Radial),
        spacer: Some(SPACER),
        moisture: [Some(9.0), Some(7.0)],
        errors: BowlErrors::default(),
        stations: joints[0].stations.iter().map(|s| s.name.clone()).collect(),
        ..BowlSettings::default()
    };
    DemoBowl { settings, begun, plan: plan.collect(), joints, past: past() }
}

fn title(joint: usize) -> String {
    format!("Oud bowl of 15 ribs, joint {joint} (invented)")
}

fn recipes() -> [Recipe; BEGUN] {
    let second = Recipe {
        plane: [0.45, -0.08, 0.12],
        waves: &[[0.1, 2.0, 2.2], [0.05, 3.0, 0.4]],
        strokes: &[&[(0, 3, 1), (8, 12, 2)], &[(0, 12, 1)], &[]],
        ..fitted(14)
    };
    let third = Recipe {
        plane: [0.7, 0.12, 0.15],
        waves: &[[0.3, 2.0, 0.6], [0.2, 3.0, 2.0]],
        spring: 0.45,
        strokes: &[&[(0, 3, 1), (5, 8, 2), (10, 12, 1)], &[(4, 9, 1)]],
        ..fitted(7)
    };
    [fitted(13), second, third]
}

/// A joint that comes out fitted.
fn fitted(seed: u64) -> Recipe {
    Recipe { name: BOWL_DEMO, title: "", joint: 1, seed, ..super::fitted() }
}

/// Outer edges of ribs 1 to 3 past their lines.
fn past() -> Vec<Vec<f64>> {
    let shape = |shift: f64, lean: f64| move |i: usize| shift + lean * (i as f64 / 6.0 - 1.0);
    let edge = |(shift, lean): (f64, f64)| (0..STATIONS).map(shape(shift, lean)).collect();
    [(0.2, 0.1), (0.45, 0.05), (0.75, -0.15)].map(edge).to_vec()
}

impl DemoBowl {
    /// Really from the outer edge of rib `after` to the far rim.
    pub fn girth(&self, after: usize, station: usize) -> f64 {
        let left = (self.settings.ribs - after) as f64;
        let spacers = (self.settings.ribs - after.max(1)) as f64 * SPACER.width;
        let past = after.checked_sub(1).map_or(0.0, |rib| self.past[rib][station]);
        left * self.plan[station] + spacers - past
    }

    /// Writes it into `dir`, which holds none of that name yet.
    pub fn write(&self, dir: &Path) {
        let folder = dir.join(BOWL_DEMO);
        let style = Style { readings: 2, geometry: 1, ..Style::default() };
        write_bowl(&self.settings, &self.joints, &[], &folder, &style).expect("written");
        let mut dice = Dice::new(45_106);
        let tables = [
            ("girth.csv", self.girths(&mut dice)),
            ("widths.csv", self.widths(&mut dice)),
            ("time.csv", "joint,minutes,note\n1,55,\n2,35,\n3,25,not done\n".into()),
            ("outline.csv", outline()),
            ("joints/02/marks.csv", self.marks(&mut dice)),
        ];
        for (name, text) in tables {
            fs::write(folder.join(name), text).expect("written");
        }
    }

    fn rows(&self, header: &str, mut row: impl FnMut(usize, &str) -> String) -> String {
        let names = self.settings.stations.iter().enumerate();
        let rows: String = names.map(|(i, name)| row(i, name)).collect();
        format!("{header}{rows}")
    }

    /// To half a millimetre, as a strip of paper is read.
    fn girths(&self, dice: &mut Dice) -> String {
        let mut text = String::from("after,station,girth\n");
        for after in 0..=BEGUN {
            text += &self.rows("", |i, name| {
                let read = self.girth(after, i) + self.settings.errors.girth * dice.normal();
                format!("{after},{name},{:.1}\n", (2.0 * read).round() / 2.0)
            });
        }
        text
    }

    fn widths(&self, dice: &mut Dice) -> String {
        let mut text = String::from("rib,station,width\n");
        for rib in 1..=BEGUN {
            text += &self.rows("", |i, name| {
                let before = rib.checked_sub(2).map_or(0.0, |r| self.past[r][i]);
                // A joint takes a tenth more than its spacer.
                let joint = if rib > 1 { 0.1 } else { 0.0 };
                let really = self.plan[i] + self.past[rib - 1][i] - before - joint;
                format!("{rib},{name},{:.1}\n", really + self.settings.errors.width * dice.normal())
            });
        }
        text
    }

    /// Rib 3 with its outer edge sawn, measured from a reference line.
    fn marks(&self, dice: &mut Dice) -> String {
        let errors = self.settings.errors;
        self.rows("station,compass,edge,reference\n", |i, name| {
            // Near the ends the rib is too narrow for a line on it.
            let reference = if self.plan[i] > 15.0 { 10.0 } else { 0.0 };
            let line = self.plan[i] - reference + SPACER.width / 2.0 - 0.1;
            let sawn = self.plan[i] - reference + 0.9 + 0.3 * libm::sin(0.8 * i as f64);
            let (line, sawn) = (line + errors.compass * dice.normal(), sawn + errors.edge * dice.normal());
            format!("{name},{line:.1},{sawn:.1},{reference:.0}\n")
        })
    }
}

/// The opening of the same mold, for a bowl to lay out.
fn outline() -> String {
    let mold = oud();
    let place = |i: usize| {
        let x = mold.length * i as f64 / 24.0;
        let half = if i == 0 || i == 24 { 0.0 } else { mold.joint_point(0, x).y };
        format!("{x:.0},{half:.1}\n")
    };
    format!("along,half_width\n{}", (0..=24).map(place).collect::<String>())
}
