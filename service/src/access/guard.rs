//! The guard before every route.

use super::address::is_loopback_name;
use super::origin::{is_safe, same_site};
use super::permissions::{Listed, Need, look_up};
use super::{Acting, digest, is_encrypted, session_of};
use crate::problem::{Code, Problem};
use crate::register::Holder;
use crate::state::AppState;
use axum::extract::{MatchedPath, Request, State};
use axum::http::header::{ALLOW, AUTHORIZATION, HOST};
use axum::http::{HeaderMap, HeaderValue, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// Lets a request pass that may do what it asks for, and tells its handler who acts.
pub(crate) async fn guard(
    State(state): State<AppState>,
    mut request: Request,
    next: Next,
) -> Response {
    // No such path: there is nothing to guard.
    let Some(path) = request.extensions().get::<MatchedPath>().cloned() else {
        return next.run(request).await;
    };
    let need = match look_up(request.method(), path.as_str()) {
        Listed::Needs(need) => need,
        Listed::OtherMethods(methods) => return other_methods(&request, &methods),
        Listed::Nowhere => {
            return Problem::new(Code::NotAllowed, "nobody may use this path").into_response();
        }
    };
    match admitted(&state, request.headers(), request.method(), need).await {
        Ok(acting) => {
            if let Some(acting) = acting {
                request.extensions_mut().insert(acting);
            }
            next.run(request).await
        }
        Err(problem) => problem.into_response(),
    }
}

fn other_methods(request: &Request, methods: &str) -> Response {
    let mut response = Problem::method_not_allowed(request).into_response();
    if let Ok(value) = HeaderValue::from_str(methods) {
        response.headers_mut().insert(ALLOW, value);
    }
    response
}

/// By what a client shows who it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Shown {
    /// A token.
    Token,
    /// The cookie of a session.
    Cookie,
    /// Nothing: there are no accounts.
    Nothing,
}

async fn admitted(
    state: &AppState,
    headers: &HeaderMap,
    method: &Method,
    need: Need,
) -> Result<Option<Acting>, Problem> {
    let Need::Least(role) = need else {
        if !is_safe(method) {
            same_site(headers, false)?;
        }
        return Ok(None);
    };
    let Some((acting, shown)) = identify(state, headers).await? else {
        return Err(Problem::new(
            Code::SignInNeeded,
            "sign in with POST /v1/session, or send a token: Authorization: Bearer …",
        ));
    };
    if shown == Shown::Nothing {
        on_this_machine(headers)?;
    }
    if !is_safe(method) && shown != Shown::Token {
        same_site(headers, shown == Shown::Cookie)?;
    }
    if acting.role() < role {
        return Err(Problem::new(
            Code::NotAllowed,
            format!(
                "this takes the role {role}, and {} has {}; an administrator of the service \
                 gives roles: vetplate users role",
                acting.account().unwrap_or("nobody"),
                acting.role()
            ),
        ));
    }
    Ok(Some(acting))
}

/// Who sends a request and by what they show it; none where there are accounts and nobody is
/// signed in.
///
/// # Errors
///
/// [`Code::SignInNeeded`] for a token that is not good: what asks with one means to be known.
pub(crate) async fn identify(
    state: &AppState,
    headers: &HeaderMap,
) -> Result<Option<(Acting, Shown)>, Problem> {
    if state.access().is_open().await? {
        return Ok(Some((Acting::at_the_machine(), Shown::Nothing)));
    }
    if let Some(value) = headers.get(AUTHORIZATION) {
        let token = value.to_str().ok().and_then(|v| {
            let (scheme, token) = v.split_once(' ')?;
            scheme
                .eq_ignore_ascii_case("bearer")
                .then(|| token.trim().to_owned())
        });
        let holder = match token {
            Some(token) => holder(state, &token).await?,
            None => None,
        };
        return match holder {
            Some(holder) => Ok(Some((holder.into(), Shown::Token))),
            None => Err(Problem::new(
                Code::SignInNeeded,
                "the token is not known, has run out or was removed; vetplate users token \
                 makes one",
            )),
        };
    }
    let Some(key) = session_of(headers, is_encrypted(state, headers)) else {
        return Ok(None);
    };
    let holder = holder(state, key).await?;
    Ok(holder.map(|holder| (holder.into(), Shown::Cookie)))
}

async fn holder(state: &AppState, key: &str) -> Result<Option<Holder>, Problem> {
    let sha256 = digest(key);
    state
        .access()
        .on_people(move |people| Ok(people.holder(&sha256)?))
        .await
}

/// Without accounts the service is for this machine. A page of another site can make a browser
/// send its own name for the address 127.0.0.1 (DNS rebinding); the header Host gives it away.
fn on_this_machine(headers: &HeaderMap) -> Result<(), Problem> {
    let Some(host) = headers.get(HOST) else {
        return Ok(());
    };
    if host.to_str().is_ok_and(is_loopback_name) {
        return Ok(());
    }
    Err(Problem::new(
        Code::CrossSite,
        "without accounts the service answers to names of this machine alone, such as \
         localhost; make accounts with vetplate users add",
    ))
}
