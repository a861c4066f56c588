//! Which columns a table has: one list for every format.

use super::Row;

/// What one cell holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cell<'a> {
    /// Nothing.
    Empty,
    /// Text, never a formula.
    Text(&'a str),
    /// A whole number.
    Whole(i64),
    /// A number with a unit that the column names.
    Number(f64),
    /// A share from 0 to 1.
    Share(f64),
    /// A date, `YYYY-MM-DD`, which may have a time behind `T`.
    Date(&'a str),
}

/// One column.
#[derive(Clone, Copy)]
pub struct Column {
    /// Name in CSV and JSON Lines.
    pub key: &'static str,
    /// Heading for people.
    pub title: &'static str,
    /// Width in characters in a workbook.
    pub width: u16,
    /// What a row holds in it.
    pub cell: for<'a> fn(&'a Row) -> Cell<'a>,
}

fn text(text: &str) -> Cell<'_> {
    if text.is_empty() {
        Cell::Empty
    } else {
        Cell::Text(text)
    }
}

fn date(text: &str) -> Cell<'_> {
    if text.is_empty() {
        Cell::Empty
    } else {
        Cell::Date(text)
    }
}

macro_rules! columns {
    ($($key:literal | $title:literal | $width:literal | |$row:ident| $cell:expr),+ $(,)?) => {
        /// Every column, in the order of the table. Keys are never renamed.
        pub const COLUMNS: &[Column] = &[
            $(Column { key: $key, title: $title, width: $width, cell: |$row| $cell },)+
        ];
    };
}

columns! {
    "plate" | "Plate" | 8 | |r| Cell::Whole(r.plate),
    "tag" | "Tag" | 14 | |r| text(&r.tag),
    "location" | "Location" | 16 | |r| text(&r.location),
    "location_name" | "Location, name" | 24 | |r| text(&r.location_name),
    "zone" | "Zone" | 8 | |r| text(&r.zone),
    "gas" | "Gas or vapour" | 16 | |r| text(&r.gas),
    "dust" | "Dust" | 16 | |r| text(&r.dust),
    "maker" | "Maker" | 18 | |r| text(&r.maker),
    "type" | "Type" | 16 | |r| text(&r.kind),
    "serial" | "Serial" | 16 | |r| text(&r.serial),
    "year" | "Year" | 7 | |r| r.year.map_or(Cell::Empty, |y| Cell::Whole(i64::from(y))),
    "marking" | "Marking as printed" | 34 | |r| text(&r.marking),
    "canonical" | "Marking, today's notation" | 34 | |r| text(&r.canonical),
    "group" | "Group" | 10 | |r| text(&r.group),
    "temperature" | "Temperature" | 12 | |r| text(&r.temperature),
    "epl" | "EPL" | 8 | |r| text(&r.epl),
    "certificate" | "Certificate" | 26 | |r| text(&r.certificate),
    "suffix" | "X or U" | 8 | |r| text(&r.suffix),
    "notified_body" | "Body" | 8 | |r| text(&r.notified_body),
    "ambient_low_c" | "Ambient from, °C" | 10 | |r| r.ambient_low_c.map_or(Cell::Empty, Cell::Number),
    "ambient_high_c" | "Ambient to, °C" | 10 | |r| r.ambient_high_c.map_or(Cell::Empty, Cell::Number),
    "ip" | "IP" | 8 | |r| text(&r.ip),
    "ratings" | "Ratings" | 20 | |r| text(&r.ratings),
    "outcome" | "Outcome" | 13 | |r| text(&r.outcome),
    "outcome_probability" | "Share of readings" | 10 | |r| r.outcome_probability.map_or(Cell::Empty, Cell::Share),
    "reason" | "Worst ground" | 48 | |r| text(&r.reason),
    "clause" | "Clause" | 26 | |r| text(&r.clause),
    "next_step" | "To do" | 36 | |r| text(&r.next_step),
    "review" | "Review" | 12 | |r| text(&r.review),
    "review_reason" | "Why a person must look" | 40 | |r| text(&r.review_reason),
    "settled_by" | "Settled by" | 16 | |r| text(&r.settled_by),
    "settled_at" | "Settled on" | 12 | |r| date(&r.settled_at),
    "confidence" | "Reading confidence" | 11 | |r| r.confidence.map_or(Cell::Empty, Cell::Share),
    "inspected_on" | "Inspected on" | 12 | |r| date(&r.inspected_on),
    "inspection_grade" | "Grade" | 10 | |r| text(&r.inspection_grade),
    "inspection_kind" | "Kind of inspection" | 14 | |r| text(&r.inspection_kind),
    "inspector" | "Inspector" | 16 | |r| text(&r.inspector),
    "open_findings" | "Open findings" | 9 | |r| r.open_findings.map_or(Cell::Empty, Cell::Whole),
    "worst_priority" | "Worst priority" | 9 | |r| r.worst_priority.map_or(Cell::Empty, Cell::Whole),
    "next_inspection" | "Next inspection" | 12 | |r| date(&r.next_inspection),
    "taken_at" | "Photo taken on" | 12 | |r| date(&r.taken_at),
    "photo_sha256" | "Photo, SHA-256" | 20 | |r| text(&r.photo_sha256),
    "version" | "Judged by version" | 10 | |r| text(&r.version),
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn keys_are_unique_and_titles_are_there() {
        let keys: BTreeSet<_> = COLUMNS.iter().map(|c| c.key).collect();
        assert_eq!(keys.len(), COLUMNS.len());
        assert!(COLUMNS.iter().all(|c| !c.title.is_empty() && c.width > 0));
    }
}
