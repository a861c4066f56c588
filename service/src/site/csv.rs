//! Locations as CSV: columns `tag`, `description` and the keys of a place.

use super::table::{Columns, is_remark, table};
use super::{Fault, Location, doubled, unknown_column};
use crate::answer::{KEYS, set_field};
use vetplate_parser::place::PlaceFields;

/// Reads a table with one header row. Several gases or dusts stand in one cell,
/// separated by `|` (or by `;` where the columns are separated by commas).
pub(super) fn locations(text: &str) -> Result<Vec<Location>, Fault> {
    let table = table(
        text,
        &Columns {
            known: &|name| matches!(name, "tag" | "description") || KEYS.contains(&name),
            unknown: &unknown_column,
            needed: ("tag", "by which locations are found"),
            example: "tag, zone, gas, …",
        },
    )?;
    let mut locations = Vec::new();
    for (at, row) in table.rows {
        locations.push(location(&table.columns, at, &row, table.delimiter)?);
    }
    match doubled(&locations) {
        Some(tag) => Err(Fault::new(
            "column tag",
            format!("two locations have the tag {tag:?}; give each its own"),
        )),
        None => Ok(locations),
    }
}

fn location(
    columns: &[String],
    at: String,
    row: &csv::StringRecord,
    delimiter: u8,
) -> Result<Location, Fault> {
    let mut tag = String::new();
    let mut description = None;
    let mut place = PlaceFields::default();
    for (name, cell) in columns.iter().zip(row) {
        if cell.is_empty() || is_remark(name) {
            continue;
        }
        match name.as_str() {
            "tag" => cell.clone_into(&mut tag),
            "description" => description = Some(cell.to_owned()),
            "gas" | "dust" => {
                // Names hold commas (1,2-dichloroethane), so a comma never separates them.
                let split = |c: char| c == '|' || (c == ';' && delimiter != b';');
                for one in cell.split(split).map(str::trim).filter(|n| !n.is_empty()) {
                    set_field(&mut place, name, one.to_owned());
                }
            }
            key => {
                set_field(&mut place, key, cell.to_owned());
            }
        }
    }
    if tag.is_empty() {
        return Err(Fault::new(
            format!("{at}, column tag"),
            "the location has no tag",
        ));
    }
    Ok(Location {
        tag,
        description,
        at,
        place,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(text: &str) -> String {
        let fault = locations(text).err().unwrap();
        format!("{}: {}", fault.at, fault.message)
    }

    #[test]
    fn table_of_a_site() {
        let text = "tag,description,zone,gas,ambient_c,# owner\n\
                    STILL-1,\"Still house, ground floor\",1,ethanol; methanol,-10..45,Ann\n\
                    \n\
                    MILL-2,Mill,22,,,\n";
        let got = locations(text).ok().unwrap();
        assert_eq!(got.len(), 2);
        assert_eq!(got[0].tag, "STILL-1");
        assert_eq!(
            got[0].description.as_deref(),
            Some("Still house, ground floor")
        );
        assert_eq!(got[0].place.gas, ["ethanol", "methanol"]);
        assert_eq!(got[0].place.ambient_c.as_deref(), Some("-10..45"));
        assert_eq!(got[1].place.zone.as_deref(), Some("22"));
        assert_eq!(got[1].place.ambient_c, None);
    }

    #[test]
    fn semicolons_separate_columns_too() {
        let got = locations("tag;zone;ignition_c\nS1;1;400\n").ok().unwrap();
        assert_eq!(got[0].place.ignition_c.as_deref(), Some("400"));
    }

    #[test]
    fn faults_name_row_and_column() {
        assert!(fault("").starts_with("row 1: the file is empty"));
        assert!(fault("zone,gas\n1,ethanol\n").contains("no column is called `tag`"));
        assert!(fault("tag,gasgroup\nA,IIB\n").starts_with(
            "row 1, column 2 (gasgroup): a place has no `gasgroup`; did you mean `gas_group`?"
        ));
        assert!(
            fault("tag,zone,zone\n")
                .starts_with("row 1, column 3 (zone): this column stands twice")
        );
        assert_eq!(
            fault("tag,zone\nA,1\n,2\n"),
            "row 3, column tag: the location has no tag"
        );
        assert!(fault("tag,zone\nA,1,x\n").starts_with("row 2, column 3: the row has more cells"));
        assert!(fault("tag,zone\nA,1\nA,2\n").contains("two locations have the tag \"A\""));
    }
}
