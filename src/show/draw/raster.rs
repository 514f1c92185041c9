//! A sheet as PNG.

use std::io;

use tiny_skia::{FillRule, Paint, Path, PathBuilder, Pixmap, Rect, Stroke, StrokeDash, Transform};

use super::sheet::{Anchor, Mark, Point, Shape, Sheet, Step, Text};
use super::style::{Colour, Pen};
use super::text;

impl Sheet {
    /// The picture as PNG, `scale` dots for each pixel of the sheet.
    ///
    /// # Errors
    ///
    /// When the picture is too large for memory.
    pub fn png(&self, scale: u32) -> io::Result<Vec<u8>> {
        self.pixels(scale)?.encode_png().map_err(io::Error::other)
    }

    /// The picture in dots.
    fn pixels(&self, scale: u32) -> io::Result<Pixmap> {
        let side = |length: f64| length.ceil() as u32 * scale;
        let large = || io::Error::other("the picture is too large");
        let mut map = Pixmap::new(side(self.width), side(self.height)).ok_or_else(large)?;
        map.fill(colour(self.paper()));
        let scale = Transform::from_scale(scale as f32, scale as f32);
        self.marks
            .iter()
            .for_each(|mark| draw(&mut map, mark, scale));
        Ok(map)
    }
}

fn draw(map: &mut Pixmap, mark: &Mark, scale: Transform) {
    let turned = match &mark.shape {
        Shape::Text(text) => scale.pre_concat(standing(text)),
        _ => scale,
    };
    let Some(path) = form(&mark.shape) else {
        return;
    };
    if let Some(fill) = mark.fill {
        map.fill_path(&path, &paint(fill), FillRule::Winding, turned, None);
    }
    if let Some(pen) = mark.pen {
        map.stroke_path(&path, &paint(pen.colour), &stroke(pen), turned, None);
    }
}

/// From a text that starts at the origin to where it stands.
fn standing(text: &Text) -> Transform {
    let shift = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -text.width() / 2.0,
        Anchor::End => -text.width(),
    };
    let place = Transform::from_translate(text.at.0 as f32, text.at.1 as f32);
    let turn = if text.upright { -90.0 } else { 0.0 };
    place.pre_rotate(turn).pre_translate(shift as f32, 0.0)
}

fn form(shape: &Shape) -> Option<Path> {
    match shape {
        Shape::Path { steps, closed } => path(steps, *closed),
        Shape::Circle(c, r) => PathBuilder::from_circle(c.0 as f32, c.1 as f32, *r as f32),
        Shape::Rect(c, w, h) => {
            let rect = Rect::from_xywh(c.0 as f32, c.1 as f32, *w as f32, *h as f32)?;
            Some(PathBuilder::from_rect(rect))
        }
        Shape::Text(text) => path(&text::outline(&text.words, text.size, text.bold), true),
    }
}

fn path(steps: &[Step], closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    let f = |p: Point| (p.0 as f32, p.1 as f32);
    for step in steps {
        match *step {
            Step::Move(p) => path.move_to(f(p).0, f(p).1),
            Step::Line(p) => path.line_to(f(p).0, f(p).1),
            Step::Quad(a, p) => path.quad_to(f(a).0, f(a).1, f(p).0, f(p).1),
            Step::Cubic(a, b, p) => {
                path.cubic_to(f(a).0, f(a).1, f(b).0, f(b).1, f(p).0, f(p).1);
            }
        }
    }
    if closed {
        path.close();
    }
    path.finish()
}

fn colour(colour: Colour) -> tiny_skia::Color {
    tiny_skia::Color::from_rgba8(colour.0, colour.1, colour.2, 255)
}

fn paint(inside: Colour) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color(colour(inside));
    paint
}

fn stroke(pen: Pen) -> Stroke {
    let dash = pen
        .dash
        .and_then(|dash| StrokeDash::new(dash.to_vec(), 0.0));
    let line_join = tiny_skia::LineJoin::Round;
    Stroke {
        width: pen.width,
        line_join,
        dash,
        ..Stroke::default()
    }
}
