//! The register over HTTP: plates, queue, settlements, pictures, locations.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::header::{CONTENT_TYPE, ETAG, IF_MATCH, IF_NONE_MATCH};
use axum::http::{HeaderMap, Request, StatusCode};
use serde_json::{Value, json};
use std::sync::Arc;
use tempfile::TempDir;
use tower::ServiceExt;
use vetplate::register::SqliteRegister;
use vetplate::{AppState, Code, Desk, Environment, ServeConfig, app};

#[path = "support/sent.rs"]
mod sent;
#[path = "support/site.rs"]
mod site;

use sent::sent;
use site::{DOUBTFUL, SURE, register, take_in};

struct Site {
    folder: TempDir,
    register: Arc<SqliteRegister>,
    service: Router,
}

fn site() -> Site {
    let folder = tempfile::tempdir().unwrap();
    let register = register(folder.path());
    let config = ServeConfig {
        workers: 1,
        ..ServeConfig::default()
    };
    let state = AppState::new(&config, Environment::system());
    state.attach(Desk::new(register.clone(), None));
    Site {
        folder,
        register,
        service: app(state),
    }
}

impl Site {
    fn plate(&self, name: u8, lines: &[(&'static str, f32)]) -> i64 {
        take_in(&self.register, self.folder.path(), name, lines)
    }

    async fn send(&self, request: Request<Body>) -> (StatusCode, HeaderMap, Bytes) {
        let (parts, body) = sent(&self.service, request).await;
        (parts.status, parts.headers, body)
    }

    async fn get(&self, path: &str) -> (StatusCode, HeaderMap, Bytes) {
        self.send(Request::get(path).body(Body::empty()).unwrap())
            .await
    }

    async fn json(&self, path: &str) -> Value {
        let (status, _, body) = self.get(path).await;
        assert_eq!(status, StatusCode::OK, "{path}: {body:?}");
        serde_json::from_slice(&body).unwrap()
    }

    async fn change(&self, method: &str, path: &str, body: &Value) -> (StatusCode, Value) {
        let request = Request::builder()
            .method(method)
            .uri(path)
            .header(CONTENT_TYPE, "application/json")
            .body(Body::from(body.to_string()))
            .unwrap();
        let (status, _, body) = self.send(request).await;
        (status, serde_json::from_slice(&body).unwrap_or_default())
    }
}

#[tokio::test]
async fn plates_are_listed_filtered_and_paged() {
    let site = site();
    let sure = site.plate(1, SURE);
    let doubtful = site.plate(2, DOUBTFUL);
    let all = site.json("/v1/plates").await;
    assert_eq!(all["plates"].as_array().unwrap().len(), 2);
    let first = site.json("/v1/plates?limit=1").await;
    assert_eq!(first["plates"][0]["id"], sure);
    let next = first["next"].as_str().unwrap();
    let second = site
        .json(&format!("/v1/plates?limit=1&cursor={next}"))
        .await;
    assert_eq!(second["plates"][0]["id"], doubtful);
    assert_eq!(second["next"], Value::Null);
    let open = site.json("/v1/plates?review=open&location=still-1").await;
    assert_eq!(open["plates"][0]["id"], doubtful);
    assert_eq!(open["plates"].as_array().unwrap().len(), 1);
    let (status, _, body) = site.get("/v1/plates?outcome=good&limit=0").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    let problem: Value = serde_json::from_slice(&body).unwrap();
    assert_eq!(problem["errors"].as_array().unwrap().len(), 2);
}

#[tokio::test]
async fn a_plate_has_a_version_and_a_history() {
    let site = site();
    let id = site.plate(1, SURE);
    let path = format!("/v1/plates/{id}");
    let (status, headers, body) = site.get(&path).await;
    assert_eq!(status, StatusCode::OK);
    let tag = headers[ETAG].to_str().unwrap().to_owned();
    let plate: Value = serde_json::from_slice(&body).unwrap();
    assert_eq!(tag, format!("\"{}\"", plate["version"]));
    assert_eq!(plate["answer"]["schema"], 1);
    assert!(!plate["history"].as_array().unwrap().is_empty());
    let request = Request::get(&path)
        .header(IF_NONE_MATCH, &tag)
        .body(Body::empty());
    let (status, _, body) = site.send(request.unwrap()).await;
    assert_eq!((status, body.len()), (StatusCode::NOT_MODIFIED, 0));
    for wrong in ["/v1/plates/99999", "/v1/plates/x", "/v1/plates/..%2Fetc"] {
        assert_eq!(site.get(wrong).await.0, StatusCode::NOT_FOUND, "{wrong}");
    }
}

#[tokio::test]
async fn the_queue_says_why_and_settling_takes_the_plate_out_of_it() {
    let site = site();
    let id = site.plate(1, DOUBTFUL);
    let queue = site.json("/v1/review").await;
    let entry = &queue["entries"][0];
    assert_eq!(entry["id"], id);
    assert!(!entry["reasons"].as_array().unwrap().is_empty());
    assert_eq!(entry["lines"][0]["text"], "II 2 G Ex db IIC T4 Gb");
    assert_eq!(entry["crop"], format!("/v1/plates/{id}/crop"));
    let version = entry["version"].as_i64().unwrap();
    let path = format!("/v1/plates/{id}/settlements");
    let word = |version: i64| {
        json!({"who": "A. Inspector", "kind": "corrected", "version": version,
               "text": "II 2 G Ex db IIB T4 Gb; ABC 19 ATEX 99; IP66"})
    };
    let (status, row) = site.change("POST", &path, &word(version)).await;
    assert_eq!(status, StatusCode::CREATED, "{row}");
    assert_eq!(row["review"], "settled");
    assert_eq!(row["marking"], "Ex db IIB T4 Gb");
    assert!(row["version"].as_i64().unwrap() > version);
    let after = site.json("/v1/review").await;
    assert!(after["entries"].as_array().unwrap().is_empty());
    // The second person saw what is no more: nothing of the first decision is lost.
    let (status, problem) = site.change("POST", &path, &word(version)).await;
    assert_eq!(status, StatusCode::PRECONDITION_FAILED);
    assert_eq!(problem["code"], Code::Changed.name());
    let plate = site.json(&format!("/v1/plates/{id}")).await;
    assert_eq!(plate["settlements"].as_array().unwrap().len(), 1);
    assert_eq!(plate["settlements"][0]["who"], "A. Inspector");
    let back = json!({"who": "B. Second", "reason": "wants a sharper photo",
                      "version": plate["version"]});
    let put_back = format!("/v1/plates/{id}/put-back");
    assert_eq!(
        site.change("POST", &put_back, &back).await.0,
        StatusCode::OK
    );
    let again = site.json("/v1/review").await;
    assert_eq!(again["entries"][0]["put_back"], "wants a sharper photo");
}

#[tokio::test]
async fn decisions_that_nobody_stands_for_are_refused() {
    let site = site();
    let id = site.plate(1, DOUBTFUL);
    let path = format!("/v1/plates/{id}/settlements");
    for (body, wanted) in [
        (
            json!({"who": " ", "kind": "confirmed", "version": 1}),
            StatusCode::UNPROCESSABLE_ENTITY,
        ),
        (
            json!({"who": "A", "kind": "confirmed"}),
            StatusCode::PRECONDITION_REQUIRED,
        ),
        (
            json!({"who": "A", "kind": "guessed", "version": 1}),
            StatusCode::UNPROCESSABLE_ENTITY,
        ),
        (
            json!({"who": "A", "kind": "corrected", "version": 1}),
            StatusCode::UNPROCESSABLE_ENTITY,
        ),
        (
            json!({"who": "A", "kind": "confirmed", "text": "Ex", "version": 1}),
            StatusCode::UNPROCESSABLE_ENTITY,
        ),
        (
            json!({"who": "A", "kind": "corrected", "text": "x".repeat(20_000), "version": 1}),
            StatusCode::UNPROCESSABLE_ENTITY,
        ),
    ] {
        assert_eq!(site.change("POST", &path, &body).await.0, wanted, "{body}");
    }
    let plate = site.json(&format!("/v1/plates/{id}")).await;
    assert!(plate["settlements"].as_array().unwrap().is_empty());
}

#[tokio::test]
async fn a_held_plate_is_decided_by_its_holder_alone() {
    let site = site();
    let id = site.plate(1, DOUBTFUL);
    let hold = format!("/v1/plates/{id}/hold");
    let by = |who: &str, seconds: u32| json!({"who": who, "seconds": seconds});
    assert_eq!(
        site.change("POST", &hold, &by("A", 60)).await.0,
        StatusCode::OK
    );
    assert_eq!(
        site.change("POST", &hold, &by("B", 60)).await.0,
        StatusCode::CONFLICT
    );
    let too_long = site.change("POST", &hold, &by("A", 9999)).await.0;
    assert_eq!(too_long, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(
        site.change("POST", &hold, &by("A", 0)).await.0,
        StatusCode::NO_CONTENT
    );
    assert_eq!(
        site.change("POST", &hold, &by("B", 60)).await.0,
        StatusCode::OK
    );
}

#[tokio::test]
async fn pictures_are_made_anew_and_a_missing_photo_is_said() {
    let site = site();
    let id = site.plate(1, SURE);
    let (status, headers, photo) = site.get(&format!("/v1/plates/{id}/photo")).await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(headers[CONTENT_TYPE], "image/jpeg");
    let whole = image::load_from_memory(&photo).unwrap();
    assert_eq!((whole.width(), whole.height()), (80, 60));
    let (_, _, crop) = site.get(&format!("/v1/plates/{id}/crop")).await;
    let part = image::load_from_memory(&crop).unwrap();
    assert!(part.width() < 80 && part.height() < 60);
    let (status, _, _) = site
        .get(&format!("/v1/plates/{id}/photo?sha256=../../etc/passwd"))
        .await;
    assert_eq!(status, StatusCode::NOT_FOUND);
    std::fs::write(site.folder.path().join("1.png"), b"other bytes").unwrap();
    let (status, _, body) = site.get(&format!("/v1/plates/{id}/photo")).await;
    assert_eq!(status, StatusCode::GONE);
    let text = String::from_utf8(body.to_vec()).unwrap();
    assert!(!text.contains("1.png"), "{text}");
}

#[tokio::test]
async fn a_changed_place_judges_its_plates_anew() {
    let site = site();
    let id = site.plate(1, SURE);
    let plate = site.json(&format!("/v1/plates/{id}")).await;
    assert_eq!(plate["outcome"], "suitable", "{plate}");
    let zone_0 = json!({"who": "A. Inspector", "place": {"zone": "0", "gas": "ethanol"}});
    let (status, location) = site.change("PUT", "/v1/locations/STILL-1", &zone_0).await;
    assert_eq!(status, StatusCode::OK, "{location}");
    let plate = site.json(&format!("/v1/plates/{id}")).await;
    assert_eq!(plate["outcome"], "unsuitable");
    let stale = Request::put("/v1/locations/STILL-1")
        .header(CONTENT_TYPE, "application/json")
        .header(IF_MATCH, "\"1\"")
        .body(Body::from(zone_0.to_string()))
        .unwrap();
    assert_eq!(site.send(stale).await.0, StatusCode::PRECONDITION_FAILED);
    let wrong = json!({"who": "A", "place": {"zone": "7"}});
    let (status, _) = site.change("PUT", "/v1/locations/X", &wrong).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    let new = json!({"who": "A", "description": "Mill", "place": {"zone": "22"}});
    assert_eq!(
        site.change("PUT", "/v1/locations/MILL", &new).await.0,
        StatusCode::CREATED
    );
    let all = site.json("/v1/locations").await;
    assert_eq!(all["locations"].as_array().unwrap().len(), 2);
}

#[tokio::test]
async fn without_a_register_the_service_says_so() {
    let service = app(AppState::new(
        &ServeConfig::default(),
        Environment::system(),
    ));
    for path in [
        "/v1/plates",
        "/v1/plates/1",
        "/v1/plates/1/photo",
        "/v1/review",
        "/v1/locations",
    ] {
        let request = Request::get(path).body(Body::empty()).unwrap();
        let status = service.clone().oneshot(request).await.unwrap().status();
        assert_eq!(status, StatusCode::NOT_IMPLEMENTED, "{path}");
    }
}

#[tokio::test]
async fn a_site_file_is_taken_as_a_whole_or_not_at_all() {
    let site = site();
    let csv = "tag;description;zone;gas\nSH-01;Still house;1;ethanol\nYARD;Yard;2;methane\n";
    let body = json!({"who": "A. Inspector", "csv": csv});
    let (status, taken) = site.change("POST", "/v1/locations", &body).await;
    assert_eq!(status, StatusCode::OK, "{taken}");
    assert_eq!(taken, json!({"locations": 2, "added": 2, "changed": 0}));
    let stricter = csv.replace("Yard;2", "Yard;1");
    let body = json!({"who": "A. Inspector", "csv": stricter});
    let (_, taken) = site.change("POST", "/v1/locations", &body).await;
    assert_eq!(taken, json!({"locations": 2, "added": 0, "changed": 1}));
    let wrong = "tag;zone\nSH-01;2\nMILL;37\n";
    let body = json!({"who": "A. Inspector", "csv": wrong});
    let (status, problem) = site.change("POST", "/v1/locations", &body).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        problem["detail"].as_str().unwrap().contains("row 3"),
        "{problem}"
    );
    let all = site.json("/v1/locations").await;
    // STILL-1 was there before.
    assert_eq!(all["locations"].as_array().unwrap().len(), 3);
    assert_eq!(all["locations"][0]["place"]["zone"], "1");
}

#[tokio::test]
async fn the_queue_says_how_much_waits_beyond_the_page() {
    let site = site();
    let serials = ["Serial No. 1001", "Serial No. 2002", "Serial No. 3003"];
    for (name, serial) in serials.into_iter().enumerate() {
        let lines = [DOUBTFUL[0], (serial, 1.0)];
        site.plate(u8::try_from(name).unwrap(), &lines);
    }
    let page = site.json("/v1/review?limit=1").await;
    assert_eq!(page["entries"].as_array().unwrap().len(), 1);
    assert_eq!(page["waiting"], 3, "{page}");
    let counted = site.json("/v1/plates/counts").await;
    let counts = counted["counts"].as_array().unwrap();
    assert_eq!(counts.len(), 1, "{counted}");
    assert_eq!(counts[0]["location"], "STILL-1");
    assert_eq!(counts[0]["plates"], 3);
    let elsewhere = site.json("/v1/review?location=NOWHERE").await;
    assert_eq!(elsewhere["waiting"], 0);
}
