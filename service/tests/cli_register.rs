//! The register from the command line: an import that is interrupted and gone on with, 80
//! columns, re-reading.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

#[path = "support/program.rs"]
mod program;

use program::{Ended, ended, program};
use serde_json::Value;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;
use tempfile::TempDir;
use vetplate::Environment;
use vetplate::register::{LocationFacts, Photos, SqliteRegister, Store};
use vetplate_parser::place::PlaceFields;

/// Every line of the answer fits a terminal of 80 columns.
#[track_caller]
fn fits(ended: &Ended) {
    for line in ended.out.lines() {
        let shown = line.replace(char::is_control, "");
        assert!(shown.chars().count() <= 80, "{line}");
    }
}

/// A folder with photos and a register beside them.
struct Fixture {
    folder: TempDir,
}

impl Fixture {
    fn new(photos: &[&str]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path().join("photos/Still house");
        std::fs::create_dir_all(&place).unwrap();
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/photos");
        for name in photos {
            std::fs::copy(from.join(name), place.join(name)).unwrap();
        }
        Self { folder }
    }

    fn photos(&self) -> PathBuf {
        self.folder.path().join("photos")
    }

    fn command<S: AsRef<OsStr>>(&self, args: impl IntoIterator<Item = S>) -> Command {
        let mut command = program();
        let register = self.register_path();
        command.args(args).arg("--register").arg(register);
        command
    }

    fn run<S: AsRef<OsStr>>(&self, args: impl IntoIterator<Item = S>) -> Ended {
        ended(self.command(args).output().unwrap())
    }

    fn import(&self, more: &[&str]) -> Ended {
        let photos = self.photos();
        let first = [OsStr::new("import"), photos.as_os_str()];
        self.run(first.into_iter().chain(more.iter().map(OsStr::new)))
    }

    fn register_path(&self) -> PathBuf {
        self.folder.path().join("register.vetplate")
    }

    fn register(&self) -> SqliteRegister {
        SqliteRegister::open(&self.register_path(), false, Environment::system()).unwrap()
    }
}

#[track_caller]
fn accounts(json: &Value) -> [u64; 5] {
    let counted = ["seen", "taken", "held", "refused", "failed"].map(|k| json[k].as_u64().unwrap());
    assert_eq!(counted[0], counted[1..].iter().sum::<u64>(), "{json}");
    counted
}

#[cfg(unix)]
#[test]
fn interrupted_by_a_signal_and_run_again_the_accounts_balance() {
    let fixture = Fixture::new(&[
        "still-house-pump-motor.jpg",
        "mill-dust-fan-motor.jpg",
        "boiler-house-solenoid.jpg",
        "effluent-gas-detector.jpg",
        "control-room-barrier.jpg",
    ]);
    let photos = fixture.photos();
    let asked = [
        "import",
        photos.to_str().unwrap(),
        "--jobs",
        "1",
        "--json",
        "--keep",
    ];
    let child = fixture
        .command(asked)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // Once the first photo is in the register, in the midst of the next one.
    let taken = || {
        let path = fixture.register_path();
        let register = SqliteRegister::open(&path, false, Environment::system()).ok()?;
        let imports = register.imports(1).ok()?;
        imports.first().map(|i| i.accounts.taken)
    };
    while taken().unwrap_or(0) == 0 {
        std::thread::sleep(Duration::from_millis(20));
    }
    let killed = Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status();
    assert!(killed.unwrap().success());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(130), "{output:?}");
    let first: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(first["state"], "stopped");
    let [_, taken, ..] = accounts(&first);
    assert!((1..5).contains(&taken), "{first}");
    let again = fixture.import(&["--json", "--keep"]);
    assert_eq!(again.code, 0, "{}", again.err);
    assert_eq!(accounts(&again.json()), [5, 5 - taken, taken, 0, 0]);
    let checked = fixture.run(["register", "check", "--read-all"]);
    assert_eq!(checked.code, 0, "{}{}", checked.out, checked.err);
}

#[test]
fn what_is_not_taken_is_named_and_everything_fits_80_columns() {
    let fixture = Fixture::new(&["still-house-pump-motor.jpg", "effluent-pump-scratched.jpg"]);
    let heic = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic and so on";
    std::fs::write(fixture.photos().join("phone.heic"), heic).unwrap();
    std::fs::write(
        fixture.photos().join("round.pdf"),
        b"%PDF-1.7\n%scanned pages",
    )
    .unwrap();
    let dry = fixture.import(&["--dry-run"]);
    assert_eq!(dry.code, 0, "{}", dry.err);
    fits(&dry);
    assert!(!fixture.register_path().exists());
    let imported = fixture.import(&[]);
    assert_eq!(imported.code, 0, "{}", imported.err);
    for name in ["phone.heic", "round.pdf"] {
        assert!(imported.out.contains(name), "{}", imported.out);
    }
    for why in ["HEIC", "PDF"] {
        assert!(imported.out.contains(why), "{}", imported.out);
    }
    for args in [
        &["register", "list"][..],
        &["register", "list", "--urgent"],
        &["register", "show", "1"],
        &["register", "show", "2"],
        &["register", "check", "--read-all"],
        &["register", "reread"],
        &["review", "list"],
        &["review", "show", "1"],
    ] {
        let shown = fixture.run(args);
        assert_eq!(shown.code, 0, "{args:?}: {}", shown.err);
        assert!(!shown.out.is_empty(), "{args:?}");
        fits(&shown);
    }
}

#[test]
fn reread_says_what_would_change_and_apply_keeps_it_but_never_over_a_person() {
    let fixture = Fixture::new(&["still-house-pump-motor.jpg", "mill-dust-fan-motor.jpg"]);
    assert_eq!(fixture.import(&[]).code, 0);
    let place = |zone: &str| LocationFacts {
        tag: "Still house".to_owned(),
        description: None,
        place: PlaceFields {
            zone: Some(zone.to_owned()),
            gas: vec!["ethanol".to_owned()],
            ..PlaceFields::default()
        },
    };
    // The place becomes known without anybody judging again.
    fixture
        .register()
        .put_location(&place("1"), "test")
        .unwrap();
    let version = fixture.run(["register", "show", "1", "--json"]).json()["version"].to_string();
    let settled = fixture.run([
        "review",
        "settle",
        "1",
        "--correct",
        "II 2 G; Ex db IIC T4 Gb",
        "--by",
        "R. Reviewer",
        "--version",
        &version,
    ]);
    assert_eq!(settled.code, 0, "{}", settled.err);
    let outcome = |plate: &str| {
        let shown = fixture.run(["register", "show", plate, "--json"]).json();
        (shown["outcome"].clone(), shown["marking"].clone())
    };
    let before = outcome("2");
    assert_eq!(before.0, Value::Null);
    let said = fixture.run(["register", "reread"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(
        said.out.contains("plate 2: CHANGED from not judged"),
        "{}",
        said.out
    );
    assert!(
        said.out.replace('\n', " ").contains("nothing was changed"),
        "{}",
        said.out
    );
    assert_eq!(outcome("2"), before, "saying changes nothing");
    let applied = fixture.run([
        "register",
        "reread",
        "--apply",
        "--json",
        "--by",
        "A. Inspector",
    ]);
    assert_eq!(applied.code, 0, "{}", applied.err);
    assert!(applied.out.contains("\"applied\":true"), "{}", applied.out);
    assert_ne!(outcome("2").0, Value::Null);
    let (_, marking) = outcome("1");
    assert_eq!(marking, "Ex db IIC T4 Gb", "what a person settled stays");
    let history = fixture.run(["register", "show", "2"]).out;
    assert!(history.contains("A. Inspector, judged again"), "{history}");
    let again = fixture.run(["register", "reread"]);
    assert!(again.out.contains("0 with another answer"), "{}", again.out);
}
