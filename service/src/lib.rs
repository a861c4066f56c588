//! Reads the nameplate of explosion-protected equipment and says whether it is allowed in
//! a zone: the part that knows files, the network and the terminal.
//!
//! [`pipeline`] joins the reader of photos and the reader of markings; [`answer`] is what
//! leaves the program; [`commands`] and [`app`] are its two doors.

pub mod access;
pub mod answer;
pub mod backup;
mod bulk;
pub mod cli;
mod codes;
pub mod commands;
pub mod compare;
mod config;
mod crop;
mod desk;
mod drain;
mod environment;
pub mod export;
mod extract;
pub mod facts;
mod failure;
mod gate;
mod handlers;
mod harmless;
pub mod import;
pub mod inspection;
mod intake;
pub mod language;
pub mod listen;
mod logging;
mod marks;
mod measures;
mod page;
pub mod pages;
pub mod papers;
mod photo_bytes;
pub mod pipeline;
mod plates;
mod pouring;
mod problem;
mod receive;
pub mod register;
mod render;
pub mod report;
mod request_log;
mod router;
mod safe_headers;
mod site;
mod spool;
mod state;
mod typed;
mod upload;
mod versioned;
mod vouched;

pub use config::{LogFormat, ServeConfig};
pub use crop::{PixelBox, cut, marking_box};
pub use desk::Desk;
pub use environment::Environment;
pub use failure::{Ending, Failure};
pub use photo_bytes::photo_bytes;
pub use problem::{Code, FieldErrorDto, Problem, ProblemDto};
pub use render::people;
pub use router::{app, openapi};
pub use site::{CertificateFile, Location, Site, SiteError};
pub use state::AppState;
