//! The register as a table.

use super::{PaperError, each, locations, row};
use crate::export::Sink;
use crate::register::{Filter, PlateQuery, Store};

/// What a table is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Format {
    /// Comma-separated text, UTF-8.
    Csv,
    /// A workbook with typed columns.
    Xlsx,
    /// One JSON object a line.
    Jsonl,
}

/// Writes every plate that the filter lets pass, in order of their numbers, and gives back how
/// many. The memory does not grow with their number.
///
/// # Errors
///
/// Where the register fails or the target does not take it.
pub fn export(
    store: &dyn Store,
    filter: &Filter,
    mut sink: Box<dyn Sink + '_>,
) -> Result<u64, PaperError> {
    let locations = locations(store)?;
    let mut count = 0;
    let query = PlateQuery {
        filter: filter.clone(),
        ..PlateQuery::default()
    };
    each(store, query, &mut |record| {
        let location = record.row.location.as_ref();
        let location = location.and_then(|tag| locations.get(&tag.to_lowercase()));
        let inspections = store.inspections(record.row.id)?;
        sink.row(&row(record, location, &inspections))?;
        count += 1;
        Ok(())
    })?;
    sink.finish()?;
    Ok(count)
}
