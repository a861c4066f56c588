//! Signing in and out.

use crate::access::{
    Acting, RIGHTS, client_address, digest, end_cookie, identify, is_encrypted, new_key,
    session_cookie, session_of, verify_nobody, verify_password,
};
use crate::extract::ApiJson;
use crate::measures;
use crate::problem::{Code, Problem, ProblemDto};
use crate::register::{KeyKind, NewKey, Role};
use crate::state::AppState;
use axum::Json;
use axum::extract::{FromRequest, Request, State};
use axum::http::header::{CACHE_CONTROL, SET_COOKIE};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use jiff::SignedDuration;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// How long a session lasts, hours: a shift.
const HOURS: i64 = 12;
/// Longest name that is looked for, bytes.
const MAX_NAME_BYTES: usize = 1024;

/// Who is signed in and what they may do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Session)]
pub(crate) struct SessionDto {
    /// Whether the service has accounts; without them everyone at its machine may everything,
    /// and says in each request who decides.
    accounts: bool,
    /// Name of the account; null where nobody is signed in.
    #[schema(required)]
    name: Option<String>,
    /// `reader`, `inspector`, `reviewer` or `administrator`; null where nobody is signed in.
    #[schema(value_type = Option<String>, required)]
    role: Option<Role>,
    /// What may be done: some of `read`, `inspect`, `review`, `administer`.
    may: Vec<&'static str>,
}

impl SessionDto {
    fn of(acting: Option<&Acting>) -> Self {
        let role = acting.map(Acting::role);
        let may = RIGHTS
            .iter()
            .filter(|(_, least)| role.is_some_and(|role| role >= *least));
        Self {
            accounts: acting.is_none_or(|acting| acting.account().is_some()),
            name: acting.and_then(Acting::account).map(ToOwned::to_owned),
            role,
            may: may.map(|(right, _)| *right).collect(),
        }
    }

    fn answer(self, status: StatusCode) -> Response {
        let fresh = [(CACHE_CONTROL, HeaderValue::from_static("no-store"))];
        (status, fresh, Json(self)).into_response()
    }
}

/// Says who is signed in, and what they may do.
#[utoipa::path(
    get, path = "/v1/session", tag = "session",
    responses(
        (status = 200, description = "Who, also where that is nobody", body = SessionDto),
        (status = 401, description = "A token that is not good", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_session(
    State(state): State<AppState>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let who = identify(&state, &headers).await?.map(|(acting, _)| acting);
    Ok(SessionDto::of(who.as_ref()).answer(StatusCode::OK))
}

/// Name and password.
#[derive(Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = SignIn, example = json!({"name": "Ailsa MacDonald", "password": "barley, peat and water"}))]
pub(crate) struct SignInRequest {
    /// Name of the account.
    name: String,
    /// Its password.
    password: String,
}

/// Signs in: the answer sets the cookie of a session of twelve hours. Wrong passwords cost
/// tries of the name and of the address; these come back with time.
#[utoipa::path(
    post, path = "/v1/session", tag = "session",
    request_body = SignInRequest,
    responses(
        (status = 201, description = "Signed in", body = SessionDto),
        (status = 400, description = "No JSON", body = ProblemDto, content_type = "application/problem+json"),
        (status = 401, description = "Name or password is wrong", body = ProblemDto, content_type = "application/problem+json"),
        (status = 403, description = "Asked for by a page of another site", body = ProblemDto, content_type = "application/problem+json"),
        (status = 413, description = "Too large", body = ProblemDto, content_type = "application/problem+json"),
        (status = 415, description = "Not announced as JSON", body = ProblemDto, content_type = "application/problem+json"),
        (status = 422, description = "Unknown keys", body = ProblemDto, content_type = "application/problem+json"),
        (status = 429, description = "Too many wrong passwords; Retry-After says how long to wait", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No accounts", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn post_session(
    State(state): State<AppState>,
    request: Request,
) -> Result<Response, Problem> {
    let address = client_address(&state, &request);
    let encrypted = is_encrypted(&state, request.headers());
    let access = state.access();
    if access.is_open().await? {
        return Err(Problem::new(
            Code::NoAccounts,
            "there are no accounts yet, and everyone at this machine may use the service; \
             vetplate users add makes them",
        ));
    }
    let ApiJson(given) = ApiJson::<SignInRequest>::from_request(request, &state).await?;
    let wrong = || Problem::new(Code::WrongPassword, "name or password is wrong");
    let name = given.name.trim().to_owned();
    if name.len() > MAX_NAME_BYTES {
        return Err(wrong());
    }
    let environment = state.environment();
    let room = access.room().await?;
    if let Some(wait) = access.throttle().wait(environment.now(), &name, address) {
        let seconds = wait.as_secs() + 1;
        measures::sign_in("slowed");
        return Err(Problem::new(
            Code::TooManyTries,
            format!("too many wrong passwords; try again in {seconds} s"),
        )
        .retry_after(seconds));
    }
    let asked = name.clone();
    let account = access
        .on_people(move |people| {
            let found = people.password(&asked)?;
            let good = match &found {
                Some((_, Some(kept))) => verify_password(&given.password, kept),
                _ => verify_nobody(&given.password),
            };
            Ok(found.filter(|_| good).map(|(account, _)| account))
        })
        .await?;
    let Some(account) = account else {
        access.throttle().failed(environment.now(), &name, address);
        measures::sign_in("wrong");
        tracing::warn!("a password was wrong");
        return Err(wrong());
    };
    drop(room);
    let key = new_key().map_err(|e| Problem::internal(&e))?;
    let cookie = session_cookie(&key.secret, HOURS * 3600, encrypted)?;
    let kept = NewKey {
        kind: KeyKind::Session,
        label: "browser".to_owned(),
        role: None,
        sha256: key.sha256,
        expires_at: Some(environment.clock() + SignedDuration::from_hours(HOURS)),
    };
    let acting = access
        .on_people(move |people| {
            people.add_key(&account.name, &kept, &account.name)?;
            let holder = people.holder(&kept.sha256)?;
            holder.map(Acting::from).ok_or_else(wrong)
        })
        .await?;
    measures::sign_in("good");
    let mut response = SessionDto::of(Some(&acting)).answer(StatusCode::CREATED);
    response.headers_mut().insert(SET_COOKIE, cookie);
    Ok(response)
}

/// Signs out: the session ends here, not only in the browser.
#[utoipa::path(
    delete, path = "/v1/session", tag = "session",
    responses(
        (status = 204, description = "Signed out; also where nobody was signed in"),
        (status = 403, description = "Asked for by a page of another site", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn delete_session(
    State(state): State<AppState>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    let encrypted = is_encrypted(&state, &headers);
    if let Some(key) = session_of(&headers, encrypted) {
        let sha256 = digest(key);
        state
            .access()
            .on_people(move |people| Ok(people.end_session(&sha256)?))
            .await?;
    }
    let cookie = [(SET_COOKIE, end_cookie(encrypted)?)];
    Ok((StatusCode::NO_CONTENT, cookie).into_response())
}
