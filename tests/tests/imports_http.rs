//! Imports behind the service: what is sent, what is named, and a hand on what runs.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

#[path = "support/desk.rs"]
mod desk;

use axum::body::Body;
use axum::http::header::{CONTENT_TYPE, LOCATION};
use axum::http::{Request, StatusCode};
use desk::{Answered, DOUBTFUL, Service, environment, form, picture};
use http_body_util::BodyExt;
use serde_json::{Value, json};
use std::io::{Cursor, Write};
use std::time::Duration;
use tower::ServiceExt;
use vetplate::Code;
use vetplate::register::{Asked, ImportState, Origin, Photos};

/// An archive with these members.
fn zip_of(members: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in members {
        zip.start_file(*name, zip::write::SimpleFileOptions::default())
            .unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn body(kind: &str, bytes: Vec<u8>) -> Request<Body> {
    let request = Request::post("/v1/imports").header(CONTENT_TYPE, kind);
    request.body(Body::from(bytes)).unwrap()
}

fn path_of(answered: &Answered) -> String {
    assert_eq!(answered.status, StatusCode::ACCEPTED, "{answered:?}");
    answered.headers[LOCATION].to_str().unwrap().to_owned()
}

/// Every event of an import until its end: name and data.
async fn events(service: &Service, path: &str) -> Vec<(String, Value)> {
    let answered = service.get(&format!("{path}/events")).await;
    assert_eq!(answered.headers[CONTENT_TYPE], "text/event-stream");
    let text = String::from_utf8(answered.body.to_vec()).unwrap();
    text.split("\n\n")
        .filter_map(|event| {
            let of = |key: &str| event.lines().find_map(|l| l.strip_prefix(key));
            let data = of("data: ")?;
            Some((
                of("event: ")?.to_owned(),
                serde_json::from_str(data).unwrap(),
            ))
        })
        .collect()
}

/// The import at its end, with accounts that balance.
async fn ended(service: &Service, path: &str) -> Value {
    let events = events(service, path).await;
    assert_eq!(events.last().unwrap().0, "end", "{events:?}");
    let json = service.json(path).await;
    balances(&json);
    json
}

#[track_caller]
fn balances(json: &Value) {
    let of = |key: &str| json[key].as_u64().unwrap();
    let parts = of("taken") + of("held") + of("refused") + of("failed");
    assert_eq!(of("seen"), parts, "{json}");
}

#[tokio::test(flavor = "multi_thread")]
async fn photos_of_a_folder_are_taken_where_their_folders_say() {
    let service = Service::new();
    let (sure, doubtful) = (picture(1), picture(DOUBTFUL + 2));
    let sent = form(
        "/v1/imports",
        &[
            ("who", None, b"A. Inspector"),
            ("photo", Some("round 2026/still-1/a.png"), &sure),
            ("photo", Some("round 2026/still-1/copy of a.png"), &sure),
            ("photo", Some("../../etc/passwd"), b"root:x:0:0"),
            ("photo", Some("round 2026/b.png"), &doubtful),
        ],
    );
    let answered = service.send(sent).await;
    let path = path_of(&answered);
    let json = ended(&service, &path).await;
    assert_eq!(json["state"], "done");
    assert_eq!(json["who"], "A. Inspector");
    assert_eq!(
        [
            &json["seen"],
            &json["taken"],
            &json["held"],
            &json["refused"]
        ],
        [&json!(4), &json!(2), &json!(1), &json!(1)]
    );
    assert_eq!(json["waiting"], 1, "{json}");
    // Neither where this machine keeps its files, nor a path that leads out.
    assert_eq!(json["problems"][0]["source"], "etc/passwd");
    assert!(!json.to_string().contains("uploads"), "{json}");
    assert_eq!(json["can"], json!([]));
    let plates = service.json("/v1/plates?location=STILL-1").await;
    assert_eq!(plates["plates"].as_array().unwrap().len(), 1);
    assert_eq!(
        service.json("/v1/imports").await["imports"][0]["id"],
        json["id"]
    );
    // Everything is in the folder of copies; what was sent is not kept twice.
    let left: Vec<_> = std::fs::read_dir(service.folder.path().join("register.vetplate.uploads"))
        .unwrap()
        .collect();
    assert!(left.is_empty(), "{left:?}");
    service.is_whole();
}

#[tokio::test(flavor = "multi_thread")]
async fn an_archive_is_taken_as_body_and_as_a_part() {
    let service = Service::new();
    let (a, b) = (picture(1), picture(2));
    let first = zip_of(&[("STILL-1/a.png", &a)]);
    let path = path_of(&service.send(body("application/zip", first)).await);
    assert_eq!(ended(&service, &path).await["taken"], 1);
    let second = zip_of(&[("a.png", &a), ("../b.png", &b), ("b.png", &b)]);
    let sent = form(
        "/v1/imports",
        &[
            ("archive", Some("x.zip"), &second),
            ("location", None, b"STILL-1"),
        ],
    );
    let path = path_of(&service.send(sent).await);
    let json = ended(&service, &path).await;
    assert_eq!(
        [&json["taken"], &json["held"], &json["refused"]],
        [&json!(1), &json!(1), &json!(1)]
    );
    let plates = service.json("/v1/plates?location=STILL-1").await;
    assert_eq!(plates["plates"].as_array().unwrap().len(), 2);
    service.is_whole();
}

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_imported_is_refused_and_leaves_nothing() {
    let service = Service::new();
    let problem = service.send(body("application/zip", Vec::new())).await;
    problem.is_problem(Code::EmptyBody);
    let problem = service.send(body("text/plain", vec![1])).await;
    problem.is_problem(Code::UnsupportedMediaType);
    let problem = service
        .send(body("application/zip", vec![0; (4 << 20) + 1]))
        .await;
    problem.is_problem(Code::BodyTooLarge);
    for parts in [
        &[("colour", None, &b"red"[..])][..],
        &[("who", None, b"A. Inspector")],
        &[
            ("archive", Some("a.zip"), b"x"),
            ("archive", Some("b.zip"), b"y"),
        ],
        &[
            ("photo", Some("a.png"), b"x"),
            ("archive", Some("b.zip"), b"y"),
        ],
        &[("who", None, b"\x01"), ("photo", Some("a.png"), b"x")],
    ] {
        let problem = service.send(form("/v1/imports", parts)).await;
        problem.is_problem(Code::InvalidRequest);
    }
    let uploads = service.folder.path().join("register.vetplate.uploads");
    assert_eq!(std::fs::read_dir(uploads).unwrap().count(), 0);
    // Bytes that are no archive are an import with a refusal, named.
    let path = path_of(
        &service
            .send(body("application/zip", b"no archive".to_vec()))
            .await,
    );
    let json = ended(&service, &path).await;
    assert_eq!(json["refused"], 1);
    assert_eq!(json["problems"][0]["source"], "archive.zip");
    for wrong in ["/v1/imports/99", "/v1/imports/x", "/v1/imports/99/events"] {
        service.get(wrong).await.is_problem(Code::NotFound);
    }
    service
        .get("/v1/imports?limit=0")
        .await
        .is_problem(Code::InvalidRequest);
}

#[tokio::test(flavor = "multi_thread")]
async fn only_what_lies_below_the_folder_of_imports_is_opened() {
    let service = Service::new();
    let inside = service.archive().join("2026");
    std::fs::create_dir_all(&inside).unwrap();
    std::fs::write(inside.join("a.png"), picture(1)).unwrap();
    let outside = service.folder.path().join("secret");
    std::fs::create_dir_all(&outside).unwrap();
    std::fs::write(outside.join("b.png"), picture(2)).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(&outside, service.archive().join("link")).unwrap();
    let absolute = outside.to_str().unwrap();
    for wrong in [
        "../secret",
        "2026/../../secret",
        "link",
        absolute,
        "nowhere",
        "/",
    ] {
        let answered = service
            .post_json("/v1/imports", &json!({"folder": wrong}))
            .await;
        let problem = answered.is_problem(Code::InvalidRequest);
        let said = problem["detail"].as_str().unwrap().replace(wrong, "");
        assert!(
            !said.contains(service.folder.path().to_str().unwrap()),
            "{said}"
        );
    }
    let asked = json!({"folder": "2026", "location": "STILL-1", "keep": true});
    let answered = service.post_json("/v1/imports", &asked).await;
    let json = ended(&service, &path_of(&answered)).await;
    assert_eq!(
        (&json["taken"], &json["sources"][0]),
        (&json!(1), &json!("2026"))
    );
    assert!(inside.join("a.png").exists(), "sources are never removed");
    service.is_whole();
}

/// A service whose photos take a while, and an import of so many of them.
async fn at_work(photos: u32) -> (Service, String) {
    let folder = tempfile::tempdir().unwrap();
    let service = Service::with(folder, &environment(), Duration::from_millis(60));
    for n in 0..photos {
        let path = service.archive().join(format!("{n:03}.png"));
        std::fs::write(path, picture(n)).unwrap();
    }
    let asked = json!({"folder": ".", "keep": true});
    let path = path_of(&service.post_json("/v1/imports", &asked).await);
    (service, path)
}

async fn counted(service: &Service, path: &str) {
    for _ in 0..200 {
        if !service.json(path).await["total"].is_null() {
            return;
        }
        tokio::time::sleep(Duration::from_millis(10)).await;
    }
    panic!("{path} never says how many photos there are");
}

#[tokio::test(flavor = "multi_thread")]
async fn an_import_is_followed_paused_resumed_and_cancelled() {
    let (service, path) = at_work(60).await;
    service
        .post_json("/v1/imports", &json!({"folder": "."}))
        .await
        .is_problem(Code::WrongState);
    // The first event is how it stands now.
    let request = Request::get(format!("{path}/events")).body(Body::empty());
    let response = service
        .router
        .clone()
        .oneshot(request.unwrap())
        .await
        .unwrap();
    let mut stream = response.into_body();
    let first = stream.frame().await.unwrap().unwrap().into_data().unwrap();
    assert!(first.starts_with(b"event: progress"), "{first:?}");
    drop(stream);
    // How many there are is known once the folder has been walked through.
    counted(&service, &path).await;
    let wish = async |wish: &str| {
        let path = format!("{path}/{wish}");
        service.post_json(&path, &Value::Null).await
    };
    let paused = wish("pause").await.json();
    assert_eq!(
        (&paused["state"], &paused["can"]),
        (&json!("paused"), &json!(["resume", "cancel"]))
    );
    // What is in hand is finished; then it stands still, long before the last photo.
    let mut still = service.json(&path).await;
    loop {
        tokio::time::sleep(Duration::from_millis(400)).await;
        let now = service.json(&path).await;
        if now["seen"] == still["seen"] {
            break;
        }
        still = now;
    }
    balances(&still);
    assert!(still["seen"].as_u64().unwrap() < 60);
    assert_eq!(still["total"], 60);
    assert_eq!(wish("resume").await.json()["state"], "running");
    wish("cancel").await;
    let json = ended(&service, &path).await;
    assert_eq!(
        (&json["state"], &json["can"]),
        (&json!("stopped"), &json!(["resume"]))
    );
    let taken = json["taken"].as_u64().unwrap();
    assert!(taken < 60);
    wish("pause").await.is_problem(Code::WrongState);
    service.is_whole();
    // It goes on as another import, which finds what was taken.
    let next = path_of(&wish("resume").await);
    let json = ended(&service, &next).await;
    assert_eq!(json["state"], "done");
    assert_eq!(json["held"], taken);
    assert_eq!(json["taken"], 60 - taken);
    let before = service.json(&path).await;
    assert_eq!(
        (&before["resumed_by"], &before["can"]),
        (&json["id"], &json!([]))
    );
    wish("resume").await.is_problem(Code::WrongState);
    service.is_whole();
}

#[tokio::test(flavor = "multi_thread")]
async fn an_import_outlives_the_program_that_ran_it() {
    let service = Service::new();
    std::fs::write(service.archive().join("a.png"), picture(1)).unwrap();
    // As a program leaves it that was killed: begun, and never ended.
    let source = service.archive().canonicalize().unwrap();
    let asked = Asked {
        origin: Origin::Folder,
        kept: true,
        ..Asked::default()
    };
    let id = service
        .register
        .begin_import(
            &[source.to_str().unwrap().to_owned()],
            &asked,
            "A. Inspector",
        )
        .unwrap();
    let folder = service.folder;
    drop((service.register, service.router, service.state));
    let service = Service::with(folder, &environment(), Duration::ZERO);
    let path = format!("/v1/imports/{id}");
    let json = service.json(&path).await;
    assert_eq!(
        (&json["state"], &json["can"]),
        (&json!("interrupted"), &json!(["resume"]))
    );
    let next = path_of(
        &service
            .post_json(&format!("{path}/resume"), &Value::Null)
            .await,
    );
    let json = ended(&service, &next).await;
    assert_eq!(
        (&json["taken"], &json["resumes"]),
        (&json!(1), &json!(id.0))
    );
    assert_eq!(json["who"], "A. Inspector");
    service.is_whole();
}

#[tokio::test]
async fn what_was_sent_and_never_answered_does_not_stay_and_what_may_be_resumed_does() {
    let service = Service::new();
    let uploads = service.folder.path().join("register.vetplate.uploads");
    for name in ["broken-off", "interrupted"] {
        std::fs::create_dir_all(uploads.join(name)).unwrap();
        std::fs::write(uploads.join(name).join("archive.zip"), b"half").unwrap();
    }
    let sent = uploads.join("interrupted/archive.zip");
    let asked = Asked {
        origin: Origin::Upload,
        kept: true,
        ..Asked::default()
    };
    let source = sent.to_str().unwrap().to_owned();
    service
        .register
        .begin_import(&[source], &asked, "me")
        .unwrap();
    let folder = service.folder;
    drop((service.register, service.router, service.state));
    let _service = Service::with(folder, &environment(), Duration::ZERO);
    assert!(sent.exists());
    assert!(!uploads.join("broken-off").exists());
}

#[tokio::test(flavor = "multi_thread")]
async fn an_import_ends_in_good_order_with_its_service() {
    let (service, path) = at_work(40).await;
    service.state.end();
    service.state.ended(Duration::from_secs(20)).await;
    let json = service.json(&path).await;
    assert_eq!(json["state"], ImportState::Interrupted.name());
    balances(&json);
    service.is_whole();
}

#[tokio::test(flavor = "multi_thread")]
async fn a_person_does_not_wait_behind_an_import() {
    let (service, path) = at_work(60).await;
    let request = Request::post("/v1/plates?location=STILL-1").header(CONTENT_TYPE, "image/png");
    let answered = service
        .send(request.body(Body::from(picture(5000))).unwrap())
        .await;
    assert_eq!(answered.status, StatusCode::CREATED);
    let seen = service.json(&path).await["seen"].as_u64().unwrap();
    assert!(
        seen < 40,
        "{seen} photos of the import went before the one of a person"
    );
    service
        .post_json(&format!("{path}/cancel"), &Value::Null)
        .await;
    ended(&service, &path).await;
    service.is_whole();
}

#[tokio::test(flavor = "multi_thread")]
async fn an_import_of_the_command_line_is_seen_and_not_touched() {
    let service = Service::new();
    let asked = Asked::default();
    let id = service
        .register
        .begin_import(&["/photos".to_owned()], &asked, "me")
        .unwrap();
    let path = format!("/v1/imports/{id}");
    // Nobody holds the lock, so that it is known to have ended.
    let json = service.json(&path).await;
    assert_eq!(
        (&json["state"], &json["origin"]),
        (&json!("interrupted"), &json!("command"))
    );
    assert_eq!(json["can"], json!([]));
    let answered = service
        .post_json(&format!("{path}/resume"), &Value::Null)
        .await;
    answered.is_problem(Code::WrongState);
}
