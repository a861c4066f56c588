//! Which line means which plate, and where the two differ.

use super::EquipmentLine;
use crate::pipeline::read_text;
use serde::Serialize;
use std::collections::HashMap;

/// One plate of the register.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Known {
    /// Its number.
    pub plate: i64,
    /// Tag; empty where nobody gave one.
    pub tag: String,
    /// Serial number as read.
    pub serial: String,
    /// Certificate as read, without its suffix.
    pub certificate: String,
    /// Markings as read, separated by `; `.
    pub marking: String,
}

/// One difference between a line and its plate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// `serial`, `certificate` or `marking`.
    pub field: &'static str,
    /// What the list says.
    pub list: String,
    /// What the plate says.
    pub plate: String,
    /// True where they differ only in characters that are easily taken for each other.
    pub lookalike: bool,
}

/// What became of one line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "result", rename_all = "kebab-case")]
pub enum Compared {
    /// List and plate agree.
    Agrees {
        /// The line.
        line: u64,
        /// The plate.
        plate: i64,
    },
    /// They mean the same equipment and differ.
    Differs {
        /// The line.
        line: u64,
        /// Tag of the line.
        tag: String,
        /// The plate.
        plate: i64,
        /// Where.
        differences: Vec<Difference>,
    },
    /// Several lines or plates could mean each other; a person must say which.
    Ambiguous {
        /// The line.
        line: u64,
        /// Tag of the line.
        tag: String,
        /// By what they meet.
        by: &'static str,
        /// The plate that came second.
        plate: i64,
    },
    /// In the list, but on no photo.
    NoPhoto {
        /// The line.
        line: u64,
        /// Tag of the line.
        tag: String,
        /// Serial number of the line.
        serial: String,
    },
    /// On a photo, but not in the list.
    NotInList {
        /// The plate.
        #[serde(flatten)]
        known: Known,
    },
}

/// Holds a list and takes the plates one by one, so that the register may be of any size.
pub struct Comparison {
    lines: Vec<EquipmentLine>,
    by_tag: HashMap<String, Vec<usize>>,
    by_serial: HashMap<String, Vec<usize>>,
    by_certificate: HashMap<String, Vec<usize>>,
    taken: Vec<bool>,
}

impl Comparison {
    /// A comparison with `lines`.
    pub fn new(lines: Vec<EquipmentLine>) -> Self {
        let index = |key: fn(&EquipmentLine) -> &str| {
            let mut map: HashMap<String, Vec<usize>> = HashMap::new();
            for (at, line) in lines.iter().enumerate() {
                let key = plain(key(line));
                if !key.is_empty() {
                    map.entry(key).or_default().push(at);
                }
            }
            map
        };
        Self {
            by_tag: index(|l| &l.tag),
            by_serial: index(|l| &l.serial),
            by_certificate: index(|l| &l.certificate),
            taken: vec![false; lines.len()],
            lines,
        }
    }

    /// Holds one plate against the list. A tag decides; without one, the serial number, and
    /// where lines share that, the certificate.
    pub fn plate(&mut self, known: Known) -> Compared {
        let (by, found) = self.candidates(&known);
        let Some(&first) = found.first() else {
            return Compared::NotInList { known };
        };
        let free = found.iter().copied().find(|at| !self.taken[*at]);
        let at = free.unwrap_or(first);
        if found.len() > 1 || free.is_none() {
            for at in &found {
                self.taken[*at] = true;
            }
            return Compared::Ambiguous {
                line: self.lines[at].line,
                tag: self.lines[at].tag.clone(),
                by,
                plate: known.plate,
            };
        }
        self.taken[at] = true;
        let line = &self.lines[at];
        let differences = differences(line, &known);
        if differences.is_empty() {
            Compared::Agrees {
                line: line.line,
                plate: known.plate,
            }
        } else {
            Compared::Differs {
                line: line.line,
                tag: line.tag.clone(),
                plate: known.plate,
                differences,
            }
        }
    }

    fn candidates(&self, known: &Known) -> (&'static str, Vec<usize>) {
        let of = |map: &HashMap<String, Vec<usize>>, key: &str| {
            map.get(&plain(key)).cloned().unwrap_or_default()
        };
        let by_tag = of(&self.by_tag, &known.tag);
        if !by_tag.is_empty() {
            return ("tag", by_tag);
        }
        let by_serial = of(&self.by_serial, &known.serial);
        // Two makers may use one serial number; the certificate tells them apart.
        if by_serial.len() > 1 {
            let certificate = plain(&known.certificate);
            let both: Vec<usize> = by_serial
                .iter()
                .copied()
                .filter(|at| plain(&self.lines[*at].certificate) == certificate)
                .collect();
            if !both.is_empty() {
                return ("serial and certificate", both);
            }
        }
        if !by_serial.is_empty() {
            return ("serial", by_serial);
        }
        // Many plates share a certificate, so it names one only where nothing else is known.
        let alone: Vec<usize> = of(&self.by_certificate, &known.certificate)
            .into_iter()
            .filter(|at| self.lines[*at].serial.is_empty() && self.lines[*at].tag.is_empty())
            .collect();
        ("certificate", alone)
    }

    /// The lines that no plate met.
    pub fn rest(&self) -> impl Iterator<Item = Compared> {
        self.lines
            .iter()
            .zip(&self.taken)
            .filter(|(_, taken)| !**taken)
            .map(|(line, _)| Compared::NoPhoto {
                line: line.line,
                tag: line.tag.clone(),
                serial: line.serial.clone(),
            })
    }
}

fn differences(line: &EquipmentLine, known: &Known) -> Vec<Difference> {
    let mut found = Vec::new();
    for (field, list, plate) in [
        ("serial", &line.serial, &known.serial),
        ("certificate", &line.certificate, &known.certificate),
    ] {
        if !list.is_empty() && !plate.is_empty() && !same_number(field, list, plate) {
            found.push(Difference {
                field,
                list: list.clone(),
                plate: plate.clone(),
                lookalike: lookalike(&plain(list)) == lookalike(&plain(plate)),
            });
        }
    }
    if !line.marking.is_empty()
        && !known.marking.is_empty()
        && notation(&line.marking) != notation(&known.marking)
    {
        found.push(Difference {
            field: "marking",
            list: line.marking.clone(),
            plate: known.marking.clone(),
            lookalike: lookalike(&plain(&line.marking)) == lookalike(&plain(&known.marking)),
        });
    }
    found
}

/// Lists write certificates with their suffix or without; an X that only one side has is a
/// difference that matters, so it is left in where the list has it.
fn same_number(field: &str, list: &str, plate: &str) -> bool {
    let (list, plate) = (plain(list), plain(plate));
    list == plate || (field == "certificate" && without_suffix(&plate) == list)
}

fn without_suffix(certificate: &str) -> &str {
    certificate.trim_end_matches(['X', 'U'])
}

/// The markings in today's notation, so that other blanks, other order of lines or an older
/// way of writing are no difference; the letters where nothing was understood.
fn notation(marking: &str) -> Vec<String> {
    let lines: Vec<String> = marking
        .split([';', '\n'])
        .map(|line| line.trim().to_owned())
        .filter(|line| !line.is_empty())
        .collect();
    let answer = read_text(&lines, None, vetplate_parser::Language::English);
    let mut all: Vec<String> = answer
        .markings
        .iter()
        .filter_map(|m| m.canonical.clone())
        .collect();
    if all.is_empty() {
        return vec![plain(marking)];
    }
    all.sort();
    all
}

/// Capital letters and digits only.
fn plain(text: &str) -> String {
    text.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_uppercase)
        .collect()
}

/// Characters that are easily taken for each other made one.
fn lookalike(plain: &str) -> String {
    plain
        .chars()
        .map(|c| match c {
            'O' | 'Q' | 'D' => '0',
            'I' | 'L' => '1',
            'S' => '5',
            'B' => '8',
            'Z' => '2',
            'G' => '6',
            c => c,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(line: u64, tag: &str, serial: &str, certificate: &str, marking: &str) -> EquipmentLine {
        EquipmentLine {
            line,
            tag: tag.to_owned(),
            serial: serial.to_owned(),
            certificate: certificate.to_owned(),
            marking: marking.to_owned(),
            ..EquipmentLine::default()
        }
    }

    fn known(plate: i64, tag: &str, serial: &str, certificate: &str, marking: &str) -> Known {
        Known {
            plate,
            tag: tag.to_owned(),
            serial: serial.to_owned(),
            certificate: certificate.to_owned(),
            marking: marking.to_owned(),
        }
    }

    #[test]
    fn what_meets_is_compared_and_what_does_not_is_named() {
        let mut comparison = Comparison::new(vec![
            line(2, "P-1", "1001", "ABC 19 ATEX 1234X", "Ex db IIC T4 Gb"),
            line(3, "P-2", "10O2", "", "Ex db IIB T4 Gb"),
            line(4, "P-3", "1003", "", ""),
        ]);
        assert_eq!(
            comparison.plate(known(7, "", "1001", "ABC 19 ATEX 1234 X", "ExdbIICT4Gb")),
            Compared::Agrees { line: 2, plate: 7 }
        );
        let Compared::Differs { differences, .. } =
            comparison.plate(known(8, "p-2", "1002", "", "Ex db IIC T4 Gb"))
        else {
            panic!("no difference seen")
        };
        assert_eq!(
            differences
                .iter()
                .map(|d| (d.field, d.lookalike))
                .collect::<Vec<_>>(),
            [("serial", true), ("marking", false)]
        );
        assert!(matches!(
            comparison.plate(known(9, "", "555", "", "")),
            Compared::NotInList { .. }
        ));
        let rest: Vec<Compared> = comparison.rest().collect();
        assert_eq!(
            rest,
            [Compared::NoPhoto {
                line: 4,
                tag: "P-3".to_owned(),
                serial: "1003".to_owned()
            }]
        );
    }

    #[test]
    fn a_serial_of_two_makers_is_told_apart_by_the_certificate() {
        let mut comparison = Comparison::new(vec![
            line(2, "", "7", "ABC 19 ATEX 1", ""),
            line(3, "", "7", "XYZ 20 ATEX 2", ""),
        ]);
        assert_eq!(
            comparison.plate(known(1, "", "7", "XYZ 20 ATEX 2", "")),
            Compared::Agrees { line: 3, plate: 1 }
        );
        assert!(matches!(
            comparison.plate(known(2, "", "7", "", "")),
            Compared::Ambiguous { by: "serial", .. }
        ));
    }

    #[test]
    fn two_plates_for_one_line_are_no_agreement() {
        let mut comparison = Comparison::new(vec![line(2, "P-1", "", "", "")]);
        assert!(matches!(
            comparison.plate(known(1, "P-1", "", "", "")),
            Compared::Agrees { .. }
        ));
        assert!(matches!(
            comparison.plate(known(2, "P-1", "", "", "")),
            Compared::Ambiguous {
                by: "tag",
                plate: 2,
                ..
            }
        ));
    }

    #[test]
    fn a_missing_x_is_a_difference() {
        let mut comparison = Comparison::new(vec![line(2, "P-1", "", "ABC 19 ATEX 1X", "")]);
        assert!(matches!(
            comparison.plate(known(1, "P-1", "", "ABC 19 ATEX 1", "")),
            Compared::Differs { .. }
        ));
    }
}
