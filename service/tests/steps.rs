//! Settling, inspecting, reading anew, coming apart, migrating, restoring: each is killed and made to
//! fail at every step that it takes, and is whole or not there.

mod support;

use std::io::{Error, ErrorKind};
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use support::acts::{ACTS, act, done, holds, prepare};
use support::environment;

/// Where the child works; without it, there is no child.
const FOLDER: &str = "VETPLATE_TEST_ACT_FOLDER";
/// What it does.
const DOES: &str = "VETPLATE_TEST_ACT";
/// At which step it ends itself.
const ABORT_AT: &str = "VETPLATE_TEST_ACT_ABORT_AT";

/// The program that is killed: this test program, run again with [`FOLDER`] set. Run with the
/// others, it has nothing to do.
#[test]
fn child() {
    let Ok(folder) = std::env::var(FOLDER) else {
        return;
    };
    let abort_at: usize = std::env::var(ABORT_AT).unwrap().parse().unwrap();
    let count = AtomicUsize::new(0);
    let environment = environment().with_steps(move |_| {
        if count.fetch_add(1, Ordering::SeqCst) == abort_at {
            // Neither destructors nor buffers: as if the power had gone for the program.
            std::process::abort();
        }
        Ok(())
    });
    act(
        &std::env::var(DOES).unwrap(),
        Path::new(&folder),
        &environment,
    )
    .unwrap();
}

/// Does it again where it is not done, and looks.
fn completes(name: &str, folder: &Path, after: &str) {
    holds(name, folder, after);
    if done(name, folder) == 0 {
        act(name, folder, &environment()).unwrap_or_else(|e| panic!("{after}: {e}"));
    }
    holds(name, folder, after);
    assert_eq!(done(name, folder), 1, "{after}");
}

#[test]
fn killed_at_every_step_each_act_is_whole_or_not_there() {
    for name in ACTS {
        let mut step = 0;
        loop {
            let folder = tempfile::tempdir().unwrap();
            prepare(name, folder.path());
            let status = Command::new(std::env::current_exe().unwrap())
                .args(["--exact", "child", "--test-threads", "1"])
                .env(FOLDER, folder.path())
                .env(DOES, name)
                .env(ABORT_AT, step.to_string())
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .status()
                .unwrap();
            completes(
                name,
                folder.path(),
                &format!("{name}, killed at step {step}"),
            );
            if status.success() {
                break;
            }
            step += 1;
        }
        assert!(step >= 4, "{name}: only {step} steps");
    }
}

#[test]
fn whatever_step_fails_each_act_is_whole_or_not_there() {
    let kinds = [
        ErrorKind::StorageFull,
        ErrorKind::PermissionDenied,
        ErrorKind::WriteZero,
    ];
    for name in ACTS {
        for (kind, forever) in kinds
            .iter()
            .flat_map(|kind| [(*kind, false), (*kind, true)])
        {
            let mut failing = 0;
            loop {
                let folder = tempfile::tempdir().unwrap();
                prepare(name, folder.path());
                let count = Arc::new(AtomicUsize::new(0));
                let counted = Arc::clone(&count);
                let broken = environment().with_steps(move |step| {
                    let now = counted.fetch_add(1, Ordering::SeqCst);
                    if now == failing || forever && now > failing {
                        return Err(Error::new(kind, format!("no {step}")));
                    }
                    Ok(())
                });
                let ended = act(name, folder.path(), &broken);
                if count.load(Ordering::SeqCst) <= failing {
                    ended.unwrap();
                    break;
                }
                let after = format!("{name}, {kind:?} at step {failing}, forever: {forever}");
                if let Err(error) = ended {
                    let clear = error.contains("no ") || error.contains("disk is full");
                    assert!(clear, "{after}: {error}");
                }
                completes(name, folder.path(), &after);
                failing += 1;
            }
            assert!(failing >= 4, "{name}: only {failing} steps");
        }
    }
}
