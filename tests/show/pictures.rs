//! Every picture is held to its content: marks stand where the figures say, to
//! the pixel; no text runs into another; the same drawing decodes as PNG and GIF.

use std::collections::HashSet;
use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::invented::{advice, job, no_answer};
use crate::marks::{bounds, close, number, of_class, points, texts_stand_apart};
use ribwright::advice::Advice;
use ribwright::job::{Job, Measured, Unit};
use ribwright::show::draw::{Album, Picture, SCALE, Sheet, View, gif, passes, removal_map};
use roxmltree::{Document, Node};

/// The jobs that every picture must cope with.
fn cases() -> Vec<(Job, Advice)> {
    let mut cases: Vec<(Job, Advice)> = Vec::new();
    for (n, long) in [(1, true), (2, false), (7, false), (7, true), (13, false), (13, true)] {
        cases.push(case(job(n, long)));
    }
    for (n, long) in [(31, false), (31, true), (200, false), (200, true)] {
        cases.push(case(job(n, long)));
    }
    let mut crowded = job(31, true);
    for (i, station) in crowded.stations.iter_mut().enumerate() {
        station.along = 3.0 * i as f64 + if i > 15 { 500.0 } else { 0.0 };
    }
    cases.push(case(crowded));
    let mut inch = job(13, false);
    (inch.unit, inch.measured) = (Unit::Inch, Measured::Arc);
    inch.title = Some("a title that goes on and on ".repeat(8));
    inch.planes[0].name = "the very long plane with the new iron".into();
    cases.push(case(inch));
    let blank = job(7, false);
    let nothing = no_answer(&blank);
    cases.push((blank, nothing));
    cases
}

fn case(job: Job) -> (Job, Advice) {
    let advice = advice(&job);
    (job, advice)
}

/// Writes the pictures that an answer alone gives.
fn pictures(job: &Job, advice: &Advice, dir: &Path) -> std::io::Result<Vec<PathBuf>> {
    let album = Album { job, advice, working: None, past: &[], view: View::default() };
    album.write(&Picture::ALL, false, dir, &|| ())
}

/// Both pictures of every case.
fn sheets() -> Vec<Sheet> {
    cases().iter().flat_map(|(j, a)| [removal_map(j, a), passes(j, a)]).collect()
}

fn words<'a>(node: Node<'a, 'a>) -> &'a str {
    node.text().unwrap_or_default()
}

#[test]
fn no_text_runs_into_another_or_off_the_sheet() {
    sheets().iter().for_each(texts_stand_apart);
}

#[test]
fn every_station_up_to_31_is_named_apart() {
    for (n, long) in [(7, true), (13, false), (13, true), (31, false), (31, true)] {
        let (job, advice) = case(job(n, long));
        for sheet in [removal_map(&job, &advice), passes(&job, &advice)] {
            let svg = sheet.svg();
            let svg = Document::parse(&svg).expect("well-formed");
            let texts = of_class(&svg, "text");
            let shown: HashSet<&str> = texts.iter().map(|t| words(*t)).collect();
            let named = |name: &str| {
                let tail: String = name.chars().rev().take(4).collect();
                let tail: String = tail.chars().rev().collect();
                shown.iter().any(|s| s.chars().next() == name.chars().next() && s.ends_with(&tail))
            };
            assert!(job.stations.iter().all(|s| named(&s.name)));
        }
    }
}

#[test]
fn screen_readers_find_a_title_and_a_description() {
    for sheet in sheets() {
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let root = svg.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        let [title, desc] = ["title", "desc"].map(|tag| format!("{}-{tag}", sheet.name));
        let labels = format!("{title} {desc}");
        assert_eq!(root.attribute("aria-labelledby"), Some(labels.as_str()));
        for (id, tag) in [(title, "title"), (desc, "desc")] {
            let node = root.children().find(|n| n.attribute("id") == Some(id.as_str())).expect("there");
            assert_eq!(node.tag_name().name(), tag);
            assert!(words(node).len() > 10);
        }
        let view = format!("0 0 {} {}", sheet.width, number(root, "height"));
        assert_eq!(root.attribute("viewBox"), Some(view.as_str()));
    }
}

/// The scale of an axis as it is printed: value at a pixel, from two ticks.
struct Printed {
    at: (f64, f64),
    value: (f64, f64),
}

impl Printed {
    /// From numbers with the pixel of their tick.
    fn from(mut ticks: Vec<(f64, f64)>) -> Self {
        ticks.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (first, last) = (ticks[0], ticks[ticks.len() - 1]);
        assert!(last.0 - first.0 > 30.0, "two ticks well apart");
        Printed { at: (first.0, last.0), value: (first.1, last.1) }
    }

    /// Heights: numbers that end left of the axis, 5 pixels under their tick.
    fn heights(svg: &Document) -> Self {
        let ends = of_class(svg, "text").into_iter();
        let ends = ends.filter(|t| t.attribute("text-anchor") == Some("end"));
        let tick = |t: Node| words(t).parse().ok().map(|v: f64| (number(t, "y") - 5.0, v));
        Printed::from(ends.filter_map(tick).collect())
    }

    /// Places along the joint: the last row of numbers.
    fn along(svg: &Document) -> Self {
        let texts = of_class(svg, "text");
        let numbers = texts
            .iter()
            .filter_map(|t| words(*t).parse().ok().map(|v: f64| (number(*t, "y"), number(*t, "x"), v)));
        let numbers: Vec<(f64, f64, f64)> = numbers.collect();
        let low = numbers.iter().map(|n| n.0).fold(0.0, f64::max);
        let row = numbers.iter().filter(|n| n.0 == low && n.1 < 930.0);
        Printed::from(row.map(|n| (n.1, n.2)).collect())
    }

    fn pixel(&self, value: f64) -> f64 {
        let part = (value - self.value.0) / (self.value.1 - self.value.0);
        self.at.0 + part * (self.at.1 - self.at.0)
    }
}

#[test]
fn figures_in_the_removal_map_stand_where_the_axes_say() {
    let mut inch = job(13, false);
    (inch.unit, inch.measured) = (Unit::Inch, Measured::Arc);
    for (job, advice) in [case(job(7, false)), case(job(31, true)), case(inch)] {
        let svg = removal_map(&job, &advice).svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let (along, height) = (Printed::along(&svg), Printed::heights(&svg));
        let u = job.unit.mm();
        let place = |i: usize| match job.measured {
            Measured::Along => advice.stations[i].along / u,
            Measured::Arc => advice.stations[i].arc / u,
        };
        let known: Vec<usize> =
            (0..advice.stations.len()).filter(|&i| advice.stations[i].remove.is_some()).collect();
        let dots = of_class(&svg, "end-point");
        let bars: Vec<Node> = of_class(&svg, "now").into_iter().filter(|n| n.has_children()).collect();
        let whiskers = of_class(&svg, "end-sd");
        assert_eq!((dots.len(), bars.len()), (known.len(), known.len()));
        assert_eq!(whiskers.len(), 3 * known.len());
        for (k, &i) in known.iter().enumerate() {
            let station = &advice.stations[i];
            let (end, now) = (station.remove.unwrap_or(0.0) / u, station.remove_now.unwrap_or(0.0) / u);
            close(number(dots[k], "cx"), along.pixel(place(i)));
            close(number(dots[k], "cy"), height.pixel(end));
            let (left, wide) = (number(bars[k], "x"), number(bars[k], "width"));
            close(left + wide / 2.0, along.pixel(place(i)));
            close(number(bars[k], "y"), height.pixel(now));
            close(number(bars[k], "y") + number(bars[k], "height"), height.pixel(0.0));
            let sd = station.remove_sd.unwrap_or(0.0) / u;
            let path = points(whiskers[3 * k]);
            close(path[0].1, height.pixel(end + sd));
            close(path[1].1, height.pixel(end - sd));
        }
        assert_eq!(of_class(&svg, "missing").len(), 1);
        let bears: Vec<f64> = of_class(&svg, "bearing").iter().map(|n| points(*n)[0].0).collect();
        for (x, &i) in bears.iter().zip(&advice.bearings) {
            close(*x, along.pixel(place(i)));
        }
        assert_eq!(bears.len(), advice.bearings.len());
    }
}

#[test]
fn strokes_lie_over_their_runs_and_edges_have_their_heights() {
    let (job, advice) = case(job(13, true));
    let svg = passes(&job, &advice).svg();
    let svg = Document::parse(&svg).expect("well-formed");
    let along = Printed::along(&svg);
    let bars = |class| of_class(&svg, class).into_iter().filter(Node::has_children);
    let bars: Vec<Node> = bars("stroke").chain(bars("check")).collect();
    assert_eq!(bars.len(), 3);
    for (bar, stroke) in bars.iter().zip(&advice.strokes) {
        let place = |i: usize| along.pixel(advice.stations[i].along);
        close(number(*bar, "x") + 1.0, place(stroke.from));
        close(number(*bar, "x") + number(*bar, "width") - 1.0, place(stroke.to));
    }
    assert!(bars.windows(2).all(|pair| number(pair[0], "y") < number(pair[1], "y")));
    heights_of_the_edges(&svg, &advice);
}

/// Each row has an axis of its own; its ticks lie between its bar and the next.
fn heights_of_the_edges(svg: &Document, advice: &Advice) {
    let (after, before) = (of_class(svg, "after"), of_class(svg, "before"));
    let ticks = of_class(svg, "text").into_iter();
    let ticks = ticks.filter(|t| t.attribute("text-anchor") == Some("end"));
    let tick = |t: Node| words(t).parse().ok().map(|v: f64| (number(t, "y") - 5.0, v));
    let ticks: Vec<(f64, f64)> = ticks.filter_map(tick).collect();
    let rows = ticks.len() / advice.strokes.len();
    assert!(rows >= 2 && after.len() == 3 && before.len() == 3);
    let mut last: Vec<f64> = advice.stations.iter().filter_map(|s| s.edge).collect();
    for (k, stroke) in advice.strokes.iter().enumerate() {
        let row = Printed::from(ticks[k * rows..(k + 1) * rows].to_vec());
        for (path, edge) in [(before[k], &last), (after[k], &stroke.edge_after)] {
            // A curve has two control points between one station and the next.
            let points: Vec<(f64, f64)> = points(path).into_iter().step_by(3).collect();
            assert_eq!(points.len(), edge.len());
            points.iter().zip(edge).for_each(|(p, e)| close(p.1, row.pixel(*e)));
        }
        last.clone_from(&stroke.edge_after);
    }
}

#[test]
fn curves_are_curves() {
    let (job, advice) = case(job(13, false));
    for (sheet, class) in [(removal_map(&job, &advice), "end"), (passes(&job, &advice), "after")] {
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let longest = of_class(&svg, class).into_iter().filter_map(|n| n.attribute("d"));
        let longest = longest.max_by_key(|d| d.len()).expect("a path");
        assert!(longest.matches('C').count() >= 10 && !longest.contains('L'));
    }
}

/// A decoded picture.
struct Dots {
    width: u32,
    height: u32,
    rgb: Vec<u8>,
}

impl Dots {
    fn of_png(file: &[u8]) -> Self {
        let decoder = png::Decoder::new(std::io::Cursor::new(file));
        let mut reader = decoder.read_info().expect("a header");
        let mut rgb = vec![0; reader.output_buffer_size().expect("a size")];
        let info = reader.next_frame(&mut rgb).expect("decodes");
        assert_eq!(info.color_type, png::ColorType::Rgb);
        Dots { width: info.width, height: info.height, rgb }
    }

    fn at(&self, x: u32, y: u32) -> [u8; 3] {
        assert!(x < self.width && y < self.height);
        let from = 3 * (y * self.width + x) as usize;
        [self.rgb[from], self.rgb[from + 1], self.rgb[from + 2]]
    }
}

#[test]
fn png_shows_the_same_drawing() {
    let (job, advice) = case(job(7, false));
    let sheet = removal_map(&job, &advice);
    let png = Dots::of_png(&sheet.png(SCALE).expect("png"));
    let side = |length: f64| length.ceil() as u32 * SCALE;
    assert_eq!((png.width, png.height), (side(sheet.width), side(sheet.height)));
    let svg = sheet.svg();
    let svg = Document::parse(&svg).expect("well-formed");
    let dot_at = |x: f64, y: f64| {
        let scale = f64::from(SCALE);
        let [r, g, b] = png.at((x * scale) as u32, (y * scale) as u32);
        format!("#{r:02x}{g:02x}{b:02x}")
    };
    assert_eq!(dot_at(1.0, 1.0), "#ffffff");
    for dot in of_class(&svg, "end-point") {
        let seen = dot_at(number(dot, "cx"), number(dot, "cy"));
        assert_eq!(Some(seen.as_str()), dot.attribute("fill"));
    }
}

/// Letters darken both ends of the room that SVG gives their text, upright too.
#[test]
fn png_has_its_letters_where_svg_has_them() {
    let (job, advice) = case(job(7, true));
    for sheet in [removal_map(&job, &advice), passes(&job, &advice)] {
        let png = Dots::of_png(&sheet.png(2).expect("png"));
        let dark = |x: u32, y: u32| png.at(x, y)[0] < 0x60;
        let count = |[left, top, right, bottom]: [f64; 4]| {
            let range = |from: f64, to: f64| (2.0 * from) as u32..(2.0 * to) as u32;
            let rows = range(top, bottom);
            rows.flat_map(|y| range(left, right).map(move |x| (x, y))).filter(|&(x, y)| dark(x, y)).count()
        };
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let texts = of_class(&svg, "text").into_iter();
        for text in texts.filter(|t| words(*t).chars().count() > 3) {
            let [left, top, right, bottom] = bounds(text);
            let em = number(text, "font-size");
            let ends = match text.attribute("transform") {
                Some(_) => [[left, top, right, top + em], [left, bottom - em, right, bottom]],
                None => [[left, top, left + em, bottom], [right - em, top, right, bottom]],
            };
            for end in ends {
                assert!(count(end) > 20, "{} at {end:?}", words(text));
            }
        }
    }
}

#[test]
fn gif_shows_each_sheet_for_its_time() {
    let (job, advice) = case(job(7, false));
    let sheets = [removal_map(&job, &advice), passes(&job, &advice)];
    let file = gif(&sheets, 1, Duration::from_millis(1250)).expect("gif");
    let mut options = ::gif::DecodeOptions::new();
    options.set_color_output(::gif::ColorOutput::RGBA);
    let mut reader = options.read_info(&file[..]).expect("a header");
    let side = |pick: fn(&Sheet) -> f64| sheets.iter().map(pick).fold(0.0, f64::max).ceil();
    let size = (f64::from(reader.width()), f64::from(reader.height()));
    assert_eq!(size, (side(|s| s.width), side(|s| s.height)));
    for sheet in &sheets {
        let frame = reader.read_next_frame().expect("decodes").expect("there");
        assert_eq!(frame.delay, 125);
        let colour = |x: f64, y: f64| {
            let from = 4 * (y as usize * usize::from(frame.width) + x as usize);
            let dot = &frame.buffer[from..from + 3];
            format!("#{:02x}{:02x}{:02x}", dot[0], dot[1], dot[2])
        };
        let (right, bottom) = (size.0 - 1.0, size.1 - 1.0);
        assert_eq!([colour(0.0, 0.0), colour(right, bottom)], ["#ffffff"; 2]);
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        for dot in of_class(&svg, "end-point") {
            let seen = colour(number(dot, "cx"), number(dot, "cy"));
            assert_eq!(Some(seen.as_str()), dot.attribute("fill"));
        }
    }
    assert!(reader.read_next_frame().expect("decodes").is_none());
    assert_eq!(reader.repeat(), ::gif::Repeat::Infinite);
}

#[test]
fn pictures_too_large_or_empty_are_errors() {
    let (job, advice) = case(job(7, false));
    let sheet = removal_map(&job, &advice);
    for scale in [0, 100, u32::MAX] {
        let error = sheet.png(scale).expect_err("no such size").to_string();
        assert!(error.contains("30000"), "{error}");
        assert!(gif(std::slice::from_ref(&sheet), scale, Duration::ZERO).is_err());
    }
    assert!(gif(&[], 1, Duration::ZERO).is_err());
}

#[test]
fn pictures_are_files_and_replace_older_ones() {
    let (job, mut advice) = case(job(7, false));
    let home = tempfile::tempdir().expect("a folder");
    let dir = home.path().join("new").join("folder");
    let files = pictures(&job, &advice, &dir).expect("written");
    let names: Vec<_> = files.iter().filter_map(|f| f.file_name()?.to_str()).collect();
    assert_eq!(names, ["removal-map.svg", "removal-map.png", "passes.svg", "passes.png"]);
    std::fs::write(&files[0], "x".repeat(1 << 20)).expect("written");
    advice.strokes.clear();
    assert_eq!(pictures(&job, &advice, &dir).expect("written").len(), 2);
    let svg = std::fs::read_to_string(&files[0]).expect("there");
    assert_eq!(svg, removal_map(&job, &advice).svg());
}

#[test]
fn names_with_marks_of_xml_stay_names() {
    let (mut job, mut advice) = case(job(3, false));
    job.title = Some("<oud> & \"co\" \u{1}".into());
    advice.stations[0].name = "a<b&c>\u{8}\"d'".into();
    for sheet in [removal_map(&job, &advice), passes(&job, &advice)] {
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        assert!(of_class(&svg, "text").iter().any(|t| words(*t) == "a<b&c> \"d'"));
    }
}

/// For a look at every picture: run with `RIBWRIGHT_LOOK` set to a folder.
#[test]
fn every_case_draws() {
    let look = std::env::var_os("RIBWRIGHT_LOOK").map(PathBuf::from);
    let home = tempfile::tempdir().expect("a folder");
    for (i, (job, advice)) in cases().iter().enumerate() {
        let dir = look.as_deref().unwrap_or(home.path()).join(i.to_string());
        let files = pictures(job, advice, &dir).expect("written");
        assert!(files.iter().all(|f| f.metadata().is_ok_and(|m| m.len() > 1000)));
    }
}
