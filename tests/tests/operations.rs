//! What whoever runs the service is told: figures, readiness, the age of the last backup.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use axum::Router;
use axum::body::Body;
use axum::http::header::CONTENT_TYPE;
use axum::http::{Request, StatusCode};
use jiff::{SignedDuration, Timestamp};
use serde_json::Value;
use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;
use vetplate::register::SqliteRegister;
use vetplate::{AppState, Desk, Environment, ServeConfig, app};

#[path = "support/service.rs"]
mod service;

use service::{PLATE, reader, sent};

async fn send(service: &Router, request: Request<Body>) -> (StatusCode, String) {
    let (parts, body) = sent(service, request).await;
    (parts.status, String::from_utf8(body.to_vec()).unwrap())
}

async fn get(service: &Router, path: &str) -> (StatusCode, String) {
    send(service, Request::get(path).body(Body::empty()).unwrap()).await
}

fn post(path: &str, body: &'static str) -> Request<Body> {
    let request = Request::post(path).header(CONTENT_TYPE, "application/json");
    request.body(Body::from(body)).unwrap()
}

/// The value of the series that begins so; zero where it is not there.
fn value(figures: &str, series: &str) -> f64 {
    let line = figures.lines().find(|line| line.starts_with(series));
    line.map_or(0.0, |line| {
        line.rsplit(' ').next().unwrap().parse().unwrap()
    })
}

#[tokio::test]
async fn figures_count_requests_stages_and_verdicts_and_name_nobody() {
    let state = AppState::new(&ServeConfig::default(), Environment::system());
    state.install(Ok(Arc::new(reader(&[PLATE]))));
    let service = app(state);
    let (status, before) = get(&service, "/metrics").await;
    assert_eq!(status, StatusCode::OK);
    let bad = r#"{"text": "Ex db IIC T4 Gb", "place": {"zone": "0", "gas": "ethanol"}}"#;
    for body in [bad, bad, "{}"] {
        send(&service, post("/v1/markings", body)).await;
    }
    get(&service, "/no/such/path-of-somebody").await;
    let (_, after) = get(&service, "/metrics").await;
    let grown = |series: &str| value(&after, series) - value(&before, series);
    let requests = "vetplate_http_request_seconds_count{method=\"POST\",route=\"/v1/markings\"";
    assert!(
        grown(&format!("{requests},status=\"200\"}}")) >= 2.0,
        "{after}"
    );
    assert!(
        grown(&format!("{requests},status=\"422\"}}")) >= 1.0,
        "{after}"
    );
    let verdicts = "vetplate_readings_total{kind=\"text\",outcome=\"unsuitable\"}";
    assert!(grown(verdicts) >= 2.0, "{after}");
    for stage in ["parse", "judge", "wait"] {
        let series = format!("vetplate_stage_seconds_count{{stage=\"{stage}\"}}");
        assert!(grown(&series) >= 2.0, "{stage}: {after}");
    }
    assert!(after.contains("vetplate_http_request_seconds_bucket{"));
    assert!(after.contains("vetplate_waiting{who=\"requests\"} 0"));
    assert!(!after.contains("somebody"), "{after}");
    if cfg!(target_os = "linux") {
        assert!(value(&after, "vetplate_resident_memory_bytes") > 1e6);
    }
}

#[tokio::test]
async fn readiness_proves_that_the_register_can_be_written_and_tells_the_backups_age() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("register.vetplate");
    let is_full = Arc::new(AtomicBool::new(false));
    let fails = Arc::clone(&is_full);
    let of_register = Environment::system().with_steps(move |_| {
        if fails.load(Ordering::Relaxed) {
            return Err(io::ErrorKind::StorageFull.into());
        }
        Ok(())
    });
    let register = Arc::new(SqliteRegister::open(&path, true, of_register).unwrap());
    // Each question comes a minute after the one before.
    let asked = std::sync::atomic::AtomicU64::new(0);
    let minutes = move || Duration::from_secs(60 * asked.fetch_add(1, Ordering::Relaxed));
    let environment = Environment::new(minutes, || "id".to_owned()).with_clock(Timestamp::now);
    let state = AppState::new(&ServeConfig::default(), environment);
    state.install(Ok(Arc::new(reader(&[PLATE]))));
    state.attach(Desk::new(register.clone(), None));
    let service = app(state);
    let (status, body) = get(&service, "/readyz").await;
    assert_eq!(status, StatusCode::OK, "{body}");
    let ready: Value = serde_json::from_str(&body).unwrap();
    assert_eq!(ready["backup_verified"], Value::Null);
    let hour_ago = Timestamp::now() - SignedDuration::from_hours(1);
    register.set_verified_backup(hour_ago).unwrap();
    let (_, body) = get(&service, "/readyz").await;
    let ready: Value = serde_json::from_str(&body).unwrap();
    let age = ready["backup_age_s"].as_f64().unwrap();
    assert!((3600.0..3900.0).contains(&age), "{age}");
    let (_, figures) = get(&service, "/metrics").await;
    assert!(value(&figures, "vetplate_verified_backup_age_seconds") >= 3600.0);
    is_full.store(true, Ordering::Relaxed);
    let (status, body) = get(&service, "/readyz").await;
    assert_eq!(status, StatusCode::SERVICE_UNAVAILABLE);
    assert!(
        body.contains("\"code\":\"register-not-writable\""),
        "{body}"
    );
    is_full.store(false, Ordering::Relaxed);
    assert_eq!(get(&service, "/readyz").await.0, StatusCode::OK);
}
