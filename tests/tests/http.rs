//! The HTTP service from outside: every route, every status, every kind of problem.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::header::{ALLOW, CONTENT_LENGTH, CONTENT_TYPE, RETRY_AFTER};
use axum::http::{Method, Request, Response, StatusCode};
use http_body_util::BodyExt;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::task::JoinSet;
use tower::ServiceExt;
use vetplate::answer::ModelDto;
use vetplate::pipeline::PhotoReader;
use vetplate::{AppState, Code, Environment, ServeConfig, Site, app, openapi};
use vetplate_fixtures::bad_inputs;
use vetplate_ocr::{Glyph, OcrError, Photo, PhotoLines, TextLine};

/// What the fake reader sees on every photo; also what stands on the self-check's picture.
const PLATE: &str = "Ex db IIC T4 Gb";

/// A reader that sees what it is told, and does what it is told before.
struct Fake {
    lines: Vec<&'static str>,
    before: Box<dyn Fn() + Send + Sync>,
    fails: bool,
}

impl PhotoReader for Fake {
    fn lines(&self, photo: &Photo) -> Result<PhotoLines, OcrError> {
        // The picture of the self-check is the only one of this size.
        let lines = if photo.width() == 760 {
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
            notes: Vec::new(),
            turn: 0,
        })
    }

    fn models(&self) -> Vec<ModelDto> {
        Vec::new()
    }
}

fn certain(text: &str) -> TextLine {
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
        missed: Vec::new(),
        quad: [[0.0, 0.0], [50.0, 0.0], [50.0, 10.0], [0.0, 10.0]],
    }
}

fn reader(lines: &[&'static str]) -> Fake {
    Fake {
        lines: lines.to_vec(),
        before: Box::new(|| ()),
        fails: false,
    }
}

fn environment() -> Environment {
    let count = AtomicU64::new(0);
    Environment::new(
        || Duration::ZERO,
        move || format!("id-{}", count.fetch_add(1, Ordering::Relaxed)),
    )
}

fn config() -> ServeConfig {
    ServeConfig {
        workers: 1,
        max_photo_mib: 1,
        ..ServeConfig::default()
    }
}

fn service_with(config: &ServeConfig, reader: Fake) -> Router {
    let state = AppState::new(config, environment());
    state.install(Ok(Arc::new(reader)));
    app(state)
}

fn service() -> Router {
    service_with(&config(), reader(&[PLATE]))
}

struct Answered {
    status: StatusCode,
    response: Response<()>,
    body: Bytes,
}

impl Answered {
    #[track_caller]
    fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap()
    }

    /// Asserts that this is a well-formed problem document of the kind `code`.
    #[track_caller]
    fn is_problem(&self, code: Code) -> Value {
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

async fn send(service: &Router, request: Request<Body>) -> Answered {
    let response = service.clone().oneshot(request).await.unwrap();
    let (parts, body) = response.into_parts();
    Answered {
        status: parts.status,
        response: Response::from_parts(parts, ()),
        body: body.collect().await.unwrap().to_bytes(),
    }
}

fn get(path: &str) -> Request<Body> {
    Request::get(path).body(Body::empty()).unwrap()
}

fn post(path: &str, kind: &str, body: impl Into<Body>) -> Request<Body> {
    Request::post(path)
        .header(CONTENT_TYPE, kind)
        .body(body.into())
        .unwrap()
}

fn post_json(body: &Value) -> Request<Body> {
    post("/v1/markings", "application/json", body.to_string())
}

/// A form of parts: name, file name, content.
fn form(parts: &[(&str, Option<&str>, &[u8])]) -> Request<Body> {
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
fn picture() -> Vec<u8> {
    bad_input("ok-jpeg-named.png")
}

fn bad_input(wanted: &str) -> Vec<u8> {
    bad_inputs()
        .into_iter()
        .find(|(name, _)| *name == wanted)
        .unwrap()
        .1
}

#[tokio::test]
async fn a_photo_as_body_gives_a_reading() {
    let request = post("/v1/readings?zone=1&gas=ethanol", "image/jpeg", picture());
    let answered = send(&service(), request).await;
    assert_eq!(answered.status, StatusCode::OK);
    assert_eq!(
        answered.response.headers()[CONTENT_TYPE],
        "application/json"
    );
    let json = answered.json();
    assert_eq!(json["schema"], 1);
    assert_eq!(json["photo"]["width"], 64);
    assert_eq!(json["photo"]["sha256"].as_str().unwrap().len(), 64);
    assert_eq!(json["photo"].get("file"), None);
    assert_eq!(json["lines"][0]["text"], PLATE);
    assert_eq!(json["lines"][0]["quad"][2], json!([50.0, 10.0]));
    assert_eq!(json["markings"][0]["text"], PLATE);
    assert_eq!(json["markings"][0]["group"], "IIC");
    assert_eq!(json["markings"][0]["temperature"], json!({"class": "T4"}));
    assert_eq!(json["markings"][0]["epl"], json!(["Gb"]));
    assert_eq!(json["markings"][0]["zones"], json!(["1", "2"]));
    assert_eq!(
        json["verdict"]["place"],
        json!({"zone": "1", "gas": ["ethanol"]})
    );
    assert!(!json["verdict"]["grounds"].as_array().unwrap().is_empty());
    assert!(json["review"]["needed"].is_boolean());
}

#[tokio::test]
async fn a_form_carries_photo_and_place() {
    let request = form(&[
        ("zone", None, b"1"),
        ("gas", None, b"ethanol"),
        ("gas", None, b"methanol"),
        ("ip", None, b""),
        ("photo", Some("C:\\photos\\still.jpg"), &picture()),
    ]);
    let json = send(&service(), request).await.json();
    assert_eq!(json["photo"]["file"], "still.jpg");
    assert_eq!(
        json["verdict"]["place"],
        json!({"zone": "1", "gas": ["ethanol", "methanol"]})
    );
}

#[tokio::test]
async fn without_a_place_there_is_no_verdict() {
    let request = post("/v1/readings", "application/octet-stream", picture());
    let json = send(&service(), request).await.json();
    assert_eq!(json.get("verdict"), None);
    assert_eq!(json["markings"].as_array().unwrap().len(), 1);
}

#[tokio::test]
async fn an_unreadable_plate_is_undecided_and_no_error() {
    let service = service_with(&config(), reader(&[]));
    let request = post("/v1/readings?zone=1&gas=ethanol", "image/jpeg", picture());
    let answered = send(&service, request).await;
    assert_eq!(answered.status, StatusCode::OK);
    let json = answered.json();
    assert_eq!(json["verdict"]["outcome"], "undecided");
    assert_eq!(json["review"]["needed"], true);
    assert_eq!(json["lines"], json!([]));
    assert_eq!(json["markings"], json!([]));
}

#[tokio::test]
async fn the_same_photo_gives_the_same_bytes() {
    let service = service();
    let request = || post("/v1/readings?zone=1&gas=ethanol", "image/jpeg", picture());
    let first = send(&service, request()).await;
    let second = send(&service, request()).await;
    assert_eq!(first.body, second.body);
}

#[tokio::test]
async fn unusual_pictures_are_read_and_broken_ones_refused() {
    let service = service();
    for (name, bytes) in bad_inputs() {
        let request = post("/v1/readings", "image/jpeg", bytes);
        let answered = send(&service, request).await;
        if name.starts_with("ok-") {
            assert_eq!(answered.status, StatusCode::OK, "{name}");
            continue;
        }
        let code = match name {
            "empty.jpg" => Code::EmptyBody,
            "text.jpg" => Code::NotAPicture,
            "huge.png" => Code::PictureTooLarge,
            "animated.gif" => Code::UnsupportedPicture,
            "animated.webp" => {
                // The first picture of an animation is read, and a note says so.
                assert_eq!(answered.status, StatusCode::OK, "{name}");
                let notes = &answered.json()["photo"]["notes"];
                assert!(notes.to_string().contains("several pictures"), "{notes}");
                continue;
            }
            _ => Code::DamagedPicture,
        };
        answered.is_problem(code);
    }
}

#[tokio::test]
async fn places_that_cannot_be_used_are_named() {
    let cases = [
        ("zone=7", "zone"),
        ("zone=1&gas=unobtainium", "gas"),
        ("ambient_c=40..-20", "ambient_c"),
        ("zone=1&zone=2", "zone"),
        ("zone=1&colour=red", "colour"),
        ("ignition_c=hot", "ignition_c"),
        ("zone=1&dust=wood", "zone"),
        ("zone=21&gas=ethanol", "zone"),
        ("zone=1&gas=ethanol&epl=Db", "epl"),
    ];
    let service = service();
    for (query, field) in cases {
        let path = format!("/v1/readings?{query}");
        let answered = send(&service, post(&path, "image/jpeg", picture())).await;
        let json = answered.is_problem(Code::InvalidPlace);
        let fields: Vec<_> = json["errors"]
            .as_array()
            .unwrap()
            .iter()
            .map(|e| e["field"].as_str().unwrap())
            .collect();
        assert!(fields.contains(&field), "{query}: {json}");
    }
}

#[tokio::test]
async fn forms_that_cannot_be_used_are_refused() {
    let service = service();
    let photo = picture();
    let no_photo = form(&[("zone", None, b"1")]);
    send(&service, no_photo)
        .await
        .is_problem(Code::InvalidRequest);
    let two = form(&[("photo", Some("a"), &photo), ("photo", Some("b"), &photo)]);
    send(&service, two).await.is_problem(Code::InvalidRequest);
    let unknown = form(&[("photo", None, &photo), ("colour", None, b"red")]);
    send(&service, unknown).await.is_problem(Code::InvalidPlace);
    let no_text = form(&[("photo", None, &photo), ("gas", None, b"\xff\xfe")]);
    send(&service, no_text)
        .await
        .is_problem(Code::MalformedRequest);
    let broken = post(
        "/v1/readings",
        "multipart/form-data; boundary=cut",
        "--cut\r\nnonsense",
    );
    send(&service, broken)
        .await
        .is_problem(Code::MalformedRequest);
    let no_boundary = post("/v1/readings", "multipart/form-data", photo.clone());
    send(&service, no_boundary)
        .await
        .is_problem(Code::MalformedRequest);
    let many: Vec<(&str, Option<&str>, &[u8])> = vec![("gas", None, b"ethanol"); 100];
    send(&service, form(&many))
        .await
        .is_problem(Code::MalformedRequest);
    let long = form(&[("photo", None, &photo), ("gas", None, &[b'x'; 5000])]);
    send(&service, long).await.is_problem(Code::BodyTooLarge);
}

#[tokio::test]
async fn too_many_bytes_are_refused_however_they_come() {
    let service = service();
    let much = vec![0u8; (1 << 20) + 1];
    // Announced: refused before a byte is read.
    let announced = Request::post("/v1/readings")
        .header(CONTENT_TYPE, "image/jpeg")
        .header(CONTENT_LENGTH, "300000000")
        .body(Body::empty())
        .unwrap();
    send(&service, announced)
        .await
        .is_problem(Code::BodyTooLarge);
    let silent = post("/v1/readings", "image/jpeg", much.clone());
    send(&service, silent).await.is_problem(Code::BodyTooLarge);
    let in_a_form = form(&[("photo", Some("big.jpg"), &much)]);
    send(&service, in_a_form)
        .await
        .is_problem(Code::BodyTooLarge);
    let beside = form(&[
        ("photo", None, &picture()),
        ("gas", None, &vec![b'x'; 3 << 20]),
    ]);
    send(&service, beside).await.is_problem(Code::BodyTooLarge);
    let json = post_json(&json!({"text": "x".repeat(2 << 20)}));
    send(&service, json).await.is_problem(Code::BodyTooLarge);
}

#[tokio::test]
async fn markings_are_decoded_from_text_and_lines() {
    let service = service();
    let place = json!({"zone": 1, "gas": ["ethanol"], "ambient_c": [-20, 40]});
    let by_text = json!({"text": format!("{PLATE}; IP66"), "place": place});
    let by_lines = json!({"lines": [PLATE, "IP66"], "place": place});
    let text = send(&service, post_json(&by_text)).await;
    let lines = send(&service, post_json(&by_lines)).await;
    assert_eq!(text.status, StatusCode::OK);
    assert_eq!(text.body, lines.body);
    let json = text.json();
    assert_eq!(json.get("photo"), None);
    assert_eq!(json["lines"][0], json!({"text": PLATE, "confidence": 1.0}));
    assert_eq!(json["markings"][0]["protections"][0]["code"], "d");
    assert_eq!(json["ip"], "IP66");
    assert_eq!(json["verdict"]["place"]["ambient_c"], json!([-20, 40]));
}

#[tokio::test]
async fn a_location_of_the_site_is_a_place_and_brings_its_certificates() {
    let folder = tempfile::TempDir::new().unwrap();
    let site = folder.path().join("site.csv");
    std::fs::write(&site, "tag,zone,gas\nSH-02,1,ethanol\n").unwrap();
    let list = folder.path().join("certificates.csv");
    std::fs::write(&list, "number,marking\nABC 14 ATEX 1001,Ex db IIB T4 Gb\n").unwrap();
    let state = AppState::new(&config(), environment());
    state.install(Ok(Arc::new(reader(&["ABC 14 ATEX 1001", PLATE]))));
    state.install_site(Site::open(Some(&site), Some(&list)).unwrap());
    let service = app(state);
    let typed = json!({"text": format!("ABC 14 ATEX 1001; {PLATE}"), "location": "SH-02"});
    let parts = [
        ("location", None, &b"SH-02"[..]),
        ("photo", Some("a.jpg"), &picture()[..]),
    ];
    for request in [
        post_json(&typed),
        post("/v1/readings?location=SH-02", "image/jpeg", picture()),
        form(&parts),
    ] {
        let json = send(&service, request).await.json();
        assert_eq!(
            json["verdict"]["place"]["gas"],
            json!(["ethanol"]),
            "{json}"
        );
        let grounds = json["verdict"]["grounds"].to_string();
        assert!(grounds.contains("group: the plate has IIC"), "{grounds}");
    }
    let unknown = json!({"text": PLATE, "location": "SH-2"});
    let answered = send(&service, post_json(&unknown)).await;
    let problem = answered.is_problem(Code::InvalidPlace);
    assert!(problem.to_string().contains("did you mean"), "{problem}");
    assert!(!problem.to_string().contains("site.csv"), "{problem}");
}

#[tokio::test]
async fn without_a_site_no_location_is_known() {
    let request = json!({"text": PLATE, "location": "SH-02"});
    let answered = send(&service(), post_json(&request)).await;
    let problem = answered.is_problem(Code::InvalidPlace);
    assert!(problem.to_string().contains("--site"), "{problem}");
}

#[tokio::test]
async fn a_place_may_be_written_in_every_form_of_the_contract() {
    let service = service();
    let forms = [
        json!({"zone": "1", "gas": "ethanol", "ambient_c": "-20..40"}),
        json!({"zone": 1, "gas": ["ethanol"], "ambient_c": [-20, 40], "ip": null}),
    ];
    let mut bodies = Vec::new();
    for place in forms {
        let request = post_json(&json!({"text": PLATE, "place": place}));
        let answered = send(&service, request).await;
        assert_eq!(answered.status, StatusCode::OK, "{place}");
        bodies.push(answered.body);
    }
    assert_eq!(bodies[0], bodies[1]);
}

#[tokio::test]
async fn requests_for_markings_that_cannot_be_used_are_refused() {
    let service = service();
    let wrong = [
        json!({}),
        json!({"text": PLATE, "lines": [PLATE]}),
        json!({"text": " ; "}),
        json!({"lines": []}),
        json!({"text": 5}),
        json!({"text": PLATE, "colour": "red"}),
        json!({"text": "x".repeat(20_000)}),
        json!([PLATE]),
    ];
    for body in wrong {
        send(&service, post_json(&body))
            .await
            .is_problem(Code::InvalidRequest);
    }
    let wrong_places = [
        json!({"zone": 7}),
        json!({"zone": true}),
        json!({"colour": "red"}),
        json!({"ambient_c": [40, -20]}),
        json!({"ambient_c": [1, 2, 3]}),
        json!({"zone": 1, "gas": [5]}),
    ];
    for place in wrong_places {
        let request = post_json(&json!({"text": PLATE, "place": place}));
        send(&service, request).await.is_problem(Code::InvalidPlace);
    }
    let broken = post("/v1/markings", "application/json", "{\"text\": ");
    send(&service, broken).await.is_problem(Code::MalformedJson);
    let unannounced = post("/v1/markings", "text/plain", "{}");
    send(&service, unannounced)
        .await
        .is_problem(Code::UnsupportedMediaType);
}

#[tokio::test]
async fn substances_are_found_by_name_and_number() {
    let service = service();
    for query in ["ethanol", "64-17-5", "ethnol"] {
        let path = format!("/v1/substances?query={query}");
        let json = send(&service, get(&path)).await.json();
        let first = &json["substances"][0];
        assert_eq!(first["name"], "ethanol", "{query}");
        assert_eq!(first["kind"], "gas");
        assert_eq!(first["gas_group"]["group"], "IIB");
        assert_eq!(first["t_class"], "T2");
    }
    let dust = send(&service, get("/v1/substances?query=wood"))
        .await
        .json();
    assert_eq!(dust["substances"][0]["kind"], "dust");
    let nothing = send(&service, get("/v1/substances?query=unobtainium"))
        .await
        .json();
    assert_eq!(nothing["substances"], json!([]));
    let all = send(&service, get("/v1/substances")).await.json();
    assert!(all["substances"].as_array().unwrap().len() > 100);
    let unknown = send(&service, get("/v1/substances?q=ethanol")).await;
    unknown.is_problem(Code::InvalidRequest);
}

#[tokio::test]
async fn a_place_says_what_it_asks_for() {
    let service = service();
    let ask = |body: Value| post("/v1/requirements", "application/json", body.to_string());
    let still_house = json!({"place": {"zone": "1", "gas": "ethanol"}});
    let json = send(&service, ask(still_house)).await.json();
    let need = &json["needs"][0];
    // Zone 1 asks for Gb (IEC 60079-14:2013 table 1); ethanol is IIB and ignites at 363 to
    // 400 °C (NFPA 497:2008, IEC 60079-20-1:2010), so T2, at most 300 °C, is enough.
    assert_eq!(need["epl"], "Gb");
    assert_eq!(need["group"], "IIB");
    assert_eq!(need["t_class"], "T2");
    assert_eq!(json["place"]["gas"], json!(["ethanol"]));
    for nowhere in [json!({"place": {}}), json!({"place": {"zone": "7"}})] {
        send(&service, ask(nowhere))
            .await
            .is_problem(Code::InvalidPlace);
    }
}

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
    for built in ["/page.js", "/index.css", "/worker.js", "/icon.svg"] {
        assert_eq!(send(&service, get(built)).await.status, StatusCode::OK);
    }
}

#[tokio::test]
async fn a_loop_is_checked_line_by_line() {
    let service = service();
    let ask = |body: Value| post("/v1/loops", "application/json", body.to_string());
    let ordinary = json!({
        "source": {"gas_group": "IIC", "uo_v": 25.2, "io_ma": 93, "po_mw": 586,
                   "co_nf": 107, "lo_uh": 4100},
        "devices": [{"ui_v": 30, "ii_ma": 120, "pi_mw": 900, "ci_nf": 5, "li_uh": 20}],
        "cable": {"length_m": 350, "c_pf_per_m": 180, "l_uh_per_m": 0.7}
    });
    let json = send(&service, ask(ordinary.clone())).await.json();
    assert_eq!(json["overall"], "pass");
    assert_eq!(json["capacitance_total_nf"], 68.0);
    assert_eq!(json["inductance_total_uh"], 265.0);
    assert_eq!(json["lumped_halving"], false);
    assert_eq!(json["longest_by_capacitance_m"], 566);
    assert_eq!(json.get("group"), None, "no place was given");
    let mut at_a_place = ordinary.clone();
    at_a_place["source"]["gas_group"] = json!("IIB");
    at_a_place["place_group"] = json!("IIC");
    let json = send(&service, ask(at_a_place)).await.json();
    assert_eq!(json["group"], "fail");
    assert_eq!(json["overall"], "fail");
    let mut missing = ordinary.clone();
    missing["devices"][0]
        .as_object_mut()
        .unwrap()
        .remove("ci_nf");
    let json = send(&service, ask(missing)).await.json();
    assert_eq!(json["capacitance"], "undecided");
    assert_eq!(json["overall"], "undecided");
    let mut wrong = ordinary.clone();
    wrong["source"]["uo_v"] = json!(-1);
    let json = send(&service, ask(wrong))
        .await
        .is_problem(Code::InvalidRequest);
    assert_eq!(json["errors"][0]["field"], "source.uo_v");
    let mut slip = ordinary;
    slip["source"]["uo"] = json!(24);
    send(&service, ask(slip))
        .await
        .is_problem(Code::InvalidRequest);
}

#[tokio::test]
async fn a_loop_may_bring_the_text_of_its_plates() {
    let body = json!({
        "source": {"plate": "[Ex ia Ga] IIC; Uo = 25.2 V Io = 93 mA Po = 0.59 W; \
                             Co = 107 nF Lo = 4.2 mH"},
        "devices": [{"plate": "Ex ia IIC T4 Ga; Ui = 30 V Ii = 120 mA Pi = 0.8 W; Ci = 5 nF",
                     "li_uh": 0}],
        "cable": {"length_m": 300, "ordinary": true}
    });
    let service = service();
    let request = |body: &Value| post("/v1/loops", "application/json", body.to_string());
    let json = send(&service, request(&body)).await.json();
    assert_eq!(json["overall"], "pass", "{json}");
    assert_eq!(json["plates"][1]["values"][1]["value"], "30 V");
    let mut empty = body;
    empty["source"]["plate"] = json!("  ");
    let problem = send(&service, request(&empty)).await;
    problem.is_problem(Code::InvalidRequest);
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
    assert_eq!(ready.json(), json!({"status": "ready", "register": false}));
}

#[tokio::test]
async fn a_reader_that_does_not_read_is_never_ready() {
    struct Blind;
    impl PhotoReader for Blind {
        fn lines(&self, _photo: &Photo) -> Result<PhotoLines, OcrError> {
            Ok(PhotoLines {
                lines: vec![certain("Ex db IIB T4 Gb")],
                notes: Vec::new(),
                turn: 0,
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

/// A reader that tells when it is reached and waits until it is let go.
fn waiting() -> (Fake, Receiver<()>, Sender<()>) {
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
    assert_eq!(send(&service, get("/readyz")).await.status, StatusCode::OK);
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
            "/v1/plates",
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
async fn the_answer_speaks_the_language_asked_for_and_says_so() {
    let service = service();
    let body = json!({"text": PLATE, "place": {"zone": "0", "gas": "ethanol"}});
    let cases = [
        ("", None, json!(null), "en"),
        ("", Some("de-AT, en;q=0.5"), json!(null), "de"),
        ("", Some("es, fr;q=0.2"), json!(null), "fr"),
        ("", Some("es"), json!(null), "en"),
        ("?language=fr", Some("de"), json!(null), "fr"),
        ("?language=fr", Some("de"), json!("en"), "en"),
        ("?language=xx", Some("de"), json!(null), "en"),
    ];
    let english = send(&service, post_json(&body)).await.json();
    for (query, header, key, language) in cases {
        let mut body = body.clone();
        if !key.is_null() {
            body["language"] = key;
        }
        let mut request = post(
            &format!("/v1/markings{query}"),
            "application/json",
            body.to_string(),
        );
        if let Some(header) = header {
            request
                .headers_mut()
                .insert("accept-language", header.parse().unwrap());
        }
        let answered = send(&service, request).await;
        assert_eq!(answered.status, StatusCode::OK);
        let headers = answered.response.headers();
        assert_eq!(headers["content-language"], language, "{query} {header:?}");
        assert_eq!(headers["vary"], "accept-language");
        let json = answered.json();
        assert_eq!(json["language"], language);
        let detail = json["verdict"]["grounds"][0]["detail"].as_str().unwrap();
        let part = match language {
            "de" => "reicht nicht für Zone 0",
            "fr" => "ne suffit pas pour la zone 0",
            _ => "is not enough for zone 0",
        };
        assert!(detail.contains(part), "{detail}");
        // What programs hold on to is the same in every language.
        for key in ["outcome", "probability", "place"] {
            assert_eq!(json["verdict"][key], english["verdict"][key]);
        }
        let rule = &json["verdict"]["grounds"][0]["rule"];
        assert_eq!(rule, &english["verdict"]["grounds"][0]["rule"]);
        assert_eq!(
            json["markings"][0]["protections"],
            english["markings"][0]["protections"]
        );
    }
}

#[tokio::test]
async fn a_photo_is_answered_in_the_language_of_the_query_or_the_form() {
    let service = service();
    let by_query = post("/v1/readings?language=de", "image/jpeg", picture());
    let photo = picture();
    let by_form = form(&[
        ("photo", Some("still.jpg"), &photo),
        ("language", None, b"de"),
    ]);
    for request in [by_query, by_form] {
        let answered = send(&service, request).await;
        assert_eq!(answered.status, StatusCode::OK);
        assert_eq!(answered.response.headers()["content-language"], "de");
        let caution = answered.json()["cautions"][0].to_string();
        assert!(caution.contains("Entscheidungshilfe"), "{caution}");
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
