//! Entity parameters of intrinsically safe circuits.

use crate::Read;
use std::fmt;

/// Which entity parameter a value is.
///
/// **Source:** IEC 60079-11 (memory); older American names in brackets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quantity {
    /// Highest input voltage, V (`Vmax`).
    Ui,
    /// Highest input current, mA (`Imax`).
    Ii,
    /// Highest input power, W.
    Pi,
    /// Internal capacitance, nF.
    Ci,
    /// Internal inductance, µH.
    Li,
    /// Highest output voltage, V (`Voc`).
    Uo,
    /// Highest output current, mA (`Isc`).
    Io,
    /// Highest output power, W.
    Po,
    /// Highest external capacitance, nF (`Ca`).
    Co,
    /// Highest external inductance, µH (`La`).
    Lo,
    /// Highest external inductance to resistance ratio, µH/Ω.
    LoRo,
    /// Highest voltage at the non-intrinsically-safe terminals, V.
    Um,
}

impl Quantity {
    /// Name as printed.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ui => "Ui",
            Self::Ii => "Ii",
            Self::Pi => "Pi",
            Self::Ci => "Ci",
            Self::Li => "Li",
            Self::Uo => "Uo",
            Self::Io => "Io",
            Self::Po => "Po",
            Self::Co => "Co",
            Self::Lo => "Lo",
            Self::LoRo => "Lo/Ro",
            Self::Um => "Um",
        }
    }

    /// Unit in which [`Entity::value`] is held.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Ui | Self::Uo | Self::Um => "V",
            Self::Ii | Self::Io => "mA",
            Self::Pi | Self::Po => "W",
            Self::Ci | Self::Co => "nF",
            Self::Li | Self::Lo => "µH",
            Self::LoRo => "µH/Ω",
        }
    }

    /// The key in the answer: name and unit, `ui_v`, `ci_nf`.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Ui => "ui_v",
            Self::Ii => "ii_ma",
            Self::Pi => "pi_w",
            Self::Ci => "ci_nf",
            Self::Li => "li_uh",
            Self::Uo => "uo_v",
            Self::Io => "io_ma",
            Self::Po => "po_w",
            Self::Co => "co_nf",
            Self::Lo => "lo_uh",
            Self::LoRo => "lo_ro_uh_per_ohm",
            Self::Um => "um_v",
        }
    }

    /// True for the values of a source.
    pub const fn is_output(self) -> bool {
        matches!(
            self,
            Self::Uo | Self::Io | Self::Po | Self::Co | Self::Lo | Self::LoRo
        )
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// One entity parameter.
#[derive(Debug, Clone, PartialEq)]
pub struct Entity {
    /// Which one.
    pub quantity: Quantity,
    /// Value in [`Quantity::unit`].
    pub value: Read<f64>,
}
