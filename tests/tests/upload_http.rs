//! Photos that people send to the register.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

#[path = "support/desk.rs"]
mod desk;

use axum::body::Body;
use axum::http::header::{CONTENT_TYPE, LOCATION};
use axum::http::{Request, StatusCode};
use desk::{Answered, DOUBTFUL, Service, TWO_PLATES, environment, form, picture};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::fmt::Write;
use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;
use vetplate::Code;

fn photo(path: &str, n: u32, key: Option<&str>) -> Request<Body> {
    let mut request = Request::post(path).header(CONTENT_TYPE, "image/png");
    if let Some(key) = key {
        request = request.header("Idempotency-Key", key);
    }
    request.body(Body::from(picture(n))).unwrap()
}

async fn plates(service: &Service) -> Vec<Value> {
    let page = service.json("/v1/plates").await;
    page["plates"].as_array().unwrap().clone()
}

#[tokio::test]
async fn a_photo_is_read_kept_and_found_at_once() {
    let service = Service::new();
    let bytes = picture(DOUBTFUL + 7);
    let answered = service
        .send(form(
            "/v1/plates",
            &[
                ("location", None, b"still-1"),
                ("tag", None, b"P-101"),
                ("note", None, "behind the tank;\nladder needed".as_bytes()),
                ("who", None, b"A. Inspector"),
                ("photo", Some("../../etc/IMG_1.png"), &bytes),
            ],
        ))
        .await;
    assert_eq!(answered.status, StatusCode::CREATED, "{answered:?}");
    let json = answered.json();
    assert_eq!(json["outcome"], "taken");
    assert_eq!(json["joined"], "new");
    assert_eq!(json["plate"]["tag"], "P-101");
    assert_eq!(json["plate"]["location"], "STILL-1");
    assert_eq!(json["answer"]["photo"]["file"], "IMG_1.png");
    assert_eq!(json["answer"]["schema"], 1);
    assert_eq!(json["plates"], serde_json::json!([json["plate"]]));
    let id = json["plate"]["id"].as_i64().unwrap();
    assert_eq!(answered.headers[LOCATION], format!("/v1/plates/{id}"));
    let queue = service.json("/v1/review").await;
    assert_eq!(queue["entries"][0]["id"], id);
    let found = service.json("/v1/plates?text=CB-001007").await;
    assert_eq!(found["plates"][0]["id"], id);
    let plate = service.json(&format!("/v1/plates/{id}")).await;
    let history = plate["history"].as_array().unwrap();
    let noted = history.iter().find(|e| e["what"] == "noted").unwrap();
    assert_eq!(noted["who"], "A. Inspector");
    assert_eq!(noted["after"]["note"], "behind the tank;\nladder needed");
    // The original, byte by byte.
    let mut hash = String::new();
    for byte in Sha256::digest(&bytes) {
        write!(hash, "{byte:02x}").unwrap();
    }
    let copy = service
        .folder
        .path()
        .join("copies")
        .join(&hash[..2])
        .join(&hash);
    assert_eq!(std::fs::read(copy).unwrap(), bytes);
    let crop = service.get(&format!("/v1/plates/{id}/crop")).await;
    assert_eq!(crop.status, StatusCode::OK);
    service.is_whole();
}

#[tokio::test]
async fn each_plate_of_a_photo_is_answered_and_settled_by_itself() {
    let service = Service::new();
    let path = "/v1/plates?location=STILL-1&tag=P-1";
    let first = service.send(photo(path, TWO_PLATES, Some("two"))).await;
    assert_eq!(first.status, StatusCode::CREATED, "{first:?}");
    let json = first.json();
    let rows = json["plates"].as_array().unwrap();
    let markings: Vec<&Value> = rows.iter().map(|row| &row["marking"]).collect();
    assert_eq!(markings, ["Ex db IIC T4 Gb", "Ex ec IIC T4 Gc"]);
    assert_eq!(rows[0], json["plate"]);
    assert_eq!(json["beside"][0], rows[1]["id"]);
    // Nobody knows which of the two the tag is meant for.
    let remark = json["remarks"][0].as_str().unwrap();
    assert!(remark.contains("several plates"), "{remark}");
    // The same answer again, under the key and without it.
    let again = service.send(photo(path, TWO_PLATES, Some("two"))).await;
    assert_eq!(again.json(), json);
    let held = service.send(photo(path, TWO_PLATES, None)).await;
    assert_eq!(held.json()["plates"], json["plates"]);
    // The correction of the second is that of the second alone.
    let second = rows[1]["id"].as_i64().unwrap();
    let lines = ["II 2 G Ex eb IIC T4 Gb", "Serial No. HT-1000000"];
    let body = serde_json::json!({
        "who": "A. Inspector", "version": rows[1]["version"], "kind": "corrected", "lines": lines,
    });
    let settled = Request::post(format!("/v1/plates/{second}/settlements"))
        .header(CONTENT_TYPE, "application/json")
        .body(Body::from(body.to_string()))
        .unwrap();
    let settled = service.send(settled).await;
    assert!(settled.status.is_success(), "{settled:?}");
    let plates = plates(&service).await;
    let of = |key: &str| -> Vec<String> {
        let text = |row: &Value| row[key].as_str().unwrap().to_owned();
        plates.iter().map(text).collect()
    };
    assert_eq!(of("marking"), ["Ex db IIC T4 Gb", "Ex eb IIC T4 Gb"]);
    assert_eq!(of("review"), ["waiting", "settled"]);
    service.is_whole();
}

#[tokio::test]
async fn the_same_photo_again_is_an_answer_and_no_error() {
    let service = Service::new();
    let first = service
        .send(photo("/v1/plates?location=STILL-1&tag=P-1", 1, None))
        .await;
    assert_eq!(first.status, StatusCode::CREATED);
    let again = service.send(photo("/v1/plates?tag=P-2", 1, None)).await;
    assert_eq!(again.status, StatusCode::OK);
    let json = again.json();
    assert_eq!(json["outcome"], "already_held");
    assert_eq!(json["plate"]["id"], first.json()["plate"]["id"]);
    assert_eq!(json["plate"]["tag"], "P-1");
    assert!(
        json["remarks"][0].as_str().unwrap().contains("P-2"),
        "{json}"
    );
    assert_eq!(plates(&service).await.len(), 1);
    service.is_whole();
}

#[tokio::test]
async fn a_key_stands_for_one_request() {
    let service = Service::new();
    let path = "/v1/plates?location=STILL-1&note=once";
    let first = service.send(photo(path, 2, Some("\"key-1\""))).await;
    assert_eq!(first.status, StatusCode::CREATED);
    for _ in 0..3 {
        let again = service.send(photo(path, 2, Some("key-1"))).await;
        assert_eq!(again.status, StatusCode::CREATED);
        assert_eq!(again.json(), first.json());
    }
    for other in [
        photo(path, 3, Some("key-1")),
        photo("/v1/plates", 2, Some("key-1")),
    ] {
        service.send(other).await.is_problem(Code::KeyReused);
    }
    service
        .send(photo(path, 3, Some("no key")))
        .await
        .is_problem(Code::InvalidRequest);
    let plates = plates(&service).await;
    assert_eq!(plates.len(), 1);
    let plate = service
        .json(&format!("/v1/plates/{}", plates[0]["id"]))
        .await;
    let history = plate["history"].as_array().unwrap();
    assert_eq!(history.iter().filter(|e| e["what"] == "noted").count(), 1);
    service.is_whole();
}

#[tokio::test]
async fn what_cannot_be_a_plate_is_refused_and_leaves_no_plate() {
    let service = Service::new();
    let send = |body: Vec<u8>, kind: &str| {
        let request = Request::post("/v1/plates").header(CONTENT_TYPE, kind);
        service.send(request.body(Body::from(body)).unwrap())
    };
    send(b"no picture".to_vec(), "image/png")
        .await
        .is_problem(Code::NotAPicture);
    send(Vec::new(), "image/png")
        .await
        .is_problem(Code::EmptyBody);
    send(vec![0; (1 << 20) + 1], "image/png")
        .await
        .is_problem(Code::BodyTooLarge);
    send(picture(1), "text/plain")
        .await
        .is_problem(Code::UnsupportedMediaType);
    let mut cut = picture(1);
    cut.truncate(cut.len() / 2);
    send(cut, "image/png")
        .await
        .is_problem(Code::DamagedPicture);
    let avif = b"\x00\x00\x00\x18ftypavif\x00\x00\x00\x00mif1avif".to_vec();
    let problem = send(avif, "image/jpeg")
        .await
        .is_problem(Code::UnsupportedPicture);
    assert!(
        problem["detail"].as_str().unwrap().contains("AVIF"),
        "{problem}"
    );
    for query in [
        "who=%01",
        "tag=a%0Ab",
        "colour=red",
        "location=NOWHERE",
        "zone=1&gas=no-such-gas",
    ] {
        let answered = service
            .send(photo(&format!("/v1/plates?{query}"), 5, None))
            .await;
        assert_eq!(
            answered.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{query}: {answered:?}"
        );
    }
    assert_eq!(plates(&service).await.len(), 0);
    // A photo that was refused once is read when it comes whole.
    assert_eq!(
        send(picture(1), "image/png").await.status,
        StatusCode::CREATED
    );
    service.is_whole();
}

#[tokio::test]
async fn a_place_is_kept_as_a_location_and_never_changed_by_the_way() {
    let service = Service::new();
    let send = |query: &str, n: u32| service.send(photo(&format!("/v1/plates?{query}"), n, None));
    // New, with its place.
    let mill = send("location=MILL&zone=21&dust=grain", 11).await.json();
    assert_eq!(mill["plate"]["location"], "MILL");
    assert!(mill["plate"]["outcome"].is_string(), "{mill}");
    let known = service.json("/v1/locations/MILL").await;
    assert_eq!(known["place"]["zone"], "21");
    // The same place again is no change; another one is refused in words.
    assert_eq!(
        send("location=mill&zone=21&dust=grain", 12).await.status,
        StatusCode::CREATED
    );
    let problem = send("location=MILL&zone=2&gas=methane", 13)
        .await
        .is_problem(Code::InvalidPlace);
    assert!(
        problem["detail"].as_str().unwrap().contains("zone 21"),
        "{problem}"
    );
    assert_eq!(
        service.json("/v1/locations/MILL").await["version"],
        known["version"]
    );
    // A place without a name is a location by itself, the same at each time.
    let first = send("zone=1&gas=hydrogen", 14).await.json();
    let second = send("gas=hydrogen&zone=1", 15).await.json();
    assert_eq!(first["plate"]["location"], "zone 1, hydrogen");
    assert_eq!(second["plate"]["location"], first["plate"]["location"]);
    assert!(first["plate"]["outcome"].is_string());
    // Without either, it is kept and not judged.
    let nowhere = send("", 16).await.json();
    assert_eq!(nowhere["plate"]["outcome"], Value::Null);
    service.is_whole();
}

async fn until_taken(service: &Service) -> Answered {
    let path = "/v1/plates?location=STILL-1&note=once";
    service.send(photo(path, 21, Some("the-key"))).await
}

#[tokio::test]
async fn whatever_step_fails_nothing_is_lost_and_nothing_is_there_twice() {
    let mut failing = 0;
    loop {
        let count = Arc::new(AtomicUsize::new(usize::MAX / 2));
        let steps = Arc::clone(&count);
        let environment = environment().with_steps(move |name| {
            // What is committed cannot fail any more.
            if name != "after a commit" && steps.fetch_add(1, Ordering::SeqCst) == failing {
                return Err(io::ErrorKind::StorageFull.into());
            }
            Ok(())
        });
        let folder = tempfile::tempdir().unwrap();
        let service = Service::with(folder, &environment, Duration::ZERO);
        count.store(0, Ordering::SeqCst);
        let first = until_taken(&service).await;
        let steps = count.load(Ordering::SeqCst);
        count.store(usize::MAX / 2, Ordering::SeqCst);
        if first.status == StatusCode::CREATED {
            assert!(failing >= steps, "step {failing} of {steps} failed unheard");
            break;
        }
        first.is_problem(Code::StorageFull);
        let again = until_taken(&service).await;
        assert!(again.status.is_success(), "step {failing}: {again:?}");
        let plates = plates(&service).await;
        assert_eq!(plates.len(), 1, "step {failing}");
        assert_eq!(plates[0]["photos"], 1, "step {failing}");
        let plate = service
            .json(&format!("/v1/plates/{}", plates[0]["id"]))
            .await;
        let history = plate["history"].as_array().unwrap();
        let notes = history.iter().filter(|e| e["what"] == "noted").count();
        assert_eq!(notes, 1, "step {failing}");
        service.is_whole();
        failing += 1;
    }
    assert!(failing > 15, "only {failing} steps");
}

#[tokio::test(flavor = "multi_thread")]
async fn two_people_who_send_the_same_photo_get_the_same_plate() {
    let folder = tempfile::tempdir().unwrap();
    let service = Service::with(folder, &environment(), Duration::from_millis(200));
    let path = "/v1/plates?location=STILL-1";
    let (a, b) = tokio::join!(
        service.send(photo(path, 31, None)),
        service.send(photo(path, 31, None))
    );
    let mut statuses = [a.status.as_u16(), b.status.as_u16()];
    statuses.sort_unstable();
    // The second is asked to come again, or came late enough to be told that it is held.
    assert!(
        statuses == [201, 503] || statuses == [200, 201],
        "{statuses:?}"
    );
    let again = service.send(photo(path, 31, None)).await;
    assert_eq!(again.json()["outcome"], "already_held");
    assert_eq!(plates(&service).await.len(), 1);
    service.is_whole();
}

#[tokio::test]
async fn a_service_without_a_register_says_so() {
    let state = vetplate::AppState::new(&vetplate::ServeConfig::default(), environment());
    let router = vetplate::app(state);
    let response = tower::ServiceExt::oneshot(router, photo("/v1/plates", 1, None))
        .await
        .unwrap();
    assert_eq!(response.status(), StatusCode::NOT_IMPLEMENTED);
}
