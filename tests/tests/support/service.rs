//! A service whose reader sees what it is told, and requests to it.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]
#![allow(dead_code, reason = "each test program uses its part")]

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::header::{CONTENT_TYPE, RETRY_AFTER};
use axum::http::{Request, Response, StatusCode};
use serde_json::Value;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use vetplate::answer::ModelDto;
use vetplate::pipeline::PhotoReader;
use vetplate::{AppState, Code, Environment, ServeConfig, app};
use vetplate_fixtures::bad_inputs;
use vetplate_ocr::{Glyph, OcrError, Photo, PhotoLines, TextLine};

#[path = "sent.rs"]
mod sent;

pub(crate) use sent::sent;

/// What the fake reader sees on every photo; also what stands on the self-check's picture.
pub(crate) const PLATE: &str = "Ex db IIC T4 Gb";

/// A reader that sees what it is told, and does what it is told before.
pub(crate) struct Fake {
    pub(crate) lines: Vec<&'static str>,
    pub(crate) before: Box<dyn Fn() + Send + Sync>,
    pub(crate) fails: bool,
}

impl PhotoReader for Fake {
    fn lines(&self, photo: &Photo) -> Result<PhotoLines, OcrError> {
        // The picture of the self-check is the only one of this size.
        let lines = if (photo.width(), photo.height()) == (640, 160) {
            vec![PLATE]
        } else {
            (self.before)();
            if self.fails {
                return Err(OcrError::Manifest("secret path /srv/models".to_owned()));
            }
            self.lines.clone()
        };
        Ok(PhotoLines {
            lines: lines.into_iter().map(certain).collect(),
            ..PhotoLines::default()
        })
    }

    fn models(&self) -> Vec<ModelDto> {
        Vec::new()
    }
}

pub(crate) fn certain(text: &str) -> TextLine {
    let count = text.chars().count() as f32;
    TextLine {
        glyphs: text
            .chars()
            .enumerate()
            .map(|(i, ch)| Glyph {
                ch,
                probability: 1.0,
                also: Vec::new(),
                x: (i as f32 + 0.5) / count,
            })
            .collect(),
        quad: [[0.0, 0.0], [50.0, 0.0], [50.0, 10.0], [0.0, 10.0]],
        ..TextLine::default()
    }
}

pub(crate) fn reader(lines: &[&'static str]) -> Fake {
    Fake {
        lines: lines.to_vec(),
        before: Box::new(|| ()),
        fails: false,
    }
}

/// A reader that tells when it is reached and waits until it is let go.
pub(crate) fn waiting() -> (Fake, Receiver<()>, Sender<()>) {
    let (reached, is_reached) = channel();
    let (go, may_go) = channel::<()>();
    let (reached, may_go) = (Mutex::new(reached), Mutex::new(may_go));
    let before = move || {
        reached.lock().unwrap().send(()).unwrap();
        // A sender that is gone lets go, too.
        let _ = may_go.lock().unwrap().recv();
    };
    let fake = Fake {
        before: Box::new(before),
        ..reader(&[PLATE])
    };
    (fake, is_reached, go)
}

pub(crate) fn environment() -> Environment {
    let count = AtomicU64::new(0);
    Environment::new(
        || Duration::ZERO,
        move || format!("id-{}", count.fetch_add(1, Ordering::Relaxed)),
    )
}

pub(crate) fn config() -> ServeConfig {
    ServeConfig {
        workers: 1,
        max_photo_mib: 1,
        ..ServeConfig::default()
    }
}

pub(crate) fn service_with(config: &ServeConfig, reader: Fake) -> Router {
    let state = AppState::new(config, environment());
    state.install(Ok(Arc::new(reader)));
    app(state)
}

pub(crate) fn service() -> Router {
    service_with(&config(), reader(&[PLATE]))
}

pub(crate) struct Answered {
    pub(crate) status: StatusCode,
    pub(crate) response: Response<()>,
    pub(crate) body: Bytes,
}

impl Answered {
    #[track_caller]
    pub(crate) fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap()
    }

    /// Asserts that this is a well-formed problem document of the kind `code`.
    #[track_caller]
    pub(crate) fn is_problem(&self, code: Code) -> Value {
        let json = self.json();
        assert_eq!(json["code"], code.name(), "{json}");
        assert_eq!(json["type"], code.uri());
        assert_eq!(json["title"], code.title());
        assert_eq!(json["status"], code.status().as_u16());
        assert_eq!(self.status, code.status());
        assert!(json["detail"].as_str().is_some_and(|d| !d.is_empty()));
        assert_eq!(
            self.response.headers()[CONTENT_TYPE],
            "application/problem+json"
        );
        assert_eq!(
            self.response.headers().contains_key(RETRY_AFTER),
            code.status() == StatusCode::SERVICE_UNAVAILABLE
        );
        json
    }
}

pub(crate) async fn send(service: &Router, request: Request<Body>) -> Answered {
    let (parts, body) = sent(service, request).await;
    Answered {
        status: parts.status,
        response: Response::from_parts(parts, ()),
        body,
    }
}

pub(crate) fn get(path: &str) -> Request<Body> {
    Request::get(path).body(Body::empty()).unwrap()
}

pub(crate) fn post(path: &str, kind: &str, body: impl Into<Body>) -> Request<Body> {
    Request::post(path)
        .header(CONTENT_TYPE, kind)
        .body(body.into())
        .unwrap()
}

pub(crate) fn post_json(body: &Value) -> Request<Body> {
    post("/v1/markings", "application/json", body.to_string())
}

/// A form of parts: name, file name, content.
pub(crate) fn form(parts: &[(&str, Option<&str>, &[u8])]) -> Request<Body> {
    let mut body = Vec::new();
    for (name, file, content) in parts {
        let file = file.map_or_else(String::new, |f| format!("; filename=\"{f}\""));
        body.extend_from_slice(
            format!("--cut\r\nContent-Disposition: form-data; name=\"{name}\"{file}\r\n\r\n")
                .as_bytes(),
        );
        body.extend_from_slice(content);
        body.extend_from_slice(b"\r\n");
    }
    body.extend_from_slice(b"--cut--\r\n");
    post("/v1/readings", "multipart/form-data; boundary=cut", body)
}

/// A picture that can be decoded.
pub(crate) fn picture() -> Vec<u8> {
    bad_input("ok-jpeg-named.png")
}

pub(crate) fn bad_input(wanted: &str) -> Vec<u8> {
    bad_inputs()
        .into_iter()
        .find(|(name, _)| *name == wanted)
        .unwrap()
        .1
}
