//! Typed markings, places, loops and substances over HTTP.

#[path = "support/service.rs"]
mod service;

use axum::http::StatusCode;
use serde_json::{Value, json};
use service::{
    PLATE, config, environment, form, get, picture, post, post_json, reader, send, service,
};
use std::sync::Arc;
use vetplate::{AppState, Code, Site, app};

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
    let asked = json!({"location": "SH-02"}).to_string();
    let asked = post("/v1/requirements", "application/json", asked);
    let need = send(&service, asked).await.json();
    assert_eq!(need["needs"][0]["group"], "IIB", "{need}");
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
