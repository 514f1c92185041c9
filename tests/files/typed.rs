//! What a maker types becomes exactly that value or stroke, or is refused with the
//! next step.

use ribwright::job::{Angle, Job, Plane, Station, Unit, ranges};
use ribwright::record::{NewStroke, typed_change, typed_stroke};
use ribwright::table::typed_length;

fn mm(text: &str) -> Result<f64, String> {
    typed_length(text, &ranges::OVERLAP, Unit::Mm)
}

fn inch(text: &str) -> Result<f64, String> {
    typed_length(text, &ranges::OVERLAP, Unit::Inch)
}

#[test]
fn a_point_and_a_comma_mean_the_same() {
    let same = [
        ("0.35", 0.35),
        ("0,35", 0.35),
        ("-0,1", -0.1),
        (",5", 0.5),
        ("1,234", 1.234),
        ("0", 0.0),
        ("3 mm", 3.0),
    ];
    for (text, value) in same {
        assert_eq!(mm(text), Ok(value), "{text}");
    }
    assert_eq!(mm("\u{2212}0.35"), Ok(-0.35), "a typographic minus");
}

/// One inch is 25.4 mm exactly (the international yard of 1959).
#[test]
fn fractions_are_for_inches() {
    assert_eq!(inch("11/32"), Ok(25.4 * 11.0 / 32.0));
    assert_eq!(inch("-3/64"), Ok(-25.4 * 3.0 / 64.0));
    assert_eq!(typed_length("1 3/32", &ranges::WIDTH, Unit::Inch), Ok(25.4 * 35.0 / 32.0));
    assert_eq!(inch("0,014\""), Ok(25.4 * 0.014));
    let refused = mm("11/32").expect_err("millimetres");
    assert!(refused.contains("units = \"inch\" in joint.toml"), "{refused}");
}

#[test]
fn what_is_no_number_or_out_of_range_is_refused() {
    for text in
        ["abc", "1.2.3", "1,234.5", "0.3.5", "--1", "nan", "inf", "1/0", "0x1", "1 2", "0,3 in", "-", "."]
    {
        let refused = mm(text).expect_err(text);
        assert!(refused.contains("is no number: expected one such as 0.35 or 0,35"), "{refused}");
    }
    for text in ["35", "-400", "1234"] {
        let refused = mm(text).expect_err(text);
        assert!(refused.contains("expected an overlap from -25 to 25 mm"), "{refused}");
    }
    assert!(typed_length("-0.01", &ranges::LIFT, Unit::Mm).is_err(), "a lift is never below 0");
    let long = mm(&"9".repeat(5000)).expect_err("long");
    assert!(long.len() < 200, "{}", long.len());
}

fn job(stations: &[&str], planes: &[&str]) -> Job {
    let station = |(i, name): (usize, &&str)| Station {
        name: (*name).into(),
        along: 100.0 * i as f64,
        width: 20.0,
        bevel: Angle::ZERO,
        rise: None,
        outer_bevel: None,
        inner_bevel: None,
        out_of_plane: None,
    };
    let planes = planes.iter().map(|name| Plane { name: (*name).into(), ..Plane::default() }).collect();
    Job { stations: stations.iter().enumerate().map(station).collect(), planes, ..Job::default() }
}

fn numbered() -> Job {
    job(&["1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11"], &["long", "block"])
}

fn stroke(plane: &str, from: &str, to: &str, count: u32, shaving: Option<(&str, &str)>) -> NewStroke {
    let shaving = shaving.map(|(a, b)| (a.to_string(), b.to_string()));
    NewStroke { plane: plane.into(), from: from.into(), to: to.into(), count, shaving, note: None }
}

#[test]
fn a_stroke_is_plane_run_pushes_and_where_the_shaving_held() {
    let job = numbered();
    let typed = [
        ("long 3-9", stroke("long", "3", "9", 1, None)),
        ("long 3-9 x2", stroke("long", "3", "9", 2, None)),
        ("  long   3 - 9   x 2 ", stroke("long", "3", "9", 2, None)),
        ("block 10–11 ×12", stroke("block", "10", "11", 12, None)),
        ("long 3 to 9 x2", stroke("long", "3", "9", 2, None)),
        ("long 3-9 x2 unbroken 4-8", stroke("long", "3", "9", 2, Some(("4", "8")))),
        ("long 3-9 unbroken 3-9", stroke("long", "3", "9", 1, Some(("3", "9")))),
        ("long 4-4", stroke("long", "4", "4", 1, None)),
    ];
    for (text, stroke) in typed {
        assert_eq!(typed_stroke(text, &job), Ok(stroke), "{text}");
    }
}

#[test]
fn names_may_hold_blanks_dashes_and_what_else_means_something() {
    let job = job(&["neck-end", "mid rib", "mid", "x2", "to the tail", "tail"], &["no 7", "no 7 long", "x3"]);
    let typed = [
        ("no 7 neck-end-mid rib x2", stroke("no 7", "neck-end", "mid rib", 2, None)),
        ("no 7 long neck-end-tail", stroke("no 7 long", "neck-end", "tail", 1, None)),
        ("x3 mid-x2", stroke("x3", "mid", "x2", 1, None)),
        ("x3 mid - x2", stroke("x3", "mid", "x2", 1, None)),
        ("x3 mid - x2 x2", stroke("x3", "mid", "x2", 2, None)),
        ("no 7 mid rib to to the tail", stroke("no 7", "mid rib", "to the tail", 1, None)),
    ];
    for (text, stroke) in typed {
        assert_eq!(typed_stroke(text, &job), Ok(stroke), "{text}");
    }
}

#[test]
fn a_stroke_that_fits_twice_is_refused() {
    let job = job(&["a", "b-c", "a-b", "c"], &["long"]);
    let refused = typed_stroke("long a-b-c", &job).expect_err("a to b-c, or a-b to c");
    assert!(refused.contains("two ways") && refused.contains("strokes.csv"), "{refused}");
}

#[test]
fn a_refusal_names_the_nearest() {
    let named = job(&["neck", "middle", "tail"], &["long", "block"]);
    for (text, job, says) in [
        ("lnog 3-9", &numbered(), "'lnog': expected a plane that joint.toml describes. Next: write 'long'"),
        ("long nek-tail", &named, "'nek': expected the name of a station of this joint. Next: write 'neck'"),
        (
            "long neck-tial x2",
            &named,
            "'tial': expected the name of a station of this joint. Next: write 'tail'",
        ),
        ("long neck-tail unbroken neck-midle", &named, "'midle': expected the name of a station"),
        (
            "long 3-19",
            &numbered(),
            "'19': expected the name of a station of this joint. Next: use one of: 1, 2",
        ),
        ("long 9-3", &numbered(), "write 3-9"),
        ("long 3-9 x0", &numbered(), "'0': expected a number of pushes from 1 to 999"),
        ("long 3-9 x5000", &numbered(), "expected a number of pushes from 1 to 999"),
        ("long 3-9 unbroken 2-8", &numbered(), "outside the stroke's run"),
        ("long 3-9 unbroken 8-4", &numbered(), "write 4-8"),
        ("long", &numbered(), "has no run: write plane and stations, such as long 1-11 x2"),
        ("long 3", &numbered(), "'long' has no run"),
        ("", &numbered(), "expected a plane"),
        ("x2", &numbered(), "expected a plane"),
    ] {
        let refused = typed_stroke(text, job).expect_err(text);
        assert!(refused.contains(says), "{text}: {refused}");
    }
}

#[test]
fn a_change_is_a_count_a_shaving_or_both() {
    let (job, advised) = (numbered(), stroke("long", "3", "9", 2, None));
    let change = |text: &str| typed_change(text, &advised, &job);
    assert_eq!(change("3"), Some(Ok(stroke("long", "3", "9", 3, None))));
    assert_eq!(change("x3"), Some(Ok(stroke("long", "3", "9", 3, None))));
    assert_eq!(change("unbroken 4-8"), Some(Ok(stroke("long", "3", "9", 2, Some(("4", "8"))))));
    assert_eq!(change("1 unbroken 4-8"), Some(Ok(stroke("long", "3", "9", 1, Some(("4", "8"))))));
    assert!(change("1000").is_some_and(|c| c.is_err()));
    assert!(change("unbroken 1-8").is_some_and(|c| c.is_err()));
    assert_eq!(change("long 2-4"), None, "a stroke of its own");
}
