//! Accounts from the command line, and a service that starts only where it may.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use serde_json::Value;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;

const PASSWORD: &str = "barley, peat and water\n";

struct Ended {
    code: i32,
    out: String,
    err: String,
}

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_vetplate"));
    // Settings of whoever runs the tests must not reach them.
    command
        .env_clear()
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

fn run(args: &[&str], input: &str) -> Ended {
    let mut child = program().args(args).spawn().unwrap();
    // The program may end before it has read everything.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    let output = child.wait_with_output().unwrap();
    Ended {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A folder for a register, and `vetplate users` on it.
struct Place {
    _folder: TempDir,
    register: PathBuf,
}

impl Place {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        Self {
            register: folder.path().join("register.vetplate"),
            _folder: folder,
        }
    }

    fn register(&self) -> &str {
        self.register.to_str().unwrap()
    }

    fn users(&self, args: &[&str], input: &str) -> Ended {
        let args = [
            &["users"],
            args,
            &["--register", self.register(), "--by", "test"],
        ]
        .concat();
        run(&args, input)
    }

    #[track_caller]
    fn done(&self, args: &[&str], input: &str) -> String {
        let ended = self.users(args, input);
        assert_eq!(ended.code, 0, "{}", ended.err);
        ended.out
    }

    fn listed(&self) -> Value {
        serde_json::from_str(&self.done(&["list", "--json"], "")).unwrap()
    }
}

#[test]
fn accounts_are_made_listed_changed_and_removed() {
    let place = Place::new();
    let out = place.done(&["add", "Ailsa", "--role", "administrator"], PASSWORD);
    assert_eq!(out, "Ailsa is an administrator now.\n");
    place.done(
        &["add", "meter", "--role", "inspector", "--no-password"],
        "",
    );
    let token = place.done(
        &[
            "token",
            "meter",
            "--label",
            "still house",
            "--role",
            "reader",
            "--days",
            "30",
        ],
        "",
    );
    assert!(
        token.starts_with("vetplate_") && token.trim().len() == 73,
        "{token}"
    );
    let listed = place.listed();
    assert_eq!(listed["accounts"][0]["name"], "Ailsa");
    assert_eq!(listed["accounts"][0]["password"], true);
    let meter = &listed["accounts"][1];
    assert_eq!(meter["password"], false);
    assert_eq!(meter["tokens"][0]["label"], "still house");
    assert_eq!(meter["tokens"][0]["role"], "reader");
    assert!(!listed.to_string().contains(token.trim()));
    let number = meter["tokens"][0]["id"].to_string();
    let text = place.done(&["list"], "");
    let line = format!("    token {number}: still house, as reader, until ");
    assert!(text.contains(&line), "{text}");
    place.done(&["role", "ailsa", "reviewer"], "");
    place.done(&["password", "Ailsa"], "peat, water and barley\n");
    place.done(&["remove", "meter", "--token", &number], "");
    assert_eq!(
        place.listed()["accounts"][1]["tokens"],
        serde_json::json!([])
    );
    place.done(&["remove", "meter"], "");
    let listed = place.listed();
    assert_eq!(listed["accounts"].as_array().unwrap().len(), 1);
    assert_eq!(listed["accounts"][0]["role"], "reviewer");
    let last = place.users(&["remove", "Ailsa"], "");
    assert!(last.err.contains("no account is left"), "{}", last.err);
}

#[test]
fn what_cannot_be_done_says_what_to_do_instead() {
    let place = Place::new();
    let add = &["add", "Ailsa", "--role", "reviewer"];
    for (args, input, part) in [
        (add.as_slice(), "short\n", "at least 12 characters"),
        (add, "", "at least 12 characters"),
        (
            &["add", "Ailsa", "--role", "king"],
            PASSWORD,
            "reader, inspector",
        ),
        (
            &["add", " ", "--role", "reader"],
            PASSWORD,
            "1 to 200 characters",
        ),
        (
            &["password", "Bridget"],
            PASSWORD,
            "there is no account Bridget",
        ),
        (
            &["role", "Bridget", "reader"],
            "",
            "there is no account Bridget",
        ),
        (
            &["token", "Bridget", "--label", "x"],
            "",
            "there is no account Bridget",
        ),
    ] {
        let ended = place.users(args, input);
        assert_eq!(ended.code, 2, "{args:?}: {}", ended.err);
        assert!(ended.err.contains(part), "{args:?}: {}", ended.err);
    }
    place.done(add, PASSWORD);
    let ended = place.users(&["add", "AILSA", "--role", "reader"], PASSWORD);
    assert!(ended.err.contains("choose another name"), "{}", ended.err);
    let ended = place.users(&["remove", "Ailsa", "--token", "77"], "");
    assert!(
        ended.err.contains("there is no token 77 of Ailsa"),
        "{}",
        ended.err
    );
}

#[test]
fn beyond_this_machine_nobody_is_served_without_accounts() {
    let place = Place::new();
    for args in [
        vec!["--listen", "0.0.0.0:0"],
        vec!["--listen", "127.0.0.1:0", "--behind-proxy"],
    ] {
        let ended = run(&[&["serve"], args.as_slice()].concat(), "");
        assert_eq!(ended.code, 2, "{}", ended.err);
        for part in [
            "open to everyone",
            "vetplate users add NAME",
            "--register FILE",
        ] {
            assert!(ended.err.contains(part), "{}", ended.err);
        }
    }
    // A register without accounts is no better.
    place.done(&["add", "Ailsa", "--role", "reader"], PASSWORD);
    place.done(&["remove", "Ailsa"], "");
    let args = [
        "serve",
        "--listen",
        "0.0.0.0:0",
        "--register",
        place.register(),
    ];
    let ended = run(&args, "");
    assert_eq!(ended.code, 2, "{}", ended.err);
    assert!(ended.err.contains(place.register()), "{}", ended.err);
}

/// A service that is running; it ends with the test.
struct Serving {
    child: Child,
    port: u16,
    log: BufReader<std::process::ChildStderr>,
    so_far: String,
}

impl Serving {
    fn start(args: &[&str]) -> Self {
        let mut child = program()
            .args(["serve", "--log-format", "json"])
            .args(args)
            .spawn()
            .unwrap();
        let log = BufReader::new(child.stderr.take().unwrap());
        let mut serving = Self {
            child,
            port: 0,
            log,
            so_far: String::new(),
        };
        while serving.port == 0 {
            let mut line = String::new();
            let read = serving.log.read_line(&mut line).unwrap();
            assert_ne!(read, 0, "{}", serving.so_far);
            serving.so_far.push_str(&line);
            let event: Value = serde_json::from_str(&line).unwrap();
            if event["message"] == "listening" {
                let address = event["address"].as_str().unwrap();
                serving.port = address.rsplit(':').next().unwrap().parse().unwrap();
            }
        }
        serving
    }

    fn ask(&self, request: &str) -> String {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    }

    /// Ends the service and gives back all that it logged.
    fn log(mut self) -> String {
        self.child.kill().unwrap();
        self.log.read_to_string(&mut self.so_far).unwrap();
        std::mem::take(&mut self.so_far)
    }
}

impl Drop for Serving {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn with_accounts_it_serves_everywhere_and_says_that_nothing_is_encrypted() {
    let place = Place::new();
    place.done(&["add", "Ailsa", "--role", "reader"], PASSWORD);
    let serving = Serving::start(&["--listen", "0.0.0.0:0", "--register", place.register()]);
    assert!(serving.so_far.contains("unencrypted"), "{}", serving.so_far);
    let head = "Host: x\r\nConnection: close\r\n";
    let answer = serving.ask(&format!("GET /v1/plates HTTP/1.1\r\n{head}\r\n"));
    assert!(answer.starts_with("HTTP/1.1 401"), "{answer}");
    let token = place.done(&["token", "Ailsa", "--label", "test"], "");
    let token = token.trim();
    let answer = serving.ask(&format!(
        "GET /v1/plates HTTP/1.1\r\n{head}Authorization: Bearer {token}\r\n\r\n"
    ));
    assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
    let body = format!(r#"{{"name": "Ailsa", "password": "{}"}}"#, PASSWORD.trim());
    let answer = serving.ask(&format!(
        "POST /v1/session HTTP/1.1\r\n{head}Content-Type: application/json\r\n\
         Content-Length: {}\r\n\r\n{body}",
        body.len()
    ));
    assert!(answer.starts_with("HTTP/1.1 201"), "{answer}");
    let session = answer.split("vetplate-session=").nth(1).unwrap();
    let session = session.split(';').next().unwrap().to_owned();
    let log = serving.log();
    for secret in [PASSWORD.trim(), token, &session] {
        assert!(!log.contains(secret), "{log}");
    }
}

#[test]
fn settings_come_from_flags_environment_and_file_in_this_order() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("vetplate.toml");
    std::fs::write(&file, "queue = 3\nworkers = 5\nheader-timeout-s = 4\n").unwrap();
    let output = program()
        .args(["serve", "--print-config", "--queue", "7", "--config"])
        .arg(&file)
        .env("VETPLATE_WORKERS", "6")
        .env("VETPLATE_QUEUE", "9")
        .output()
        .unwrap();
    let printed = String::from_utf8(output.stdout).unwrap();
    for line in ["queue = 7", "workers = 6", "header-timeout-s = 4"] {
        assert!(printed.lines().any(|l| l == line), "{printed}");
    }
    let wrong = program()
        .args(["serve", "--print-config", "--config", "none.toml"])
        .output()
        .unwrap();
    assert_eq!(wrong.status.code(), Some(2));
}
