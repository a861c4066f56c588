//! What is known of gases, vapours and dusts: the bundled table and the search in it.

mod search;
mod table;

pub(crate) use search::same_name;
pub use search::{Hit, Kind, Match, dust, find, gas, nearest};

use crate::marking::Group;
use crate::{Joint, Message, message};
use std::fmt;

/// How a fact is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Known {
    /// Compared with at least one public page or published table.
    Checked,
    /// Written from memory.
    Memory,
    /// Common practice, no written source.
    Practice,
}

impl Known {
    /// In a word.
    pub fn said(self) -> Message {
        Message::named(
            "cite",
            match self {
                Self::Checked => "checked",
                Self::Memory => "memory",
                Self::Practice => "practice",
            },
        )
    }
}

impl fmt::Display for Known {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Checked => "checked",
            Self::Memory => "memory",
            Self::Practice => "practice",
        })
    }
}

/// One number with the table that it stands in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Value {
    /// The number, in the unit of the field that holds it.
    pub value: f64,
    /// Table and edition.
    pub source: &'static str,
    /// How it is known.
    pub known: Known,
}

/// Equipment group of a gas and what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupFact {
    /// The stricter group where sources differ.
    pub group: Group,
    /// Maximum experimental safe gap in mm, as given, several where sources differ.
    pub mesg_mm: &'static str,
    /// Who says so, and who says otherwise.
    pub from: &'static str,
    /// The kinds of source, spelled out.
    pub sources: &'static str,
    /// Who says otherwise and what else is to be known, in plain words; often empty.
    pub remark: &'static str,
    /// How it is known.
    pub known: Known,
}

/// A gas or vapour.
#[derive(Debug, Clone, PartialEq)]
pub struct Substance {
    /// CAS number, empty for a mixture that has none.
    pub cas: &'static str,
    /// The usual name.
    pub name: &'static str,
    /// Other names.
    pub synonyms: &'static [&'static str],
    /// Sum formula and structural formulas.
    pub formulas: &'static [&'static str],
    /// Equipment group; none where no source names it.
    pub group: Option<GroupFact>,
    /// Group letter of the NEC where a source names it.
    pub nec_group: Option<char>,
    /// Auto-ignition temperatures in °C, one a table.
    pub ignition_c: &'static [Value],
    /// Flash points in °C, one a table.
    pub flash_c: &'static [Value],
    /// Lower flammable limits in % by volume, one a table.
    pub lfl_percent: &'static [Value],
    /// Upper flammable limits in % by volume, one a table.
    pub ufl_percent: &'static [Value],
    /// What else is to be known of the row.
    pub note: &'static str,
}

impl GroupFact {
    /// What to say behind the group in brackets: `IIA before 2010; checked`.
    pub fn known_as(&self) -> Message {
        let known = self.known.said();
        if self.remark.is_empty() {
            known
        } else {
            Message::list([remark(self.remark), known], Joint::Semicolon)
        }
    }
}

impl Substance {
    /// Its usual name in a language; that of the table where no group is known, for the
    /// catalogue has the names that a verdict can rest on.
    pub fn said(&self) -> Message {
        match (&self.group, self.cas) {
            (None, _) => Message::verbatim(self.name),
            (Some(_), "") => Message::named("gas", self.name),
            (Some(_), cas) => Message::named("gas", cas),
        }
    }

    /// The lowest ignition temperature of the tables, which is the one to use.
    pub fn lowest_ignition(&self) -> Option<Value> {
        self.ignition_c
            .iter()
            .copied()
            .min_by(|a, b| a.value.total_cmp(&b.value))
    }

    /// Every ignition temperature with its table, for showing both where they differ.
    pub fn ignition_shown(&self) -> Message {
        Message::list(
            self.ignition_c
                .iter()
                .map(|v| message!("value-in-table", celsius = v.value, table = v.source)),
            Joint::Comma,
        )
    }
}

impl Dust {
    /// Its usual name in a language.
    pub fn said(&self) -> Message {
        dust_name(self.name)
    }
}

/// The name of a dust of the table in a language.
pub fn dust_name(name: &str) -> Message {
    Message::named("dust", name)
}

/// What a table remarks on a row.
pub fn remark(text: &str) -> Message {
    Message::named("remark", text)
}

/// A range of ignition temperatures met in public tables.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Lower end in °C, the only one that a verdict uses.
    pub low_c: f64,
    /// Upper end in °C.
    pub high_c: f64,
    /// True where the upper end is "above" the number.
    pub open: bool,
    /// How it is known.
    pub known: Known,
}

/// A dust. Only a laboratory value of the actual dust counts; the table warns.
#[derive(Debug, Clone, PartialEq)]
pub struct Dust {
    /// The usual name.
    pub name: &'static str,
    /// Other names.
    pub synonyms: &'static [&'static str],
    /// Dust group, the stricter where it may be two.
    pub group: Group,
    /// `unless measured`, `or IIIA`; empty if plain.
    pub group_note: &'static str,
    /// Ignition temperature of the cloud.
    pub cloud: Range,
    /// Ignition temperature of a 5 mm layer; none where it melts first.
    pub layer: Option<Range>,
    /// True if it may melt before it ignites.
    pub melts: bool,
    /// True for organic dust that may dehydrate or carbonise.
    pub organic: bool,
    /// Highest permissible surface temperature of the lower ends in °C.
    pub limit_c: f64,
    /// What else is to be known of the row.
    pub note: &'static str,
}

/// Every gas and vapour, by CAS number; mixtures without one at the end.
pub fn gases() -> &'static [Substance] {
    table::GASES
}

/// Every dust, by name.
pub fn dusts() -> &'static [Dust] {
    table::DUSTS
}
