//! What people and programs do with a register beside importing, each from a register that it is
//! done on to what is seen when it was done.

use super::{StandIn, assert_whole, environment, import_with, picture};
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use vetplate::answer::{LineDto, PhotoDto, Share};
use vetplate::backup::{make, restore};
use vetplate::pipeline::{PhotoReader, read_photo};
use vetplate::register::{
    Evidence, Folder, Grade, InspectionKind, LocationFacts, NewInspection, NewPhoto, NewReading,
    NewSettlement, Offered, Photos, PlateId, ReadLine, ReviewState, SettlementKind, Sighting,
    SqliteRegister, Store, accept, judge_afresh, judge_again, settle,
};
use vetplate::{CertificateFile, Environment};
use vetplate_ocr::Limits;
use vetplate_parser::{Language, Line};

/// Something that is done to a register, by name.
pub(crate) const ACTS: [&str; 12] = [
    "settle",
    "put back",
    "inspect",
    "describe",
    "locate",
    "reread",
    "split",
    "certificates",
    "restore",
    "migrate 1",
    "migrate 2",
    "migrate 3",
];

const WHO: &str = "R. Reviewer";

/// Two plates on one photo, as schemas before the fourth kept them: one reading of all lines.
const TWO: [(usize, &str); 4] = [
    (0, "Ex db IIC T4 Gb"),
    (1, "Ex ec IIC T4 Gc"),
    (0, "Serial No. CB-000001"),
    (1, "Serial No. HT-7700-1"),
];

pub(crate) fn register(folder: &Path) -> PathBuf {
    folder.join("register.vetplate")
}

fn open(folder: &Path, environment: &Environment) -> Result<SqliteRegister, String> {
    SqliteRegister::open(&register(folder), false, environment.clone()).map_err(|e| e.to_string())
}

/// Evidence of [`TWO`].
fn two_plates() -> Evidence {
    let line = |(at, (plate, text)): (usize, &(usize, &str))| {
        let (x, y) = (*plate as f64 * 200.0, at as f64 * 20.0);
        ReadLine {
            shown: LineDto {
                text: (*text).to_owned(),
                confidence: Share::new(1.0),
                quad: Some([[x, y], [x + 90.0, y], [x + 90.0, y + 15.0], [x, y + 15.0]]),
                hidden: Vec::new(),
                flaws: Vec::new(),
                plate: Some(*plate),
            },
            line: Line::certain(text),
        }
    };
    Evidence {
        photo: PhotoDto {
            file: Some("a.jpg".to_owned()),
            sha256: "aa".to_owned(),
            width: 400,
            height: 300,
            taken_at: None,
            gps: None,
            notes: Vec::new(),
        },
        models: Vec::new(),
        lines: TWO.iter().enumerate().map(line).collect(),
        codes: Vec::new(),
        plates: 1,
    }
}

/// Makes the register on which `act` is done.
pub(crate) fn prepare(act: &str, folder: &Path) {
    if let Some(schema) = act.strip_prefix("migrate ") {
        return of_schema(schema.parse().unwrap(), folder);
    }
    std::fs::write(folder.join("1.png"), picture(1)).unwrap();
    import_with(folder, &register(folder), &environment()).unwrap();
    let register = open(folder, &environment()).unwrap();
    match act {
        "put back" => settled(&register).unwrap(),
        "describe" | "certificates" => {
            let facts = LocationFacts {
                tag: "MILL".to_owned(),
                ..LocationFacts::default()
            };
            register.put_location(&facts, WHO).unwrap();
        }
        "split" => {
            let photo = NewPhoto {
                sha256: "aa".to_owned(),
                bytes: 9,
                sighting: Sighting::new("/photos/a.jpg"),
                kept: false,
                location: None,
                tag: None,
            };
            let Offered::ToRead(lease) = register.offer(&photo, "w", 60, false).unwrap() else {
                panic!("the photo is new")
            };
            let whole = two_plates();
            let reading = NewReading::new(&whole, &whole.answer(None), None).unwrap();
            register
                .finish(&lease, &[reading], false, None, WHO)
                .unwrap();
        }
        "restore" => {
            register.set_copies("register.photos").unwrap();
            let copies = Folder::new(register.copies().unwrap().unwrap(), environment());
            make(&register, Some(&copies), &folder.join("backups")).unwrap();
        }
        _ => {}
    }
}

/// A register as an older schema left it: one photo of two plates, read as one.
fn of_schema(schema: usize, folder: &Path) {
    let steps = [
        include_str!("../../src/register/sqlite/schema_1.sql"),
        include_str!("../../src/register/sqlite/schema_2.sql"),
        include_str!("../../src/register/sqlite/schema_3.sql"),
    ];
    let connection = Connection::open(register(folder)).unwrap();
    for sql in &steps[..schema] {
        connection.execute_batch(sql).unwrap();
    }
    let whole = two_plates();
    let reading = NewReading::new(&whole, &whole.answer(None), None).unwrap();
    let facts = serde_json::to_string(&reading.facts).unwrap();
    connection
        .pragma_update(None, "foreign_keys", false)
        .unwrap();
    connection
        .execute(
            "INSERT INTO readings (id, photo_id, at, program, models, facts, answer, evidence)
             VALUES (1, 1, 0, '0', '[]', ?1, ?2, ?3)",
            (facts, reading.answer.to_string(), reading.evidence),
        )
        .unwrap();
    connection
        .execute_batch(&format!(
            "INSERT INTO locations (id, tag, place, version, changed_at)
                 VALUES (1, 'MILL', '{{}}', 1, 0);
             INSERT INTO imports (id, who, sources, state, started_at, seen, taken)
                 VALUES (1, 'me', '[]', 'done', 0, 1, 1);
             INSERT INTO plates (id, version, location_id, serial, marking, review, urgency, photos,
                 fields, differences, reading_id, verdict_id, created_at, changed_at)
                 VALUES (1, 1, 1, 'CB-000001', 'Ex db IIC T4 Gb', 'waiting', 3000, 1, '{{}}', '[]',
                 1, 1, 0, 0);
             INSERT INTO verdicts (id, plate_id, at, reading_id, program, cause)
                 VALUES (1, 1, 0, 1, '0', 'read');
             INSERT INTO photos (id, sha256, bytes, state, location_id, plate_id, reading_id,
                 import_id, added_at) VALUES (1, 'aa', 9, 'read', 1, 1, 1, 1, 0);
             INSERT INTO sightings VALUES (1, '/photos/a.jpg', NULL, 0);
             INSERT INTO plate_text (rowid, serial) VALUES (1, 'CB-000001');
             PRAGMA application_id = 0x56455450;
             PRAGMA user_version = {schema};"
        ))
        .unwrap();
}

fn settled(register: &SqliteRegister) -> Result<(), String> {
    let plate = look(register)?;
    let correction = NewSettlement {
        kind: SettlementKind::Corrected,
        lines: vec!["Ex eb IIB T3 Gb".to_owned()],
        note: None,
    };
    settle(register, PlateId(1), plate.row.version, correction, WHO)
        .map(drop)
        .map_err(|e| e.to_string())
}

fn look(register: &SqliteRegister) -> Result<vetplate::register::PlateRecord, String> {
    let plate = register.plate(PlateId(1)).map_err(|e| e.to_string())?;
    plate.ok_or_else(|| "plate 1 is gone".to_owned())
}

/// Another marking on the same photo.
fn other_reading(folder: &Path) -> Evidence {
    let bytes = picture(1);
    let reader = StandIn::default();
    let found = read_photo(
        &reader as &dyn PhotoReader,
        &bytes,
        &Limits::default(),
        None,
        None,
        Language::English,
    );
    let mut evidence = Evidence::of(&found.unwrap()).unwrap();
    assert!(folder.exists());
    "Ex eb IIC T3 Gb".clone_into(&mut evidence.lines[0].shown.text);
    evidence.lines[0].line = Line::certain("Ex eb IIC T3 Gb");
    evidence
}

/// Does it.
pub(crate) fn act(act: &str, folder: &Path, environment: &Environment) -> Result<(), String> {
    let text = |error: vetplate::register::StoreError| error.to_string();
    if act == "restore" {
        let to = folder.join("restored.vetplate");
        return restore(&folder.join("backups"), &to, environment)
            .map(drop)
            .map_err(|e| e.to_string());
    }
    let register = open(folder, environment)?;
    match act {
        "settle" => settled(&register),
        "put back" => {
            let version = look(&register)?.row.version;
            let done = register.put_back(PlateId(1), version, "look again", WHO);
            done.map(drop).map_err(text)
        }
        "inspect" => {
            let inspection = NewInspection {
                grade: Grade::Close,
                kind: InspectionKind::Periodic,
                date: "2026-11-29".parse().unwrap(),
                inspector: WHO.to_owned(),
                competence: None,
                items: Vec::new(),
                findings: Vec::new(),
                next: None,
                replaces: None,
            };
            register
                .inspect(PlateId(1), &inspection, WHO)
                .map(drop)
                .map_err(text)
        }
        "describe" => {
            let version = look(&register)?.row.version;
            let done = register.describe(PlateId(1), version, Some("M-1"), Some("MILL"), WHO);
            done.map(drop).map_err(text)
        }
        "locate" => {
            let facts = LocationFacts {
                tag: "STILL".to_owned(),
                ..LocationFacts::default()
            };
            register.put_location(&facts, WHO).map(drop).map_err(text)
        }
        "reread" => {
            let fresh = other_reading(folder);
            let again = judge_afresh(&register, PlateId(1), &mut |_| Some((fresh.clone(), None)));
            accept(&register, &again.map_err(text)?, "judged again", WHO).map_err(text)
        }
        "split" => {
            let again = judge_again(&register, PlateId(2)).map_err(text)?;
            accept(&register, &again, "judged again", WHO).map_err(text)
        }
        "certificates" => {
            let list = folder.join("certificates.csv");
            std::fs::write(&list, "number\nABC 14 ATEX 0000\n").unwrap();
            let file = CertificateFile::load(&list).unwrap();
            register
                .keep_certificates(&file, WHO)
                .map(drop)
                .map_err(text)
        }
        // Opening is the whole of it.
        _ => Ok(()),
    }
}

/// How much of it is there: 0 nothing, 1 all of it. What is in between has no number: each step of an
/// act that has several is whole by itself, and counts.
pub(crate) fn done(act: &str, folder: &Path) -> usize {
    if act == "restore" {
        return usize::from(folder.join("restored.vetplate").exists());
    }
    let register = open(folder, &environment()).unwrap();
    let plate = register.plate(PlateId(1)).unwrap().unwrap();
    let history = |what: &str| {
        let events = register.history(vetplate::register::Subject::Plate(PlateId(1)));
        events
            .unwrap()
            .iter()
            .filter(|event| event.what == what)
            .count()
    };
    match act {
        "settle" => {
            let settlements = register.settlements(PlateId(1)).unwrap().len();
            let is_settled = plate.row.review == ReviewState::Settled;
            assert_eq!(settlements, usize::from(is_settled));
            assert_eq!(plate.row.marking == "Ex eb IIB T3 Gb", is_settled);
            settlements
        }
        "put back" => {
            assert_eq!(
                plate.put_back.is_some(),
                plate.row.review == ReviewState::PutBack
            );
            history("put back")
        }
        "inspect" => register.inspections(PlateId(1)).unwrap().len(),
        "describe" => {
            assert_eq!(plate.row.tag.is_some(), plate.row.location.is_some());
            history("described")
        }
        "locate" => usize::from(register.location("STILL").unwrap().is_some()),
        "reread" => {
            let readings = register.readings(PlateId(1)).unwrap();
            assert_eq!(readings.iter().filter(|r| r.counts).count(), 1);
            assert_eq!(plate.row.marking == "Ex eb IIC T3 Gb", readings.len() == 2);
            readings.len() - 1
        }
        "split" => usize::from(!judge_again(&register, PlateId(2)).unwrap().differs()),
        "certificates" => {
            let lists = register.certificate_lists().unwrap().len();
            assert_eq!(
                lists,
                usize::from(register.certificates().unwrap().is_some())
            );
            lists
        }
        // To open it is to migrate it.
        _ => 1,
    }
}

/// The register is whole, with every photo and plate once, whether it was done or not.
pub(crate) fn holds(act: &str, folder: &Path, after: &str) {
    let path = register(folder);
    match act {
        "split" => {
            let register = open(folder, &environment()).unwrap();
            is_whole(&register, after);
        }
        _ if act.starts_with("migrate") => {
            let register = open(folder, &environment()).unwrap();
            is_whole(&register, after);
            assert!(register.location("mill").unwrap().is_some(), "{after}");
            assert_eq!(register.imports(9).unwrap().len(), 1, "{after}");
            let plate = register.plate(PlateId(1)).unwrap().unwrap();
            assert_eq!(plate.row.serial.as_deref(), Some("CB-000001"), "{after}");
            // The copy from before is a register of the schema that it had.
            let schema: i64 = act.trim_start_matches("migrate ").parse().unwrap();
            let copy = folder.join(format!("register.vetplate.schema-{schema}"));
            let version: i64 = Connection::open(copy)
                .unwrap()
                .pragma_query_value(None, "user_version", |row| row.get(0))
                .unwrap();
            assert_eq!(version, schema, "{after}");
            // The two plates of its photo come apart, now that there is room for both.
            let again = judge_again(&register, PlateId(1)).unwrap();
            accept(&register, &again, "judged again", WHO).unwrap();
            assert!(register.plate(PlateId(2)).unwrap().is_some(), "{after}");
            is_whole(&register, after);
        }
        _ => assert_whole(&path, 1),
    }
}

fn is_whole(register: &SqliteRegister, after: &str) {
    let mut findings = Vec::new();
    register.check(&mut |f| findings.push(f)).unwrap();
    assert_eq!(findings, [], "{after}");
}
