//! Folders and archives of every kind, good and bad: each file is taken, or named with the reason.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

mod support;

use std::io::Write;
use support::folder::{Fixture, counts};
use support::picture;
use vetplate::import::ArchiveLimits;
use vetplate::register::{ImportState, Photos, Store};

fn zip_of(members: &[(&str, &[u8])]) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    let mut zip = zip::ZipWriter::new(&mut bytes);
    for (name, content) in members {
        zip.start_file(*name, zip::write::SimpleFileOptions::default())
            .unwrap();
        zip.write_all(content).unwrap();
    }
    zip.finish().unwrap();
    bytes.into_inner()
}

fn tar_of(members: &[(&str, &[u8])]) -> Vec<u8> {
    let mut tar = tar::Builder::new(Vec::new());
    for (name, content) in members {
        let mut header = tar::Header::new_ustar();
        // Written by hand, so that names that lead out can be written, too.
        header.as_old_mut().name[..name.len()].copy_from_slice(name.as_bytes());
        header.set_size(content.len() as u64);
        header.set_mode(0o644);
        header.set_cksum();
        tar.append(&header, *content).unwrap();
    }
    tar.into_inner().unwrap()
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    gzip.write_all(bytes).unwrap();
    gzip.finish().unwrap()
}

#[test]
fn folders_and_archives_are_taken_once_and_everything_is_accounted_for() {
    let f = Fixture::new();
    f.put("still house/a.png", picture(1));
    f.put("still house/copy of a.png", picture(1));
    f.put("mill/b.png", picture(2));
    f.put("notes.txt", "no photo");
    f.put("Thumbs.db", "x");
    f.put("empty.jpg", "");
    f.put(
        "reports.zip",
        zip_of(&[("boiler/c.png", &picture(3)), ("boiler/a.png", &picture(1))]),
    );
    f.put("old.tar", tar_of(&[("x/d.png", &picture(4))]));
    f.put(
        "older.tgz",
        gzip(&tar_of(&[
            ("x/e.png", &picture(5)),
            ("x/d.png", &picture(4)),
        ])),
    );
    let first = f.import();
    assert_eq!(counts(first.record.accounts), [11, 5, 3, 3, 0, 0]);
    assert_eq!(first.record.state, ImportState::Done);
    assert_eq!(f.plates(), 5);
    let problems = f.problems();
    assert!(
        problems["notes.txt"].contains("not a picture"),
        "{problems:?}"
    );
    assert!(problems["empty.jpg"].contains("empty"), "{problems:?}");
    let locations: Vec<String> = f
        .register
        .locations()
        .unwrap()
        .into_iter()
        .map(|l| l.facts.tag)
        .collect();
    // The copies in "still house" are held by then: where bytes are seen first counts.
    assert_eq!(locations, ["boiler", "mill", "x"]);
    // Once more: nothing new, nothing twice.
    let second = f.import();
    assert_eq!(counts(second.record.accounts), [11, 0, 8, 3, 0, 0]);
    assert_eq!(f.plates(), 5);
}

/// Every bad archive: what is good in it is taken, everything else named.
#[test]
fn bad_archives_are_refused_or_handled_each_with_a_line() {
    let mut f = Fixture::new();
    f.archives = ArchiveLimits {
        member_floor: 100_000,
        total_floor: 2_000_000,
        ..ArchiveLimits::default()
    };
    let good = picture(1);
    let zeros = vec![0u8; 3_000_000];
    let big = vec![7u8; 90_000];
    f.put("empty.zip", "");
    f.put("text.zip", "PK\x03\x04 and then nothing that makes sense");
    let mut cut = zip_of(&[("a.png", &picture(2))]);
    cut.truncate(cut.len() - 30);
    f.put("cut.zip", cut);
    f.put(
        "ratio.zip",
        zip_of(&[("bomb.png", &zeros), ("ok.png", &picture(3))]),
    );
    let names: Vec<String> = (0..40).map(|n| format!("{n}.png")).collect();
    let many: Vec<(&str, &[u8])> = names.iter().map(|n| (n.as_str(), &big[..])).collect();
    f.put("total.zip", zip_of(&many));
    f.put("total.tgz", gzip(&tar_of(&many)));
    f.put("outside.zip", zip_of(&[("../../outside.png", &good)]));
    f.put(
        "outside.tar",
        tar_of(&[("../up.png", &good), ("in.png", &picture(4))]),
    );
    let inner = zip_of(&[("deep.png", &picture(5))]);
    f.put(
        "nested.zip",
        zip_of(&[("inner.zip", &inner), ("flat.png", &picture(6))]),
    );
    f.put("cut.tgz", &gzip(&tar_of(&[("x.png", &picture(7))]))[..40]);
    f.put("a.rar", b"Rar!\x1a\x07\x00rest");
    f.put(
        "office.docx",
        zip_of(&[("[Content_Types].xml", b"<x/>"), ("media/1.png", &good)]),
    );
    let outcome = f.import();
    let taken = outcome.record.accounts.taken;
    assert_eq!(taken, 3, "{:?}", f.problems());
    assert_eq!(outcome.record.accounts.failed, 0);
    let problems = f.problems();
    for (name, part) in [
        ("empty.zip", "0 bytes"),
        ("text.zip", "damaged"),
        ("cut.zip", "damaged"),
        ("bomb.png", "times its packed size"),
        ("total.zip", "out of all proportion"),
        ("total.tgz", "out of all proportion"),
        ("outside.png", "leads out"),
        ("up.png", "leads out"),
        ("inner.zip", "archive within an archive"),
        ("cut.tgz", "damaged"),
        ("a.rar", "RAR"),
        ("office.docx", "office document"),
    ] {
        let reason = problems
            .get(name)
            .unwrap_or_else(|| panic!("{name}: {problems:?}"));
        assert!(reason.contains(part), "{name}: {reason}");
    }
    // Nothing was written beside the photos.
    assert!(!f.folder.path().join("outside.png").exists());
    assert!(!f.folder.path().join("up.png").exists());
}

#[test]
fn an_encrypted_member_is_named() {
    let f = Fixture::new();
    // The flag that says "encrypted" is all that is looked at.
    let mut bytes = zip_of(&[("secret.png", &picture(1)), ("open.png", &picture(2))]);
    for mark in [&b"PK\x03\x04"[..], b"PK\x01\x02"] {
        let at = bytes.windows(4).position(|w| w == mark).unwrap();
        bytes[at + if mark[2] == 3 { 6 } else { 8 }] |= 1;
    }
    f.put("a.zip", bytes);
    assert_eq!(counts(f.import().record.accounts), [2, 1, 0, 1, 0, 0]);
    assert!(f.problems()["secret.png"].contains("encrypted"));
}

#[cfg(unix)]
#[test]
fn links_loops_strange_names_and_pipes_are_named() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    let f = Fixture::new();
    f.put("a.png", picture(1));
    std::os::unix::fs::symlink(f.photos(), f.photos().join("loop")).unwrap();
    std::os::unix::fs::symlink("a.png", f.photos().join("link.png")).unwrap();
    let strange = f.photos().join(OsStr::from_bytes(b"caf\xe9.png"));
    std::fs::write(&strange, picture(2)).unwrap();
    let outcome = f.import();
    assert_eq!(counts(outcome.record.accounts), [4, 2, 0, 2, 0, 0]);
    let problems = f.problems();
    assert!(problems["loop"].contains("a link"), "{problems:?}");
    let photos = Store::photos(&f.register, None, 10).unwrap();
    let source = photos
        .iter()
        .flat_map(|p| &p.sources)
        .find(|s| s.contains("caf"))
        .unwrap();
    assert!(source.ends_with("caf\\xe9.png"), "{source}");
    // The bytes are found again under the strange name.
    let id = photos.iter().find(|p| p.sources.contains(source)).unwrap();
    let sightings = f.register.sightings(id.id).unwrap();
    let bytes = vetplate::import::fetch(&sightings, &id.sha256, 1 << 20).unwrap();
    assert_eq!(bytes, picture(2));
}

#[test]
fn many_files_in_one_folder() {
    let f = Fixture::new();
    for n in 0..2000 {
        f.put(&format!("{n}.png"), picture(n % 50));
    }
    assert_eq!(
        counts(f.import().record.accounts),
        [2000, 50, 1950, 0, 0, 0]
    );
}
