//! A spreadsheet as text: one header row, then rows of cells, with places for messages.

use super::Fault;

/// A table with the columns that its first row names.
pub(super) struct Table {
    /// Names of the columns in small letters.
    pub(super) columns: Vec<String>,
    /// What separates them.
    pub(super) delimiter: u8,
    /// Where each row stands, and its cells.
    pub(super) rows: Vec<(String, csv::StringRecord)>,
}

/// Which columns a table may have.
pub(super) struct Columns<'a> {
    /// Is it a column of this table?
    pub(super) known: &'a dyn Fn(&str) -> bool,
    /// What to say of one that is not.
    pub(super) unknown: &'a dyn Fn(&str) -> String,
    /// The one that must be there, and what it is for.
    pub(super) needed: (&'a str, &'a str),
    /// An example of the first row.
    pub(super) example: &'a str,
}

/// Reads a table. Empty rows are left out; a column without a name, or whose name begins with
/// `#`, is a remark.
pub(super) fn table(text: &str, wanted: &Columns<'_>) -> Result<Table, Fault> {
    // Spreadsheets of countries with a decimal comma separate columns with `;`.
    let header = text.lines().next().unwrap_or_default();
    let delimiter = [b',', b';', b'\t']
        .into_iter()
        .max_by_key(|d| (header.bytes().filter(|b| b == d).count(), *d == b','))
        .unwrap_or(b',');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut records = reader.records();
    let header = match records.next() {
        Some(Ok(header)) => header,
        Some(Err(error)) => return Err(Fault::new("row 1", error.to_string())),
        None => {
            return Err(Fault::new(
                "row 1",
                format!(
                    "the file is empty; its first row names the columns: {}",
                    wanted.example
                ),
            ));
        }
    };
    let columns: Vec<String> = header.iter().map(str::to_ascii_lowercase).collect();
    check_header(&columns, wanted)?;
    let mut rows = Vec::new();
    for record in records {
        let record = record.map_err(|e| Fault::new(row_of(e.position()), e.to_string()))?;
        if record.iter().all(str::is_empty) {
            continue;
        }
        let at = row_of(record.position());
        if record.iter().skip(columns.len()).any(|c| !c.is_empty()) {
            return Err(Fault::new(
                format!("{at}, column {}", columns.len() + 1),
                "the row has more cells than the header; put text with separators into quotes",
            ));
        }
        rows.push((at, record));
    }
    Ok(Table {
        columns,
        delimiter,
        rows,
    })
}

/// True for a column that is ignored.
pub(super) fn is_remark(name: &str) -> bool {
    name.is_empty() || name.starts_with('#')
}

fn row_of(position: Option<&csv::Position>) -> String {
    position.map_or_else(|| "a row".to_owned(), |p| format!("row {}", p.line()))
}

fn check_header(columns: &[String], wanted: &Columns<'_>) -> Result<(), Fault> {
    for (index, name) in columns.iter().enumerate() {
        let at = || format!("row 1, column {} ({name})", index + 1);
        if is_remark(name) {
            continue;
        }
        if !(wanted.known)(name) {
            return Err(Fault::new(at(), (wanted.unknown)(name)));
        }
        if columns[..index].contains(name) {
            return Err(Fault::new(at(), "this column stands twice; keep one"));
        }
    }
    let (needed, purpose) = wanted.needed;
    if columns.iter().all(|name| name != needed) {
        return Err(Fault::new(
            "row 1",
            format!("no column is called `{needed}`, {purpose}; add one"),
        ));
    }
    Ok(())
}
