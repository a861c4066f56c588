//! Temperature classes and surface temperatures.

use super::Ambient;
use crate::tables::{CLASSES, ClassRow};
use std::fmt;
use std::str::FromStr;

/// A temperature class, or one of the North American subdivisions.
///
/// **Source:** IEC 60079-0:2017 5.3; NEC 500.8 for the subdivisions (checked).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the names are the printed classes")]
pub enum TClass {
    T1,
    T2,
    T2A,
    T2B,
    T2C,
    T2D,
    T3,
    T3A,
    T3B,
    T3C,
    T4,
    T4A,
    T5,
    T6,
}

impl TClass {
    /// Every class, hottest first.
    pub fn all() -> impl Iterator<Item = Self> {
        CLASSES.iter().map(|row| row.class)
    }

    fn row(self) -> &'static ClassRow {
        // The rows stand in the order of the classes: a test compares them.
        &CLASSES[self as usize]
    }

    /// Highest surface temperature of the class in °C.
    ///
    /// **Source:** `parser/data/temperature_classes.csv`, row by row.
    pub fn limit_c(self) -> f64 {
        self.row().max_surface_c
    }

    /// True for the subdivisions that exist only under North American codes.
    pub fn is_american(self) -> bool {
        self.row().divides.is_some()
    }

    /// The class that every code knows: itself, or the one that a subdivision divides.
    pub(crate) fn undivided(self) -> Self {
        self.row().divides.unwrap_or(self)
    }
}

impl fmt::Display for TClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self, f)
    }
}

impl FromStr for TClass {
    type Err = ();

    fn from_str(text: &str) -> Result<Self, ()> {
        Self::all()
            .find(|class| class.to_string() == text)
            .ok_or(())
    }
}

/// A class that holds up to an ambient temperature printed beside it:
/// `T6 (Ta ≤ +40 °C) / T4 (Ta ≤ +60 °C)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AmbientClass {
    /// The class.
    pub class: TClass,
    /// Lowest ambient in °C for which it holds; the default where none is printed.
    pub ambient_min_c: f64,
    /// Highest ambient in °C for which it holds.
    pub ambient_max_c: f64,
}

impl AmbientClass {
    pub(crate) fn new(class: TClass, ambient: Ambient) -> Self {
        Self {
            class,
            ambient_min_c: ambient.low_c,
            ambient_max_c: ambient.high_c,
        }
    }

    /// The range in which some class of a table holds. Its low end is one that all rows share, but for
    /// rows that go on where another ends: `T6 (Ta ≤ 40 °C) T5 (40 °C < Ta ≤ 55 °C)`.
    pub(crate) fn range(table: &[Self]) -> Option<Ambient> {
        // `+41 °C` goes on behind `+40 °C`.
        const STEP: f64 = 1.0;
        let goes_on = |row: &Self| {
            table
                .iter()
                .any(|other| (0.0..=STEP).contains(&(row.ambient_min_c - other.ambient_max_c)))
        };
        let high_c = table.iter().map(|c| c.ambient_max_c).reduce(f64::max)?;
        let starts = table.iter().filter(|row| !goes_on(row));
        let low_c = starts.map(|c| c.ambient_min_c).reduce(f64::max)?;
        Some(Ambient { low_c, high_c })
    }
}

/// What a gas marking says of its surface temperature.
#[derive(Debug, Clone, PartialEq)]
pub enum Temperature {
    /// One class.
    Class(TClass),
    /// From one class to another, in print order; which one holds is in the certificate.
    Range(TClass, TClass),
    /// A surface temperature in °C in the place of a class, with the class in brackets if printed.
    MaxSurface {
        /// °C.
        celsius: f64,
        /// `(T4)` behind it.
        class: Option<TClass>,
    },
    /// Classes each with the ambient up to which it holds.
    ByAmbient(Vec<AmbientClass>),
}

impl Temperature {
    /// The hottest class named, where classes are named.
    pub fn worst_class(&self) -> Option<TClass> {
        match self {
            Self::Class(class) => Some(*class),
            Self::Range(a, b) => Some(*a.min(b)),
            Self::MaxSurface { class, .. } => *class,
            Self::ByAmbient(classes) => classes.iter().map(|c| c.class).min(),
        }
    }
}

impl fmt::Display for Temperature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Class(class) => write!(f, "{class}"),
            Self::Range(a, b) => write!(f, "{a}...{b}"),
            Self::MaxSurface {
                celsius,
                class: None,
            } => write!(f, "{celsius} °C"),
            Self::MaxSurface {
                celsius,
                class: Some(class),
            } => write!(f, "{celsius} °C ({class})"),
            Self::ByAmbient(classes) => {
                for (i, c) in classes.iter().enumerate() {
                    if i > 0 {
                        f.write_str(" / ")?;
                    }
                    write!(f, "{} (Ta ≤ {:+} °C)", c.class, c.ambient_max_c)?;
                }
                Ok(())
            }
        }
    }
}

/// The surface temperature of a dust marking, `T120 °C` or `T200 110 °C`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DustTemperature {
    /// Highest surface temperature in °C.
    pub celsius: f64,
    /// Depth of the dust layer in mm at which it was found, where marked.
    pub layer_mm: Option<f64>,
}

impl fmt::Display for DustTemperature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.layer_mm {
            Some(depth) => write!(f, "T{depth} {} °C", self.celsius),
            None => write!(f, "T{} °C", self.celsius),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_class_has_its_row_in_order() {
        for (index, row) in CLASSES.iter().enumerate() {
            assert_eq!(row.class as usize, index);
            assert_eq!(row.class.to_string().parse(), Ok(row.class));
        }
        assert_eq!(TClass::T6 as usize + 1, CLASSES.len());
        // The limits fall from class to class, so the order of the classes is that of the limits.
        assert!(CLASSES.is_sorted_by(|a, b| a.max_surface_c > b.max_surface_c));
    }

    #[test]
    fn the_range_of_a_table() {
        let row = |class, low_c, high_c| AmbientClass::new(class, Ambient { low_c, high_c });
        for (table, low, high) in [
            (
                [row(TClass::T6, -20.0, 40.0), row(TClass::T5, -20.0, 55.0)],
                -20.0,
                55.0,
            ),
            (
                [row(TClass::T6, 0.0, 40.0), row(TClass::T5, -20.0, 55.0)],
                0.0,
                55.0,
            ),
            (
                [row(TClass::T6, -20.0, 40.0), row(TClass::T5, 40.0, 55.0)],
                -20.0,
                55.0,
            ),
            (
                [row(TClass::T5, 41.0, 55.0), row(TClass::T6, -40.0, 40.0)],
                -40.0,
                55.0,
            ),
            // Nobody says what holds between 40 and 50 °C.
            (
                [row(TClass::T6, -20.0, 40.0), row(TClass::T5, 50.0, 55.0)],
                50.0,
                55.0,
            ),
        ] {
            let range = AmbientClass::range(&table).unwrap();
            assert!((range.low_c - low).abs() < 0.1, "{table:?}");
            assert!((range.high_c - high).abs() < 0.1, "{table:?}");
        }
    }
}
