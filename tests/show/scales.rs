//! What pictures are put together from: scales, curves, straight pieces, the eye, letters, hatching.

use nalgebra::{Point3, Vector3};
use proptest::collection::vec;
use proptest::prelude::*;
use ribwright::show::draw::axis::{Axis, spread};
use ribwright::show::draw::curve::{Curve, runs, through};
use ribwright::show::draw::flat::{dashes, flat};
use ribwright::show::draw::sheet::{Anchor, Point, Shape, Sheet, Step, Text};
use ribwright::show::draw::space::spaced;
use ribwright::show::draw::space::view::{Eye, Line, Stage, View};
use ribwright::show::draw::style::NOW;

fn numbers(axis: Axis, apart: f64) -> Vec<String> {
    axis.ticks(apart).into_iter().map(|(_, number)| number).collect()
}

#[test]
fn ticks_are_round_and_within() {
    let axis = Axis::new((0.0, 0.7), (300.0, 0.0));
    assert_eq!(numbers(axis, 40.0), ["0.0", "0.1", "0.2", "0.3", "0.4", "0.5", "0.6", "0.7"]);
    assert_eq!(numbers(Axis::new((12.0, 492.0), (0.0, 900.0)), 100.0).len(), 4);
    assert_eq!(numbers(Axis::new((5.0, 5.0), (0.0, 100.0)), 60.0), ["5"]);
    assert_eq!(numbers(Axis::new((0.0, 0.012), (0.0, 100.0)), 40.0), ["0.000", "0.005", "0.010"]);
}

#[test]
fn a_widened_scale_keeps_its_places() {
    let right = Axis::new((2.0, 6.0), (20.0, 100.0));
    assert!((right.widened(10.0).at(3.0) - right.at(3.0)).abs() < 1e-12);
}

#[test]
fn spread_places_keep_their_order_gap_and_bounds() {
    for places in [vec![5.0, 5.0, 5.0, 80.0], vec![0.0, 1.0, 2.0, 3.0], vec![97.0, 98.0, 99.0]] {
        let out = spread(&places, 10.0, 0.0, 100.0);
        assert!(out.windows(2).all(|p| p[1] - p[0] >= 10.0 - 1e-9), "{out:?}");
        assert!(out[0] >= 0.0 && out[out.len() - 1] <= 100.0);
    }
    assert_eq!(spread(&[10.0, 50.0], 10.0, 0.0, 100.0), [10.0, 50.0]);
}

fn height(from: Point, step: &Step, t: f64) -> f64 {
    let Step::Cubic(a, b, c) = step else { panic!("cubic pieces only") };
    let u = 1.0 - t;
    u * u * u * from.1 + 3.0 * u * u * t * a.1 + 3.0 * u * t * t * b.1 + t * t * t * c.1
}

#[test]
fn the_curve_meets_every_point_and_never_passes_beyond_two_neighbours() {
    let ys = [0.0, 0.0, 5.0, 5.2, 1.0, 0.0, 0.0, 3.0];
    let xs = [0.0, 1.0, 1.5, 4.0, 4.1, 6.0, 7.0, 9.0];
    let points: Vec<Point> = xs.iter().zip(ys).map(|(x, y)| Point(*x, y)).collect();
    for (pair, step) in points.windows(2).zip(&through(&points)[1..]) {
        assert_eq!(height(pair[0], step, 1.0), pair[1].1);
        let (low, high) = (pair[0].1.min(pair[1].1), pair[0].1.max(pair[1].1));
        for i in 0..=20 {
            let y = height(pair[0], step, f64::from(i) / 20.0);
            assert!(y >= low - 1e-12 && y <= high + 1e-12);
        }
    }
}

/// Heights of a curve, so many a piece.
fn sampled(curve: &Curve) -> Vec<f64> {
    let steps = curve.steps();
    let pieces = curve.points().iter().zip(&steps[1..]);
    pieces.flat_map(|(p, step)| (0..=20).map(|i| height(*p, step, f64::from(i) / 20.0))).collect()
}

proptest! {
    /// Wood is only taken: whatever edge, and whatever comes off it stroke by stroke, no edge lies
    /// anywhere over the one before, and each meets its own heights.
    #[test]
    fn the_edge_after_a_stroke_lies_nowhere_over_the_edge_before(
        edge in vec((0.1..50.0, -5.0..5.0), 2..30),
        strokes in vec(vec(prop_oneof![Just(0.0), 0.0..2.0], 30), 1..6),
    ) {
        let mut x = 0.0;
        let points: Vec<Point> = edge.iter().map(|(step, y)| { x += step; Point(x, *y) }).collect();
        let mut before = Curve::through(&points);
        for taken in &strokes {
            let down = &taken[..points.len()];
            let after = before.lowered(down);
            for ((p, q), d) in before.points().iter().zip(after.points()).zip(down) {
                prop_assert!((q.1 - p.1 - d).abs() < 1e-12 && q.0 == p.0);
            }
            // Down the sheet is less wood.
            for (b, a) in sampled(&before).iter().zip(sampled(&after)) {
                prop_assert!(a >= b - 1e-9, "{a} over {b}");
            }
            before = after;
        }
    }
}

#[test]
fn a_straight_row_stays_straight() {
    let points: Vec<Point> = [0.0, 1.0, 5.0, 7.0].map(|x| Point(x, 2.0 * x)).to_vec();
    for (pair, step) in points.windows(2).zip(&through(&points)[1..]) {
        assert!((height(pair[0], step, 0.5) - (pair[0].0 + pair[1].0)).abs() < 1e-12);
    }
}

#[test]
fn gaps_part_the_runs() {
    let point = |x| Some(Point(x, 0.0));
    let runs = runs([None, point(1.0), point(2.0), None, None, point(3.0)]);
    assert_eq!(runs.iter().map(Vec::len).collect::<Vec<_>>(), [2, 1]);
}

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
        let middle = Point((pair[0].0 + pair[1].0) / 2.0, (pair[0].1 + pair[1].1) / 2.0);
        let off = middle.0.hypot(middle.1) - r;
        // A twentieth of a pixel, far below what shows.
        assert!(off.abs() < 0.05 + 0.0003 * r, "{off}");
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

/// Right, down on the sheet, and towards the eye, of each direction of the joint's frame.
fn seen(view: View) -> [[f64; 3]; 3] {
    let eye = Eye::of(view);
    [Vector3::x(), Vector3::y(), Vector3::z()].map(|v| {
        let flat = eye.flat(&v);
        [flat.0, -flat.1, eye.depth(&v)]
    })
}

#[test]
fn the_eye_sees_square_and_true() {
    for (turn, tilt) in [(0.0, 0.0), (18.0, 42.0), (-70.0, 85.0), (180.0, 30.0)] {
        let seen = seen(View { turn, tilt });
        for (i, j) in (0..3).flat_map(|i| (0..3).map(move |j| (i, j))) {
            let dot: f64 = seen.iter().map(|v| v[i] * v[j]).sum();
            assert!((dot - f64::from(u8::from(i == j))).abs() < 1e-12);
        }
    }
    let side = Eye::of(View { turn: 0.0, tilt: 0.0 });
    assert_eq!(side.flat(&Vector3::x()), Point(1.0, 0.0));
    assert_eq!(side.flat(&Vector3::z()), Point(0.0, -1.0));
    assert!((side.depth(&Vector3::y()) - 1.0).abs() < 1e-12);
    // From above, what is nearer to the maker is lower on the sheet.
    let above = Eye::of(View { turn: 0.0, tilt: 90.0 }).flat(&Vector3::y());
    assert!(above.0.abs() < 1e-12 && (above.1 - 1.0).abs() < 1e-12);
}

#[test]
fn a_stage_fits_and_keeps_to_its_corners() {
    let points = [(0.0, 0.0, 0.0), (400.0, 30.0, 10.0), (200.0, -20.0, 150.0)];
    let points = points.map(|(x, y, z)| Point3::new(x, y, z));
    for view in [View::default(), View { turn: 60.0, tilt: 10.0 }] {
        let stage = Stage::fitting(Eye::of(view), &points, Point(20.0, 50.0), Point(940.0, 350.0));
        for p in points.map(|p| stage.at(&p)) {
            assert!(p.0 >= 20.0 - 1e-9 && p.0 <= 940.0 + 1e-9, "{p:?}");
            assert!(p.1 >= 50.0 - 1e-9 && p.1 <= 350.0 + 1e-9, "{p:?}");
        }
    }
}

/// On a helix, seen along its axis, the curve stays within a thousandth of its radius.
#[test]
fn a_line_follows_a_smooth_curve() {
    let helix = |t: f64| Point3::new(50.0 * t, 100.0 * t.cos(), 100.0 * t.sin());
    let points: Vec<Point3<f64>> = (0..=20).map(|i| helix(0.15 * f64::from(i))).collect();
    let eye = Eye::of(View { turn: 90.0, tilt: 0.0 });
    let stage = Stage::fitting(eye, &points, Point(0.0, 0.0), Point(1000.0, 1000.0));
    let centre = stage.at(&Point3::origin());
    let steps = Line::through(points).steps(&stage);
    let mut from = match steps[0] {
        Step::Move(p) => p,
        other => panic!("{other:?}"),
    };
    for step in &steps[1..] {
        let Step::Cubic(a, b, to) = *step else { panic!("cubic pieces only") };
        let middle = |p: f64, a: f64, b: f64, q: f64| (p + 3.0 * a + 3.0 * b + q) / 8.0;
        let x = middle(from.0, a.0, b.0, to.0) - centre.0;
        let y = middle(from.1, a.1, b.1, to.1) - centre.1;
        assert!((x.hypot(y) / stage.scale - 100.0).abs() < 0.1, "{x} {y}");
        from = to;
    }
    assert_eq!(steps.len(), 21);
}

#[test]
fn what_is_chosen_is_even_and_has_both_ends() {
    assert_eq!(spaced(3, 8), [0, 1, 2]);
    assert_eq!(spaced(31, 4), [0, 10, 20, 30]);
    assert_eq!(spaced(31, 2), [0, 30]);
}

fn wide(words: &str, size: f64, bold: bool) -> f64 {
    let text = Text::new(Point(0.0, 0.0), words, Anchor::Start).sized(size);
    if bold { text.bold().width() } else { text.width() }
}

/// From the font's own tables: 2048 units an em, advance of zero 1171, of
/// a space 532, height of capitals 1462.
#[test]
fn widths_are_those_of_the_font() {
    assert!((wide("0000", 100.0, false) - 4.0 * 117_100.0 / 2048.0).abs() < 0.01);
    assert!((wide(" ", 100.0, false) - 53_200.0 / 2048.0).abs() < 0.01);
    assert!(wide("bold", 14.0, true) > wide("bold", 14.0, false));
}

#[test]
fn hatching_stays_inside_and_rises() {
    for (width, height) in [(12.0, 200.0), (300.0, 12.0), (5.0, 5.0), (0.0, 10.0)] {
        let mut sheet = Sheet::new("test", 400.0, String::new(), String::new());
        sheet.rect(NOW, Point(10.0, 20.0), Point(10.0 + width, 20.0 + height), String::new());
        let hatch = sheet.marks.iter().find(|m| m.name == "hatch").expect("hatched");
        let Shape::Path { steps, closed: false } = &hatch.shape else { panic!("{:?}", hatch.shape) };
        assert!(!steps.is_empty() || width.min(height) < 6.0);
        for pair in steps.chunks(2) {
            let [Step::Move(low), Step::Line(high)] = pair else { panic!("pairs only") };
            for p in [low, high] {
                assert!(p.0 >= 10.0 - 1e-9 && p.0 <= 10.0 + width + 1e-9);
                assert!(p.1 >= 20.0 - 1e-9 && p.1 <= 20.0 + height + 1e-9);
            }
            assert!((high.0 - low.0 - (low.1 - high.1)).abs() < 1e-9);
        }
    }
}
