//! Generated from `parser/data/ip_minima.csv` by `parser/tests/tables.rs`; do not edit by hand.

use super::IpRow;
use crate::marking::{Group, ProtectionType as T};

/// Lowest figures that pass for a type whatever is inside.
#[rustfmt::skip]
pub(crate) const IP_BY_TYPE: &[IpRow] = &[
    IpRow { kind: T::IncreasedSafety, levels: &[], groups: &[], solids: 4, water: 4 },
    IpRow { kind: T::NonSparking, levels: &[], groups: &[], solids: 4, water: 4 },
    IpRow { kind: T::NonIncendive, levels: &[], groups: &[], solids: 4, water: 4 },
    IpRow { kind: T::EnergyLimited, levels: &[], groups: &[], solids: 4, water: 4 },
    IpRow { kind: T::RestrictedBreathing, levels: &[], groups: &[], solids: 4, water: 4 },
    IpRow { kind: T::TypeN, levels: &[], groups: &[], solids: 4, water: 4 },
    IpRow { kind: T::PowderFilling, levels: &[], groups: &[], solids: 4, water: 3 },
    IpRow { kind: T::Pressurization, levels: &[], groups: &[], solids: 4, water: 0 },
    IpRow { kind: T::PressurizedX, levels: &[], groups: &[], solids: 4, water: 0 },
    IpRow { kind: T::PressurizedY, levels: &[], groups: &[], solids: 4, water: 0 },
    IpRow { kind: T::PressurizedZ, levels: &[], groups: &[], solids: 4, water: 0 },
    IpRow { kind: T::IntrinsicSafety, levels: &[], groups: &[Group::I], solids: 5, water: 4 },
    IpRow { kind: T::IntrinsicSafety, levels: &[], groups: &[], solids: 2, water: 0 },
    IpRow { kind: T::LiquidImmersion, levels: &["b", "c"], groups: &[], solids: 6, water: 6 },
];

/// Figures that belong to a type of protection against dust itself.
#[rustfmt::skip]
pub(crate) const IP_FOR_DUST: &[IpRow] = &[
    IpRow { kind: T::DustEnclosure, levels: &["a"], groups: &[], solids: 6, water: 0 },
    IpRow { kind: T::DustEnclosure, levels: &["b"], groups: &[Group::IIIA], solids: 5, water: 0 },
    IpRow { kind: T::DustEnclosure, levels: &["b"], groups: &[], solids: 6, water: 0 },
    IpRow { kind: T::DustEnclosure, levels: &["c"], groups: &[Group::IIIA, Group::IIIB], solids: 5, water: 0 },
    IpRow { kind: T::DustEnclosure, levels: &["c"], groups: &[], solids: 6, water: 0 },
    IpRow { kind: T::OldDustEnclosure, levels: &["A20", "B20", "A21", "B21"], groups: &[], solids: 6, water: 0 },
    IpRow { kind: T::OldDustEnclosure, levels: &["A22", "B22"], groups: &[Group::IIIA, Group::IIIB], solids: 5, water: 0 },
    IpRow { kind: T::OldDustEnclosure, levels: &["A22", "B22"], groups: &[], solids: 6, water: 0 },
    IpRow { kind: T::DustIgnitionProof, levels: &["A20", "B20", "A21", "B21"], groups: &[], solids: 6, water: 0 },
    IpRow { kind: T::DustIgnitionProof, levels: &["A22", "B22"], groups: &[Group::IIIA, Group::IIIB], solids: 5, water: 0 },
    IpRow { kind: T::DustIgnitionProof, levels: &["A22", "B22"], groups: &[], solids: 6, water: 0 },
];
