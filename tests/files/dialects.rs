//! Every spreadsheet dialect gives the same joint.

use std::fs;

use ribwright::job::{self, Against, Angle, Job, Measured, Problems, Unit};
use tempfile::TempDir;

const SETTINGS: &str = "title = \"invented oud, joint 3\"\nmold = \"faceted\"\nwood = \"walnut\"\nthickness = 1.6\n\
    spare = 3\n[reading]\ngap_sd = 0.08\n[tolerance]\nforce = 5\n[planes.short]\nsole = 240\nwidth = 50\n\
    [planes.long]\nshaving = 0.06\n";
const STATIONS: &str =
    "station,along,width,bevel,rise\nneck,0,12.5,6,0\n2,120.25,30,6,80.125\ntail,300,18,5.5,0\n";
const READINGS: &str = "round,station,against,overlap,lift,rebent\n1,neck,line,0.435,0.1,\n1,2,line,-0.21,,\n\
    1,tail,line,1.2,0,\n2,neck,neighbour,-0.05,0.02,yes\n2,tail,neighbour,0,,\n";
const STROKES: &str =
    "round,plane,from,to,count,shaving_from,shaving_to\n1,long,neck,tail,2,neck,2\n1,short,2,tail,1,,\n";

fn folder(files: &[(&str, Vec<u8>)]) -> TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    for (name, bytes) in files {
        fs::write(dir.path().join(name), bytes).expect("written");
    }
    dir
}

fn joint(files: &[(&str, Vec<u8>)]) -> Result<Job, Problems> {
    job::read(folder(files).path())
}

/// The whole folder with every table passed through `change`.
fn changed(change: impl Fn(&str) -> Vec<u8>) -> Result<Job, Problems> {
    joint(&[
        ("joint.toml", SETTINGS.into()),
        ("stations.csv", change(STATIONS)),
        ("readings.csv", change(READINGS)),
        ("strokes.csv", change(STROKES)),
    ])
}

fn plain() -> Job {
    changed(|t| t.into()).expect("the plain folder")
}

#[test]
fn the_plain_folder_is_read_as_it_stands() {
    let job = plain();
    assert_eq!(job.title.as_deref(), Some("invented oud, joint 3"));
    assert_eq!((job.unit, job.measured, job.spare), (Unit::Mm, Measured::Along, Some(3.0)));
    assert_eq!((job.reading.gap, job.reading.line, job.tolerance.force), (0.08, 0.3, Some(5.0)));
    let names: Vec<&str> = job.planes.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["short", "long"]);
    assert_eq!((job.planes[1].sole, job.planes[1].shaving), (600.0, 0.06));
    assert_eq!((job.stations[1].along, job.stations[1].rise), (120.25, Some(80.125)));
    assert_eq!(job.stations[2].bevel, Angle::degrees(5.5));
    assert_eq!((job.rounds[0].against, job.rounds[0].rebent), (Against::Line, false));
    assert_eq!((job.rounds[1].against, job.rounds[1].rebent), (Against::Neighbour, true));
    assert_eq!(job.rounds[0].readings[1].overlap, Some(-0.21));
    assert_eq!(job.rounds[0].readings[1].lift, None);
    assert_eq!(job.rounds[1].readings[1], Default::default());
    let strokes = &job.rounds[0].strokes;
    assert_eq!((strokes[0].plane, strokes[0].from, strokes[0].to, strokes[0].count), (1, 0, 2, 2));
    assert_eq!((strokes[0].shaving, strokes[1].shaving), (Some((0, 1)), None));
    assert_eq!(job.warnings, []);
}

fn semicolons(text: &str) -> String {
    text.replace(',', ";").replace('.', ",")
}

fn quoted(text: &str) -> String {
    let line =
        |l: &str| l.split(',').map(|c| format!("\"{}\"", c.replace('.', ","))).collect::<Vec<_>>().join(",");
    text.lines().map(|l| line(l) + "\n").collect()
}

fn utf16(text: &str, bytes: fn(u16) -> [u8; 2], mark: bool) -> Vec<u8> {
    let mark = mark.then_some(0xfeff);
    mark.into_iter().chain(text.encode_utf16()).flat_map(bytes).collect()
}

#[test]
fn every_dialect_gives_the_same_joint() {
    type Change = Box<dyn Fn(&str) -> Vec<u8>>;
    let text = |f: fn(&str) -> String| -> Change { Box::new(move |t| f(t).into()) };
    let dialects: Vec<(&str, Change)> = vec![
        ("semicolons, decimal commas", text(semicolons)),
        ("semicolons, decimal points", text(|t| t.replace(',', ";"))),
        ("tabs, decimal points", text(|t| t.replace(',', "\t"))),
        ("tabs, decimal commas", text(|t| t.replace(',', "\t").replace('.', ","))),
        ("commas, quoted decimal commas", text(quoted)),
        ("sep line", text(|t| format!("sep=;\n{}", semicolons(t)))),
        ("quoted sep line", text(|t| format!("\"sep=;\"\r\n{}", semicolons(t)))),
        ("sep line with a tab", text(|t| format!("SEP=\t\n{}", t.replace(',', "\t")))),
        ("sep line with a comma", text(|t| format!("sep=,\n{t}"))),
        ("byte order mark", text(|t| format!("\u{feff}{t}"))),
        ("byte order mark and sep line", text(|t| format!("\u{feff}sep=;\n{}", semicolons(t)))),
        ("CRLF", text(|t| t.replace('\n', "\r\n"))),
        ("CR alone", text(|t| t.replace('\n', "\r"))),
        ("no line end at the end", text(|t| t.trim_end().into())),
        ("empty rows", text(|t| t.replace('\n', "\n\n") + ",,,\n\n")),
        ("empty rows above", text(|t| format!("\n,,\n{t}"))),
        ("empty columns", text(|t| t.replace('\n', ",,,\n"))),
        ("spaces", text(|t| t.replace(',', " ,  "))),
        ("capitals", text(|t| t.replacen("station", "STATION", 1).replace("round,", "Round,"))),
        ("unicode minus", text(|t| t.replace("-0", "\u{2212}0"))),
        ("UTF-16 LE", Box::new(|t| utf16(t, u16::to_le_bytes, true))),
        ("UTF-16 BE", Box::new(|t| utf16(t, u16::to_be_bytes, true))),
        ("UTF-16 LE without a mark", Box::new(|t| utf16(t, u16::to_le_bytes, false))),
        ("UTF-16 BE without a mark", Box::new(|t| utf16(t, u16::to_be_bytes, false))),
        (
            "UTF-16 with tabs and decimal commas",
            Box::new(|t| {
                utf16(&t.replace(',', "\t").replace('.', ",").replace('\n', "\r\n"), u16::to_le_bytes, true)
            }),
        ),
        ("columns in another order", text(reversed)),
        ("notes over several lines", text(|t| with_column(t, "note", "\"two\nlines, and \"\"more\"\"\""))),
    ];
    let plain = plain();
    for (name, change) in dialects {
        match changed(change) {
            Ok(job) => assert_eq!(job, plain, "{name}"),
            Err(problems) => panic!("{name}: {problems}"),
        }
    }
}

fn reversed(text: &str) -> String {
    let line = |l: &str| l.split(',').rev().collect::<Vec<_>>().join(",");
    text.lines().map(|l| line(l) + "\n").collect()
}

fn with_column(text: &str, name: &str, cell: &str) -> String {
    let line = |(i, l): (usize, &str)| format!("{l},{}\n", if i == 0 { name } else { cell });
    text.lines().enumerate().map(line).collect()
}

#[test]
fn latin1_is_understood() {
    let latin1 = |text: &str| text.chars().map(|c| u8::try_from(u32::from(c)).expect("Latin-1")).collect();
    let change = |t: &str| t.replace("neck", "köpf").replace("tail", "fuß");
    let read = changed(|t| latin1(&change(t))).expect("Latin-1");
    assert_eq!(read, changed(|t| change(t).into()).expect("UTF-8"));
    assert_eq!(read.stations[0].name, "köpf");
}

#[test]
fn a_gap_is_an_overlap_with_the_opposite_sign() {
    let gaps = "round,station,against,gap,lift,rebent\n1,neck,line,-0.435,0.1,\n1,2,line,0.21,,\n\
        1,tail,line,-1.2,0,\n2,neck,neighbour,0.05,0.02,yes\n2,tail,neighbour,0,,\n";
    let read = changed(|t| if t == READINGS { gaps.into() } else { t.into() }).expect("gaps");
    assert_eq!(read, plain());
}

#[test]
fn arc_in_place_of_along_is_noted() {
    let read = changed(|t| t.replace("along", "arc").into()).expect("arc");
    assert_eq!(read, Job { measured: Measured::Arc, ..plain() });
}

/// A number in inches, exactly as the reader converts it.
fn inch(value: f64) -> f64 {
    value * 25.4
}

#[test]
fn inches_and_their_fractions_are_read_exactly() {
    let job = joint(&[
        (
            "joint.toml",
            "units = \"inch\"\nspare = 0.125\nthickness = \"1/16\"\n[planes.short]\nsole = 9.5\n".into(),
        ),
        (
            "stations.csv",
            "station,along,width,bevel,rise\n1,0,11/32,6,0\n2,5 1/2,1 3/32,6.5,-1/16\n3,12\",¾,6°,0\n".into(),
        ),
        (
            "readings.csv",
            "round,station,against,overlap,lift\n1,1,line,-1/16,1/64\n1,2,line,\u{2212}1\u{2044}32,0.01 in\n"
                .into(),
        ),
    ])
    .expect("inches");
    assert_eq!((job.unit, job.spare, job.thickness), (Unit::Inch, Some(inch(0.125)), Some(inch(0.0625))));
    assert_eq!((job.planes[0].sole, job.planes[0].width), (inch(9.5), 70.0));
    let widths: Vec<f64> = job.stations.iter().map(|s| s.width).collect();
    assert_eq!(widths, [0.34375, 1.09375, 0.75].map(inch));
    assert_eq!((job.stations[1].along, job.stations[1].rise), (inch(5.5), Some(inch(-0.0625))));
    assert_eq!(job.stations[1].bevel, Angle::degrees(6.5));
    assert_eq!(job.rounds[0].readings[0].overlap, Some(inch(-0.0625)));
    assert_eq!(job.rounds[0].readings[1].overlap, Some(inch(-0.03125)));
    assert_eq!(job.rounds[0].readings[1].lift, Some(inch(0.01)));
}

/// One table in a file of its own.
fn single(text: &str) -> Result<Job, Problems> {
    let dir = folder(&[("try.csv", text.into())]);
    job::read(&dir.path().join("try.csv"))
}

#[test]
fn a_single_table_is_round_one_against_the_line() {
    let job = single("station;along;width;bevel;rise;overlap;lift\n1;0;12,5;6;0;0,435;0,1\n2;300;30;6;1;;\n")
        .expect("a single table");
    assert_eq!(job.rounds.len(), 1);
    assert_eq!((job.rounds[0].against, job.rounds[0].readings[0].overlap), (Against::Line, Some(0.435)));
    assert_eq!(job.rounds[0].readings[1], Default::default());
    assert_eq!(codes(&job), ["no-spare", "default-plane"]);
}

#[test]
fn a_single_table_may_hold_gaps_and_seats() {
    let job = single("station,along,width,bevel,gap,seat\n1,0,12.5,6,-0.435,0.1\n2,300,30,6,0.2,\n")
        .expect("a single table");
    let [first, second] = &job.rounds[0].readings[..] else { panic!("two stations") };
    assert_eq!((first.overlap, first.seat, second.overlap), (Some(0.435), Some(0.1), Some(-0.2)));
}

#[test]
fn a_single_table_holds_several_rounds() {
    let table = "round,station,against,along,width,bevel,overlap\n1,a,line,0,12,6,0.5\n1,b,line,300,30,6,0.25\n\
        2,a,neighbour,0,12,6,-0.1\n2,b,neighbour,,,,0\n";
    let job = single(table).expect("a single table");
    assert_eq!((job.stations.len(), job.rounds.len()), (2, 2));
    assert_eq!((job.rounds[1].against, job.rounds[1].readings[1].overlap), (Against::Neighbour, Some(0.0)));
}

#[test]
fn only_stations_are_needed() {
    let job = joint(&[("stations.csv", STATIONS.into())]).expect("no rounds yet");
    assert_eq!((job.rounds.len(), job.planes.len(), job.planes[0].name.as_str()), (0, 1, "long"));
    assert_eq!(job.tolerance, Default::default());
}

fn codes(job: &Job) -> Vec<&str> {
    job.warnings.iter().map(|w| w.code).collect()
}

#[test]
fn extra_columns_are_named_and_kept_out_of_the_way() {
    let change =
        |t: &str| with_column(&with_column(t, "Weather", "dry, warm").replace("dry, warm", "dry"), "", "x");
    let job = changed(|t| change(t).into()).expect("extra columns");
    assert_eq!(Job { warnings: Vec::new(), ..job.clone() }, plain());
    assert_eq!(codes(&job), ["extra-columns"; 3]);
    let text = &job.warnings[0].text;
    assert!(text.contains("stations.csv: 'Weather', the nameless column 7 not read."), "{text}");
}

#[test]
fn what_a_maker_should_know_is_a_warning() {
    let readings = "round,station,against,overlap\n1,neck,neighbour,0\n1,2,neighbour,-0.2\n1,tail,neighbour,0.1\n\
        2,neck,line,0.1\n";
    let job = joint(&[("stations.csv", STATIONS.into()), ("readings.csv", readings.into())])
        .expect("odd, not wrong");
    let all =
        ["no-spare", "default-plane", "line-after-neighbour", "overlap-against-neighbour", "no-strokes"];
    assert_eq!(codes(&job), all);
    assert!(job.warnings[0].text.contains("nothing bounds the slice"));
    assert!(job.warnings[2].text.contains("round 2 was read against a line although round 1"));
    assert!(job.warnings[3].text.contains("at tail"));
    assert!(job.warnings[4].text.contains("after round 1"));
}

#[test]
fn more_rounds_than_a_joint_needs_are_told() {
    let rounds = |count: usize| {
        let row = |k| format!("{k},neck,neighbour,0\n{k},2,neighbour,-0.2\n{k},tail,neighbour,0\n");
        let readings = format!("round,station,against,overlap\n{}", (1..=count).map(row).collect::<String>());
        joint(&[("stations.csv", STATIONS.into()), ("readings.csv", readings.into())]).expect("sound")
    };
    assert!(!codes(&rounds(23)).contains(&"many-rounds"));
    let told = rounds(24).warnings;
    let told = told.iter().find(|w| w.code == "many-rounds").expect("told");
    assert!(told.text.contains("24 rounds") && told.text.contains("the longer an answer takes"), "{told:?}");
}

#[test]
fn decimal_commas_that_may_have_fallen_apart_are_suspected() {
    let stations = "station,along,width,bevel\n1,0,12,6\n2,300,30,6\n";
    let readings = "round,station,against,overlap,lift\n1,1,line,0,4\n1,2,line,0,2\n";
    let job = joint(&[("stations.csv", stations.into()), ("readings.csv", readings.into())])
        .expect("whole numbers");
    assert!(codes(&job).contains(&"whole-numbers"));
    let told = readings.replace("0,4", "0.0,4.0");
    let job =
        joint(&[("stations.csv", stations.into()), ("readings.csv", told.into_bytes())]).expect("points");
    assert!(!codes(&job).contains(&"whole-numbers"));
}
