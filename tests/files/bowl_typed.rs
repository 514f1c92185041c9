//! Girths and marks typed at the bench: what is asked, what is saved, and what the
//! program says comes next, followed from command to command.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use ribwright::job::bowl::{Mark, read_bowl};
use tempfile::TempDir;

fn run(arguments: &[&str], input: &str) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    command.args(arguments).write_stdin(input).output().expect("it runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn words(output: &Output) -> String {
    let all = text(&output.stdout) + &text(&output.stderr);
    all.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A fresh bowl of five ribs with four stations.
fn fresh(more: &[&str]) -> (TempDir, PathBuf) {
    let dir = tempfile::tempdir().expect("a folder");
    let bowl = dir.path().join("my bowl");
    let usual = ["new", at(&bowl), "--ribs", "5", "--stations", "4"];
    let output = run(&[&usual, more].concat(), "");
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    (dir, bowl)
}

const MM: [&str; 4] = ["--length", "480", "--width", "348"];

fn at(path: &Path) -> &str {
    path.to_str().expect("UTF-8")
}

fn girths(bowl: &Path) -> Vec<(usize, Vec<Option<f64>>)> {
    read_bowl(bowl).expect("sound").girths.into_iter().map(|g| (g.after, g.at)).collect()
}

#[test]
fn a_girth_is_typed_saved_and_shared_out_at_once() {
    let (_dir, bowl) = fresh(&MM);
    let output = run(&["divide", at(&bowl), "--enter"], "41,5\nback\n42\nfour\n440\n\n105\ny\n");
    let said = words(&output);
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert_eq!(girths(&bowl), [(0, vec![Some(42.0), Some(440.0), None, Some(105.0)])]);
    assert!(said.contains("from rim to rim") && said.contains("'four' is no number"), "{said}");
    assert!(said.contains("The girth is saved.") && said.contains("Make rib 1 as wide"), "{said}");
    // The same girth can't be read twice.
    let again = run(&["divide", at(&bowl), "--enter"], "");
    assert_eq!(again.status.code(), Some(2));
    let says = "the girth with no rib fitted is written there already. Next: correct it there, or say after how many \
                ribs you measured, such as --after 1.";
    assert!(words(&again).contains(says), "{}", words(&again));
    assert_eq!(girths(&bowl).len(), 1);
    // What it said works, and is then refused in the same words.
    let later = ["divide", at(&bowl), "--enter", "--after", "1"];
    assert_eq!(run(&later, "33\n352\n428\n84\ny\n").status.code(), Some(0));
    let again = words(&run(&later, ""));
    assert!(again.contains("the girth after rib 1 is written") && again.contains("--after 2."), "{again}");
}

/// With as many ribs fitted as there are no girth is left to measure.
#[test]
fn a_girth_behind_the_last_rib_is_refused_before_it_is_asked_for() {
    let (_dir, bowl) = fresh(&MM);
    for after in ["5", "6", "98"] {
        for more in [&["--after", after][..], &["--enter", "--after", after]] {
            let output = run(&[&["divide", at(&bowl)], more].concat(), &"100\n".repeat(5));
            assert_eq!(output.status.code(), Some(2), "{}", words(&output));
            let says = format!(
                "--after: found {after}; expected fitted ribs from 0 to 4, since the bowl has 5. Next: "
            );
            assert!(words(&output).contains(&says) && output.stdout.is_empty(), "{}", words(&output));
        }
    }
    let output = run(&["divide", at(&bowl), "--enter", "--after", "4"], "9\n88\n108\n23\ny\n");
    assert_eq!((output.status.code(), girths(&bowl)[0].0), (Some(0), 4), "{}", words(&output));
    assert!(words(&output).contains("the last rib makes up for that."), "{}", words(&output));
}

/// Rounds enough that fit at a joint of a bowl, and marks behind it, if wanted.
fn fitted_to(bowl: &Path, joint: usize, marked: bool) {
    closed_in(8, bowl, joint);
    if marked {
        put(bowl, joint, "marks.csv", format!("station,compass,edge\n{}", rows(&|i| format!("{i},30,31\n"))));
    }
}

/// Rounds in which nothing stood open at a joint.
fn closed_in(rounds: usize, bowl: &Path, joint: usize) {
    let round = |round: usize| rows(&|i| format!("{round},{i},neighbour,0,0\n"));
    let readings = (1..=rounds).map(round).collect::<String>();
    put(bowl, joint, "readings.csv", format!("round,station,against,overlap,lift\n{readings}"));
}

fn rows(row: &dyn Fn(usize) -> String) -> String {
    (1..=4).map(row).collect()
}

fn put(bowl: &Path, joint: usize, name: &str, text: String) {
    fs::write(bowl.join(format!("joints/{joint:02}/{name}")), text).expect("written");
}

/// Where nothing stood open in round after round, nothing is planed because of what isn't certain.
#[test]
fn nothing_is_planed_for_certainty() {
    for rounds in 2..=6 {
        let (_dir, bowl) = fresh(&MM);
        closed_in(rounds, &bowl, 1);
        let told = words(&run(&["advise", at(&bowl.join("joints/01")), "--json"], ""));
        assert!(told.contains("\"verdict\"") && !told.contains("\"verdict\": \"plane\""), "{rounds}: {told}");
    }
}

/// Wherever the work stands, what is told of a girth is taken.
#[test]
fn a_girth_that_is_asked_for_is_taken() {
    let mut told = 0;
    for joint in 0..=4 {
        for marked in [false, true] {
            let (_dir, bowl) = fresh(&MM);
            if joint > 0 {
                fitted_to(&bowl, joint, marked);
            }
            let after = joint + usize::from(joint > 0 && marked);
            let left = |width: f64| format!("{:.1}\n", width * 5usize.saturating_sub(after) as f64);
            // As wide as the ribs are laid out at the four stations.
            let girth = [8.1, 87.4, 107.1, 22.1].map(left).concat() + "y\n";
            // The second time the girth that was due has been read.
            for _ in 0..2 {
                let (state, shared) = (run(&["bowl", at(&bowl)], ""), run(&["divide", at(&bowl)], ""));
                let said = format!("{} {}", words(&state), words(&shared));
                let done = [format!("Joint {joint} is fitted"), "Every joint is fitted".into()];
                assert!(joint == 0 || done.iter().any(|d| said.contains(d)), "{said}");
                let enter = run(&["divide", at(&bowl), "--enter"], &girth);
                let place = format!("joint {joint}, marked {marked}: {said} {}", words(&enter));
                if said.contains("divide --enter") {
                    assert_eq!(enter.status.code(), Some(0), "{place}");
                    told += 1;
                } else {
                    assert!(enter.status.code() == Some(2) && words(&enter).contains("Next: "), "{place}");
                }
            }
        }
    }
    // Before the first joint (twice), behind each of the four, and behind the marks of three:
    // those of the last rib leave nothing.
    assert_eq!(told, 9);
}

#[test]
fn nothing_is_saved_that_was_not_confirmed() {
    let (_dir, bowl) = fresh(&MM);
    let joint = bowl.join("joints/01");
    let enter = [["divide", at(&bowl), "--enter"], ["mark", at(&joint), "--enter"]];
    let typed = [("41\n\n530\n109\n", "girth.csv"), ("3\n4\n0\n\n\n\n", "joints/01/marks.csv")];
    for (command, (typed, kept)) in enter.iter().zip(typed) {
        let refused = format!("{typed}n\n");
        for (input, status) in [("41\nstop\n", 0), (refused.as_str(), 0), (typed, 1), ("", 1)] {
            let output = run(command, input);
            assert_eq!(output.status.code(), Some(status), "{command:?} {input:?}: {}", words(&output));
            assert!(words(&output).to_lowercase().contains("nothing was saved"), "{command:?} {input:?}");
            assert!(!bowl.join(kept).exists(), "{command:?} {input:?}");
        }
    }
}

#[test]
fn two_stations_are_no_line_and_are_not_saved() {
    let (_dir, bowl) = fresh(&MM);
    for (command, input) in [("divide", "42\n440\n\n\ny\n"), ("mark", "3\n4\n\n86\n87\n\n\n\ny\n")] {
        let folder = if command == "divide" { bowl.clone() } else { bowl.join("joints/01") };
        let output = run(&[command, at(&folder), "--enter"], input);
        assert_eq!(output.status.code(), Some(2), "{command}: {}", words(&output));
        assert!(words(&output).contains("fewer than three stations"), "{command}: {}", words(&output));
        assert!(!bowl.join("girth.csv").exists() && !bowl.join("joints/01/marks.csv").exists());
    }
}

#[test]
fn marks_are_typed_in_the_makers_unit_and_a_station_may_be_left_out() {
    let (_dir, bowl) = fresh(&["--length", "19", "--width", "13.5", "--units", "inch"]);
    let joint = bowl.join("joints/01");
    // Compass, edge, reference; the second station is not measured; the third and the fourth
    // have the reference line where the first has it, since no other is typed.
    let typed = "1/4\n\n0.3\n1/8\n\n4\n4.1\n\n0.7\n0.8\n\ny\n";
    let output = run(&["mark", at(&joint), "--enter"], typed);
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    let read = read_bowl(&bowl).expect("sound");
    let mark = |compass: f64, edge: f64, reference: f64| {
        // One inch is 25.4 mm exactly (the international yard of 1959).
        Some(Mark { compass: compass * 25.4, edge: edge * 25.4, reference: reference * 25.4 })
    };
    let near = |a: &Option<Mark>, b: &Option<Mark>| match (a, b) {
        (Some(a), Some(b)) => {
            let apart = [a.compass - b.compass, a.edge - b.edge, a.reference - b.reference];
            apart.iter().all(|d| d.abs() < 1e-3)
        }
        (a, b) => a.is_none() && b.is_none(),
    };
    let marks = &read.joint(1).expect("there").marks;
    let wanted = [mark(0.25, 0.3, 0.125), None, mark(4.0, 4.1, 0.125), mark(0.7, 0.8, 0.125)];
    assert!(marks.iter().zip(&wanted).all(|(a, b)| near(a, b)), "{marks:?}");
    assert!(words(&output).contains("This one is needed"), "{}", words(&output));
    // The second time only the station that was left out is asked for.
    let output = run(&["mark", at(&joint), "--enter"], "3.2\n3.3\n\ny\n");
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    assert!(!words(&output).contains("1, compass") && words(&output).contains("2, compass"));
    let full = run(&["mark", at(&joint), "--enter"], "");
    assert_eq!(full.status.code(), Some(2));
    assert!(words(&full).contains("without --enter"), "{}", words(&full));
}

#[test]
fn what_comes_next_can_be_copied_whole_and_works() {
    let (_dir, bowl) = fresh(&MM);
    let output = text(&run(&["bowl", at(&bowl)], "").stdout);
    let commands: Vec<&str> = output.lines().filter_map(|l| l.strip_prefix("  ribwright ")).collect();
    let quoted = |command: &str, folder: &Path| format!("{command} '{}'", folder.display());
    assert_eq!(commands, [quoted("divide --enter", &bowl), quoted("enter", &bowl.join("joints/01"))]);
    let marks = run(&["mark", at(&bowl.join("joints/01"))], "");
    assert!(words(&marks).contains("ribwright mark --enter '"), "{}", words(&marks));
    // After a round: the joint is in work, or its next step is told.
    let read = run(&["enter", at(&bowl.join("joints/01"))], &format!("n\n{}y\n", "0.3\n0.1\n".repeat(4)));
    assert_eq!(read.status.code(), Some(0), "{}", words(&read));
    let output = text(&run(&["bowl", at(&bowl)], "").stdout);
    assert!(
        output.contains(&format!("  ribwright {}", quoted("advise", &bowl.join("joints/01")))),
        "{output}"
    );
}

/// What is printed runs in a shell as it stands, in a folder with an apostrophe too.
#[cfg(unix)]
#[test]
fn a_command_that_is_told_runs_in_a_shell() {
    let dir = tempfile::tempdir().expect("a folder");
    let bowl = dir.path().join("the joiner's bowl");
    let made = run(&[&["new", at(&bowl), "--ribs", "5"][..], &MM].concat(), "");
    let said = text(&made.stdout);
    let told = said.lines().find(|l| l.trim_start().starts_with("ribwright enter ")).expect("told");
    let program = Path::new(env!("CARGO_BIN_EXE_ribwright")).parent().expect("a folder");
    let mut shell = Command::new("/bin/sh");
    let output =
        shell.args(["-c", told]).env("PATH", program).write_stdin("stop\n").output().expect("it runs");
    assert_eq!(output.status.code(), Some(0), "{told}: {}", words(&output));
    assert!(text(&output.stdout).contains("Joint 1"), "{}", words(&output));
}

#[test]
fn advice_ends_with_the_command_that_goes_on() {
    let demo = |name: &str| text(&run(&["advise", &format!("demo-readings/{name}")], "").stdout);
    let last = |name: &str| demo(name).lines().last().expect("lines").to_owned();
    assert_eq!(last("plain"), "When planed: ribwright planed demo-readings/plain");
    assert_eq!(last("mistyped"), "Next: ribwright enter demo-readings/mistyped --station 5");
    let fitted = last("bowl/joints/01");
    assert!(
        fitted.starts_with("Next: ribwright bowl ") && fitted.ends_with("demo-readings/bowl"),
        "{fitted}"
    );
    assert_eq!(last("bowl/joints/04"), "Next: ribwright enter demo-readings/bowl/joints/04");
    // Nothing can be added to a single table, and a joint alone that is fitted is done.
    assert!(!demo("first-try.csv").contains("ribwright planed") && !demo("fitted").contains("Next:"));
    let plane = text(&run(&["advise", "demo-readings/shallow", "--surface", "plane"], "").stdout);
    assert!(
        plane.ends_with("When planed: ribwright planed --surface plane demo-readings/shallow\n"),
        "{plane}"
    );
}

#[test]
fn a_new_bowl_takes_the_plane_at_hand() {
    let (_dir, bowl) = fresh(&[&MM[..], &["--sole", "400", "--shaving", "0,05", "--spare", "2"]].concat());
    let job = &read_bowl(&bowl).expect("sound").joints[2].job;
    assert_eq!((job.planes[0].sole, job.planes[0].shaving, job.spare), (400.0, 0.05, Some(2.0)));
    assert_eq!(job.title.as_deref(), Some("Joint 3"));
    let toml = fs::read_to_string(bowl.join("joints/03/joint.toml")).expect("there");
    assert!(toml.contains("spare = 2") && !toml.contains("planes"), "{toml}");
    let (_dir, plain) = fresh(&MM);
    let said = words(&run(&[&["new", at(&plain.join("y")), "--ribs", "5"][..], &MM].concat(), ""));
    let says = "Where your plane differs, change that in bowl.toml, once for all joints; the spare width stands in the \
                joint.toml of every joint.";
    assert!(said.contains(says), "{said}");
    let other = bowl.join("x");
    let thick = [&["new", at(&other), "--ribs", "5"][..], &MM, &["--shaving", "7"]].concat();
    let wrong = run(&thick, "");
    assert_eq!(wrong.status.code(), Some(2), "{}", words(&wrong));
    assert!(words(&wrong).contains("--shaving: found 7; expected"), "{}", words(&wrong));
    assert!(!other.exists());
}

/// A measured shaving is corrected at one place; a joint's own planes take its place there.
#[test]
fn planes_stand_once_for_all_joints() {
    let (_dir, bowl) = fresh(&MM);
    let file = bowl.join("bowl.toml");
    let text = fs::read_to_string(&file).expect("there");
    fs::write(&file, text.replace("shaving = 0.08", "shaving = 0.11")).expect("written");
    let own = "[planes.short]\nshaving = 0.05\n";
    fs::write(bowl.join("joints/02/joint.toml"), own).expect("written");
    let read = read_bowl(&bowl).expect("sound");
    let told = |joint: usize| {
        let shaving = |job: &ribwright::job::Job| (job.planes.len(), job.planes[0].shaving);
        let [within, alone] = [&read.joint(joint).expect("there").job, &alone(&bowl, joint)].map(shaving);
        assert_eq!(within, alone, "joint {joint}");
        within
    };
    assert_eq!([1, 2, 3, 4].map(told), [(1, 0.11), (1, 0.05), (1, 0.11), (1, 0.11)]);
    // Strokes are held to these planes, and the file to be corrected is named.
    fitted_to(&bowl, 1, false);
    fs::write(bowl.join("joints/01/strokes.csv"), "round,plane,from,to,count\n1,short,1,4,1\n")
        .expect("written");
    let said = words(&run(&["advise", at(&bowl.join("joints/01"))], ""));
    assert!(said.contains("describe the plane in bowl.toml as [planes.NAME]"), "{said}");
    // A bowl whose planes can't be read leaves no joint to reckon with others unnoticed.
    fs::write(&file, text.replace("shaving = 0.08", "shaving = 8")).expect("written");
    let wrong = run(&["advise", at(&bowl.join("joints/03"))], "");
    assert_eq!(wrong.status.code(), Some(2), "{}", words(&wrong));
    assert!(
        words(&wrong).contains("bowl.toml, line") && words(&wrong).contains("found '8'"),
        "{}",
        words(&wrong)
    );
    assert_eq!(run(&["advise", at(&bowl.join("joints/02"))], "").status.code(), Some(0));
}

fn alone(bowl: &Path, joint: usize) -> ribwright::job::Job {
    ribwright::job::read(&bowl.join(format!("joints/{joint:02}"))).expect("sound")
}

#[test]
fn a_girth_that_hardly_can_be_is_asked_for_twice() {
    let (_dir, bowl) = fresh(&MM);
    let enter = ["divide", at(&bowl), "--enter"];
    // 10 where about 40 is left, and then 44; a doubted one that is given twice is kept.
    let output = run(&enter, "10\n44\n437\n675,5\n675,5\n111\ny\n");
    let said = words(&output);
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert!(said.contains("is left here as the bowl is laid out, not 10.00 mm. Look again"), "{said}");
    assert_eq!(girths(&bowl), [(0, vec![Some(44.0), Some(437.0), Some(675.5), Some(111.0)])]);
    // More than was left before can't be kept by giving it twice.
    let later = ["divide", at(&bowl), "--enter", "--after", "1"];
    let output = run(&later, "52\n52\n34\n350\n428\n88\ny\n");
    let said = words(&output);
    assert_eq!(output.status.code(), Some(0), "{said}");
    let says = "52.00 mm is more than the 44.00 mm that was read here with no rib fitted, and every rib covers some.";
    assert_eq!(said.matches(says).count(), 2, "{said}");
    assert_eq!(girths(&bowl)[1].1[0], Some(34.0));
}

/// Whatever is confirmed, a girth that nothing can be made of is not saved.
#[test]
fn a_girth_that_leaves_no_room_is_not_saved() {
    let (_dir, bowl) = fresh(&[&MM[..], &["--spacer", "3"]].concat());
    let output = run(&["divide", at(&bowl), "--enter"], "5\n5\n5\n5\n5\n5\n5\n5\ny\n");
    let said = words(&output);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("leaves no room for 5 ribs") && said.contains("Nothing was saved."), "{said}");
    assert!(!bowl.join("girth.csv").exists());
}

#[test]
fn a_mark_that_hardly_can_be_is_asked_for_twice() {
    let (_dir, bowl) = fresh(&MM);
    let joint = bowl.join("joints/01");
    // Station 2: the edge a centimetre off, and a compass a centimetre off with its edge.
    let typed = "8\n9\n\n87\n98\n88\n0\n117\n118\n0\nback\nback\nback\n107\n108\n0\n22\n23\n0\ny\n";
    let output = run(&["mark", at(&joint), "--enter"], typed);
    let said = words(&output);
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert!(
        said.contains("The edge would stand 11.00 mm outside the line on the mold. Look again"),
        "{said}"
    );
    assert!(!said.contains("put the line 117.00 mm"), "within the room of a bowl as laid out: {said}");
    let compass: Vec<f64> = read_bowl(&bowl)
        .expect("sound")
        .joint(1)
        .expect("there")
        .marks
        .iter()
        .flatten()
        .map(|m| m.compass)
        .collect();
    assert_eq!(compass, [8.0, 87.0, 107.0, 22.0]);
    // Once the girth tells the width, a centimetre is noticed; Enter alone keeps nothing that is in doubt.
    fs::remove_file(joint.join("marks.csv")).expect("removed");
    fs::write(bowl.join("girth.csv"), "after,station,girth\n1,1,32\n1,2,350\n1,3,428\n1,4,88\n")
        .expect("written");
    let typed = "8\n9\n\n97\n98\n\n\nback\nback\n87\n88\n\n107\n108\n\n22\n23\n\ny\n";
    let output = run(&["mark", at(&joint), "--enter"], typed);
    let said = words(&output);
    assert_eq!(output.status.code(), Some(0), "{said}");
    let says = "Compass and reference together put the line 97.00 mm from the joint edge; by the girth it lies at about";
    assert_eq!(said.matches(says).count(), 1, "{said}");
    assert!(said.contains("The marks are saved."), "{said}");
}

/// A table that was just written is not told to be another one misnamed.
#[test]
fn a_girth_that_was_typed_is_read() {
    let (_dir, bowl) = fresh(&MM);
    let output = run(&["divide", at(&bowl), "--enter"], "41\n437\n535\n111\ny\n");
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    let joint = bowl.join("joints/01");
    for (command, folder) in [("divide", &bowl), ("bowl", &bowl), ("spacer", &joint), ("advise", &joint)] {
        let said = words(&run(&[command, at(folder)], ""));
        assert!(!said.contains("is not read"), "{command}: {said}");
    }
    fs::rename(bowl.join("girth.csv"), bowl.join("girths.csv")).expect("renamed");
    let said = words(&run(&["divide", at(&bowl)], ""));
    assert!(said.contains("girths.csv is not read. Rename it to girth.csv"), "{said}");
}

/// Links in a circle inside a bowl lead whoever copies by following folders nowhere.
#[cfg(unix)]
#[test]
fn links_in_a_circle_inside_a_bowl_are_not_followed() {
    let (_dir, bowl) = fresh(&MM);
    for place in ["x", "y", "joints/x", "joints/y", "joints/01/x", "joints/01/y"] {
        std::os::unix::fs::symlink(".", bowl.join(place)).expect("linked");
    }
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    command.timeout(std::time::Duration::from_secs(60));
    command.args(["divide", at(&bowl), "--enter"]).write_stdin("41\n437\n535\n111\ny\n");
    let output = command.output().expect("it runs");
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    assert_eq!(girths(&bowl).len(), 1);
}

/// What the documents lay out from the command line, questions lay out too.
#[test]
fn questions_lead_to_the_shallow_bowl_of_the_documents() {
    let dir = tempfile::tempdir().expect("a folder");
    let outline = "demo-readings/bowl/outline.csv";
    let [told, asked] = ["told", "asked"].map(|name| dir.path().join(name));
    let more =
        ["--spacer", "1.2", "--sole", "400", "--shaving", "0.06", "--spare", "2", "--wood", "black walnut"];
    let line = ["new", at(&told), "--ribs", "13", "--outline", outline, "--depth", "110"];
    let output = run(&[&line[..], &more].concat(), "");
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    let answers = format!("13\n{outline}\n110\n1,2\n400\n0.06\n2\nebony\nBlack walnut\n");
    let output = run(&["new", at(&asked)], &answers);
    let said = words(&output);
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert!(
        said.contains("'ebony': how this wood bends and moves isn't known; expected one of black walnut,"),
        "{said}"
    );
    assert!(said.contains("or unknown: then the force"), "{said}");
    let files = |bowl: &Path| {
        ["bowl.toml", "joints/01/joint.toml", "joints/12/stations.csv"]
            .map(|name| fs::read_to_string(bowl.join(name)).expect("there"))
    };
    assert_eq!(files(&asked), files(&told));
    // Enter alone takes what stands in brackets, as the command line does without the options.
    let [plain, taken] = ["plain", "taken"].map(|name| dir.path().join(name));
    assert_eq!(run(&[&["new", at(&plain), "--ribs", "13"][..], &MM].concat(), "").status.code(), Some(0));
    let output = run(&["new", at(&taken)], "13\n480\n348\n\n\n\n\n\n\n");
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    assert!(words(&output).contains("a round bowl [174.00 mm]"), "{}", words(&output));
    assert_eq!(files(&taken), files(&plain));
}

#[test]
fn length_and_width_exchanged_are_noticed() {
    let dir = tempfile::tempdir().expect("a folder");
    let bowl = dir.path().join("b");
    let output = run(&["new", at(&bowl)], "13\n348\n480\n480\n348\n\n\n\n\n\n\n");
    let said = words(&output);
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert!(
        said.contains("348.00 mm long and 480.00 mm wide is wider than long: were the two exchanged?"),
        "{said}"
    );
    let other = dir.path().join("c");
    let output = run(&["new", at(&other), "--ribs", "13", "--length", "348", "--width", "480"], "");
    assert_eq!(output.status.code(), Some(2), "{}", words(&output));
    assert!(words(&output).contains("Next: exchange them"), "{}", words(&output));
    assert!(!other.exists());
}

#[test]
fn a_wood_that_is_not_known_is_refused_or_taken_as_such() {
    let dir = tempfile::tempdir().expect("a folder");
    let new = |wood: &str| {
        let bowl = dir.path().join("b");
        run(&[&["new", at(&bowl), "--ribs", "13", "--wood", wood][..], &MM].concat(), "")
    };
    for (wood, says) in
        [("ebony", "yellow birch, black cherry, or unknown"), ("maple", "probably sugar maple")]
    {
        let output = new(wood);
        assert_eq!(output.status.code(), Some(2), "{}", words(&output));
        assert!(words(&output).contains(says), "{}", words(&output));
    }
    let output = new("unknown");
    assert_eq!(output.status.code(), Some(0), "{}", words(&output));
    assert!(
        words(&output).contains("No wood is named, so the force that closes a gap"),
        "{}",
        words(&output)
    );
    assert_eq!(read_bowl(&dir.path().join("b")).expect("sound").settings.wood, None);
}
