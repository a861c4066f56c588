//! The service as a program: what it answers 201 outlives a kill.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use serde_json::Value;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;
use vetplate::Environment;
use vetplate::register::{Folder, SqliteRegister};

/// The program, serving.
struct Running {
    child: Child,
    address: String,
}

impl Running {
    /// On the register in `folder`, ready to read photos.
    fn on(folder: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_vetplate"))
            .env_clear()
            .args([
                "serve",
                "--listen",
                "127.0.0.1:0",
                "--log-format",
                "json",
                "--register",
            ])
            .arg(folder.join("register.vetplate"))
            .stdin(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
        let address = loop {
            let line = lines.next().expect("the service ended").unwrap();
            if let Some(at) = line.find("127.0.0.1:") {
                let rest = &line[at..];
                let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ':');
                break rest[..end.unwrap_or(rest.len())].to_owned();
            }
        };
        // Somebody must read on, or the service waits for them.
        std::thread::spawn(move || lines.for_each(drop));
        let running = Self { child, address };
        while running.ask("GET", "/readyz", &[], b"").0 != 200 {
            std::thread::sleep(Duration::from_millis(50));
        }
        running
    }

    /// Status and body.
    fn ask(&self, method: &str, path: &str, headers: &[&str], body: &[u8]) -> (u16, Value) {
        let mut stream = TcpStream::connect(&self.address).unwrap();
        let mut head = format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\nContent-Length: {}\r\n",
            self.address,
            body.len()
        );
        for header in headers {
            head.push_str(header);
            head.push_str("\r\n");
        }
        stream.write_all(format!("{head}\r\n").as_bytes()).unwrap();
        stream.write_all(body).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        let text = String::from_utf8_lossy(&answer);
        let (head, body) = text.split_once("\r\n\r\n").unwrap();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        (status, serde_json::from_str(body).unwrap_or_default())
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // SIGKILL, as a power failure is for the program.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn what_was_answered_201_outlives_a_kill_and_a_repeat_takes_nothing_twice() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("register.vetplate");
    drop(SqliteRegister::open(&path, true, Environment::system()).unwrap());
    let photo =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/photos/still-house-pump-motor.jpg");
    let photo = std::fs::read(photo).unwrap();
    let send = |running: &Running| {
        running.ask(
            "POST",
            "/v1/plates?location=STILL-1&zone=1&gas=ethanol&tag=P-101&who=A.+Inspector",
            &["Content-Type: image/jpeg", "Idempotency-Key: 7d3f"],
            &photo,
        )
    };
    let running = Running::on(folder.path());
    let (status, first) = send(&running);
    assert_eq!(status, 201, "{first}");
    drop(running);
    let register = SqliteRegister::open(&path, false, Environment::system()).unwrap();
    let mut findings = Vec::new();
    register.check(&mut |f| findings.push(f)).unwrap();
    let copies = Folder::new(register.copies().unwrap().unwrap(), Environment::system());
    let kept = register.check_copies(&copies, &mut || {}, &mut |f| findings.push(f));
    assert_eq!((kept.unwrap(), &findings[..]), (1, &[][..]));
    drop(register);
    let running = Running::on(folder.path());
    let (status, again) = send(&running);
    assert_eq!((status, &again["plate"]), (201, &first["plate"]));
    let (_, list) = running.ask("GET", "/v1/plates?text=P-101", &[], b"");
    assert_eq!(list["plates"].as_array().unwrap().len(), 1, "{list}");
    assert_eq!(list["plates"][0]["location"], "STILL-1");
}

#[test]
fn levels_of_the_log_that_cannot_be_read_are_refused() {
    let output = Command::new(env!("CARGO_BIN_EXE_vetplate"))
        .env_clear()
        .env("VETPLATE_LOG", "vetplate=loudly")
        .args(["serve", "--listen", "127.0.0.1:0"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    for words in ["VETPLATE_LOG is \"vetplate=loudly\"", "warn,vetplate=info"] {
        assert!(said.contains(words), "{said}");
    }
}
