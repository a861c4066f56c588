//! The group and category line of the European and British directives.

use super::{Atmosphere, Level};
use crate::Read;
use crate::tables::ZONES;
use std::fmt;

/// An equipment category: `1`, `2`, `3`, `M1`, `M2`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Category {
    /// Very high protection, zones 0 and 20.
    One,
    /// High protection, zones 1 and 21.
    Two,
    /// Normal protection, zones 2 and 22.
    Three,
    /// Mines, stays energised in firedamp.
    M1,
    /// Mines, switched off in firedamp.
    M2,
}

impl Category {
    /// The level that the category stands for.
    ///
    /// **Source:** `parser/data/zones.csv`: 2014/34/EU Annex I (checked).
    pub fn level(self) -> Level {
        let row = ZONES.iter().find(|row| row.category == self);
        // Every category has its zone: a test asks for each.
        row.map_or(Level::C, |row| row.level)
    }
}

impl fmt::Display for Category {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::One => "1",
            Self::Two => "2",
            Self::Three => "3",
            Self::M1 => "M1",
            Self::M2 => "M2",
        })
    }
}

/// One printed category token.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CategoryToken {
    /// `2`
    Own(Category),
    /// `1/2`: boundary wall, one side each. `None` stands for `-`: that side is no hazardous area.
    Boundary(Option<Category>, Option<Category>),
    /// `(1)`: associated apparatus, for circuits that lead to category 1.
    Circuit(Category),
}

impl fmt::Display for CategoryToken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let side = |c: &Option<Category>| c.map_or_else(|| "-".to_owned(), |c| c.to_string());
        match self {
            Self::Own(c) => write!(f, "{c}"),
            Self::Boundary(a, b) => write!(f, "{}/{}", side(a), side(b)),
            Self::Circuit(c) => write!(f, "({c})"),
        }
    }
}

/// A group and category line: `II 2(1) G`.
#[derive(Debug, Clone, PartialEq)]
pub struct AtexLine {
    /// True for group I (mines), false for group II.
    pub mining: bool,
    /// Category tokens in print order.
    pub categories: Vec<Read<CategoryToken>>,
    /// Atmosphere letters in print order, `G`, `D`; empty in group I.
    pub atmospheres: Vec<Atmosphere>,
    /// The whole line as printed.
    pub raw: Read<String>,
}

impl AtexLine {
    /// The strongest category of the equipment itself (not of circuits), for comparing with EPLs.
    pub fn own_categories(&self) -> Vec<Category> {
        self.categories
            .iter()
            .flat_map(|token| match token.value {
                CategoryToken::Own(c) => vec![c],
                CategoryToken::Boundary(a, b) => a.into_iter().chain(b).collect(),
                CategoryToken::Circuit(_) => Vec::new(),
            })
            .collect()
    }
}
