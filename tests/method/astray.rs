//! Never led astray: on readings that can't be, or that can't settle anything, nothing is planed and
//! nothing called fitted; and no wood is advised off that isn't wanted.

use std::path::Path;

use ribwright::advice::{Advice, Options, Verdict, advise, advise_and_show};
use ribwright::job::{self, Against, Angle, Job, Reading, Round, Station, Unit};
use ribwright::maths::chi_square::lower_percent;

use crate::noticed::as_stated;
use crate::stations::evenly;

fn demo(name: &str) -> Job {
    job::read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings").join(name)).expect("sound")
}

/// The demo joint's first round, not planed yet.
fn first_round() -> Job {
    let mut job = demo("plain");
    job.rounds.truncate(1);
    job.rounds[0].strokes.clear();
    job
}

fn advised(job: &Job) -> Advice {
    advise(job, &Options::default())
}

/// Read again, no strokes, and the words that say why.
fn reads_again(job: &Job, words: &[&str]) {
    let advice = advised(job);
    assert_eq!(advice.verdict, Verdict::ReadAgain, "{}", advice.reason);
    assert!(advice.strokes.is_empty());
    words.iter().for_each(|w| assert!(advice.reason.contains(w), "{w}: {}", advice.reason));
}

fn changed(mut job: Job, change: impl Fn(usize, &mut Reading)) -> Job {
    let each = |r: &mut job::Round| r.readings.iter_mut().enumerate().for_each(|(i, r)| change(i, r));
    job.rounds.iter_mut().for_each(each);
    job
}

/// The same round read several times.
fn repeated(mut job: Job, times: usize) -> Job {
    job.rounds = vec![job.rounds[0].clone(); times];
    job
}

#[test]
fn wood_past_wood_is_read_again() {
    for (overlap, times) in [(0.45, 1), (0.02, 1), (0.45, 3), (2.0, 2)] {
        let job = repeated(first_round(), times);
        let job = changed(job, |i, r| r.overlap = if i == 4 { Some(overlap) } else { r.overlap });
        reads_again(&job, &["Read station 5 again", "wood can't pass into wood"]);
    }
    let rounding = changed(first_round(), |i, r| r.overlap = if i == 0 { Some(0.003) } else { r.overlap });
    assert_eq!(advised(&rounding).verdict, Verdict::Plane);
}

/// What asks for the unit in a reason.
const UNIT: &str = "Check the readings' unit";

/// Readings in another unit scatter less than any feelers could.
#[test]
fn readings_in_another_unit_are_noticed() {
    for by in [25.4, 10.0] {
        let smaller = |v: Option<f64>| v.map(|v| (v / by * 1000.0).round() / 1000.0);
        let noticed = |job: Job| {
            let job = changed(job, |_, r| (r.overlap, r.lift) = (smaller(r.overlap), smaller(r.lift)));
            let advice = advised(&job);
            advice.verdict == Verdict::ReadAgain && advice.reason.contains("unit")
        };
        assert!(noticed(first_round()), "by {by}");
        let count = as_stated().iter().filter(|joint| noticed(joint[0].0.clone())).count();
        // At a joint with three readings that aren't zeros there is little to go by.
        assert!(count >= 22, "by {by}: {count} of 24");
    }
}

/// Lower one per cent points of chi-square over its degrees of freedom (tables): 5, 10 and 30
/// degrees, 0.554, 2.558 and 14.953. The cube's approximation lies below them, on the side of no
/// alarm.
#[test]
fn one_in_a_hundred_is_the_distributions() {
    for (freedom, tabled, off) in [(5.0, 0.554, 0.0105), (10.0, 2.558, 0.005), (30.0, 14.953, 0.001)] {
        let short = tabled / freedom - lower_percent(freedom);
        assert!((0.0..off).contains(&short), "{freedom}: {short}");
    }
}

/// Where the alarm begins: ten departures, five of the gaps and five of the lifts, share readings
/// and stand for 10 / 1.944 (correlations of -2/3 and 1/6: Satterthwaite, as in the module), and
/// feelers may be three times as good as stated; half as good where mm are written finer than
/// feelers show.
#[test]
fn the_alarm_begins_at_a_third_of_the_stated_errors() {
    let stations = evenly(7, 40.0, |_| 0.0);
    let lower = lower_percent(10.0 / (1.0 + 2.0 * (4.0 / 9.0 + 1.0 / 36.0))).sqrt();
    let smooth = |share: f64, unit: Unit, finer: f64| {
        let mut job = Job { stations: stations.clone(), unit, ..Job::default() };
        let (allowed, rounding) = (lower / finer, 0.0005 * unit.mm());
        // Zigzags of height d: a departure of 2 d, whose error is sqrt 1.5 times a reading's.
        let zigzag = |i: usize, error: f64| {
            let up = if i.is_multiple_of(2) { 1.0 } else { -1.0 };
            0.123_45 + up * 0.5 * (share * allowed * error * 1.5_f64.sqrt() - rounding)
        };
        let reading = |i: usize| Reading {
            overlap: Some(-zigzag(i, job.reading.gap)),
            lift: Some(zigzag(i, job.reading.lift)),
            ..Reading::default()
        };
        let readings = (0..7).map(reading).collect();
        job.rounds =
            vec![Round { against: Against::Neighbour, rebent: false, readings, strokes: Vec::new() }];
        advised(&job).reason.contains(UNIT)
    };
    for (unit, finer) in [(Unit::Inch, 3.0), (Unit::Mm, 1.5)] {
        assert!(smooth(0.98, unit, finer) && !smooth(1.02, unit, finer), "{unit:?}");
    }
}

/// No false alarm on readings that err as stated; nor on a coarse grid, nor where all is zero.
#[test]
fn readings_that_err_as_stated_are_not_called_smooth() {
    let alarm = |job: &Job| advised(job).reason.contains(UNIT);
    let seen: Vec<_> = as_stated().iter().flatten().collect();
    assert!(seen.len() > 80);
    assert!(!seen.iter().any(|(_, advice)| advice.reason.contains(UNIT)));
    let grid = |v: Option<f64>| v.map(|v| (v / 0.05).round() * 0.05);
    // Read in thousandths of an inch, then written in mm: finer than feelers show, and as rough.
    let thou = |v: Option<f64>| v.map(|v| (v / 0.0254).round() * 0.0254);
    for (job, _) in seen.iter().step_by(5) {
        let coarse = changed(job.clone(), |_, r| (r.overlap, r.lift) = (grid(r.overlap), grid(r.lift)));
        assert!(!alarm(&coarse));
        let inches = changed(job.clone(), |_, r| (r.overlap, r.lift) = (thou(r.overlap), thou(r.lift)));
        assert!(!alarm(&inches));
    }
    assert!(!alarm(&changed(first_round(), |_, r| (r.overlap, r.lift) = (Some(0.0), Some(0.0)))));
}

/// A rib pushed home touches somewhere.
#[test]
fn daylight_all_along_is_no_rib_pushed_home() {
    for times in [1, 4] {
        let job = repeated(first_round(), times);
        let job = changed(job, |_, r| (r.overlap, r.lift) = (Some(-1.0), Some(0.1)));
        reads_again(&job, &["not home", "push it home"]);
    }
}

/// What was closed in one round stands open in the next, though nothing was planed: no rib does that,
/// unless the feelers err by as much.
#[test]
fn rounds_that_contradict_each_other_lead_to_no_stroke() {
    let verdict = |error: f64| {
        let mut job = Job { stations: evenly(13, 40.0, |_| 0.0), ..Job::default() };
        (job.reading.gap, job.reading.lift) = (error, error);
        let open = |k: usize, i: usize| if (i + k).is_multiple_of(2) { 0.0 } else { 0.8 };
        let reading = |k: usize, i: usize| Reading {
            overlap: Some(-open(k, i)),
            lift: Some(open(k, i + i / 2)),
            ..Reading::default()
        };
        job.rounds = (0..4)
            .map(|k| Round {
                against: Against::Neighbour,
                rebent: false,
                readings: (0..13).map(|i| reading(k, i)).collect(),
                strokes: Vec::new(),
            })
            .collect();
        let advice = advised(&job);
        (advice.verdict, advice.reason.contains("contradict each other"))
    };
    assert_eq!(verdict(0.1), (Verdict::NoAnswer, true));
    assert!(!verdict(0.4).1);
}

#[test]
fn bevels_in_radians_are_doubted() {
    let slipped = |name: &str| {
        let mut job = demo(name);
        job.stations.iter_mut().for_each(|s| s.bevel = Angle::degrees(s.bevel.in_radians()));
        advised(&job)
    };
    // Bevels far from what the joint's rise lets expect may be true: they are pointed out.
    let shallow = slipped("shallow");
    assert!(shallow.warnings.iter().any(|w| w.code == "bevels-small"), "{:?}", shallow.warnings);
    for name in ["plain", "fitted"] {
        let advice = slipped(name);
        assert_eq!(advice.verdict, Verdict::NoAnswer, "{name}: {}", advice.reason);
        assert!(advice.reason.contains("radians"), "{name}: {}", advice.reason);
    }
}

/// A shallow back, arched by a radius of 4 m both ways: its ribs of 50 mm are mitred by a third of
/// a degree (25 / 4000), and that is no slip.
#[test]
fn the_small_bevels_of_a_shallow_back_are_not_doubted() {
    let mut job = first_round();
    let middle = 240.0;
    let arched = |s: &mut Station| {
        s.rise = Some(20.0 - (s.along - middle).powi(2) / 8000.0);
        (s.width, s.bevel) = (50.0, Angle::radians((25.0_f64 / 4000.0).asin()));
        (s.outer_bevel, s.inner_bevel) = (None, None);
    };
    job.stations.iter_mut().for_each(arched);
    assert!(!advised(&job).reason.contains("radians"));
}

#[test]
fn all_closed_in_the_first_round_is_read_once_more() {
    for lift in [0.0, 0.1, 0.15] {
        let job = changed(first_round(), |_, r| (r.overlap, r.lift) = (Some(0.0), Some(lift)));
        assert!(advised(&job).strokes.is_empty() && advised(&job).verdict != Verdict::Plane);
    }
    let zeros = changed(first_round(), |_, r| (r.overlap, r.lift) = (Some(0.0), Some(0.0)));
    reads_again(&zeros, &["read once more"]);
}

/// Fitted is what has the chance that the maker asks for, and nothing below it.
#[test]
fn fitted_needs_the_confidence_that_is_asked_for() {
    let mut job = demo("fitted");
    let chance = |job: &Job| {
        let working = advise_and_show(job, &Options::default()).1.expect("figures");
        working.chances.fitted(job.tolerance.gap, job.tolerance.lift)
    };
    // The tolerance at which it is neither sure nor out of question.
    let open = |job: &Job| (0.5..0.95).contains(&chance(job));
    let at = (1..60).map(|k| 0.01 * f64::from(k)).find(|gap| {
        job.tolerance.gap = *gap;
        open(&job)
    });
    job.tolerance.gap = at.expect("chances grow with the tolerance");
    let chance = chance(&job);
    for (confidence, fitted) in [(chance - 0.001, true), (chance + 0.001, false), (chance + 0.05, false)] {
        job.tolerance.confidence = confidence;
        assert_eq!(advised(&job).verdict == Verdict::Fitted, fitted, "{confidence} of {chance}");
    }
}

/// Read twice with no stroke that is safe: a third time won't help either.
#[test]
fn more_reading_is_asked_for_but_once() {
    let mut job = changed(first_round(), |i, r| {
        (r.overlap, r.lift) = (Some(if i % 3 == 0 { 0.0 } else { -0.15 }), Some(0.1));
    });
    job.planes[0].shaving = 1.0;
    let verdict = |times| advised(&repeated(job.clone(), times)).verdict;
    assert_eq!(
        (verdict(1), verdict(2), verdict(3)),
        (Verdict::ReadAgain, Verdict::NoAnswer, Verdict::NoAnswer)
    );
}

/// Wood past a drawn line is wood to take, not a joint that closes.
#[test]
fn wood_past_a_line_is_planed_for() {
    assert_eq!(advised(&demo("first-try.csv")).verdict, Verdict::Plane);
}

#[test]
fn stretches_that_nobody_read_are_asked_for() {
    for read in [&[0, 6, 12][..], &[0, 3, 6, 9, 12], &[2, 3, 4, 5, 6]] {
        let job = changed(first_round(), |i, r| {
            if !read.contains(&i) {
                *r = Reading::default();
            }
        });
        reads_again(&job, &["nobody has read there"]);
        let surface = advised(&job).surface.expect("figures");
        assert!(surface.why.contains("Too few stations read"), "{}", surface.why);
    }
    // One between two that were read says nothing new.
    let job = changed(first_round(), |i, r| *r = if i == 6 { Reading::default() } else { r.clone() });
    assert_eq!(advised(&job).verdict, Verdict::Plane);
}

/// What comes off now is never clearly more than what is wanted in the end, and a check is only
/// what is wanted anyway.
#[test]
fn no_more_comes_off_now_than_is_wanted_in_the_end() {
    let mut planed = 0;
    for (job, advice) in as_stated().iter().flatten() {
        if advice.verdict != Verdict::Plane {
            continue;
        }
        planed += 1;
        let shaving = job.planes.iter().map(|p| p.shaving).fold(0.0, f64::max);
        for s in &advice.stations {
            let (now, end) = (s.remove_now.expect("planned"), s.remove.expect("planned"));
            // The shaving as learned may be thicker than stated by its spread, a third at most here.
            assert!(now <= end + shaving * 1.35 / 3.0, "{}: {now} of {end}", s.name);
        }
        let most = advice.stations.iter().filter_map(|s| s.remove).fold(0.0, f64::max);
        assert!(most > 0.5 * shaving, "{most} is hardly worth a stroke");
    }
    assert!(planed > 40, "{planed}");
}

/// The third joint of the demo bowl: gaps closed, a lift of 0.8 mm at its end.
#[test]
fn a_lift_that_no_slice_brings_down_is_no_reason_to_plane() {
    let advice = advised(&demo("bowl/joints/03"));
    assert_eq!(advice.verdict, Verdict::NoAnswer, "{}", advice.reason);
    assert!(advice.strokes.is_empty());
    for words in ["Planing won't help", "station 13", "shim", "bend it again", "press"] {
        assert!(advice.reason.contains(words), "{words}: {}", advice.reason);
    }
}

/// A mold that is low at one place, or a kink of the rib there: a lift that stays through all rounds
/// is no noise, and no plane brings it down.
#[test]
fn a_lift_that_stays_at_one_station_is_never_fitted() {
    for (station, lift) in [(7, 0.35), (4, 0.45), (9, 0.6)] {
        let closed = changed(repeated(first_round(), 6), |i, r| {
            r.overlap = Some(if i % 3 == 0 { 0.0 } else { -0.05 });
            r.lift = Some(if i == station { lift } else { 0.02 * (i % 4) as f64 });
        });
        let advice = advised(&closed);
        assert_ne!(advice.verdict, Verdict::Fitted, "station {}: {}", station + 1, advice.reason);
        assert!(advice.strokes.is_empty(), "station {}: {}", station + 1, advice.reason);
        let named = format!("station {}", station + 1);
        assert!(advice.reason.contains(&named), "{named}: {}", advice.reason);
        let strokes = |w: &ribwright::job::Warning| w.text.contains("Before these strokes");
        assert!(!advice.warnings.iter().any(strokes), "of strokes that are not there");
    }
}
