//! A sheet as SVG 1.1 text: one element a mark, its class the mark's meaning.
//! plotters' own SVG knows no classes, tooltips, `textLength`, dashes or curves and only
//! whole numbers; mending its text afterwards would be more than this writer, and frail.

use std::fmt::Write;

use super::sheet::{Anchor, Element, Point, Shape, Sheet, Step, Text};
use super::style::{Colour, Pen};
use crate::show::names::clean;

impl Sheet {
    /// The picture as SVG, with title and description for screen readers.
    pub fn svg(&self) -> String {
        format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}", self.inline())
    }

    /// The same as an element for a page, without what stands at the head of a file.
    /// Pages that hold several sheets rely on each having a name of its own.
    pub fn inline(&self) -> String {
        let mut out = String::new();
        let (w, h) = (number(self.width), number(self.height));
        let name = &self.name;
        let (title, desc) = (escaped(&self.title), escaped(&self.desc));
        out += &format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" \
             viewBox=\"0 0 {w} {h}\" role=\"img\" aria-labelledby=\"{name}-title {name}-desc\" \
             font-family=\"'Noto Sans', sans-serif\">\n\
             <title id=\"{name}-title\">{title}</title>\n<desc id=\"{name}-desc\">{desc}</desc>\n\
             <rect width=\"{w}\" height=\"{h}\" fill=\"{}\"/>\n",
            self.paper()
        );
        self.marks.iter().for_each(|mark| element(&mut out, mark));
        out + "</svg>\n"
    }
}

/// Two decimals are a hundredth of a pixel.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn escaped(text: &str) -> String {
    let text = clean(text).replace('&', "&amp;").replace('<', "&lt;");
    text.replace('>', "&gt;").replace('"', "&quot;")
}

fn element(out: &mut String, mark: &Element) {
    let (tag, place, words) = match &mark.shape {
        Shape::Path { steps, closed } => ("path", path(steps, *closed), String::new()),
        Shape::Circle(c, r) => ("circle", circle(*c, *r), String::new()),
        Shape::Rect(c, w, h) => ("rect", rect(*c, *w, *h), String::new()),
        Shape::Text(text) => ("text", text_place(text), escaped(&text.words)),
    };
    let paint = format!("{}{}", fill(mark.fill), pen(mark.pen));
    let tip = mark.tip.as_ref().map(|tip| format!("<title>{}</title>", escaped(tip)));
    let inside = tip.unwrap_or_default() + &words;
    // Writing to a string cannot fail.
    let _ = match inside.is_empty() {
        true => writeln!(out, "<{tag} class=\"{}\"{place}{paint}/>", mark.name),
        false => writeln!(out, "<{tag} class=\"{}\"{place}{paint}>{inside}</{tag}>", mark.name),
    };
}

fn point(p: Point) -> String {
    format!("{} {}", number(p.0), number(p.1))
}

fn path(steps: &[Step], closed: bool) -> String {
    let step = |step: &Step| match *step {
        Step::Move(p) => format!("M{}", point(p)),
        Step::Line(p) => format!("L{}", point(p)),
        Step::Cubic(a, b, p) => format!("C{} {} {}", point(a), point(b), point(p)),
    };
    let steps: String = steps.iter().map(step).collect();
    format!(" d=\"{steps}{}\"", if closed { "Z" } else { "" })
}

fn circle(c: Point, radius: f64) -> String {
    format!(" cx=\"{}\" cy=\"{}\" r=\"{}\"", number(c.0), number(c.1), number(radius))
}

fn rect(c: Point, w: f64, h: f64) -> String {
    let [x, y, w, h] = [c.0, c.1, w, h].map(number);
    format!(" x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"")
}

fn text_place(text: &Text) -> String {
    let (x, y) = (number(text.at.0), number(text.at.1));
    let anchor = match text.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let weight = if text.bold { " font-weight=\"bold\"" } else { "" };
    let turn = format!(" transform=\"rotate(-90 {x} {y})\"");
    let turn = if text.upright { turn.as_str() } else { "" };
    let (size, width) = (number(text.size), number(text.width()));
    format!(
        " x=\"{x}\" y=\"{y}\" font-size=\"{size}\" text-anchor=\"{anchor}\" \
         textLength=\"{width}\" lengthAdjust=\"spacingAndGlyphs\"{weight}{turn}"
    )
}

fn fill(colour: Option<Colour>) -> String {
    match colour {
        Some(colour) => format!(" fill=\"{colour}\""),
        None => " fill=\"none\"".to_owned(),
    }
}

fn pen(pen: Option<Pen>) -> String {
    let Some(pen) = pen else { return String::new() };
    let dash = pen.dash.map(|[on, off]| format!(" stroke-dasharray=\"{on} {off}\""));
    let dash = dash.unwrap_or_default();
    format!(" stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"{dash}", pen.colour, pen.width)
}
