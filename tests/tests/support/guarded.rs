//! A service with an account of each role, and requests that show who sends them.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use axum::Router;
use axum::body::Body;
use axum::http::header::{AUTHORIZATION, CONTENT_TYPE, COOKIE, HOST, ORIGIN, SET_COOKIE};
use axum::http::{HeaderMap, Request, StatusCode};
use serde_json::{Value, json};
use std::sync::Arc;
use tempfile::TempDir;
use vetplate::access::{hash_password, new_key};
use vetplate::register::{KeyKind, NewKey, People, Role, SqliteRegister};
use vetplate::{AppState, Desk, Environment, ServeConfig, app};

#[path = "sent.rs"]
mod sent;
#[path = "site.rs"]
mod site;

use sent::sent;
use site::{SURE, register, take_in};

pub(crate) const HOST_NAME: &str = "plates.corrieburn.example";
pub(crate) const PASSWORD: &str = "barley, peat and water";

/// A service with one plate and an account of each role, named like it.
pub(crate) struct Service {
    _folder: TempDir,
    pub(crate) register: Arc<SqliteRegister>,
    pub(crate) router: Router,
}

pub(crate) fn service_with(config: &ServeConfig, with_accounts: bool) -> Service {
    let folder = tempfile::tempdir().unwrap();
    let register = register(folder.path());
    assert_eq!(take_in(&register, folder.path(), 1, SURE), 1);
    if with_accounts {
        let hash = hash_password("any", PASSWORD).unwrap();
        for role in Role::ALL {
            register
                .add_account(role.name(), role, Some(&hash), "test")
                .unwrap();
        }
    }
    let state = AppState::new(config, Environment::system());
    state.admit(register.clone());
    state.attach(Desk::new(register.clone(), None));
    Service {
        _folder: folder,
        register,
        router: app(state),
    }
}

pub(crate) fn service() -> Service {
    service_with(&ServeConfig::default(), true)
}

/// By what a request shows who sends it.
#[derive(Clone)]
pub(crate) enum Shown {
    Nothing,
    Token(String),
    Cookie(String),
}

pub(crate) struct Answered {
    pub(crate) status: StatusCode,
    pub(crate) headers: HeaderMap,
    pub(crate) body: Value,
}

impl Service {
    pub(crate) async fn send(&self, request: Request<Body>) -> Answered {
        let (parts, body) = sent(&self.router, request).await;
        Answered {
            status: parts.status,
            headers: parts.headers,
            body: serde_json::from_slice(&body).unwrap_or_default(),
        }
    }

    /// As a page of this service sends it.
    pub(crate) async fn ask(
        &self,
        method: &str,
        path: &str,
        body: &str,
        shown: &Shown,
    ) -> Answered {
        let origin = format!("https://{HOST_NAME}");
        let mut request = Request::builder()
            .method(method)
            .uri(path)
            .header(HOST, HOST_NAME)
            .header(CONTENT_TYPE, "application/json");
        request = match shown {
            Shown::Nothing => request,
            Shown::Token(token) => request.header(AUTHORIZATION, format!("Bearer {token}")),
            Shown::Cookie(cookie) => request.header(COOKIE, cookie).header(ORIGIN, origin),
        };
        self.send(request.body(Body::from(body.to_owned())).unwrap())
            .await
    }

    pub(crate) fn token(&self, name: &str, role: Option<Role>) -> String {
        let key = new_key().unwrap();
        let kept = NewKey {
            kind: KeyKind::Token,
            label: "test".to_owned(),
            role,
            sha256: key.sha256,
            expires_at: None,
        };
        self.register.add_key(name, &kept, "test").unwrap();
        key.secret
    }

    pub(crate) async fn sign_in(&self, name: &str, password: &str) -> Answered {
        let body = json!({"name": name, "password": password}).to_string();
        self.ask("POST", "/v1/session", &body, &Shown::Nothing)
            .await
    }

    pub(crate) async fn cookie(&self, name: &str) -> String {
        let answered = self.sign_in(name, PASSWORD).await;
        assert_eq!(answered.status, StatusCode::CREATED, "{}", answered.body);
        let cookie = answered.headers[SET_COOKIE].to_str().unwrap();
        cookie.split(';').next().unwrap().to_owned()
    }
}
