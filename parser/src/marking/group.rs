//! Equipment groups.

use super::Atmosphere;
use crate::tables::{GROUPS, GroupRow, NEC_LETTERS};
use std::fmt;

/// The equipment group printed in a marking.
///
/// **Source:** IEC 60079-0:2017 clause 4; NEC 500.6 for the lettered groups.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Group {
    /// Mines susceptible to firedamp.
    I,
    /// Gas, no letter printed.
    II,
    /// Gas group of propane.
    IIA,
    /// Gas group of ethylene.
    IIB,
    /// All of IIB and hydrogen.
    IIBPlusH2,
    /// Gas group of hydrogen and acetylene.
    IIC,
    /// Dust, no letter printed.
    III,
    /// Combustible flyings.
    IIIA,
    /// Non-conductive dust.
    IIIB,
    /// Conductive dust.
    IIIC,
    /// North American group letters, A to D (gas) or E to G (dust), in print order.
    American(Vec<char>),
}

impl Group {
    /// Which atmosphere the group speaks of; lettered groups: gas if any letter is A to D.
    pub fn atmosphere(&self) -> Atmosphere {
        match self {
            Self::American(letters) => {
                if letters.iter().any(|l| letter_class(*l) == Some(1)) {
                    Atmosphere::Gas
                } else {
                    Atmosphere::Dust
                }
            }
            _ => self.row().map_or(Atmosphere::Gas, |row| row.atmosphere),
        }
    }

    fn row(&self) -> Option<&'static GroupRow> {
        GROUPS.iter().find(|row| row.group == *self)
    }

    /// Place among the groups of its atmosphere, weakest first; 0 where it covers no other and for
    /// lettered groups.
    pub(crate) fn rank(&self) -> u8 {
        self.row().map_or(0, |row| row.rank)
    }
}

/// The class that a North American group letter belongs to: 1 gas, 2 dust.
pub(crate) fn letter_class(letter: char) -> Option<u8> {
    let row = NEC_LETTERS.iter().find(|row| row.letter == letter)?;
    Some(row.class)
}

impl fmt::Display for Group {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::I => f.write_str("I"),
            Self::II => f.write_str("II"),
            Self::IIA => f.write_str("IIA"),
            Self::IIB => f.write_str("IIB"),
            Self::IIBPlusH2 => f.write_str("IIB+H2"),
            Self::IIC => f.write_str("IIC"),
            Self::III => f.write_str("III"),
            Self::IIIA => f.write_str("IIIA"),
            Self::IIIB => f.write_str("IIIB"),
            Self::IIIC => f.write_str("IIIC"),
            Self::American(letters) => {
                for (i, letter) in letters.iter().enumerate() {
                    if i > 0 {
                        f.write_str(",")?;
                    }
                    write!(f, "{letter}")?;
                }
                Ok(())
            }
        }
    }
}
