//! Generated from `parser/data/groups.csv` by `parser/tests/tables.rs`; do not edit by hand.

use super::GroupRow;
use crate::marking::{Atmosphere, Group};

/// Every equipment group.
#[rustfmt::skip]
pub(crate) const GROUPS: &[GroupRow] = &[
    GroupRow { group: Group::I, atmosphere: Atmosphere::Mine, rank: 0 },
    GroupRow { group: Group::II, atmosphere: Atmosphere::Gas, rank: 0 },
    GroupRow { group: Group::IIA, atmosphere: Atmosphere::Gas, rank: 1 },
    GroupRow { group: Group::IIB, atmosphere: Atmosphere::Gas, rank: 2 },
    GroupRow { group: Group::IIBPlusH2, atmosphere: Atmosphere::Gas, rank: 3 },
    GroupRow { group: Group::IIC, atmosphere: Atmosphere::Gas, rank: 4 },
    GroupRow { group: Group::III, atmosphere: Atmosphere::Dust, rank: 0 },
    GroupRow { group: Group::IIIA, atmosphere: Atmosphere::Dust, rank: 1 },
    GroupRow { group: Group::IIIB, atmosphere: Atmosphere::Dust, rank: 2 },
    GroupRow { group: Group::IIIC, atmosphere: Atmosphere::Dust, rank: 3 },
];
