//! `src/tables/*.rs` are made from `data/*.csv`; this test makes them again and fails if one is stale.
//! `REGENERATE=1 cargo test -p vetplate-parser --test tables` writes them.

use std::collections::HashMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

type Row = HashMap<String, String>;

fn folder() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn rows(name: &str) -> Vec<Row> {
    let path = folder().join("data").join(format!("{name}.csv"));
    csv::Reader::from_path(path)
        .expect("a table of this crate")
        .deserialize()
        .map(|row| row.expect("a row of a table"))
        .collect()
}

/// `Some(Level::A)` for `a`, `None` for nothing.
fn option(kind: &str, cell: &str) -> String {
    if cell.is_empty() {
        "None".into()
    } else {
        format!("Some({kind}::{})", capital(cell))
    }
}

fn capital(cell: &str) -> String {
    let mut chars = cell.chars();
    chars
        .next()
        .map(|first| first.to_uppercase().chain(chars).collect())
        .unwrap_or_default()
}

/// `&["a", "b"]` for `a;b`, `&[]` for `*` and for nothing.
fn list(cell: &str, item: impl Fn(&str) -> String) -> String {
    let items: Vec<String> = cell
        .split(';')
        .filter(|part| !part.is_empty() && *part != "*")
        .map(item)
        .collect();
    format!("&[{}]", items.join(", "))
}

fn quoted(cell: &str) -> String {
    format!("{cell:?}")
}

/// A table: its rows written by one function.
fn constant(
    what: &str,
    name: &str,
    kind: &str,
    rows: &[Row],
    row: impl Fn(&Row) -> String,
) -> String {
    let mut out =
        format!("/// {what}\n#[rustfmt::skip]\npub(crate) const {name}: &[{kind}] = &[\n");
    for r in rows {
        writeln!(out, "    {},", row(r)).expect("writing to a string");
    }
    out.push_str("];\n\n");
    out
}

fn types() -> String {
    let rows = rows("types");
    let table = constant(
        "Every type and level that a standard knows.",
        "TYPES",
        "TypeRow",
        &rows,
        |r| {
            format!(
                "TypeRow {{ kind: T::{}, level: {:?}, gas: {}, dust: {}, mine: {}, \
             group_letter: GroupLetter::{}, standard: {:?} }}",
                r["kind"],
                r["level"],
                option("Level", &r["gas"]),
                option("Level", &r["dust"]),
                option("Level", &r["mine"]),
                capital(&r["group_letter"]),
                r["standard"],
            )
        },
    );
    format!(
        "use super::{{GroupLetter, TypeRow}};\nuse crate::marking::{{Level, ProtectionType as T}};\n\n{table}"
    )
}

fn classes() -> String {
    let table = constant(
        "Every class, hottest first.",
        "CLASSES",
        "ClassRow",
        &rows("temperature_classes"),
        |r| {
            format!(
                "ClassRow {{ class: TClass::{}, max_surface_c: {}.0, divides: {} }}",
                r["class"],
                r["max_surface_c"],
                option("TClass", &r["american"]),
            )
        },
    );
    format!("use super::ClassRow;\nuse crate::marking::TClass;\n\n{table}")
}

fn groups() -> String {
    let table = constant(
        "Every equipment group.",
        "GROUPS",
        "GroupRow",
        &rows("groups"),
        |r| {
            format!(
                "GroupRow {{ group: Group::{}, atmosphere: Atmosphere::{}, rank: {} }}",
                r["group"], r["atmosphere"], r["rank"],
            )
        },
    );
    format!("use super::GroupRow;\nuse crate::marking::{{Atmosphere, Group}};\n\n{table}")
}

fn letters() -> String {
    let table = constant(
        "Every North American group letter.",
        "NEC_LETTERS",
        "LetterRow",
        &rows("nec_letters"),
        |r| {
            format!(
                "LetterRow {{ letter: '{}', class: {}, usual: Group::{}, every: Group::{} }}",
                r["letter"], r["class"], r["usual"], r["every"],
            )
        },
    );
    format!("use super::LetterRow;\nuse crate::marking::Group;\n\n{table}")
}

fn zones() -> String {
    let table = constant(
        "Every zone, and the two uses in a mine.",
        "ZONES",
        "ZoneRow",
        &rows("zones"),
        |r| {
            let printed = if r["printed"].is_empty() {
                "None".to_owned()
            } else {
                format!("Some({})", r["printed"])
            };
            format!(
                "ZoneRow {{ zone: Zone::{}, printed: {printed}, atmosphere: Atmosphere::{}, level: Level::{}, \
             category: Category::{} }}",
                r["zone"],
                r["atmosphere"],
                capital(&r["level"]),
                r["category"],
            )
        },
    );
    format!(
        "use super::ZoneRow;\nuse crate::marking::{{Atmosphere, Category, Level}};\nuse crate::place::Zone;\n\n{table}"
    )
}

fn ip() -> String {
    let row = |r: &Row| {
        format!(
            "IpRow {{ kind: T::{}, levels: {}, groups: {}, solids: {}, water: {} }}",
            r["kind"],
            list(&r["levels"], quoted),
            list(&r["groups"], |g| format!("Group::{g}")),
            r["solids"],
            r["water"],
        )
    };
    let (by_type, for_dust): (Vec<Row>, Vec<Row>) = rows("ip_minima")
        .into_iter()
        .partition(|r| r["use"] == "type");
    format!(
        "use super::IpRow;\nuse crate::marking::{{Group, ProtectionType as T}};\n\n{}{}",
        constant(
            "Lowest figures that pass for a type whatever is inside.",
            "IP_BY_TYPE",
            "IpRow",
            &by_type,
            row
        ),
        constant(
            "Figures that belong to a type of protection against dust itself.",
            "IP_FOR_DUST",
            "IpRow",
            &for_dust,
            row
        ),
    )
}

fn years() -> String {
    let all = rows("years");
    let of = |subject: &str| -> Vec<Row> {
        all.iter()
            .filter(|r| r["subject"] == subject)
            .cloned()
            .collect()
    };
    let eex = of("eex");
    let [eex] = eex.as_slice() else {
        panic!("one year for EEx");
    };
    format!(
        "use crate::marking::{{Atmosphere, CertificateScheme, Epl, Group, Level, ProtectionType as T}};\n\n\
         {}{}{}{}{}/// First year in which no certificate for `EEx` is expected.\npub(crate) const EEX_GONE: i32 = {};\n",
        constant(
            "First year of a level letter.",
            "LEVELS",
            "(T, &str, i32)",
            &of("level"),
            |r| { format!("(T::{}, {:?}, {})", r["what"], r["level"], r["year"]) }
        ),
        constant(
            "First year of an EPL.",
            "EPLS",
            "(Epl, i32)",
            &of("epl"),
            |r| {
                format!(
                    "(Epl::new(Atmosphere::{}, Level::{}), {})",
                    r["what"],
                    capital(&r["level"]),
                    r["year"]
                )
            }
        ),
        constant(
            "First year of a dust group.",
            "DUST_GROUPS",
            "(Group, i32)",
            &of("group"),
            |r| { format!("(Group::{}, {})", r["what"], r["year"]) }
        ),
        constant(
            "Year from which a type is certified no more.",
            "WITHDRAWN",
            "(T, i32)",
            &of("withdrawn"),
            |r| { format!("(T::{}, {})", r["what"], r["year"]) }
        ),
        constant(
            "First year that a scheme allows at all, and the first that is usual.",
            "SCHEMES",
            "(CertificateScheme, i32, i32)",
            &of("scheme"),
            |r| format!(
                "(CertificateScheme::{}, {}, {})",
                r["what"], r["year"], r["note_year"]
            )
        ),
        eex["year"],
    )
}

/// One table for each place in which something is misread.
fn look_alikes() -> String {
    let all = rows("look_alikes");
    let mut places: Vec<&str> = Vec::new();
    for r in &all {
        if !places.contains(&r["place"].as_str()) {
            places.push(&r["place"]);
        }
    }
    let mut out = String::from("use super::LookAlike;\n\n");
    for place in places {
        let mut own: Vec<Row> = all
            .iter()
            .filter(|r| r["place"] == place)
            .cloned()
            .collect();
        let name = place.to_uppercase().replace(' ', "_");
        if place == "character" {
            own.sort_by_key(|r| r["read"].clone());
            out.push_str(&constant(
                "Characters that look the same or mean the same, in order.",
                &name,
                "(char, char)",
                &own,
                |r| {
                    format!(
                        "({:?}, {:?})",
                        r["read"].chars().next().expect("one"),
                        r["meant"].chars().next().expect("one")
                    )
                },
            ));
            continue;
        }
        out.push_str(&constant(
            &format!("What is misread at the place: {place}."),
            &name,
            "LookAlike",
            &own,
            |r| {
                format!(
                    "LookAlike {{ read: {:?}, meant: {:?}, rivals: {}, repair: {:?} }}",
                    r["read"],
                    r["meant"],
                    list(&r["rivals"], quoted),
                    r["repair"],
                )
            },
        ));
    }
    out
}

fn tables() -> Vec<(&'static str, &'static str, String)> {
    vec![
        ("types", "types", types()),
        ("temperature_classes", "classes", classes()),
        ("groups", "groups", groups()),
        ("nec_letters", "letters", letters()),
        ("zones", "zones", zones()),
        ("ip_minima", "ip", ip()),
        ("years", "years", years()),
        ("look_alikes", "look_alikes", look_alikes()),
    ]
}

fn formatted(source: &str) -> String {
    use std::io::Write as _;
    let mut child = Command::new("rustfmt")
        .args(["--edition", "2024"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("rustfmt is part of the toolchain");
    child
        .stdin
        .take()
        .expect("piped")
        .write_all(source.as_bytes())
        .expect("rustfmt reads");
    let output = child.wait_with_output().expect("rustfmt ends");
    assert!(output.status.success());
    String::from_utf8(output.stdout).expect("rustfmt writes UTF-8")
}

fn generated() -> Vec<(PathBuf, String)> {
    tables()
        .into_iter()
        .map(|(data, module, rows)| {
            let source = format!(
                "//! Generated from `parser/data/{data}.csv` by `parser/tests/tables.rs`; do not edit by hand.\n\n{rows}"
            );
            (folder().join(format!("src/tables/{module}.rs")), formatted(&source))
        })
        .collect()
}

#[test]
fn tables_are_fresh() {
    for (path, fresh) in generated() {
        if std::env::var_os("REGENERATE").is_some() {
            std::fs::write(&path, &fresh).expect("src/tables is writable");
        }
        let committed = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            committed == fresh,
            "{} is stale: run REGENERATE=1 cargo test -p vetplate-parser --test tables",
            path.display()
        );
    }
}

#[test]
fn every_row_names_its_source_and_how_it_is_known() {
    let mut wrong = Vec::new();
    for (data, ..) in tables() {
        let rows = rows(data);
        assert!(!rows.is_empty(), "{data}");
        for (index, row) in rows.iter().enumerate() {
            for column in ["standard", "edition", "clause"] {
                if row[column].trim().is_empty() {
                    wrong.push(format!("{data} row {}: no {column}", index + 2));
                }
            }
            if !["checked", "memory", "practice"].contains(&row["known"].as_str()) {
                wrong.push(format!(
                    "{data} row {}: known as {:?}",
                    index + 2,
                    row["known"]
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
