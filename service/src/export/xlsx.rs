//! A workbook with typed columns, filters and a frozen header.

use super::{COLUMNS, Cell, Column, ExportError, Row, Sink};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatBorder, Workbook, Worksheet};
use std::borrow::Cow;
use std::io::{Seek, Write};

/// Most rows of a sheet, the header among them.
const SHEET_ROWS: u32 = 1_048_576;
/// Most characters of a cell.
const CELL_CHARS: usize = 32_767;
/// What ends a text that no cell can hold.
const CUT: &str = " … (cut here; the export as JSON Lines has the whole text)";

/// Writes rows as XLSX. Rows go to a temporary file at once; the memory stays flat.
///
/// A register with more rows than a sheet can have goes on in a second sheet.
pub struct XlsxSink<W: Write + Seek + Send> {
    out: W,
    workbook: Workbook,
    formats: Formats,
    /// Rows of the sheet that is being written, the header among them.
    rows: u32,
    sheets: usize,
    limit: u32,
}

struct Formats {
    header: Format,
    date: Format,
    moment: Format,
    share: Format,
}

impl<W: Write + Seek + Send> XlsxSink<W> {
    /// Begins a workbook. `made_on` (`YYYY-MM-DD`) is written into its properties.
    ///
    /// # Errors
    ///
    /// Where no temporary file can be made.
    pub fn new(out: W, made_on: &str) -> Result<Self, ExportError> {
        Self::with_limit(out, made_on, SHEET_ROWS)
    }

    /// The same with fewer rows a sheet, at least two.
    ///
    /// # Errors
    ///
    /// Where no temporary file can be made.
    pub fn with_limit(out: W, made_on: &str, rows: u32) -> Result<Self, ExportError> {
        let mut workbook = Workbook::new();
        let made = ExcelDateTime::parse_from_str(made_on)
            .or_else(|_| ExcelDateTime::from_ymd(2000, 1, 1))?;
        workbook.set_properties(
            &DocProperties::new()
                .set_title("Register of explosion-protected equipment")
                .set_creation_datetime(&made),
        );
        let mut sink = Self {
            out,
            workbook,
            formats: Formats {
                header: Format::new()
                    .set_bold()
                    .set_text_wrap()
                    .set_border_bottom(FormatBorder::Thin),
                date: Format::new().set_num_format("yyyy-mm-dd"),
                moment: Format::new().set_num_format("yyyy-mm-dd hh:mm:ss"),
                share: Format::new().set_num_format("0.0%"),
            },
            rows: 0,
            sheets: 0,
            limit: rows.clamp(2, SHEET_ROWS),
        };
        sink.begin_sheet()?;
        Ok(sink)
    }

    fn begin_sheet(&mut self) -> Result<(), ExportError> {
        self.sheets += 1;
        let name = match self.sheets {
            1 => "Register".to_owned(),
            number => format!("Register {number}"),
        };
        let sheet = self.workbook.add_worksheet_with_constant_memory()?;
        sheet.set_name(name)?;
        sheet.set_freeze_panes(1, 2)?;
        sheet.set_landscape();
        sheet.set_repeat_rows(0, 0)?;
        for (column, index) in COLUMNS.iter().zip(0_u16..) {
            sheet.set_column_width(index, f64::from(column.width))?;
            sheet.write_string_with_format(0, index, column.title, &self.formats.header)?;
        }
        self.rows = 1;
        Ok(())
    }

    fn end_sheet(&mut self) -> Result<(), ExportError> {
        let last_row = self.rows - 1;
        let last_column = COLUMNS.len() as u16 - 1;
        self.sheet()?.autofilter(0, 0, last_row, last_column)?;
        Ok(())
    }

    fn sheet(&mut self) -> Result<&mut Worksheet, ExportError> {
        Ok(self.workbook.worksheet_from_index(self.sheets - 1)?)
    }
}

impl<W: Write + Seek + Send> Sink for XlsxSink<W> {
    fn row(&mut self, row: &Row) -> Result<(), ExportError> {
        if self.rows == self.limit {
            self.end_sheet()?;
            self.begin_sheet()?;
        }
        let sheet = self.workbook.worksheet_from_index(self.sheets - 1)?;
        for (column, index) in COLUMNS.iter().zip(0_u16..) {
            put(sheet, &self.formats, self.rows, index, column, row)?;
        }
        self.rows += 1;
        Ok(())
    }

    fn finish(mut self: Box<Self>) -> Result<(), ExportError> {
        self.end_sheet()?;
        self.workbook.save_to_writer(&mut self.out)?;
        self.out.flush()?;
        Ok(())
    }
}

/// Text is written as text, so that nothing in it is ever a formula.
fn put(
    sheet: &mut Worksheet,
    formats: &Formats,
    at: u32,
    index: u16,
    column: &Column,
    row: &Row,
) -> Result<(), ExportError> {
    match (column.cell)(row) {
        Cell::Empty => {}
        Cell::Text(text) => {
            sheet.write_string(at, index, fitting(text).as_ref())?;
        }
        Cell::Whole(number) => {
            sheet.write_number(at, index, number as f64)?;
        }
        Cell::Number(number) => {
            sheet.write_number(at, index, number)?;
        }
        Cell::Share(share) => {
            sheet.write_number_with_format(at, index, share, &formats.share)?;
        }
        Cell::Date(text) => match ExcelDateTime::parse_from_str(text.trim_end_matches('Z')) {
            Ok(date) => {
                let format = if text.len() > 10 {
                    &formats.moment
                } else {
                    &formats.date
                };
                sheet.write_datetime_with_format(at, index, &date, format)?;
            }
            // What is no date of the calendar of spreadsheets stays readable.
            Err(_) => {
                sheet.write_string(at, index, fitting(text).as_ref())?;
            }
        },
    }
    Ok(())
}

/// Cuts what no cell can hold, and says so.
fn fitting(text: &str) -> Cow<'_, str> {
    // Spreadsheets count in UTF-16.
    if text.encode_utf16().count() <= CELL_CHARS {
        return Cow::Borrowed(text);
    }
    let room = CELL_CHARS - CUT.encode_utf16().count();
    let mut used = 0;
    let head: String = text
        .chars()
        .take_while(|c| {
            used += c.len_utf16();
            used <= room
        })
        .collect();
    Cow::Owned(head + CUT)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_no_cell_can_hold_is_cut_and_says_so() {
        let long = "ℓ🦀".repeat(20_000);
        let cut = fitting(&long);
        assert!(cut.encode_utf16().count() <= CELL_CHARS);
        assert!(cut.ends_with(CUT));
        assert_eq!(fitting("short"), "short");
    }
}
