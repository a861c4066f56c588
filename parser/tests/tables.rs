//! `src/tables.rs` is made from `data/*.csv`; this test makes it again and fails if it is stale.
//! `REGENERATE=1 cargo test -p vetplate-parser --test tables` writes it.

use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

fn generate() -> String {
    let mut out = String::from(
        "//! Generated from `parser/data/*.csv` by `parser/tests/tables.rs`; do not edit by hand.\n\n\
         use crate::marking::Level;\n\
         use crate::marking::ProtectionType as T;\n\n\
         /// A type of protection with one level, and the EPL that it is worth in each atmosphere.\n\
         #[derive(Debug, Clone, Copy)]\n\
         pub(crate) struct TypeRow {\n\
             pub(crate) kind: T,\n\
             pub(crate) level: &'static str,\n\
             pub(crate) gas: Option<Level>,\n\
             pub(crate) dust: Option<Level>,\n\
             pub(crate) mine: Option<Level>,\n\
             pub(crate) standard: &'static str,\n\
         }\n\n\
         /// Every type and level that a standard knows.\n\
         pub(crate) const TYPES: &[TypeRow] = &[\n",
    );
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/types.csv");
    let mut reader = csv::Reader::from_path(&path).expect("types.csv is readable");
    for row in reader.records() {
        let row = row.expect("a row of types.csv");
        assert!(
            ["checked", "memory", "practice"].contains(&&row[7]),
            "every row says how it is known: {row:?}"
        );
        assert!(!row[5].is_empty(), "every row names a standard: {row:?}");
        let level = |cell: &str| match cell {
            "" => "None".to_owned(),
            letter => format!("Some(Level::{})", letter.to_uppercase()),
        };
        writeln!(
            out,
            "TypeRow {{ kind: T::{}, level: {:?}, gas: {}, dust: {}, mine: {}, standard: {:?} }},",
            &row[0],
            &row[1],
            level(&row[2]),
            level(&row[3]),
            level(&row[4]),
            &row[5]
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
fn tables_are_fresh() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/tables.rs");
    let fresh = generate();
    if std::env::var_os("REGENERATE").is_some() {
        std::fs::write(&path, &fresh).expect("src/tables.rs is writable");
    }
    let committed = std::fs::read_to_string(&path).expect("src/tables.rs exists");
    assert!(
        committed == fresh,
        "src/tables.rs is stale: run REGENERATE=1 cargo test -p vetplate-parser --test tables"
    );
}
