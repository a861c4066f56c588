//! The site's list of certificates as CSV.

use super::table::{Columns, is_remark, table};
use super::{Fault, SiteError, text_of};
use std::path::Path;
use std::sync::Arc;
use vetplate_parser::certificates::{CertificateEntry, CertificateFields, CertificateList};

/// Columns of the list.
const COLUMNS: [&str; 6] = [
    "number",
    "issue",
    "type",
    "marking",
    "ambient",
    "conditions",
];

/// A list of certificates with the text that it was made from.
#[derive(Debug, Clone, PartialEq)]
pub struct CertificateFile {
    /// Name of the file, without its folders.
    pub name: String,
    /// Its text, CSV.
    pub text: String,
    /// What it says.
    pub list: Arc<CertificateList>,
}

impl CertificateFile {
    /// The list in the file at `path`.
    ///
    /// # Errors
    ///
    /// [`SiteError`] with row and column of the first row that cannot be used.
    pub fn load(path: &Path) -> Result<Self, SiteError> {
        let text = text_of(path)?;
        let list = list(&text).map_err(|fault| SiteError::wrong(path, fault))?;
        let name = path.file_name().unwrap_or_default();
        Ok(Self {
            name: name.to_string_lossy().into_owned(),
            text,
            list: Arc::new(list),
        })
    }

    /// A list that was kept as text.
    ///
    /// # Errors
    ///
    /// Row, column and fault of the first row that cannot be used.
    pub(crate) fn kept(text: &str) -> Result<CertificateList, String> {
        list(text).map_err(|fault| format!("{}: {}", fault.at, fault.message))
    }
}

fn list(text: &str) -> Result<CertificateList, Fault> {
    let table = table(
        text,
        &Columns {
            known: &|name| COLUMNS.contains(&name),
            unknown: &|name| {
                format!(
                    "a list of certificates has no `{name}`; its columns are {}, and whatever \
                     begins with `#` is ignored",
                    COLUMNS.join(", ")
                )
            },
            needed: ("number", "by which certificates are found"),
            example: "number, issue, type, marking, ambient, conditions",
        },
    )?;
    let mut entries = Vec::new();
    for (at, row) in &table.rows {
        let fields = fields(&table.columns, row);
        let entry = CertificateEntry::from_fields(&fields).map_err(|faults| {
            faults.into_iter().next().map_or_else(
                || Fault::new(at.as_str(), "it cannot be used"),
                |fault| Fault::new(format!("{at}, column {}", fault.column), fault.message),
            )
        })?;
        entries.push(entry);
    }
    let names: Vec<String> = entries.iter().map(ToString::to_string).collect();
    CertificateList::new(entries).map_err(|twice| {
        Fault::new(
            format!("{}, column number", table.rows[twice.second].0),
            format!(
                "{} stands in {} already; give each issue of a certificate one row",
                names[twice.first], table.rows[twice.first].0
            ),
        )
    })
}

fn fields(columns: &[String], row: &csv::StringRecord) -> CertificateFields {
    let mut fields = CertificateFields::default();
    for (name, cell) in columns.iter().zip(row) {
        if is_remark(name) {
            continue;
        }
        let field = match name.as_str() {
            "number" => &mut fields.number,
            "issue" => &mut fields.issue,
            "type" => &mut fields.kind,
            "marking" => &mut fields.marking,
            "ambient" => &mut fields.ambient,
            _ => &mut fields.conditions,
        };
        cell.clone_into(field);
    }
    fields
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(text: &str) -> String {
        let fault = list(text).err().unwrap();
        format!("{}: {}", fault.at, fault.message)
    }

    #[test]
    fn a_list_as_exported_from_a_spreadsheet() {
        let text = "Number;Issue;Type;Marking;Ambient;Conditions;# folder\n\
                    ABC 19 ATEX 1234 X;;BX 132*;\"II 2 G; Ex db IIC T4 Gb\";-20..50;Wear gloves;7\n\
                    ;;;;;;\n\
                    ABC 19 ATEX 1234 X;1;BX 132*;Ex db IIC T5 Gb;-20..60;;7\n";
        let got = list(text).ok().unwrap();
        assert_eq!(got.entries().len(), 2);
        assert_eq!(got.entries()[0].conditions(), ["Wear gloves"]);
        assert_eq!(got.entries()[1].issue(), 1);
    }

    #[test]
    fn faults_name_row_and_column() {
        assert!(fault("").starts_with("row 1: the file is empty"));
        assert!(fault("issue\n1\n").contains("no column is called `number`"));
        assert!(fault("number,kind\n").starts_with("row 1, column 2 (kind): a list of"));
        assert!(fault("number\nnone\n").starts_with("row 2, column number: 'none' is no"));
        assert!(
            fault("number,ambient\nABC 19 ATEX 1234,50..-20\n")
                .starts_with("row 2, column ambient: ")
        );
        assert!(
            fault("number,issue\nABC 19 ATEX 1234,\nXYZ 20 ATEX 1001,\nABC19ATEX1234,0\n")
                .starts_with("row 4, column number: ABC 19 ATEX 1234 stands in row 2 already")
        );
    }
}
