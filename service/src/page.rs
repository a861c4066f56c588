//! The page for people: built files, embedded, served with their entity tags.
//!
//! Each file names the others with the version of their build behind them (`views.js?v=…`), so that
//! a browser never puts files of two builds together.
//!
//! `page/` holds its sources. The built files lie in `page/dist` and are committed, so that
//! neither building nor running the service needs Node or a network.

use crate::problem::{Code, Problem};
use axum::extract::Request;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, ETAG, IF_NONE_MATCH, REFERRER_POLICY,
    X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderName, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::routing::{MethodRouter, get};
use sha2::{Digest, Sha256};
use std::fmt::Write as _;

/// Only what comes from this service, no script or style within the page; photos are shown
/// from the memory of the browser.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
                      img-src 'self' blob:; connect-src 'self'; manifest-src 'self'; \
                      worker-src 'self'; base-uri 'none'; form-action 'none'; \
                      frame-ancestors 'none'";
/// The camera is asked for by the file dialogue, which needs no permission.
const PERMISSIONS: &str = "camera=(), geolocation=(), microphone=()";

/// How much of the hash of the sources tells one build from another.
const VERSION_CHARS: usize = 12;

/// One built file: the path it is served at, its content type, its bytes.
type File = (&'static str, &'static str, &'static [u8]);

macro_rules! built {
    ($name:literal) => {
        include_bytes!(concat!("../page/dist/", $name))
    };
}

const SCRIPT: &str = "text/javascript; charset=utf-8";

/// The hash of what was built, whose beginning is the version of the build.
const SOURCES: &str = include_str!("../page/dist/SOURCES.sha256");

const FILES: [File; 8] = [
    ("/", "text/html; charset=utf-8", built!("index.html")),
    ("/page.js", SCRIPT, built!("page.js")),
    ("/views.js", SCRIPT, built!("views.js")),
    ("/index.css", "text/css; charset=utf-8", built!("index.css")),
    ("/worker.js", SCRIPT, built!("worker.js")),
    (
        "/page.webmanifest",
        "application/manifest+json",
        built!("page.webmanifest"),
    ),
    ("/icon.svg", "image/svg+xml", built!("icon.svg")),
    ("/icon.png", "image/png", built!("icon.png")),
];

/// The routes of the page's files.
pub(crate) fn routes() -> impl Iterator<Item = (&'static str, MethodRouter<crate::AppState>)> {
    FILES.into_iter().map(|(path, kind, bytes)| {
        let tag = entity_tag(bytes);
        let serve = move |request: Request| {
            let answer = answer(&request, kind, bytes, &tag);
            async move { answer }
        };
        (path, get(serve))
    })
}

fn entity_tag(bytes: &[u8]) -> String {
    let mut tag = String::from("\"");
    for byte in &Sha256::digest(bytes)[..12] {
        // Writing to a String cannot fail.
        let _ = write!(tag, "{byte:02x}");
    }
    tag.push('"');
    tag
}

/// The version that a file is asked for in, and whether it is that of this build.
fn version_asked(request: &Request) -> Option<bool> {
    let version = request.uri().query()?.strip_prefix("v=")?;
    Some(Some(version) == SOURCES.get(..VERSION_CHARS))
}

fn answer(request: &Request, kind: &'static str, bytes: &'static [u8], tag: &str) -> Response {
    let caching = match version_asked(request) {
        Some(false) => {
            let detail = "this file belongs to another version of the page; open the page again";
            return Problem::new(Code::NotFound, detail).into_response();
        }
        Some(true) => "public, max-age=31536000, immutable",
        // Asked for each time, so that an update of the service is an update of the page.
        None => "no-cache",
    };
    let held = request
        .headers()
        .get_all(IF_NONE_MATCH)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .any(|held| held.trim().trim_start_matches("W/") == tag);
    let headers: [(HeaderName, HeaderValue); 7] = [
        (CONTENT_TYPE, HeaderValue::from_static(kind)),
        (CACHE_CONTROL, HeaderValue::from_static(caching)),
        (
            ETAG,
            HeaderValue::from_str(tag).unwrap_or_else(|_| HeaderValue::from_static("\"\"")),
        ),
        (CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY)),
        (X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff")),
        (REFERRER_POLICY, HeaderValue::from_static("no-referrer")),
        (
            HeaderName::from_static("permissions-policy"),
            HeaderValue::from_static(PERMISSIONS),
        ),
    ];
    if held {
        (StatusCode::NOT_MODIFIED, headers).into_response()
    } else {
        (headers, bytes).into_response()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::{Path, PathBuf};

    fn files(path: &Path, found: &mut Vec<PathBuf>) {
        if path.is_dir() {
            let mut names: Vec<_> = std::fs::read_dir(path)
                .unwrap()
                .map(|entry| entry.unwrap().path())
                .collect();
            names.sort();
            for name in names {
                files(&name, found);
            }
        } else {
            found.push(path.to_owned());
        }
    }

    /// The build writes the hash of its sources; a change without its build fails here.
    #[test]
    fn what_is_served_was_built_from_the_sources() {
        let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("page");
        let mut hash = Sha256::new();
        for name in [
            "index.html",
            "messages",
            "package-lock.json",
            "public",
            "src",
            "tsconfig.json",
            "vite.config.ts",
            "words.mjs",
        ] {
            let mut found = Vec::new();
            files(&page.join(name), &mut found);
            for file in found {
                let path = file.strip_prefix(&page).unwrap().to_str().unwrap();
                hash.update(path.replace('\\', "/"));
                hash.update([0]);
                hash.update(std::fs::read(&file).unwrap());
                hash.update([0]);
            }
        }
        let mut made = String::new();
        for byte in hash.finalize() {
            write!(made, "{byte:02x}").unwrap();
        }
        let built = std::fs::read_to_string(page.join("dist/SOURCES.sha256")).unwrap();
        assert_eq!(
            built.trim(),
            made,
            "run `npm ci && npm run build` in service/page"
        );
    }

    /// A file of another build is none at all: half of each would be neither.
    #[test]
    fn files_of_another_build_are_not_given_out() {
        let ask = |path: &str| {
            let request = Request::get(path).body(axum::body::Body::empty()).unwrap();
            let answer = answer(&request, SCRIPT, b"", "\"tag\"");
            let caching = answer.headers().get(CACHE_CONTROL);
            let caching = caching.map(|value| value.to_str().unwrap().to_owned());
            (answer.status(), caching.unwrap_or_default())
        };
        let version = &SOURCES[..VERSION_CHARS];
        let (status, caching) = ask(&format!("/views.js?v={version}"));
        assert_eq!(status, StatusCode::OK);
        assert!(caching.contains("immutable"), "{caching}");
        assert_eq!(ask("/views.js"), (StatusCode::OK, "no-cache".to_owned()));
        assert_eq!(ask("/views.js?v=0123456789ab").0, StatusCode::NOT_FOUND);
        for file in ["index.html", "page.js", "views.js", "worker.js"] {
            let (.., bytes) = FILES
                .iter()
                .find(|(path, ..)| path[1..] == *file || (*path == "/" && file == "index.html"))
                .unwrap();
            let text = std::str::from_utf8(bytes).unwrap();
            let named: Vec<&str> = [".js?v=", ".css?v="]
                .iter()
                .flat_map(|name| text.split(name).skip(1))
                .collect();
            assert!(!named.is_empty(), "{file} names nothing");
            assert!(
                named.iter().all(|rest| rest.starts_with(version)),
                "{file} names another build"
            );
        }
    }

    #[test]
    fn the_page_stays_small() {
        let total: usize = FILES.iter().map(|(_, _, bytes)| bytes.len()).sum();
        assert!(total < 600_000, "{total} bytes before compression");
    }
}
