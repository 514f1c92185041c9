//! A path as straight pieces: what a bitmap can draw.

use super::sheet::{Point, Step};

/// Most that straight pieces may stray from the curve, pixels: far below what
/// shows.
const STRAY: f64 = 0.05;

/// The path's lines, unbroken from one [`Step::Move`] to the next; each ends
/// where it began when `closed`.
pub fn flat(steps: &[Step], closed: bool) -> Vec<Vec<Point>> {
    let mut lines: Vec<Vec<Point>> = Vec::new();
    for step in steps {
        match (*step, lines.last_mut()) {
            (Step::Line(p), Some(line)) => line.push(p),
            (Step::Cubic(a, b, p), Some(line)) => bend(line, a, b, p),
            (Step::Move(p) | Step::Line(p) | Step::Cubic(_, _, p), _) => lines.push(vec![p]),
        }
    }
    if closed {
        lines.iter_mut().for_each(|line| line.push(line[0]));
    }
    lines
}

/// Appends a cubic curve from the line's end. As many equal steps as keep
/// within [`STRAY`] by the second differences of the control points: the bound
/// for a piecewise linear approximation of a Bézier curve ascribed to G. Wang
/// (1984), from memory.
fn bend(line: &mut Vec<Point>, a: Point, b: Point, to: Point) {
    let from = line[line.len() - 1];
    let second = |p: Point, q: Point, r: Point| libm::hypot(p.0 - 2.0 * q.0 + r.0, p.1 - 2.0 * q.1 + r.1);
    let most = second(from, a, b).max(second(a, b, to));
    let pieces = (6.0 * most / (8.0 * STRAY)).sqrt().ceil().max(1.0);
    line.extend((1..=pieces as u32).map(|i| {
        let (t, u) = (f64::from(i) / pieces, 1.0 - f64::from(i) / pieces);
        let (f, g, h, k) = (u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t);
        let mix = |c: fn(Point) -> f64| f * c(from) + g * c(a) + h * c(b) + k * c(to);
        Point(mix(|p| p.0), mix(|p| p.1))
    }));
}

/// The dashes along a line: so long each, so much left out before the next.
pub fn dashes(line: &[Point], [on, off]: [f64; 2]) -> Vec<Vec<Point>> {
    let mut dashes = vec![line.iter().take(1).copied().collect::<Vec<Point>>()];
    let (mut drawn, mut left) = (true, on);
    for pair in line.windows(2) {
        let (mut at, length) = (0.0, libm::hypot(pair[1].0 - pair[0].0, pair[1].1 - pair[0].1));
        while length - at > left {
            at += left;
            let p = between(pair[0], pair[1], at / length);
            match dashes.last_mut() {
                Some(dash) if drawn => dash.push(p),
                _ => dashes.push(vec![p]),
            }
            drawn = !drawn;
            left = if drawn { on } else { off };
        }
        left -= length - at;
        if let Some(dash) = dashes.last_mut().filter(|_| drawn) {
            dash.push(pair[1]);
        }
    }
    dashes
}

fn between(a: Point, b: Point, part: f64) -> Point {
    Point(a.0 + part * (b.0 - a.0), a.1 + part * (b.1 - a.1))
}
