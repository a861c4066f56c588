//! Archives that are made to break an import (`fixtures/hostile/archives`).

mod support;

use std::fs;
use std::path::{Path, PathBuf};
use support::{environment, import_with};
use vetplate::register::SqliteRegister;

/// Where the hostile entries would like to write.
const TARGETS: [&str; 2] = ["/tmp/slipped.png", "/tmp/tmp/slipped.png"];

#[test]
fn hostile_archives_write_nowhere_and_their_accounts_balance() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/hostile/archives");
    let archives: Vec<PathBuf> = fs::read_dir(source)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    assert!(archives.len() >= 15, "{}", archives.len());
    for archive in archives {
        let above = tempfile::tempdir().unwrap();
        let folder = above.path().join("photos");
        fs::create_dir(&folder).unwrap();
        let name = archive.file_name().unwrap();
        fs::copy(&archive, folder.join(name)).unwrap();
        let path = folder.join("register.vetplate");
        let outcome = import_with(&folder, &path, &environment()).unwrap();
        let accounts = outcome.record.accounts;
        assert_eq!(
            accounts.seen,
            accounts.taken + accounts.held + accounts.refused + accounts.failed,
            "{name:?}"
        );
        let register = SqliteRegister::open(&path, false, environment()).unwrap();
        let mut findings = Vec::new();
        register
            .check(&mut |finding| findings.push(finding))
            .unwrap();
        assert_eq!(findings, [], "{name:?}");
        for target in TARGETS {
            assert!(!Path::new(target).exists(), "{name:?} wrote {target}");
        }
        // Beside the folder of photos nothing has appeared.
        assert_eq!(fs::read_dir(above.path()).unwrap().count(), 1, "{name:?}");
    }
}
