//! Pictures of a rib that is known as well as the readings tell it: both edges,
//! the rib in space, its motion from stroke to stroke, the rounds so far. Marks
//! stand where the figures say, to the pixel.

use std::sync::LazyLock;

use crate::marks::{close, number, of_class, points, texts_stand_apart};
use crate::studied::{Studied, cases, studied};
use nalgebra::{Point3, Rotation3, Vector3};
use ribwright::advice;
use ribwright::job::{Measured, Reading, Unit};
use ribwright::joint::Clearance;
use ribwright::seat::{self, Seated};
use ribwright::show::draw::{Moment, Pass, Picture, Scene, Sheet, View, exaggeration, film};
use roxmltree::{Document, Node};

static CASES: LazyLock<Vec<Studied>> = LazyLock::new(cases);

const WORKED: [Picture; 5] =
    [Picture::BothEdges, Picture::Space, Picture::Lever, Picture::Sections, Picture::History];

/// Every sheet of every case: stills and the frames of what moves.
fn sheets() -> Vec<Sheet> {
    let of = |case: &Studied| {
        let album = case.album();
        let stills = WORKED.into_iter().filter_map(|p| album.still(p));
        let films = [Picture::Passes, Picture::Space].into_iter().filter_map(|p| album.film(p));
        let frames = films.flat_map(|f| f.frames).map(|(sheet, _)| sheet).step_by(7);
        stills.chain(frames).collect::<Vec<_>>()
    };
    CASES.iter().flat_map(of).collect()
}

#[test]
fn no_text_runs_into_another_or_off_the_sheet() {
    let sheets = sheets();
    assert!(sheets.len() > 20);
    sheets.iter().for_each(texts_stand_apart);
}

#[test]
fn nothing_is_drawn_off_the_sheet_and_curves_are_curves() {
    for sheet in sheets() {
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        for path in svg.descendants().filter(|n| n.has_tag_name((SVG, "path"))) {
            for (x, y) in points(path) {
                assert!((-1.0..=sheet.width + 1.0).contains(&x), "{x} in {}", sheet.title);
                assert!((-1.0..=sheet.height + 1.0).contains(&y), "{y} in {}", sheet.title);
            }
        }
        for class in ["joint-line", "rib-outer"] {
            for path in of_class(&svg, class) {
                let d = path.attribute("d").expect("steps");
                assert!(d.matches('C').count() >= 6, "{class} in {}", sheet.title);
            }
        }
        assert!(sheet.title.len() > 10 && sheet.desc.len() > 30);
    }
}

const SVG: &str = "http://www.w3.org/2000/svg";

/// A straight scale read off two ticks.
struct Scale([(f64, f64); 2]);

impl Scale {
    fn of(mut ticks: Vec<(f64, f64)>) -> Self {
        ticks.sort_by(|a, b| a.0.total_cmp(&b.0));
        Scale([ticks[0], ticks[ticks.len() - 1]])
    }

    fn pixel(&self, value: f64) -> f64 {
        let [a, b] = self.0;
        a.0 + (value - a.1) / (b.1 - a.1) * (b.0 - a.0)
    }
}

/// Numbers left of an axis between two heights, with the pixel of their tick.
fn heights(svg: &Document, from: f64, to: f64) -> Scale {
    let ticks = of_class(svg, "text").into_iter();
    let ticks = ticks.filter(|t| t.attribute("text-anchor") == Some("end"));
    let tick = |t: Node| Some((number(t, "y") - 5.0, t.text()?.parse().ok()?));
    Scale::of(ticks.filter_map(tick).filter(|t: &(f64, f64)| t.0 >= from && t.0 <= to).collect())
}

/// Where the bold heads of the plots stand.
fn heads(svg: &Document, names: &[&str]) -> Vec<f64> {
    let head = |name: &&str| {
        let text = of_class(svg, "text").into_iter().find(|t| t.text() == Some(name)).expect("a head");
        number(text, "y")
    };
    names.iter().map(head).collect()
}

#[test]
fn both_edges_show_gaps_and_lifts_where_the_axes_say() {
    let inch = studied(5, 9, 2, |job| (job.unit, job.measured) = (Unit::Inch, Measured::Along));
    for case in CASES.iter().chain([&inch]) {
        let ribs = advice::passes(&case.advice, &case.working, 0);
        let svg = case.album().still(Picture::BothEdges).expect("drawn").svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let heads = heads(&svg, &["Joint edge", "Outer edge"]);
        let scales = [heights(&svg, heads[0], heads[1]), heights(&svg, heads[1], f64::MAX)];
        let n = case.job.stations.len();
        let clearances = |rib: &Seated, of: Clearance| -> Vec<f64> {
            rib.rest.clearances.iter().map(|c| c[of].max(0.0) / case.job.unit.mm()).collect()
        };
        let last = if ribs.len() > 1 { vec![("after-point", &ribs[ribs.len() - 1])] } else { vec![] };
        for (class, rib) in [("before-point", &ribs[0])].into_iter().chain(last) {
            let dots: Vec<Node> = of_class(&svg, class).into_iter().filter(Node::has_children).collect();
            assert_eq!(dots.len(), 2 * n);
            for ((dots, scale), of) in
                dots.chunks_exact(n).zip(&scales).zip([Clearance::Gap, Clearance::Lift])
            {
                for (dot, value) in dots.iter().zip(clearances(rib, of)) {
                    close(number(*dot, "cy"), scale.pixel(value));
                }
            }
        }
        tolerances(case, &svg, &scales);
        readings(case, &svg, &scales);
    }
}

/// What may stay reaches from nothing to the maker's tolerance.
fn tolerances(case: &Studied, svg: &Document, scales: &[Scale; 2]) {
    let bands: Vec<Node> = of_class(svg, "tolerance");
    assert_eq!(bands.len(), 2);
    let limits = [case.job.tolerance.gap, case.job.tolerance.lift].map(|t| t / case.job.unit.mm());
    for ((band, scale), limit) in bands.iter().zip(scales).zip(limits) {
        close(number(*band, "y"), scale.pixel(limit));
        close(number(*band, "y") + number(*band, "height"), scale.pixel(0.0));
    }
}

/// Each reading a diamond around its value.
fn readings(case: &Studied, svg: &Document, scales: &[Scale; 2]) {
    let last = &case.job.rounds.last().expect("a round").readings;
    let gaps = last.iter().filter_map(|r| r.overlap).map(|o| (0, (-o).max(0.0)));
    let lifts = last.iter().filter_map(|r| r.lift).map(|l| (1, l));
    let diamonds: Vec<Node> = of_class(svg, "read").into_iter().filter(Node::has_children).collect();
    let read: Vec<(usize, f64)> = gaps.chain(lifts).collect();
    assert_eq!(diamonds.len(), read.len());
    for (diamond, (kind, value)) in diamonds.iter().zip(read) {
        let y = points(*diamond).iter().map(|p| p.1).collect::<Vec<_>>();
        close((y[0] + y[2]) / 2.0, scales[kind].pixel(value / case.job.unit.mm()));
    }
}

/// The projection as the documentation gives it: turned about the rise, seen from
/// above, parallel; and the stage it is drawn on, found from two known points.
struct Projection {
    right: Vector3<f64>,
    down: Vector3<f64>,
    scale: f64,
    shift: (f64, f64),
}

impl Projection {
    /// From the ends of the joint line in one of a sheet's drawings.
    fn of(view: View, case: &Studied, svg: &Document, drawing: usize) -> Projection {
        let (turn, tilt) = (view.turn.to_radians(), view.tilt.to_radians());
        let toward = Vector3::new(-turn.sin(), turn.cos(), 0.0);
        let right = Vector3::new(turn.cos(), turn.sin(), 0.0);
        let down = toward * tilt.sin() - Vector3::z() * tilt.cos();
        let frames = &case.working.joint.frames;
        let (first, last) = (frames[0].joint, frames[frames.len() - 1].joint);
        let outline = points(of_class(svg, "joint-line")[drawing]);
        let (a, b) = (outline[0], outline[3 * (frames.len() - 1)]);
        let scale = (b.0 - a.0) / right.dot(&(last - first));
        let shift = (a.0 - scale * right.dot(&first.coords), a.1 - scale * down.dot(&first.coords));
        Projection { right, down, scale, shift }
    }

    fn at(&self, p: &Point3<f64>) -> (f64, f64) {
        let flat = |axis: &Vector3<f64>| self.scale * axis.dot(&p.coords);
        (flat(&self.right) + self.shift.0, flat(&self.down) + self.shift.1)
    }
}

/// Where a rib's edge at the joint must be drawn: from pose and wood alone, by the
/// definition of a pose (a turn about the pivot, then a shift).
fn edge(case: &Studied, rib: &Seated, factor: f64, i: usize) -> Point3<f64> {
    let joint = &case.working.joint;
    let frame = &joint.frames[i];
    let station = &case.job.stations[i];
    let arm = frame.joint - joint.pivot;
    let moved = Rotation3::new(rib.rest.pose.rotation) * arm - arm + rib.rest.pose.translation;
    let outward = Vector3::new(-frame.tangent.z, 0.0, frame.tangent.x);
    let (sin, cos) = station.bevel.sin_cos();
    let across = Vector3::y() * cos - outward * sin;
    frame.joint + (moved - across * rib.edge[i]) * factor
}

/// Where its outer edge must be drawn.
fn outer(case: &Studied, rib: &Seated, factor: f64, i: usize) -> Point3<f64> {
    let joint = &case.working.joint;
    let frame = &joint.frames[i];
    let arm = frame.outer - joint.pivot;
    let moved = Rotation3::new(rib.rest.pose.rotation) * arm - arm + rib.rest.pose.translation;
    frame.outer + (moved + frame.lift_normal * rib.spring[i]) * factor
}

/// Where a rib's edge is drawn: every third point of the path is a station's.
fn drawn(svg: &Document, drawing: usize) -> Vec<(f64, f64)> {
    points(of_class(svg, "rib-edge")[drawing]).into_iter().step_by(3).collect()
}

fn near(seen: (f64, f64), wanted: (f64, f64)) {
    close(seen.0, wanted.0);
    close(seen.1, wanted.1);
}

#[test]
fn the_rib_in_space_lies_as_its_pose_says() {
    for (turn, tilt) in [(10.0, 40.0), (-35.0, 65.0), (150.0, 25.0)] {
        let view = View { turn, tilt };
        for case in CASES.iter() {
            let album = ribwright::show::draw::Album { view, ..case.album() };
            let sheet = album.still(Picture::Space).expect("drawn");
            let svg = sheet.svg();
            let svg = Document::parse(&svg).expect("well-formed");
            let now = advice::passes(&case.advice, &case.working, 0).remove(0);
            let end = advice::sliced(&case.working).expect("seated");
            let scene = Scene::of(&case.job, &case.working.joint, &case.advice);
            let factor = exaggeration(&scene, &[&now, &end]);
            assert!(sheet.desc.contains(&format!("drawn {factor} times")));
            let said = format!("drawn {factor} times as large as they are.");
            assert!(of_class(&svg, "text").iter().any(|t| t.text().is_some_and(|t| t.ends_with(&said))));
            let marks = of_class(&svg, "bearing");
            let mut marks = marks.iter();
            for (drawing, rib) in [&now, &end].into_iter().enumerate() {
                let projection = Projection::of(view, case, &svg, drawing);
                let drawn = drawn(&svg, drawing);
                assert_eq!(drawn.len(), case.job.stations.len());
                for (i, seen) in drawn.into_iter().enumerate() {
                    near(seen, projection.at(&edge(case, rib, factor, i)));
                }
                // Two lines along its outer edge in each drawing: the outer face's and the mold's side.
                let outline = points(of_class(&svg, "rib-outer")[2 * drawing]);
                near(outline[0], projection.at(&outer(case, rib, factor, 0)));
                // A triangle points at each bearing.
                for &i in &rib.rest.bearings {
                    let at = projection.at(&edge(case, rib, factor, i));
                    near(points(*marks.next().expect("a bearing"))[0], (at.0, at.1 + 1.0));
                }
            }
            assert!(marks.next().is_none());
            wood(case, &svg, [&now, &end], (view, factor));
        }
    }
}

/// Wood that comes off lies along the edge as deep as it is; dashed is the outer edge as it lay.
fn wood(case: &Studied, svg: &Document, [now, end]: [&Seated; 2], (view, factor): (View, f64)) {
    let projection = Projection::of(view, case, svg, 0);
    let taken = of_class(svg, "taken");
    assert_eq!(taken.len(), 1);
    let outline = points(taken[0]);
    let last = case.job.stations.len() - 1;
    for i in 0..=last {
        near(outline[3 * i], projection.at(&edge(case, now, factor, i)));
        let frame = &case.working.joint.frames[i];
        let across = (frame.outer - frame.joint).normalize();
        let less = edge(case, now, factor, i) + across * (factor * (now.edge[i] - end.edge[i]));
        near(outline[3 * last + 1 + 3 * (last - i)], projection.at(&less));
    }
    let projection = Projection::of(view, case, svg, 1);
    near(points(of_class(svg, "former")[0])[0], projection.at(&outer(case, now, factor, 0)));
}

/// Where the edge bears it meets the joint plane: its point stands on the joint's
/// own plane, y = 0, whatever the exaggeration.
#[test]
fn bearings_lie_in_the_joint_plane() {
    for case in CASES.iter() {
        for rib in advice::passes(&case.advice, &case.working, 1) {
            for &i in &rib.rest.bearings {
                assert!(edge(case, &rib, 50.0, i).y.abs() < 1e-3);
            }
        }
    }
}

#[test]
fn the_motion_is_that_of_ribs_seated_anew_after_each_stroke() {
    for case in CASES.iter().filter(|c| !c.advice.strokes.is_empty()) {
        let album = case.album();
        let film = album.film(Picture::Space).expect("it moves");
        let moments = album.moments();
        assert_eq!(film.frames.len(), moments.len());
        let ribs: Vec<&Seated> = moments.iter().map(|m| &m.rib).collect();
        let home: Vec<Seated> = moments.iter().filter(|m| m.pass.is_none()).map(|m| m.rib.clone()).collect();
        seated(case, &home);
        let scene = Scene::of(&case.job, &case.working.joint, &case.advice);
        let factor = exaggeration(&scene, &ribs);
        for ((sheet, _), moment) in film.frames.iter().zip(&moments) {
            assert_eq!(sheet.height, film.frames[0].0.height);
            let svg = sheet.svg();
            let svg = Document::parse(&svg).expect("well-formed");
            // On the plane the rib is off the mold, and its neighbour is not there.
            assert_eq!(of_class(&svg, "sole").len(), usize::from(moment.pass.is_some()));
            assert_eq!(of_class(&svg, "joint-line").len(), usize::from(moment.pass.is_none()));
            if moment.pass.is_some() {
                continue;
            }
            let projection = Projection::of(moment.view, case, &svg, 0);
            for (i, seen) in drawn(&svg, 0).into_iter().enumerate() {
                near(seen, projection.at(&edge(case, &moment.rib, factor, i)));
            }
            assert_eq!(of_class(&svg, "bearing").len(), moment.rib.rest.bearings.len());
        }
        planes(case, &moments);
    }
}

/// The plane goes along each stroke's run, in the strokes' order, and takes what the stroke takes.
fn planes(case: &Studied, moments: &[Moment]) {
    let passes: Vec<&Pass> = moments.iter().filter_map(|m| m.pass.as_ref()).collect();
    let many = passes.len() / case.advice.strokes.len();
    let mut before: Vec<f64> = case.advice.stations.iter().map(|s| s.edge.expect("known")).collect();
    for (stroke, passes) in case.advice.strokes.iter().zip(passes.chunks(many)) {
        assert!(passes.iter().all(|p| (stroke.from..=stroke.to).contains(&p.iron)));
        assert!(passes.is_sorted_by_key(|p| p.iron));
        for pass in passes {
            for ((wood, b), a) in pass.wood.iter().zip(&before).zip(&stroke.edge_after) {
                assert!((wood - (b - a).max(0.0)).abs() < 1e-9);
            }
        }
        before.clone_from(&stroke.edge_after);
    }
}

/// What wood off a bearing does is drawn by its own figures, on one scale for all bearings.
#[test]
fn levers_move_as_the_seated_rib_does() {
    for case in CASES.iter() {
        let levers = advice::levers(&case.working);
        let Some(sheet) = case.album().still(Picture::Lever) else {
            assert!(levers.iter().all(|l| l.closes_most().is_none()));
            continue;
        };
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let (edges, after) = (of_class(&svg, "rib-edge"), of_class(&svg, "after"));
        assert!(!edges.is_empty() && edges.len() == after.len() && edges.len() <= 3);
        let mut strongest: Vec<_> = levers.iter().filter_map(|l| Some((l, l.closes_most()?.1))).collect();
        strongest.sort_by(|a, b| b.1.total_cmp(&a.1));
        let gaps: Vec<f64> = case.working.now.clearances.iter().map(|c| c.gap.max(0.0)).collect();
        let most = gaps.iter().copied().fold(0.0, f64::max);
        for ((edge, after), (lever, _)) in edges.iter().zip(&after).zip(strongest) {
            let at = |path: &Node| points(*path).into_iter().step_by(3).map(|p| p.1).collect::<Vec<f64>>();
            let (edge, after) = (at(edge), at(after));
            let widest = (0..gaps.len()).max_by(|a, b| gaps[*a].total_cmp(&gaps[*b])).expect("stations");
            let bears = case.working.now.bearings[0];
            let scale = (edge[bears] - edge[widest]) / (most - gaps[bears]);
            for i in 0..gaps.len() {
                close(edge[bears] - edge[i], scale * (gaps[i] - gaps[bears]));
                close(edge[i] - after[i], scale * ((gaps[i] + lever.change[i]).max(0.0) - gaps[i]));
            }
        }
        texts_stand_apart(&sheet);
    }
}

/// Sections have a place for each station, its rib as far off as was read.
#[test]
fn sections_show_what_was_read() {
    for case in CASES.iter() {
        let sheet = case.album().still(Picture::Sections).expect("read");
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let read = &case.job.rounds.last().expect("a round").readings;
        let shown = read.len().min(24);
        // The widest one is drawn twice.
        assert_eq!(of_class(&svg, "rib").len(), shown + 1);
        assert_eq!(of_class(&svg, "neighbour").len(), shown + 1);
        let most = |r: &Reading| r.overlap.map_or(0.0, f64::abs).max(r.lift.unwrap_or(0.0));
        let widest = read.iter().max_by(|a, b| most(a).total_cmp(&most(b))).expect("readings");
        let factor = sheet.desc.split("drawn ").nth(1).and_then(|t| t.split(' ').next()).expect("a factor");
        let factor: f64 = factor.parse().expect("a number");
        // The rib is as wide as it was measured, so its own outline gives the scale.
        let station = read.iter().position(|r| most(r) == most(widest)).expect("it is one of them");
        let outline = points(of_class(&svg, "neighbour")[0]);
        let (a, b) = (outline[0], outline[1]);
        let scale = (a.0 - b.0).hypot(a.1 - b.1) / case.job.stations[station].width;
        let long = |class: &str| {
            of_class(&svg, class)
                .first()
                .map(|n| points(*n))
                .map(|p| (p[0].0 - p[1].0).hypot(p[0].1 - p[1].1))
        };
        let lift = read[station].lift.unwrap_or(0.0);
        close(long("lift").filter(|_| lift > 0.0).unwrap_or(0.0), scale * factor * lift);
        if let (Some(overlap), Some(gap)) = (read[station].overlap, long("gap")) {
            // Level, so not quite along the rib, whose edge is turned by the lift as well.
            assert!((gap - scale * factor * overlap.abs()).abs() < 0.2 * gap + 1.0, "{gap} {overlap}");
        }
    }
}

/// After each whole stroke the rib has the wood that the advice says, and lies
/// where seating from scratch puts it.
fn seated(case: &Studied, states: &[Seated]) {
    let w = &case.working;
    let step = (states.len() - 1) / case.advice.strokes.len();
    for (k, stroke) in case.advice.strokes.iter().enumerate() {
        let rib = &states[(k + 1) * step];
        for i in 0..case.job.stations.len() {
            let gone = w.slice.height[i] - stroke.edge_after[i];
            assert!((w.fit.edge[i] - rib.edge[i] - gone).abs() < 1e-9);
        }
        let anew = seat::seat(&w.joint, &rib.edge, &w.fit.spring, w.now.pose).expect("seats");
        for (a, b) in anew.clearances.iter().zip(&rib.rest.clearances) {
            assert!((a.gap - b.gap).abs() < 0.01 && (a.lift - b.lift).abs() < 0.02);
        }
    }
}

/// The GIF decodes to as many frames, each of the sheets' size, shown for its
/// time, with the edge's own colour where the sheet has the edge.
#[test]
fn the_gif_moves_as_the_sheets_do() {
    let case = &CASES[0];
    let moving = case.album().film(Picture::Space).expect("it moves");
    let file = film(&moving.frames, 1).expect("gif");
    let mut options = ::gif::DecodeOptions::new();
    options.set_color_output(::gif::ColorOutput::RGBA);
    let mut reader = options.read_info(&file[..]).expect("a header");
    for (sheet, time) in &moving.frames {
        let frame = reader.read_next_frame().expect("decodes").expect("there");
        assert_eq!((f64::from(frame.width), f64::from(frame.height)), (sheet.width, sheet.height.ceil()));
        assert_eq!(u128::from(frame.delay) * 10, time.as_millis());
        let svg = sheet.svg();
        let svg = Document::parse(&svg).expect("well-formed");
        if !of_class(&svg, "sole").is_empty() {
            continue;
        }
        let path = of_class(&svg, "rib-edge")[0];
        let colour = path.attribute("stroke").expect("a pen").to_owned();
        let dot = |x: f64, y: f64| {
            let from = 4 * (y as usize * usize::from(frame.width) + x as usize);
            let d = &frame.buffer[from..from + 3];
            format!("#{:02x}{:02x}{:02x}", d[0], d[1], d[2])
        };
        // Halfway between stations little lies over it: a label's line at most.
        let all = points(path);
        let halfway = (0..all.len() / 3).map(|k| {
            let mix = |pick: fn(&(f64, f64)) -> f64| {
                let p = |i: usize| pick(&all[3 * k + i]);
                (p(0) + 3.0 * p(1) + 3.0 * p(2) + p(3)) / 8.0
            };
            dot(mix(|p| p.0), mix(|p| p.1))
        });
        let seen: Vec<String> = halfway.collect();
        let same = seen.iter().filter(|s| **s == colour).count();
        assert!(seen.len() > 5 && same + 2 >= seen.len(), "{seen:?}");
    }
    assert!(reader.read_next_frame().expect("decodes").is_none());
}

#[test]
fn the_passes_move_on_one_scale_and_show_what_each_took() {
    for case in CASES.iter().filter(|c| !c.advice.strokes.is_empty()) {
        let film = case.album().film(Picture::Passes).expect("it moves");
        assert_eq!(film.frames.len(), case.advice.strokes.len() + 1);
        let edges = std::iter::once(case.advice.stations.iter().map(|s| s.edge.expect("known")).collect());
        let edges: Vec<Vec<f64>> =
            edges.chain(case.advice.strokes.iter().map(|s| s.edge_after.clone())).collect();
        for (k, (sheet, _)) in film.frames.iter().enumerate() {
            assert_eq!(sheet.height, film.frames[0].0.height);
            let svg = sheet.svg();
            let svg = Document::parse(&svg).expect("well-formed");
            let scale = heights(&svg, 0.0, f64::MAX);
            let curve = |class| points(of_class(&svg, class)[0]).into_iter().step_by(3);
            for (p, value) in curve("after").zip(&edges[k]) {
                close(p.1, scale.pixel(*value));
            }
            if k > 0 {
                curve("before").zip(&edges[k - 1]).for_each(|(p, v)| close(p.1, scale.pixel(*v)));
                assert_eq!(of_class(&svg, "taken").len(), 1);
            }
        }
    }
}

/// Where a path of cubic pieces runs, in steps alike for all paths over the same stations.
fn run(path: Node) -> Vec<(f64, f64)> {
    let all = points(path);
    let at = |k: usize, t: f64| {
        let (u, p) = (1.0 - t, &all[3 * k..]);
        let mix = |pick: fn(&(f64, f64)) -> f64| {
            let [a, b, c, d] = [0, 1, 2, 3].map(|i| pick(&p[i]));
            u * u * u * a + 3.0 * u * u * t * b + 3.0 * u * t * t * c + t * t * t * d
        };
        (mix(|p| p.0), mix(|p| p.1))
    };
    (0..all.len() / 3)
        .flat_map(|k| (0..10).map(move |i| (k, f64::from(i) / 10.0)))
        .map(|(k, t)| at(k, t))
        .collect()
}

/// Wood is never put on, between stations neither.
#[test]
fn no_edge_lies_over_the_one_before_it() {
    for case in CASES.iter().filter(|c| !c.advice.strokes.is_empty()) {
        let film = case.album().film(Picture::Passes).expect("it moves");
        let stills = case.album().still(Picture::Passes).into_iter();
        for sheet in stills.chain(film.frames.into_iter().skip(1).map(|f| f.0)) {
            let svg = sheet.svg();
            let svg = Document::parse(&svg).expect("well-formed");
            let [before, after] = ["before", "after"].map(|class| {
                of_class(&svg, class).into_iter().filter(|n| points(*n).len() > 3).collect::<Vec<_>>()
            });
            assert!(!after.is_empty() && before.len() == after.len());
            for (b, a) in before.into_iter().zip(after) {
                // A path keeps hundredths of a pixel.
                run(b).iter().zip(run(a)).for_each(|(b, a)| assert!(a.1 > b.1 - 0.02, "{a:?} over {b:?}"));
            }
        }
    }
}

#[test]
fn the_history_has_each_round_at_its_figures() {
    for case in CASES.iter().filter(|c| c.past.len() > 1) {
        let svg = case.album().still(Picture::History).expect("drawn").svg();
        let svg = Document::parse(&svg).expect("well-formed");
        let heads = heads(&svg, &["Widest gap", "Widest lift", "Wood taken after the round"]);
        let scales = [
            heights(&svg, heads[0], heads[1]),
            heights(&svg, heads[1], heads[2]),
            heights(&svg, heads[2], f64::MAX),
        ];
        let with_tip = |class| of_class(&svg, class).into_iter().filter(Node::has_children);
        let dots: Vec<f64> = with_tip("after-point").map(|n| number(n, "cy")).collect();
        let diamonds: Vec<f64> = with_tip("read").map(|n| (points(n)[0].1 + points(n)[2].1) / 2.0).collect();
        let mut wanted: [Vec<f64>; 2] = [Vec::new(), Vec::new()];
        for (of, scale) in [Clearance::Gap, Clearance::Lift].into_iter().zip(&scales) {
            for round in &case.past {
                wanted[0].extend(round.estimated[of].map(|v| scale.pixel(v)));
                wanted[1].extend(round.read[of].map(|v| scale.pixel(v.max(0.0))));
            }
        }
        for (seen, wanted) in [(dots, &wanted[0]), (diamonds, &wanted[1])] {
            assert_eq!(seen.len(), wanted.len());
            seen.iter().zip(wanted).for_each(|(a, b)| close(*a, *b));
        }
        let bars: Vec<f64> = with_tip("wood").map(|n| number(n, "y")).collect();
        let wood: Vec<f64> = case.past.iter().filter_map(|r| r.wood).map(|w| scales[2].pixel(w.0)).collect();
        assert!(!bars.is_empty() && bars.len() == wood.len());
        bars.iter().zip(wood).for_each(|(a, b)| close(*a, b));
    }
}

/// For a look at every picture: run with `RIBWRIGHT_LOOK` set to a folder.
#[test]
fn every_case_is_written() {
    let look = std::env::var_os("RIBWRIGHT_LOOK").map(std::path::PathBuf::from);
    let home = tempfile::tempdir().expect("a folder");
    for (i, case) in CASES.iter().enumerate() {
        let dir = look.as_deref().unwrap_or(home.path()).join(format!("worked-{i}"));
        let films = !case.advice.strokes.is_empty();
        let files = case.album().write(&Picture::ALL, true, &dir, &|| ()).expect("written");
        let kinds = |kind: &str| files.iter().filter(|f| f.extension().is_some_and(|e| e == kind)).count();
        assert_eq!((kinds("svg"), kinds("png")), if films { (7, 7) } else { (6, 6) });
        assert_eq!(kinds("gif"), if films { 2 } else { 0 });
    }
}

/// What was not measured is not drawn as if it were known.
#[test]
fn without_lifts_or_rises_the_pictures_say_so() {
    let case = studied(3, 9, 1, |job| {
        job.rounds.iter_mut().flat_map(|r| &mut r.readings).for_each(|r| r.lift = None);
        job.stations.iter_mut().for_each(|s| s.rise = None);
    });
    let svg = |picture| case.album().still(picture).expect("drawn").svg();
    let (both, space) = (svg(Picture::BothEdges), svg(Picture::Space));
    assert!(both.contains("No lifts were read") && space.contains("No lifts were read"));
    assert!(space.contains("No rises were measured"));
    let (both, space) = (Document::parse(&both).expect("XML"), Document::parse(&space).expect("XML"));
    // Gaps only: one dot a station; and no line for a lift.
    let dots = of_class(&both, "before-point").into_iter().filter(Node::has_children).count();
    assert_eq!(dots, case.job.stations.len());
    assert!(of_class(&space, "lift").is_empty());
    for picture in [Picture::BothEdges, Picture::Space] {
        texts_stand_apart(&case.album().still(picture).expect("drawn"));
    }
}
