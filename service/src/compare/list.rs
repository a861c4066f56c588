//! An equipment list as CSV.

use std::collections::BTreeMap;
use std::io::Read;

/// Columns that are understood, each with names that lists give it. Others are ignored.
///
/// **Source:** words of the trade (practice).
pub const COLUMNS: &[(&str, &[&str])] = &[
    (
        "tag",
        &[
            "tag",
            "tag no",
            "tag number",
            "equipment tag",
            "equipment no",
            "item",
            "item no",
            "id",
        ],
    ),
    (
        "location",
        &["location", "area", "place", "room", "location tag"],
    ),
    ("maker", &["maker", "manufacturer", "make"]),
    ("type", &["type", "model", "type no", "model no"]),
    (
        "serial",
        &["serial", "serial no", "serial number", "s n", "sn"],
    ),
    (
        "marking",
        &[
            "marking",
            "ex marking",
            "full marking",
            "protection",
            "ex code",
        ],
    ),
    (
        "certificate",
        &[
            "certificate",
            "certificate no",
            "certificate number",
            "cert",
            "cert no",
        ],
    ),
];

/// One line of the list. What it does not say is empty.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct EquipmentLine {
    /// Line of the file, from 1, the header counted.
    pub line: u64,
    /// Tag of the equipment.
    pub tag: String,
    /// Location.
    pub location: String,
    /// Maker.
    pub maker: String,
    /// Type.
    pub kind: String,
    /// Serial number.
    pub serial: String,
    /// Marking.
    pub marking: String,
    /// Certificate.
    pub certificate: String,
}

/// Why a list cannot be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ListError {
    /// It is no CSV.
    #[error("{at}: {reason}; save the list as CSV in UTF-8 with one header row")]
    Malformed {
        /// Line.
        at: String,
        /// What is wrong.
        reason: String,
    },
    /// Nothing in it can be compared.
    #[error(
        "the header names none of tag, serial and certificate, by which equipment is found (it \
         has: {found}); say which column is which, such as --column serial='Serial No.'"
    )]
    NoKey {
        /// The header.
        found: String,
    },
    /// A column that was named is not there.
    #[error("no column is called {wanted:?}; the header has: {found}")]
    NoColumn {
        /// What was named.
        wanted: String,
        /// The header.
        found: String,
    },
    /// Two columns mean the same.
    #[error(
        "two columns mean `{key}`: {first:?} and {second:?}; choose one with --column {key}='…'"
    )]
    Twice {
        /// What they mean.
        key: String,
        /// One.
        first: String,
        /// The other.
        second: String,
    },
}

/// Reads a list, separated by commas, semicolons or tabs. `named` says which column is which
/// where the header's names are not understood: key to name of the column.
///
/// # Errors
///
/// [`ListError`].
pub fn read_list(
    input: impl Read,
    named: &BTreeMap<String, String>,
) -> Result<Vec<EquipmentLine>, ListError> {
    let malformed = |at: String, reason: String| ListError::Malformed { at, reason };
    let mut bytes = Vec::new();
    let mut input = input;
    input
        .read_to_end(&mut bytes)
        .map_err(|e| malformed("the file".to_owned(), e.to_string()))?;
    let text = std::str::from_utf8(&bytes).map_err(|e| {
        let line = bytes[..e.valid_up_to()].split(|b| *b == b'\n').count();
        malformed(format!("line {line}"), "the text is not UTF-8".to_owned())
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let first = text.lines().next().unwrap_or_default();
    let delimiter = [b',', b';', b'\t']
        .into_iter()
        .max_by_key(|d| (first.bytes().filter(|b| b == d).count(), *d == b','))
        .unwrap_or(b',');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let header = reader
        .headers()
        .map_err(|e| malformed("line 1".to_owned(), e.to_string()))?
        .clone();
    let columns = columns(&header, named)?;
    let mut lines = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|e| {
            let line = e.position().map_or(0, csv::Position::line);
            malformed(format!("line {line}"), e.to_string())
        })?;
        let cell = |key: &str| {
            let cell = columns.get(key).and_then(|at| row.get(*at));
            // A list may be an export of ours.
            cell.map(crate::export::plain)
                .unwrap_or_default()
                .to_owned()
        };
        let line = EquipmentLine {
            line: row.position().map_or(0, csv::Position::line),
            tag: cell("tag"),
            location: cell("location"),
            maker: cell("maker"),
            kind: cell("type"),
            serial: cell("serial"),
            marking: cell("marking"),
            certificate: cell("certificate"),
        };
        if row.iter().any(|cell| !cell.is_empty()) {
            lines.push(line);
        }
    }
    Ok(lines)
}

fn columns(
    header: &csv::StringRecord,
    named: &BTreeMap<String, String>,
) -> Result<BTreeMap<&'static str, usize>, ListError> {
    let found = || header.iter().collect::<Vec<_>>().join(", ");
    let mut columns: BTreeMap<&'static str, usize> = BTreeMap::new();
    for (key, names) in COLUMNS {
        if let Some(wanted) = named.get(*key) {
            let at = header.iter().position(|name| plain(name) == plain(wanted));
            let at = at.ok_or_else(|| ListError::NoColumn {
                wanted: wanted.clone(),
                found: found(),
            })?;
            columns.insert(key, at);
            continue;
        }
        let chosen: Vec<usize> = named
            .values()
            .filter_map(|wanted| header.iter().position(|name| plain(name) == plain(wanted)))
            .collect();
        for (at, name) in header.iter().enumerate() {
            if !names.contains(&plain(name).as_str()) || chosen.contains(&at) {
                continue;
            }
            if let Some(first) = columns.insert(key, at) {
                return Err(ListError::Twice {
                    key: (*key).to_owned(),
                    first: header[first].to_owned(),
                    second: name.to_owned(),
                });
            }
        }
    }
    if ["tag", "serial", "certificate"]
        .iter()
        .all(|key| !columns.contains_key(key))
    {
        return Err(ListError::NoKey { found: found() });
    }
    Ok(columns)
}

/// Small letters, digits and single blanks: `Serial-No.` becomes `serial no`.
fn plain(name: &str) -> String {
    let letters: String = name
        .chars()
        .map(|c| if c.is_alphanumeric() { c } else { ' ' })
        .collect();
    letters
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Vec<EquipmentLine>, ListError> {
        read_list(text.as_bytes(), &BTreeMap::new())
    }

    #[test]
    fn lists_name_their_columns_in_their_own_way() {
        let got =
            read("Tag No.;Serial-No.;Manufacturer;Ex marking\nP-1;0012;Corrieburn;'-x\n;;;\n");
        let got = got.unwrap();
        assert_eq!(got.len(), 1);
        assert_eq!((got[0].line, got[0].tag.as_str()), (2, "P-1"));
        assert_eq!(got[0].serial, "0012");
        assert_eq!(got[0].maker, "Corrieburn");
        assert_eq!(got[0].marking, "-x");
    }

    #[test]
    fn a_column_can_be_named() {
        let named = BTreeMap::from([("serial".to_owned(), "Fab. Nr".to_owned())]);
        let got = read_list("Fab Nr,Ort\n7,Mill\n".as_bytes(), &named).unwrap();
        assert_eq!(got[0].serial, "7");
        let named = BTreeMap::from([("serial".to_owned(), "Number".to_owned())]);
        let wrong = read_list("Fab Nr,Ort\n7,Mill\n".as_bytes(), &named).unwrap_err();
        assert!(wrong.to_string().contains("Fab Nr, Ort"));
    }

    #[test]
    fn a_list_that_cannot_be_compared_is_refused() {
        assert!(matches!(
            read("colour\nred\n"),
            Err(ListError::NoKey { .. })
        ));
        assert!(matches!(read(""), Err(ListError::NoKey { .. })));
        let twice = read("serial,S/N\n1,2\n").unwrap_err();
        assert!(twice.to_string().contains("two columns mean `serial`"));
        let bytes: &[u8] = b"tag\n\xff\n";
        assert!(read_list(bytes, &BTreeMap::new()).is_err());
    }
}
