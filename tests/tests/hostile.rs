//! Every hostile input of `fixtures/hostile`, through the door that it is made for: no panic,
//! no fault of ours, bounded memory, and nothing of it runs anywhere.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::header::{CONTENT_TYPE, X_CONTENT_TYPE_OPTIONS};
use axum::http::{Request, StatusCode};
use std::path::PathBuf;
use std::sync::Arc;
use tempfile::TempDir;
use vetplate::register::{PlateQuery, SqliteRegister, Store};
use vetplate::{AppState, Desk, Environment, ServeConfig, Site, app};

#[path = "support/service.rs"]
mod service;
#[path = "support/site.rs"]
mod site;

use service::{PLATE, reader, sent};
use site::{SURE, register, take_in};

/// What the whole of these tests may take at its worst moment. A photo of 100 megapixels in
/// colour takes 300 MB by itself; the largest of these has 25.
const MAX_MIB: u64 = 600;
struct Service {
    folder: TempDir,
    register: Arc<SqliteRegister>,
    router: Router,
}

/// Sees the plate of the self-check on everything that can be decoded.
fn seeing_plates() -> Service {
    let folder = tempfile::tempdir().unwrap();
    let register = register(folder.path());
    let state = AppState::new(&ServeConfig::default(), Environment::system());
    state.install(Ok(Arc::new(reader(&[PLATE]))));
    state.attach(Desk::new(register.clone(), None));
    Service {
        folder,
        register,
        router: app(state),
    }
}

struct Answered {
    status: StatusCode,
    kind: String,
    nosniff: bool,
    body: Bytes,
}

impl Service {
    async fn post(&self, path: &str, kind: &str, body: Vec<u8>) -> Answered {
        let request = Request::post(path).header(CONTENT_TYPE, kind);
        self.send(request.body(Body::from(body)).unwrap()).await
    }

    async fn get(&self, path: &str) -> Answered {
        self.send(Request::get(path).body(Body::empty()).unwrap())
            .await
    }

    async fn send(&self, request: Request<Body>) -> Answered {
        let (parts, body) = sent(&self.router, request).await;
        let header = |name| parts.headers.get(name).map(|v| v.to_str().unwrap());
        Answered {
            status: parts.status,
            kind: header(CONTENT_TYPE).unwrap_or_default().to_owned(),
            nosniff: header(X_CONTENT_TYPE_OPTIONS) == Some("nosniff"),
            body,
        }
    }
}

/// Every input of a folder, by name.
fn inputs(folder: &str, at_least: usize) -> Vec<(String, Vec<u8>)> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../fixtures/hostile");
    let mut found: Vec<(String, Vec<u8>)> = std::fs::read_dir(path.join(folder))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| {
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            (name, std::fs::read(path).unwrap())
        })
        .collect();
    found.sort();
    assert!(found.len() >= at_least, "{folder}: {}", found.len());
    found
}

/// The most memory that this program ever had, MiB; none where the system does not say it.
fn peak_mib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kib: u64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kib / 1024)
}

#[track_caller]
fn assert_is_no_fault_of_ours(name: &str, answered: &Answered) {
    let status = answered.status;
    assert!(
        status.is_success() || status.is_client_error(),
        "{name}: {status} {:?}",
        answered.body
    );
    // Nothing that a browser would run, whatever stands in it.
    assert!(
        answered.kind.starts_with("application/json")
            || answered.kind.starts_with("application/problem+json"),
        "{name}: {}",
        answered.kind
    );
    assert!(answered.nosniff, "{name}");
    serde_json::from_slice::<serde_json::Value>(&answered.body).unwrap();
}

#[tokio::test]
async fn pictures_are_read_or_refused_within_bounds() {
    let service = seeing_plates();
    let mut refused = 0;
    let inputs = inputs("pictures", 150);
    for (name, bytes) in &inputs {
        let answered = service
            .post("/v1/readings", "application/octet-stream", bytes.clone())
            .await;
        assert_is_no_fault_of_ours(name, &answered);
        refused += usize::from(answered.status.is_client_error());
        if let Some(peak) = peak_mib() {
            assert!(peak < MAX_MIB, "{name}: {peak} MiB");
        }
    }
    assert!(refused > inputs.len() / 2, "{refused}");
}

#[tokio::test]
async fn json_and_texts_of_plates_are_decoded_or_refused() {
    let service = seeing_plates();
    for (name, bytes) in inputs("markings", 60) {
        for path in [
            "/v1/markings",
            "/v1/loops",
            "/v1/requirements",
            "/v1/session",
        ] {
            let answered = service.post(path, "application/json", bytes.clone()).await;
            if answered.status == StatusCode::NOT_IMPLEMENTED {
                continue;
            }
            assert_is_no_fault_of_ours(&format!("{name} to {path}"), &answered);
        }
    }
}

#[tokio::test]
async fn forms_are_taken_apart_or_refused() {
    let service = seeing_plates();
    for (name, bytes) in inputs("forms", 20) {
        let kind = "multipart/form-data; boundary=x";
        let answered = service.post("/v1/readings", kind, bytes).await;
        assert_is_no_fault_of_ours(&name, &answered);
        let text = String::from_utf8(answered.body.to_vec()).unwrap();
        for never in ["/etc/", "\\u001b", "\u{1b}", "\\u0000"] {
            assert!(!text.contains(never), "{name}: {text}");
        }
    }
}

#[test]
fn site_files_are_read_or_refused_with_a_sentence() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../fixtures/hostile/sites");
    for (name, _) in inputs("sites", 20) {
        let file = path.join(&name);
        for (site, certificates) in [(Some(file.as_path()), None), (None, Some(file.as_path()))] {
            match Site::open(site, certificates) {
                Err(error) => assert!(error.to_string().contains(&name), "{name}: {error}"),
                Ok(site) => {
                    for location in site.locations() {
                        for fault in site.faults(location) {
                            assert!(!fault.to_string().is_empty());
                        }
                    }
                }
            }
        }
    }
}

/// What people write is kept, and comes back, as text: in JSON, in tables, in the search.
#[tokio::test]
async fn hostile_plates_are_kept_as_text_and_come_back_as_such() {
    let service = seeing_plates();
    let mut plates = 0;
    for (index, (name, bytes)) in inputs("settlements", 20).into_iter().enumerate() {
        let id = take_in(&service.register, service.folder.path(), index as u8, SURE);
        let mut body: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
        let plate = service.get(&format!("/v1/plates/{id}")).await;
        let plate: serde_json::Value = serde_json::from_slice(&plate.body).unwrap();
        body["version"] = plate["version"].clone();
        let path = format!("/v1/plates/{id}/settlements");
        let sent = serde_json::to_vec(&body).unwrap();
        let answered = service.post(&path, "application/json", sent).await;
        assert_is_no_fault_of_ours(&name, &answered);
        let plate = service.get(&format!("/v1/plates/{id}")).await;
        assert_is_no_fault_of_ours(&name, &plate);
        if answered.status == StatusCode::CREATED {
            plates += 1;
            let plate: serde_json::Value = serde_json::from_slice(&plate.body).unwrap();
            let kept = &plate["settlements"][0];
            assert_eq!(kept["note"], body["note"], "{name}");
            assert_eq!(kept["who"], body["who"].as_str().unwrap().trim(), "{name}");
        }
        for text in [&body["text"], &body["note"], &body["who"]] {
            let text = text.as_str().unwrap_or_default();
            let query: String = form_urlencoded::byte_serialize(text.as_bytes()).collect();
            let found = service.get(&format!("/v1/plates?text={query}")).await;
            assert_is_no_fault_of_ours(&name, &found);
        }
    }
    assert!(plates >= 12, "{plates}");
    // The tables of the register are all there: nothing of it was run as SQL.
    let mut findings = Vec::new();
    service
        .register
        .check(&mut |finding| findings.push(finding))
        .unwrap();
    assert_eq!(findings, []);
    let query = PlateQuery {
        limit: 500,
        ..PlateQuery::default()
    };
    assert!(service.register.plates(&query).unwrap().plates.len() >= plates);
}
