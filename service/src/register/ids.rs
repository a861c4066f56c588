//! Names of rows. Each kind has its own type, so that none can be taken for another.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {
        $(
            $(#[$doc])*
            #[derive(
                Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize,
            )]
            #[serde(transparent)]
            pub struct $name(pub i64);

            impl fmt::Display for $name {
                fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                    self.0.fmt(f)
                }
            }

            impl FromStr for $name {
                type Err = std::num::ParseIntError;

                fn from_str(text: &str) -> Result<Self, Self::Err> {
                    text.parse().map(Self)
                }
            }
        )+
    };
}

ids! {
    /// A photo.
    PhotoId,
    /// One reading of a photo.
    ReadingId,
    /// One piece of equipment.
    PlateId,
    /// A location of the site.
    LocationId,
    /// One verdict.
    VerdictId,
    /// A person's confirmation or correction.
    SettlementId,
    /// One inspection.
    InspectionId,
    /// One run of an import.
    ImportId,
    /// Somebody who may use a service.
    AccountId,
    /// A session or a token of an account.
    KeyId,
}
