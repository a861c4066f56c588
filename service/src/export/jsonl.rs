//! JSON Lines: one object a plate, keys in the order of the columns.

use super::{COLUMNS, Cell, ExportError, Row, Sink};
use serde::ser::{Serialize, SerializeMap, Serializer};
use std::io::Write;

/// Writes rows as JSON Lines. Keys with no value are left out.
pub struct JsonLinesSink<W: Write> {
    out: W,
}

impl<W: Write> JsonLinesSink<W> {
    /// Begins a table; there is no header.
    pub fn new(out: W) -> Self {
        Self { out }
    }
}

struct Object<'a>(&'a Row);

impl Serialize for Object<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        for column in COLUMNS {
            match (column.cell)(self.0) {
                Cell::Empty => {}
                Cell::Text(text) | Cell::Date(text) => map.serialize_entry(column.key, text)?,
                Cell::Whole(number) => map.serialize_entry(column.key, &number)?,
                Cell::Number(number) | Cell::Share(number) => {
                    map.serialize_entry(column.key, &number)?;
                }
            }
        }
        map.end()
    }
}

impl<W: Write> Sink for JsonLinesSink<W> {
    fn row(&mut self, row: &Row) -> Result<(), ExportError> {
        serde_json::to_writer(&mut self.out, &Object(row)).map_err(std::io::Error::from)?;
        self.out.write_all(b"\n")?;
        Ok(())
    }

    fn finish(mut self: Box<Self>) -> Result<(), ExportError> {
        self.out.flush()?;
        Ok(())
    }
}
