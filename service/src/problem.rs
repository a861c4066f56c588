//! Errors of the HTTP service as `application/problem+json` (RFC 9457).

use crate::answer::KeyError;
use crate::register::StoreError;
use axum::Json;
use axum::extract::Request;
use axum::extract::rejection::JsonRejection;
use axum::http::header::{CONTENT_TYPE, RETRY_AFTER, WWW_AUTHENTICATE};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use std::fmt::Display;
use utoipa::ToSchema;
use vetplate_ocr::PhotoError;

/// Where the types of problem are named. The address names, it need not answer.
const BASE: &str = "https://vetplate.example/problems/";

macro_rules! codes {
    ($($(#[$doc:meta])* $variant:ident = $code:literal | $status:ident | $title:literal),+ $(,)?) => {
        /// Every kind of problem: code | status | title. Codes are never renamed.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Code {
            $($(#[$doc])* $variant,)+
        }

        impl Code {
            /// Every kind, in the order of the table.
            pub const ALL: &[Code] = &[$(Code::$variant,)+];

            /// The stable name.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $code,)+ }
            }

            /// The HTTP status.
            pub const fn status(self) -> StatusCode {
                match self { $(Self::$variant => StatusCode::$status,)+ }
            }

            /// What it is, the same for every occurrence.
            pub const fn title(self) -> &'static str {
                match self { $(Self::$variant => $title,)+ }
            }
        }
    };
}

codes! {
    /// The body is no JSON.
    MalformedJson = "malformed-json" | BAD_REQUEST | "The body is not valid JSON",
    /// Query or multipart form cannot be taken apart.
    MalformedRequest = "malformed-request" | BAD_REQUEST | "The request cannot be taken apart",
    /// A photo of no bytes.
    EmptyBody = "empty-body" | BAD_REQUEST | "The body is empty",
    /// Nobody is signed in.
    SignInNeeded = "sign-in-needed" | UNAUTHORIZED | "Sign in first",
    /// Name or password is wrong.
    WrongPassword = "wrong-password" | UNAUTHORIZED | "Name or password is wrong",
    /// The account may not do this.
    NotAllowed = "not-allowed" | FORBIDDEN | "This account may not do this",
    /// A page of another site asked for it.
    CrossSite = "cross-site" | FORBIDDEN | "Another site asked for this",
    /// Too many wrong passwords.
    TooManyTries = "too-many-tries" | TOO_MANY_REQUESTS | "Too many wrong passwords",
    /// No such path.
    NotFound = "not-found" | NOT_FOUND | "There is nothing at this path",
    /// The path is there, the method is not.
    MethodNotAllowed = "method-not-allowed" | METHOD_NOT_ALLOWED | "This path does not take this method",
    /// The service keeps no register.
    NoRegister = "no-register" | NOT_IMPLEMENTED | "This service keeps no register",
    /// The service has no accounts.
    NoAccounts = "no-accounts" | NOT_IMPLEMENTED | "This service has no accounts",
    /// Someone else is deciding on the plate.
    Held = "held" | CONFLICT | "Someone else is deciding on this",
    /// The thing is not in a state in which this can be done.
    WrongState = "wrong-state" | CONFLICT | "This cannot be done now",
    /// Someone changed it since the client looked.
    Changed = "changed" | PRECONDITION_FAILED | "Someone changed this in the meantime",
    /// A change without the version that it rests on.
    VersionMissing = "version-missing" | PRECONDITION_REQUIRED | "The version that was seen is missing",
    /// The bytes of a photo cannot be had.
    PhotoMissing = "photo-missing" | GONE | "The photo is not at hand",
    /// No room for what was sent.
    StorageFull = "storage-full" | INSUFFICIENT_STORAGE | "There is no room left",
    /// More bytes than allowed.
    BodyTooLarge = "body-too-large" | PAYLOAD_TOO_LARGE | "The body is too large",
    /// More pixels, or more memory for decoding, than allowed.
    PictureTooLarge = "picture-too-large" | PAYLOAD_TOO_LARGE | "The picture is too large",
    /// A content type that the path does not take.
    UnsupportedMediaType = "unsupported-media-type" | UNSUPPORTED_MEDIA_TYPE | "The content type is not taken here",
    /// A kind of picture that is not read.
    UnsupportedPicture = "unsupported-picture" | UNSUPPORTED_MEDIA_TYPE | "This kind of picture is not read",
    /// The bytes are no picture.
    NotAPicture = "not-a-picture" | UNPROCESSABLE_ENTITY | "The body is not a picture",
    /// A picture that is cut short or damaged.
    DamagedPicture = "damaged-picture" | UNPROCESSABLE_ENTITY | "The picture is damaged",
    /// The place cannot be used.
    InvalidPlace = "invalid-place" | UNPROCESSABLE_ENTITY | "The place cannot be used",
    /// The JSON is not what the path takes.
    InvalidRequest = "invalid-request" | UNPROCESSABLE_ENTITY | "The request is not what this path takes",
    /// Another request under a key that has one.
    KeyReused = "key-reused" | UNPROCESSABLE_ENTITY | "The key belongs to another request",
    /// A fault of ours.
    Internal = "internal" | INTERNAL_SERVER_ERROR | "Something went wrong here",
    /// The queue is full.
    Busy = "busy" | SERVICE_UNAVAILABLE | "The service is busy",
    /// The models are not loaded yet.
    Starting = "starting" | SERVICE_UNAVAILABLE | "The service is not ready yet",
    /// The models cannot be loaded or do not read.
    Broken = "broken" | SERVICE_UNAVAILABLE | "The service cannot read photos",
    /// Changes cannot be kept.
    NotWritable = "register-not-writable" | SERVICE_UNAVAILABLE | "The register cannot be written",
    /// The request took too long.
    TimedOut = "timed-out" | SERVICE_UNAVAILABLE | "The request took too long",
}

impl Code {
    /// The `type` of the problem document.
    pub fn uri(self) -> String {
        format!("{BASE}{}", self.name())
    }

    /// After how many seconds another try makes sense.
    const fn retry_after_s(self) -> Option<u32> {
        match self {
            Self::Starting => Some(1),
            // About the time that a queue of photos takes.
            Self::Busy | Self::TimedOut => Some(5),
            Self::Broken => Some(60),
            Self::TooManyTries | Self::NotWritable => Some(30),
            Self::MalformedJson
            | Self::MalformedRequest
            | Self::EmptyBody
            | Self::NotFound
            | Self::MethodNotAllowed
            | Self::NoRegister
            | Self::NoAccounts
            | Self::SignInNeeded
            | Self::WrongPassword
            | Self::NotAllowed
            | Self::CrossSite
            | Self::Held
            | Self::WrongState
            | Self::Changed
            | Self::VersionMissing
            | Self::PhotoMissing
            | Self::StorageFull
            | Self::BodyTooLarge
            | Self::PictureTooLarge
            | Self::UnsupportedMediaType
            | Self::UnsupportedPicture
            | Self::NotAPicture
            | Self::DamagedPicture
            | Self::InvalidPlace
            | Self::InvalidRequest
            | Self::KeyReused
            | Self::Internal => None,
        }
    }
}

/// One problem on its way to the client.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    code: Code,
    detail: String,
    errors: Vec<FieldErrorDto>,
    /// Where it is known better than by the kind, seconds.
    retry_after_s: Option<u64>,
}

/// The body of every error (RFC 9457).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Problem)]
pub struct ProblemDto {
    /// Names the kind of problem; stable.
    #[serde(rename = "type")]
    pub uri: String,
    /// What it is, the same for every occurrence.
    pub title: &'static str,
    /// The HTTP status.
    pub status: u16,
    /// What happened here and what to do.
    pub detail: String,
    /// The last part of `type`.
    pub code: &'static str,
    /// The keys that cannot be used.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub errors: Vec<FieldErrorDto>,
}

/// One key that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = FieldError)]
pub struct FieldErrorDto {
    /// The key.
    pub field: String,
    /// What was given.
    pub value: String,
    /// What is wrong and what to write instead.
    pub message: String,
}

impl Problem {
    /// A problem with what happened and what to do.
    pub fn new(code: Code, detail: impl Into<String>) -> Self {
        Self {
            code,
            detail: detail.into(),
            errors: Vec::new(),
            retry_after_s: None,
        }
    }

    /// A fault of ours: the cause goes to the log and never to the client.
    pub fn internal(cause: &dyn Display) -> Self {
        tracing::error!(error = %cause, "request failed");
        Self::new(
            Code::Internal,
            "the fault is ours; the log names it beside the x-request-id of this answer",
        )
    }

    /// A place with keys that cannot be used.
    pub fn place(errors: Vec<KeyError>) -> Self {
        Self::fields(Code::InvalidPlace, errors)
    }

    /// Keys that cannot be used.
    pub fn fields(code: Code, errors: Vec<KeyError>) -> Self {
        let detail = errors
            .iter()
            .map(|e| e.message.as_str())
            .collect::<Vec<_>>()
            .join("; ");
        Self {
            code,
            detail,
            errors: errors
                .into_iter()
                .map(|e| FieldErrorDto {
                    field: e.key,
                    value: e.value,
                    message: e.message,
                })
                .collect(),
            retry_after_s: None,
        }
    }

    /// A method that the path does not take.
    pub(crate) fn method_not_allowed(request: &Request) -> Self {
        Self::new(
            Code::MethodNotAllowed,
            format!(
                "{} does not take {}; the header Allow says what it takes",
                request.uri().path(),
                request.method()
            ),
        )
    }

    /// The same problem, where it is known when another try makes sense.
    #[must_use]
    pub(crate) fn retry_after(mut self, seconds: u64) -> Self {
        self.retry_after_s = Some(seconds);
        self
    }

    /// Which kind it is.
    pub fn code(&self) -> Code {
        self.code
    }
}

impl From<PhotoError> for Problem {
    fn from(error: PhotoError) -> Self {
        let code = match &error {
            PhotoError::Empty => Code::EmptyBody,
            PhotoError::TooManyBytes { .. } => Code::BodyTooLarge,
            PhotoError::TooManyPixels { .. } | PhotoError::TooMuchMemory { .. } => {
                Code::PictureTooLarge
            }
            PhotoError::UnsupportedKind { .. } | PhotoError::UnsupportedForm { .. } => {
                Code::UnsupportedPicture
            }
            PhotoError::NotAPicture { .. } => Code::NotAPicture,
            // A damaged picture, and whatever else is found wrong with one later.
            _ => Code::DamagedPicture,
        };
        Self::new(code, error.to_string())
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        let code = match &error {
            StoreError::Conflict { .. } => Code::Changed,
            StoreError::Held { .. } => Code::Held,
            StoreError::NotFound { .. } => Code::NotFound,
            StoreError::WrongState { .. } => Code::WrongState,
            StoreError::Busy => Code::Busy,
            StoreError::Full => Code::StorageFull,
            _ => return Self::internal(&error),
        };
        Self::new(code, error.to_string())
    }
}

impl From<JsonRejection> for Problem {
    fn from(rejection: JsonRejection) -> Self {
        let code = match &rejection {
            JsonRejection::JsonDataError(_) => Code::InvalidRequest,
            JsonRejection::JsonSyntaxError(_) => Code::MalformedJson,
            JsonRejection::MissingJsonContentType(_) => {
                return Self::new(
                    Code::UnsupportedMediaType,
                    "send the header Content-Type: application/json",
                );
            }
            other if other.status() == StatusCode::PAYLOAD_TOO_LARGE => Code::BodyTooLarge,
            _ => Code::MalformedRequest,
        };
        Self::new(code, rejection.body_text())
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let status = self.code.status();
        let body = ProblemDto {
            uri: self.code.uri(),
            title: self.code.title(),
            status: status.as_u16(),
            detail: self.detail,
            code: self.code.name(),
            errors: self.errors,
        };
        let mut response = (status, Json(body)).into_response();
        let headers = response.headers_mut();
        headers.insert(
            CONTENT_TYPE,
            HeaderValue::from_static("application/problem+json"),
        );
        // RFC 9110, 15.5.2: 401 names a way to be known.
        if self.code.status() == StatusCode::UNAUTHORIZED {
            headers.insert(WWW_AUTHENTICATE, HeaderValue::from_static("Bearer"));
        }
        let by_kind = || self.code.retry_after_s().map(u64::from);
        if let Some(seconds) = self.retry_after_s.or_else(by_kind) {
            headers.insert(RETRY_AFTER, HeaderValue::from(seconds));
        }
        response
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_unique_and_fit_for_addresses() {
        let mut names: Vec<_> = Code::ALL.iter().map(|c| c.name()).collect();
        for name in &names {
            assert!(
                name.chars().all(|c| c.is_ascii_lowercase() || c == '-'),
                "{name}"
            );
        }
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Code::ALL.len());
    }

    /// Programs hold on to these: a name is never changed, and a new one is added here.
    #[test]
    fn types_stay_what_they_are() {
        let now: Vec<_> = Code::ALL
            .iter()
            .map(|code| (code.name(), code.status().as_u16()))
            .collect();
        let kept = [
            ("malformed-json", 400),
            ("malformed-request", 400),
            ("empty-body", 400),
            ("sign-in-needed", 401),
            ("wrong-password", 401),
            ("not-allowed", 403),
            ("cross-site", 403),
            ("too-many-tries", 429),
            ("not-found", 404),
            ("method-not-allowed", 405),
            ("no-register", 501),
            ("no-accounts", 501),
            ("held", 409),
            ("wrong-state", 409),
            ("changed", 412),
            ("version-missing", 428),
            ("photo-missing", 410),
            ("storage-full", 507),
            ("body-too-large", 413),
            ("picture-too-large", 413),
            ("unsupported-media-type", 415),
            ("unsupported-picture", 415),
            ("not-a-picture", 422),
            ("damaged-picture", 422),
            ("invalid-place", 422),
            ("invalid-request", 422),
            ("key-reused", 422),
            ("internal", 500),
            ("busy", 503),
            ("starting", 503),
            ("broken", 503),
            ("register-not-writable", 503),
            ("timed-out", 503),
        ];
        assert_eq!(now, kept);
        assert_eq!(Code::Busy.uri(), "https://vetplate.example/problems/busy");
    }

    #[test]
    fn what_passes_says_when_to_come_back() {
        for code in Code::ALL {
            let passes = matches!(
                code.status(),
                StatusCode::SERVICE_UNAVAILABLE | StatusCode::TOO_MANY_REQUESTS
            );
            assert_eq!(code.retry_after_s().is_some(), passes, "{code:?}");
        }
    }

    #[test]
    fn the_cause_of_our_faults_stays_here() {
        let problem = Problem::internal(&"secret path /srv/x");
        assert!(!problem.detail.contains("secret"));
    }
}
