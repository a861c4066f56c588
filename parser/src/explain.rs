//! A marking in plain words, piece by piece.

use crate::marking::Marking;
use crate::{Plate, Span};

/// One piece of a marking and what it means.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// As printed.
    pub text: String,
    /// What it means and what it allows, a sentence or two.
    pub meaning: String,
    /// Where it stands.
    pub span: Option<Span>,
}

/// Takes a marking apart for a person to read, in print order.
pub fn explain(_plate: &Plate, _marking: &Marking) -> Vec<Piece> {
    Vec::new()
}
