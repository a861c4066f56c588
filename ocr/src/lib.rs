//! Photo → text lines.
//!
//! [`Photo::decode`] takes the bytes of a photo, [`Reader::read`] gives its
//! [`PhotoLines`]: characters with their probabilities and alternatives, and the place
//! of each line in pixels of the upright photo. Nothing is corrected here, and nothing
//! is known of what nameplates say.

mod abreast;
mod alphabet;
mod annotate;
mod between;
mod bundle;
mod codes;
mod ctc;
mod detect;
mod engine;
mod error;
mod geometry;
mod hexagon;
mod ink;
mod judge;
mod layout;
mod leader;
mod legibility;
mod line;
mod looks;
mod median;
mod model;
mod order;
mod packed;
mod photo;
mod plates;
mod reader;
mod recognise;
mod rooms;
mod ruled;
mod runs;
mod sample;
#[cfg(test)]
mod says;
mod specks;
mod spots;
mod stacked;
mod turns;

pub use annotate::{Mark, MarkKind, annotate, outline};
pub use bundle::ModelInfo;
pub use codes::{Code, CodeKind};
pub use error::OcrError;
pub use judge::{Flaw, FlawKind, JUDGED_AT, Judgement, NEEDED_PX, judge};
pub use line::{Cover, Glyph, Hidden, ILLEGIBLE, Missed, PhotoLines, TextLine};
pub use model::{Model, Output, Planes};
pub use photo::{Limits, Photo, PhotoError, Reduced};
pub use reader::{Reader, line_picture};
