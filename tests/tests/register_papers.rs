//! Tables, report, comparison, inspection and review on a register, through the commands.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use clap::Parser;
use std::path::Path;
use vetplate::cli::{Cli, Command};
use vetplate::commands::{self, Streams};
use vetplate::{Environment, Failure};

#[path = "support/site.rs"]
mod site;

use site::{DOUBTFUL, SURE, register, take_in};

/// Runs a command line on the register in `folder`, as the program does.
fn run(folder: &Path, line: &[&str]) -> Result<String, Failure> {
    let register = folder.join("register.vetplate");
    let mut words = vec!["vetplate"];
    words.extend(line);
    words.extend(["--register", register.to_str().unwrap()]);
    let cli = Cli::try_parse_from(words).unwrap();
    let mut output = Vec::new();
    let mut streams = Streams {
        input: &mut std::io::empty(),
        output: &mut output,
        messages: &mut std::io::sink(),
        language: vetplate_parser::Language::English,
    };
    let environment = Environment::system();
    match &cli.command {
        Command::Register(args) => commands::register(
            args,
            &environment,
            || panic!("no photo has to be read"),
            &mut streams,
        )?,
        Command::Review(args) => commands::review(args, &environment, &mut streams)?,
        _ => panic!("another command"),
    };
    Ok(String::from_utf8(output).unwrap())
}

#[test]
fn a_register_leaves_as_table_and_report() {
    let folder = tempfile::tempdir().unwrap();
    let kept = register(folder.path());
    take_in(&kept, folder.path(), 1, SURE);
    let doubtful = take_in(&kept, folder.path(), 2, DOUBTFUL);
    drop(kept);
    let table = run(folder.path(), &["register", "export", "--format", "csv"]).unwrap();
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let header = reader.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let cell = |row: usize, key: &str| {
        let at = header.iter().position(|name| name == key).unwrap();
        rows[row][at].to_owned()
    };
    assert_eq!(rows.len(), 2);
    assert_eq!(cell(0, "outcome"), "suitable");
    assert_eq!(cell(0, "location_name"), "Still house");
    assert_eq!(cell(0, "marking"), "Ex db IIC T4 Gb");
    assert_eq!(cell(1, "review"), "waiting");
    let open = [
        "register", "export", "--format", "jsonl", "--review", "open",
    ];
    let lines = run(folder.path(), &open).unwrap();
    assert_eq!(lines.lines().count(), 1);
    assert!(lines.starts_with(&format!("{{\"plate\":{doubtful},")));
    let book = folder.path().join("site.xlsx");
    let to_book = [
        "register",
        "export",
        "--format",
        "xlsx",
        "--out",
        book.to_str().unwrap(),
    ];
    run(folder.path(), &to_book).unwrap();
    assert!(std::fs::read(&book).unwrap().starts_with(b"PK"));
    let pdf = folder.path().join("site.pdf");
    run(
        folder.path(),
        &["register", "report", "--out", pdf.to_str().unwrap()],
    )
    .unwrap();
    let document = lopdf::Document::load(&pdf).unwrap();
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    let text = document.extract_text(&pages).unwrap();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "STILL-1 – Still house",
        "No plate was found unsuitable.",
        "Waits for review",
        "SUITABLE",
        "the part with the marking",
        "No inspection is recorded.",
    ] {
        assert!(text.contains(wanted), "{wanted} is not in {text}");
    }
    assert!(!folder.path().join("site.pdf.part").exists());
}

#[test]
fn a_list_is_held_against_the_register() {
    let folder = tempfile::tempdir().unwrap();
    let kept = register(folder.path());
    take_in(&kept, folder.path(), 1, SURE);
    drop(kept);
    let list = folder.path().join("list.csv");
    std::fs::write(
        &list,
        "Tag,Certificate\nP-9,XYZ 20 ATEX 77\n,ABC 19 ATEX 1234\n",
    )
    .unwrap();
    let told = run(
        folder.path(),
        &["register", "compare", list.to_str().unwrap()],
    )
    .unwrap();
    assert!(
        told.contains("line 2 P-9 : in the list, on no photo"),
        "{told}"
    );
    assert!(told.ends_with(
        "1 agree, 0 differ, 0 for a person to match, 1 in the list without a photo, 0 on photos \
         and not in the list\n"
    ));
}

#[test]
fn an_inspection_is_filled_in_from_the_plate_and_recorded() {
    let folder = tempfile::tempdir().unwrap();
    let kept = register(folder.path());
    let plate = take_in(&kept, folder.path(), 1, SURE).to_string();
    drop(kept);
    let inspect = [
        "register",
        "inspect",
        &plate,
        "--grade",
        "close",
        "--kind",
        "periodic",
        "--date",
        "2026-03-02",
        "--inspector",
        "A. Inspector",
        "--competence",
        "course of 2025",
        "--item",
        "en-dust=fail:grain dust 8 mm deep",
        "--finding",
        "3:clean it",
    ];
    let told = run(folder.path(), &inspect).unwrap();
    assert!(told.contains("pass  eq-level"), "{told}");
    assert!(told.contains("FAIL  en-dust"), "{told}");
    assert!(told.contains("open  in-earth-seen"), "{told}");
    assert!(
        told.contains("finding of priority 3, due 2029-03-02: clean it"),
        "{told}"
    );
    let show = run(folder.path(), &["register", "show", &plate, "--json"]).unwrap();
    let plate_json: serde_json::Value = serde_json::from_str(&show).unwrap();
    assert_eq!(plate_json["inspections"][0]["inspector"], "A. Inspector");
    let row = run(folder.path(), &["register", "export", "--format", "jsonl"]).unwrap();
    let row: serde_json::Value = serde_json::from_str(&row).unwrap();
    assert_eq!(row["next_inspection"], "2029-03-02");
    assert_eq!(row["worst_priority"], 3);
    let mut silent = inspect.to_vec();
    silent[13] = "--item=en-dust=fail";
    silent.remove(14);
    let refused = run(folder.path(), &silent).unwrap_err();
    assert!(
        refused.to_string().contains("add what was found"),
        "{refused}"
    );
}

#[test]
fn a_person_works_the_queue_off() {
    let folder = tempfile::tempdir().unwrap();
    let kept = register(folder.path());
    let plate = take_in(&kept, folder.path(), 1, DOUBTFUL).to_string();
    drop(kept);
    let list = run(folder.path(), &["review", "list", "--json"]).unwrap();
    let entry: serde_json::Value = serde_json::from_str(&list).unwrap();
    assert_eq!(entry["id"].to_string(), plate);
    let version = entry["version"].to_string();
    let crop = folder.path().join("crop.jpg");
    let show = ["review", "show", &plate, "--crop", crop.to_str().unwrap()];
    let shown = run(folder.path(), &show).unwrap();
    assert!(shown.contains("II 2 G Ex db IIC T4 Gb"), "{shown}");
    assert!(shown.contains(&format!("--version {version}")), "{shown}");
    assert!(image::open(&crop).is_ok());
    let settle = [
        "review",
        "settle",
        &plate,
        "--version",
        &version,
        "--by",
        "A. Inspector",
        "--correct",
        "II 2 G Ex db IIB T4 Gb; ABC 19 ATEX 99; IP66",
    ];
    let told = run(folder.path(), &settle).unwrap();
    assert!(
        told.contains("settled as corrected by A. Inspector"),
        "{told}"
    );
    assert!(told.contains("Ex db IIB T4 Gb"), "{told}");
    let late = run(folder.path(), &settle).unwrap_err();
    assert!(late.to_string().contains("look at it again"), "{late}");
    let empty = run(folder.path(), &["review", "list"]).unwrap();
    assert_eq!(empty, "Nothing waits for a person.\n");
}
