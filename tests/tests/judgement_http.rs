//! The quick judgement of a photo over HTTP.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use axum::body::Body;
use axum::http::header::{ACCEPT_LANGUAGE, CONTENT_TYPE};
use axum::http::{Request, StatusCode};
use http_body_util::BodyExt;
use serde_json::Value;
use tower::ServiceExt;
use vetplate::{AppState, Environment, ServeConfig, app};

/// Asks a service that has not loaded its models yet: the judgement needs none.
async fn judged(body: Vec<u8>, language: &str) -> (StatusCode, String, Value) {
    let state = AppState::new(&ServeConfig::default(), Environment::system());
    let request = Request::post("/v1/photos/judgement")
        .header(CONTENT_TYPE, "image/jpeg")
        .header(ACCEPT_LANGUAGE, language)
        .body(Body::from(body))
        .unwrap();
    let response = app(state).oneshot(request).await.unwrap();
    let status = response.status();
    let kind = response.headers()[CONTENT_TYPE]
        .to_str()
        .unwrap()
        .to_owned();
    let bytes = response.into_body().collect().await.unwrap().to_bytes();
    (status, kind, serde_json::from_slice(&bytes).unwrap())
}

fn photo(name: &str) -> Vec<u8> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/photos/");
    std::fs::read(format!("{folder}{name}.jpg")).unwrap()
}

#[tokio::test]
async fn a_good_photo_has_no_flaws() {
    let (status, _, answer) = judged(photo("still-house-pump-motor"), "en").await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(answer["good"], true, "{answer}");
    assert_eq!(answer["flaws"], Value::Array(Vec::new()));
    assert!(answer["letters_px"].as_f64().unwrap() > 20.0);
}

#[tokio::test]
async fn letters_that_are_too_small_are_told_in_the_language_asked_for() {
    let photo = image::load_from_memory(&photo("still-house-pump-motor")).unwrap();
    let small = photo.thumbnail(photo.width() / 4, photo.height() / 4);
    let mut bytes = std::io::Cursor::new(Vec::new());
    small
        .write_to(&mut bytes, image::ImageFormat::Jpeg)
        .unwrap();
    let (status, _, answer) = judged(bytes.into_inner(), "de").await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(answer["good"], false);
    let flaw = &answer["flaws"][0];
    assert_eq!(flaw["kind"], "small", "{answer}");
    assert_eq!(flaw["needed_px"], 20);
    assert!(flaw["letters_px"].as_u64().unwrap() < 20);
    assert!(flaw["text"].as_str().unwrap().contains("näher herangehen"));
    assert_eq!(flaw["quad"].as_array().unwrap().len(), 4);
}

#[tokio::test]
async fn what_is_no_photo_is_a_problem() {
    for (body, code) in [(&b""[..], "empty-body"), (b"no picture", "not-a-picture")] {
        let (status, kind, answer) = judged(body.to_vec(), "en").await;
        assert!(status.is_client_error());
        assert_eq!(kind, "application/problem+json");
        assert!(answer["type"].as_str().unwrap().ends_with(code), "{answer}");
    }
}
