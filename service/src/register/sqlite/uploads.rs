//! Photos that people send one by one, by their keys.

use super::super::{Keyed, PlateId, Received, StoreError};
use super::SqliteRegister;
use super::write::Write;
use serde_json::{Value, json};

struct Row {
    content: String,
    ended: Option<(i64, String)>,
}

impl SqliteRegister {
    pub(super) fn begin_upload_row(&self, key: &str, content: &str) -> Result<Keyed, StoreError> {
        self.write(|write| {
            let known = find(write, key)?;
            let Some(row) = known else {
                write.execute(
                    "note the key of a photo",
                    "INSERT INTO uploads (key, content, at) VALUES (?1, ?2, ?3)",
                    (key, content, write.millis()),
                )?;
                return Ok(Keyed::Open);
            };
            if row.content != content {
                return Ok(Keyed::Other);
            }
            match row.ended {
                None => Ok(Keyed::Open),
                Some((plate, name)) => Received::from_name(&name, PlateId(plate))
                    .map(Keyed::Ended)
                    .ok_or_else(|| StoreError::Damaged(format!("an upload came to {name:?}"))),
            }
        })
    }

    pub(super) fn end_upload_row(
        &self,
        key: Option<&str>,
        received: Received,
        note: Option<&str>,
        who: &str,
    ) -> Result<(), StoreError> {
        self.write(|write| {
            let plate = received.plate();
            if let Some(note) = note {
                let after = json!({ "note": note });
                write.execute(
                    "count a change of a plate",
                    "UPDATE plates SET version = version + 1, changed_at = ?2 WHERE id = ?1",
                    (plate.0, write.millis()),
                )?;
                write.event(who, ("plate", plate.0), "noted", &Value::Null, &after)?;
            }
            if let Some(key) = key {
                write.execute(
                    "note what became of a photo",
                    "UPDATE uploads SET plate_id = ?2, outcome = ?3 WHERE key = ?1",
                    (key, plate.0, received.name()),
                )?;
            }
            Ok(())
        })
    }
}

fn find(write: &Write<'_>, key: &str) -> Result<Option<Row>, StoreError> {
    write.first(
        "SELECT content, plate_id, outcome FROM uploads WHERE key = ?1",
        [key],
        |row| {
            let plate: Option<i64> = row.get(1)?;
            let outcome: Option<String> = row.get(2)?;
            Ok(Row {
                content: row.get(0)?,
                ended: plate.zip(outcome),
            })
        },
    )
}
