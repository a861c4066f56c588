//! Groups of the columns of Co and Lo.

use std::fmt;
use std::str::FromStr;

/// The group that a column of Co, Lo and Lo/Ro stands for, least strict first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum LoopGroup {
    /// Mines.
    I,
    /// Gas group of propane.
    IIA,
    /// Dust: takes the IIB column.
    III,
    /// Gas group of ethylene.
    IIB,
    /// Gas group of hydrogen.
    IIC,
}

impl fmt::Display for LoopGroup {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::I => "I",
            Self::IIA => "IIA",
            Self::III => "III",
            Self::IIB => "IIB",
            Self::IIC => "IIC",
        })
    }
}

impl FromStr for LoopGroup {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        Ok(match text.trim().to_uppercase().as_str() {
            "I" => Self::I,
            "IIA" => Self::IIA,
            "IIB" => Self::IIB,
            "IIC" => Self::IIC,
            "III" | "IIIA" | "IIIB" | "IIIC" => Self::III,
            _ => {
                return Err(format!(
                    "'{text}' is no group; write I, IIA, IIB, IIC or III"
                ));
            }
        })
    }
}
