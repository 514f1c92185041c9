//! A sheet as dots: lines as wide, areas as large and letters as high as they are drawn, and no
//! trace of the strips in which it is done.

use ribwright::show::draw::sheet::{Anchor, Point, Shape, Sheet, Step, Text};
use ribwright::show::draw::style::{Colour, Look, Pen};

const BLACK: Colour = Colour(0, 0, 0);

fn sheet(width: f64, height: f64) -> Sheet {
    Sheet { height, ..Sheet::new("test", width, String::new(), String::new()) }
}

fn look(width: Option<f32>) -> Look {
    let pen = |width| Pen { colour: BLACK, width, dash: None };
    Look { name: "test", fill: width.is_none().then_some(BLACK), pen: width.map(pen), hatch: None }
}

/// The picture's dots row by row, red, green and blue, and its width in dots.
fn dots(sheet: &Sheet, scale: u32) -> (Vec<u8>, usize) {
    let png = sheet.png(scale).expect("drawn");
    let mut reader = png::Decoder::new(std::io::Cursor::new(png)).read_info().expect("a picture");
    let mut dots = vec![0; reader.output_buffer_size().expect("a size")];
    let info = reader.next_frame(&mut dots).expect("a frame");
    assert_eq!(info.color_type, png::ColorType::Rgb);
    (dots, info.width as usize)
}

/// Square pixels of the sheet that are black.
fn ink(shape: Shape, width: Option<f32>) -> f64 {
    let mut sheet = sheet(100.0, 200.0);
    sheet.add(look(width), shape);
    let dark = |v: &u8| f64::from(255 - v) / 255.0;
    dots(&sheet, 2).0.iter().map(dark).sum::<f64>() / 3.0 / 4.0
}

fn line(from: Point, to: (f64, f64)) -> Shape {
    let to = Point(from.0 + to.0, from.1 + to.1);
    Shape::Path { steps: vec![Step::Move(from), Step::Line(to)], closed: false }
}

#[test]
fn lines_are_as_wide_as_their_pens_every_way() {
    for to in [(80.0, 0.0), (0.0, 150.0), (70.0, 70.0), (70.0, -3.0), (5.0, 170.0)] {
        for width in [1.0, 1.4, 2.4] {
            let wanted = f64::hypot(to.0, to.1) * f64::from(width);
            let off = ink(line(Point(10.3, 10.2), to), Some(width)) / wanted - 1.0;
            assert!(off.abs() < 0.1, "{to:?} {width}: {off}");
        }
    }
}

fn closed(corners: impl IntoIterator<Item = Point>) -> Shape {
    let step = |(i, p): (usize, Point)| if i == 0 { Step::Move(p) } else { Step::Line(p) };
    Shape::Path { steps: corners.into_iter().enumerate().map(step).collect(), closed: true }
}

/// A polygon of sixty corners that is nearly round.
fn ring(centre: Point, radius: f64) -> Shape {
    let turn = |i: u32| (f64::from(i) * std::f64::consts::TAU / 60.0).sin_cos();
    closed((0..60).map(turn).map(|(sin, cos)| Point(centre.0 + radius * cos, centre.1 + radius * sin)))
}

#[test]
fn areas_are_those_of_the_forms() {
    let corner = |x, y| Point(20.0 + x, 30.0 + y);
    let triangle = closed([corner(0.0, 0.0), corner(60.0, 10.0), corner(15.0, 100.0)]);
    let circle = Shape::Circle(corner(20.0, 20.0), 12.0);
    let rect = Shape::Rect(corner(0.0, 0.0), 33.25, 51.5);
    let sixtieth: f64 = std::f64::consts::TAU / 60.0;
    for (shape, area) in [
        (triangle, (60.0 * 100.0 - 15.0 * 10.0) / 2.0),
        (circle, std::f64::consts::PI * 144.0),
        (rect, 33.25 * 51.5),
        (ring(corner(30.0, 60.0), 40.0), 30.0 * sixtieth.sin() * 1600.0),
    ] {
        let off = ink(shape, None) / area - 1.0;
        assert!(off.abs() < 0.02, "{off}");
    }
}

/// Lines, areas and letters from `top` on.
fn drawing(top: f64) -> Sheet {
    let mut sheet = sheet(100.0, 300.0);
    sheet.add(look(Some(3.0)), line(Point(10.3, top + 10.2), (70.0, 170.0)));
    sheet.add(look(Some(1.0)), Shape::Circle(Point(60.0, top + 50.0), 40.0));
    sheet.add(look(None), ring(Point(30.0, top + 150.0), 25.0));
    sheet.add(look(None), Shape::Rect(Point(80.0, top + 20.0), 9.5, 160.25));
    let words = Text::new(Point(20.0, top + 190.0), "up and down", Anchor::Start);
    sheet.text(words.clone().sized(30.0).upright());
    sheet.text(Text { at: Point(40.0, top + 120.0), ..words.sized(20.0) });
    sheet
}

/// Strips begin at every 32nd row: what is drawn lower by less than that meets them elsewhere, and
/// comes out the same.
#[test]
fn strips_leave_no_seams() {
    let (still, width) = dots(&drawing(0.0), 2);
    for lower in [8_usize, 15, 27] {
        let (moved, _) = dots(&drawing(lower as f64), 2);
        let skipped = 3 * width * 2 * lower;
        assert!(moved[..skipped].iter().all(|v| *v == 255), "nothing above");
        assert!(moved[skipped..] == still[..still.len() - skipped], "{lower}");
    }
}

/// Capital E by the font's own tables: 1462 high, from 199 to 1016 of 2048.
#[test]
fn a_letter_stands_on_its_base_line_after_its_blank() {
    let mut sheet = sheet(300.0, 450.0);
    sheet.text(Text { colour: BLACK, ..Text::new(Point(10.0, 400.0), "E", Anchor::Start).sized(512.0) });
    let (dots, width) = dots(&sheet, 1);
    let dark: Vec<(usize, usize)> =
        (0..dots.len() / 3).filter(|i| dots[3 * i] < 128).map(|i| (i % width, i / width)).collect();
    let ends = |values: Vec<usize>| (values.iter().min().copied(), values.iter().max().copied());
    let (left, right) = ends(dark.iter().map(|d| d.0).collect());
    let (top, bottom) = ends(dark.iter().map(|d| d.1).collect());
    // 49.75 to 254 after the start, 365.5 above the base line; a dot's place is its upper left corner.
    assert_eq!((left, right), (Some(60), Some(263)));
    assert_eq!((top, bottom), (Some(35), Some(399)));
}
