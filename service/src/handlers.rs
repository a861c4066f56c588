//! One file a resource: a handler extracts, calls the pipeline, wraps.

pub(crate) mod health;
pub(crate) mod loops;
pub(crate) mod markings;
pub(crate) mod readings;
pub(crate) mod requirements;
pub(crate) mod substances;
