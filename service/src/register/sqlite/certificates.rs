//! The site's lists of certificates: every one that was given is kept, and the last one counts.

use super::super::{CertificateListRecord, StoreError};
use super::SqliteRegister;
use super::records::{all, count, first, time};
use crate::pipeline::hex;
use crate::site::CertificateFile;
use sha2::{Digest, Sha256};
use std::sync::{Arc, PoisonError};
use vetplate_parser::certificates::CertificateList;

const COLUMNS: &str = "id, at, who, source, sha256, certificates";

/// What plates are held against, as far as this handle knows.
#[derive(Debug, Default)]
pub(super) enum Held {
    /// Not looked up yet.
    #[default]
    Unknown,
    /// The list in this row of the register; 0 where there is none.
    Kept(i64, Option<Arc<CertificateList>>),
    /// One that is only tried out.
    Tried(Arc<CertificateList>),
}

fn row(row: &rusqlite::Row<'_>) -> rusqlite::Result<CertificateListRecord> {
    Ok(CertificateListRecord {
        id: row.get(0)?,
        at: time(row, 1)?,
        who: row.get(2)?,
        source: row.get(3)?,
        sha256: row.get(4)?,
        certificates: count(row, 5)?,
    })
}

impl SqliteRegister {
    /// Holds plates that are judged through this handle against a list, without keeping it.
    pub fn try_certificates(&self, list: Arc<CertificateList>) {
        *self.held() = Held::Tried(list);
    }

    /// Keeps a list of certificates: from now on it is the one that counts. True where it differs
    /// from the one that counted before.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub fn keep_certificates(&self, file: &CertificateFile, who: &str) -> Result<bool, StoreError> {
        let sha256 = hex(&Sha256::digest(file.text.as_bytes()));
        let kept = self.write(|write| {
            let last: Option<String> = write.first(
                "SELECT sha256 FROM certificate_lists ORDER BY id DESC LIMIT 1",
                [],
                |row| row.get(0),
            )?;
            if last.as_deref() == Some(sha256.as_str()) {
                return Ok(None);
            }
            let certificates = i64::try_from(file.list.entries().len()).unwrap_or(i64::MAX);
            let id = write.insert(
                "keep a list of certificates",
                "INSERT INTO certificate_lists (at, who, source, sha256, certificates, content)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                (
                    write.millis(),
                    who,
                    &file.name,
                    &sha256,
                    certificates,
                    &file.text,
                ),
            )?;
            Ok(Some(id))
        })?;
        if let Some(id) = kept {
            *self.held() = Held::Kept(id, Some(Arc::clone(&file.list)));
        }
        Ok(kept.is_some())
    }

    /// Every list of certificates that was given, newest first: the first one counts.
    ///
    /// # Errors
    ///
    /// [`StoreError`].
    pub fn certificate_lists(&self) -> Result<Vec<CertificateListRecord>, StoreError> {
        self.read(|connection| {
            let sql = format!("SELECT {COLUMNS} FROM certificate_lists ORDER BY id DESC");
            all(connection, &sql, [], row)
        })
    }

    /// The list that counts. Another program may have given a newer one in the meantime.
    pub(super) fn held_certificates(&self) -> Result<Option<Arc<CertificateList>>, StoreError> {
        let known = match &*self.held() {
            Held::Tried(list) => return Ok(Some(Arc::clone(list))),
            Held::Kept(id, list) => Some((*id, list.clone())),
            Held::Unknown => None,
        };
        self.read(|connection| {
            let newest = first(
                connection,
                "SELECT id FROM certificate_lists ORDER BY id DESC LIMIT 1",
                [],
                |row| row.get(0),
            )?
            .unwrap_or(0);
            if let Some((id, list)) = known
                && id == newest
            {
                return Ok(list);
            }
            let text: Option<String> = first(
                connection,
                "SELECT content FROM certificate_lists WHERE id = ?1",
                [newest],
                |row| row.get(0),
            )?;
            let parsed = text.map(|text| CertificateFile::kept(&text)).transpose();
            let list = parsed.map_err(|fault| {
                StoreError::Damaged(format!(
                    "the list of certificates cannot be used ({fault}); give it again with \
                     --certificates"
                ))
            })?;
            let list = list.map(Arc::new);
            *self.held() = Held::Kept(newest, list.clone());
            Ok(list)
        })
    }

    fn held(&self) -> std::sync::MutexGuard<'_, Held> {
        self.certificates
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }
}
