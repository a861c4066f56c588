//! Generated from `parser/data/zones.csv` by `parser/tests/tables.rs`; do not edit by hand.

use super::ZoneRow;
use crate::marking::{Atmosphere, Category, Level};
use crate::place::Zone;

/// Every zone, and the two uses in a mine.
#[rustfmt::skip]
pub(crate) const ZONES: &[ZoneRow] = &[
    ZoneRow { zone: Zone::Zone0, printed: Some(0), atmosphere: Atmosphere::Gas, level: Level::A, category: Category::One },
    ZoneRow { zone: Zone::Zone1, printed: Some(1), atmosphere: Atmosphere::Gas, level: Level::B, category: Category::Two },
    ZoneRow { zone: Zone::Zone2, printed: Some(2), atmosphere: Atmosphere::Gas, level: Level::C, category: Category::Three },
    ZoneRow { zone: Zone::Zone20, printed: Some(20), atmosphere: Atmosphere::Dust, level: Level::A, category: Category::One },
    ZoneRow { zone: Zone::Zone21, printed: Some(21), atmosphere: Atmosphere::Dust, level: Level::B, category: Category::Two },
    ZoneRow { zone: Zone::Zone22, printed: Some(22), atmosphere: Atmosphere::Dust, level: Level::C, category: Category::Three },
    ZoneRow { zone: Zone::MineM1, printed: None, atmosphere: Atmosphere::Mine, level: Level::A, category: Category::M1 },
    ZoneRow { zone: Zone::MineM2, printed: None, atmosphere: Atmosphere::Mine, level: Level::B, category: Category::M2 },
];
