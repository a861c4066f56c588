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

/// Where the child imports from; without it, there is no child.
const FOLDER: &str = "VETPLATE_TEST_FOLDER";
/// At which step the child ends itself.
const ABORT_AT: &str = "VETPLATE_TEST_ABORT_AT";
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
    let takes = Duration::from_millis(if abort_at.is_some() { 0 } else { 3 });
    import_slowly(
        folder,
        &folder.join("register.vetplate"),
        &environment,
        takes,
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
