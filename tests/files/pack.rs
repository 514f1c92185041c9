//! A folder as one .zip and back, byte for byte; and archives that are not what they seem.

use std::io::{Cursor, Write};
use std::path::Path;

use proptest::prelude::*;
use ribwright::record::pack::{Entry, PackError, gathered, packed};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

fn entry(name: &str, text: &str) -> Entry {
    (name.to_owned(), text.as_bytes().to_vec())
}

/// Every file below a folder, under names that begin with the folder's.
fn below(folder: &Path, name: &str) -> Vec<Entry> {
    let mut all = Vec::new();
    for there in std::fs::read_dir(folder).expect("listed").map(|e| e.expect("an entry").path()) {
        let name = format!("{name}/{}", there.file_name().expect("a name").to_string_lossy());
        match there.is_dir() {
            true => all.extend(below(&there, &name)),
            false => all.push((name, std::fs::read(&there).expect("read"))),
        }
    }
    all.sort();
    all
}

fn demo(name: &str) -> Vec<Entry> {
    below(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings").join(name), name)
}

/// A .zip with all of these, whatever they are called, deflated.
fn archive(files: &[Entry]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(
            name.as_str(),
            SimpleFileOptions::default().compression_method(CompressionMethod::Deflated),
        )
        .expect("begun");
        zip.write_all(bytes).expect("written");
    }
    zip.finish().expect("closed").into_inner()
}

/// The same with every occurrence of some bytes changed into others.
fn changed(mut archive: Vec<u8>, from: &[u8], to: &[u8]) -> Vec<u8> {
    assert_eq!(from.len(), to.len());
    let at: Vec<usize> =
        (0..archive.len() - from.len()).filter(|i| archive[*i..].starts_with(from)).collect();
    assert!(!at.is_empty());
    at.into_iter().for_each(|i| archive[i..i + to.len()].copy_from_slice(to));
    archive
}

fn opened(archive: Vec<u8>) -> Result<(String, Vec<Entry>), PackError> {
    gathered(vec![("lute.zip".to_owned(), archive)])
}

#[test]
fn a_folder_comes_back_byte_for_byte() {
    for name in ["plain", "bowl", "inch"] {
        let files = demo(name);
        assert!(files.len() >= 3);
        let zip = packed(&files).expect("packed");
        assert_eq!(zip, packed(&files).expect("packed"), "the same bytes each time");
        assert_eq!(opened(zip), Ok((name.to_owned(), files.clone())));
        assert_eq!(gathered(files.clone()), Ok((name.to_owned(), files)), "as a folder opened itself");
    }
}

#[test]
fn files_without_a_folder_get_one() {
    let loose = [entry("stations.csv", "station"), entry("readings.csv", "round")];
    let named = |folder: &str| {
        let files = loose.iter().map(|(name, bytes)| (format!("{folder}/{name}"), bytes.clone()));
        Ok((folder.to_owned(), files.collect::<Vec<_>>()))
    };
    assert_eq!(gathered(loose.to_vec()), named("tables"));
    assert_eq!(opened(archive(&loose)), named("lute"));
    let alone = gathered(vec![entry("walnut oud.csv", "station")]).expect("a table");
    assert_eq!(alone, ("walnut oud".to_owned(), vec![entry("walnut oud/walnut oud.csv", "station")]));
}

#[test]
fn the_highest_bowl_or_joint_is_the_folder() {
    let in_more = [
        entry("shop/notes.txt", ""),
        entry("shop/lute/joints/01/joint.toml", ""),
        entry("shop/lute/bowl.toml", ""),
        entry("shop/other/deep/stations.xlsx", ""),
    ];
    assert_eq!(gathered(in_more.to_vec()).expect("a bowl").0, "shop/lute");
    assert_eq!(gathered(vec![in_more[3].clone(), in_more[0].clone()]).expect("a joint").0, "shop/other/deep");
}

#[test]
fn what_systems_leave_is_left_out_and_windows_folders_are_read() {
    let files = [
        entry("__MACOSX/lute/._stations.csv", "x"),
        entry("lute\\stations.csv", "station"),
        entry("lute/.DS_Store", "x"),
        entry("lute/.lock", ""),
    ];
    let kept = vec![entry("lute/stations.csv", "station")];
    assert_eq!(gathered(files.to_vec()), Ok(("lute".to_owned(), kept)));
}

#[test]
fn a_name_that_leads_out_of_the_folder_is_refused() {
    for name in ["../stations.csv", "lute/../../x", "/etc/x", "C:/x", "C:\\x", "..\\x", "lute//x", "./x"] {
        let files = [entry("lute/joint.toml", ""), entry(name, "")];
        let outside = Err(PackError::Outside(name.to_owned()));
        assert_eq!(gathered(files.to_vec()), outside);
    }
    let zip = changed(archive(&[entry("aa/x.csv", "")]), b"aa/x.csv", b"../x.csv");
    assert_eq!(opened(zip), Err(PackError::Outside("../x.csv".to_owned())));
}

#[test]
fn two_names_alike_are_refused() {
    let twice = changed(archive(&[entry("a.csv", "1"), entry("b.csv", "2")]), b"b.csv", b"a.csv");
    assert_eq!(opened(twice), Err(PackError::Twice("lute.zip".to_owned())));
    for (one, other) in [("lute/a.csv", "lute/A.csv"), ("lute/\u{e9}.csv", "lute/e\u{301}.csv")] {
        let alike = Err(PackError::Alike(one.to_owned(), other.to_owned()));
        assert_eq!(gathered(vec![entry(one, ""), entry(other, "")]), alike);
    }
}

/// 65 MiB of nothing pack into 65 kB; an archive may also lie about how much it holds.
#[test]
fn what_unpacks_without_end_is_refused() {
    let zeros = vec![0; 65 << 20];
    let large = archive(&[("lute/x".to_owned(), zeros)]);
    assert!(large.len() < 100_000);
    assert_eq!(opened(large.clone()), Err(PackError::TooLarge));
    let lies = changed(large, &u32::to_le_bytes(65 << 20), &u32::to_le_bytes(10));
    assert!(matches!(opened(lies), Err(PackError::TooLarge | PackError::Damaged(..))));
    // Many parts that are small each, ten thousand million bytes in all, must end early, too.
    let many: Vec<Entry> = (0..200).map(|i| (format!("lute/{i}"), vec![0; 1 << 20])).collect();
    assert_eq!(opened(archive(&many)), Err(PackError::TooLarge));
    let files: Vec<Entry> = (0..2001).map(|i| entry(&format!("lute/{i}"), "")).collect();
    assert_eq!(gathered(files), Err(PackError::TooMany));
}

#[test]
fn what_is_no_whole_archive_is_told() {
    let whole = packed(&demo("plain")).expect("packed");
    for broken in [whole[..whole.len() / 2].to_vec(), b"station,along\n".to_vec(), Vec::new()] {
        assert!(matches!(opened(broken), Err(PackError::Damaged(..))));
    }
    let mut wrong = whole;
    wrong[100] ^= 0x55;
    assert!(matches!(opened(wrong), Err(PackError::Damaged(..))));
    assert_eq!(opened(archive(&[])), Err(PackError::Empty));
    // Bit 0 of the general purpose flags: the file is encrypted (APPNOTE.TXT, section 4.4.4).
    let secret = changed(archive(&[entry("x", "secret")]), b"PK\x03\x04\x14\0\0", b"PK\x03\x04\x14\0\x01");
    let secret = changed(secret, b"PK\x01\x02", b"PK\x01\x02");
    let central = secret.windows(4).position(|w| w == b"PK\x01\x02").expect("a directory");
    let mut secret = secret;
    secret[central + 8] |= 1;
    assert_eq!(opened(secret), Err(PackError::Locked("lute.zip".to_owned())));
}

proptest! {
    /// Whatever bytes come, they are opened or refused.
    #[test]
    fn no_bytes_break_it(bytes in prop::collection::vec(any::<u8>(), 0..400), at in 0_usize..2000, with in any::<u8>()) {
        let _any = opened(bytes);
        let mut whole = packed(&demo("inch")).expect("packed");
        let at = at % whole.len();
        whole[at] = with;
        if let Ok((name, files)) = opened(whole) {
            prop_assert!(files.iter().all(|(file, _)| file.starts_with(&name) || !file.contains("..")));
        }
    }
}
