//! Lists: filters, order, pages. Every page is found by an index, however many plates there are.

use super::super::{
    Cursor, Filter, Order, OutcomeFilter, PlatePage, PlateQuery, ReviewFilter, ReviewState,
    StoreError, Tally,
};
use super::SqliteRegister;
use super::records::{PLATE_COLUMNS, all, count, first, named, plate_row};
use crate::answer::OutcomeDto;
use rusqlite::types::Value;

/// Most plates of one page.
const MOST: usize = 1000;
/// Characters that the search by part needs; less is a search by beginning.
const TRIGRAM: usize = 3;

/// Up to so many plates that begin with a text are sorted for a page.
const FEW: i64 = 5000;
/// How many plates have a serial number or tag between two texts, counted a little beyond
/// [`FEW`] each.
const BEGIN_SO: &str = "SELECT (SELECT count(*) FROM (SELECT 1 FROM plates WHERE serial >= ?1 \
     AND serial < ?2 LIMIT 5001)) + (SELECT count(*) FROM (SELECT 1 FROM plates WHERE tag >= ?3 \
     AND tag < ?4 LIMIT 5001))";

/// A query that grows.
#[derive(Default)]
struct Sql {
    conditions: Vec<String>,
    values: Vec<Value>,
}

impl Sql {
    /// Adds a condition; each `?` in it takes one of the values.
    fn and(&mut self, condition: &str, values: impl IntoIterator<Item = Value>) {
        self.conditions.push(condition.to_owned());
        self.values.extend(values);
    }
}

impl SqliteRegister {
    pub(super) fn plate_page(&self, query: &PlateQuery) -> Result<PlatePage, StoreError> {
        let limit = query.limit.clamp(1, MOST);
        self.read(|connection| {
            let mut sql = Sql::default();
            let mut from = "plates p";
            let mut id = "p.id";
            if let Some(part) = query.filter.text.as_deref().map(str::trim)
                && !part.is_empty()
            {
                if part.chars().count() >= TRIGRAM {
                    // The search comes first and gives rows in order, so that a page ends early.
                    from = "plate_text t CROSS JOIN plates p ON p.id = t.rowid";
                    id = "t.rowid";
                    sql.and("plate_text MATCH ?", [phrase(part).into()]);
                } else {
                    let ends = || [part.to_owned(), format!("{part}\u{10ffff}")];
                    let few: i64 = first(
                        connection,
                        BEGIN_SO,
                        rusqlite::params_from_iter(ends().into_iter().chain(ends())),
                        |row| row.get(0),
                    )?
                    .unwrap_or(0);
                    // Few are found by the index and sorted. Where many begin so, a walk in the
                    // order of rows meets a page of them soon; the sign keeps the index away.
                    let sign = if few <= FEW { "" } else { "+" };
                    sql.and(
                        &format!(
                            "({sign}p.serial >= ? AND {sign}p.serial < ? OR {sign}p.tag >= ? AND \
                             {sign}p.tag < ?)"
                        ),
                        ends().into_iter().chain(ends()).map(Value::from),
                    );
                }
            }
            let filter = &query.filter;
            let queue = query.order == Order::Urgency && filter.review == Some(ReviewFilter::Open);
            if queue && filter.text.is_none() && filter.location.is_none() {
                // The planner prefers the index on the state, and would sort all that waits.
                from = "plates p INDEXED BY plates_by_urgency";
            }
            if let Some(tag) = &filter.location {
                let found: Option<i64> = first(
                    connection,
                    "SELECT id FROM locations WHERE tag = ?1",
                    [tag],
                    |row| row.get(0),
                )?;
                let Some(location) = found else {
                    return Ok(PlatePage {
                        plates: Vec::new(),
                        next: None,
                    });
                };
                sql.and("p.location_id = ?", [location.into()]);
            }
            conditions(filter, &mut sql);
            let order = match query.order {
                Order::Id => {
                    if let Some(after) = query.after {
                        sql.and(&format!("{id} > ?"), [after.id.0.into()]);
                    }
                    id.to_owned()
                }
                Order::Urgency => {
                    if let Some(after) = query.after {
                        sql.and(
                            "p.urgency <= ? AND (p.urgency < ? OR p.id > ?)",
                            [after.urgency, after.urgency, after.id.0].map(Value::from),
                        );
                    }
                    "p.urgency DESC, p.id".to_owned()
                }
            };
            let conditions = if sql.conditions.is_empty() {
                String::new()
            } else {
                format!("WHERE {}", sql.conditions.join(" AND "))
            };
            // One more than asked for tells whether there is another page.
            let text = format!(
                "SELECT {PLATE_COLUMNS} FROM {from} LEFT JOIN locations l ON l.id = p.location_id
                 {conditions} ORDER BY {order} LIMIT {}",
                limit + 1
            );
            let mut plates = all(
                connection,
                &text,
                rusqlite::params_from_iter(sql.values),
                plate_row,
            )?;
            let more = plates.len() > limit;
            plates.truncate(limit);
            let next = plates.last().filter(|_| more).map(|last| Cursor {
                urgency: last.urgency,
                id: last.id,
            });
            Ok(PlatePage { plates, next })
        })
    }

    pub(super) fn tally_rows(&self) -> Result<Vec<Tally>, StoreError> {
        self.read(|connection| {
            all(
                connection,
                "SELECT l.tag, t.outcome, t.review, t.plates FROM tallies t
                 LEFT JOIN locations l ON l.id = t.location_id WHERE t.plates > 0
                 ORDER BY l.tag, t.outcome, t.review",
                [],
                |row| {
                    let outcome: String = row.get(1)?;
                    Ok(Tally {
                        location: row.get(0)?,
                        outcome: OutcomeDto::from_name(&outcome),
                        review: named(row, 2, ReviewState::from_name)?,
                        plates: count(row, 3)?,
                    })
                },
            )
        })
    }
}

fn conditions(filter: &Filter, sql: &mut Sql) {
    if filter.no_location {
        sql.and("p.location_id IS NULL", []);
    }
    match filter.outcome {
        Some(OutcomeFilter::Is(outcome)) => {
            sql.and("p.outcome = ?", [outcome.name().to_owned().into()]);
        }
        Some(OutcomeFilter::NotJudged) => sql.and("p.outcome IS NULL", []),
        None => {}
    }
    match filter.review {
        Some(ReviewFilter::Is(state)) => sql.and("p.review = ?", [state.name().to_owned().into()]),
        // To the letter as in the index.
        Some(ReviewFilter::Open) => sql.and("p.review IN ('waiting', 'put_back')", []),
        None => {}
    }
}

/// The text as one phrase, whatever characters are in it.
fn phrase(part: &str) -> String {
    format!("\"{}\"", part.replace('"', "\"\""))
}
