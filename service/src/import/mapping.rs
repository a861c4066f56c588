//! A list that says where photos belong: CSV with the columns `file`, `location` and `tag`.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// Largest list, bytes.
const MAX_BYTES: u64 = 256 << 20;

/// Why a list cannot be used.
#[derive(Debug, thiserror::Error)]
#[error("{}: {at}: {message}", path.display())]
pub struct MappingError {
    /// The file.
    pub path: PathBuf,
    /// Where in it.
    pub at: String,
    /// What is wrong and what to write instead.
    pub message: String,
}

/// What a row says of the photos that it names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Row {
    pub(super) location: Option<String>,
    pub(super) tag: Option<String>,
}

/// The rows by the parts of their path, in small letters.
#[derive(Debug, Clone, Default)]
pub struct Mapping {
    rows: HashMap<String, Row>,
    longest: usize,
}

impl Mapping {
    /// Reads the list at `path`.
    ///
    /// `file` holds a file name, a folder, or as much of a path as it takes to tell it from
    /// others; `location` the tag of the location, `tag` that of the equipment. One of both may
    /// be empty.
    ///
    /// # Errors
    ///
    /// [`MappingError`] with the row of the first fault.
    pub fn load(path: &Path) -> Result<Self, MappingError> {
        let fault = |at: &str, message: String| MappingError {
            path: path.to_owned(),
            at: at.to_owned(),
            message,
        };
        let meta = std::fs::metadata(path).map_err(|e| fault("file", e.to_string()))?;
        if meta.len() > MAX_BYTES {
            return Err(fault(
                "file",
                "it is larger than any list of photos".to_owned(),
            ));
        }
        let bytes = std::fs::read(path).map_err(|e| fault("file", e.to_string()))?;
        let text = std::str::from_utf8(&bytes).map_err(|_| {
            fault(
                "file",
                "the text is not UTF-8; save the file as \"CSV UTF-8\"".to_owned(),
            )
        })?;
        Self::parse(text).map_err(|(at, message)| fault(&at, message))
    }

    fn parse(text: &str) -> Result<Self, (String, String)> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let head = text.lines().next().unwrap_or_default();
        let delimiter = if head.contains(';') && !head.contains(',') {
            b';'
        } else {
            b','
        };
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter)
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let headers = reader
            .headers()
            .map_err(|e| ("row 1".to_owned(), e.to_string()))?
            .clone();
        let column = |name: &str| headers.iter().position(|h| h.eq_ignore_ascii_case(name));
        let Some(file) = column("file") else {
            return Err((
                "row 1".to_owned(),
                "there is no column `file`; the columns are file, location, tag".to_owned(),
            ));
        };
        let (location, tag) = (column("location"), column("tag"));
        if location.is_none() && tag.is_none() {
            return Err((
                "row 1".to_owned(),
                "there is neither a column `location` nor a column `tag`".to_owned(),
            ));
        }
        let mut mapping = Self::default();
        for (index, record) in reader.records().enumerate() {
            let at = format!("row {}", index + 2);
            let record = record.map_err(|e| (at.clone(), e.to_string()))?;
            let cell = |column: Option<usize>| {
                column
                    .and_then(|c| record.get(c))
                    .filter(|text| !text.is_empty())
                    .map(ToOwned::to_owned)
            };
            let parts = parts(record.get(file).unwrap_or_default());
            if parts.is_empty() {
                return Err((at, "the column `file` is empty".to_owned()));
            }
            let row = Row {
                location: cell(location),
                tag: cell(tag),
            };
            mapping.longest = mapping.longest.max(parts.len());
            let key = parts.join("/");
            if let Some(other) = mapping.rows.get(&key)
                && *other != row
            {
                return Err((at, format!("{key} stands twice, with different values")));
            }
            mapping.rows.insert(key, row);
        }
        Ok(mapping)
    }

    /// The row that names the most of a path; of two, the one nearer to the file.
    pub(super) fn find(&self, path: &[String]) -> Option<&Row> {
        let path: Vec<String> = path.iter().map(|p| p.to_lowercase()).collect();
        (1..=self.longest.min(path.len())).rev().find_map(|length| {
            path.windows(length)
                .rev()
                .find_map(|parts| self.rows.get(&parts.join("/")))
        })
    }

    /// Every location that it names.
    pub fn locations(&self) -> impl Iterator<Item = &str> {
        self.rows.values().filter_map(|r| r.location.as_deref())
    }
}

fn parts(path: &str) -> Vec<String> {
    path.split(['/', '\\'])
        .filter(|part| !part.is_empty() && *part != ".")
        .map(str::to_lowercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn path(text: &str) -> Vec<String> {
        text.split('/').map(ToOwned::to_owned).collect()
    }

    #[test]
    fn the_row_that_names_most_wins() {
        let mapping = Mapping::parse(
            "file;location;tag\nmill;MILL;\nMill/upper;MILL-ELEVATOR;\nIMG_1.jpg;;M-01\n",
        )
        .unwrap();
        let location = |text: &str| mapping.find(&path(text)).unwrap().location.clone();
        assert_eq!(location("a/mill/b.jpg").as_deref(), Some("MILL"));
        assert_eq!(
            location("mill/upper/b.jpg").as_deref(),
            Some("MILL-ELEVATOR")
        );
        let row = mapping.find(&path("mill/img_1.JPG")).unwrap();
        assert_eq!(row.tag.as_deref(), Some("M-01"));
        assert_eq!(mapping.find(&path("boiler/x.jpg")), None);
    }

    #[test]
    fn faults_name_their_row() {
        for (text, at) in [
            ("photo,location\na,B\n", "row 1"),
            ("file\na\n", "row 1"),
            ("file,location\na,B\n,C\n", "row 3"),
            ("file,location\na,B\na,C\n", "row 3"),
        ] {
            assert_eq!(Mapping::parse(text).unwrap_err().0, at, "{text}");
        }
    }
}
