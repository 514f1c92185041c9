//! A sheet of marks: what a picture is, before it becomes SVG or PNG.

use super::style::{Colour, HATCH, INK, Look, PAPER, Pen, TEXT};
use super::text;

/// A place on the sheet, pixels right and down from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point(pub f64, pub f64);

/// One step of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Start anew.
    Move(Point),
    /// Straight to.
    Line(Point),
    /// Along a cubic curve, by its two control points.
    Cubic(Point, Point, Point),
}

/// Where a text stands from its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// A piece of text on its base line.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Where the anchor is, on the base line.
    pub at: Point,
    /// The words.
    pub words: String,
    /// One em in pixels.
    pub size: f64,
    /// In bold letters.
    pub bold: bool,
    /// Which part of it is at `at`.
    pub anchor: Anchor,
    /// Turned to read upwards.
    pub upright: bool,
    /// Colour of the letters.
    pub colour: Colour,
}

impl Text {
    /// Words in ink, in plain letters of the usual size.
    pub fn new(at: Point, words: impl Into<String>, anchor: Anchor) -> Self {
        Text { at, words: words.into(), size: TEXT, bold: false, anchor, upright: false, colour: INK }
    }

    /// The same in bold letters.
    pub fn bold(self) -> Self {
        Text { bold: true, ..self }
    }

    /// The same turned to read upwards.
    pub fn upright(self) -> Self {
        Text { upright: true, ..self }
    }

    /// The same with an em of so many pixels.
    pub fn sized(self, size: f64) -> Self {
        Text { size, ..self }
    }

    /// Width along the base line, pixels.
    pub fn width(&self) -> f64 {
        text::width(&self.words, self.size, self.bold)
    }
}

/// The form of a mark.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A path, closed or open.
    Path {
        /// Its steps.
        steps: Vec<Step>,
        /// Whether its ends are joined.
        closed: bool,
    },
    /// A circle.
    Circle(Point, f64),
    /// A rectangle: upper left corner, width, height.
    Rect(Point, f64, f64),
    /// Words.
    Text(Text),
}

/// A mark with its look and, for people who point at it, its meaning.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    /// The form.
    pub shape: Shape,
    /// Class in SVG.
    pub name: &'static str,
    /// Colour inside.
    pub fill: Option<Colour>,
    /// Outline.
    pub pen: Option<Pen>,
    /// Shown when pointed at, in SVG.
    pub tip: Option<String>,
}

/// A picture: its size in pixels, its name and description for screen readers,
/// its marks in the order they are drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// One word for it, fit for the name of a file and for ids in a page.
    pub name: String,
    /// Width, pixels.
    pub width: f64,
    /// Height, pixels.
    pub height: f64,
    /// What the picture is, in a few words.
    pub title: String,
    /// What it shows, in a sentence or two.
    pub desc: String,
    /// The marks.
    pub marks: Vec<Element>,
}

impl Sheet {
    /// An empty sheet of paper; the height may be set later.
    pub fn new(name: impl Into<String>, width: f64, title: String, desc: String) -> Self {
        Sheet { name: name.into(), width, height: 0.0, title, desc, marks: Vec::new() }
    }

    /// Adds a shape with a look.
    pub fn add(&mut self, look: Look, shape: Shape) -> &mut Element {
        let (fill, pen) = (look.fill, look.pen);
        self.marks.push(Element { shape, name: look.name, fill, pen, tip: None });
        let last = self.marks.len() - 1;
        &mut self.marks[last]
    }

    /// A line through points, unbroken.
    pub fn line(&mut self, look: Look, points: &[Point]) -> &mut Element {
        self.add(look, Shape::Path { steps: joined(points), closed: false })
    }

    /// A path as it is.
    pub fn path(&mut self, look: Look, steps: Vec<Step>, closed: bool) -> &mut Element {
        self.add(look, Shape::Path { steps, closed })
    }

    /// A filled outline through points.
    pub fn outline(&mut self, look: Look, points: &[Point]) -> &mut Element {
        self.add(look, Shape::Path { steps: joined(points), closed: true })
    }

    /// A rectangle between two corners, with the look's hatching.
    pub fn rect(&mut self, look: Look, a: Point, b: Point, tip: String) {
        let corner = Point(a.0.min(b.0), a.1.min(b.1));
        let (width, height) = ((a.0 - b.0).abs(), (a.1 - b.1).abs());
        let inside = Look { pen: None, ..look };
        self.add(inside, Shape::Rect(corner, width, height)).tip = Some(tip);
        if let Some(pen) = look.hatch {
            let hatch = Look { name: "hatch", fill: None, pen: Some(pen), hatch: None };
            self.path(hatch, hatching(corner, width, height), false);
        }
        if look.pen.is_some() {
            let frame = Look { name: "outline", fill: None, ..look };
            self.add(frame, Shape::Rect(corner, width, height));
        }
    }

    /// A dot of a radius.
    pub fn dot(&mut self, look: Look, at: Point, radius: f64) -> &mut Element {
        self.add(look, Shape::Circle(at, radius))
    }

    /// Words, written last and so on top.
    pub fn text(&mut self, text: Text) {
        let look = Look { name: "text", fill: Some(text.colour), pen: None, hatch: None };
        self.add(look, Shape::Text(text));
    }

    /// The colour of the paper.
    pub fn paper(&self) -> Colour {
        PAPER
    }
}

fn joined(points: &[Point]) -> Vec<Step> {
    let step = |(i, &p): (usize, &Point)| if i == 0 { Step::Move(p) } else { Step::Line(p) };
    points.iter().enumerate().map(step).collect()
}

/// Rising lines that fill a rectangle and end at its sides.
fn hatching(corner: Point, width: f64, height: f64) -> Vec<Step> {
    let Point(left, top) = corner;
    let count = ((width + height) / HATCH).ceil() as usize;
    // Line k runs where (x - left) + (y - top) = k * HATCH.
    let ends = (1..count).map(|k| {
        let sum = k as f64 * HATCH;
        let low = Point(left + (sum - height).max(0.0), top + sum.min(height));
        let high = Point(left + sum.min(width), top + (sum - width).max(0.0));
        [Step::Move(low), Step::Line(high)]
    });
    ends.flatten().collect()
}
