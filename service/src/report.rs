//! The report of a site as PDF, for print and for the file.
//!
//! A report is written from front to back: [`Report::overview`], lists, one sheet a plate. What
//! was written is in the file and no longer in memory, so that a report of a hundred thousand
//! plates needs no more of it than one of a hundred. Nothing is told by colour alone.

mod file;
mod flow;
mod font;
mod picture;
mod sheet;
mod summary;
mod wrapped;

pub use picture::{Picture, PictureError};
pub use sheet::{
    CheckItem, GroundLine, InspectionPart, PlateSheet, Settled, ShownFinding, ShownPicture,
};
pub use summary::{Entry, Head, LocationRow};

use flow::Flow;
use std::io::Write;

/// Why a report could not be written.
#[derive(Debug, thiserror::Error)]
pub enum ReportError {
    /// The target does not take it.
    #[error("the report could not be written: {0}; check the space left and the permissions")]
    Output(#[from] std::io::Error),
    /// The bundled fonts cannot be read, which is a fault of the program.
    #[error("the bundled fonts cannot be used: {0}")]
    Font(String),
}

/// A report that is being written.
pub struct Report<W: Write> {
    flow: Flow<W>,
}

impl<W: Write> Report<W> {
    /// Begins a report with its front page.
    ///
    /// # Errors
    ///
    /// Where `out` does not take it.
    pub fn new(out: W, head: &Head) -> Result<Self, ReportError> {
        let mut flow = Flow::new(out, &head.title, &head.made_on)?;
        summary::front(&mut flow, head)?;
        Ok(Self { flow })
    }

    /// How many plates of each location have each outcome.
    ///
    /// # Errors
    ///
    /// Where the file does not take it.
    pub fn overview(&mut self, rows: &[LocationRow]) -> Result<(), ReportError> {
        summary::overview(&mut self.flow, rows)
    }

    /// Begins a list on a new page.
    ///
    /// # Errors
    ///
    /// Where the file does not take it.
    pub fn list(&mut self, title: &str, introduction: &str) -> Result<(), ReportError> {
        summary::list(&mut self.flow, title, introduction)
    }

    /// One entry of the list begun last.
    ///
    /// # Errors
    ///
    /// Where the file does not take it.
    pub fn entry(&mut self, entry: &Entry) -> Result<(), ReportError> {
        summary::entry(&mut self.flow, entry)
    }

    /// A sentence under the list begun last, such as that it is empty.
    ///
    /// # Errors
    ///
    /// Where the file does not take it.
    pub fn remark(&mut self, text: &str) -> Result<(), ReportError> {
        summary::remark(&mut self.flow, text)
    }

    /// Begins the sheets of a location, which the table of contents of the file names.
    ///
    /// # Errors
    ///
    /// Where the file does not take it.
    pub fn location(&mut self, title: &str) -> Result<(), ReportError> {
        self.flow.mark_next_page(title);
        Ok(())
    }

    /// One plate, on a page of its own and as many more as it needs.
    ///
    /// # Errors
    ///
    /// Where the file does not take it.
    pub fn plate(&mut self, sheet: &PlateSheet) -> Result<(), ReportError> {
        sheet::plate(&mut self.flow, sheet)
    }

    /// Writes what stands at the end of the file and gives back how many pages it has, and the
    /// target.
    ///
    /// # Errors
    ///
    /// Where the file does not take it.
    pub fn finish(self) -> Result<(usize, W), ReportError> {
        self.flow.finish()
    }
}
