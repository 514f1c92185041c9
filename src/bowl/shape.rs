//! A regular bowl: an outline, a depth, and ribs that are equally wide.
//!
//! Every cross section is half an ellipse over the opening, of the same proportions
//! all along, so every joint line lies in a plane through the bowl's axis. Where the
//! depth is half the width the bowl is round: for `N` ribs over 180 degrees every
//! rib is `2 R sin(90/N)` wide and every joint mitred by `90/N` degrees where the
//! outline runs level, at half width `R`.

use std::f64::consts::PI;

use crate::job::bowl::OutlinePoint;
use crate::job::{Angle, Mold, Station};
use crate::maths::spline::Spline;

/// The outline of a bowl's opening: half its width along its axis, mm.
#[derive(Debug, Clone)]
pub enum Outline {
    /// `half_width sin(pi u^p)^0.8` over `u = x / length`, with `p` such that it is
    /// widest at `widest`.
    Numbers {
        /// From end to end.
        length: f64,
        /// Half the largest width.
        half_width: f64,
        /// From the neck end to the widest place.
        widest: f64,
    },
    /// Line measured places.
    Table(Curve),
}

/// A smooth outline through measured places.
#[derive(Debug, Clone)]
pub struct Curve {
    from: f64,
    to: f64,
    /// The half width's square, which stays smooth where an end is blunt.
    square: Spline,
}

/// The widest place's share of the length, for a start (common practice, no source).
pub const WIDEST: f64 = 0.58;
/// How bluntly the outline of numbers ends (invented).
const BLUNT: f64 = 0.8;
/// Stations keep this share of the length from the ends, where ribs run to a point.
const MARGIN: f64 = 0.03;

impl Outline {
    /// The outline through measured places, four at least, in growing order.
    pub fn through(points: &[OutlinePoint]) -> Outline {
        let along: Vec<f64> = points.iter().map(|p| p.along).collect();
        let square: Vec<f64> = points.iter().map(|p| p.half_width.powi(2)).collect();
        let (from, to) = (along.first().copied().unwrap_or(0.0), along.last().copied().unwrap_or(1.0));
        Outline::Table(Curve { from, to, square: Spline::through(&along, &square) })
    }

    /// Both ends, mm along the axis.
    pub fn ends(&self) -> [f64; 2] {
        match self {
            Outline::Numbers { length, .. } => [0.0, *length],
            Outline::Table(curve) => [curve.from, curve.to],
        }
    }

    /// Half width at `x`, mm from the neck end, and its slope (mm per mm).
    pub fn at(&self, x: f64) -> (f64, f64) {
        match self {
            Outline::Numbers { length, half_width, widest } => {
                let p = libm::log(0.5f64) / libm::log(widest / length);
                let u = (x / length).clamp(1e-9, 1.0 - 1e-9);
                let (sine, cosine) = libm::sincos(PI * libm::pow(u, p));
                let value = half_width * libm::pow(sine.max(1e-12), BLUNT);
                let inner = PI * p * libm::pow(u, p - 1.0) / length;
                (value, value * BLUNT * cosine / sine.max(1e-12) * inner)
            }
            Outline::Table(curve) => {
                let at = curve.square.at(x);
                let value = at.value.max(1e-6).sqrt();
                (value, at.first / (2.0 * value))
            }
        }
    }

    /// The largest half width and where it is, to a thousandth of the length.
    pub fn widest(&self) -> (f64, f64) {
        let [from, to] = self.ends();
        let along = |i: usize| from + (to - from) * i as f64 / 1000.0;
        let width = |i| (self.at(along(i)).0, along(i));
        (1..1000).map(width).fold((0.0, from), |best, w| if w.0 > best.0 { w } else { best })
    }
}

/// A regular bowl.
#[derive(Debug, Clone)]
pub struct Shape {
    /// The opening.
    pub outline: Outline,
    /// Depth over half width: 1 is round.
    pub ratio: f64,
    /// Ribs from rim to rim.
    pub ribs: usize,
    /// Shape across a rib.
    pub mold: Mold,
}

/// A joint line in its own plane.
struct Line {
    /// Parameter of the ellipse.
    parameter: f64,
    /// Angle of the plane from the opening.
    angle: f64,
    /// Distance from the axis, of the half width.
    scale: f64,
}

impl Shape {
    /// Joint line `j`, from 0 and `ribs`, the rims.
    fn line(&self, j: usize) -> Line {
        let parameter = self.parameter(j);
        let (sine, cosine) = libm::sincos(parameter);
        let deep = self.ratio * sine;
        Line { parameter, angle: libm::atan2(deep, cosine), scale: libm::hypot(deep, cosine) }
    }

    /// The ellipse's parameter at line `j`: equal lengths of the ellipse lie between lines.
    fn parameter(&self, j: usize) -> f64 {
        let share = j as f64 / self.ribs as f64;
        if self.ratio == 1.0 {
            return PI * share;
        }
        const STEPS: usize = 2000;
        let speed = |t: f64| libm::hypot(libm::sin(t), self.ratio * libm::cos(t));
        // The midpoint rule over a whole half period is exact to rounding.
        let step = PI / STEPS as f64;
        let pieces: Vec<f64> = (0..STEPS).map(|i| speed((i as f64 + 0.5) * step) * step).collect();
        let wanted = share * pieces.iter().sum::<f64>();
        let mut gone = 0.0;
        for (i, piece) in pieces.iter().enumerate() {
            if gone + piece >= wanted {
                return (i as f64 + (wanted - gone) / piece) * step;
            }
            gone += piece;
        }
        PI
    }

    /// The stations of joint `j` (1 to `ribs - 1`), evenly along the axis, as a maker
    /// would measure them; `count` of them, by the given names.
    pub fn stations(&self, j: usize, names: &[String]) -> Vec<Station> {
        let [from, to] = self.outline.ends();
        let margin = MARGIN * (to - from);
        let step = (to - from - 2.0 * margin) / (names.len().max(2) - 1) as f64;
        let lines = [self.line(j), self.line(j + 1)];
        let station =
            |(i, name): (usize, &String)| self.station(&lines, from + margin + step * i as f64, name);
        names.iter().enumerate().map(station).collect()
    }

    fn station(&self, [here, next]: &[Line; 2], x: f64, name: &str) -> Station {
        let (half, slope) = self.outline.at(x);
        let (z, dz) = (here.scale * half, here.scale * slope);
        let climb = libm::hypot(dz, 1.0);
        let turn = next.angle - here.angle;
        // In the plane through the joint point that the rib's cross direction lies in:
        // `across` along the joint plane's normal, `down` against the outward normal.
        let down = self.down(next, x, (z, dz), turn);
        let across = (z - down / climb) * libm::tan(turn);
        let leans = self.mold == Mold::Round;
        let lean = |line: &Line, x: f64| Angle::radians(self.lean(line, here.angle, x));
        Station {
            name: name.to_owned(),
            along: x,
            width: libm::hypot(across, down),
            bevel: Angle::radians(libm::atan2(down, across)),
            rise: Some(z),
            outer_bevel: leans.then(|| lean(next, x + down * dz / climb)),
            inner_bevel: leans.then(|| lean(here, x)),
            out_of_plane: None,
        }
    }

    /// Newton's method for where the cross direction's plane meets the next line.
    fn down(&self, next: &Line, x: f64, (z, dz): (f64, f64), turn: f64) -> f64 {
        let climb = libm::hypot(dz, 1.0);
        let mut down = z - next.scale * self.outline.at(x).0 * libm::cos(turn);
        for _ in 0..60 {
            let (half, slope) = self.outline.at(x + down * dz / climb);
            let miss = (z - down / climb) / libm::cos(turn) - next.scale * half;
            let by = -1.0 / (climb * libm::cos(turn)) - next.scale * slope * dz / climb;
            let step = miss / by;
            down -= step.clamp(-0.2 * z, 0.2 * z);
            if step.abs() < 1e-10 {
                break;
            }
        }
        down
    }

    /// Lean of the mold's normal on a line at `x`, from the plane at an angle.
    fn lean(&self, line: &Line, plane: f64, x: f64) -> f64 {
        let slope = self.outline.at(x).1;
        let (sine, cosine) = libm::sincos(line.parameter);
        let (out, deep) = (cosine, sine / self.ratio);
        let size = (slope * slope + out * out + deep * deep).sqrt();
        libm::asin(((deep * libm::cos(plane) - out * libm::sin(plane)) / size).clamp(-1.0, 1.0))
    }
}
