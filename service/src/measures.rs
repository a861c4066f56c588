//! What is measured while the service runs, in the text form of Prometheus.
//!
//! Labels are routes as the router has them, methods, statuses, outcomes and the like: their
//! number is bounded, and nothing that a client writes is among them.

use crate::answer::Answer;
use axum::http::{Method, StatusCode};
use metrics_exporter_prometheus::{Matcher, PrometheusBuilder, PrometheusHandle};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

const REQUESTS: &str = "vetplate_http_request_seconds";
const STAGES: &str = "vetplate_stage_seconds";
const READINGS: &str = "vetplate_readings_total";
const REVIEWS: &str = "vetplate_readings_to_review_total";
const SIGN_INS: &str = "vetplate_sign_ins_total";
const WAITING: &str = "vetplate_waiting";
const MEMORY: &str = "vetplate_resident_memory_bytes";
const BACKUP: &str = "vetplate_verified_backup_age_seconds";

/// Upper ends of the classes of a duration, seconds: from an answer of the health check to the
/// deadline of a request.
const SECONDS: [f64; 14] = [
    0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 15.0, 60.0,
];

/// Begins to measure; what was measured before is lost. Later calls change nothing.
///
/// None where another part of the program measures already by other means.
pub(crate) fn begin() -> Option<&'static PrometheusHandle> {
    static HANDLE: OnceLock<Option<PrometheusHandle>> = OnceLock::new();
    let handle = HANDLE.get_or_init(|| {
        let durations = Matcher::Suffix("_seconds".to_owned());
        let recorder = PrometheusBuilder::new()
            .set_buckets_for_metric(durations, &SECONDS)
            .ok()?
            .build_recorder();
        let handle = recorder.handle();
        metrics::set_global_recorder(recorder).ok()?;
        describe();
        Some(handle)
    });
    handle.as_ref()
}

fn describe() {
    metrics::describe_histogram!(REQUESTS, "Requests by method, route and status");
    metrics::describe_histogram!(
        STAGES,
        "Stages of a reading: wait (for a worker), decode, read, parse, judge"
    );
    metrics::describe_counter!(
        READINGS,
        "Readings by kind (photo, text) and outcome; none without a place"
    );
    metrics::describe_counter!(REVIEWS, "Readings that a person must look at, by kind");
    metrics::describe_counter!(SIGN_INS, "Sign-ins that were good, wrong or slowed");
    metrics::describe_gauge!(WAITING, "Who waits for a worker: requests, bulk");
    metrics::describe_gauge!(MEMORY, "Resident memory");
    metrics::describe_gauge!(
        BACKUP,
        "Age of the last verified backup; missing where there is none"
    );
}

/// A request was answered.
pub(crate) fn answered(method: &Method, route: &str, status: StatusCode, took: Duration) {
    // A method can be any word; the known ones are few.
    let method = match method.as_str() {
        name @ ("GET" | "HEAD" | "POST" | "PUT" | "PATCH" | "DELETE") => name.to_owned(),
        _ => "other".to_owned(),
    };
    metrics::histogram!(
        REQUESTS,
        "method" => method,
        "route" => route.to_owned(),
        "status" => status.as_str().to_owned()
    )
    .record(took);
}

/// Does `work`, a stage of a reading, and counts its time.
pub(crate) fn stage<T>(name: &'static str, work: impl FnOnce() -> T) -> T {
    let since = Instant::now();
    let result = work();
    took(name, since.elapsed());
    result
}

/// A stage of a reading took so long.
pub(crate) fn took(name: &'static str, time: Duration) {
    metrics::histogram!(STAGES, "stage" => name).record(time);
}

/// A photo or a text was read.
pub(crate) fn reading(kind: &'static str, answer: &Answer) {
    let outcome = answer.verdict.as_ref().map_or("none", |v| v.outcome.name());
    metrics::counter!(READINGS, "kind" => kind, "outcome" => outcome).increment(1);
    if answer.review.needed {
        metrics::counter!(REVIEWS, "kind" => kind).increment(1);
    }
}

/// Somebody signed in, or tried to.
pub(crate) fn sign_in(result: &'static str) {
    metrics::counter!(SIGN_INS, "result" => result).increment(1);
}

/// What is so now, measured when somebody asks.
pub(crate) fn now((requests, bulk): (usize, usize), backup_age_s: Option<f64>) {
    metrics::gauge!(WAITING, "who" => "requests").set(requests as f64);
    metrics::gauge!(WAITING, "who" => "bulk").set(bulk as f64);
    if let Some(bytes) = resident_bytes() {
        metrics::gauge!(MEMORY).set(bytes as f64);
    }
    if let Some(age) = backup_age_s {
        metrics::gauge!(BACKUP).set(age);
    }
}

/// Memory of this program that is in use; none where the system does not say it as Linux does.
fn resident_bytes() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmRSS:"))?;
    let kib: u64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kib * 1024)
}
