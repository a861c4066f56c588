//! Numbers, ranges and codes.

use super::{Reader, given};
use crate::marking::Ambient;

/// Temperatures outside this range are a slip of the pen: nothing ignites below, no table
/// goes above.
pub(super) const TEMPERATURE_C: (f64, f64) = (-273.15, 2000.0);
/// Ambient temperatures of any place on earth or in process heat.
pub(super) const AMBIENT_C: (f64, f64) = (-100.0, 300.0);
/// Deeper than this is a silo, not a layer.
pub(super) const LAYER_MM: (f64, f64) = (0.0, 100_000.0);

/// A plain decimal number; a typographic minus counts.
fn decimal(text: &str) -> Option<f64> {
    let text = text.trim().replace('−', "-");
    let plain = text
        .strip_prefix(['+', '-'])
        .unwrap_or(&text)
        .chars()
        .all(|c| c.is_ascii_digit() || c == '.');
    if plain { text.parse().ok() } else { None }
}

impl Reader {
    pub(super) fn number(
        &mut self,
        field: &'static str,
        text: Option<&String>,
        (low, high): (f64, f64),
        unit: &str,
    ) -> Option<f64> {
        let text = given(text)?;
        match decimal(text) {
            Some(value) if value >= low && value <= high => Some(value),
            Some(value) => {
                self.refuse(
                    field,
                    text,
                    format!("{field}: {value} is outside {low} to {high} {unit}"),
                );
                None
            }
            None => {
                self.refuse(
                    field,
                    text,
                    format!(
                        "{field}: '{text}' is no decimal number; write the number in {unit} \
                         alone, such as 135 or 22.5"
                    ),
                );
                None
            }
        }
    }

    pub(super) fn ambient(&mut self, text: Option<&String>) -> Option<Ambient> {
        let text = given(text)?;
        let lower = text.to_lowercase();
        let pair = ["...", "..", "…", " to "]
            .iter()
            .find_map(|mark| lower.split_once(mark));
        let ends = pair.and_then(|(low, high)| Some((decimal(low)?, decimal(high)?)));
        let Some((low_c, high_c)) = ends else {
            self.refuse(
                "ambient_c",
                text,
                format!("ambient_c: '{text}' is no range; write LO..HI in °C, such as -20..40"),
            );
            return None;
        };
        if low_c > high_c {
            self.refuse(
                "ambient_c",
                text,
                format!("ambient_c: {low_c}..{high_c} is reversed; write {high_c}..{low_c}"),
            );
            return None;
        }
        if low_c < AMBIENT_C.0 || high_c > AMBIENT_C.1 {
            self.refuse(
                "ambient_c",
                text,
                format!(
                    "ambient_c: {low_c}..{high_c} goes outside {}..{} °C",
                    AMBIENT_C.0, AMBIENT_C.1
                ),
            );
            return None;
        }
        Some(Ambient { low_c, high_c })
    }

    pub(super) fn ip(&mut self, text: Option<&String>) -> Option<(Option<u8>, Option<u8>)> {
        let text = given(text)?;
        let tight: String = text
            .to_uppercase()
            .chars()
            .filter(|c| !c.is_whitespace())
            .collect();
        let digits: Vec<char> = tight.strip_prefix("IP").unwrap_or(&tight).chars().collect();
        let digit = |c: char, most: u32| match c {
            'X' => Some(None),
            c => c.to_digit(10).filter(|d| *d <= most).map(|d| Some(d as u8)),
        };
        if let [first, second] = digits.as_slice()
            && let (Some(first), Some(second)) = (digit(*first, 6), digit(*second, 9))
            && (first.is_some() || second.is_some())
        {
            return Some((first, second));
        }
        self.refuse(
            "ip",
            text,
            format!("ip: '{text}' is no IP code; write two digits or X, such as 65, IP66 or 6X"),
        );
        None
    }
}
