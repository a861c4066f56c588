//! Generated from `parser/data/years.csv` by `parser/tests/tables.rs`; do not edit by hand.

use crate::marking::{Atmosphere, CertificateScheme, Epl, Group, Level, ProtectionType as T};

/// First year of a level letter.
#[rustfmt::skip]
pub(crate) const LEVELS: &[(T, &str, i32)] = &[
    (T::Flameproof, "c", 2014),
    (T::Flameproof, "b", 2007),
    (T::IncreasedSafety, "b", 2007),
    (T::PowderFilling, "b", 2007),
    (T::IncreasedSafety, "c", 2015),
    (T::LiquidImmersion, "b", 2015),
    (T::LiquidImmersion, "c", 2015),
    (T::NonSparking, "c", 2007),
    (T::NonIncendive, "c", 2007),
    (T::RestrictedBreathing, "c", 2007),
    (T::IntrinsicSafety, "c", 2006),
    (T::Encapsulation, "a", 2004),
    (T::Encapsulation, "b", 2004),
    (T::Encapsulation, "c", 2009),
    (T::DustEnclosure, "a", 2008),
    (T::DustEnclosure, "b", 2008),
    (T::DustEnclosure, "c", 2008),
];

/// First year of an EPL.
#[rustfmt::skip]
pub(crate) const EPLS: &[(Epl, i32)] = &[
    (Epl::new(Atmosphere::Gas, Level::A), 2006),
    (Epl::new(Atmosphere::Gas, Level::B), 2007),
    (Epl::new(Atmosphere::Gas, Level::C), 2007),
    (Epl::new(Atmosphere::Dust, Level::A), 2007),
    (Epl::new(Atmosphere::Dust, Level::B), 2007),
    (Epl::new(Atmosphere::Dust, Level::C), 2007),
    (Epl::new(Atmosphere::Mine, Level::A), 2007),
    (Epl::new(Atmosphere::Mine, Level::B), 2007),
];

/// First year of a dust group.
#[rustfmt::skip]
pub(crate) const DUST_GROUPS: &[(Group, i32)] = &[
    (Group::IIIA, 2007),
    (Group::IIIB, 2007),
    (Group::IIIC, 2007),
];

/// Year from which a type is certified no more.
#[rustfmt::skip]
pub(crate) const WITHDRAWN: &[(T, i32)] = &[
    (T::NonSparking, 2019),
    (T::EnergyLimited, 2014),
    (T::OldDustEnclosure, 2014),
    (T::DustIgnitionProof, 2014),
];

/// First year that a scheme allows at all, and the first that is usual.
#[rustfmt::skip]
pub(crate) const SCHEMES: &[(CertificateScheme, i32, i32)] = &[
    (CertificateScheme::Atex, 1995, 1995),
    (CertificateScheme::IecEx, 2002, 2003),
    (CertificateScheme::Ukex, 2020, 2021),
];

/// First year in which no certificate for `EEx` is expected.
pub(crate) const EEX_GONE: i32 = 2010;
