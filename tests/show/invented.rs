//! Invented answers, so that what is shown can be tested apart from what is
//! computed. No instrument, no maker: every figure here is made up.
#![allow(dead_code, reason = "each test file uses its own part")]

use ribwright::advice::{Advice, PlannedStroke, StationAdvice, Surface, SurfaceKind, Verdict};
use ribwright::job::{
    Angle, Job, Measured, Mold, Plane, ReadingErrors, RoundNumber, Station, Tolerance, Unit, Warning,
};

/// Names as makers write them who don't number their stations.
pub const LONG: [&str; 4] = [
    "under the neck block",
    "highest point of the rise, left of the paper strip",
    "where the old crack was glued",
    "tail",
];

/// A job with `n` stations over 480 mm, named 1, 2, ... or with long names.
pub fn job(n: usize, long_names: bool) -> Job {
    Job {
        title: Some("invented oud bowl, joint 8".into()),
        unit: Unit::Mm,
        mold: Mold::Faceted,
        wood: None,
        thickness: Some(1.6),
        spare: Some(3.0),
        reading: ReadingErrors::default(),
        leaves: Vec::new(),
        tolerance: Tolerance::default(),
        planes_of_bowl: false,
        planes: vec![
            Plane::default(),
            Plane { name: "short".into(), sole: 180.0, shaving: 0.05, ..Plane::default() },
        ],
        measured: Measured::Along,
        stations: (0..n).map(|i| station(i, n, long_names)).collect(),
        rounds: vec![],
        warnings: vec![],
    }
}

fn station(i: usize, n: usize, long_names: bool) -> Station {
    let name = match long_names {
        true => format!("{} {}", LONG[i % 4], i + 1),
        false => (i + 1).to_string(),
    };
    let along = 12.0 + 480.0 * i as f64 / (n.max(2) - 1) as f64;
    Station {
        name,
        along,
        width: 36.0,
        bevel: Angle::radians(0.1),
        rise: None,
        outer_bevel: None,
        inner_bevel: None,
        out_of_plane: None,
    }
}

/// An answer with two short strokes, a long one and the check.
pub fn advice(job: &Job) -> Advice {
    let n = job.stations.len();
    let stations = job.stations.iter().enumerate().map(|(i, s)| answer(i, n, &s.name, s.along));
    let stations: Vec<StationAdvice> = stations.collect();
    let edge = |taken: f64| stations.iter().map(|s| s.edge.unwrap_or(0.0) - taken).collect();
    let last = n - 1;
    let stroke = |plane, from, to, count, check, taken| PlannedStroke {
        plane,
        from,
        to,
        count,
        check,
        edge_after: edge(taken),
    };
    Advice {
        verdict: Verdict::Plane,
        reason: "The edge stands proud between the ends: it bears at 3 and opens the joint \
            towards both ends."
            .into(),
        round: RoundNumber::counted(2),
        surface: Some(Surface {
            kind: SurfaceKind::Plane,
            why: "A curved surface explains the readings no better.".into(),
            flatness: Some(0.31),
        }),
        strokes: vec![
            stroke(1, last / 4, last / 2, 2, false, 0.02),
            stroke(0, last / 4, last, 2, false, 0.10),
            stroke(0, 0, last, 1, true, 0.18),
        ],
        bearings: vec![last / 4, last],
        doubted: vec![],
        read_next: None,
        warnings: vec![Warning::new(
            "no-rise",
            "There is no rise column, so the fit is a line along the joint only: measure the \
             height of the joint line over the chord and add it.",
        )],
        stations,
    }
}

/// One station's answer: a hump in the middle, no number at the second station.
fn answer(i: usize, n: usize, name: &str, along: f64) -> StationAdvice {
    let at = std::f64::consts::PI * i as f64 / (n.max(2) - 1) as f64;
    let known = |value: f64| (i != 1 || n < 3).then_some(value);
    StationAdvice {
        name: name.into(),
        along,
        arc: along * 1.1,
        overlap: known(-0.21 + 0.5 * at.sin()),
        lift: (i.is_multiple_of(2)).then_some(0.1),
        remove: known(0.12 + 0.5 * at.sin()),
        remove_sd: known(0.04 + 0.01 * i as f64 / n as f64),
        remove_now: known(0.08 + 0.4 * at.sin()),
        gap_after: known(0.02),
        lift_after: Some(0.04),
        edge: Some(0.1 + 0.5 * at.sin()),
    }
}

/// An answer without numbers.
pub fn no_answer(job: &Job) -> Advice {
    let mut advice = advice(job);
    advice.verdict = Verdict::NoAnswer;
    advice.reason = "One station does not determine a line: read at three or more.".into();
    advice.round = None;
    advice.surface = None;
    advice.strokes.clear();
    advice.bearings.clear();
    for s in &mut advice.stations {
        (s.overlap, s.lift, s.remove, s.remove_sd) = (None, None, None, None);
        (s.remove_now, s.gap_after, s.lift_after, s.edge) = (None, None, None, None);
    }
    advice
}
