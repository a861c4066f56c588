//! Who may do what: every route, every role, every way to show who one is.

use axum::body::Body;
use axum::http::header::{
    CONTENT_TYPE, COOKIE, HOST, ORIGIN, RETRY_AFTER, SET_COOKIE, WWW_AUTHENTICATE,
};
use axum::http::{Request, StatusCode};
use serde_json::json;
use std::collections::BTreeSet;
use std::sync::Arc;
use vetplate::access::{Need, PERMISSIONS, hash_password, new_key};
use vetplate::register::{KeyKind, NewKey, People, Role};
use vetplate::{ServeConfig, openapi};

#[path = "support/expected_routes.rs"]
mod expected_routes;
#[path = "support/guarded.rs"]
mod guarded;

use expected_routes::{EXPECTED, MARKING, PAGE};
use guarded::{HOST_NAME, PASSWORD, Shown, service, service_with};

#[test]
fn every_route_is_written_down_here() {
    let api = serde_json::to_value(openapi()).unwrap();
    let mut routes = BTreeSet::new();
    for (path, item) in api["paths"].as_object().unwrap() {
        for method in item.as_object().unwrap().keys() {
            routes.insert((method.to_uppercase(), path.clone()));
        }
    }
    routes.extend(PAGE.map(|path| ("GET".to_owned(), path.to_owned())));
    let here: BTreeSet<(String, String)> = EXPECTED
        .iter()
        .map(|(method, path, ..)| ((*method).to_owned(), (*path).to_owned()))
        .collect();
    assert_eq!(routes, here, "write the route down in EXPECTED");
    for (method, path, _, _, least, _) in EXPECTED {
        let listed = PERMISSIONS
            .iter()
            .find(|(m, p, _)| m == method && p == path);
        let need = listed.map(|(_, _, need)| *need);
        let wanted = least.map_or(Need::Nothing, Need::Least);
        assert_eq!(need, Some(wanted), "{method} {path}");
        let operation = &api["paths"][path][method.to_lowercase()];
        if let Some(least) = least {
            assert_eq!(operation["x-role"], least.name(), "{method} {path}");
            assert!(operation["responses"]["401"].is_object());
        }
    }
    assert_eq!(PERMISSIONS.len(), EXPECTED.len(), "routes that are no more");
}

#[tokio::test]
async fn every_route_asks_everyone_for_their_role() {
    let service = service();
    let mut everyone = vec![(None, Shown::Nothing)];
    for role in Role::ALL {
        everyone.push((Some(role), Shown::Token(service.token(role.name(), None))));
        // A token for less than its account may.
        let narrowed = service.token("administrator", Some(role));
        everyone.push((Some(role), Shown::Token(narrowed)));
        let cookie = service.cookie(role.name()).await;
        everyone.push((Some(role), Shown::Cookie(cookie)));
    }
    for (role, shown) in &everyone {
        for (method, path, at, body, least, status) in EXPECTED {
            let answered = service.ask(method, at, body, shown).await;
            let wanted = match least {
                Some(_) if role.is_none() => 401,
                Some(least) if role.is_some_and(|role| role < *least) => 403,
                _ => *status,
            };
            // The first administrator adds the location, the others find it as it is to be.
            let wanted = match answered.status.as_u16() {
                201 if *method == "PUT" && wanted == 200 => 201,
                _ => wanted,
            };
            assert_eq!(
                answered.status.as_u16(),
                wanted,
                "{method} {path} as {role:?}: {}",
                answered.body
            );
            match wanted {
                401 => {
                    assert_eq!(answered.headers[WWW_AUTHENTICATE], "Bearer");
                    assert_eq!(answered.body["code"], "sign-in-needed");
                }
                403 => assert_eq!(answered.body["code"], "not-allowed"),
                _ => {}
            }
        }
    }
}

#[tokio::test]
async fn the_name_on_a_decision_is_that_of_the_account_whatever_the_client_says() {
    let service = service();
    let cookie = Shown::Cookie(service.cookie("Administrator").await);
    let someone = "B. Somebody Else";
    let plate = service.ask("GET", "/v1/plates/1", "", &cookie).await.body;
    let version = plate["version"].as_i64().unwrap();
    let body = json!({"who": someone, "kind": "confirmed", "version": version}).to_string();
    let path = "/v1/plates/1/settlements";
    let answered = service.ask("POST", path, &body, &cookie).await;
    assert_eq!(answered.status, StatusCode::CREATED, "{}", answered.body);
    let body = json!({"who": someone, "tag": "P-1", "version": version + 1}).to_string();
    let answered = service.ask("PATCH", "/v1/plates/1", &body, &cookie).await;
    assert_eq!(answered.status, StatusCode::OK, "{}", answered.body);
    let body = json!({"who": someone, "reason": "look", "version": version + 2}).to_string();
    let answered = service
        .ask("POST", "/v1/plates/1/put-back", &body, &cookie)
        .await;
    assert_eq!(answered.status, StatusCode::OK, "{}", answered.body);
    let answered = service
        .ask(
            "POST",
            "/v1/plates/1/hold",
            &json!({"who": someone}).to_string(),
            &cookie,
        )
        .await;
    assert_eq!(answered.body["who"], "administrator");
    let plate = service.ask("GET", "/v1/plates/1", "", &cookie).await.body;
    assert_eq!(plate["settlements"][0]["who"], "administrator");
    let names: Vec<&str> = plate["history"]
        .as_array()
        .unwrap()
        .iter()
        .map(|event| event["who"].as_str().unwrap())
        .filter(|who| *who != "test")
        .collect();
    assert_eq!(names, ["administrator"; 3]);
    assert!(!plate.to_string().contains(someone));
}

#[tokio::test]
async fn a_session_says_what_may_be_done_and_ends() {
    let service = service();
    let nobody = service
        .ask("GET", "/v1/session", "", &Shown::Nothing)
        .await
        .body;
    assert_eq!(
        nobody,
        json!({"accounts": true, "name": null, "role": null, "may": []})
    );
    let answered = service.sign_in(" reviewer ", PASSWORD).await;
    let wanted = json!({"accounts": true, "name": "reviewer", "role": "reviewer",
                        "may": ["read", "inspect", "review"]});
    assert_eq!(answered.body, wanted);
    let set = answered.headers[SET_COOKIE].to_str().unwrap();
    for part in [
        "; HttpOnly",
        "; SameSite=Strict",
        "; Path=/",
        "; Max-Age=43200",
    ] {
        assert!(set.contains(part), "{set}");
    }
    let cookie = Shown::Cookie(set.split(';').next().unwrap().to_owned());
    let here = service.ask("GET", "/v1/session", "", &cookie).await.body;
    assert_eq!(here, wanted);
    let out = service.ask("DELETE", "/v1/session", "", &cookie).await;
    assert_eq!(out.status, StatusCode::NO_CONTENT);
    assert!(
        out.headers[SET_COOKIE]
            .to_str()
            .unwrap()
            .contains("Max-Age=0")
    );
    let after = service.ask("GET", "/v1/plates", "", &cookie).await;
    assert_eq!(after.status, StatusCode::UNAUTHORIZED);
}

#[tokio::test]
async fn what_is_taken_away_is_gone_at_once() {
    let service = service();
    let token = Shown::Token(service.token("reviewer", None));
    let cookie = Shown::Cookie(service.cookie("reviewer").await);
    let settle = "/v1/plates/1/settlements";
    let body = r#"{"kind": "confirmed"}"#;
    for shown in [&token, &cookie] {
        let answered = service.ask("POST", settle, body, shown).await;
        assert_eq!(answered.status, StatusCode::PRECONDITION_REQUIRED);
    }
    service
        .register
        .set_role("reviewer", Role::Reader, "test")
        .unwrap();
    for shown in [&token, &cookie] {
        let answered = service.ask("POST", settle, body, shown).await;
        assert_eq!(answered.status, StatusCode::FORBIDDEN);
    }
    let hash = hash_password("reviewer", "another fine password").unwrap();
    service
        .register
        .set_password("reviewer", &hash, "test")
        .unwrap();
    let answered = service.ask("GET", "/v1/plates", "", &cookie).await;
    assert_eq!(answered.status, StatusCode::UNAUTHORIZED);
    let answered = service.ask("GET", "/v1/plates", "", &token).await;
    assert_eq!(answered.status, StatusCode::OK);
    let id = service.register.keys("reviewer").unwrap()[0].id;
    service.register.remove_key("reviewer", id, "test").unwrap();
    let answered = service.ask("GET", "/v1/plates", "", &token).await;
    assert_eq!(answered.status, StatusCode::UNAUTHORIZED);
    let token = Shown::Token(service.token("inspector", None));
    service
        .register
        .remove_account("inspector", "test")
        .unwrap();
    let answered = service.ask("GET", "/v1/plates", "", &token).await;
    assert_eq!(answered.status, StatusCode::UNAUTHORIZED);
    let again = service
        .register
        .add_account("INSPECTOR", Role::Reader, None, "test");
    assert!(again.unwrap_err().to_string().contains("another name"));
}

#[tokio::test]
async fn keys_run_out() {
    let service = service();
    let key = new_key().unwrap();
    let past = jiff::Timestamp::now() - jiff::SignedDuration::from_secs(1);
    let kept = NewKey {
        kind: KeyKind::Token,
        label: "test".to_owned(),
        role: None,
        sha256: key.sha256,
        expires_at: Some(past),
    };
    service.register.add_key("reader", &kept, "test").unwrap();
    let token = Shown::Token(key.secret);
    let status = service.ask("GET", "/v1/plates", "", &token).await.status;
    assert_eq!(status, StatusCode::UNAUTHORIZED);
    assert_eq!(service.register.keys("reader").unwrap(), []);
}

#[tokio::test]
async fn guessing_is_slowed_down_and_tells_nothing() {
    let service = service();
    let mut codes = Vec::new();
    for name in ["reader", "nobody at all"].iter().cycle().take(10) {
        let answered = service.sign_in(name, "a wrong password").await;
        codes.push(answered.body["code"].as_str().unwrap().to_owned());
        if answered.status == StatusCode::TOO_MANY_REQUESTS {
            let wait = answered.headers[RETRY_AFTER].to_str().unwrap();
            assert!(wait.parse::<u64>().unwrap() <= 31, "{wait}");
        } else {
            assert_eq!(answered.body["detail"], "name or password is wrong");
        }
    }
    assert_eq!(codes[..8], ["wrong-password"; 8]);
    assert_eq!(codes[8..], ["too-many-tries"; 2]);
    // The right password waits, too: otherwise it could be told from wrong ones.
    let answered = service.sign_in("reader", PASSWORD).await;
    assert_eq!(answered.status, StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test(flavor = "multi_thread")]
async fn who_guesses_many_times_at_once_gains_nothing() {
    let service = Arc::new(service());
    let mut crowd = tokio::task::JoinSet::new();
    for _ in 0..60 {
        let service = Arc::clone(&service);
        crowd.spawn(async move { service.sign_in("reader", "a wrong password").await.status });
    }
    let statuses = crowd.join_all().await;
    let tried = statuses
        .iter()
        .filter(|status| **status == StatusCode::UNAUTHORIZED)
        .count();
    // Eight, and one more for each that hashes beside another.
    assert!((8..=9).contains(&tried), "{tried}");
}

#[tokio::test]
async fn passwords_and_keys_are_nowhere_in_the_register() {
    let service = service();
    let token = service.token("reader", None);
    let cookie = service.cookie("reader").await;
    let session = cookie.split_once('=').unwrap().1;
    let path = service.register.path().to_owned();
    let mut bytes = std::fs::read(&path).unwrap();
    let wal = format!("{}-wal", path.display());
    bytes.extend(std::fs::read(wal).unwrap_or_default());
    for secret in [PASSWORD, token.as_str(), session] {
        let found = bytes
            .windows(secret.len())
            .any(|window| window == secret.as_bytes());
        assert!(!found);
    }
}

#[tokio::test]
async fn another_site_changes_nothing_with_somebodys_cookie() {
    let service = service();
    let cookie = service.cookie("administrator").await;
    let foreign: [&[(&str, &str)]; 5] = [
        &[("origin", "https://evil.example")],
        &[("origin", "null")],
        &[("sec-fetch-site", "cross-site")],
        &[("sec-fetch-site", "same-site")],
        &[],
    ];
    for headers in foreign {
        for (method, _, at, body, least, _) in EXPECTED {
            if *method == "GET" || least.is_none() && headers.is_empty() {
                continue;
            }
            let mut request = Request::builder()
                .method(*method)
                .uri(*at)
                .header(HOST, HOST_NAME)
                .header(CONTENT_TYPE, "application/json")
                .header(COOKIE, &cookie);
            for (name, value) in headers {
                request = request.header(*name, *value);
            }
            let request = request.body(Body::from(*body)).unwrap();
            let answered = service.send(request).await;
            assert_eq!(answered.status, StatusCode::FORBIDDEN, "{method} {at}");
            assert_eq!(answered.body["code"], "cross-site", "{method} {at}");
        }
    }
    let still = service
        .ask("GET", "/v1/session", "", &Shown::Cookie(cookie))
        .await;
    assert_eq!(still.body["name"], "administrator");
}

#[tokio::test]
async fn without_accounts_the_machine_may_everything_and_other_names_nothing() {
    let service = service_with(&ServeConfig::default(), false);
    let ask = |host: &'static str, origin: Option<&'static str>| {
        let mut request = Request::post("/v1/markings")
            .header(CONTENT_TYPE, "application/json")
            .header(HOST, host);
        if let Some(origin) = origin {
            request = request.header(ORIGIN, origin);
        }
        service.send(request.body(Body::from(MARKING)).unwrap())
    };
    for (host, origin) in [
        ("127.0.0.1:8460", None),
        ("localhost:8460", Some("http://localhost:8460")),
        ("[::1]:8460", None),
    ] {
        assert_eq!(ask(host, origin).await.status, StatusCode::OK, "{host}");
    }
    for (host, origin) in [
        ("evil.example", None),
        ("evil.example:8460", Some("http://evil.example:8460")),
        ("127.0.0.1:8460", Some("http://evil.example")),
    ] {
        let answered = ask(host, origin).await;
        assert_eq!(answered.status, StatusCode::FORBIDDEN, "{host}");
        assert_eq!(answered.body["code"], "cross-site");
    }
    let session = service
        .send(Request::get("/v1/session").body(Body::empty()).unwrap())
        .await;
    assert_eq!(session.body["accounts"], false);
    assert_eq!(session.body["may"].as_array().unwrap().len(), 4);
    let answered = service.sign_in("reader", PASSWORD).await;
    assert_eq!(answered.body["code"], "no-accounts");
    // The first account closes the door at once, also behind a removal.
    service
        .register
        .add_account("Ailsa", Role::Reader, None, "test")
        .unwrap();
    assert_eq!(
        ask("localhost", None).await.status,
        StatusCode::UNAUTHORIZED
    );
    service.register.remove_account("Ailsa", "test").unwrap();
    assert_eq!(
        ask("localhost", None).await.status,
        StatusCode::UNAUTHORIZED
    );
}

#[tokio::test]
async fn what_a_proxy_says_counts_only_behind_one() {
    for (behind_proxy, is_secure) in [(false, false), (true, true)] {
        let config = ServeConfig {
            behind_proxy,
            ..ServeConfig::default()
        };
        let service = service_with(&config, true);
        let body = json!({"name": "reader", "password": PASSWORD}).to_string();
        let request = Request::post("/v1/session")
            .header(HOST, HOST_NAME)
            .header(CONTENT_TYPE, "application/json")
            .header("x-forwarded-proto", "https")
            .body(Body::from(body))
            .unwrap();
        let answered = service.send(request).await;
        assert_eq!(answered.status, StatusCode::CREATED);
        let set = answered.headers[SET_COOKIE].to_str().unwrap();
        assert_eq!(set.starts_with("__Host-vetplate-session="), is_secure);
        assert_eq!(set.contains("; Secure"), is_secure, "{set}");
    }
}
