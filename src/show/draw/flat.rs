//! A path as straight pieces: what a bitmap can draw.

use super::sheet::{Point, Step};

/// Most that straight pieces may stray from the curve, pixels: far below what
/// shows.
const STRAY: f64 = 0.05;

/// The path's lines, unbroken from one [`Step::Move`] to the next; each ends
/// where it began when `closed`.
pub(super) fn flat(steps: &[Step], closed: bool) -> Vec<Vec<Point>> {
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
    let second = |p: Point, q: Point, r: Point| (p.0 - 2.0 * q.0 + r.0).hypot(p.1 - 2.0 * q.1 + r.1);
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
pub(super) fn dashes(line: &[Point], [on, off]: [f64; 2]) -> Vec<Vec<Point>> {
    let mut dashes = vec![line.iter().take(1).copied().collect::<Vec<Point>>()];
    let (mut drawn, mut left) = (true, on);
    for pair in line.windows(2) {
        let (mut at, length) = (0.0, (pair[1].0 - pair[0].0).hypot(pair[1].1 - pair[0].1));
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

#[cfg(test)]
mod tests {
    use super::*;

    fn length(line: &[Point]) -> f64 {
        let piece = |p: &[Point]| (p[1].0 - p[0].0).hypot(p[1].1 - p[0].1);
        line.windows(2).map(piece).sum()
    }

    /// A cubic that comes within 0.03 % of a quarter of a circle, by the
    /// constant 0.5523 for it in common use (no source).
    #[test]
    fn pieces_keep_to_the_curve() {
        let (r, k) = (100.0, 55.23);
        let steps = [Step::Move(Point(r, 0.0)), Step::Cubic(Point(r, k), Point(k, r), Point(0.0, r))];
        let lines = flat(&steps, false);
        let quarter = std::f64::consts::FRAC_PI_2 * r;
        assert!((length(&lines[0]) - quarter).abs() < 0.001 * quarter);
        for pair in lines[0].windows(2) {
            let middle = between(pair[0], pair[1], 0.5);
            let off = middle.0.hypot(middle.1) - r;
            assert!(off.abs() < STRAY + 0.0003 * r, "{off}");
        }
    }

    #[test]
    fn lines_part_at_moves_and_close() {
        let corner = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0)].map(|(x, y)| Point(x, y));
        let [a, b, c] = corner;
        let steps = [Step::Move(a), Step::Line(b), Step::Line(c), Step::Move(b)];
        assert_eq!(flat(&steps, false), [vec![a, b, c], vec![b]]);
        assert_eq!(flat(&steps[..3], true), [vec![a, b, c, a]]);
    }

    #[test]
    fn dashes_go_round_corners_and_keep_their_lengths() {
        let line = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)].map(|(x, y)| Point(x, y));
        let dashes = dashes(&line, [7.0, 2.0]);
        let lengths: Vec<f64> = dashes.iter().map(|d| length(d)).collect();
        assert_eq!(lengths, [7.0, 7.0, 2.0]);
        assert_eq!(dashes[1], [Point(9.0, 0.0), line[1], Point(10.0, 6.0)]);
    }
}
