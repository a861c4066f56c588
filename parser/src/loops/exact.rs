//! Exact numbers for loops: decimals as fractions.

use num_rational::Ratio;

/// An exact fraction. Loop quantities have at most nine digits on either side of the point,
/// so sums and products of two stay far inside 128 bits.
pub type Exact = Ratio<i128>;

/// Digits accepted on either side of the decimal point.
const DIGITS: usize = 9;

/// Reads a decimal such as `0.83`, not negative; none where it is no such number or has more
/// than nine digits on a side.
///
/// ```
/// use vetplate_parser::loops::exact;
/// assert_eq!(exact("0.1").unwrap() * 3, exact("0.3").unwrap());
/// assert_eq!(exact("-1"), None);
/// assert_eq!(exact("1e3"), None);
/// ```
pub fn exact(text: &str) -> Option<Exact> {
    let text = text.trim();
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |t: &str| t.len() <= DIGITS && t.bytes().all(|b| b.is_ascii_digit());
    let whole = if whole.len() > 1 {
        whole.trim_start_matches('0')
    } else {
        whole
    };
    let part = part.trim_end_matches('0');
    if !digits(whole) || !digits(part) || text.is_empty() || text == "." {
        return None;
    }
    let number: i128 = format!("0{whole}{part}").parse().ok()?;
    Some(Ratio::new(number, 10_i128.pow(part.len() as u32)))
}

/// The decimal that a binary number was written as: the shortest one that reads back to it.
///
/// ```
/// use vetplate_parser::loops::{exact, exact_of};
/// assert_eq!(exact_of(0.83), exact("0.83"));
/// assert_eq!(exact_of(f64::NAN), None);
/// ```
pub fn exact_of(number: f64) -> Option<Exact> {
    number.is_finite().then(|| exact(&number.to_string()))?
}

/// The nearest binary number, for printing: `83.2` for 416/5.
pub fn number(value: Exact) -> f64 {
    *value.numer() as f64 / *value.denom() as f64
}
