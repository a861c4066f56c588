//! Killed at every step that writes, and at moments that nobody chose: nothing is lost, nothing
//! is there twice, and the same command completes.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

mod support;

use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;
use support::{assert_whole, environment, import_slowly, import_with, picture};
use vetplate::Environment;
use vetplate::register::{
    NewSettlement, Photos, PlateId, ReviewState, SettlementKind, SqliteRegister, Store, settle,
};

/// Where the child imports from; without it, there is no child.
const FOLDER: &str = "VETPLATE_TEST_FOLDER";
/// At which step the child ends itself.
const ABORT_AT: &str = "VETPLATE_TEST_ABORT_AT";
/// What the child does; without it, it imports.
const DOES: &str = "VETPLATE_TEST_DOES";
/// How many kills at random moments; 100 before a release.
const KILLS: &str = "VETPLATE_TEST_KILLS";

fn number(name: &str) -> Option<usize> {
    std::env::var(name).ok()?.parse().ok()
}

/// The program that is killed: this test program, run again with [`FOLDER`] set. Run with the
/// others, it has nothing to do.
#[test]
fn child() {
    let Ok(folder) = std::env::var(FOLDER) else {
        return;
    };
    let folder = Path::new(&folder);
    let count = Arc::new(AtomicUsize::new(0));
    let abort_at = number(ABORT_AT);
    let environment = environment().with_steps(move |_| {
        if Some(count.fetch_add(1, Ordering::SeqCst)) == abort_at {
            // Neither destructors nor buffers: as if the power had gone for the program.
            std::process::abort();
        }
        Ok(())
    });
    let path = folder.join("register.vetplate");
    match std::env::var(DOES).as_deref() {
        Ok("settle") => return settle_first(&path, &environment),
        Ok("open") => return drop(SqliteRegister::open(&path, false, environment).unwrap()),
        _ => {}
    }
    let takes = Duration::from_millis(if abort_at.is_some() { 0 } else { 3 });
    import_slowly(folder, &path, &environment, takes).unwrap();
}

/// Corrects the first plate of the register.
fn settle_first(path: &Path, environment: &Environment) {
    let register = SqliteRegister::open(path, false, environment.clone()).unwrap();
    let plate = register.plate(PlateId(1)).unwrap().unwrap();
    let correction = NewSettlement {
        kind: SettlementKind::Corrected,
        lines: vec!["Ex eb IIB T3 Gb".to_owned()],
        note: None,
    };
    settle(
        &register,
        PlateId(1),
        plate.row.version,
        correction,
        "R. Reviewer",
    )
    .unwrap();
}

fn spawn(folder: &Path) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command
        .args(["--exact", "child", "--test-threads", "1"])
        .env(FOLDER, folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    command
}

fn photos(folder: &Path, count: u32, different: u32) {
    for n in 0..count {
        std::fs::write(folder.join(format!("{n:03}.png")), picture(n % different)).unwrap();
    }
}

/// The next run completes, and every photo is there exactly once.
fn completes(folder: &Path, files: u64, plates: usize, after: &str) {
    let path = folder.join("register.vetplate");
    let outcome = import_with(folder, &path, &environment()).unwrap();
    let accounts = outcome.record.accounts;
    assert!(accounts.balance(), "{after}: {accounts:?}");
    assert_eq!(
        accounts.taken + accounts.held,
        files,
        "{after}: {accounts:?}"
    );
    assert_whole(&path, plates);
}

#[test]
fn killed_at_every_step_nothing_is_lost_and_nothing_is_there_twice() {
    let mut step = 0;
    loop {
        let folder = tempfile::tempdir().unwrap();
        photos(folder.path(), 3, 2);
        let status = spawn(folder.path())
            .env(ABORT_AT, step.to_string())
            .status()
            .unwrap();
        completes(folder.path(), 3, 2, &format!("killed at step {step}"));
        if status.success() {
            break;
        }
        step += 1;
    }
    assert!(step > 30, "only {step} steps");
}

/// Kills the child at each of its steps, one after the other; `look` sees what each kill leaves.
/// Answers how many steps there were.
fn kill_at_every_step(does: &str, begin: &dyn Fn(&Path), look: &dyn Fn(&Path, &str)) -> usize {
    let mut step = 0;
    loop {
        let folder = tempfile::tempdir().unwrap();
        begin(folder.path());
        let status = spawn(folder.path())
            .env(ABORT_AT, step.to_string())
            .env(DOES, does)
            .status()
            .unwrap();
        look(folder.path(), &format!("killed at step {step}"));
        if status.success() {
            return step;
        }
        step += 1;
    }
}

#[test]
fn a_settlement_is_whole_or_not_there_wherever_it_is_killed() {
    let steps = kill_at_every_step(
        "settle",
        &|folder| {
            photos(folder, 1, 1);
            import_with(folder, &folder.join("register.vetplate"), &environment()).unwrap();
        },
        &|folder, after| {
            let path = folder.join("register.vetplate");
            assert_whole(&path, 1);
            let register = SqliteRegister::open(&path, false, environment()).unwrap();
            let before = register.plate(PlateId(1)).unwrap().unwrap();
            let settlements = register.settlements(PlateId(1)).unwrap().len();
            let settled = before.row.review == ReviewState::Settled;
            assert_eq!(settlements, usize::from(settled), "{after}");
            let marking = if settled {
                "Ex eb IIB T3 Gb"
            } else {
                "Ex db IIC T4 Gb"
            };
            assert_eq!(before.row.marking, marking, "{after}");
            drop(register);
            settle_first(&path, &environment());
            assert_whole(&path, 1);
        },
    );
    assert!(steps > 8, "only {steps} steps");
}

/// A register as the first released schema left it, with a location in it.
fn of_the_first_schema(folder: &Path) {
    let connection = rusqlite::Connection::open(folder.join("register.vetplate")).unwrap();
    connection
        .execute_batch(include_str!("../src/register/sqlite/schema_1.sql"))
        .unwrap();
    connection
        .execute_batch(
            "INSERT INTO locations (tag, place, version, changed_at) VALUES ('MILL', '{}', 1, 0);
             INSERT INTO imports (who, sources, state, started_at) VALUES ('me', '[]', 'done', 0);
             PRAGMA application_id = 0x56455450;
             PRAGMA user_version = 1;",
        )
        .unwrap();
}

#[test]
fn a_migration_is_whole_or_not_there_wherever_it_is_killed() {
    let steps = kill_at_every_step("open", &of_the_first_schema, &|folder, after| {
        // Opening again completes it, and what was there is there.
        let path = folder.join("register.vetplate");
        let register = SqliteRegister::open(&path, false, environment()).unwrap();
        assert!(register.location("mill").unwrap().is_some(), "{after}");
        assert_eq!(register.imports(9).unwrap().len(), 1, "{after}");
        let mut findings = Vec::new();
        register.check(&mut |f| findings.push(f)).unwrap();
        assert_eq!(findings, [], "{after}");
        // The copy from before is a register of the first schema.
        let copy = folder.join("register.vetplate.schema-1");
        let copy = rusqlite::Connection::open(copy).unwrap();
        let version: i64 = copy
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .unwrap();
        assert_eq!(version, 1, "{after}");
    });
    assert!(steps >= 4, "only {steps} steps");
}

#[test]
fn killed_at_any_moment_and_again_nothing_is_lost_and_nothing_is_there_twice() {
    let kills = number(KILLS).unwrap_or(8);
    let mut done = 0;
    let mut round = 0u64;
    while done < kills {
        let folder = tempfile::tempdir().unwrap();
        photos(folder.path(), 40, 30);
        // Several kills of the same import, one behind the other.
        for again in 0..4 {
            let mut child = spawn(folder.path()).spawn().unwrap();
            // Moments all over a run, not twice the same.
            let wait = (round * 4 + again) * 37 % 211;
            std::thread::sleep(Duration::from_millis(wait));
            child.kill().unwrap();
            child.wait().unwrap();
            done += 1;
        }
        completes(folder.path(), 40, 30, &format!("round {round}"));
        round += 1;
    }
}
