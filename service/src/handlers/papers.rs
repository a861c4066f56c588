//! The register as tables and as a report, written while it is read.

use super::plates::PlatesQuery;
use crate::export::{CsvSink, JsonLinesSink, Sink, XlsxSink};
use crate::papers::{Format, PaperError, ReportOptions, export, site_report};
use crate::pouring::{poured, poured_file};
use crate::problem::{Code, Problem, ProblemDto};
use crate::register::Filter;
use crate::state::AppState;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use jiff::civil::Date;
use jiff::tz::TimeZone;
use serde::Deserialize;
use utoipa::IntoParams;

/// Which table.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ExportQuery {
    /// `csv`, `xlsx` or `jsonl`.
    #[param(value_type = Option<String>, default = "csv")]
    format: Option<Format>,
    /// True for a byte order mark before a CSV, by which some spreadsheets tell UTF-8.
    #[param(default = false)]
    bom: Option<bool>,
    /// Tag of the location; `-` for plates without one.
    location: Option<String>,
    /// `unsuitable`, `undecided`, `conditional`, `suitable`, or `not-judged`.
    outcome: Option<String>,
    /// `not_needed`, `waiting`, `put_back`, `settled`, or `open`.
    review: Option<String>,
    /// Part of a tag, serial number, certificate, maker or type.
    text: Option<String>,
}

/// Which report.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ReportQuery {
    /// Title on every page.
    title: Option<String>,
    /// True for overview and lists alone, without a sheet for each plate.
    #[param(default = false)]
    summary: Option<bool>,
    /// False to leave the photos out.
    #[param(default = true)]
    photos: Option<bool>,
    /// Tag of the location; `-` for plates without one.
    location: Option<String>,
    /// `unsuitable`, `undecided`, `conditional`, `suitable`, or `not-judged`.
    outcome: Option<String>,
    /// `not_needed`, `waiting`, `put_back`, `settled`, or `open`.
    review: Option<String>,
    /// Part of a tag, serial number, certificate, maker or type.
    text: Option<String>,
}

/// The plates that pass as a table.
///
/// It is written while the register is read; the memory does not grow with it. Where that
/// fails in the midst, the transfer breaks off, so that half a table is not taken for a whole
/// one. Text that a spreadsheet would run is made harmless, as on the command line.
#[utoipa::path(
    get, path = "/v1/plates/export", tag = "register",
    params(ExportQuery),
    responses(
        (status = 200, description = "The table", content(
            (Vec<u8> = "text/csv"),
            (Vec<u8> = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
            (Vec<u8> = "application/x-ndjson")
        )),
        (status = 422, description = "A key whose value is not taken", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json"),
        (status = 503, description = "Too many tables and reports are being written", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_export(
    State(state): State<AppState>,
    query: Result<Query<ExportQuery>, QueryRejection>,
) -> Result<Response, Problem> {
    let desk = state.desk()?;
    let Query(query) = query.map_err(|e| Problem::new(Code::InvalidRequest, e.body_text()))?;
    let filter = filter(query.location, query.outcome, query.review, query.text)?;
    let today = today(&state);
    let permit = state.paper_permit()?;
    let bom = query.bom.unwrap_or(false);
    let written = move |sink: Box<dyn Sink + '_>| export(desk.store(), &filter, sink);
    let (body, kind, ending) = match query.format.unwrap_or(Format::Csv) {
        Format::Csv => {
            let body = poured(permit, move |out| {
                let sink = CsvSink::new(out, bom).map_err(PaperError::from)?;
                written(Box::new(sink)).map(|_| ())
            });
            (body, "text/csv; charset=utf-8", "csv")
        }
        Format::Jsonl => {
            let body = poured(permit, move |out| {
                written(Box::new(JsonLinesSink::new(out))).map(|_| ())
            });
            (body, "application/x-ndjson", "jsonl")
        }
        Format::Xlsx => {
            let made_on = today.to_string();
            let body = poured_file(permit, move |file| {
                let sink = XlsxSink::new(file, &made_on).map_err(PaperError::from)?;
                written(Box::new(sink)).map(|_| ())
            });
            let kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
            (body, kind, "xlsx")
        }
    };
    Ok(as_file(kind, &format!("register-{today}.{ending}"), body))
}

/// The report of the site as PDF, written while the register is read.
#[utoipa::path(
    get, path = "/v1/plates/report", tag = "register",
    params(ReportQuery),
    responses(
        (status = 200, description = "The report", body = Vec<u8>, content_type = "application/pdf"),
        (status = 422, description = "A key whose value is not taken", body = ProblemDto, content_type = "application/problem+json"),
        (status = 501, description = "No register", body = ProblemDto, content_type = "application/problem+json"),
        (status = 503, description = "Too many tables and reports are being written", body = ProblemDto, content_type = "application/problem+json")
    )
)]
pub(crate) async fn get_report(
    State(state): State<AppState>,
    query: Result<Query<ReportQuery>, QueryRejection>,
) -> Result<Response, Problem> {
    let desk = state.desk()?;
    let Query(query) = query.map_err(|e| Problem::new(Code::InvalidRequest, e.body_text()))?;
    let filter = filter(query.location, query.outcome, query.review, query.text)?;
    let today = today(&state);
    let permit = state.paper_permit()?;
    let summary = query.summary.unwrap_or(false);
    let title = query.title.unwrap_or_default();
    let title: String = title
        .chars()
        .filter(|c| !c.is_control())
        .take(200)
        .collect();
    let options = ReportOptions {
        title: if title.trim().is_empty() {
            "Register of explosion-protected equipment".to_owned()
        } else {
            title
        },
        source: "the register of the service".to_owned(),
        today,
        extent: extent(&filter, summary),
        filter,
        sheets: !summary,
        pictures: query.photos.unwrap_or(true),
        blank: None,
    };
    let limits = state.limits();
    let body = poured(permit, move |out| {
        site_report(desk.store(), desk.originals(), &limits, &options, out).map(|_| ())
    });
    Ok(as_file(
        "application/pdf",
        &format!("report-{today}.pdf"),
        body,
    ))
}

fn today(state: &AppState) -> Date {
    state.environment().clock().to_zoned(TimeZone::UTC).date()
}

fn filter(
    location: Option<String>,
    outcome: Option<String>,
    review: Option<String>,
    text: Option<String>,
) -> Result<Filter, Problem> {
    let query = PlatesQuery {
        location,
        outcome,
        review,
        text,
        ..PlatesQuery::default()
    };
    Ok(query.checked()?.filter)
}

/// What a report leaves out, in words; empty where it leaves nothing out.
fn extent(filter: &Filter, summary: bool) -> String {
    let mut extent = Vec::new();
    extent.extend(
        filter
            .location
            .as_ref()
            .map(|tag| format!("location {tag}")),
    );
    if filter.no_location {
        extent.push("plates without a location".to_owned());
    }
    if filter.outcome.is_some() || filter.review.is_some() {
        extent.push("plates of one outcome or state of review alone".to_owned());
    }
    extent.extend(
        filter
            .text
            .as_ref()
            .map(|text| format!("plates with {text:?}")),
    );
    if summary {
        extent.push("overview and lists alone".to_owned());
    }
    extent.join(", ")
}

/// A file to be saved, never to be shown within a page. `name` is one of ours.
fn as_file(kind: &'static str, name: &str, body: axum::body::Body) -> Response {
    let headers = [
        (CONTENT_TYPE, kind.to_owned()),
        (
            CONTENT_DISPOSITION,
            format!("attachment; filename=\"{name}\""),
        ),
        (CACHE_CONTROL, "no-store".to_owned()),
    ];
    (headers, body).into_response()
}
