//! Pictures of a whole bowl, for a wide screen and for a phone's: marks stand where the
//! figures say, and no text runs into another.

use std::path::Path;

use crate::marks::{close, number, of_class, texts_stand_apart};
use ribwright::advice::open;
use ribwright::bowl::divide::{Division, divide};
use ribwright::bowl::layout::{Wanted, lay_out};
use ribwright::bowl::mark::{Marks, Wish, marks_in};
use ribwright::bowl::shape::Outline;
use ribwright::job::bowl::{Bowl, BowlSettings, read_bowl};
use ribwright::job::{Job, Plane, Unit};
use ribwright::record::Style;
use ribwright::record::write_bowl;
use ribwright::show::draw::{Sheet, narrow_marks, narrow_widths, widths};
use roxmltree::Document;

fn demo() -> (Bowl, Division) {
    let bowl = read_bowl(Path::new("demo-readings/bowl")).expect("sound");
    let division = divide(&bowl, None, false).expect("shared out");
    (bowl, division)
}

/// A bowl of so many ribs as it is laid out, nothing measured.
fn laid_out(ribs: usize, unit: Unit) -> (Bowl, Division) {
    let settings =
        BowlSettings { ribs, unit, title: Some("a long title ".repeat(9)), ..BowlSettings::default() };
    let outline = Outline::Numbers { length: 480.0, half_width: 174.0, widest: 278.0 };
    let wanted = Wanted { settings, outline, depth: None, stations: 7, plane: Plane::default(), spare: 3.0 };
    let laid = lay_out(&wanted).expect("a bowl");
    let dir = tempfile::tempdir().expect("a folder");
    let folder = dir.path().join("bowl");
    write_bowl(&laid.settings, &laid.joints, &[], &folder, &Style::default()).expect("written");
    let bowl = read_bowl(&folder).expect("sound");
    let division = divide(&bowl, None, false).expect("as laid out");
    (bowl, division)
}

fn marked() -> (Job, Marks) {
    let opened = open(Path::new("demo-readings/bowl/joints/02")).expect("sound");
    let (bowl, number) = opened.bowl.as_ref().expect("in a bowl");
    let found = marks_in(bowl, *number, &opened.job, &opened.start, Wish::default());
    (opened.job.clone(), found.expect("laid").expect("measured"))
}

#[test]
fn no_text_runs_into_another_or_off_the_sheet() {
    let mut bowls = vec![demo()];
    bowls.extend([(4, Unit::Inch), (15, Unit::Mm), (41, Unit::Mm)].map(|(ribs, unit)| laid_out(ribs, unit)));
    for (bowl, division) in &bowls {
        for sheet in [widths(bowl, division), narrow_widths(bowl, division)] {
            texts_stand_apart(&sheet);
        }
    }
    let (job, found) = marked();
    [ribwright::show::draw::marks(&job, &found), narrow_marks(&job, &found)]
        .iter()
        .for_each(texts_stand_apart);
}

/// Differences on paper are those of the figures, by one scale.
fn in_scale(on_paper: &[f64], figures: &[f64]) {
    let range =
        |v: &[f64]| v.iter().copied().fold(f64::MIN, f64::max) - v.iter().copied().fold(f64::MAX, f64::min);
    let scale = range(on_paper) / range(figures);
    for (y, value) in on_paper.iter().zip(figures) {
        close(*y - on_paper[0], -scale * (value - figures[0]));
    }
}

#[test]
fn a_fitted_ribs_dots_and_a_shares_bars_stand_where_the_widths_say() {
    let (bowl, division) = demo();
    let ribs = &division.ribs;
    let mean = |i: usize| ribs.iter().map(|r| r.at[i]).sum::<f64>() / ribs.len() as f64;
    let off = |rib: usize| (0..ribs[rib].at.len()).map(|i| ribs[rib].at[i] - mean(i)).collect::<Vec<f64>>();
    for sheet in [widths(&bowl, &division), narrow_widths(&bowl, &division)] {
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let dots: Vec<f64> = of_class(&svg, "fitted").into_iter().map(|d| number(d, "cy")).collect();
        let figures: Vec<f64> = (0..3).flat_map(&off).collect();
        assert_eq!(dots.len(), figures.len());
        in_scale(&dots, &figures);
        let bars = of_class(&svg, "share");
        assert_eq!(bars.len(), 12, "one a rib that is left");
        // Ribs stand side by side.
        let right = |b: &roxmltree::Node| number(*b, "x") + number(*b, "width");
        assert!(bars.windows(2).all(|p| right(&p[0]) < number(p[1], "x")));
        assert!(right(bars.last().expect("bars")) < sheet.width);
    }
}

#[test]
fn bars_and_dots_of_the_outer_edge_stand_where_the_marks_say() {
    let (job, found) = marked();
    let sheets: [Sheet; 2] = [ribwright::show::draw::marks(&job, &found), narrow_marks(&job, &found)];
    for sheet in sheets {
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let n = found.stations.len();
        let last =
            |class: &str| -> Vec<_> { of_class(&svg, class).into_iter().rev().take(n).rev().collect() };
        let bars: Vec<f64> = last("now").into_iter().map(|b| number(b, "height")).collect();
        let now: Vec<f64> = found.stations.iter().map(|s| s.now).collect();
        in_scale(&bars, &now.iter().map(|v| -v).collect::<Vec<f64>>());
        let dots: Vec<f64> = last("end-point").into_iter().map(|d| number(d, "cy")).collect();
        let end: Vec<f64> = found.stations.iter().map(|s| s.remove.expect("measured")).collect();
        in_scale(&dots, &end);
    }
}
