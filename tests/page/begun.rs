//! A joint begun from nothing, by the library alone; `tests/tools/one_file.rs` types it.

use std::collections::BTreeMap;

use ribwright::page::{Method, Request, Status, begin};
use ribwright::store::Day;
use serde_json::Value;

/// What is answered to a joint's stations (along; width 40 mm, bevel 6 degrees), and the files begun.
fn begun(along: &[&str]) -> (Status, Value, Vec<String>) {
    let mut form: BTreeMap<String, String> = BTreeMap::new();
    for (row, place) in along.iter().enumerate().map(|(i, place)| (i + 1, place)) {
        for (name, text) in [("along", *place), ("width", "40"), ("bevel", "6")] {
            form.insert(format!("{name}-{row}"), text.into());
        }
    }
    let body = serde_json::to_vec(&form).expect("JSON");
    let request = Request { method: Method::Post, path: "/new/joint".into(), body };
    let (answer, files) = begin(&request, Day(20_000)).expect("its own address");
    let names = files.into_iter().flat_map(|(_, files)| files).map(|(name, _)| name).collect();
    (answer.status, serde_json::from_slice(&answer.bytes).expect("JSON"), names)
}

#[test]
fn too_few_stations_are_marked_where_the_next_belongs() {
    for along in [&[][..], &["20"], &["20", "120"]] {
        let (status, said, files) = begun(along);
        let mark = &said["marks"][format!("along-{}", along.len() + 1)];
        assert!(mark.as_str().is_some_and(|why| why.contains("at least 3 stations")), "{said}");
        assert!(status == Status::Unprocessable && files.is_empty());
    }
}

#[test]
fn three_stations_make_a_joint() {
    let (status, said, files) = begun(&["20", "120", "220"]);
    assert_eq!((status, said["next"].as_str()), (Status::Ok, Some("/")), "{said}");
    assert!(files.iter().any(|name| name == "joint/stations.csv"), "{files:?}");
}
