//! Numbers as they leave the program.

use serde::{Deserialize, Serialize, Serializer};
use utoipa::ToSchema;
use vetplate_parser::Confidence;

/// A number that is written without a fraction where it has none: `-20`, `0.8`.
#[derive(Debug, Clone, Copy, PartialEq, ToSchema)]
#[schema(value_type = f64)]
pub struct Number(pub f64);

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        // 2^53: up to here every whole number is exact.
        if self.0.fract() == 0.0 && self.0.abs() < 9_007_199_254_740_992.0 {
            serializer.serialize_i64(self.0 as i64)
        } else {
            serializer.serialize_f64(self.0)
        }
    }
}

/// A probability, 0 to 1, cut (not rounded) to four decimals, so that 1 always means certainty.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize, ToSchema)]
#[schema(value_type = f64, minimum = 0, maximum = 1)]
pub struct Share(f64);

impl Share {
    /// Cuts `value` to four decimals; what lies outside 0 to 1 is moved to the end.
    pub fn new(value: f64) -> Self {
        // The small addend undoes the error of a weight such as 0.29 * 1e4 = 2899.9999999999995,
        // and of weights that add up to 0.9999999999999999.
        let cut = (Confidence::new(value).get() * 1e4 + 1e-9).floor() / 1e4;
        Self(cut)
    }

    /// The number, 0 to 1.
    pub fn get(self) -> f64 {
        self.0
    }
}

/// Rounds to `decimals` places.
pub(crate) fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    let rounded = (value * scale).round() / scale;
    // No negative zero: it would be written as `-0.0`.
    rounded + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn json(value: impl Serialize) -> String {
        serde_json::to_string(&value).unwrap()
    }

    #[test]
    fn whole_numbers_have_no_fraction() {
        assert_eq!(json(Number(-20.0)), "-20");
        assert_eq!(json(Number(0.8)), "0.8");
        assert_eq!(json(Number(-0.0)), "0");
    }

    #[test]
    fn only_certainty_is_written_as_one() {
        assert_eq!(json(Share::new(1.0)), "1.0");
        assert_eq!(json(Share::new(0.999_99)), "0.9999");
        assert_eq!(json(Share::new(0.29)), "0.29");
        assert_eq!(json(Share::new(f64::NAN)), "0.0");
        assert_eq!(json(Share::new(0.1 + 0.2 + 0.3 + 0.4)), "1.0");
    }

    #[test]
    fn rounding_leaves_no_negative_zero() {
        assert_eq!(json(rounded(-0.01, 1)), "0.0");
        assert_eq!(json(rounded(1.25, 1)), "1.3");
    }
}
