//! `SECURITY.md` names a test for each promise; the tests are there.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use std::path::{Path, PathBuf};

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap();
        if path.is_dir() {
            if !matches!(name, "target" | "node_modules" | "hostile") && !name.starts_with('.') {
                sources(&path, found);
            }
        } else if path.extension().is_some_and(|suffix| suffix == "rs") {
            found.push(path);
        }
    }
}

#[test]
fn every_promise_is_held_by_a_test() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut found = Vec::new();
    for folder in ["ocr", "parser", "service", "tests"] {
        sources(&root.join(folder), &mut found);
    }
    let code: String = found
        .iter()
        .map(|path| std::fs::read_to_string(path).unwrap())
        .collect();
    let text = std::fs::read_to_string(root.join("SECURITY.md")).unwrap();
    let promises = text.split("## What is promised").nth(1).unwrap();
    let rows = promises
        .lines()
        .filter(|line| line.starts_with("| "))
        .skip(2);
    let mut tests = 0;
    for row in rows {
        let names = row.trim_end_matches(" |").rsplit(" | ").next().unwrap();
        for name in names.split(", ") {
            let name = name.trim_matches('`');
            assert!(code.contains(&format!("fn {name}(")), "{name}: {row}");
            tests += 1;
        }
    }
    assert!(tests > 30, "{tests}");
}
