//! Any joint written is read back as it was, in every dialect; no file panics.

use std::fs;

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use ribwright::job::{
    self, Against, Angle, Job, Measured, Mold, Plane, Reading, ReadingErrors, Round, Station, Stroke,
    Tolerance, Unit,
};
use ribwright::record::{self, Style};
use ribwright::table::{Decimal, Delimiter, Dialect, Encoding, LineEnd};

/// A value as files show it: whole steps, in the unit of the file.
fn steps(range: std::ops::Range<i32>, step: f64) -> impl Strategy<Value = f64> + Clone {
    range.prop_map(move |n| f64::from(n) / step)
}

fn name() -> impl Strategy<Value = String> {
    "[a-zäé0-9;,.\"'=/ -]{1,8}".prop_map(|s| s.trim().to_string()).prop_filter("not empty", |s| !s.is_empty())
}

prop_compose! {
    fn station(unit: Unit)(
        name in name(), width in steps(50..700, 100.0), bevel in steps(-9000..45000, 1000.0),
        rise in steps(-1000..10_000, 1000.0), outer in steps(-45000..90000, 1000.0),
        inner in steps(-45000..45000, 1000.0), out in steps(-900..900, 1000.0), step in steps(4000..6000, 1000.0),
    ) -> Station {
        // Kept on the file's grid and converted as the reader does.
        let mm = |v: f64| v * unit.mm();
        Station {
            name, along: step, width: mm(width), bevel: Angle::degrees(bevel), rise: Some(mm(rise)),
            outer_bevel: Some(Angle::degrees(outer)), inner_bevel: Some(Angle::degrees(inner)), out_of_plane: Some(mm(out)),
        }
    }
}

fn reading(unit: Unit) -> impl Strategy<Value = Reading> {
    let mm = move |v: f64| v * unit.mm();
    let overlap = option::of(steps(-98..0, 100.0).prop_map(mm));
    let lift = option::of(steps(0..78, 100.0).prop_map(mm));
    (overlap, lift.clone(), lift).prop_map(|(overlap, lift, seat)| Reading {
        overlap,
        lift,
        seat,
        ..Reading::default()
    })
}

fn round(unit: Unit, stations: usize, planes: usize) -> impl Strategy<Value = Round> {
    let stroke = (0..planes, 0..stations, 0..stations, 1..12_u32, any::<bool>()).prop_map(
        |(plane, a, b, count, seen)| {
            let (from, to) = (a.min(b), a.max(b));
            Stroke { plane, from, to, count, shaving: seen.then_some((from, to)) }
        },
    );
    let read = vec(reading(unit), stations)
        .prop_filter("something read", |r| r.iter().any(|r| *r != Reading::default()));
    (any::<bool>(), any::<bool>(), read, vec(stroke, 0..3)).prop_map(|(line, rebent, readings, strokes)| {
        let against = if line { Against::Line } else { Against::Neighbour };
        Round { against, rebent, readings, strokes }
    })
}

fn plane() -> impl Strategy<Value = Plane> {
    (name(), steps(200..20_000, 10.0), steps(5..1000, 1000.0)).prop_map(|(name, sole, shaving)| Plane {
        name,
        sole,
        width: 51.5,
        shaving,
        shortest: 33.0,
    })
}

fn unique<T>(list: Vec<T>, key: fn(&T) -> &String) -> Vec<T> {
    let mut kept: Vec<T> = Vec::new();
    for item in list {
        if kept.iter().all(|k| key(k) != key(&item)) {
            kept.push(item);
        }
    }
    kept
}

fn job_in(unit: Unit) -> impl Strategy<Value = Job> {
    let title = option::of("[^\\p{Cc}]{0,12}");
    let parts = (vec(station(unit), 2..6), vec(plane(), 1..3), title, any::<bool>(), any::<bool>());
    parts.prop_flat_map(move |(stations, planes, title, arc, leant)| {
        let (mut stations, planes) = (unique(stations, |s| &s.name), unique(planes, |p| &p.name));
        let mut steps = 0;
        for station in &mut stations {
            // Leans are told at every station or at none.
            station.inner_bevel = station.inner_bevel.filter(|_| leant);
            steps += (station.along * 1000.0).round() as i32;
            station.along = f64::from(steps) / 1000.0 * if unit == Unit::Mm { 30.0 } else { 1.0 };
            station.along = if unit == Unit::Mm { station.along.round() } else { station.along * unit.mm() };
        }
        let rounds = vec(round(unit, stations.len(), planes.len()), 0..4);
        rounds.prop_map(move |rounds| Job {
            title: title.clone(),
            unit,
            mold: Mold::Faceted,
            wood: Some("walnut".into()),
            thickness: Some(0.0625 * 25.4),
            spare: None,
            reading: ReadingErrors::default(),
            leaves: vec![0.0625 * 25.4, 0.125 * 25.4],
            tolerance: Tolerance { force: Some(4.5), ..Tolerance::default() },
            planes: planes.clone(),
            planes_of_bowl: false,
            measured: if arc { Measured::Arc } else { Measured::Along },
            stations: stations.clone(),
            rounds,
            warnings: Vec::new(),
        })
    })
}

fn style() -> impl Strategy<Value = Style> {
    let delimiter = prop_oneof![Just(Delimiter::Comma), Just(Delimiter::Semicolon), Just(Delimiter::Tab)];
    let decimal = prop_oneof![Just(Decimal::Point), Just(Decimal::Comma)];
    let line_end = prop_oneof![Just(LineEnd::Lf), Just(LineEnd::CrLf), Just(LineEnd::Cr)];
    let encoding = prop_oneof![
        Just(Encoding::UTF8),
        Just(Encoding::UTF8_MARK),
        Just(Encoding::UTF16_LE),
        Just(Encoding::UTF16_BE),
        Just(Encoding::LATIN1),
    ];
    (delimiter, decimal, line_end, encoding, any::<bool>()).prop_map(
        |(delimiter, decimal, line_end, encoding, sep_line)| {
            let dialect = Dialect { delimiter, decimal, line_end, encoding, sep_line };
            Style { dialect, ..Style::default() }
        },
    )
}

/// The job but for what the reader adds; settings in inches are equal to the last
/// bit or two only.
fn essence(job: &Job) -> (Job, String) {
    let settings = format!("{:.9?}", (job.thickness, job.reading, job.tolerance, &job.planes));
    let bare = Job {
        warnings: Vec::new(),
        thickness: None,
        reading: ReadingErrors::default(),
        leaves: Vec::new(),
        tolerance: Tolerance::default(),
        planes: Vec::new(),
        planes_of_bowl: false,
        ..job.clone()
    };
    (bare, settings)
}

fn written_and_read(job: &Job, style: &Style) -> Result<(), TestCaseError> {
    let dir = tempfile::tempdir().expect("a folder");
    record::write_folder_as(job, dir.path(), style).expect("written");
    match job::read(dir.path()) {
        Ok(read) => prop_assert_eq!(essence(&read), essence(job)),
        Err(problems) => prop_assert!(false, "{}", problems),
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_folder_written_is_read_back_as_it_was(job in job_in(Unit::Mm), style in style()) {
        written_and_read(&job, &style)?;
    }

    #[test]
    fn in_inches_too(job in job_in(Unit::Inch), style in style()) {
        // Settings keep six decimals of an inch.
        let exact = |p: Plane| Plane { sole: 9.5 * 25.4, width: 2.0 * 25.4, shaving: 0.004 * 25.4, shortest: 25.4, ..p };
        let job = Job {
            planes: job.planes.into_iter().map(exact).collect(),
            planes_of_bowl: false,
            reading: ReadingErrors { gap: 0.0508, line: 0.254, lift: 0.127, seat: 0.0762 },
            tolerance: Tolerance { gap: 0.0508, lift: 0.127, ..job.tolerance },
            ..job
        };
        written_and_read(&job, &style)?;
    }

    #[test]
    fn a_single_table_too(job in job_in(Unit::Mm), style in style()) {
        let dir = tempfile::tempdir().expect("a folder");
        let file = dir.path().join("joint.csv");
        record::write_table(&job, &file, &style).expect("written");
        match job::read(&file) {
            Ok(read) => {
                let rounds: Vec<Round> = job.rounds.iter().map(|r| Round { strokes: Vec::new(), ..r.clone() }).collect();
                prop_assert_eq!((read.stations, read.rounds, read.measured), (job.stations, rounds, job.measured));
            }
            Err(problems) => prop_assert!(false, "{}", problems),
        }
    }

    #[test]
    fn no_file_panics(bytes in vec(any::<u8>(), 0..200), which in 0..4_usize) {
        no_panic(which, &bytes);
    }

    #[test]
    fn no_table_panics(
        text in "(sep=[;,\t]\n)?((station|along|width|bevel|round|against|overlap|lift|plane|from|to|count)[,;\t]){0,8}\n([0-9.,;\t\"/ eE+-]|line|\n|Mar|é){0,80}",
        which in 0..4_usize,
    ) {
        no_panic(which, text.as_bytes());
    }

    #[test]
    fn no_settings_panic(text in "((title|spare|units|\\[reading\\]|\\[planes[.]a\\]|gap_sd|sole)( = )?([0-9.e-]{0,6}|\"[a-z/0-9]{0,4}\"|\\[|\\{)\n){0,8}") {
        no_panic(3, text.as_bytes());
    }
}

/// Reads a folder with one odd file; that it comes back at all is the promise, and
/// that an error says something.
fn no_panic(which: usize, bytes: &[u8]) {
    let names = ["stations.csv", "readings.csv", "strokes.csv", "joint.toml"];
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(dir.path().join("stations.csv"), "station,along,width,bevel\n1,0,12,6\n2,300,30,6\n")
        .expect("written");
    fs::write(dir.path().join(names[which]), bytes).expect("written");
    if let Err(problems) = job::read(dir.path()) {
        assert!(problems.list().iter().all(|p| !p.next.is_empty() && !p.expected.is_empty()));
    }
}

#[test]
fn nothing_is_overwritten() {
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(dir.path().join("strokes.csv"), "mine").expect("written");
    let job = Job {
        title: None,
        unit: Unit::Mm,
        mold: Mold::Round,
        wood: None,
        thickness: None,
        spare: None,
        reading: ReadingErrors::default(),
        leaves: Vec::new(),
        tolerance: Tolerance::default(),
        planes: vec![Plane::default()],
        planes_of_bowl: false,
        measured: Measured::Along,
        stations: Vec::new(),
        rounds: Vec::new(),
        warnings: Vec::new(),
    };
    let error = record::write_folder(&job, dir.path()).expect_err("there already").to_string();
    assert!(error.contains("strokes.csv is there already. Next: "), "{error}");
    assert!(!dir.path().join("joint.toml").exists());
    assert!(record::write_table(&job, &dir.path().join("strokes.csv"), &Style::default()).is_err());
    assert_eq!(fs::read(dir.path().join("strokes.csv")).expect("read"), b"mine");
}
