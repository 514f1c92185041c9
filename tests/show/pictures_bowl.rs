//! Pictures of a whole bowl, for a wide screen and for a phone's: marks stand where the
//! figures say, and no text runs into another.

use std::path::Path;

use crate::marks::{close, number, of_class, points, texts_stand_apart};
use ribwright::advice::open;
use ribwright::bowl::divide::{Division, divide};
use ribwright::bowl::layout::{Wanted, lay_out};
use ribwright::bowl::mark::{Marks, Wish, marks_in};
use ribwright::bowl::shape::Outline;
use ribwright::bowl::spacer::{ALLOWANCE, spacer};
use ribwright::job::bowl::{Bowl, BowlSettings, Spacer, read_bowl};
use ribwright::job::{Job, Plane, Unit};
use ribwright::record::Style;
use ribwright::record::write_bowl;
use ribwright::show::draw::{
    Sheet, narrow_marks, narrow_outline, narrow_outside, narrow_shims, narrow_tacks, narrow_widths, outline,
    outside, shims, tacks, widths,
};
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
        for sheet in [outside(bowl, division, Some(3)), narrow_outside(bowl, division, None)] {
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
fn each_ribs_line_runs_where_its_widths_say() {
    let (bowl, division) = demo();
    let ribs = &division.ribs;
    let mean = |i: usize| ribs.iter().map(|r| r.at[i]).sum::<f64>() / ribs.len() as f64;
    let off = |rib: usize| (0..ribs[rib].at.len()).map(|i| ribs[rib].at[i] - mean(i)).collect::<Vec<f64>>();
    for sheet in [widths(&bowl, &division), narrow_widths(&bowl, &division)] {
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let lines = |class: &str| -> Vec<_> {
            of_class(&svg, class).into_iter().filter(roxmltree::Node::has_children).collect()
        };
        let heights = |line: &roxmltree::Node| points(*line).into_iter().step_by(3).map(|p| p.1);
        // Three ribs are fitted; the fourth is next.
        let on_paper: Vec<f64> = lines("fitted").iter().chain(&lines("next")).flat_map(heights).collect();
        let figures: Vec<f64> = (0..4).flat_map(&off).collect();
        assert_eq!(on_paper.len(), figures.len());
        in_scale(&on_paper, &figures);
        // Every rib is one of a line's.
        let texts = of_class(&svg, "text");
        let named = |rib: usize| {
            texts.iter().filter(|t| number(**t, "font-size") == 13.0).filter_map(|t| t.text()).any(|t| {
                let (from, to) = t.split_once('–').unwrap_or((t, t));
                matches!((from.parse::<usize>(), to.parse::<usize>()), (Ok(a), Ok(b)) if (a..=b).contains(&rib))
            })
        };
        assert!((1..=ribs.len()).all(named));
    }
}

/// The new rib is as wide as it is to be, by one scale, and a mark with its distance lies on its
/// edge at every station that has one.
#[test]
fn the_outlines_marks_lie_where_they_were_measured() {
    let (job, found) = marked();
    for sheet in [outline(&job, &found), narrow_outline(&job, &found)] {
        texts_stand_apart(&sheet);
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let marks: Vec<_> =
            of_class(&svg, "compass-mark").into_iter().filter(roxmltree::Node::has_children).collect();
        let stations: Vec<_> = found.stations.iter().filter(|s| s.mark.is_some()).collect();
        assert_eq!(marks.len(), stations.len());
        let heights: Vec<f64> = marks.iter().map(|mark| points(*mark)[0].1).collect();
        in_scale(&heights, &stations.iter().map(|s| s.width).collect::<Vec<_>>());
        let edge: Vec<f64> =
            points(*of_class(&svg, "rib").last().expect("a rib")).iter().map(|p| p.1).collect();
        assert!(heights.iter().all(|mark| edge.iter().any(|y| (y - mark).abs() < 0.01)), "on the edge");
        let said: Vec<_> =
            of_class(&svg, "text").iter().filter_map(|t| t.text().map(str::to_owned)).collect();
        assert!(said.contains(&format!("{:.2}", stations[0].mark.expect("a mark"))), "{said:?}");
    }
}

/// Wedges are as thick as the shims, tacks stand at their places along the strip.
#[test]
fn shims_and_tacks_stand_where_they_go() {
    let opened = open(Path::new("demo-readings/bowl/joints/03")).expect("sound");
    let job = &opened.job;
    let found = ribwright::advice::shims(&opened, 1.0).expect("rounds");
    let plan = spacer(job, Spacer::default(), None, ALLOWANCE);
    for sheet in [shims(job, &found), narrow_shims(job, &found)] {
        texts_stand_apart(&sheet);
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let wedges = of_class(&svg, "shim");
        assert_eq!(wedges.len(), found.shims.len());
        let edge: Vec<(f64, f64)> = points(of_class(&svg, "after")[0]).into_iter().step_by(3).collect();
        for (wedge, shim) in wedges.iter().zip(&found.shims) {
            // It fills what is open under the edge, which it carries where it is thickest.
            let corners = points(*wedge);
            let many = shim.to - shim.from;
            for i in shim.from..=shim.to {
                let upper = corners[3 * (i - shim.from)];
                close(upper.0, edge[i].0);
                close(upper.1, edge[i].1);
            }
            let (top, foot) = (edge[shim.at].1, corners[3 * many + 1].1);
            let spring = found.stations[shim.at].spring;
            close(foot - top, (foot - top) / spring * shim.thickness);
            assert!(foot - top > 10.0);
        }
    }
    for sheet in [tacks(job, &plan), narrow_tacks(job, &plan)] {
        texts_stand_apart(&sheet);
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let strip = of_class(&svg, "strip")[0];
        let scale = number(strip, "width") / plan.length();
        let dots = of_class(&svg, "tack");
        assert_eq!(dots.len(), plan.tacks.at.len());
        for (dot, at) in dots.iter().zip(&plan.tacks.at) {
            close(number(*dot, "cx"), number(strip, "x") + scale * (plan.allowance + at));
        }
    }
}

/// On a half-round back every seam lies where the arc from rim to rim puts it; the ribs fill it.
#[test]
fn the_bowl_from_outside_has_its_ribs_in_their_places() {
    let (bowl, division) = demo();
    let spacer = bowl.settings.spacer.map_or(0.0, |s| s.width);
    for sheet in [outside(&bowl, &division, Some(4)), narrow_outside(&bowl, &division, Some(4))] {
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let ribs = |class| {
            of_class(&svg, class).into_iter().filter(roxmltree::Node::has_children).collect::<Vec<_>>()
        };
        let [fitted, waiting] = [ribs("fitted"), ribs("waiting")];
        assert_eq!((fitted.len(), ribs("in-work").len(), waiting.len()), (3, 1, 11));
        // Each outline begins with its upper seam and comes back along the lower one.
        let n = bowl.settings.stations.len();
        let first = points(fitted[0]);
        let last = points(waiting[waiting.len() - 1]);
        for i in 0..n {
            let rim =
                |p: &[(f64, f64)], upper: bool| if upper { p[3 * i].1 } else { p[3 * (2 * n - 1 - i) - 2].1 };
            let (low, high) = (rim(&first, false), rim(&last, true));
            let girth: f64 = division.ribs.iter().map(|r| r.at[i] + spacer).sum();
            let angle = std::f64::consts::PI * (division.ribs[0].at[i] + spacer) / girth;
            let wanted = low - (low - high) * (1.0 - angle.cos()) / 2.0;
            close(rim(&first, true), wanted);
        }
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
