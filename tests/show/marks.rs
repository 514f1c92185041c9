//! Reading the marks of a picture back from its SVG.
#![allow(dead_code, reason = "each test file uses its own part")]

use ribwright::show::draw::Sheet;
use roxmltree::{Document, Node};

pub fn number(node: Node, name: &str) -> f64 {
    node.attribute(name).and_then(|v| v.parse().ok()).unwrap_or_else(|| panic!("no {name}"))
}

pub fn of_class<'a>(svg: &'a Document, class: &str) -> Vec<Node<'a, 'a>> {
    svg.descendants().filter(|n| n.attribute("class") == Some(class)).collect()
}

/// Every point of a path, control points too.
pub fn points(path: Node) -> Vec<(f64, f64)> {
    let steps = path.attribute("d").expect("a path");
    let numbers: Vec<f64> =
        steps.split(|c: char| c.is_ascii_alphabetic() || c == ' ').filter_map(|n| n.parse().ok()).collect();
    numbers.chunks(2).map(|p| (p[0], p[1])).collect()
}

/// Two places are the same to the pixel.
pub fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 0.5, "{a} is not {b} to the pixel");
}

/// Left, top, right, bottom of a text; letters of the embedded font reach
/// 0.77 em above the base line and 0.24 em below it.
pub fn bounds(text: Node) -> [f64; 4] {
    let (x, y) = (number(text, "x"), number(text, "y"));
    let (size, wide) = (number(text, "font-size"), number(text, "textLength"));
    let start = match text.attribute("text-anchor") {
        Some("middle") => -wide / 2.0,
        Some("end") => -wide,
        _ => 0.0,
    };
    let (up, down) = (0.77 * size, 0.24 * size);
    match text.attribute("transform") {
        // Turned a quarter to the left: what was right is up.
        Some(turn) => {
            assert!(turn.starts_with("rotate(-90 "));
            [x - up, y - start - wide, x + down, y - start]
        }
        None => [x + start, y - up, x + start + wide, y + down],
    }
}

/// No text of a sheet runs into another or off the sheet.
pub fn texts_stand_apart(sheet: &Sheet) {
    let svg = sheet.svg();
    let svg = Document::parse(&svg).expect("well-formed");
    let texts = of_class(&svg, "text");
    for (i, a) in texts.iter().enumerate() {
        let [left, top, right, bottom] = bounds(*a);
        let inside = left >= 0.0 && top >= 0.0 && right <= sheet.width && bottom <= sheet.height;
        assert!(inside, "{:?} in {}", a.text(), sheet.title);
        for b in &texts[i + 1..] {
            let other = bounds(*b);
            let beside = right <= other[0] || other[2] <= left;
            let apart = beside || bottom <= other[1] || other[3] <= top;
            assert!(apart, "{:?} on {:?} in {}", a.text(), b.text(), sheet.title);
        }
    }
}
