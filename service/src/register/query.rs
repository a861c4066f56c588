//! What to list, in which order, and how to go on.

use super::{PlateId, PlateRow, ReviewState};
use crate::answer::OutcomeDto;
use serde::Serialize;

/// A verdict, or none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OutcomeFilter {
    /// This outcome.
    Is(OutcomeDto),
    /// No verdict, since no place is known.
    NotJudged,
}

/// Where the review stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ReviewFilter {
    /// In this state.
    Is(ReviewState),
    /// A person must look: waiting or put back.
    Open,
}

/// Which plates. What is not given is not asked for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Filter {
    /// Tag of the location, whole; upper and lower case are the same.
    pub location: Option<String>,
    /// Only plates without a location.
    pub no_location: bool,
    /// The verdict.
    pub outcome: Option<OutcomeFilter>,
    /// Where the review stands.
    pub review: Option<ReviewFilter>,
    /// Part of a tag, serial number, certificate, maker or type.
    pub text: Option<String>,
}

/// In which order.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Order {
    /// As they came.
    #[default]
    Id,
    /// Most urgent review first.
    Urgency,
}

/// Where the next page begins: behind this plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Cursor {
    /// Urgency of the last plate of the page before.
    pub urgency: i64,
    /// Its row.
    pub id: PlateId,
}

/// One page of plates that is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlateQuery {
    /// Which plates.
    pub filter: Filter,
    /// In which order.
    pub order: Order,
    /// Behind which plate; none for the first page.
    pub after: Option<Cursor>,
    /// Most plates of the page.
    pub limit: usize,
}

impl Default for PlateQuery {
    /// The first fifty of all.
    fn default() -> Self {
        Self {
            filter: Filter::default(),
            order: Order::default(),
            after: None,
            limit: 50,
        }
    }
}

/// One page of plates.
#[derive(Debug, Clone, PartialEq)]
pub struct PlatePage {
    /// The plates.
    pub plates: Vec<PlateRow>,
    /// How to go on; none at the end.
    pub next: Option<Cursor>,
}

/// How many plates there are of one kind at one location.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Tally {
    /// Tag of the location; none for plates without one.
    pub location: Option<String>,
    /// The verdict; none where there is none.
    pub outcome: Option<OutcomeDto>,
    /// Where the review stands.
    pub review: ReviewState,
    /// How many.
    pub plates: u64,
}
