//! What is wrong with a file is said with file, row, column, content, expectation
//! and next step; all of it at once. The messages are pinned as a maker reads them.

use std::fs;

use ribwright::job::{self, Problem};

const STATIONS: &str = "station,along,width,bevel\n1,0,12.5,6\n2,120,30,6\n3,300,18,6\n";
const READINGS: &str =
    "round,station,against,overlap,lift\n1,1,line,0.4,0.1\n1,2,line,-0.2,\n1,3,line,1.2,0\n";
const STROKES: &str = "round,plane,from,to,count\n1,long,1,3,2\n";

/// The problems of a folder in which some files stand in for the sound ones.
fn problems(files: &[(&str, &[u8])]) -> Vec<Problem> {
    let dir = tempfile::tempdir().expect("a folder");
    let sound = [("stations.csv", STATIONS), ("readings.csv", READINGS), ("strokes.csv", STROKES)];
    for (name, text) in sound {
        fs::write(dir.path().join(name), text).expect("written");
    }
    for (name, bytes) in files {
        fs::write(dir.path().join(name), bytes).expect("written");
    }
    let problems = job::read(dir.path()).expect_err("a faulty folder");
    let short = |p: &Problem| {
        let file = p.file.rsplit('/').next().unwrap_or_default().to_string();
        Problem { file, ..p.clone() }
    };
    problems.list().iter().map(short).collect()
}

/// Every message of a folder with one faulty file.
fn said(name: &str, text: impl AsRef<[u8]>) -> Vec<String> {
    problems(&[(name, text.as_ref())]).iter().map(ToString::to_string).collect()
}

/// A table with one piece of it replaced.
fn with(table: &str, old: &str, new: &str) -> String {
    assert!(table.contains(old), "{old}");
    table.replacen(old, new, 1)
}

/// Each table with what is said about it.
fn pinned(name: &str, cases: &[(String, &[&str])]) {
    for (text, messages) in cases {
        assert_eq!(said(name, text), *messages, "{text}");
    }
}

#[test]
fn numbers_that_can_be_read_in_two_ways_are_refused() {
    pinned(
        "stations.csv",
        &[
            (
                with(STATIONS, "12.5", "12,5"),
                &[
                    "stations.csv, row 2: found '1,0,12,5,6'; expected at most 4 cells, as in the header row, not 5. Next: if a decimal comma split a cell, save the table with semicolons or with decimal points; else put the cells under their columns.",
                ],
            ),
            (
                "station;along;width;bevel\n1;0;1.234;6\n2;120;2.500;6\n".to_string(),
                &[
                    "stations.csv, row 2, column width: found '1.234'; expected a number that can be read in one way only; '1.234' may be a decimal point or a separator of thousands. Next: write one more decimal (1.2340) if it is a decimal mark, else leave the mark out.",
                ],
            ),
            (
                "station;along;width;bevel\n1;0;12,5;6\n2;1.200;30;6\n".to_string(),
                &[
                    "stations.csv, row 3, column along: found '1.200'; expected one decimal mark in the whole file; '12,5' in row 2 has a decimal comma. Next: write all numbers with the same decimal mark and without separators of thousands.",
                ],
            ),
            (
                "station,along,width,bevel\n1,0,12.5,6\n2,120,\"30,5\",6\n".to_string(),
                &[
                    "stations.csv, row 3, column width: found '30,5'; expected one decimal mark in the whole file; '12.5' in row 2 has a decimal point. Next: write all numbers with the same decimal mark and without separators of thousands.",
                ],
            ),
            (
                "station,along,width,bevel\n1,0,\"1,234\",6\n2,120,30,6\n".to_string(),
                &[
                    "stations.csv, row 2, column width: found '1,234'; expected a number that can be read in one way only; '1,234' may be a decimal comma or a separator of thousands. Next: write one more decimal (1,2340) if it is a decimal mark, else leave the mark out.",
                ],
            ),
            (
                "station;along;width;bevel\n1;0;12,5;6\n2;1.234,5;30;6\n".to_string(),
                &[
                    "stations.csv, row 3, column along: found '1.234,5'; expected a number without separators of thousands. Next: write it without them, with one decimal mark at most.",
                    "readings.csv, row 4, column station: found '3'; expected the name of a station of this joint. Next: use one of: 1, 2.",
                    "strokes.csv, row 2, column to: found '3'; expected the name of a station of this joint. Next: use one of: 1, 2.",
                ],
            ),
            (
                with(STATIONS, "120", "1,200.5"),
                &[
                    "stations.csv, row 3: found '2,1,200.5,30,6'; expected at most 4 cells, as in the header row, not 5. Next: if a decimal comma split a cell, save the table with semicolons or with decimal points; else put the cells under their columns.",
                ],
            ),
            (
                with(STATIONS, "120", "1 200"),
                &[
                    "stations.csv, row 3, column along: found '1 200'; expected a number without separators of thousands. Next: write it without them, with one decimal mark at most.",
                ],
            ),
            (
                with(STATIONS, "120", "012"),
                &[
                    "stations.csv, row 3, column along: found '012'; expected a number that does not begin with a needless 0. Next: put the decimal mark in its place if it was lost, else leave the 0 out.",
                ],
            ),
            (
                with(STATIONS, "120", "NaN"),
                &[
                    "stations.csv, row 3, column along: found 'NaN'; expected a number. Next: write a number such as 0.4, or leave the cell empty if it may be.",
                ],
            ),
            (
                with(STATIONS, "120", "inf"),
                &[
                    "stations.csv, row 3, column along: found 'inf'; expected a number. Next: write a number such as 0.4, or leave the cell empty if it may be.",
                ],
            ),
            (
                with(STATIONS, "120", "1e308"),
                &[
                    "stations.csv, row 3, column along: found '1e308'; expected a place along the joint from -3000 to 3000 mm. Next: check the number and write it again.",
                ],
            ),
            (
                with(STATIONS, "120", "1e999"),
                &[
                    "stations.csv, row 3, column along: found '1e999'; expected a number. Next: write plain digits with one decimal mark, such as 0.4.",
                ],
            ),
            (
                with(STATIONS, "120", "twelve"),
                &[
                    "stations.csv, row 3, column along: found 'twelve'; expected a number. Next: write a number such as 0.4, or leave the cell empty if it may be.",
                ],
            ),
            (
                with(STATIONS, "120", "11/32"),
                &[
                    "stations.csv, row 3, column along: found '11/32'; expected millimetres or degrees as a decimal number. Next: if lengths are in inches, set units = \"inch\" in joint.toml; else write a decimal number.",
                ],
            ),
            (
                with(STATIONS, "120", "12 in"),
                &[
                    "stations.csv, row 3, column along: found '12 in'; expected a number alone, without 'in'. Next: write the number alone; the unit of all lengths is set by units in joint.toml.",
                ],
            ),
        ],
    );
}

#[test]
fn units_and_columns_mistaken_are_caught_by_ranges() {
    pinned(
        "stations.csv",
        &[
            (
                "station,along,width,bevel\n1,0,12,6\n2,15,30,6\n".to_string(),
                &[
                    "stations.csv, row 3, column along: found '15 mm in all'; expected a length from the first station to the last from 100 to 2500 mm. Next: write it again; probably centimetres (150 mm): write millimetres, or inches (381 mm): set units = \"inch\" in joint.toml.",
                    "readings.csv, row 4, column station: found '3'; expected the name of a station of this joint. Next: use one of: 1, 2.",
                    "strokes.csv, row 2, column to: found '3'; expected the name of a station of this joint. Next: use one of: 1, 2.",
                ],
            ),
            (
                with(STATIONS, "30,6", "30,80"),
                &[
                    "stations.csv, row 3, column bevel: found '80'; expected a bevel from -30 to 45 degrees. Next: write it again; probably measured from the face rather than from square: then 10 degrees.",
                ],
            ),
            (
                with(STATIONS, "12.5", "1250"),
                &[
                    "stations.csv, row 2, column width: found '1250'; expected a width of a rib from 0.5 to 200 mm. Next: write it again; probably 125 or 12.5 mm whose decimal mark was lost.",
                ],
            ),
            (
                with(STATIONS, "12.5", "0"),
                &[
                    "stations.csv, row 2, column width: found '0'; expected a width of a rib from 0.5 to 200 mm. Next: check the number and write it again.",
                ],
            ),
            (
                with(STATIONS, "300", "30000"),
                &[
                    "stations.csv, row 4, column along: found '30000'; expected a place along the joint from -3000 to 3000 mm. Next: write it again; probably 3000 or 300 mm whose decimal mark was lost.",
                ],
            ),
        ],
    );
}

#[test]
fn the_stations_table_is_checked_as_a_whole() {
    pinned(
        "stations.csv",
        &[
            (
                with(STATIONS, "2,120", "1,120"),
                &[
                    "stations.csv, row 3, column station: found '1'; expected a name of its own; row 2 has the same. Next: rename one of the two stations, or delete one row.",
                ],
            ),
            (
                with(STATIONS, "120", "300"),
                &[
                    "stations.csv, row 4, column along: found '300'; expected more than in row 3, since along grows from station to station. Next: correct the place, or put the stations in order from the neck end to the tail end.",
                ],
            ),
            (
                with(STATIONS, "30,6", ",6"),
                &[
                    "stations.csv, row 3, column width: nothing stands there; expected the rib's width at this station. Next: fill the cell in.",
                ],
            ),
            (
                with(STATIONS, "30,6", "30,"),
                &[
                    "stations.csv, row 3, column bevel: nothing stands there; expected the bevel in degrees from square, 0 for a square joint. Next: fill the cell in.",
                ],
            ),
            (
                with(STATIONS, "2,120", ",120"),
                &[
                    "stations.csv, row 3, column station: nothing stands there; expected a station's name or number. Next: name the station, or empty the whole row.",
                ],
            ),
            (
                "station,along,width,bevel,rise\n1,0,12,6,0\n2,120,30,6,\n3,300,18,6,\n".to_string(),
                &[
                    "stations.csv, row 3, column rise: nothing stands there; expected a value at every station or at none; empty cells here: 2. Next: fill the column in, or empty it.",
                ],
            ),
            (
                with(STATIONS, "width", "widht"),
                &[
                    "stations.csv, row 1, column width: expected a column width; the columns here are station, along, widht, bevel. Next: rename the column 'widht' to 'width' if it is that.",
                ],
            ),
            (
                with(STATIONS, "along", "along (cm)"),
                &[
                    "stations.csv, row 1, column along: expected a column along or arc; the columns here are station, along (cm), width, bevel. Next: rename the column 'along (cm)' to 'along' if it is that.",
                ],
            ),
            (
                with(STATIONS, "width,", "width,width,"),
                &[
                    "stations.csv, row 1, column width: expected one column named width, not two. Next: rename or remove one of the two.",
                ],
            ),
            (
                "station,along,arc,width,bevel\n1,0,0,12,6\n2,120,121,30,6\n".to_string(),
                &[
                    "stations.csv, row 1, column arc: expected either along or arc, not both. Next: keep one of the two columns.",
                ],
            ),
            (
                "1,0,12.5,6\n2,120,30,6\n".to_string(),
                &[
                    "stations.csv, row 1: found '1,0,12.5,6'; expected a header row with names such as station, along, arc, width, bevel, rise, outer_bevel, inner_bevel, out_of_plane, note. Next: put a row with the columns' names first, and nothing above it.",
                ],
            ),
            (
                "station,along,width,bevel\n".to_string(),
                &["stations.csv: expected at least one station. Next: add a row for each station."],
            ),
            (
                "".to_string(),
                &[
                    "stations.csv: expected a table, but nothing stands in the file. Next: write the stations into it.",
                ],
            ),
            (
                "\n\n,,,\n".to_string(),
                &[
                    "stations.csv: expected a table, but nothing stands in the file. Next: write the stations into it.",
                ],
            ),
            (
                "station,along,width,bevel\n\"1,0,12,6\n2,120,30,6\n".to_string(),
                &[
                    "stations.csv, row 2: found '1,0,12,6\\n2,120,30,6'; expected a closing quote for every opening one. Next: close the quoted cell, or delete its quote.",
                ],
            ),
            (
                "station,along,width,bevel\n\"1\"st,0,12,6\n2,120,30,6\n".to_string(),
                &[
                    "stations.csv, row 2: found '1 0 12 6'; expected nothing between a closing quote and the end of its cell. Next: write a quote inside a quoted cell twice, or delete the quotes.",
                ],
            ),
            (
                "sep=|\nstation|along|width|bevel\n".to_string(),
                &[
                    "stations.csv, row 1: found 'sep=|'; expected a comma, a semicolon or a tab behind sep=. Next: write sep=, or sep=; or sep= and a tab, or delete the line.",
                ],
            ),
            (
                "sep=;\nstation;along;width;bevel\n\n1;0;12,5;6\n2;120;0,1;6\n".to_string(),
                &[
                    "stations.csv, row 5, column width: found '0,1'; expected a width of a rib from 0.5 to 200 mm. Next: write it again; probably centimetres (1 mm): write millimetres, or inches (2.54 mm): set units = \"inch\" in joint.toml.",
                    "readings.csv, row 4, column station: found '3'; expected the name of a station of this joint. Next: use one of: 1, 2.",
                    "strokes.csv, row 2, column to: found '3'; expected the name of a station of this joint. Next: use one of: 1, 2.",
                ],
            ),
            (
                "station,along,width,bevel\n1,0,12,5,6\n2,120,30,5,6\n".to_string(),
                &[
                    "stations.csv, row 2: found '1,0,12,5,6'; expected at most 4 cells, as in the header row, not 5. Next: if a decimal comma split a cell, save the table with semicolons or with decimal points; else put the cells under their columns.",
                    "stations.csv, row 3: found '2,120,30,5,6'; expected at most 4 cells, as in the header row, not 5. Next: if a decimal comma split a cell, save the table with semicolons or with decimal points; else put the cells under their columns.",
                ],
            ),
        ],
    );
}

#[test]
fn readings_are_checked() {
    pinned(
        "readings.csv",
        &[
            (
                with(READINGS, "0.4,0.1", "0.4,400"),
                &[
                    "readings.csv, row 2, column lift: found '400'; expected a lift from 0 to 20 mm. Next: write it again; probably 0.4 mm whose decimal mark was lost, or hundredths of a millimetre (4 mm).",
                ],
            ),
            (
                with(READINGS, "0.4,0.1", "0.4,-0.1"),
                &[
                    "readings.csv, row 2, column lift: found '-0.1'; expected a lift from 0 to 20 mm. Next: read it again: a lift is 0 where nothing stands off and never below; leave the cell empty if it was not read.",
                ],
            ),
            (
                with(READINGS, "0.4,0.1", "40,0.1"),
                &[
                    "readings.csv, row 2, column overlap: found '40'; expected an overlap from -25 to 25 mm. Next: write it again; probably 0.04 mm whose decimal mark was lost, or hundredths of a millimetre (0.4 mm).",
                ],
            ),
            (
                with(READINGS, "1,2,line", "1,4,line"),
                &[
                    "readings.csv, row 3, column station: found '4'; expected the name of a station of this joint. Next: use one of: 1, 2, 3.",
                ],
            ),
            (
                with(READINGS, "1,2,line", "1,1,line"),
                &[
                    "readings.csv, row 3, column station: found '1'; expected one row for a station in a round; row 2 has the same. Next: delete one of the two rows, or correct its round or station; if the place was read again while the rib lay as it was, number the two in a column 'reading'.",
                ],
            ),
            (
                with(READINGS, "1,2,line", "1,,line"),
                &[
                    "readings.csv, row 3, column station: nothing stands there; expected a station's name. Next: name the station, or empty the whole row.",
                ],
            ),
            (
                with(READINGS, "1,3,line", "3,3,line"),
                &[
                    "readings.csv, row 4, column round: found '3'; expected round 2 first: rounds count from 1 without holes. Next: renumber the rounds, or add the missing one.",
                ],
            ),
            (
                with(READINGS, "1,1,line", "0,1,line"),
                &[
                    "readings.csv, row 2, column round: found '0'; expected a round's number from 1 to 999, without decimals. Next: write a whole number from 1 to 999.",
                ],
            ),
            (
                with(READINGS, "1,1,line", "one,1,line"),
                &[
                    "readings.csv, row 2, column round: found 'one'; expected a round's number from 1 to 999, without decimals. Next: write a whole number from 1 to 999.",
                ],
            ),
            (
                with(READINGS, "1,1,line", "1.5,1,line"),
                &[
                    "readings.csv, row 2, column round: found '1.5'; expected a round's number from 1 to 999, without decimals. Next: write a whole number from 1 to 999.",
                ],
            ),
            (
                with(READINGS, "1,1,line", ",1,line"),
                &[
                    "readings.csv, row 2, column round: nothing stands there; expected the round's number, from 1. Next: fill the cell in.",
                ],
            ),
            (
                with(READINGS, "1,2,line", "1,2,neighbour"),
                &[
                    "readings.csv, row 3, column against: found 'neighbour'; expected 'line' as in row 2: one for the whole of round 1. Next: correct it, or make it a round of its own.",
                ],
            ),
            (
                with(READINGS, "1,2,line", "1,2,neigbour"),
                &[
                    "readings.csv, row 3, column against: found 'neigbour'; expected neighbour or line. Next: write 'neighbour' if that was meant.",
                ],
            ),
            (
                with(READINGS, "1,2,line", "1,2,paper"),
                &[
                    "readings.csv, row 3, column against: found 'paper'; expected neighbour or line. Next: write what the rib was held against in this round.",
                ],
            ),
            (
                "round,station,against,overlap\n1,1,,0.4\n1,2,,0.2\n".to_string(),
                &[
                    "readings.csv, row 2, column against: nothing stands there; expected neighbour or line. Next: write what the rib was held against in this round.",
                ],
            ),
            (
                "round,station,against,overlap\n1,1,line,\n1,2,line,\n".to_string(),
                &[
                    "readings.csv, row 2, column overlap: nothing stands there; expected at least one reading in round 1. Next: write the readings in, or delete the rows of this round.",
                ],
            ),
            (
                "round,station,against,overlap,rebent\n1,1,line,0.1,yes\n1,2,line,0.2,no\n".to_string(),
                &[
                    "readings.csv, row 3, column rebent: found 'no'; expected the same as in row 2: one for the whole of round 1. Next: write yes in one row of the round and leave the others empty, or yes in all.",
                ],
            ),
            (
                "round,station,against,overlap,rebent\n1,1,line,0.1,maybe\n".to_string(),
                &[
                    "readings.csv, row 2, column rebent: found 'maybe'; expected yes or no. Next: write yes or no, or leave the cell empty for no.",
                ],
            ),
            (
                "round,station,against,overlap,gap\n1,1,line,0.1,-0.1\n".to_string(),
                &[
                    "readings.csv, row 1, column gap: expected either overlap or gap, not both. Next: keep one of the two columns.",
                ],
            ),
            (
                "round,station,overlap\n1,1,0.1\n".to_string(),
                &[
                    "readings.csv, row 1, column against: expected a column against; the columns here are round, station, overlap. Next: add the column 'against' to the header row, with its cells.",
                ],
            ),
            (
                "round,station,against,lift\n1,1,line,0.1\n".to_string(),
                &[
                    "readings.csv, row 1, column overlap: expected a column overlap or gap; the columns here are round, station, against, lift. Next: add the column 'overlap' (wood too much is positive) or 'gap' (daylight is positive) to the header row, with its cells.",
                ],
            ),
            (
                "round,station,against,overlap\n1,1,neighbour,0.1\n1,2,neighbour,0.3\n1,3,neighbour,0\n"
                    .to_string(),
                &[
                    "readings.csv, row 2, column overlap: found '0.1'; expected 0 or below 0 against the neighbour, since wood can't pass into wood. Next: name the column 'gap' if that is what it holds, or change the signs of this round.",
                ],
            ),
            (
                "round,station,against,gap\n1,1,neighbour,-0.1\n1,2,neighbour,-0.3\n".to_string(),
                &[
                    "readings.csv, row 2, column gap: found '-0.1'; expected 0 or above 0 against the neighbour, since wood can't pass into wood. Next: name the column 'overlap' if that is what it holds, or change the signs of this round.",
                ],
            ),
        ],
    );
}

#[test]
fn strokes_are_checked() {
    pinned(
        "strokes.csv",
        &[
            (
                with(STROKES, "1,long", "1,lonng"),
                &[
                    "strokes.csv, row 2, column plane: found 'lonng'; expected a plane that joint.toml describes. Next: write 'long' if that was meant, or describe the plane in joint.toml as [planes.NAME].",
                ],
            ),
            (
                with(STROKES, "1,long", "1,"),
                &[
                    "strokes.csv, row 2, column plane: nothing stands there; expected the name of a plane. Next: write the plane's name as in joint.toml.",
                ],
            ),
            (
                with(STROKES, "1,long", "2,long"),
                &[
                    "strokes.csv, row 2, column round: found '2'; expected a round of readings.csv, 1 to 1. Next: correct the round, or add its readings first.",
                ],
            ),
            (
                with(STROKES, "1,3,2", "3,1,2"),
                &[
                    "strokes.csv, row 2, column from: found '3'; expected a station not after that of 'to' (1). Next: swap 'from' and 'to'.",
                ],
            ),
            (
                with(STROKES, "1,3,2", "1,9,2"),
                &[
                    "strokes.csv, row 2, column to: found '9'; expected the name of a station of this joint. Next: use one of: 1, 2, 3.",
                ],
            ),
            (
                with(STROKES, "1,3,2", ",3,2"),
                &[
                    "strokes.csv, row 2, column from: nothing stands there; expected the name of a station. Next: write the station where it began or ended.",
                ],
            ),
            (
                with(STROKES, "1,3,2", "1,3,0"),
                &[
                    "strokes.csv, row 2, column count: found '0'; expected a number of pushes from 1 to 999, without decimals. Next: write a whole number from 1 to 999.",
                ],
            ),
            (
                with(STROKES, "1,3,2", "1,3,2.5"),
                &[
                    "strokes.csv, row 2, column count: found '2.5'; expected a number of pushes from 1 to 999, without decimals. Next: write a whole number from 1 to 999.",
                ],
            ),
            (
                with(STROKES, "1,3,2", "1,3,"),
                &[
                    "strokes.csv, row 2, column count: nothing stands there; expected the number of pushes. Next: fill the cell in.",
                ],
            ),
            (
                "round,plane,from,to,count,shaving_from,shaving_to\n1,long,1,2,2,1,\n".to_string(),
                &[
                    "strokes.csv, row 2, column shaving_to: nothing stands there; expected a station, since 'shaving_from' has one. Next: fill both in, or neither.",
                ],
            ),
            (
                "round,plane,from,to,count,shaving_from,shaving_to\n1,long,1,2,2,1,3\n".to_string(),
                &[
                    "strokes.csv, row 2, column shaving_to: found '3'; expected a station inside the stroke's run. Next: correct it, or correct 'from' and 'to'.",
                ],
            ),
            (
                "round,plane,from,to,count,shaving_from,shaving_to\n1,long,1,3,2,3,1\n".to_string(),
                &[
                    "strokes.csv, row 2, column shaving_from: found '3'; expected a station not after that of 'shaving_to' (1). Next: swap 'shaving_from' and 'shaving_to'.",
                ],
            ),
        ],
    );
}

#[test]
fn settings_are_checked() {
    pinned(
        "joint.toml",
        &[
            (
                "spaer = 3\n".to_string(),
                &[
                    "joint.toml, line 1, key spaer: expected one of the keys at the top: title, units, mold, wood, thickness, spare, reading, tolerance, planes. Next: write 'spare' if that was meant.",
                ],
            ),
            (
                "[tolerance]\nconfidance = 0.9\n".to_string(),
                &[
                    "joint.toml, line 2, key confidance: expected one of the keys of [tolerance]: gap, lift, confidence, overcut, force. Next: write 'confidence' if that was meant.",
                ],
            ),
            (
                "[reading]\nspare = 3\n".to_string(),
                &[
                    "joint.toml, line 2, key spare: expected one of the keys of [reading]: gap_sd, line_sd, lift_sd, seat_sd, leaves. Next: move it above the first [section].",
                ],
            ),
            (
                "spare = \"three\"\n".to_string(),
                &[
                    "joint.toml, line 1, key spare: found '\"three\"'; expected a spare width from 0.01 to 30 mm. Next: write a plain number with a decimal point, without quotes.",
                ],
            ),
            (
                "spare = 3,5\n".to_string(),
                &[
                    "joint.toml, line 1: found 'spare = 3,5'; expected lines such as spare = 3.0 or [section]. Next: write numbers with a decimal point here, such as 0.1.",
                ],
            ),
            (
                "title = walnut\n".to_string(),
                &[
                    "joint.toml, line 1: found 'title = walnut'; expected lines such as spare = 3.0 or [section] (string values must be quoted, expected literal string). Next: correct the line; text stands in quotes, numbers don't, and each key comes once.",
                ],
            ),
            (
                "units = \"cm\"\n".to_string(),
                &[
                    "joint.toml, line 1, key units: found '\"cm\"'; expected \"mm\" or \"inch\". Next: write \"mm\" or \"inch\", and all lengths in that unit.",
                ],
            ),
            (
                "mold = 3\n".to_string(),
                &[
                    "joint.toml, line 1, key mold: found '3'; expected \"round\" or \"faceted\". Next: put the text in double quotes.",
                ],
            ),
            (
                "title = 3\n".to_string(),
                &[
                    "joint.toml, line 1, key title: found '3'; expected the joint's title in quotes. Next: put the text in double quotes.",
                ],
            ),
            (
                "reading = 3\n".to_string(),
                &[
                    "joint.toml, line 1, key reading: found '3'; expected a section [reading]. Next: write a line [reading] at the end of the file, and its keys below it: gap_sd, line_sd, lift_sd, seat_sd, leaves.",
                ],
            ),
            (
                "planes = \"long\"\n".to_string(),
                &[
                    "joint.toml, line 1, key planes: found '\"long\"'; expected planes by name. Next: head each plane with a line such as [planes.long].",
                ],
            ),
            (
                "planes.long = 3\n".to_string(),
                &[
                    "joint.toml, line 1, key long: found '3'; expected a section [planes.long]. Next: write a line [planes.long] at the end of the file, and its keys below it: sole, width, shaving, shortest.",
                ],
            ),
            (
                "spare = -1\nthickness = 0\n[reading]\ngap_sd = 0\nlift_sd = -0.1\n".to_string(),
                &[
                    "joint.toml, line 1, key spare: found '-1'; expected a spare width from 0.01 to 30 mm. Next: check the number and write it again.",
                    "joint.toml, line 2, key thickness: found '0'; expected a thickness of a rib from 0.3 to 10 mm. Next: check the number and write it again.",
                    "joint.toml, line 4, key gap_sd: found '0'; expected a standard deviation of a reading from 0.001 to 5 mm. Next: check the number and write it again.",
                    "joint.toml, line 5, key lift_sd: found '-0.1'; expected a standard deviation of a reading from 0.001 to 5 mm. Next: check the number and write it again.",
                ],
            ),
            (
                "[tolerance]\nconfidence = 90\novercut = 0.5\ngap = 0\nforce = 0\n".to_string(),
                &[
                    "joint.toml, line 2, key confidence: found '90'; expected a confidence between 0.5 and 1. Next: write it again; probably 0.9, a share of 1.",
                    "joint.toml, line 3, key overcut: found '0.5'; expected a chance of taking too much between 0 and 0.5. Next: check the number and write it again.",
                    "joint.toml, line 4, key gap: found '0'; expected a tolerance from 0.001 to 5 mm. Next: check the number and write it again.",
                    "joint.toml, line 5, key force: found '0'; expected a force in newtons from 0.1 to 500 N. Next: check the number and write it again.",
                ],
            ),
            (
                "[tolerance]\nconfidence = 0.5\novercut = 0\n".to_string(),
                &[
                    "joint.toml, line 2, key confidence: found '0.5'; expected a confidence between 0.5 and 1. Next: check the number and write it again.",
                    "joint.toml, line 3, key overcut: found '0'; expected a chance of taking too much between 0 and 0.5. Next: check the number and write it again.",
                ],
            ),
            (
                "[planes.long]\nsole = 0\nshaving = nan\nwidth = inf\nshortest = -5\nsoul = 3\n".to_string(),
                &[
                    "joint.toml, line 2, key sole: found '0'; expected a length of a sole from 20 to 2000 mm. Next: check the number and write it again.",
                    "joint.toml, line 3, key shaving: found 'nan'; expected a thickness of a shaving from 0.005 to 1 mm. Next: check the number and write it again.",
                    "joint.toml, line 4, key width: found 'inf'; expected a width of a sole from 5 to 200 mm. Next: check the number and write it again.",
                    "joint.toml, line 5, key shortest: found '-5'; expected a shortest run of a stroke from 1 to 2000 mm. Next: check the number and write it again.",
                    "joint.toml, line 6, key soul: expected one of the keys of [planes.long]: sole, width, shaving, shortest. Next: delete the key, or correct it.",
                ],
            ),
            (
                "spare = 3\nspare = 4\n".to_string(),
                &[
                    "joint.toml, line 2: found 'spare = 4'; expected lines such as spare = 3.0 or [section] (duplicate key). Next: correct the line; text stands in quotes, numbers don't, and each key comes once.",
                ],
            ),
            (
                "units = \"inch\"\nthickness = 1.6\n".to_string(),
                &[
                    "joint.toml, key units: found 'inch'; expected the unit of all lengths in this folder; 7 of them, such as '120' for along in row 3 of stations.csv, can only be millimetres. Next: write units = \"mm\", or leave the key out; if it is in inches after all, correct those lengths.",
                ],
            ),
            (
                "spare = \"1/8\"\n".to_string(),
                &[
                    "joint.toml, line 1, key spare: found '\"1/8\"'; expected a spare width from 0.01 to 30 mm. Next: write a plain number with a decimal point, without quotes.",
                ],
            ),
            (
                "spare = 0x3\n".to_string(),
                &[
                    "joint.toml, line 1, key spare: found '0x3'; expected a spare width from 0.01 to 30 mm. Next: write a plain number with a decimal point, without quotes.",
                ],
            ),
        ],
    );
}

#[test]
fn all_errors_of_all_files_are_reported_at_once() {
    let files: [(&str, &[u8]); 4] = [
        ("joint.toml", b"spaer = 3\n[reading]\ngap_sd = -1\n"),
        ("stations.csv", b"station,along,width,bevel\n1,0,,6\n2,120,30,80\n3,300,18,6\n"),
        ("readings.csv", b"round,station,against,overlap,lift\n1,1,line,x,400\n1,9,line,0.1,\n"),
        ("strokes.csv", b"round,plane,from,to,count\n1,long,3,1,0\n"),
    ];
    let places: Vec<String> = problems(&files)
        .iter()
        .map(|p| format!("{} {} {}", p.file, p.row.unwrap_or(0), p.column.as_deref().unwrap_or("-")))
        .collect();
    let expected = [
        "joint.toml 1 spaer",
        "joint.toml 3 gap_sd",
        "stations.csv 2 width",
        "stations.csv 3 bevel",
        "readings.csv 2 overlap",
        "readings.csv 2 lift",
        "readings.csv 3 station",
        "strokes.csv 2 count",
        "strokes.csv 2 from",
    ];
    assert_eq!(places, expected);
}

#[test]
fn one_message_a_line() {
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(dir.path().join("stations.csv"), "station,along,width,bevel\n1,0,,\n").expect("written");
    let text = job::read(dir.path()).expect_err("faulty").to_string();
    assert_eq!(text.lines().count(), 2, "{text}");
}

#[test]
fn rows_are_counted_with_sep_line_blank_rows_and_quoted_line_ends() {
    let text =
        "sep=,\n\nround,station,against,overlap,note\n1,1,line,0.1,\"two\nlines\"\n\n1,2,line,wrong,\n";
    let found = problems(&[("readings.csv", text.as_bytes())]);
    assert_eq!(found[0].row, Some(6), "{found:?}");
    // A quote inside a cell, blanks around one, CR before CRLF: a blank row.
    let text =
        "station,along,width,bevel,note\r\n\"say \"\"so\"\"\",0, 12 ,6,\"two\nlines\" \r\r\n2,120,wrong,6,\n";
    let found = problems(&[("stations.csv", text.as_bytes()), ("readings.csv", b""), ("strokes.csv", b"")]);
    let wrong = found.iter().find(|p| p.found.as_deref() == Some("wrong")).expect("told");
    assert_eq!(wrong.row, Some(4), "{found:?}");
}

#[test]
fn fractions_that_became_dates_are_named_as_that() {
    for (cell, meant) in [
        ("16-Mar", "probably 3/16"),
        ("Nov 32", "probably 11/32"),
        ("11-Mar", "probably a fraction"),
        ("2026-11-32", "probably 11/32"),
        ("Nov-32", "probably 11/32"),
        ("11.03.2026", "probably a fraction"),
        ("3/16/2026", "probably 3/16"),
        ("05. Mrz", "probably a fraction"),
        ("01/02/2026", "probably 1/2"),
        ("8-déc", "probably a fraction"),
        ("2026-03-16", "probably 3/16"),
        ("3/1/1932", "probably a fraction"),
        ("Nov-1932", "probably 11/32"),
        ("2026-03-16 00:00:00", "probably 3/16"),
    ] {
        let readings = format!("round,station,against,overlap\n1,1,line,{cell}\n");
        let stations = "station,along,width,bevel\n1,0,1/2,6\n2,5,1 1/4,6\n3,12,3/4,6\n";
        let files: [(&str, &[u8]); 3] = [
            ("joint.toml", b"units = \"inch\""),
            ("stations.csv", stations.as_bytes()),
            ("readings.csv", readings.as_bytes()),
        ];
        let found = problems(&files);
        assert_eq!(found.len(), 1, "{cell}: {found:?}");
        assert_eq!((found[0].row, found[0].column.as_deref()), (Some(2), Some("overlap")), "{cell}");
        assert_eq!(found[0].found.as_deref(), Some(cell));
        assert!(found[0].expected.contains("a spreadsheet made a date out of it"), "{}", found[0]);
        assert!(found[0].expected.contains(meant), "{cell}: {}", found[0]);
        assert!(found[0].next.contains("plain text"), "{}", found[0]);
    }
}

#[test]
fn a_number_of_days_is_named_as_a_date() {
    let files: [(&str, &[u8]); 3] = [
        ("joint.toml", b"units = \"inch\""),
        ("stations.csv", b"station,along,width,bevel\n1,0,46097,6\n2,5,1 1/4,6\n3,12,3/4,6\n"),
        ("readings.csv", b"round,station,against,overlap\n1,1,line,0\n"),
    ];
    let found = problems(&files);
    assert!(found.len() == 1 && found[0].next.contains("turned a fraction into a date"), "{found:?}");
}

#[test]
fn without_a_known_unit_ranges_and_fractions_are_not_judged() {
    let files: [(&str, &[u8]); 2] = [
        ("joint.toml", b"units = \"feet\""),
        ("stations.csv", b"station,along,width,bevel\n1,0,1/2,6\n2,5,1 1/4,6\n3,12,3/4,6\n"),
    ];
    let found = problems(&files);
    assert_eq!(found.len(), 1, "{found:?}");
}

#[test]
fn what_is_no_text_is_told() {
    let binary: [&[u8]; 5] =
        [b"PK\x03\x04\x00\x00", b"\x00\x00\x00", b"\xff\xfea", b"station\x00,along", b"\x7fELF\x02\x01"];
    for bytes in binary {
        for name in ["stations.csv", "readings.csv", "strokes.csv", "joint.toml"] {
            let found = problems(&[(name, bytes)]);
            assert_eq!(found[0].file, name);
            assert!(found[0].expected.contains("plain text"), "{name}: {}", found[0]);
        }
    }
}

#[test]
fn nothing_that_steers_a_terminal_is_repeated() {
    let found = said("stations.csv", with(STATIONS, "12.5", "\u{9b}31m"));
    assert!(found[0].contains("\\u{9b}31m"), "{found:?}");
}

#[test]
fn paths_that_lead_nowhere_are_told() {
    let dir = tempfile::tempdir().expect("a folder");
    let message = |path: &std::path::Path| job::read(path).expect_err("nothing there").to_string();
    let at = |name: &str| dir.path().join(name);
    assert!(message(&at("nowhere")).ends_with(
        "nowhere: expected a joint's folder or a table there, but there is none. Next: check the spelling of the path."
    ));
    assert!(message(dir.path()).ends_with(
        "stations.csv: expected the table of stations, but there is none. Next: write the stations there: station, along, width, bevel."
    ));
    fs::write(at("station.csv"), STATIONS).expect("written");
    assert!(message(dir.path()).ends_with("Next: rename station.csv to stations.csv if it is that."));
    fs::create_dir(at("stations.csv")).expect("made");
    assert!(message(dir.path()).contains("stations.csv: expected a file, but this is a folder."));
}

#[test]
fn a_folder_in_the_place_of_any_file_is_told() {
    for name in ["joint.toml", "readings.csv", "strokes.csv"] {
        let dir = tempfile::tempdir().expect("a folder");
        fs::write(dir.path().join("stations.csv"), STATIONS).expect("written");
        fs::create_dir(dir.path().join(name)).expect("made");
        let text = job::read(dir.path()).expect_err("a folder").to_string();
        assert!(text.contains(&format!("{name}: expected a file, but this is a folder")), "{text}");
        assert_eq!(text.lines().count(), 1, "{text}");
    }
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_nowhere_is_told() {
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(dir.path().join("stations.csv"), STATIONS).expect("written");
    std::os::unix::fs::symlink("gone", dir.path().join("readings.csv")).expect("linked");
    let text = job::read(dir.path()).expect_err("a dangling link").to_string();
    assert!(text.contains("readings.csv: expected"), "{text}");
}

#[test]
fn one_file_of_a_folder_in_place_of_the_folder_is_told() {
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(dir.path().join("stations.csv"), STATIONS).expect("written");
    fs::write(dir.path().join("readings.csv"), READINGS).expect("written");
    for name in ["stations.csv", "readings.csv"] {
        let text = job::read(&dir.path().join(name)).expect_err("a part").to_string();
        assert!(text.contains("this is one file of a joint's folder. Next: give the folder: "), "{text}");
    }
}

#[test]
fn a_single_table_is_checked_too() {
    let dir = tempfile::tempdir().expect("a folder");
    let said = |text: &str| {
        let file = dir.path().join("try.csv");
        fs::write(&file, text).expect("written");
        job::read(&file).expect_err("faulty").list()[0].clone()
    };
    let changed =
        said("station,along,width,bevel,round,overlap\n1,0,12,6,1,0.1\n2,300,30,6,1,0.2\n1,5,12,6,2,0\n");
    assert_eq!((changed.row, changed.column.as_deref()), (Some(4), Some("along")));
    assert_eq!(changed.expected, "'0' as for this station in row 2");
    let twice = said("station,along,width,bevel,overlap\n1,0,12,6,0.1\n2,300,30,6,0.2\n1,0,12,6,0\n");
    assert_eq!((twice.row, twice.column.as_deref()), (Some(4), Some("station")));
    let lacking = said("station,along,width,bevel\n1,0,12,6\n2,300,30,6\n");
    assert_eq!(lacking.column.as_deref(), Some("overlap"));
}
