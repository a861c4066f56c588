//! `src/inspection/items/table.rs` is made from `data/inspection_items.csv`; this test
//! makes it again and fails if it is stale. `REGENERATE=1 cargo test -p vetplate --test
//! inspection_table` writes it.

use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

const BEGIN: &str =
    "// Generated from service/data/inspection_items.csv; see service/tests/inspection_table.rs.\n";

fn generate() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/inspection_items.csv");
    let mut reader = csv::Reader::from_path(&path).expect("the table is readable");
    let mut out = String::from(BEGIN);
    out.push_str(
        "\nuse super::{InspectionItem, Section, Subject, Table};\n\n/// Every item, table by table.\npub const ITEMS: &[InspectionItem] = &[\n",
    );
    let mut ids = std::collections::BTreeSet::new();
    for row in reader.records() {
        let row = row.expect("a row of the table");
        assert!(ids.insert(row[0].to_owned()), "an id stands twice: {row:?}");
        assert!(
            ["checked", "memory", "practice"].contains(&&row[12]),
            "every row says how it is known: {row:?}"
        );
        for cell in [0, 1, 2, 3, 7, 9, 10, 11] {
            assert!(!row[cell].is_empty(), "a cell is empty: {row:?}");
        }
        let grade = |cell: usize| match &row[cell] {
            "x" => true,
            "" => false,
            other => panic!("x or nothing, not {other:?}: {row:?}"),
        };
        assert!(grade(4) || grade(5) || grade(6), "no grade: {row:?}");
        let tables: Vec<String> = row[3]
            .split(' ')
            .map(|t| format!("Table::{}", t.to_uppercase()))
            .collect();
        let section = match &row[2] {
            "equipment" => "Equipment",
            "installation" => "Installation",
            "environment" => "Environment",
            other => panic!("no section {other:?}"),
        };
        let subjects: Vec<String> = row[8]
            .split(' ')
            .filter(|s| !s.is_empty())
            .map(|s| {
                let name: String = s
                    .split('-')
                    .map(|part| part[..1].to_uppercase() + &part[1..])
                    .collect();
                format!("Subject::{name}")
            })
            .collect();
        writeln!(
            out,
            "InspectionItem {{ id: {:?}, section: Section::{section}, tables: &[{}], detailed: {}, close: {}, \
             visual: {}, text: {:?}, plate: &[{}], standard: {:?}, clause: {:?}, known: {:?}, note: {:?} }},",
            &row[0],
            tables.join(", "),
            grade(4),
            grade(5),
            grade(6),
            &row[7],
            subjects.join(", "),
            format!("{}:{}", &row[9], &row[10]),
            &row[11],
            &row[12],
            &row[13],
        )
        .expect("writing to a string");
    }
    out.push_str("];\n");
    formatted(&out)
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

#[test]
fn the_table_is_fresh() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/inspection/items/table.rs");
    let fresh = generate();
    if std::env::var_os("REGENERATE").is_some() {
        std::fs::write(&path, &fresh).expect("the table is writable");
    }
    let committed = std::fs::read_to_string(&path).expect("the table exists");
    assert!(
        committed == fresh,
        "the table is stale: run REGENERATE=1 cargo test -p vetplate --test inspection_table"
    );
}
