//! Tables, the report and inspections over HTTP.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

#[path = "support/desk.rs"]
mod desk;

use axum::body::Body;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::{Request, StatusCode};
use calamine::{Data, Reader, Xlsx};
use desk::{DOUBTFUL, Service, picture};
use http_body_util::BodyExt;
use serde_json::{Value, json};
use std::io::Cursor;
use tower::ServiceExt;
use vetplate::Code;

async fn with_plates() -> (Service, i64) {
    let service = Service::new();
    let mut id = 0;
    for (n, query) in [
        (1, "location=STILL-1&tag=%3Dcmd()"),
        (DOUBTFUL + 2, "location=STILL-1"),
        (3, ""),
    ] {
        let request = Request::post(format!("/v1/plates?{query}"))
            .header(CONTENT_TYPE, "image/png")
            .body(Body::from(picture(n)));
        let answered = service.send(request.unwrap()).await;
        assert_eq!(answered.status, StatusCode::CREATED, "{answered:?}");
        if n == 1 {
            id = answered.json()["plate"]["id"].as_i64().unwrap();
        }
    }
    (service, id)
}

#[tokio::test(flavor = "multi_thread")]
async fn the_register_is_exported_in_every_format_with_the_filters_of_the_list() {
    let (service, _) = with_plates().await;
    let csv = service.get("/v1/plates/export").await;
    assert_eq!(csv.status, StatusCode::OK);
    assert_eq!(csv.headers[CONTENT_TYPE], "text/csv; charset=utf-8");
    let name = csv.headers[CONTENT_DISPOSITION].to_str().unwrap();
    assert!(
        name.starts_with("attachment; filename=\"register-2"),
        "{name}"
    );
    let mut rows = csv::Reader::from_reader(&csv.body[..]);
    let tag = rows
        .headers()
        .unwrap()
        .iter()
        .position(|h| h == "tag")
        .unwrap();
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 3);
    // What a spreadsheet would run is text.
    assert_eq!(&rows[0][tag], "'=cmd()");
    let with_mark = service.get("/v1/plates/export?format=csv&bom=true").await;
    assert!(with_mark.body.starts_with("\u{feff}".as_bytes()));
    let open = service
        .get("/v1/plates/export?format=jsonl&review=open")
        .await;
    let lines: Vec<Value> = String::from_utf8(open.body.to_vec())
        .unwrap()
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let list = service.json("/v1/plates?review=open").await;
    assert_eq!(lines.len(), list["plates"].as_array().unwrap().len());
    assert!(!lines.is_empty() && lines.len() < 3);
    let xlsx = service
        .get("/v1/plates/export?format=xlsx&location=STILL-1")
        .await;
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(xlsx.body.to_vec())).unwrap();
    let sheet = book.worksheet_range_at(0).unwrap().unwrap();
    assert_eq!(sheet.height(), 3, "a header and two plates");
    let cells: Vec<&Data> = sheet.rows().nth(1).unwrap().iter().collect();
    assert!(
        cells.contains(&&Data::String("=cmd()".to_owned())),
        "{cells:?}"
    );
    for wrong in ["format=pdf", "outcome=good", "limit=5"] {
        let answered = service.get(&format!("/v1/plates/export?{wrong}")).await;
        answered.is_problem(Code::InvalidRequest);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_report_is_a_pdf_of_what_the_register_says() {
    let (service, _) = with_plates().await;
    let report = service
        .get("/v1/plates/report?title=Corrieburn%0d%0aX-Evil:%201")
        .await;
    assert_eq!(report.status, StatusCode::OK);
    assert_eq!(report.headers[CONTENT_TYPE], "application/pdf");
    assert!(!report.headers.contains_key("x-evil"));
    let pdf = lopdf::Document::load_mem(&report.body).unwrap();
    let summary = service.get("/v1/plates/report?summary=true").await;
    let short = lopdf::Document::load_mem(&summary.body).unwrap();
    assert!(short.get_pages().len() < pdf.get_pages().len());
    let bare = service.get("/v1/plates/report?photos=false").await;
    assert!(
        bare.body.len() < report.body.len(),
        "without photos it is smaller"
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn whoever_stops_listening_makes_room_for_the_next() {
    let (service, _) = with_plates().await;
    let ask = || {
        let request = Request::get("/v1/plates/report")
            .body(Body::empty())
            .unwrap();
        service.router.clone().oneshot(request)
    };
    let (first, second) = (ask().await.unwrap(), ask().await.unwrap());
    assert_eq!(
        ask().await.unwrap().status(),
        StatusCode::SERVICE_UNAVAILABLE
    );
    drop(first);
    second.into_body().collect().await.unwrap();
    for _ in 0..200 {
        if ask().await.unwrap().status() == StatusCode::OK {
            return;
        }
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    }
    panic!("no room after both had gone");
}

#[tokio::test]
async fn an_inspection_begins_with_what_the_plate_answers_and_is_recorded() {
    let (service, id) = with_plates().await;
    let path = format!("/v1/plates/{id}/inspections");
    let empty = service.json(&path).await;
    assert_eq!(empty, json!({"inspections": []}));
    let draft = service.json(&format!("{path}?grade=close")).await["draft"].clone();
    let items = draft["items"].as_array().unwrap();
    let of = |id: &str| items.iter().find(|i| i["item"] == id).unwrap();
    // The level of protection is what a plate and its place answer (IEC 60079-17, table 1).
    assert_eq!(of("eq-level")["result"], "pass", "{}", of("eq-level"));
    assert!(of("eq-level")["ground"].is_string());
    let open = items
        .iter()
        .filter(|i| i["result"] == "not_checked")
        .count();
    assert!(
        open > items.len() / 2,
        "what nobody looked at has not passed"
    );
    let visual = service.json(&format!("{path}?grade=visual")).await["draft"].clone();
    assert!(visual["items"].as_array().unwrap().len() < items.len());
    let asked = json!({
        "grade": "close", "kind": "periodic", "date": "2026-03-02", "inspector": "A. Inspector",
        "competence": "course of 2025", "months": 24,
        "items": [{"item": of("eq-level")["item"], "result": "fail", "note": "plate of another motor"}],
        "findings": [{"text": "gland loose", "priority": 2}]
    });
    let answered = service.post_json(&path, &asked).await;
    assert_eq!(answered.status, StatusCode::CREATED, "{answered:?}");
    let recorded = answered.json();
    assert_eq!(recorded["next"], "2028-03-02");
    assert_eq!(recorded["findings"][0]["due"], "2026-03-16");
    assert_eq!(recorded["who"], "A. Inspector");
    let listed = service.json(&path).await;
    assert_eq!(listed["inspections"].as_array().unwrap().len(), 1);
    let mut wrong = asked.clone();
    for (key, value) in [
        ("competence", json!(" ")),
        ("months", json!(37)),
        ("grade", json!("glance")),
        ("items", json!([{"item": "no-such-item", "result": "pass"}])),
        ("items", json!([{"item": "en-dust", "result": "fail"}])),
        ("findings", json!([{"text": "x", "priority": 5}])),
    ] {
        let kept = wrong[key].clone();
        wrong[key] = value;
        let problem = service.post_json(&path, &wrong).await;
        problem.is_problem(Code::InvalidRequest);
        wrong[key] = kept;
    }
    let missing = service
        .post_json("/v1/plates/999/inspections", &asked)
        .await;
    missing.is_problem(Code::NotFound);
    let mut correction = asked;
    correction["replaces"] = recorded["id"].clone();
    let answered = service.post_json(&path, &correction).await;
    assert_eq!(answered.json()["replaces"], recorded["id"]);
}
