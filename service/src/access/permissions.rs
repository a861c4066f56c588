//! The list of routes with what each asks for.

use crate::register::Role;
use axum::http::Method;

/// What a route asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Nothing: anyone who reaches the service.
    Nothing,
    /// This role or a later one.
    Least(Role),
}

/// One route: method, path as the router has it, and what it asks for.
pub type Permission = (&'static str, &'static str, Need);

const ANYONE: Need = Need::Nothing;
const READER: Need = Need::Least(Role::Reader);
const INSPECTOR: Need = Need::Least(Role::Inspector);
const REVIEWER: Need = Need::Least(Role::Reviewer);
const ADMINISTRATOR: Need = Need::Least(Role::Administrator);

/// Every route. What is not here is open to nobody; GET stands for HEAD, too.
pub const PERMISSIONS: &[Permission] = &[
    // The page has no secrets; what it shows comes over the routes below.
    ("GET", "/", ANYONE),
    ("GET", "/page.js", ANYONE),
    ("GET", "/views.js", ANYONE),
    ("GET", "/index.css", ANYONE),
    ("GET", "/worker.js", ANYONE),
    ("GET", "/page.webmanifest", ANYONE),
    ("GET", "/icon.svg", ANYONE),
    ("GET", "/icon.png", ANYONE),
    ("GET", "/openapi.json", ANYONE),
    ("GET", "/healthz", ANYONE),
    ("GET", "/readyz", ANYONE),
    // Says how much goes on, and nothing of what.
    ("GET", "/metrics", READER),
    ("GET", "/v1/session", ANYONE),
    ("POST", "/v1/session", ANYONE),
    ("DELETE", "/v1/session", ANYONE),
    // Nothing is kept.
    ("POST", "/v1/readings", READER),
    ("POST", "/v1/photos/judgement", READER),
    ("POST", "/v1/markings", READER),
    ("POST", "/v1/loops", READER),
    ("POST", "/v1/requirements", READER),
    ("GET", "/v1/substances", READER),
    // The register.
    ("GET", "/v1/plates", READER),
    ("POST", "/v1/plates", INSPECTOR),
    ("GET", "/v1/plates/counts", READER),
    ("GET", "/v1/plates/export", READER),
    ("GET", "/v1/plates/report", READER),
    ("GET", "/v1/plates/{id}", READER),
    ("GET", "/v1/plates/{id}/photo", READER),
    ("GET", "/v1/plates/{id}/crop", READER),
    ("PATCH", "/v1/plates/{id}", INSPECTOR),
    ("GET", "/v1/plates/{id}/inspections", READER),
    ("POST", "/v1/plates/{id}/inspections", INSPECTOR),
    // What is sent, or a folder that the operator allowed; never another path.
    ("GET", "/v1/imports", READER),
    ("POST", "/v1/imports", INSPECTOR),
    ("GET", "/v1/imports/{id}", READER),
    ("GET", "/v1/imports/{id}/events", READER),
    ("POST", "/v1/imports/{id}/pause", INSPECTOR),
    ("POST", "/v1/imports/{id}/resume", INSPECTOR),
    ("POST", "/v1/imports/{id}/cancel", INSPECTOR),
    ("GET", "/v1/review", READER),
    ("POST", "/v1/plates/{id}/settlements", REVIEWER),
    ("POST", "/v1/plates/{id}/put-back", REVIEWER),
    ("POST", "/v1/plates/{id}/hold", REVIEWER),
    ("GET", "/v1/locations", READER),
    ("GET", "/v1/locations/{tag}", READER),
    // A changed place changes the verdict of all that stands there.
    ("PUT", "/v1/locations/{tag}", ADMINISTRATOR),
    ("POST", "/v1/locations", ADMINISTRATOR),
];

/// What the list says of a request.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Listed {
    /// The route asks for this.
    Needs(Need),
    /// The path is there for these methods, not for this one.
    OtherMethods(String),
    /// Nobody wrote the route down.
    Nowhere,
}

/// Looks a route up.
pub(super) fn look_up(method: &Method, path: &str) -> Listed {
    let method = match method.as_str() {
        "HEAD" => "GET",
        other => other,
    };
    let of_path = || PERMISSIONS.iter().filter(|(_, p, _)| *p == path);
    if let Some((_, _, need)) = of_path().find(|(m, ..)| *m == method) {
        return Listed::Needs(*need);
    }
    let methods: Vec<&str> = of_path()
        .flat_map(|(m, ..)| match *m {
            "GET" => ["GET", "HEAD"].iter(),
            _ => std::slice::from_ref(m).iter(),
        })
        .copied()
        .collect();
    if methods.is_empty() {
        Listed::Nowhere
    } else {
        Listed::OtherMethods(methods.join(","))
    }
}

/// What an operation of the OpenAPI description asks for.
pub(super) fn need_of(method: &str, path: &str) -> Option<Need> {
    PERMISSIONS
        .iter()
        .find(|(m, p, _)| *m == method && *p == path)
        .map(|(_, _, need)| *need)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_listed_is_open_to_nobody() {
        assert_eq!(look_up(&Method::GET, "/v1/secrets"), Listed::Nowhere);
        assert_eq!(
            look_up(&Method::HEAD, "/v1/plates"),
            Listed::Needs(Need::Least(Role::Reader))
        );
        assert_eq!(
            look_up(&Method::DELETE, "/v1/plates/{id}"),
            Listed::OtherMethods("GET,HEAD,PATCH".to_owned())
        );
    }

    #[test]
    fn a_route_stands_once() {
        for (i, (method, path, _)) in PERMISSIONS.iter().enumerate() {
            let again = PERMISSIONS[..i]
                .iter()
                .any(|(m, p, _)| m == method && p == path);
            assert!(!again, "{method} {path}");
        }
    }
}
