//! The HTTP service from outside: every route, every kind of problem, and the service under load.

#[path = "support/service.rs"]
mod service;

use axum::body::Body;
use axum::http::header::ALLOW;
use axum::http::{Method, Request, StatusCode};
use serde_json::{Value, json};
use service::{
    Fake, PLATE, certain, config, environment, get, picture, post, post_json, reader, send,
    service, service_with, waiting,
};
use std::collections::BTreeSet;
use std::sync::Arc;
use tokio::task::JoinSet;
use vetplate::answer::ModelDto;
use vetplate::pipeline::PhotoReader;
use vetplate::{AppState, Code, ServeConfig, app, openapi};
use vetplate_ocr::{OcrError, Photo, PhotoLines};

#[tokio::test]
async fn the_page_is_served_under_a_strict_policy() {
    let service = service();
    let page = send(&service, get("/")).await;
    assert_eq!(page.status, StatusCode::OK);
    let headers = page.response.headers();
    assert_eq!(headers["content-type"], "text/html; charset=utf-8");
    let policy = headers["content-security-policy"].to_str().unwrap();
    assert!(policy.starts_with("default-src 'none'"), "{policy}");
    assert!(!policy.contains("unsafe"), "{policy}");
    let tag = headers["etag"].clone();
    let mut again = get("/");
    again.headers_mut().insert("if-none-match", tag);
    assert_eq!(send(&service, again).await.status, StatusCode::NOT_MODIFIED);
    for built in [
        "/page.js",
        "/views.js",
        "/index.css",
        "/worker.js",
        "/icon.svg",
    ] {
        assert_eq!(send(&service, get(built)).await.status, StatusCode::OK);
    }
}

#[tokio::test]
async fn health_is_told_before_and_after_the_models_are_loaded() {
    let state = AppState::new(&config(), environment());
    let service = app(state.clone());
    assert_eq!(send(&service, get("/healthz")).await.status, StatusCode::OK);
    send(&service, get("/readyz"))
        .await
        .is_problem(Code::Starting);
    let early = post("/v1/readings", "image/jpeg", picture());
    send(&service, early).await.is_problem(Code::Starting);
    // Typed markings need no models.
    let typed = post_json(&json!({"text": PLATE}));
    assert_eq!(send(&service, typed).await.status, StatusCode::OK);
    state.install(Ok(Arc::new(reader(&[PLATE]))));
    let ready = send(&service, get("/readyz")).await;
    let wanted = json!({"status": "ready", "register": false, "backup_verified": null,
                        "backup_age_s": null});
    assert_eq!(ready.json(), wanted);
}

#[tokio::test]
async fn a_reader_that_does_not_read_is_never_ready() {
    struct Blind;
    impl PhotoReader for Blind {
        fn lines(&self, _photo: &Photo) -> Result<PhotoLines, OcrError> {
            Ok(PhotoLines {
                lines: vec![certain("Ex db IIB T4 Gb")],
                ..PhotoLines::default()
            })
        }
        fn models(&self) -> Vec<ModelDto> {
            Vec::new()
        }
    }
    let state = AppState::new(&config(), environment());
    state.install(Ok(Arc::new(Blind)));
    let service = app(state);
    send(&service, get("/readyz"))
        .await
        .is_problem(Code::Broken);
    let request = post("/v1/readings", "image/jpeg", picture());
    send(&service, request).await.is_problem(Code::Broken);
}

#[tokio::test]
async fn wrong_paths_and_methods_are_told_apart() {
    let service = service();
    send(&service, get("/v2/readings"))
        .await
        .is_problem(Code::NotFound);
    let answered = send(&service, get("/v1/readings")).await;
    answered.is_problem(Code::MethodNotAllowed);
    assert_eq!(answered.response.headers()[ALLOW], "POST");
    let pdf = post("/v1/readings", "application/pdf", "%PDF");
    send(&service, pdf)
        .await
        .is_problem(Code::UnsupportedMediaType);
    let urlencoded = post(
        "/v1/readings",
        "application/x-www-form-urlencoded",
        picture(),
    );
    send(&service, urlencoded)
        .await
        .is_problem(Code::UnsupportedMediaType);
}

#[tokio::test(flavor = "multi_thread")]
async fn more_than_the_queue_holds_is_sent_away_and_the_rest_is_answered() {
    let (fake, reached, go) = waiting();
    let config = ServeConfig {
        queue: 1,
        ..config()
    };
    let service = service_with(&config, fake);
    let request = || post("/v1/readings", "image/jpeg", picture());
    let mut at_work = JoinSet::new();
    let started = service.clone();
    at_work.spawn(async move { send(&started, request()).await });
    reached.recv().unwrap();
    // One is at work, so of three more one finds room in the queue.
    for _ in 0..3 {
        let service = service.clone();
        at_work.spawn(async move { send(&service, request()).await });
    }
    for _ in 0..2 {
        at_work
            .join_next()
            .await
            .unwrap()
            .unwrap()
            .is_problem(Code::Busy);
    }
    // Health does not wait behind photos.
    assert_eq!(send(&service, get("/healthz")).await.status, StatusCode::OK);
    // It says that it takes no more now.
    send(&service, get("/readyz")).await.is_problem(Code::Busy);
    drop(go);
    for _ in 0..2 {
        let answered = at_work.join_next().await.unwrap().unwrap();
        assert_eq!(answered.status, StatusCode::OK);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_request_that_takes_too_long_is_given_up() {
    let (fake, reached, go) = waiting();
    let config = ServeConfig {
        request_timeout_s: 0,
        ..config()
    };
    let service = service_with(&config, fake);
    let request = post("/v1/readings", "image/jpeg", picture());
    send(&service, request).await.is_problem(Code::TimedOut);
    reached.recv().unwrap();
    drop(go);
}

#[tokio::test]
async fn our_faults_are_not_explained_to_strangers() {
    let panics = Fake {
        before: Box::new(|| panic!("secret path /srv/models")),
        ..reader(&[PLATE])
    };
    let fails = Fake {
        fails: true,
        ..reader(&[PLATE])
    };
    for fake in [panics, fails] {
        let service = service_with(&config(), fake);
        for _ in 0..3 {
            let request = post("/v1/readings", "image/jpeg", picture());
            let json = send(&service, request).await.is_problem(Code::Internal);
            assert!(!json.to_string().contains("secret"), "{json}");
        }
        assert_eq!(send(&service, get("/readyz")).await.status, StatusCode::OK);
    }
}

#[tokio::test]
async fn every_answer_has_a_request_id() {
    let service = service();
    let given = Request::get("/healthz")
        .header("x-request-id", "from-the-proxy-7")
        .body(Body::empty())
        .unwrap();
    let answered = send(&service, given).await;
    assert_eq!(
        answered.response.headers()["x-request-id"],
        "from-the-proxy-7"
    );
    let odd = Request::get("/healthz")
        .header("x-request-id", "a b")
        .body(Body::empty())
        .unwrap();
    assert_eq!(
        send(&service, odd).await.response.headers()["x-request-id"],
        "id-0"
    );
    let lost = send(&service, get("/nowhere")).await;
    assert_eq!(lost.response.headers()["x-request-id"], "id-1");
}

#[tokio::test]
async fn pages_of_other_sites_are_never_told_that_they_may_read() {
    let service = service();
    for method in [Method::OPTIONS, Method::GET, Method::POST] {
        for path in ["/v1/markings", "/v1/substances", "/openapi.json", "/"] {
            let request = Request::builder()
                .method(method.clone())
                .uri(path)
                .header("origin", "https://elsewhere.example")
                .header("access-control-request-method", "POST")
                .header("access-control-request-headers", "content-type")
                .body(Body::empty())
                .unwrap();
            let answered = send(&service, request).await;
            let told = answered.response.headers().keys();
            let told: Vec<_> = told
                .filter(|name| name.as_str().starts_with("access-control-"))
                .collect();
            assert_eq!(told, [""; 0], "{method} {path}");
            assert!(
                method != Method::OPTIONS || answered.status.is_client_error(),
                "{path}: {}",
                answered.status
            );
        }
    }
}

#[tokio::test]
async fn openapi_lists_what_the_router_answers() {
    let service = service();
    let served = send(&service, get("/openapi.json")).await.json();
    assert_eq!(served, serde_json::to_value(openapi()).unwrap());
    let paths = served["paths"].as_object().unwrap();
    let listed: Vec<&str> = paths.keys().map(String::as_str).collect();
    assert_eq!(
        listed,
        [
            "/healthz",
            "/metrics",
            "/readyz",
            "/v1/imports",
            "/v1/imports/{id}",
            "/v1/imports/{id}/cancel",
            "/v1/imports/{id}/events",
            "/v1/imports/{id}/pause",
            "/v1/imports/{id}/resume",
            "/v1/locations",
            "/v1/locations/{tag}",
            "/v1/loops",
            "/v1/markings",
            "/v1/photos/judgement",
            "/v1/plates",
            "/v1/plates/counts",
            "/v1/plates/export",
            "/v1/plates/report",
            "/v1/plates/{id}",
            "/v1/plates/{id}/crop",
            "/v1/plates/{id}/hold",
            "/v1/plates/{id}/inspections",
            "/v1/plates/{id}/photo",
            "/v1/plates/{id}/put-back",
            "/v1/plates/{id}/settlements",
            "/v1/readings",
            "/v1/requirements",
            "/v1/review",
            "/v1/session",
            "/v1/substances"
        ]
    );
    for (path, methods) in paths {
        for method in [
            Method::GET,
            Method::POST,
            Method::PUT,
            Method::PATCH,
            Method::DELETE,
        ] {
            let is_listed = methods.get(method.as_str().to_ascii_lowercase()).is_some();
            let request = Request::builder()
                .method(method.clone())
                .uri(path.replace("{id}", "1").replace("{tag}", "x"))
                .body(Body::empty())
                .unwrap();
            let status = send(&service, request).await.status;
            let is_served =
                status != StatusCode::NOT_FOUND && status != StatusCode::METHOD_NOT_ALLOWED;
            assert_eq!(is_listed, is_served, "{method} {path}: {status}");
        }
    }
}

#[tokio::test]
async fn openapi_describes_place_and_problem() {
    let api = serde_json::to_value(openapi()).unwrap();
    let names: BTreeSet<&str> = api["paths"]["/v1/readings"]["post"]["parameters"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p["name"].as_str().unwrap())
        .collect();
    let of_place: BTreeSet<&str> = api["components"]["schemas"]["Place"]["properties"]
        .as_object()
        .unwrap()
        .keys()
        .map(String::as_str)
        .collect();
    let beside: Vec<&&str> = names.difference(&of_place).collect();
    assert_eq!(beside, [&"language", &"location"]);
    assert_eq!(names.len(), 16);
    let problem = &api["components"]["schemas"]["Problem"]["required"];
    for key in ["type", "title", "status", "detail", "code"] {
        assert!(problem.to_string().contains(key), "{problem}");
    }
    // Every schema that is named is there.
    let text = api.to_string();
    for name in text.split("#/components/schemas/").skip(1) {
        let name = name.split('"').next().unwrap();
        let schema = &api["components"]["schemas"][name];
        assert!(schema.is_object(), "{name} is named but not described");
    }
}

/// A part that is flattened into an answer has no value of its own that could be null: documented as
/// one, an answer without its keys would not be what the document allows.
#[test]
fn a_flattened_part_is_never_documented_as_null() {
    fn members(value: &Value, found: &mut Vec<Value>) {
        match value {
            Value::Object(keys) => {
                found.extend(keys.get("allOf").into_iter().flat_map(parts).cloned());
                keys.values().for_each(|inner| members(inner, found));
            }
            Value::Array(all) => all.iter().for_each(|inner| members(inner, found)),
            _ => {}
        }
    }
    fn parts(value: &Value) -> impl Iterator<Item = &Value> {
        value.as_array().into_iter().flatten()
    }
    let mut found = Vec::new();
    members(&serde_json::to_value(openapi()).unwrap(), &mut found);
    assert!(!found.is_empty(), "nothing is flattened any more");
    for part in &found {
        let choices = ["oneOf", "anyOf"].map(|key| part.get(key));
        for choice in choices.into_iter().flatten().flat_map(parts) {
            assert_ne!(choice["type"], "null", "{part}");
        }
    }
}
