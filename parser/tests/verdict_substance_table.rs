//! Writes `src/substance/table.rs` from `data/*.csv`; fails when the file is stale.
//!
//! `REGENERATE=1 cargo test -p vetplate-parser --test verdict_substance_table` rewrites it.

use std::collections::HashMap;
use std::fmt::Write as _;
use std::path::Path;

type Row = HashMap<String, String>;

fn rows(name: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("data")
        .join(name);
    let mut reader = csv::Reader::from_path(path).expect("a file and a number of this crate");
    reader
        .deserialize()
        .map(|row| row.expect("a row of a table"))
        .collect()
}

fn list(cells: &[&str]) -> String {
    let inner: Vec<String> = cells.iter().map(|c| format!("{c:?}")).collect();
    format!("&[{}]", inner.join(", "))
}

fn values(cells: &[(&str, &str, &str)]) -> String {
    let inner: Vec<String> = cells
        .iter()
        .filter(|(number, ..)| !number.is_empty())
        .map(|(number, source, known)| {
            let number: f64 = number.parse().expect("a file and a number of this crate");
            format!("v({number:?}, {source:?}, Known::{known})")
        })
        .collect();
    format!("&[{}]", inner.join(", "))
}

fn known(tag: &str) -> &'static str {
    match tag {
        "checked" => "Checked",
        "memory" => "Memory",
        "practice" => "Practice",
        other => panic!("unknown tag {other:?}"),
    }
}

/// Same names are listed once.
fn synonyms<'a>(name: &str, cells: &[&'a str]) -> Vec<&'a str> {
    let mut out: Vec<&str> = Vec::new();
    for cell in cells.iter().flat_map(|c| c.split(';')).map(str::trim) {
        if !cell.is_empty() && cell != name && !out.contains(&cell) {
            out.push(cell);
        }
    }
    out
}

fn generate() -> String {
    const IEC: &str = "IEC 60079-20-1:2010";
    const NFPA: &str = "NFPA 497:2008";
    let mut out = String::from(
        "//! Generated from `parser/data/{substances,substance_groups,dusts}.csv` by\n\
         //! `tests/verdict_substance_table.rs`; do not edit by hand.\n\n\
         use super::{Dust, GroupFact, Known, Range, Substance, Value};\n\
         use crate::marking::Group;\n\n\
         const fn v(value: f64, source: &'static str, known: Known) -> Value {\n    \
         Value {\n        value,\n        source,\n        known,\n    }\n}\n\n\
         #[rustfmt::skip]\npub(super) static GASES: &[Substance] = &[\n",
    );
    let mut groups: Vec<Row> = rows("substance_groups.csv");
    let empty = Row::new();
    let mut gases: Vec<(Row, Option<Row>)> = Vec::new();
    for row in rows("substances.csv") {
        let group = groups
            .iter()
            .position(|g| g["cas"] == row["cas"])
            .map(|i| groups.remove(i));
        gases.push((row, group));
    }
    gases.extend(groups.into_iter().map(|g| (empty.clone(), Some(g))));
    for (row, group) in &gases {
        let cell = |name: &str| row.get(name).map_or("", String::as_str);
        let fact = |name: &str| {
            group
                .as_ref()
                .and_then(|g| g.get(name))
                .map_or("", String::as_str)
        };
        let name = if group.is_some() {
            fact("name")
        } else {
            cell("name")
        };
        let cas = if cell("cas").is_empty() {
            fact("cas")
        } else {
            cell("cas")
        };
        // A row of the list of groups alone has no value of these tables.
        let own = row.get("known").map_or("Checked", |word| known(word));
        let other = synonyms(name, &[fact("synonyms"), cell("name"), cell("synonyms")]);
        let formulas: Vec<&str> = cell("formulas")
            .split(';')
            .filter(|f| !f.is_empty())
            .collect();
        let group_fact = if group.is_some() {
            format!(
                "Some(GroupFact {{ group: Group::{}, mesg_mm: {:?}, from: {:?}, sources: {:?}, remark: {:?}, known: Known::{} }})",
                fact("group"),
                fact("mesg_mm"),
                fact("from"),
                fact("sources"),
                fact("remark"),
                known(fact("known"))
            )
        } else {
            "None".to_owned()
        };
        let nec = fact("nec_group")
            .chars()
            .next()
            .map_or("None".into(), |c| format!("Some({c:?})"));
        let note: Vec<&str> = [fact("note"), cell("note")]
            .into_iter()
            .filter(|n| !n.is_empty())
            .collect();
        writeln!(
            out,
            "    Substance {{ cas: {cas:?}, name: {name:?}, synonyms: {}, formulas: {}, group: {group_fact}, \
             nec_group: {nec}, ignition_c: {}, flash_c: {}, lfl_percent: {}, ufl_percent: {}, note: {:?} }},",
            list(&other),
            list(&formulas),
            values(&[
                (cell("ignition_iec_c"), IEC, own),
                (cell("ignition_nfpa_c"), NFPA, own),
                (fact("ignition_c"), "a handbook range", "Memory"),
            ]),
            values(&[(cell("flash_iec_c"), IEC, own), (cell("flash_nfpa_c"), NFPA, own)]),
            values(&[(cell("lfl_iec_percent"), IEC, own), (cell("lfl_nfpa_percent"), NFPA, own)]),
            values(&[(cell("ufl_iec_percent"), IEC, own), (cell("ufl_nfpa_percent"), NFPA, own)]),
            note.join("; "),
        )
        .expect("a file and a number of this crate");
    }
    out.push_str("];\n\n#[rustfmt::skip]\npub(super) static DUSTS: &[Dust] = &[\n");
    for row in rows("dusts.csv") {
        let range = |low: &str, high: &str, open: bool, tag: &str| {
            let number = |c: &str| {
                format!(
                    "{:?}",
                    row[c]
                        .parse::<f64>()
                        .expect("a file and a number of this crate")
                )
            };
            format!(
                "Range {{ low_c: {}, high_c: {}, open: {open}, known: Known::{} }}",
                number(low),
                number(high),
                known(&row[tag])
            )
        };
        let layer = if row["layer_low_c"].is_empty() {
            "None".to_owned()
        } else {
            format!(
                "Some({})",
                range(
                    "layer_low_c",
                    "layer_high_c",
                    row["layer_high_open"] == "yes",
                    "layer_known"
                )
            )
        };
        writeln!(
            out,
            "    Dust {{ name: {:?}, synonyms: {}, group: Group::{}, group_note: {:?}, cloud: {}, layer: {layer}, \
             melts: {}, organic: {}, limit_c: {:?}, note: {:?} }},",
            row["dust"],
            list(&synonyms(&row["dust"], &[&row["synonyms"]])),
            row["group"],
            row["group_note"],
            range("cloud_low_c", "cloud_high_c", false, "cloud_known"),
            row["melts"] == "yes",
            row["organic"] == "yes",
            row["limit_c"].parse::<f64>().expect("a file and a number of this crate"),
            row["note"],
        )
        .expect("a file and a number of this crate");
    }
    out.push_str("];\n");
    out
}

#[test]
fn committed_table_is_fresh() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/substance/table.rs");
    let fresh = generate();
    if std::env::var_os("REGENERATE").is_some() {
        std::fs::write(&path, &fresh).expect("a file and a number of this crate");
    }
    let committed = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        committed == fresh,
        "src/substance/table.rs is stale: run this test with REGENERATE=1"
    );
}

#[test]
fn every_row_names_its_source_and_how_it_is_known() {
    for name in ["substances.csv", "substance_groups.csv", "dusts.csv"] {
        for row in rows(name) {
            for column in ["standard", "edition", "clause"] {
                assert!(
                    !row[column].trim().is_empty(),
                    "{name}: {column} of {row:?}"
                );
            }
            // It panics where the word is none of the three.
            known(&row["known"]);
        }
    }
    for row in rows("substance_groups.csv") {
        assert!(
            !row["from"].is_empty() && !row["sources"].is_empty(),
            "{row:?}"
        );
    }
}

/// CAS numbers carry a check digit: the last digit is the sum of the others, each times
/// its place from the right, modulo ten.
#[test]
fn cas_numbers_have_their_check_digit() {
    for name in ["substances.csv", "substance_groups.csv"] {
        for row in rows(name) {
            if row["cas"].is_empty() {
                continue;
            }
            let digits: Vec<u32> = row["cas"].chars().filter_map(|c| c.to_digit(10)).collect();
            let (check, body) = digits
                .split_last()
                .expect("a file and a number of this crate");
            let sum: u32 = body.iter().rev().zip(1..).map(|(d, place)| d * place).sum();
            assert_eq!(sum % 10, *check, "{name}: {}", row["cas"]);
        }
    }
}

/// Source: IEC 60079-20-1, limits of MESG: IIC up to 0.5 mm, IIA from 0.9 mm, IIB between; an
/// end point counts as the stricter group. Every group of the table is at least as strict as
/// its own MESG asks, and stricter only where the source column says who disagrees.
#[test]
fn groups_agree_with_their_gap() {
    let rank = |group: &str| {
        ["IIA", "IIB", "IIC"]
            .iter()
            .position(|g| *g == group)
            .expect("a group")
    };
    let mut compared = 0;
    for row in rows("substance_groups.csv") {
        let numbers: Vec<f64> = row["mesg_mm"]
            .split(|c: char| !c.is_ascii_digit() && c != '.')
            .filter_map(|n| n.parse().ok())
            .collect();
        // `below 0.9 by R` is a statement, not a measurement.
        if numbers.is_empty() || row["mesg_mm"].contains("below") {
            continue;
        }
        let least = numbers
            .iter()
            .copied()
            .min_by(f64::total_cmp)
            .expect("a number");
        let by_gap = if least <= 0.5 {
            "IIC"
        } else if least <= 0.9 {
            "IIB"
        } else {
            "IIA"
        };
        compared += 1;
        assert!(
            rank(&row["group"]) >= rank(by_gap),
            "{}: {} by its MESG",
            row["name"],
            by_gap
        );
        if row["group"] != by_gap {
            let said = ["NEC", "older", "IIA", "town"]
                .iter()
                .any(|word| row["from"].contains(word));
            assert!(
                said,
                "{} is {} with MESG {}, {}",
                row["name"], row["group"], least, row["from"]
            );
        }
    }
    assert!(compared > 90, "{compared}");
}
