//! Generated from `parser/data/temperature_classes.csv` by `parser/tests/tables.rs`; do not edit by hand.

use super::ClassRow;
use crate::marking::TClass;

/// Every class, hottest first.
#[rustfmt::skip]
pub(crate) const CLASSES: &[ClassRow] = &[
    ClassRow { class: TClass::T1, max_surface_c: 450.0, divides: None },
    ClassRow { class: TClass::T2, max_surface_c: 300.0, divides: None },
    ClassRow { class: TClass::T2A, max_surface_c: 280.0, divides: Some(TClass::T2) },
    ClassRow { class: TClass::T2B, max_surface_c: 260.0, divides: Some(TClass::T2) },
    ClassRow { class: TClass::T2C, max_surface_c: 230.0, divides: Some(TClass::T2) },
    ClassRow { class: TClass::T2D, max_surface_c: 215.0, divides: Some(TClass::T2) },
    ClassRow { class: TClass::T3, max_surface_c: 200.0, divides: None },
    ClassRow { class: TClass::T3A, max_surface_c: 180.0, divides: Some(TClass::T3) },
    ClassRow { class: TClass::T3B, max_surface_c: 165.0, divides: Some(TClass::T3) },
    ClassRow { class: TClass::T3C, max_surface_c: 160.0, divides: Some(TClass::T3) },
    ClassRow { class: TClass::T4, max_surface_c: 135.0, divides: None },
    ClassRow { class: TClass::T4A, max_surface_c: 120.0, divides: Some(TClass::T4) },
    ClassRow { class: TClass::T5, max_surface_c: 100.0, divides: None },
    ClassRow { class: TClass::T6, max_surface_c: 85.0, divides: None },
];
