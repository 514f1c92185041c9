//! Faces of bodies, shaded by how they slope.

use nalgebra::{Point3, Vector3};

use super::super::sheet::{Point, Sheet};
use super::super::style::{Look, Pen, SHADES, shade};
use super::shape::Solid;
use super::view::{Line, Stage};

/// The faces of a body that can be seen: the outer one, the two narrow ones, the ends. The looks
/// are those of the whole body and of its second narrow face.
pub(super) fn solid(sheet: &mut Sheet, stage: &Stage, body: &Solid, look: Look, second: Look) {
    let [a, b, c, d] = &body.rims;
    for (from, to, look) in [(d, a, look), (b, c, second), (a, b, look)] {
        strip(sheet, stage, (from, to), look);
    }
    let last = a.points().len().saturating_sub(1);
    for (i, way) in [(0, -1.0), (last, 1.0)] {
        let corners = body.rims.each_ref().map(|l| l.points()[i]);
        let normal = (corners[1] - corners[0]).cross(&(corners[3] - corners[0])) * way;
        end(sheet, stage, &corners, normal, look);
    }
}

fn end(sheet: &mut Sheet, stage: &Stage, corners: &[Point3<f64>; 4], normal: Vector3<f64>, look: Look) {
    if let Some(level) = level(stage, normal) {
        let corners: Vec<Point> = corners.iter().map(|p| stage.at(p)).collect();
        sheet.outline(shaded(look, level), &corners);
    }
}

/// The surface between two lines, the second to the right of the first as one walks along it on
/// the outside: what of it faces the eye, in pieces of one shade.
pub(super) fn strip(sheet: &mut Sheet, stage: &Stage, (a, b): (&Line, &Line), look: Look) {
    let levels: Vec<Option<usize>> =
        (1..a.points().len()).map(|i| level(stage, normal(a, b, i - 1))).collect();
    let mut from = 0;
    for alike in levels.chunk_by(|x, y| x == y) {
        let to = from + alike.len();
        if let Some(level) = alike[0] {
            sheet.path(shaded(look, level), a.part(from, to).strip(&b.part(from, to), stage), true);
        }
        from = to;
    }
}

/// Outwards, at the middle of a piece.
fn normal(a: &Line, b: &Line, i: usize) -> Vector3<f64> {
    let ((p, along), (q, also)) = (a.on(i, 0.5), b.on(i, 0.5));
    (along + also).cross(&(q - p))
}

/// How dark a face is; none for one that is turned away, or is none.
fn level(stage: &Stage, normal: Vector3<f64>) -> Option<usize> {
    let normal = normal.try_normalize(1e-12)?;
    let light = normal.dot(&stage.eye.light()).max(0.0);
    let level = (1.25 * (1.0 - light) * SHADES as f64) as usize;
    (stage.eye.depth(&normal) > 0.0).then_some(level.min(SHADES - 1))
}

/// The look in one of its shades; a rim of the same colour closes the seams.
fn shaded(look: Look, level: usize) -> Look {
    let fill = look.fill.map(|colour| shade(colour, level));
    let rim = fill.map(|colour| Pen { colour, width: 0.6, dash: None });
    Look { fill, pen: rim, ..look }
}
