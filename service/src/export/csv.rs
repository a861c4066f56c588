//! CSV in UTF-8, with nothing in it that a spreadsheet would run.

use super::{COLUMNS, Cell, ExportError, Row, Sink};
use std::borrow::Cow;
use std::io::Write;

/// Makes text harmless to spreadsheets, which take what begins with `=`, `+`, `-`, `@`, a tab
/// or a line break for a formula: such text gets an apostrophe in front, also where blanks
/// stand before it or the sign is a full-width one.
///
/// Text that begins with an apostrophe gets a second one, so that [`plain`] gives back exactly
/// what went in. Characters that steer (other than tab and line breaks) become U+FFFD, and
/// only they are lost.
pub fn neutral(text: &str) -> Cow<'_, str> {
    let steers = |c: char| c.is_control() && !matches!(c, '\t' | '\n' | '\r');
    let text = if text.contains(steers) {
        Cow::Owned(text.replace(steers, "\u{fffd}"))
    } else {
        Cow::Borrowed(text)
    };
    if needs_apostrophe(&text) {
        Cow::Owned(format!("'{text}"))
    } else {
        text
    }
}

/// Takes back what [`neutral`] put in front.
pub fn plain(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if needs_apostrophe(rest) => rest,
        _ => cell,
    }
}

fn needs_apostrophe(text: &str) -> bool {
    if text.starts_with(['\t', '\r', '\n', '\'']) {
        return true;
    }
    let first = text
        .trim_start_matches(|c: char| c.is_whitespace() || matches!(c, '\u{feff}' | '\u{200b}'))
        .chars()
        .next();
    matches!(
        first,
        Some(
            '=' | '+' | '-' | '@' | '\u{ff1d}' | '\u{ff0b}' | '\u{ff0d}' | '\u{ff20}' | '\u{2212}'
        )
    )
}

/// Writes rows as CSV: RFC 4180, a header row, text in quotes, numbers bare.
pub struct CsvSink<W: Write> {
    writer: csv::Writer<W>,
}

impl<W: Write> CsvSink<W> {
    /// Begins a table. With `bom` a byte order mark comes first, by which some spreadsheets
    /// tell UTF-8.
    ///
    /// # Errors
    ///
    /// Where `out` does not take the header.
    pub fn new(mut out: W, bom: bool) -> Result<Self, ExportError> {
        if bom {
            out.write_all("\u{feff}".as_bytes())?;
        }
        let mut writer = csv::WriterBuilder::new()
            .quote_style(csv::QuoteStyle::NonNumeric)
            .terminator(csv::Terminator::CRLF)
            .from_writer(out);
        writer
            .write_record(COLUMNS.iter().map(|c| c.key))
            .map_err(to_io)?;
        Ok(Self { writer })
    }
}

impl<W: Write> Sink for CsvSink<W> {
    fn row(&mut self, row: &Row) -> Result<(), ExportError> {
        for column in COLUMNS {
            let field: Cow<'_, str> = match (column.cell)(row) {
                Cell::Empty => Cow::Borrowed(""),
                // Dates come from photos and people, so they are text like any other.
                Cell::Text(text) | Cell::Date(text) => neutral(text),
                Cell::Whole(number) => Cow::Owned(number.to_string()),
                Cell::Number(number) | Cell::Share(number) => Cow::Owned(number.to_string()),
            };
            self.writer.write_field(field.as_ref()).map_err(to_io)?;
        }
        self.writer
            .write_record(None::<&[u8]>)
            .map_err(|e| to_io(e).into())
    }

    fn finish(mut self: Box<Self>) -> Result<(), ExportError> {
        self.writer.flush()?;
        Ok(())
    }
}

fn to_io(error: csv::Error) -> std::io::Error {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => std::io::Error::other(format!("{other:?}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_would_run_gets_an_apostrophe() {
        for (given, wanted) in [
            ("=1+1", "'=1+1"),
            ("-40 °C", "'-40 °C"),
            ("−40 °C", "'−40 °C"),
            ("+44", "'+44"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\t=1", "'\t=1"),
            ("\r\n=1", "'\r\n=1"),
            ("  =1", "'  =1"),
            ("＝1", "'＝1"),
            ("'tis", "''tis"),
            ("a\u{0}b", "a\u{fffd}b"),
            ("Ex db IIC T4 Gb", "Ex db IIC T4 Gb"),
            ("II 2 G", "II 2 G"),
            ("", ""),
        ] {
            assert_eq!(neutral(given), wanted, "{given:?}");
        }
        assert_eq!(plain("'=1+1"), "=1+1");
        assert_eq!(plain("''tis"), "'tis");
        assert_eq!(plain("plain"), "plain");
    }
}
