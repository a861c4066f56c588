//! The register as a table: CSV, XLSX and JSON Lines, one row a plate.
//!
//! Rows come one at a time and leave at once, so that the memory does not grow with the
//! register. Which columns there are is said in one place, [`COLUMNS`].

mod columns;
mod csv;
mod jsonl;
mod row;
mod xlsx;

pub use columns::{COLUMNS, Cell, Column};
pub use csv::{CsvSink, neutral, plain};
pub use jsonl::JsonLinesSink;
pub use row::Row;
pub use xlsx::XlsxSink;

/// Why a table could not be written.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// The target does not take it.
    #[error("the table could not be written: {0}; check the space left and the permissions")]
    Output(#[from] std::io::Error),
    /// The workbook could not be put together.
    #[error("the workbook could not be written: {0}; export as CSV or JSON Lines instead")]
    Workbook(#[from] rust_xlsxwriter::XlsxError),
}

/// Takes rows and writes them in its format.
pub trait Sink {
    /// Writes one row.
    ///
    /// # Errors
    ///
    /// Where the target does not take it.
    fn row(&mut self, row: &Row) -> Result<(), ExportError>;

    /// Writes what stands behind the last row.
    ///
    /// # Errors
    ///
    /// Where the target does not take it; what was written so far is then no whole table.
    fn finish(self: Box<Self>) -> Result<(), ExportError>;
}
