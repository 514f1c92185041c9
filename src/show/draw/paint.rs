//! Marks on plotters' bitmap: its rectangles, circles, polygons and dots.
//!
//! plotters places everything on whole dots, so the bitmap is drawn fine and
//! scaled down by [`super::raster`]. Lines are laid down piece by piece: a
//! whole curve as one outline would tear where its corners are rounded.

use std::io;
use std::ops::Range;

use ab_glyph::{Font, GlyphId, OutlinedGlyph, PxScale, point};
use plotters::backend::{BitMapBackend, DrawingBackend};
use plotters::style::{Color, RGBColor};

use super::flat::{dashes, flat};
use super::sheet::{Anchor, Element, Point, Shape, Step, Text};
use super::style::{Colour, Pen};
use super::text;

/// A strip of a sheet.
pub(super) struct Strip<'a> {
    back: BitMapBackend<'a>,
    /// Dots for each pixel of the sheet.
    scale: f64,
    /// The dots' rows of the whole sheet that it holds.
    rows: Range<f64>,
}

impl<'a> Strip<'a> {
    /// A strip from row `top` on, its dots in a buffer of three bytes each.
    pub(super) fn new(dots: &'a mut [u8], size: (u32, u32), scale: f64, top: u32) -> Self {
        Strip {
            rows: f64::from(top)..f64::from(top + size.1),
            back: BitMapBackend::with_buffer(dots, size),
            scale,
        }
    }

    /// Draws what of a mark lies in the strip.
    pub(super) fn mark(&mut self, mark: &Element) -> io::Result<()> {
        match &mark.shape {
            Shape::Circle(at, radius) => self.dot(mark, *at, *radius),
            Shape::Rect(at, w, h) => {
                let to = Point(at.0 + w, at.1 + h);
                if let Some(fill) = mark.fill {
                    self.rect(*at, to, fill)?;
                }
                let corners = [*at, Point(to.0, at.1), to, Point(at.0, to.1), *at];
                self.pen(&corners, mark.pen)
            }
            Shape::Path { steps, closed } => self.path(mark, steps, *closed),
            Shape::Text(text) => self.text(text),
        }
    }

    fn path(&mut self, mark: &Element, steps: &[Step], closed: bool) -> io::Result<()> {
        for line in flat(steps, closed) {
            if let Some(fill) = mark.fill {
                self.polygon(&line, fill)?;
            }
            self.pen(&line, mark.pen)?;
        }
        Ok(())
    }

    /// A circle; its outline lies half outside, half inside of the radius.
    fn dot(&mut self, mark: &Element, at: Point, radius: f64) -> io::Result<()> {
        let half = mark.pen.map_or(0.0, |pen| f64::from(pen.width) / 2.0);
        if let Some(pen) = mark.pen {
            self.disc(at, radius + half, pen.colour)?;
        }
        match mark.fill {
            Some(fill) => self.disc(at, radius - half, fill),
            None => Ok(()),
        }
    }

    fn pen(&mut self, line: &[Point], pen: Option<Pen>) -> io::Result<()> {
        let Some(pen) = pen else { return Ok(()) };
        match pen.dash {
            None => self.line(line, pen),
            Some(dash) => dashes(line, dash.map(f64::from)).iter().try_for_each(|dash| self.line(dash, pen)),
        }
    }

    /// A line with round corners and blunt ends.
    fn line(&mut self, line: &[Point], pen: Pen) -> io::Result<()> {
        let half = f64::from(pen.width) / 2.0;
        for pair in line.windows(2) {
            self.piece(pair[0], pair[1], half, pen.colour)?;
        }
        let ring = line.len() > 2 && line.first() == line.last();
        let corners = if ring { line } else { inner(line) };
        corners.iter().try_for_each(|p| self.disc(*p, half, pen.colour))
    }

    /// Whether anything between two heights on the sheet can show in the strip.
    fn shows(&self, top: f64, bottom: f64) -> bool {
        bottom * self.scale >= self.rows.start - 1.0 && top * self.scale <= self.rows.end + 1.0
    }

    /// A straight piece of a line.
    fn piece(&mut self, a: Point, b: Point, half: f64, colour: Colour) -> io::Result<()> {
        if !self.shows(a.1.min(b.1) - half, a.1.max(b.1) + half) {
            return Ok(());
        }
        if a.0 == b.0 {
            let (top, bottom) = (a.1.min(b.1), a.1.max(b.1));
            return self.rect(Point(a.0 - half, top), Point(a.0 + half, bottom), colour);
        }
        if a.1 == b.1 {
            let (left, right) = (a.0.min(b.0), a.0.max(b.0));
            return self.rect(Point(left, a.1 - half), Point(right, a.1 + half), colour);
        }
        // plotters counts the dots on both sides of a polygon as inside.
        let half = half - 0.5 / self.scale;
        let part = half / libm::hypot(b.0 - a.0, b.1 - a.1);
        let (x, y) = (part * (a.1 - b.1), part * (b.0 - a.0));
        let beside = |p: Point, way: f64| Point(p.0 + way * x, p.1 + way * y);
        let corners = [beside(a, 1.0), beside(b, 1.0), beside(b, -1.0), beside(a, -1.0)];
        self.polygon(&corners, colour)
    }

    fn rect(&mut self, a: Point, b: Point, colour: Colour) -> io::Result<()> {
        let dot = |v: f64| (v * self.scale).round();
        // The same width wherever it stands: rounded apart from the place.
        let (left, top) = (dot(a.0), dot(a.1) - self.rows.start);
        let (right, bottom) = (left + dot(b.0 - a.0), top + dot(b.1 - a.1));
        let corners = (whole(left, top), whole(right, bottom));
        let drawn = self.back.draw_rect(corners.0, corners.1, &rgb(colour), true);
        drawn.map_err(io::Error::other)
    }

    fn disc(&mut self, at: Point, radius: f64, colour: Colour) -> io::Result<()> {
        if !self.shows(at.1 - radius, at.1 + radius) {
            return Ok(());
        }
        let radius = (radius * self.scale - 0.5).round().max(0.0) as u32;
        let at = self.dot_at(at);
        let drawn = self.back.draw_circle(at, radius, &rgb(colour), true);
        drawn.map_err(io::Error::other)
    }

    fn polygon(&mut self, corners: &[Point], colour: Colour) -> io::Result<()> {
        // What lies outside the strip would be filled only to be thrown away.
        let (top, bottom) = ((self.rows.start - 2.0) / self.scale, (self.rows.end + 2.0) / self.scale);
        let corners = near(corners, top, bottom);
        let corners: Vec<(i32, i32)> = corners.iter().map(|p| self.dot_at(*p)).collect();
        let drawn = self.back.fill_polygon(corners, &rgb(colour));
        drawn.map_err(io::Error::other)
    }

    /// The dot that has a point in it.
    fn dot_at(&self, p: Point) -> (i32, i32) {
        let y = p.1 * self.scale - self.rows.start;
        whole((p.0 * self.scale).floor(), y.floor())
    }

    /// Letters, dot by dot as the font's outlines cover them: plotters' own
    /// text drops the blank before the first letter and knows no kerning.
    fn text(&mut self, text: &Text) -> io::Result<()> {
        let shift = match text.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -text.width() / 2.0,
            Anchor::End => -text.width(),
        };
        let (x, y) = self.dot_at(text.at);
        let shift = (shift * self.scale).round() as i32;
        // Upright, a dot's far side along the text is its upper side.
        let place = |along: i32, down: i32| match text.upright {
            false => (x + shift + along, y + down),
            true => (x + down, y - shift - along - 1),
        };
        letters(&text.words, text.size * self.scale, text.bold)
            .iter()
            .try_for_each(|letter| self.letter(letter, text.colour, place))
    }

    fn letter(
        &mut self,
        letter: &OutlinedGlyph,
        colour: Colour,
        place: impl Fn(i32, i32) -> (i32, i32),
    ) -> io::Result<()> {
        let bounds = letter.px_bounds();
        let (left, top) = (bounds.min.x as i32, bounds.min.y as i32);
        let corners = [place(left, top).1, place(bounds.max.x as i32, bounds.max.y as i32).1];
        let height = (self.rows.end - self.rows.start) as i32;
        if corners.iter().all(|y| *y < 0) || corners.iter().all(|y| *y > height) {
            return Ok(());
        }
        let (colour, mut done) = (rgb(colour), Ok(()));
        letter.draw(|i, j, cover| {
            if cover == 0.0 {
                return;
            }
            let at = place(left + i as i32, top + j as i32);
            let shade = colour.mix(f64::from(cover)).to_backend_color();
            if let Err(error) = self.back.draw_pixel(at, shade) {
                done = Err(io::Error::other(error));
            }
        });
        done
    }
}

/// A polygon without the corners that lie, with both their neighbours, on the
/// same side outside of two heights: between these it stays what it is.
fn near(corners: &[Point], top: f64, bottom: f64) -> Vec<Point> {
    let side = |i: usize| {
        let y = corners[i % corners.len()].1;
        i32::from(y > bottom) - i32::from(y < top)
    };
    let counts = |i: usize| side(i) == 0 || side(i + corners.len() - 1) != side(i) || side(i + 1) != side(i);
    (0..corners.len()).filter(|i| counts(*i)).map(|i| corners[i]).collect()
}

fn inner(line: &[Point]) -> &[Point] {
    line.get(1..line.len().saturating_sub(1)).unwrap_or(&[])
}

fn whole(x: f64, y: f64) -> (i32, i32) {
    (x as i32, y as i32)
}

fn rgb(colour: Colour) -> RGBColor {
    RGBColor(colour.0, colour.1, colour.2)
}

/// Between which heights on the sheet a mark lies, or a little further out.
pub(super) fn reach(mark: &Element) -> (f64, f64) {
    let pen = mark.pen.map_or(1.0, |pen| 1.0 + f64::from(pen.width));
    let (top, bottom) = match &mark.shape {
        Shape::Circle(at, radius) => (at.1 - radius, at.1 + radius),
        Shape::Rect(at, _, height) => (at.1, at.1 + height),
        Shape::Text(text) => {
            let around = text.size + if text.upright { text.width() } else { 0.0 };
            (text.at.1 - around, text.at.1 + around)
        }
        Shape::Path { steps, .. } => steps
            .iter()
            .flat_map(heights)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(top, bottom), y| (top.min(y), bottom.max(y))),
    };
    (top - pen, bottom + pen)
}

/// A curve lies within its control points.
fn heights(step: &Step) -> Vec<f64> {
    match *step {
        Step::Move(p) | Step::Line(p) => vec![p.1],
        Step::Cubic(a, b, p) => vec![a.1, b.1, p.1],
    }
}

/// The letters of a text from the origin, its base line along x, y down: all
/// that cover something.
fn letters(words: &str, size: f64, bold: bool) -> Vec<OutlinedGlyph> {
    let Some(font) = text::font(bold) else {
        return Vec::new();
    };
    // The font's own scale is its line height.
    let em = f64::from(font.units_per_em().unwrap_or(1000.0));
    let scale = PxScale::from((size * f64::from(font.height_unscaled()) / em) as f32);
    let letter = |(id, at): (GlyphId, f64)| {
        let place = point((at * size) as f32, 0.0);
        font.outline_glyph(id.with_scale_and_position(scale, place))
    };
    text::set(words, font).0.into_iter().filter_map(letter).collect()
}
