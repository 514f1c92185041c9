//! What people and programs read: the text fits 80 columns and says the verdict
//! first; the JSON keeps its schema.

use crate::invented::{advice, job, no_answer};
use ribwright::advice::{Advice, Verdict};
use ribwright::job::{Job, Measured, Unit};
use ribwright::show::{advice_json, advice_text};
use unicode_width::UnicodeWidthStr;

/// The text as it is piped: without colour.
fn plain(job: &Job, advice: &Advice) -> String {
    let mut out = anstream::StripStream::new(Vec::new());
    advice_text(job, advice, &mut out).expect("a vector takes every write");
    String::from_utf8(out.into_inner()).expect("text")
}

#[test]
fn the_text_of_an_answer() {
    let job = job(5, false);
    insta::assert_snapshot!(plain(&job, &advice(&job)), @r#"
    Plane: take the strokes below, then read again.
    The edge stands proud between the ends: it bears at 3 and opens the joint
    towards both ends.

    invented oud bowl, joint 8, round 2. Lengths in mm.

                       --- read ----  --- comes off ---  -- next --
      station   along  overlap  lift   in the end   now   gap  lift
      1         12.00    -0.21  0.10  0.12 ± 0.04  0.08  0.02  0.04
    * 2        132.00        –     –            –     –     –  0.04
      3        252.00     0.29  0.10  0.62 ± 0.04  0.48  0.02  0.04
      4        372.00     0.14     –  0.47 ± 0.05  0.36  0.02  0.04
    * 5        492.00    -0.21  0.10  0.12 ± 0.05  0.08  0.02  0.04
    * the joint edge bears here now
    ± one standard uncertainty

    Joint surface: a plane. A curved surface explains the readings no better. The
    edge's departure from its best plane (FLTt): 0.31 mm.

    Strokes, in this order:
     1. short, station 2 to 3, 2 strokes (0.10 mm)
     2. long, station 2 to 5, 2 strokes (0.16 mm)
     3. long, station 1 to 5, 1 stroke (0.08 mm): the check
        The last stroke is the check: one shaving that runs unbroken from end to end
        shows that no hollow deeper than a shaving is left. Where it breaks there is
        one: note between which stations it ran, and read again.

    Mind:
    - There is no rise column, so the fit is a line along the joint only: measure
      the height of the joint line over the chord and add it.

    Caution: on an upturned plane the iron is bare. Keep fingers off the edge, hold
    the rib with a push block, and follow local rules.
    "#);
}

#[test]
fn the_text_without_numbers_shows_dashes() {
    let job = job(1, false);
    insta::assert_snapshot!(plain(&job, &no_answer(&job)), @r#"
    No answer: don't plane yet.
    One station does not determine a line: read at three or more.

    invented oud bowl, joint 8, no round read yet. Lengths in mm.

                      --- read ----  -- comes off --  - next --
      station  along  overlap  lift  in the end  now  gap  lift
      1        12.00        –     –           –    –    –     –

    Mind:
    - There is no rise column, so the fit is a line along the joint only: measure
      the height of the joint line over the chord and add it.
    "#);
}

#[test]
fn inches_along_the_arc() {
    let mut job = job(3, true);
    (job.unit, job.measured) = (Unit::Inch, Measured::Arc);
    insta::assert_snapshot!(plain(&job, &advice(&job)), @r#"
    Plane: take the strokes below, then read again.
    The edge stands proud between the ends: it bears at 3 and opens the joint
    towards both ends.

    invented oud bowl, joint 8, round 2. Lengths in inches.

                                  ---- read ----  ---- comes off -----  --- next ---
      station                arc  overlap   lift     in the end    now    gap   lift
    * under the… block 1   0.520   -0.008  0.004  0.005 ± 0.002  0.003  0.001  0.002
      highest p… strip 2  10.913        –      –              –      –      –  0.002
    * where the… glued 3  21.307   -0.008  0.004  0.005 ± 0.002  0.003  0.001  0.002
    * the joint edge bears here now
    ± one standard uncertainty
    … names in full: under the… block 1 is under the neck block 1; highest p… strip
      2 is highest point of the rise, left of the paper strip 2; where the… glued 3
      is where the old crack was glued 3

    Joint surface: a plane. A curved surface explains the readings no better. The
    edge's departure from its best plane (FLTt): 0.012 in.

    Strokes, in this order:
     1. short, station under the neck block 1 to highest point of the rise, left of
        the paper strip 2, 2 strokes (0.004 in)
     2. long, station under the neck block 1 to where the old crack was glued 3, 2
        strokes (0.006 in)
     3. long, station under the neck block 1 to where the old crack was glued 3, 1
        stroke (0.003 in): the check
        The last stroke is the check: one shaving that runs unbroken from end to end
        shows that no hollow deeper than a shaving is left. Where it breaks there is
        one: note between which stations it ran, and read again.

    Mind:
    - There is no rise column, so the fit is a line along the joint only: measure
      the height of the joint line over the chord and add it.

    Caution: on an upturned plane the iron is bare. Keep fingers off the edge, hold
    the rib with a push block, and follow local rules.
    "#);
}

#[test]
fn no_line_is_wider_than_80_columns() {
    for (n, long) in [(1, true), (2, false), (7, true), (13, true), (31, true), (200, false)] {
        for unit in [Unit::Mm, Unit::Inch] {
            let mut job = job(n, long);
            job.unit = unit;
            job.stations.iter_mut().for_each(|s| s.along += 8000.0);
            let mut advice = advice(&job);
            advice.stations[0].overlap = Some(-1234.5);
            advice.stations[0].remove = Some(1234.5);
            let text = plain(&job, &advice);
            for line in text.lines() {
                assert!(UnicodeWidthStr::width(line) <= 80, "{line}");
            }
        }
    }
}

#[test]
fn every_station_has_its_own_line_and_its_full_name_somewhere() {
    let job = job(31, true);
    let advice = advice(&job);
    let text = plain(&job, &advice);
    let joined = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for station in &advice.stations {
        assert!(joined.contains(&station.name), "{}", station.name);
    }
    let table = text.lines().skip_while(|l| !l.contains("station  ")).skip(1).take(31);
    let names: std::collections::HashSet<&str> =
        table.filter_map(|line| line[2..].split("  ").next()).collect();
    assert_eq!(names.len(), 31);
}

#[test]
fn the_verdict_comes_first_and_bare_irons_are_warned_of_only_when_planing() {
    let job = job(7, false);
    let mut advice = advice(&job);
    assert!(plain(&job, &advice).starts_with("Plane: "));
    assert!(plain(&job, &advice).contains("iron is bare"));
    advice.strokes.clear();
    for (verdict, word) in [
        (Verdict::Fitted, "Fitted: "),
        (Verdict::ReadAgain, "Read again: "),
        (Verdict::NoAnswer, "No answer: "),
    ] {
        advice.verdict = verdict;
        assert!(plain(&job, &advice).starts_with(word));
        assert!(!plain(&job, &advice).contains("iron is bare"));
    }
}

#[test]
fn a_name_cannot_steer_the_terminal() {
    let mut job = job(3, false);
    job.title = Some("a\u{1b}[2Jb".into());
    job.planes[0].name = "long\u{7}".into();
    let mut advice = advice(&job);
    advice.stations[0].name = "x\ny\u{1b}]0;z".into();
    let mut out = Vec::new();
    advice_text(&job, &advice, &mut out).expect("a vector takes every write");
    let text = String::from_utf8(out).expect("text");
    assert!(!text.contains("\u{1b}[2J") && !text.contains("\u{1b}]") && !text.contains('\u{7}'));
}

#[test]
fn the_json_of_an_answer() {
    let job = job(3, false);
    let json = advice_json(&job, &advice(&job)).expect("json");
    insta::assert_snapshot!(json, @r#"
    {
      "schema": 1,
      "verdict": "plane",
      "reason": "The edge stands proud between the ends: it bears at 3 and opens the joint towards both ends.",
      "round": 2,
      "surface": {
        "kind": "plane",
        "why": "A curved surface explains the readings no better.",
        "FLTt_mm": 0.31
      },
      "stations": [
        {
          "station": "1",
          "along_mm": 12.0,
          "overlap_mm": -0.21,
          "lift_mm": 0.1,
          "remove_mm": 0.12,
          "remove_sd_mm": 0.04,
          "remove_now_mm": 0.08,
          "gap_after_mm": 0.02,
          "lift_after_mm": 0.04
        },
        {
          "station": "2",
          "along_mm": 252.0,
          "overlap_mm": null,
          "lift_mm": null,
          "remove_mm": null,
          "remove_sd_mm": null,
          "remove_now_mm": null,
          "gap_after_mm": null,
          "lift_after_mm": 0.04
        },
        {
          "station": "3",
          "along_mm": 492.0,
          "overlap_mm": -0.21,
          "lift_mm": 0.1,
          "remove_mm": 0.12,
          "remove_sd_mm": 0.0467,
          "remove_now_mm": 0.08,
          "gap_after_mm": 0.02,
          "lift_after_mm": 0.04
        }
      ],
      "strokes": [
        {
          "plane": "short",
          "from": "1",
          "to": "2",
          "count": 2,
          "check": false
        },
        {
          "plane": "long",
          "from": "1",
          "to": "3",
          "count": 2,
          "check": false
        },
        {
          "plane": "long",
          "from": "1",
          "to": "3",
          "count": 1,
          "check": true
        }
      ],
      "bearings": [
        "1",
        "3"
      ],
      "warnings": [
        {
          "code": "no-rise",
          "text": "There is no rise column, so the fit is a line along the joint only: measure the height of the joint line over the chord and add it."
        }
      ]
    }
    "#);
}

#[test]
fn json_stays_in_millimetres_and_knows_no_false_zero() {
    let mut job = job(3, false);
    job.unit = Unit::Inch;
    let mut advice = advice(&job);
    advice.stations[0].remove = Some(0.123_456_7);
    advice.stations[0].gap_after = Some(-1e-9);
    advice.stations[0].lift_after = Some(f64::NAN);
    let json = advice_json(&job, &advice).expect("json");
    let value: serde_json::Value = serde_json::from_str(&json).expect("valid json");
    let station = &value["stations"][0];
    assert_eq!(station["along_mm"], 12.0);
    assert_eq!(station["remove_mm"], 0.1235);
    assert!(json.contains("\"gap_after_mm\": 0.0,"));
    assert!(station["lift_after_mm"].is_null());
}

#[test]
fn json_without_an_answer_is_null_not_zero() {
    let job = job(1, false);
    let json = advice_json(&job, &no_answer(&job)).expect("json");
    let value: serde_json::Value = serde_json::from_str(&json).expect("valid json");
    assert_eq!(value["verdict"], "no_answer");
    assert!(value["round"].is_null() && value["surface"].is_null());
    let station = value["stations"][0].as_object().expect("an object");
    assert_eq!(station.len(), 9);
    assert_eq!(station.values().filter(|v| v.is_null()).count(), 7);
    assert_eq!(value["strokes"], serde_json::json!([]));
}
