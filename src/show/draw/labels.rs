//! What things are, in words beside them: a row over the drawing and one under it, each word with
//! a line to its place.

use super::axis::spread;
use super::frame::MARGIN;
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{BEARING, LEADER, Look, TEXT};
use super::text::{fitted, width};

/// Blank between two labels.
const APART: f64 = 12.0;
/// Widest label.
const LONGEST: f64 = 230.0;

/// A place on the sheet and what is there.
pub(super) struct Label {
    pub(super) at: Point,
    pub(super) words: String,
}

/// Draws labels on one base line, over their places or under them: the first ones first, and of
/// the rest as many as there is room for. Returns the words of those that have none.
pub(super) fn row(sheet: &mut Sheet, y: f64, labels: Vec<Label>, over: bool) -> Vec<String> {
    let room = sheet.width - 2.0 * MARGIN;
    let mut shown: Vec<(Label, f64)> = Vec::new();
    let (mut taken, mut left) = (0.0, Vec::new());
    for label in labels {
        let words = fitted(&label.words, TEXT, false, LONGEST.min(room / 2.0 - APART));
        let wide = width(&words, TEXT, false) + APART;
        if taken + wide <= room {
            taken += wide;
            shown.push((Label { words, ..label }, wide));
        } else {
            left.push(label.words);
        }
    }
    shown.sort_by(|a, b| a.0.at.0.total_cmp(&b.0.at.0));
    let end = if over { y + 4.0 } else { y - TEXT };
    for ((label, _), x) in shown.iter().zip(places(&shown, room)) {
        sheet.line(LEADER, &[Point(x, end), label.at]);
        sheet.dot(Look { name: "leader-end", ..BEARING }, label.at, 2.4);
        sheet.text(Text::new(Point(x, y), label.words.as_str(), Anchor::Middle));
    }
    left
}

/// Middles of labels, as near to their places as their widths allow.
fn places(shown: &[(Label, f64)], room: f64) -> Vec<f64> {
    // Without the labels' own widths all of them may stand anywhere between the margins.
    let before = |k: usize| shown[..k].iter().map(|(_, wide)| wide).sum::<f64>() + shown[k].1 / 2.0;
    let free: Vec<f64> = shown.iter().enumerate().map(|(k, (label, _))| label.at.0 - before(k)).collect();
    let all: f64 = shown.iter().map(|(_, wide)| wide).sum();
    let spread = spread(&free, 0.0, MARGIN, MARGIN + room - all);
    spread.iter().enumerate().map(|(k, x)| x + before(k)).collect()
}
