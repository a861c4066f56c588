//! What the program is built of: licences that `deny.toml` allows, from crates.io alone.
//!
//! `./tests/run` runs cargo-deny, too, where it is installed; this test needs nothing but cargo.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

/// Where every dependency comes from.
const CRATES_IO: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// The packages that are built on the machines that the program is made for first.
fn packages() -> Vec<Value> {
    let manifest = Path::new(env!("CARGO_MANIFEST_DIR")).join("../Cargo.toml");
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked"])
        .args(["--filter-platform", "x86_64-unknown-linux-gnu"])
        .arg("--manifest-path")
        .arg(manifest)
        .output()
        .unwrap();
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{error}");
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let built: BTreeSet<&str> = metadata["resolve"]["nodes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|node| node["id"].as_str().unwrap())
        .collect();
    let packages = metadata["packages"].as_array().unwrap();
    packages
        .iter()
        .filter(|package| built.contains(package["id"].as_str().unwrap()))
        .cloned()
        .collect()
}

/// The licences of `deny.toml`.
fn allowed() -> BTreeSet<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../deny.toml");
    let deny: toml::Table = toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let allow = deny["licenses"]["allow"].as_array().unwrap();
    allow
        .iter()
        .map(|name| name.as_str().unwrap().to_owned())
        .collect()
}

/// Whether an SPDX expression can be met with what is allowed. `/` is the old way to write OR.
fn is_met(expression: &str, allowed: &BTreeSet<String>) -> bool {
    let spaced = expression
        .replace('/', " OR ")
        .replace('(', " ( ")
        .replace(')', " ) ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let (met, rest) = any_of(&words, allowed);
    met && rest.is_empty()
}

fn any_of<'a>(words: &'a [&'a str], allowed: &BTreeSet<String>) -> (bool, &'a [&'a str]) {
    let (mut met, mut rest) = all_of(words, allowed);
    while let ["OR", more @ ..] = rest {
        let (other, behind) = all_of(more, allowed);
        met |= other;
        rest = behind;
    }
    (met, rest)
}

fn all_of<'a>(words: &'a [&'a str], allowed: &BTreeSet<String>) -> (bool, &'a [&'a str]) {
    let (mut met, mut rest) = one(words, allowed);
    while let ["AND", more @ ..] = rest {
        let (other, behind) = one(more, allowed);
        met &= other;
        rest = behind;
    }
    (met, rest)
}

fn one<'a>(words: &'a [&'a str], allowed: &BTreeSet<String>) -> (bool, &'a [&'a str]) {
    match words {
        ["(", within @ ..] => {
            let (met, rest) = any_of(within, allowed);
            match rest {
                [")", behind @ ..] => (met, behind),
                _ => (false, rest),
            }
        }
        [name, "WITH", exception, rest @ ..] => {
            (allowed.contains(&format!("{name} WITH {exception}")), rest)
        }
        [name, rest @ ..] => (allowed.contains(*name), rest),
        [] => (false, words),
    }
}

#[test]
fn expressions_are_taken_apart() {
    let allowed = BTreeSet::from(["MIT", "ISC", "A WITH e"].map(ToOwned::to_owned));
    for (expression, met) in [
        ("MIT", true),
        ("GPL-3.0", false),
        ("GPL-3.0 OR MIT", true),
        ("GPL-3.0/MIT", true),
        ("MIT AND ISC", true),
        ("MIT AND GPL-3.0", false),
        ("(GPL-3.0 OR MIT) AND ISC", true),
        ("GPL-3.0 OR MIT AND GPL-3.0", false),
        ("A WITH e", true),
        ("MIT WITH e", false),
        ("(MIT", false),
        ("MIT MIT", false),
        ("", false),
    ] {
        assert_eq!(is_met(expression, &allowed), met, "{expression}");
    }
}

#[test]
fn every_dependency_has_an_allowed_licence_and_a_known_source() {
    let allowed = allowed();
    let packages = packages();
    assert!(packages.len() > 200, "{}", packages.len());
    for package in packages {
        let name = format!("{} {}", package["name"], package["version"]);
        let licence = package["license"].as_str().unwrap_or_default();
        assert!(is_met(licence, &allowed), "{name}: {licence:?}");
        // Ours have no source.
        if let Some(source) = package["source"].as_str() {
            assert_eq!(source, CRATES_IO, "{name}");
        }
    }
}
