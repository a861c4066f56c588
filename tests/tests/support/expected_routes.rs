//! What each route is to ask for.

use vetplate::register::Role;

/// Method, path, a request for it, its body, the least role (none: anyone), and the status of
/// somebody who may. Bodies that are `{}` are refused by the handler, behind the guard.
pub(crate) type Row = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    Option<Role>,
    u16,
);

const READER: Option<Role> = Some(Role::Reader);
const INSPECTOR: Option<Role> = Some(Role::Inspector);
const REVIEWER: Option<Role> = Some(Role::Reviewer);
const ADMINISTRATOR: Option<Role> = Some(Role::Administrator);
pub(crate) const MARKING: &str = r#"{"text": "Ex db IIC T4 Gb"}"#;
const PLACE: &str = r#"{"place": {"zone": "1"}}"#;

/// What each route is to ask for, written down apart from the program's own list.
pub(crate) const EXPECTED: &[Row] = &[
    ("GET", "/", "/", "", None, 200),
    ("GET", "/page.js", "/page.js", "", None, 200),
    ("GET", "/views.js", "/views.js", "", None, 200),
    ("GET", "/index.css", "/index.css", "", None, 200),
    ("GET", "/worker.js", "/worker.js", "", None, 200),
    (
        "GET",
        "/page.webmanifest",
        "/page.webmanifest",
        "",
        None,
        200,
    ),
    ("GET", "/icon.svg", "/icon.svg", "", None, 200),
    ("GET", "/icon.png", "/icon.png", "", None, 200),
    ("GET", "/openapi.json", "/openapi.json", "", None, 200),
    ("GET", "/healthz", "/healthz", "", None, 200),
    // No models are loaded.
    ("GET", "/readyz", "/readyz", "", None, 503),
    ("GET", "/metrics", "/metrics", "", READER, 200),
    ("GET", "/v1/session", "/v1/session", "", None, 200),
    ("POST", "/v1/session", "/v1/session", "{}", None, 422),
    ("POST", "/v1/readings", "/v1/readings", "{}", READER, 503),
    (
        "POST",
        "/v1/photos/judgement",
        "/v1/photos/judgement",
        "{}",
        READER,
        415,
    ),
    ("POST", "/v1/markings", "/v1/markings", MARKING, READER, 200),
    ("POST", "/v1/loops", "/v1/loops", "{}", READER, 422),
    (
        "POST",
        "/v1/requirements",
        "/v1/requirements",
        PLACE,
        READER,
        200,
    ),
    (
        "GET",
        "/v1/substances",
        "/v1/substances?query=ethanol",
        "",
        READER,
        200,
    ),
    ("GET", "/v1/plates", "/v1/plates", "", READER, 200),
    // No models are loaded.
    ("POST", "/v1/plates", "/v1/plates", "{}", INSPECTOR, 503),
    (
        "GET",
        "/v1/plates/counts",
        "/v1/plates/counts",
        "",
        READER,
        200,
    ),
    (
        "GET",
        "/v1/plates/export",
        "/v1/plates/export?format=jsonl",
        "",
        READER,
        200,
    ),
    (
        "GET",
        "/v1/plates/report",
        "/v1/plates/report?summary=true",
        "",
        READER,
        200,
    ),
    (
        "GET",
        "/v1/plates/{id}/inspections",
        "/v1/plates/1/inspections",
        "",
        READER,
        200,
    ),
    (
        "POST",
        "/v1/plates/{id}/inspections",
        "/v1/plates/1/inspections",
        "{}",
        INSPECTOR,
        422,
    ),
    // This service imports nothing.
    ("GET", "/v1/imports", "/v1/imports", "", READER, 501),
    ("POST", "/v1/imports", "/v1/imports", "{}", INSPECTOR, 501),
    ("GET", "/v1/imports/{id}", "/v1/imports/1", "", READER, 501),
    (
        "GET",
        "/v1/imports/{id}/events",
        "/v1/imports/1/events",
        "",
        READER,
        501,
    ),
    (
        "POST",
        "/v1/imports/{id}/pause",
        "/v1/imports/1/pause",
        "",
        INSPECTOR,
        501,
    ),
    (
        "POST",
        "/v1/imports/{id}/resume",
        "/v1/imports/1/resume",
        "",
        INSPECTOR,
        501,
    ),
    (
        "POST",
        "/v1/imports/{id}/cancel",
        "/v1/imports/1/cancel",
        "",
        INSPECTOR,
        501,
    ),
    ("GET", "/v1/plates/{id}", "/v1/plates/1", "", READER, 200),
    (
        "GET",
        "/v1/plates/{id}/photo",
        "/v1/plates/1/photo",
        "",
        READER,
        200,
    ),
    (
        "GET",
        "/v1/plates/{id}/crop",
        "/v1/plates/1/crop",
        "",
        READER,
        200,
    ),
    (
        "PATCH",
        "/v1/plates/{id}",
        "/v1/plates/1",
        "{}",
        INSPECTOR,
        428,
    ),
    ("GET", "/v1/review", "/v1/review", "", READER, 200),
    (
        "POST",
        "/v1/plates/{id}/settlements",
        "/v1/plates/1/settlements",
        r#"{"kind": "confirmed"}"#,
        REVIEWER,
        428,
    ),
    (
        "POST",
        "/v1/plates/{id}/put-back",
        "/v1/plates/1/put-back",
        r#"{"reason": "look again"}"#,
        REVIEWER,
        428,
    ),
    (
        "POST",
        "/v1/plates/{id}/hold",
        "/v1/plates/1/hold",
        r#"{"seconds": 0}"#,
        REVIEWER,
        204,
    ),
    (
        "POST",
        "/v1/locations",
        "/v1/locations",
        "{}",
        ADMINISTRATOR,
        422,
    ),
    ("GET", "/v1/locations", "/v1/locations", "", READER, 200),
    (
        "GET",
        "/v1/locations/{tag}",
        "/v1/locations/STILL-1",
        "",
        READER,
        200,
    ),
    (
        "PUT",
        "/v1/locations/{tag}",
        "/v1/locations/MILL-1",
        r#"{"place": {"zone": "22"}}"#,
        ADMINISTRATOR,
        200,
    ),
    // Ends the session, so it comes last.
    ("DELETE", "/v1/session", "/v1/session", "", None, 204),
];

/// What the OpenAPI description leaves out: the page and the description itself.
pub(crate) const PAGE: [&str; 9] = [
    "/",
    "/page.js",
    "/views.js",
    "/index.css",
    "/worker.js",
    "/page.webmanifest",
    "/icon.svg",
    "/icon.png",
    "/openapi.json",
];
