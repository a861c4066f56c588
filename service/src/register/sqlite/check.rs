//! Is the register whole? Looks and never repairs.

use super::super::{Originals, StoreError};
use super::SqliteRegister;
use super::records::all;
use super::write::failed;
use rusqlite::Connection;
use serde::Serialize;
use sha2::{Digest, Sha256};

/// Something that is not as it must be.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CheckFinding {
    /// What was checked: `database`, `references`, `accounts`, `plates`, `search`, `copies`.
    pub check: &'static str,
    /// What was found, a sentence.
    pub detail: String,
}

/// What every register holds to, as a query that finds what breaks it. Each gives one column of
/// text, a sentence.
const LAWS: [(&str, &str); 9] = [
    (
        "accounts",
        "SELECT 'import ' || i.id || ' counts ' || i.taken || ' taken photos, and ' ||
             (SELECT count(*) FROM photos f WHERE f.import_id = i.id) || ' are there'
         FROM imports i
         WHERE i.taken <> (SELECT count(*) FROM photos f WHERE f.import_id = i.id)",
    ),
    (
        "accounts",
        "SELECT 'import ' || i.id || ' counts ' || (i.refused + i.failed) ||
             ' files that were not taken, and ' ||
             (SELECT count(*) FROM problems q WHERE q.import_id = i.id) || ' are named'
         FROM imports i WHERE i.refused + i.failed <>
             (SELECT count(*) FROM problems q WHERE q.import_id = i.id)",
    ),
    (
        "accounts",
        "SELECT 'import ' || id || ' does not balance' FROM imports
         WHERE seen <> taken + held + refused + failed",
    ),
    (
        "plates",
        "SELECT 'plate ' || id || ' counts ' || photos || ' photos, and ' || there || ' are there'
         FROM (SELECT p.id, p.photos,
             (SELECT count(*) FROM photos f WHERE f.plate_id = p.id) +
             (SELECT count(DISTINCT n.photo_id) FROM further_plates n
                 JOIN photos f ON f.id = n.photo_id
                 WHERE n.plate_id = p.id AND f.plate_id <> p.id) AS there
             FROM plates p) WHERE photos <> there",
    ),
    (
        "plates",
        "SELECT 'plate ' || p.id || ' has no verdict that counts' FROM plates p
         LEFT JOIN verdicts v ON v.id = p.verdict_id
         WHERE v.id IS NULL OR v.plate_id <> p.id OR v.outcome IS NOT p.outcome",
    ),
    (
        "plates",
        "SELECT 'plate ' || p.id || ' is settled without a settlement' FROM plates p
         WHERE p.review = 'settled' AND p.settlement_id IS NULL",
    ),
    (
        "plates",
        "SELECT 'photo ' || s.photo_id || ' counts a reading of another photo or plate' FROM shown s
         JOIN readings r ON r.id = s.reading_id WHERE r.photo_id <> s.photo_id OR r.part <> s.part",
    ),
    (
        "search",
        "SELECT 'plate ' || p.id || ' is not found by the search' FROM plates p
         LEFT JOIN plate_text t ON t.rowid = p.id WHERE t.rowid IS NULL",
    ),
    (
        "plates",
        "SELECT 'the tallies count ' || (SELECT sum(plates) FROM tallies) || ' plates, and ' ||
             (SELECT count(*) FROM plates) || ' are there'
         WHERE (SELECT ifnull(sum(plates), 0) FROM tallies) <> (SELECT count(*) FROM plates)",
    ),
];

impl SqliteRegister {
    /// Checks the file: the database's own integrity, references, accounts, and what plates,
    /// photos, verdicts and search hold to.
    ///
    /// Each finding goes to `found`.
    ///
    /// # Errors
    ///
    /// [`StoreError`] where the file cannot even be read.
    pub fn check(&self, found: &mut dyn FnMut(CheckFinding)) -> Result<(), StoreError> {
        self.read(|connection| {
            // The full-text index remembers how it was when this connection last saw it, and its own
            // check does not ask whether another connection has merged it since. A query does.
            lines(
                connection,
                "SELECT CAST(rowid AS TEXT) FROM plate_text LIMIT 1",
            )?;
            for line in lines(connection, "PRAGMA integrity_check")? {
                if line != "ok" {
                    found(CheckFinding {
                        check: "database",
                        detail: line,
                    });
                }
            }
            let references = all(connection, "PRAGMA foreign_key_check", [], |row| {
                Ok(format!(
                    "row {} of {} refers to what is not there in {}",
                    row.get::<_, Option<i64>>(1)?.unwrap_or_default(),
                    row.get::<_, String>(0)?,
                    row.get::<_, String>(2)?
                ))
            })?;
            for detail in references {
                found(CheckFinding {
                    check: "references",
                    detail,
                });
            }
            for (check, sql) in LAWS {
                for detail in lines(connection, sql)? {
                    found(CheckFinding { check, detail });
                }
            }
            Ok(())
        })
    }

    /// Reads every copy that the register keeps and compares its hash; answers how many there
    /// are. `each` hears of every one, for progress.
    ///
    /// # Errors
    ///
    /// [`StoreError`] where the file cannot be read.
    pub fn check_copies(
        &self,
        originals: &dyn Originals,
        each: &mut dyn FnMut(),
        found: &mut dyn FnMut(CheckFinding),
    ) -> Result<u64, StoreError> {
        let mut after = 0;
        let mut copies = 0;
        loop {
            let rows: Vec<(i64, String)> = self.read(|connection| {
                all(
                    connection,
                    "SELECT id, sha256 FROM photos WHERE kept = 1 AND id > ?1
                     ORDER BY id LIMIT 500",
                    [after],
                    |row| Ok((row.get(0)?, row.get(1)?)),
                )
            })?;
            let Some((last, _)) = rows.last() else {
                return Ok(copies);
            };
            after = *last;
            for (_, sha256) in rows {
                copies += 1;
                let detail = match originals.read(&sha256) {
                    Err(error) => Some(format!("the copy of photo {sha256} is missing: {error}")),
                    Ok(bytes) => {
                        let actual = crate::pipeline::hex(&Sha256::digest(&bytes));
                        (actual != sha256)
                            .then(|| format!("the copy of photo {sha256} has the hash {actual}"))
                    }
                };
                if let Some(detail) = detail {
                    found(CheckFinding {
                        check: "copies",
                        detail,
                    });
                }
                each();
            }
        }
    }
}

fn lines(connection: &Connection, sql: &str) -> Result<Vec<String>, StoreError> {
    connection
        .prepare(sql)
        .and_then(|mut statement| statement.query_map([], |row| row.get(0))?.collect())
        .map_err(failed("check"))
}
