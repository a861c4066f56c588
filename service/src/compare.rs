//! The register held against a list of equipment that the site keeps already.
//!
//! A list is a CSV with a header row. Lines and plates meet by tag, else by serial number and
//! certificate; what meets is compared, what does not is named. Nothing is changed on either
//! side.

mod list;
mod matching;

pub use list::{COLUMNS, EquipmentLine, ListError, read_list};
pub use matching::{Compared, Comparison, Difference, Known};
