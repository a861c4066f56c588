//! One file a resource: a handler extracts, calls the pipeline, wraps.

pub(crate) mod change;
pub(crate) mod counts;
pub(crate) mod health;
pub(crate) mod imports;
pub(crate) mod inspections;
pub(crate) mod judgements;
pub(crate) mod locations;
pub(crate) mod loops;
pub(crate) mod markings;
pub(crate) mod metrics;
pub(crate) mod papers;
pub(crate) mod pictures;
pub(crate) mod plates;
pub(crate) mod readings;
pub(crate) mod requirements;
pub(crate) mod review;
pub(crate) mod session;
pub(crate) mod substances;
pub(crate) mod uploads;

pub(crate) use pictures::best_photo;
