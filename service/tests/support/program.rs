//! The program as a user calls it.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]
#![allow(dead_code, reason = "each test program uses its part")]

use serde_json::Value;
use std::ffi::OsStr;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;

pub(crate) struct Ended {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Ended {
    #[track_caller]
    pub(crate) fn json(&self) -> Value {
        assert_eq!(self.out.lines().count(), 1, "{}{}", self.out, self.err);
        serde_json::from_str(&self.out).unwrap()
    }

    /// Bad usage: exit code 2, nothing on standard output, and a message with `part`.
    #[track_caller]
    pub(crate) fn is_usage(&self, part: &str) {
        assert_eq!(self.code, 2, "{}", self.err);
        assert_eq!(self.out, "");
        assert!(self.err.contains(part), "{}", self.err);
    }
}

pub(crate) fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_vetplate"));
    // Settings of whoever runs the tests must not reach them.
    command.env_clear().stdin(Stdio::null());
    command
}

pub(crate) fn run<S: AsRef<OsStr>>(args: impl IntoIterator<Item = S>) -> Ended {
    ended(program().args(args).output().unwrap())
}

pub(crate) fn ended(output: std::process::Output) -> Ended {
    Ended {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

pub(crate) fn run_with_input(args: &[&str], input: &[u8]) -> Ended {
    let mut child = program()
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // The program may end before it has read everything.
    let _ = child.stdin.take().unwrap().write_all(input);
    ended(child.wait_with_output().unwrap())
}

pub(crate) fn decode(text: &str, more: &[&str]) -> Ended {
    run([&["decode", text], more].concat())
}

/// A photo of the repository.
pub(crate) fn photo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures/photos")
        .join(name)
}

pub(crate) fn file(folder: &TempDir, name: &str, content: impl AsRef<[u8]>) -> String {
    let path = folder.path().join(name);
    std::fs::write(&path, content).unwrap();
    path.to_str().unwrap().to_owned()
}

pub(crate) const PLACE: [&str; 4] = ["--zone", "1", "--gas", "ethanol"];
