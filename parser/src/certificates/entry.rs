//! One row of a list of certificates, from text.

use super::key::{fits, key, pattern};
use crate::marking::{Ambient, Certificate, Suffix};
use crate::{Plate, Read, Span, parse};
use std::fmt;

/// One certificate as text, cell by cell, the way a spreadsheet brings it.
///
/// Several types of equipment, and several markings, are separated by `|`; lines of one
/// marking by `;`. `*` in a type stands for any characters, `?` for one. A blank cell counts as
/// not given.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CertificateFields {
    /// `ABC 19 ATEX 1234 X`, with its X or U.
    pub number: String,
    /// `2` or `Issue 2`; not given: 0, the first.
    pub issue: String,
    /// Types of equipment that it is for: `BX 132*|BX 160?-4`.
    pub kind: String,
    /// What it says the plate shall show: `II 2 G Ex db eb IIC T4 Gb`.
    pub marking: String,
    /// `-20..50`, or as plates print it.
    pub ambient: String,
    /// Specific conditions of use, in its own words, separated by `|`.
    pub conditions: String,
}

/// A cell of a certificate that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CertificateFault {
    /// Name of the column: `number`, `issue`, `marking` or `ambient`.
    pub column: &'static str,
    /// What is wrong and what to write instead, a sentence.
    pub message: String,
}

/// One issue of one certificate.
#[derive(Debug, Clone, PartialEq)]
pub struct CertificateEntry {
    pub(crate) key: String,
    pub(super) issue: u32,
    number: String,
    suffix: Suffix,
    kinds: Vec<String>,
    kind_text: String,
    conditions: Vec<String>,
    ambient: Option<Ambient>,
    plate: Plate,
}

impl fmt::Display for CertificateEntry {
    /// `ABC 19 ATEX 1234 X, Issue 1`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.number)?;
        if self.suffix != Suffix::None {
            write!(f, " {}", self.suffix)?;
        }
        if self.issue > 0 {
            write!(f, ", Issue {}", self.issue)?;
        }
        Ok(())
    }
}

impl CertificateEntry {
    /// Reads a row.
    ///
    /// # Errors
    ///
    /// Every cell that cannot be used, with what to write instead.
    pub fn from_fields(fields: &CertificateFields) -> Result<Self, Vec<CertificateFault>> {
        let mut faults = Vec::new();
        let mut refuse =
            |column, message: String| faults.push(CertificateFault { column, message });
        let printed = number(&fields.number);
        if printed.is_none() {
            refuse(
                "number",
                format!(
                    "'{}' is no certificate number; write it as on the certificate, such as \
                     ABC 19 ATEX 1234 X",
                    fields.number.trim()
                ),
            );
        }
        let issue = match issue(&fields.issue) {
            Ok(own) => {
                let in_number = printed.as_ref().and_then(|c| c.issue);
                if let (Some(own), Some(other)) = (own, in_number)
                    && own != other
                {
                    refuse(
                        "issue",
                        format!("{own} here, but Issue {other} behind the number; keep one"),
                    );
                }
                own.or(in_number).unwrap_or(0)
            }
            Err(message) => {
                refuse("issue", message);
                0
            }
        };
        let ambient = match ambient(&fields.ambient) {
            Ok(ambient) => ambient,
            Err(message) => {
                refuse("ambient", message);
                None
            }
        };
        let mut plate = parse(&lines(&fields.marking));
        if plate.markings.is_empty() && !fields.marking.trim().is_empty() {
            refuse(
                "marking",
                format!(
                    "'{}' holds no marking; write it as on the certificate, such as \
                     II 2 G Ex db IIC T4 Gb",
                    fields.marking.trim()
                ),
            );
        }
        let Some(printed) = printed.filter(|_| faults.is_empty()) else {
            return Err(faults);
        };
        if let Some(range) = ambient {
            plate.ambient = Some(Read::strict(range, fields.ambient.trim(), NOWHERE));
        }
        let ambient = plate.ambient.as_ref().map(|a| a.value);
        let (number, suffix) = (printed.number.value.clone(), printed.suffix);
        plate.certificates = vec![printed];
        Ok(Self {
            key: key(&number),
            issue,
            number,
            suffix,
            kinds: parts(&fields.kind).map(pattern).collect(),
            kind_text: parts(&fields.kind).collect::<Vec<_>>().join(" or "),
            conditions: parts(&fields.conditions).map(ToOwned::to_owned).collect(),
            ambient,
            plate,
        })
    }

    /// Number without its suffix.
    pub fn number(&self) -> &str {
        &self.number
    }

    /// X, U or nothing.
    pub fn suffix(&self) -> Suffix {
        self.suffix
    }

    /// Number of the issue; 0 is the first.
    pub fn issue(&self) -> u32 {
        self.issue
    }

    /// Specific conditions of use, in its own words.
    pub fn conditions(&self) -> &[String] {
        &self.conditions
    }

    /// Ambient range, where the list gives one.
    pub fn ambient(&self) -> Option<Ambient> {
        self.ambient
    }

    /// The certificate's marking as if it were a plate.
    pub fn plate(&self) -> &Plate {
        &self.plate
    }

    /// Types of equipment that it is for, in words; empty where the list gives none.
    pub fn kinds(&self) -> &str {
        &self.kind_text
    }

    /// Is it for this type of equipment? None where the list gives no type.
    pub(crate) fn is_for(&self, kind: &str) -> Option<bool> {
        let kind = key(kind);
        (!self.kinds.is_empty()).then(|| self.kinds.iter().any(|form| fits(form, &kind)))
    }
}

/// Values of a list stand on no line of a plate.
const NOWHERE: Span = Span {
    line: 0,
    start: 0,
    end: 0,
};

fn parts(cell: &str) -> impl Iterator<Item = &str> {
    cell.split(['|', '\n'])
        .map(str::trim)
        .filter(|p| !p.is_empty())
}

fn lines(cell: &str) -> Vec<&str> {
    cell.split([';', '|', '\n'])
        .map(str::trim)
        .filter(|p| !p.is_empty())
        .collect()
}

/// The number by the grammar of plates, so that both sides are taken apart alike.
fn number(cell: &str) -> Option<Certificate> {
    let cell = cell.trim();
    let captioned = format!("Certificate {cell}");
    [cell, captioned.as_str()].into_iter().find_map(|text| {
        let plate = parse(&[text]);
        let alone = plate.certificates.len() == 1 && plate.unread.is_empty();
        plate.certificates.into_iter().next().filter(|_| alone)
    })
}

fn issue(cell: &str) -> Result<Option<u32>, String> {
    let lower = cell.trim().to_lowercase();
    let digits = ["issue", "iss.", "iss"]
        .iter()
        .find_map(|word| lower.strip_prefix(word))
        .unwrap_or(&lower)
        .trim();
    if digits.is_empty() && lower.is_empty() {
        return Ok(None);
    }
    digits
        .parse()
        .ok()
        .filter(|issue| *issue < 1000)
        .map(Some)
        .ok_or_else(|| {
            format!(
                "'{}' is no issue; write its number, such as 2; leave it empty for the first",
                cell.trim()
            )
        })
}

fn ambient(cell: &str) -> Result<Option<Ambient>, String> {
    let cell = cell.trim();
    if cell.is_empty() {
        return Ok(None);
    }
    let printed = match cell.split_once("..") {
        Some((low, high)) => {
            let end = |text: &str| {
                text.trim_matches(|c: char| c == '.' || c.is_whitespace())
                    .trim_end_matches("°C")
                    .trim_end()
                    .to_owned()
            };
            format!("Ta {} °C to {} °C", end(low), end(high))
        }
        None if cell.contains("Ta") => cell.to_owned(),
        None => format!("Ta {cell}"),
    };
    let plate = parse(&[printed]);
    match plate.ambient {
        Some(range) if plate.unread.is_empty() && range.value.low_c < range.value.high_c => {
            Ok(Some(range.value))
        }
        Some(range) if range.value.low_c >= range.value.high_c => Err(format!(
            "'{cell}' is reversed; write the lower end first, such as -20..50"
        )),
        _ => Err(format!(
            "'{cell}' is no ambient range; write LO..HI in °C, such as -20..50"
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(pairs: [&str; 6]) -> CertificateFields {
        let [number, issue, kind, marking, ambient, conditions] = pairs.map(ToOwned::to_owned);
        CertificateFields {
            number,
            issue,
            kind,
            marking,
            ambient,
            conditions,
        }
    }

    #[test]
    fn a_row_of_a_spreadsheet() {
        let entry = CertificateEntry::from_fields(&fields([
            "ABC19ATEX1234X",
            "Issue 1",
            "BX 132* | BX 160?-4",
            "II 2 G; Ex db eb IIC T4 Gb | II 2 D; Ex tb IIIC T130 °C Db",
            "-20..50",
            "Flamepath not to be repaired | Glands rated 80 °C",
        ]))
        .unwrap();
        assert_eq!(entry.to_string(), "ABC19ATEX1234 X, Issue 1");
        assert_eq!(entry.plate().markings.len(), 2);
        assert_eq!(entry.conditions().len(), 2);
        assert_eq!(
            entry.ambient(),
            Some(Ambient {
                low_c: -20.0,
                high_c: 50.0
            })
        );
        assert_eq!(entry.is_for("BX132M-4"), Some(true));
        assert_eq!(entry.is_for("BX 180L-4"), Some(false));
    }

    #[test]
    fn ambient_as_people_write_it() {
        for text in [
            "-20..50",
            "-20...+50 °C",
            "-20 °C ≤ Ta ≤ +50 °C",
            "-20 to +50 °C",
        ] {
            let range = ambient(text).unwrap().unwrap();
            assert_eq!((range.low_c, range.high_c), (-20.0, 50.0), "{text}");
        }
        assert_eq!(ambient(" "), Ok(None));
        assert!(ambient("50..-20").unwrap_err().contains("reversed"));
        assert!(ambient("warm").is_err());
    }

    #[test]
    fn every_cell_that_cannot_be_used_is_named() {
        let faults =
            CertificateEntry::from_fields(&fields(["none", "second", "", "seen", "warm", ""]))
                .unwrap_err();
        let columns: Vec<&str> = faults.iter().map(|f| f.column).collect();
        assert_eq!(columns, ["number", "issue", "ambient", "marking"]);
    }
}
