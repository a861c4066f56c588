use crate::{Fake, files, folder, kind_of};
use axum::Router;
use axum::body::Body;
use axum::http::{Method, Request, header::CONTENT_TYPE};
use http_body_util::{BodyExt, Collected};
use std::cell::OnceCell;
use std::path::Path;
use std::sync::Arc;
use tempfile::TempDir;
use tokio::runtime::Runtime;
use tower::ServiceExt;
use vetplate::register::{Folder, Originals, SqliteRegister};
use vetplate::{AppState, Desk, Environment, ServeConfig, app};

const JSON: &str = "application/json";
const FORM: &str = "multipart/form-data; boundary=x";
const BYTES: &str = "application/octet-stream";

/// Every way into the service that takes a body or a query.
const ROUTES: [(&str, &str, &str); 30] = [
    ("POST", "/v1/markings", JSON),
    ("POST", "/v1/loops", JSON),
    ("POST", "/v1/requirements", JSON),
    ("POST", "/v1/session", JSON),
    ("PATCH", "/v1/plates/1", JSON),
    ("POST", "/v1/plates/1/settlements", JSON),
    ("POST", "/v1/plates/1/put-back", JSON),
    ("POST", "/v1/plates/1/hold", JSON),
    ("POST", "/v1/plates/1/inspections", JSON),
    ("PUT", "/v1/locations/STILL-1", JSON),
    ("POST", "/v1/readings", BYTES),
    ("POST", "/v1/readings", FORM),
    ("POST", "/v1/plates", BYTES),
    ("POST", "/v1/plates", FORM),
    ("POST", "/v1/photos/judgement", FORM),
    ("POST", "/v1/imports", JSON),
    ("GET", "/v1/plates", ""),
    ("GET", "/v1/plates/1", ""),
    ("GET", "/v1/plates/1/photo", ""),
    ("GET", "/v1/plates/1/crop", ""),
    ("GET", "/v1/plates/1/inspections", ""),
    ("GET", "/v1/plates/export", ""),
    ("GET", "/v1/plates/report", ""),
    ("GET", "/v1/review", ""),
    ("GET", "/v1/locations", ""),
    ("GET", "/v1/locations/STILL-1", ""),
    ("GET", "/v1/substances", ""),
    ("GET", "/v1/imports", ""),
    ("GET", "/v1/imports/1", ""),
    ("DELETE", "/v1/session", ""),
];

/// Keys and values of queries and bodies.
pub(crate) const WORDS: &[&str] = &[
    "zone=1&",
    "gas=ethanol&",
    "location=STILL-1&",
    "limit=5&",
    "cursor=1.1&",
    "outcome=undecided&",
    "review=open&",
    "format=xlsx&",
    "text=Ex&",
    "language=de&",
    "side=16&",
    "grade=close&",
    "\"text\": ",
    "\"lines\": [",
    "\"place\": {",
    "\"zone\": \"1\"",
    "\"gas\": [\"ethanol\"]",
    "\"version\": 1",
    "\"who\": \"A\"",
    "\"kind\": \"corrected\"",
    "\"source\": ",
    "\"devices\": ",
    "\"cable\": ",
    "null",
    "true",
    "1e999",
    "-1",
    "\"\"",
    "{}",
    "[]",
    "},",
    "\n",
    "--x\r\n",
    "--x--\r\n",
    "Content-Disposition: form-data; name=\"photo\"",
    "; filename=\"a\"",
    "\r\n\r\n",
];

/// Inputs to begin with.
pub(crate) fn seeds(corpus: &Path) -> Vec<Vec<u8>> {
    let with = |route: u8, query: &str, body: &[u8]| -> Vec<u8> {
        [&[route][..], query.as_bytes(), b"\n", body].concat()
    };
    let mut seeds: Vec<Vec<u8>> = (0..ROUTES.len())
        .map(|r| with(r as u8, "", b"{}"))
        .collect();
    for body in files(corpus, "markings") {
        // As a marking, a loop, a requirement, a change of a plate and a location.
        seeds.extend([0, 1, 2, 4, 9].map(|route| with(route, "", &body)));
    }
    for body in files(corpus, "settlements") {
        seeds.extend([5, 6, 8].map(|route| with(route, "", &body)));
    }
    for body in files(corpus, "forms") {
        seeds.extend([11, 13, 14].map(|route| with(route, "zone=1&gas=ethanol", &body)));
    }
    seeds.push(with(
        16,
        "location=STILL-1&outcome=undecided&text=Ex&limit=5",
        b"",
    ));
    seeds.push(with(21, "format=csv&bom=true&review=open", b""));
    seeds.push(with(22, "title=A&summary=true", b""));
    seeds
}

struct Service {
    _folder: TempDir,
    runtime: Runtime,
    router: Router,
}

thread_local! {
    static SERVICE: OnceCell<Service> = const { OnceCell::new() };
}

fn service() -> Service {
    let folder = folder();
    let path = folder.path().join("register.vetplate");
    let register = SqliteRegister::open(&path, true, Environment::system());
    let copies = Folder::new(folder.path().join("copies"), Environment::system());
    let state = AppState::new(
        &ServeConfig {
            workers: 1,
            max_photo_mib: 1,
            max_megapixels: 1,
            ..ServeConfig::default()
        },
        Environment::system(),
    );
    state.install(Ok(Arc::new(Fake)));
    state.attach(Desk::new(
        Arc::new(register.expect("a register can be made")),
        Some(Arc::new(copies) as Arc<dyn Originals>),
    ));
    Service {
        _folder: folder,
        runtime: tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime can be made"),
        router: app(state),
    }
}

/// The first byte chooses the route, the rest of the first line is its query, and what follows is
/// the body: no answer is a fault of ours, and what is called JSON is JSON.
pub(crate) fn http(bytes: &[u8]) -> String {
    let Some((first, rest)) = bytes.split_first() else {
        return String::new();
    };
    let (method, path, kind) = ROUTES[usize::from(*first) % ROUTES.len()];
    let end = rest.iter().position(|b| *b == b'\n').unwrap_or(rest.len());
    let Ok(query) = std::str::from_utf8(&rest[..end]) else {
        return String::new();
    };
    let body = rest.get(end + 1..).unwrap_or_default();
    let uri = if query.is_empty() {
        path.to_owned()
    } else {
        format!("{path}?{query}")
    };
    let mut request = Request::builder()
        .method(Method::from_bytes(method.as_bytes()).expect("a method"))
        .uri(uri);
    if !kind.is_empty() {
        request = request.header(CONTENT_TYPE, kind);
    }
    // What is no URI never reaches the service.
    let Ok(request) = request.body(Body::from(body.to_vec())) else {
        return String::new();
    };
    SERVICE.with(|cell| {
        let service = cell.get_or_init(service);
        let (status, kind, body) = service.runtime.block_on(async {
            let Ok(answer) = service.router.clone().oneshot(request).await;
            let (parts, body) = answer.into_parts();
            let kind = parts.headers.get(CONTENT_TYPE).cloned();
            // A table that breaks off would break the connection.
            let body = body.collect().await.map(Collected::to_bytes);
            (parts.status, kind, body)
        });
        let body = body.unwrap_or_else(|error| panic!("{method} {path}: {error}"));
        let known = matches!(status.as_u16(), 501 | 503 | 507);
        assert!(
            known || !status.is_server_error(),
            "{method} {path}: {status} {body:?}"
        );
        let kind = kind
            .as_ref()
            .and_then(|kind| kind.to_str().ok())
            .unwrap_or_default();
        if kind == JSON || kind == "application/problem+json" {
            let json = serde_json::from_slice::<serde_json::Value>(&body);
            let json = json.unwrap_or_else(|e| panic!("{method} {path}: {e}: {body:?}"));
            let detail = json["detail"].as_str().unwrap_or_default();
            return format!("{method} {path} {status} {}", kind_of(detail));
        }
        format!("{method} {path} {status} {kind}")
    })
}
