//! The whole bowl: how wide the ribs become, where their outer edges are marked,
//! the strips between them, slivers under them, and what moisture does.
//!
//! The ribs of a bowl are numbered from one rim to the other. Joint `k` is where
//! rib `k + 1` meets rib `k`; a spacer, if there is one, lies in each joint. So a
//! girth, measured along the mold from the outer edge of rib `k` to the far rim,
//! holds `N - k` ribs and as many spacers, and with no rib fitted `N` ribs and
//! `N - 1` spacers.
//!
//! * [`shape`]: regular bowls, from an outline, a depth and a number of ribs.
//! * [`layout`]: such a bowl as settings and joints, for a maker to start with.
//! * [`divide`]: what is left of the girth, shared out.
//! * [`doubt`]: what is typed, held against what is known.
//! * [`line`](mod@line): a gently curved line through single readings.
//! * [`mark`]: the outer edge's marks, and the strokes down to them.
//! * [`spacer`]: its length, how hard it is bent, where tacks go.
//! * [`shim`]: where a rib stands off its mold by itself.
//! * [`moisture`]: how a width moves.

pub mod divide;
pub mod doubt;
pub mod layout;
pub mod line;
pub mod mark;
pub mod moisture;
pub mod shape;
pub mod shim;
pub mod spacer;
pub mod tacks;

/// A width across a rib along a mold that curves under it, from the straight
/// width: the arc over a chord of `width` mm at `curvature` (1/mm).
pub fn along_mold(width: f64, curvature: f64) -> f64 {
    let half = (width * curvature / 2.0).clamp(-1.0, 1.0);
    if half.abs() < 1e-9 { width } else { width * libm::asin(half) / half }
}

/// The straight width of a rib that measures `arc` along the mold.
pub fn straight(arc: f64, curvature: f64) -> f64 {
    let half = arc * curvature / 2.0;
    if half.abs() < 1e-9 { arc } else { arc * libm::sin(half) / half }
}
