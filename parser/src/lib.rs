//! Takes an explosion-protection marking apart and judges it against a place.
//!
//! Lines of characters (with the reader's doubt) go in as [`Line`]s; [`read`]
//! answers a [`Reading`]: the best [`Plate`], every other plausible one with its
//! weight, and what contradicts itself. [`verdict::judge`] holds a reading against
//! a [`Place`](place::Place). Nothing here knows photos, files or networks.

pub mod certificates;
mod checks;
mod doubt;
mod explain;
mod grammar;
mod line;
pub mod loops;
pub mod marking;
mod message;
pub mod place;
mod read;
mod require;
pub mod rules;
pub mod substance;
mod tables;
pub mod verdict;

pub use checks::{CHECKS, Check, Severity, Suspicion};
pub use doubt::{
    Covered, FieldDoubt, NumberDoubt, NumberKind, Reading, ReviewReason, Weighted, field_name, read,
};
pub use explain::{Piece, explain, explain_rest, standard, type_name};
pub use grammar::parse;
pub use line::{Cover, Glyph, Hidden, ILLEGIBLE, Line, Missed};
pub use marking::Plate;
pub use message::{Argument, Joint, Language, Message, signed};
pub use read::{Confidence, Read, Repair, Span, repair_name};
pub use require::{Need, Requirement, TypeOption, require};
