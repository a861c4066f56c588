//! Photo → text lines.
//!
//! [`Photo::decode`] takes the bytes of a photo, [`Reader::read`] gives its
//! [`PhotoLines`]: characters with their probabilities and alternatives, and the place
//! of each line in pixels of the upright photo. Nothing is corrected here, and nothing
//! is known of what nameplates say.

mod alphabet;
mod annotate;
mod bundle;
mod ctc;
mod detect;
mod engine;
mod error;
mod geometry;
mod layout;
mod line;
mod looks;
mod model;
mod order;
mod photo;
mod reader;
mod recognise;
mod sample;

pub use annotate::annotate;
pub use bundle::ModelInfo;
pub use error::OcrError;
pub use line::{Glyph, ILLEGIBLE, Missed, PhotoLines, TextLine};
pub use model::{Model, Output, Planes};
pub use photo::{Limits, Photo, PhotoError};
pub use reader::{Reader, line_picture};
