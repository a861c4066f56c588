//! Tables from outside: CSV, XLSX and JSON Lines, read back with other people's readers.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use calamine::{Data, DataType, Reader, Xlsx};
use proptest::prelude::*;
use std::cell::RefCell;
use std::io::{Cursor, Write};
use std::rc::Rc;
use vetplate::export::{COLUMNS, CsvSink, JsonLinesSink, Row, Sink, XlsxSink, neutral, plain};

/// Bytes that stay at hand after a sink is finished.
#[derive(Clone, Default)]
struct Shared(Rc<RefCell<Vec<u8>>>);

impl Write for Shared {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

fn row() -> Row {
    Row {
        plate: 7,
        tag: "=HYPERLINK(\"http://example.invalid\")".to_owned(),
        serial: "0012".to_owned(),
        marking: "Ex db eb IIC T4 Gb".to_owned(),
        ratings: "-40 °C; \"quoted\", two\nlines".to_owned(),
        year: Some(2019),
        ambient_low_c: Some(-20.0),
        outcome: "suitable".to_owned(),
        outcome_probability: Some(0.9996),
        taken_at: "2026-03-02T10:11:12".to_owned(),
        next_inspection: "2029-03-02".to_owned(),
        ..Row::default()
    }
}

fn csv_of(rows: &[Row], bom: bool) -> Vec<u8> {
    let out = Shared::default();
    let mut sink = Box::new(CsvSink::new(out.clone(), bom).unwrap());
    for row in rows {
        sink.row(row).unwrap();
    }
    sink.finish().unwrap();
    out.0.take()
}

fn xlsx_of(rows: &[Row], limit: u32) -> Xlsx<Cursor<Vec<u8>>> {
    let mut file = tempfile::tempfile().unwrap();
    let mut sink =
        Box::new(XlsxSink::with_limit(file.try_clone().unwrap(), "2026-03-02", limit).unwrap());
    for row in rows {
        sink.row(row).unwrap();
    }
    sink.finish().unwrap();
    let mut bytes = Vec::new();
    std::io::Seek::rewind(&mut file).unwrap();
    std::io::Read::read_to_end(&mut file, &mut bytes).unwrap();
    Xlsx::new(Cursor::new(bytes)).unwrap()
}

fn column(key: &str) -> usize {
    COLUMNS.iter().position(|c| c.key == key).unwrap()
}

#[test]
fn csv_is_utf8_with_quotes_and_no_formula() {
    let bytes = csv_of(&[row()], true);
    let text = std::str::from_utf8(&bytes).unwrap();
    let text = text.strip_prefix('\u{feff}').unwrap();
    assert!(text.starts_with("\"plate\",\"tag\","));
    assert!(text.contains("\r\n7,\"'=HYPERLINK(\"\"http://example.invalid\"\")\","));
    assert!(text.contains("\"'-40 °C; \"\"quoted\"\", two\nlines\""));
    // A number stays a number, also below zero; a serial number keeps its zeros.
    assert!(text.contains(",-20,"));
    assert!(text.contains(",2019,"));
    assert!(text.contains("0012"));
    assert!(!csv_of(&[row()], false).starts_with("\u{feff}".as_bytes()));
}

#[test]
fn json_lines_have_the_keys_of_the_columns_and_typed_values() {
    let out = Shared::default();
    let mut sink = Box::new(JsonLinesSink::new(out.clone()));
    sink.row(&row()).unwrap();
    sink.row(&Row::default()).unwrap();
    sink.finish().unwrap();
    let text = String::from_utf8(out.0.take()).unwrap();
    let lines: Vec<serde_json::Value> = text
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(lines.len(), 2);
    assert_eq!(lines[0]["ambient_low_c"], -20.0);
    assert_eq!(lines[0]["tag"], "=HYPERLINK(\"http://example.invalid\")");
    assert_eq!(lines[0]["year"], 2019);
    assert_eq!(lines[1], serde_json::json!({"plate": 0}));
    assert!(text.starts_with("{\"plate\":7,\"tag\":"));
}

#[test]
fn a_workbook_is_typed_filtered_and_frozen() {
    let mut book = xlsx_of(&[row()], u32::MAX);
    let sheet = book.worksheet_range("Register").unwrap();
    assert_eq!(sheet.height(), 2);
    assert_eq!(sheet.width(), COLUMNS.len());
    for (index, column) in COLUMNS.iter().enumerate() {
        assert_eq!(sheet[(0, index)], Data::String(column.title.to_owned()));
    }
    let cell = |key| &sheet[(1, column(key))];
    assert_eq!(cell("plate").as_f64(), Some(7.0));
    assert_eq!(
        cell("tag"),
        &Data::String("=HYPERLINK(\"http://example.invalid\")".to_owned())
    );
    assert_eq!(cell("serial"), &Data::String("0012".to_owned()));
    assert_eq!(cell("ambient_low_c").as_f64(), Some(-20.0));
    assert_eq!(cell("outcome_probability").as_f64(), Some(0.9996));
    assert!(matches!(cell("taken_at"), Data::DateTime(_)));
    assert!(matches!(cell("next_inspection"), Data::DateTime(_)));
    assert_eq!(cell("dust"), &Data::Empty);
    assert!(book.worksheet_formula("Register").unwrap().is_empty());
}

#[test]
fn what_does_not_fit_on_a_sheet_goes_on_in_the_next() {
    let rows: Vec<Row> = (1..=5)
        .map(|plate| Row {
            plate,
            ..Row::default()
        })
        .collect();
    let mut book = xlsx_of(&rows, 3);
    assert_eq!(book.sheet_names(), ["Register", "Register 2", "Register 3"]);
    let mut plates = Vec::new();
    for name in book.sheet_names() {
        let sheet = book.worksheet_range(&name).unwrap();
        plates.extend(sheet.rows().skip(1).filter_map(|row| row[0].as_i64()));
    }
    assert_eq!(plates, [1, 2, 3, 4, 5]);
}

#[test]
fn the_same_rows_give_the_same_bytes() {
    assert_eq!(csv_of(&[row()], true), csv_of(&[row()], true));
    let book = || {
        let mut file = tempfile::tempfile().unwrap();
        let mut sink = Box::new(XlsxSink::new(file.try_clone().unwrap(), "2026-03-02").unwrap());
        sink.row(&row()).unwrap();
        sink.finish().unwrap();
        let mut bytes = Vec::new();
        std::io::Seek::rewind(&mut file).unwrap();
        std::io::Read::read_to_end(&mut file, &mut bytes).unwrap();
        bytes
    };
    assert_eq!(book(), book());
}

/// Text as strangers put it on plates and into lists: every character that matters somewhere.
fn nasty() -> impl Strategy<Value = String> {
    prop_oneof![
        "[=+\\-@\t\r\n'\",; ａ＝\u{feff}\u{202e}\u{0}-\u{1f}a-c0-9°]{0,12}",
        ".{0,20}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn no_cell_is_a_formula_and_all_text_comes_back(text in nasty()) {
        let given = Row { tag: text.clone(), ..Row::default() };
        let bytes = csv_of(&[given], false);
        let mut reader = csv::Reader::from_reader(bytes.as_slice());
        let record = reader.records().next().unwrap().unwrap();
        prop_assert_eq!(record.len(), COLUMNS.len());
        let cell = &record[column("tag")];
        let first = cell.trim_start().chars().next();
        prop_assert!(!matches!(first, Some('=' | '+' | '-' | '@' | '＝' | '＋' | '－' | '＠')));
        prop_assert!(!cell.starts_with(['\t', '\r', '\n']));
        let steers = |c: char| c.is_control() && !matches!(c, '\t' | '\n' | '\r');
        prop_assert_eq!(plain(cell), text.replace(steers, "\u{fffd}"));
        let made = neutral(&text);
        prop_assert_eq!(plain(&made), text.replace(steers, "\u{fffd}"));
    }

    #[test]
    fn json_lines_stay_one_line_a_plate(text in nasty()) {
        let out = Shared::default();
        let mut sink = Box::new(JsonLinesSink::new(out.clone()));
        sink.row(&Row { tag: text.clone(), ..Row::default() }).unwrap();
        sink.finish().unwrap();
        let bytes = out.0.take();
        prop_assert_eq!(bytes.split(|b| *b == b'\n').count(), 2);
        let back: serde_json::Value = serde_json::from_slice(&bytes).unwrap();
        prop_assert_eq!(back["tag"].as_str().unwrap_or_default(), text);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn a_workbook_holds_text_as_text(text in nasty()) {
        let mut book = xlsx_of(&[Row { tag: text.clone(), ..Row::default() }], u32::MAX);
        prop_assert!(book.worksheet_formula("Register").unwrap().is_empty());
        let sheet = book.worksheet_range("Register").unwrap();
        let cell = sheet.get((1, column("tag"))).cloned().unwrap_or_default();
        // XML reads a carriage return as a line break and leaves no other control in.
        let wanted = text.replace("\r\n", "\n").replace('\r', "\n");
        if !text.chars().any(|c| c.is_control() && c != '\n') {
            prop_assert_eq!(cell.as_string().unwrap_or_default(), wanted);
        }
    }
}
