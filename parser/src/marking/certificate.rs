//! Certificate numbers.

use crate::{Read, Span};
use std::fmt;

/// What the last letter of a certificate number says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Suffix {
    /// No letter.
    None,
    /// Specific conditions of use must be met.
    X,
    /// Ex component: cannot be used on its own.
    U,
    /// Both letters, which is rare and asks for a look.
    XAndU,
}

impl fmt::Display for Suffix {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::None => "",
            Self::X => "X",
            Self::U => "U",
            Self::XAndU => "XU",
        })
    }
}

/// The scheme that a certificate number belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CertificateScheme {
    /// European directive.
    Atex,
    /// IEC certification system.
    IecEx,
    /// Great Britain.
    Ukex,
    /// Any other.
    National,
}

impl fmt::Display for CertificateScheme {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Atex => "ATEX",
            Self::IecEx => "IECEx",
            Self::Ukex => "UKEX",
            Self::National => "national",
        })
    }
}

/// One certificate number.
#[derive(Debug, Clone, PartialEq)]
pub struct Certificate {
    /// Number without its suffix, blanks made single: `ABC 14 ATEX 1234`.
    pub number: Read<String>,
    /// Where it stands with all that belongs to it: two places where it goes on in the next line.
    pub spans: Vec<Span>,
    /// Scheme.
    pub scheme: CertificateScheme,
    /// X, U or nothing.
    pub suffix: Suffix,
    /// Year of first issue, four digits, where the number shows one.
    pub year: Option<i32>,
    /// Issue number, where printed behind it.
    pub issue: Option<u32>,
}
