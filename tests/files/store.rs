//! Files held in memory behave as files on the disk do.

use std::collections::BTreeMap;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use proptest::prelude::*;
use ribwright::job::bowl::read_bowl;
use ribwright::record::{Style, write_bowl, write_folder};
use ribwright::store::{Change, Day, Disk, Held, Kind, Place, Refused, Store};

/// Files that are written, removed and read; the folders stand there from the beginning.
const FILES: [&str; 5] = ["a.csv", "b.csv", "joints/01/a.csv", "joints/01/c.log", "joints/02/a.csv"];

/// Something done to a file of [`FILES`] (index).
#[derive(Debug, Clone)]
enum Deed {
    /// Replaced as if it held what it holds, or else something other.
    Replace {
        file: usize,
        known: bool,
        new: Vec<u8>,
    },
    Fresh {
        file: usize,
        new: Vec<u8>,
    },
    Remove {
        file: usize,
    },
    /// Lines put behind a share of what is kept.
    Extend {
        file: usize,
        kept: f64,
        more: Vec<u8>,
    },
    Read {
        file: usize,
        most: u64,
    },
}

fn deed() -> impl Strategy<Value = Deed> {
    let file = || 0..FILES.len();
    let bytes = || proptest::collection::vec(any::<u8>(), 0..40);
    prop_oneof![
        4 => (file(), prop::bool::weighted(0.8), bytes())
            .prop_map(|(file, known, new)| Deed::Replace { file, known, new }),
        1 => (file(), bytes()).prop_map(|(file, new)| Deed::Fresh { file, new }),
        2 => file().prop_map(|file| Deed::Remove { file }),
        3 => (file(), 0.0..=1.0_f64, bytes()).prop_map(|(file, kept, more)| Deed::Extend { file, kept, more }),
        2 => (file(), 0..50_u64).prop_map(|(file, most)| Deed::Read { file, most }),
    ]
}

/// What came of a deed, so far as both stores must agree.
#[derive(Debug, PartialEq)]
enum Came {
    Well(Vec<u8>),
    Changed,
    Failed(ErrorKind),
}

fn done(store: &dyn Store, root: &Path, deed: &Deed) -> Came {
    let at = |file: &usize| root.join(FILES[*file]);
    let failed = |e: std::io::Error| Came::Failed(e.kind());
    match deed {
        Deed::Replace { file, known, new } => {
            let there = store.read(&at(file), u64::MAX).ok();
            let other = if there.is_some() { None } else { Some(vec![1]) };
            let old = if *known { there } else { other };
            match store.replace(&at(file), old.as_deref(), new) {
                Ok(()) => Came::Well(Vec::new()),
                Err(Refused::Changed) => Came::Changed,
                Err(Refused::Io(e) | Refused::Unsynced(e)) => failed(e),
            }
        }
        Deed::Fresh { file, new } => {
            store.fresh(&at(file), new).map_or_else(failed, |()| Came::Well(Vec::new()))
        }
        Deed::Remove { file } => store.remove(&at(file)).map_or_else(failed, |()| Came::Well(Vec::new())),
        Deed::Extend { file, kept, more } => {
            let mut lines = store.hold(&at(file)).expect("opened").expect("nobody else holds it");
            assert!(store.hold(&at(file)).expect("looked at").is_none(), "one writer at a time");
            let there = lines.bytes().expect("read");
            let kept = (kept * there.len() as f64).floor() as u64;
            lines.extend(kept, more).map_or_else(failed, |()| Came::Well(lines.bytes().expect("read")))
        }
        Deed::Read { file, most } => store.read(&at(file), *most).map_or_else(failed, Came::Well),
    }
}

/// Every file, by its path.
fn all(store: &dyn Store, folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    for name in store.names(folder).unwrap_or_default() {
        let path = folder.join(name);
        match store.kind(&path).expect("it stands there") {
            Kind::Folder => found.extend(all(store, &path)),
            _ => _ = found.insert(path.clone(), store.read(&path, u64::MAX).expect("read")),
        }
    }
    found
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn memory_keeps_what_the_disk_keeps(deeds in proptest::collection::vec(deed(), 1..24)) {
        let dir = tempfile::tempdir().expect("a folder");
        for folder in ["joints/01", "joints/02"] {
            fs::create_dir_all(dir.path().join(folder)).expect("made");
        }
        let held = Held::new(Vec::<(String, Vec<u8>)>::new(), Day(0));
        let mut written: BTreeMap<String, Vec<u8>> = BTreeMap::new();
        for deed in &deeds {
            let before: BTreeMap<String, Vec<u8>> = held.files().into_iter().collect();
            prop_assert_eq!(done(&Disk, dir.path(), deed), done(&held, dir.path(), deed), "{:?}", deed);
            let changes = held.take_changes();
            let after: BTreeMap<String, Vec<u8>> = held.files().into_iter().collect();
            prop_assert!(before == after || !changes.is_empty(), "a change is told");
            for Change { name, bytes } in changes {
                match bytes {
                    Some(bytes) => written.insert(name, bytes),
                    None => written.remove(&name),
                };
            }
            prop_assert_eq!(&written, &after, "whoever writes the changes through has it all");
        }
        prop_assert_eq!(all(&Disk, dir.path()), all(&held, dir.path()));
        for file in FILES.map(|file| dir.path().join(file)) {
            prop_assert_eq!(Disk.kind(&file).ok(), held.kind(&file).ok());
            prop_assert_eq!(Disk.is_absent(&file), held.is_absent(&file));
        }
        let again = Held::new(written, Day(0));
        prop_assert_eq!(again.files(), held.files());
    }
}

/// A joint and a bowl are written into memory as into a folder, and nothing that is there is lost.
#[test]
fn fresh_folders_are_the_same_in_memory() {
    let dir = tempfile::tempdir().expect("a folder");
    let held = Arc::new(Held::new(Vec::<(String, Vec<u8>)>::new(), Day(0)));
    let demo = read_bowl(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings/bowl").as_path());
    let demo = demo.unwrap_or_else(|problems| panic!("{problems}"));
    let jobs: Vec<_> = demo.joints.iter().map(|j| j.job.clone()).collect();
    let written = |place: &Place| {
        write_bowl(&demo.settings, &jobs, &demo.girths, place.join("bowl"), &Style::default())
            .and_then(|()| write_folder(&jobs[0], place.join("joint")))
            .map_err(|e| e.to_string())
    };
    let places = [Place::from(dir.path()), Place::new(held.clone(), dir.path())];
    assert_eq!(places.each_ref().map(written), [Ok(()), Ok(())]);
    assert_eq!(all(&Disk, dir.path()), all(held.as_ref(), dir.path()));
    let [disk, memory] = places.each_ref().map(|place| read_bowl(place.join("bowl")).map(|b| b.joints.len()));
    assert_eq!((disk.as_ref().ok(), memory.ok()), (Some(&jobs.len()), Some(jobs.len())));
    let [again, too] = places.each_ref().map(written);
    assert!(again.as_ref().is_err_and(|said| said.contains("is there already")), "{again:?}");
    assert_eq!(again, too);
    let file = dir.path().join("joint/joint.toml");
    let kinds = [&Disk as &dyn Store, held.as_ref()].map(|s| s.make(&file).map_err(|e| e.kind()));
    assert_eq!(kinds, [Err(ErrorKind::AlreadyExists), Err(ErrorKind::AlreadyExists)]);
}

/// A path may go round about; it leads to the same file.
#[test]
fn a_path_in_memory_is_the_same_however_it_is_written() {
    let held = Held::new([("bowl/joints/01/a.csv", vec![7])], Day(0));
    for path in ["bowl/joints/01/a.csv", "./bowl/joints/./01/a.csv", "bowl/joints/02/../01/a.csv"] {
        assert_eq!(held.read(Path::new(path), 9).expect(path), [7], "{path}");
        assert_eq!(held.real(Path::new(path)).expect(path), Path::new("bowl/joints/01/a.csv"));
    }
    for path in ["", ".", "bowl", "bowl/joints/01", "bowl/joints/01/."] {
        assert_eq!(held.kind(Path::new(path)).expect(path), Kind::Folder, "{path}");
    }
    let kind = |path: &str| held.kind(Path::new(path)).map_err(|e| e.kind());
    assert_eq!(kind("bow"), Err(ErrorKind::NotFound));
    assert_eq!(kind("../bowl"), Err(ErrorKind::NotFound), "nothing lies outside");
    assert_eq!(kind("bowl/joints/01/a.csv/b"), Err(ErrorKind::NotADirectory));
}

#[test]
fn a_folder_is_locked_by_one_writer_until_that_is_done() {
    let held = Held::new([("joint/stations.csv", Vec::new())], Day(0));
    let lock = |path: &str| held.lock(Path::new(path)).expect("looked at");
    let first = lock("joint").expect("free");
    assert!(lock("./joint").is_none());
    assert!(lock("other").is_some());
    drop(first);
    assert!(lock("joint").is_some());
    assert_eq!(held.take_changes(), [], "a lock is no file");
}
