//! What every operation of the OpenAPI description has in common: whom it asks for, and how it
//! refuses.

use super::permissions::{Need, need_of};
use crate::problem::Code;
use crate::register::Role;
use utoipa::openapi::extensions::Extensions;
use utoipa::openapi::path::{Operation, ParameterIn, PathItem};
use utoipa::openapi::security::{
    ApiKey, ApiKeyValue, HttpAuthScheme, HttpBuilder, SecurityRequirement, SecurityScheme,
};
use utoipa::openapi::{ContentBuilder, OpenApi, Ref, RefOr, ResponseBuilder};

const TOKEN: &str = "token";
const SESSION: &str = "session";

/// Adds to each operation the role that it asks for (`x-role`), the ways to show who one is,
/// and the refusals that stand before every handler.
pub(crate) fn describe(mut api: OpenApi) -> OpenApi {
    let components = api.components.get_or_insert_with(Default::default);
    components.add_security_scheme(
        TOKEN,
        SecurityScheme::Http(
            HttpBuilder::new()
                .scheme(HttpAuthScheme::Bearer)
                .description(Some("A token of `vetplate users token`"))
                .build(),
        ),
    );
    components.add_security_scheme(
        SESSION,
        SecurityScheme::ApiKey(ApiKey::Cookie(ApiKeyValue::with_description(
            "vetplate-session",
            "Set by POST /v1/session; with TLS its name begins with __Host-",
        ))),
    );
    for (path, item) in &mut api.paths.paths {
        for (method, operation) in operations(item) {
            describe_one(operation, need_of(method, path));
        }
    }
    api
}

fn operations(item: &mut PathItem) -> impl Iterator<Item = (&'static str, &mut Operation)> {
    let slots = [
        ("GET", &mut item.get),
        ("POST", &mut item.post),
        ("PUT", &mut item.put),
        ("PATCH", &mut item.patch),
        ("DELETE", &mut item.delete),
    ];
    slots
        .into_iter()
        .filter_map(|(method, slot)| slot.as_mut().map(|operation| (method, operation)))
}

fn describe_one(operation: &mut Operation, need: Option<Need>) {
    refusal(operation, "503", "Busy, not ready, or it took too long");
    refusal(operation, "500", "A fault of the service");
    let has_query = operation.parameters.iter().flatten().any(|one| match one {
        RefOr::T(parameter) => parameter.parameter_in == ParameterIn::Query,
        RefOr::Ref(_) => false,
    });
    if has_query {
        refusal(
            operation,
            "422",
            "A key, or a value of one, that is not taken",
        );
    }
    let takes_json = operation
        .request_body
        .as_ref()
        .is_some_and(|body| match body {
            RefOr::T(body) => body.content.contains_key("application/json"),
            RefOr::Ref(_) => false,
        });
    if takes_json {
        refusal(operation, "400", "No JSON, or a body that broke off");
        refusal(operation, "413", "Too many bytes");
        refusal(operation, "415", "The body is not called JSON");
        refusal(operation, "422", "JSON that this path does not take");
    }
    let Some(Need::Least(role)) = need else {
        return;
    };
    let role: Role = role;
    operation
        .extensions
        .get_or_insert_default()
        .merge(Extensions::builder().add("x-role", role.name()).build());
    operation.security = Some(vec![
        SecurityRequirement::new::<_, _, &str>(TOKEN, []),
        SecurityRequirement::new::<_, _, &str>(SESSION, []),
        SecurityRequirement::default(),
    ]);
    refusal(operation, "401", Code::SignInNeeded.title());
    refusal(
        operation,
        "403",
        &format!("The account is no {role}, or another site asked for it"),
    );
}

/// Adds a problem, unless the operation describes its own.
fn refusal(operation: &mut Operation, status: &str, description: &str) {
    let problem = || {
        ResponseBuilder::new()
            .description(description)
            .content(
                "application/problem+json",
                ContentBuilder::new()
                    .schema(Some(Ref::from_schema_name("Problem")))
                    .build(),
            )
            .build()
            .into()
    };
    operation
        .responses
        .responses
        .entry(status.to_owned())
        .or_insert_with(problem);
}
