use crate::{Fake, LIMITS, folder};
use std::fs;
use vetplate::Environment;
use vetplate::import::{ArchiveLimits, Control, Import, Locator, Observer, Progress, Settings};
use vetplate::register::{Asked, Problem, SqliteRegister};

struct Deaf;

impl Observer for Deaf {
    fn progress(&self, _: &Progress) {}

    fn problem(&self, _: &Problem) {}
}

/// Any bytes as an archive that is imported: the accounts balance, the register is whole, and
/// nothing appears beside the folder.
pub(crate) fn archive(bytes: &[u8]) -> String {
    let above = folder();
    let source = above.path().join("photos");
    fs::create_dir(&source).expect("a folder can be made");
    let name = match bytes.first() {
        Some(0x1f) => "sent.tar.gz",
        Some(b'P') => "sent.zip",
        _ => "sent.tar",
    };
    fs::write(source.join(name), bytes).expect("a file can be written");
    let path = above.path().join("register.vetplate");
    let environment = Environment::system();
    let register = SqliteRegister::open(&path, true, environment.clone()).expect("a register");
    let outcome = Import {
        store: &register,
        photos: &register,
        originals: None,
        reader: &Fake,
        locator: &Locator::default(),
        environment: &environment,
        control: &Control::new(),
        observer: &Deaf,
    }
    .run(&Settings {
        sources: vec![source.join(name)],
        jobs: 1,
        retry_failed: false,
        limits: LIMITS,
        archives: ArchiveLimits::default(),
        own: Vec::new(),
        who: "fuzz".to_owned(),
        hidden: None,
        asked: Asked::default(),
    });
    let accounts = outcome
        .expect("an archive never breaks an import")
        .record
        .accounts;
    assert_eq!(
        accounts.seen,
        accounts.taken + accounts.held + accounts.refused + accounts.failed
    );
    let mut findings = Vec::new();
    let checked = register.check(&mut |finding| findings.push(finding));
    assert!(checked.is_ok() && findings.is_empty(), "{findings:?}");
    let beside = fs::read_dir(above.path()).expect("the folder is there");
    let strange = beside.flatten().filter(|entry| {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        name != "photos" && !name.starts_with("register.vetplate")
    });
    assert_eq!(strange.count(), 0);
    format!("{accounts:?}")
}
