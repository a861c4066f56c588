//! What is looked at in an inspection.

mod table;

pub use table::ITEMS;

use crate::register::Grade;

/// A column of the inspection tables: types of protection that share their items.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Table {
    /// Flameproof.
    D,
    /// Increased safety.
    E,
    /// Type n, but for energy limitation.
    N,
    /// Dust protection by enclosure.
    T,
    /// Intrinsic safety, and energy limitation nL.
    I,
    /// Pressurisation.
    P,
}

/// Part of an inspection table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Section {
    /// The equipment itself.
    Equipment,
    /// How it is installed.
    Installation,
    /// What surrounds it.
    Environment,
}

/// What a plate, or its verdict, can say about an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Subject {
    /// Level of protection for the zone.
    Level,
    /// Equipment group.
    Group,
    /// Temperature for gas.
    GasTemperature,
    /// Temperature for dust.
    DustTemperature,
    /// Degree of protection by enclosure.
    Ip,
    /// Ambient range.
    Ambient,
    /// Tag or circuit; not on the plate itself.
    Tag,
    /// Type, serial number, certificate.
    Documents,
    /// Specific conditions of use.
    Conditions,
    /// Plate of a lamp.
    Lamp,
    /// Plate of a barrier.
    Barrier,
}

impl Subject {
    /// The rules of the verdict that speak about it.
    pub const fn rules(self) -> &'static [&'static str] {
        match self {
            Self::Level => &[
                "marking-readable",
                "ex-component",
                "associated-apparatus",
                "atmosphere",
                "level-of-protection",
                "risk-assessment",
                "special-types",
                "north-america",
            ],
            Self::Group => &["equipment-group"],
            Self::GasTemperature => &["gas-temperature", "temperature-asked"],
            Self::DustTemperature => &["dust-temperature", "dust-class-temperature"],
            Self::Ip => &["dust-ip", "ip-asked"],
            Self::Ambient => &["ambient"],
            Self::Tag | Self::Documents | Self::Conditions | Self::Lamp | Self::Barrier => &[],
        }
    }
}

/// One item of the inspection tables, in words of our own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InspectionItem {
    /// Name, never changed.
    pub id: &'static str,
    /// Part of the table.
    pub section: Section,
    /// For which types of protection.
    pub tables: &'static [Table],
    /// Belongs to a detailed inspection.
    pub detailed: bool,
    /// Belongs to a close inspection.
    pub close: bool,
    /// Belongs to a visual inspection.
    pub visual: bool,
    /// What must be so.
    pub text: &'static str,
    /// What the plate can say about it.
    pub plate: &'static [Subject],
    /// Standard and edition.
    pub standard: &'static str,
    /// Table and row.
    pub clause: &'static str,
    /// `checked`, `memory` or `practice`.
    pub known: &'static str,
    /// When it does not concern every equipment.
    pub note: &'static str,
}

impl InspectionItem {
    /// Standard, clause and how it is known, in one line.
    pub fn source(&self) -> String {
        format!("{} {} ({})", self.standard, self.clause, self.known)
    }

    /// True where an inspection of this grade looks at it.
    pub const fn belongs_to(&self, grade: Grade) -> bool {
        match grade {
            Grade::Visual => self.visual,
            Grade::Close => self.close,
            Grade::Detailed => self.detailed,
        }
    }
}

/// The item that has this name.
pub fn item(id: &str) -> Option<&'static InspectionItem> {
    ITEMS.iter().find(|item| item.id == id)
}

/// The items of a grade for types of protection, in the order of the tables.
pub fn items_for(tables: &[Table], grade: Grade) -> impl Iterator<Item = &'static InspectionItem> {
    ITEMS.iter().filter(move |item| {
        item.belongs_to(grade) && item.tables.iter().any(|table| tables.contains(table))
    })
}

/// The tables for types of protection as they are marked: code and level.
///
/// Types without a table of their own (m, o, q, op, s, h and the rest) use the first one as it
/// fits, so they get the items that d, e and t share. nL is inspected as intrinsic safety.
///
/// **Source:** IEC 60079-17:2013 (checked).
pub fn tables_for<'a>(types: impl IntoIterator<Item = (&'a str, &'a str)>) -> Vec<Table> {
    let mut tables: Vec<Table> = Vec::new();
    for (code, level) in types {
        match code {
            "d" => tables.push(Table::D),
            "e" => tables.push(Table::E),
            "nL" | "i" | "iD" => tables.push(Table::I),
            "n" if level == "L" => tables.push(Table::I),
            "n" | "nA" | "nC" | "nR" => tables.push(Table::N),
            "t" | "tD" | "DIP" => tables.push(Table::T),
            "p" | "px" | "py" | "pz" | "pD" | "nP" | "nZ" | "v" => tables.push(Table::P),
            _ => tables.extend([Table::D, Table::E, Table::T]),
        }
    }
    if tables.is_empty() {
        // A plate that says nothing leaves nothing out.
        tables.extend([Table::D, Table::E, Table::N, Table::T, Table::I, Table::P]);
    }
    tables.sort_unstable();
    tables.dedup();
    tables
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_that_an_item_asks_exists() {
        let known: Vec<&str> = vetplate_parser::rules::RULES
            .iter()
            .map(|r| r.id())
            .collect();
        for item in ITEMS {
            for subject in item.plate {
                for rule in subject.rules() {
                    assert!(known.contains(rule), "{}: {rule}", item.id);
                }
            }
        }
    }

    #[test]
    fn a_deeper_grade_never_looks_less() {
        // Where a closer look replaces a glance, the pair has two rows; together they cover it.
        for table in [Table::D, Table::E, Table::N, Table::T, Table::I, Table::P] {
            let count = |grade| items_for(&[table], grade).count();
            assert!(count(Grade::Visual) < count(Grade::Close), "{table:?}");
            assert!(count(Grade::Close) < count(Grade::Detailed), "{table:?}");
        }
    }

    #[test]
    fn types_go_to_their_tables() {
        assert_eq!(tables_for([("d", "b"), ("e", "b")]), [Table::D, Table::E]);
        assert_eq!(tables_for([("nL", "")]), [Table::I]);
        assert_eq!(tables_for([("nA", "")]), [Table::N]);
        assert_eq!(tables_for([("m", "b")]), [Table::D, Table::E, Table::T]);
        assert_eq!(tables_for([]).len(), 6);
    }

    #[test]
    fn grades_of_the_first_rows_are_those_of_the_standard() {
        let grades = |id: &str| {
            let item = ITEMS.iter().find(|i| i.id == id).unwrap();
            (item.detailed, item.close, item.visual)
        };
        assert_eq!(grades("eq-level"), (true, true, true));
        assert_eq!(grades("eq-group"), (true, true, false));
        assert_eq!(grades("eq-class"), (true, true, false));
        assert_eq!(grades("eq-ip"), (true, true, true));
        assert_eq!(grades("eq-circuit-right"), (true, false, false));
        assert_eq!(grades("eq-circuit-there"), (true, true, true));
        assert_eq!(grades("is-documents"), (true, true, false));
    }
}
