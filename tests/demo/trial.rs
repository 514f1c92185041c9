//! One demo joint worked through: seat, read, plane, again.

use std::f64::consts::{PI, TAU};

use ribwright::job::{Against, Job, Reading, Round, Stroke, Unit};
use ribwright::joint::Clearances;
use ribwright::practice::dice::Dice;
use ribwright::practice::rib::{ExactPose, KnownJoint, Wood};
use ribwright::sole::{Bed, Push};

use super::Recipe;

/// A demo joint with everything that is known about it.
#[derive(Debug, Clone)]
pub struct Demo {
    /// Name of its folder or, for a single table, of its file.
    pub name: &'static str,
    /// The joint as its files tell it.
    pub job: Job,
    /// The joint, exactly.
    pub known: KnownJoint,
    /// The rounds as they really were.
    pub trials: Vec<Trial>,
    /// The surface aimed at when planing, as wood beyond the joint surface on the grid, mm.
    pub target: Vec<f64>,
}

/// One round as it really was; every list holds one value a grid point, mm.
#[derive(Debug, Clone)]
pub struct Trial {
    /// The wood that was read.
    pub wood: Wood,
    /// How the rib lay.
    pub pose: ExactPose,
    /// Gap, seat and lift, exactly.
    pub clearances: Vec<Clearances>,
    /// What the strokes after the round took.
    pub cut: Vec<f64>,
}

/// Grid points from one station to the next.
const REFINE: usize = 4;
/// How far single shavings are off their plane's own, as a share.
const SHAVING_SPREAD: f64 = 0.15;
/// Feelers come in steps, mm.
const STEP: f64 = 0.05;
/// The largest error of the line drawn on the mold, mm.
const LINE_ERROR: f64 = 0.5;

/// Works a recipe through all its rounds.
pub(super) fn work(recipe: &Recipe) -> Demo {
    let known = KnownJoint::new(&recipe.mold, recipe.joint, recipe.stations, REFINE);
    let [shift, taper, turn] = recipe.plane;
    let job = super::usual(&known, recipe);
    let target = known.planar(shift, taper, turn);
    let blank = blank(recipe, &known, &target);
    let mut demo = Demo { name: recipe.name, job, known, trials: Vec::new(), target };
    let mut dice = Dice::new(recipe.seed);
    demo.seat_and_read(recipe, blank, &mut dice);
    for strokes in recipe.strokes {
        let left = demo.plane(strokes, &mut dice);
        demo.seat_and_read(recipe, left, &mut dice);
    }
    if let Some(station) = recipe.slip {
        demo.mistype(station);
    }
    demo
}

/// The blank's wood: its own plane, waves, and what a flat edge is short of or has too much.
fn blank(recipe: &Recipe, known: &KnownJoint, plane: &[f64]) -> Wood {
    let length = known.arc.last().copied().unwrap_or(1.0);
    let wave = |s: f64, [size, number, phase]: [f64; 3]| size * libm::sin(PI * number * s / length + phase);
    let waves = |s: f64| recipe.waves.iter().map(|w| wave(s, *w)).sum::<f64>();
    let bend = known.out_of_plane();
    let edge = |i: usize| plane[i] + waves(known.arc[i]) - if recipe.flat { bend[i] } else { 0.0 };
    Wood {
        edge: (0..plane.len()).map(edge).collect(),
        spring: known.arc.iter().map(|s| recipe.spring * libm::sin(TAU * s / length + 1.0)).collect(),
    }
}

impl Demo {
    /// The wood as it is after everything that was planed.
    pub fn wood(&self) -> Option<&Wood> {
        self.trials.last().map(|t| &t.wood)
    }

    fn seat_and_read(&mut self, recipe: &Recipe, wood: Wood, dice: &mut Dice) {
        // Against a line the rib is laid on the mold as it should lie in the end.
        let (pose, clearances) = match recipe.against {
            Against::Neighbour => self.known.seat(&wood, ExactPose::default()),
            Against::Line => (ExactPose::default(), self.known.held(&wood, &ExactPose::default())),
        };
        let readings = self.read(&self.known.at_stations(&clearances), recipe.against, dice);
        self.job.rounds.push(Round { against: recipe.against, rebent: false, readings, strokes: Vec::new() });
        let cut = vec![0.0; wood.edge.len()];
        self.trials.push(Trial { wood, pose, clearances, cut });
    }

    fn read(&self, clearances: &[Clearances], against: Against, dice: &mut Dice) -> Vec<Reading> {
        let errors = &self.job.reading;
        let step = if self.job.unit == Unit::Inch { 25.4 * 0.001 } else { STEP };
        let in_steps = |v: f64| (v / step).round() * step;
        let mut one = |(i, c): (usize, &Clearances)| {
            let overlap = match against {
                Against::Neighbour => -in_steps((c.gap + errors.gap * dice.normal()).max(0.0)),
                Against::Line => in_steps(self.line_error(i) - c.gap + errors.line * dice.normal()),
            };
            let lift = in_steps((c.lift + errors.lift * dice.normal()).max(0.0));
            Reading { overlap: Some(overlap), lift: Some(lift), ..Reading::default() }
        };
        clearances.iter().enumerate().map(&mut one).collect()
    }

    /// How far the drawn line is off at a station, mm.
    fn line_error(&self, station: usize) -> f64 {
        let share = station as f64 / (self.job.stations.len() - 1) as f64;
        LINE_ERROR * libm::sin(PI * share)
    }

    /// Planes strokes and records them; returns the wood that is left.
    fn plane(&mut self, strokes: &[(usize, usize, u32)], dice: &mut Dice) -> Wood {
        let stroke =
            |&(from, to, count): &(usize, usize, u32)| Stroke { plane: 0, from, to, count, shaving: None };
        let strokes: Vec<Stroke> = strokes.iter().map(stroke).collect();
        let before = self.trials.last().map(|t| t.wood.clone()).unwrap_or_default();
        let uneven = || 1.0 + SHAVING_SPREAD * dice.normal();
        let left = self.planed(&before.edge, &self.target, &strokes, uneven);
        if let (Some(trial), Some(round)) = (self.trials.last_mut(), self.job.rounds.last_mut()) {
            trial.cut = before.edge.iter().zip(&left).map(|(b, l)| b - l).collect();
            round.strokes = strokes;
        }
        Wood { edge: left, ..before }
    }

    /// An edge (grid, mm) after strokes towards the surface `target` (grid, mm),
    /// each push `uneven()` times its plane's shaving.
    pub fn planed(
        &self,
        edge: &[f64],
        target: &[f64],
        strokes: &[Stroke],
        mut uneven: impl FnMut() -> f64,
    ) -> Vec<f64> {
        let mut height: Vec<f64> = edge.iter().zip(target).map(|(e, t)| e - t).collect();
        for stroke in strokes {
            let plane = &self.job.planes[stroke.plane];
            let bend = self.known.curvature.iter().copied();
            let bed = Bed::new(&self.known.arc, bend, plane.sole, plane.width);
            for _ in 0..stroke.count {
                let shaving = plane.shaving * uneven().max(0.1);
                let push = Push { shaving, first: stroke.from * REFINE, last: stroke.to * REFINE };
                let cut = bed.cut(&height, push);
                height.iter_mut().zip(cut).for_each(|(h, c)| *h -= c);
            }
        }
        height.iter().zip(target).map(|(h, t)| h + t).collect()
    }

    fn mistype(&mut self, station: usize) {
        if let Some(round) = self.job.rounds.last_mut() {
            let overlap = &mut round.readings[station].overlap;
            *overlap = overlap.map(|o| 10.0 * o);
        }
    }
}
