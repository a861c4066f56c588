//! Photos over HTTP.

#[path = "support/service.rs"]
mod service;

use axum::body::Body;
use axum::http::header::{CONTENT_LENGTH, CONTENT_TYPE};
use axum::http::{Request, StatusCode};
use serde_json::json;
use service::{PLATE, config, form, picture, post, post_json, reader, send, service, service_with};
use vetplate::Code;
use vetplate_fixtures::bad_inputs;

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
