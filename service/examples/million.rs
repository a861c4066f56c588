//! A register of a million plates, and how long lists, searches and opening take.
//!
//! `cargo run --release -p vetplate --example million -- FOLDER [--plates N] [--papers]`
//!
//! Makes `FOLDER/million.vetplate` where it is not there yet, and prints a table: the slowest,
//! the middle and the fastest of several runs, each on an open register, in milliseconds. With
//! `--papers` it writes every plate as CSV, JSON Lines and XLSX and makes reports, and prints how
//! long each took, how large it is, and how much memory was taken at most (Linux).

use clap::Parser;
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use vetplate::Environment;
use vetplate::answer::OutcomeDto;
use vetplate::export::{CsvSink, JsonLinesSink, Sink, XlsxSink};
use vetplate::papers::{ReportOptions, export, site_report};
use vetplate::register::{
    Cursor, Filter, Order, OutcomeFilter, PlateId, PlateQuery, ReviewFilter, ReviewState,
    SqliteRegister, Store, StoreError,
};

/// How often each question is asked.
const RUNS: usize = 15;

#[derive(Parser)]
struct Args {
    /// Where the register is, or is to be made.
    folder: PathBuf,
    /// How many plates.
    #[arg(long, default_value_t = 1_000_000)]
    plates: i64,
    /// Export and report, too.
    #[arg(long)]
    papers: bool,
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args = Args::parse();
    let path = args.folder.join("million.vetplate");
    let mut out = std::io::stdout().lock();
    if !path.exists() {
        let begun = Instant::now();
        generate(&path, args.plates)?;
        writeln!(out, "made in {:.0} s", begun.elapsed().as_secs_f64())?;
    }
    let open = || SqliteRegister::open(&path, false, Environment::system());
    measure(&mut out, "opening", 300, || {
        let register = open()?;
        register
            .plates(&PlateQuery::default())
            .map(|p| p.plates.len())
    })?;
    let register = open()?;
    let middle = PlateId(args.plates / 2);
    for (name, limit, query) in questions(middle) {
        measure(&mut out, name, limit, || {
            register.plates(&query).map(|p| p.plates.len())
        })?;
    }
    measure(&mut out, "tallies of all", 50, || {
        register.tallies().map(|t| t.len())
    })?;
    measure(&mut out, "one plate", 20, || {
        register.plate(middle).map(|p| usize::from(p.is_some()))
    })?;
    if args.papers {
        papers(&mut out, &register, &args.folder)?;
    }
    Ok(())
}

/// Every kind of paper, one after the other.
fn papers(
    out: &mut impl Write,
    register: &SqliteRegister,
    folder: &Path,
) -> Result<(), Box<dyn std::error::Error>> {
    let file = |name: &str| File::create(folder.join(name)).map(BufWriter::new);
    for (name, first) in [("csv", 1000), ("csv", 0), ("jsonl", 0), ("xlsx", 0)] {
        // A short one first, so that growth shows.
        let filter = Filter {
            location: (first > 0).then(|| "PLACE-077".to_owned()),
            ..Filter::default()
        };
        let target = format!("plates.{name}");
        paper(out, folder, &target, || {
            let sink: Box<dyn Sink> = match name {
                "csv" => Box::new(CsvSink::new(file(&target)?, false)?),
                "jsonl" => Box::new(JsonLinesSink::new(file(&target)?)),
                _ => Box::new(XlsxSink::new(
                    File::create(folder.join(&target))?,
                    "2026-01-01",
                )?),
            };
            Ok(format!("{} plates", export(register, &filter, sink)?))
        })?;
    }
    for (name, sheets) in [("lists.pdf", false), ("location.pdf", true)] {
        let options = ReportOptions {
            title: "A million plates".to_owned(),
            source: "million.vetplate".to_owned(),
            today: "2026-01-01".parse()?,
            filter: Filter {
                location: sheets.then(|| "PLACE-077".to_owned()),
                ..Filter::default()
            },
            extent: String::new(),
            sheets,
            pictures: false,
            blank: None,
        };
        paper(out, folder, name, || {
            let limits = vetplate_ocr::Limits::default();
            let (pages, _) = site_report(register, None, &limits, &options, file(name)?)?;
            Ok(format!("{pages} pages"))
        })?;
    }
    Ok(())
}

fn paper(
    out: &mut impl Write,
    folder: &Path,
    name: &str,
    make: impl FnOnce() -> Result<String, Box<dyn std::error::Error>>,
) -> Result<(), Box<dyn std::error::Error>> {
    // Counts the peak from here on.
    let _ = std::fs::write("/proc/self/clear_refs", "5");
    let begun = Instant::now();
    let what = make()?;
    let took = begun.elapsed().as_secs_f64();
    let size = std::fs::metadata(folder.join(name))?.len() >> 20;
    writeln!(
        out,
        "{name:14} {what:16} {took:8.1} s {size:6} MiB, memory at most {}",
        peak()
    )?;
    Ok(())
}

fn peak() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.map_or_else(|| "unknown".to_owned(), |line| line.trim().to_owned())
}

fn questions(middle: PlateId) -> Vec<(&'static str, u128, PlateQuery)> {
    let list = |filter: Filter| PlateQuery {
        filter,
        ..PlateQuery::default()
    };
    let search = |text: &str| {
        list(Filter {
            text: Some(text.to_owned()),
            ..Filter::default()
        })
    };
    let everything = Filter {
        location: Some("PLACE-077".to_owned()),
        outcome: Some(OutcomeFilter::Is(OutcomeDto::Unsuitable)),
        review: Some(ReviewFilter::Is(ReviewState::Waiting)),
        ..Filter::default()
    };
    let open = Filter {
        review: Some(ReviewFilter::Open),
        ..Filter::default()
    };
    let after = Some(Cursor {
        urgency: 2500,
        id: middle,
    });
    vec![
        ("list, first page", 50, list(Filter::default())),
        (
            "list, a page in the middle",
            50,
            PlateQuery {
                after,
                ..list(Filter::default())
            },
        ),
        ("list, location, outcome and review", 50, list(everything)),
        (
            "list, rare outcome",
            50,
            list(Filter {
                outcome: Some(OutcomeFilter::Is(OutcomeDto::Unsuitable)),
                ..Filter::default()
            }),
        ),
        (
            "list, review by urgency",
            50,
            PlateQuery {
                order: Order::Urgency,
                ..list(open.clone())
            },
        ),
        (
            "list, review by urgency, a page in the middle",
            50,
            PlateQuery {
                order: Order::Urgency,
                after,
                ..list(open.clone())
            },
        ),
        (
            "list, review of one location by urgency",
            50,
            PlateQuery {
                order: Order::Urgency,
                ..list(Filter {
                    location: Some("PLACE-077".to_owned()),
                    ..open
                })
            },
        ),
        ("search, whole serial number", 20, search("CB-0777123")),
        ("search, part of a serial number", 20, search("777123")),
        ("search, what all have", 20, search("CB-")),
        ("search, two characters", 20, search("CB")),
        ("search, equipment tag", 20, search("M-0123456")),
        ("search, what nothing has", 20, search("QQQ-17")),
        (
            "search within a location",
            20,
            list(Filter {
                text: Some("7771".to_owned()),
                location: Some("PLACE-123".to_owned()),
                ..Filter::default()
            }),
        ),
    ]
}

fn measure(
    out: &mut impl Write,
    name: &str,
    limit: u128,
    mut ask: impl FnMut() -> Result<usize, StoreError>,
) -> Result<(), Box<dyn std::error::Error>> {
    let mut times: Vec<Duration> = Vec::new();
    let mut rows = 0;
    for _ in 0..RUNS {
        let begun = Instant::now();
        rows = ask()?;
        times.push(begun.elapsed());
    }
    times.sort_unstable();
    let millis = |d: Duration| d.as_secs_f64() * 1000.0;
    let over = if times[RUNS / 2].as_millis() > limit {
        "  OVER"
    } else {
        ""
    };
    writeln!(
        out,
        "{name:48} {rows:4} rows  {:8.2} {:8.2} {:8.2} ms of {limit}{over}",
        millis(times[0]),
        millis(times[RUNS / 2]),
        millis(times[RUNS - 1]),
    )?;
    Ok(())
}

/// Makes the register in one transaction: a million single changes would be synced a million
/// times.
fn generate(path: &Path, plates: i64) -> Result<(), Box<dyn std::error::Error>> {
    drop(SqliteRegister::open(path, true, Environment::system())?);
    let mut connection = rusqlite::Connection::open(path)?;
    connection.pragma_update(None, "synchronous", "off")?;
    connection.pragma_update(None, "foreign_keys", false)?;
    let transaction = connection.transaction()?;
    transaction.execute_batch(
        "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 500)
         INSERT INTO locations (id, tag, place, version, changed_at)
         SELECT i, printf('PLACE-%03d', i), '{\"zone\":\"1\"}', 1, 0 FROM n",
    )?;
    // A step that shares no factor with a million scatters serial numbers over the rows.
    let rows = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < ?1)";
    for sql in [
        "INSERT INTO readings (id, photo_id, part, at, program, models, facts, answer, evidence)
         SELECT i, i - (i % 50 = 0), i % 50 = 0, 0, '0', '[]', '{\"fields\":{},\"identities\":[],
         \"outcome\":null,\"review\":false,\"urgency\":0,\"look\":null}', '{\"schema\":1}', x''
         FROM n",
        "INSERT INTO plates (id, version, tag, location_id, maker, kind, serial, year,
         certificate, marking, outcome, review, urgency, photos, fields, differences, reading_id,
         verdict_id, created_at, changed_at)
         SELECT i, 1, CASE WHEN i % 3 = 0 THEN printf('M-%07d', i) END,
         CASE WHEN i % 17 > 0 THEN i * 7919 % 500 + 1 END, 'Corrieburn Works',
         printf('type %d', i % 97), printf('CB-%07d', i * 7919 % 1000003), 1990 + i % 36,
         printf('ABC %02d ATEX %04d', i % 26, i * 31 % 9973), 'Ex db IIC T4 Gb',
         CASE WHEN i % 17 = 0 THEN NULL WHEN i % 1009 = 0 THEN 'unsuitable'
             WHEN i % 7 = 0 THEN 'undecided' WHEN i % 5 = 0 THEN 'conditional' ELSE 'suitable' END,
         CASE WHEN i % 7 = 0 OR i % 1009 = 0 THEN 'waiting' WHEN i % 91 = 0 THEN 'settled'
             ELSE 'not_needed' END,
         CASE WHEN i % 7 = 0 THEN i * 7919 % 5000 ELSE 0 END,
         1, '{}', '[]', i, i, 0, 0 FROM n",
        "INSERT INTO photos (id, sha256, bytes, state, plate_id, reading_id, added_at)
         SELECT i, printf('%064d', i), 1, 'read', i, i, 0 FROM n WHERE i % 50 > 0",
        // Every fiftieth plate is the second one on the photo of the plate before.
        "INSERT INTO further_plates (photo_id, part, plate_id, reading_id)
         SELECT i - 1, 1, i, i FROM n WHERE i % 50 = 0",
        "INSERT INTO verdicts (id, plate_id, at, outcome, reading_id, program, cause)
         SELECT i, i, 0, (SELECT outcome FROM plates WHERE id = i), i, '0', 'read' FROM n",
    ] {
        transaction.execute(&format!("{rows} {sql}"), [plates])?;
    }
    transaction.execute_batch(
        "INSERT INTO plate_text (rowid, tag, location, serial, certificate, maker, kind)
         SELECT p.id, p.tag, l.tag, p.serial, p.certificate, p.maker, p.kind
         FROM plates p LEFT JOIN locations l ON l.id = p.location_id;
         INSERT INTO plate_text (plate_text) VALUES ('optimize');",
    )?;
    transaction.commit()?;
    Ok(())
}
