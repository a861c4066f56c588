//! The misreadings of `fixtures/misreadings`, by the numbers of their rows.
// `parser/tests/*.rs` are crates of their own; this folder is a module of those that name it.

use std::collections::HashMap;
use std::path::Path;

/// A row by the names of its columns.
pub(crate) type Row = HashMap<String, String>;

/// The rows of one list.
pub(crate) fn rows(list: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures/misreadings")
        .join(format!("{list}.csv"));
    csv::Reader::from_path(path)
        .expect("the fixtures are committed")
        .deserialize()
        .map(|row| row.expect("a row of the fixtures"))
        .collect()
}

/// The numbers from 1 to `last` that none of the lists has.
pub(crate) fn lacking(last: u8, lists: &[&str]) -> Vec<u8> {
    let known: Vec<u8> = lists
        .iter()
        .flat_map(|list| rows(list))
        .map(|row| row["row"].parse().expect("a number"))
        .collect();
    (1..=last).filter(|row| !known.contains(row)).collect()
}
