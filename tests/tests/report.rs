//! The report from outside: pages, text and fonts, read back with another program's reader.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

use lopdf::{Document, Object};
use vetplate::report::{
    CheckItem, Entry, GroundLine, Head, InspectionPart, LocationRow, Picture, PlateSheet, Report,
    Settled, ShownFinding, ShownPicture,
};

fn head() -> Head {
    Head {
        title: "Corrieburn distillery".to_owned(),
        source: "corrieburn.vetplate".to_owned(),
        made_on: "2026-03-02".to_owned(),
        version: "0.1.0".to_owned(),
        extent: "every plate of the register".to_owned(),
    }
}

fn sheet(plate: i64) -> PlateSheet {
    let photo = image::RgbImage::from_fn(64, 48, |x, y| image::Rgb([x as u8, y as u8, 90]));
    PlateSheet {
        plate,
        name: "P-101".to_owned(),
        location: "STILL-1 – Still house: zone 1, ethanol".to_owned(),
        outcome: "unsuitable".to_owned(),
        photo: ShownPicture {
            picture: Some(Picture::new(&photo, 900).unwrap()),
            caption: "still-1.jpg, taken 2026-02-11".to_owned(),
        },
        crop: ShownPicture {
            picture: None,
            caption: "no part of the photo is known to hold the marking".to_owned(),
        },
        markings: vec!["Ex db eb IIB T4 Gb".to_owned()],
        facts: vec![("Serial".to_owned(), "lI10O".to_owned())],
        grounds: vec![GroundLine {
            outcome: "unsuitable".to_owned(),
            detail: "group IIB does not cover hydrogen".to_owned(),
            source: "IEC 60079-14:2013 5.5".to_owned(),
            next: "replace it by equipment of group IIC".to_owned(),
        }],
        doubts: vec!["group may also be IIC (8 %)".to_owned()],
        contradictions: Vec::new(),
        waits: true,
        settled: Some(Settled {
            who: "A. Inspector".to_owned(),
            at: "2026-03-01".to_owned(),
            what: "confirmed".to_owned(),
        }),
        inspection: InspectionPart {
            head: "close, periodic, 2026-03-01, A. Inspector".to_owned(),
            items: vec![CheckItem {
                text: "the equipment group suits the gas or dust".to_owned(),
                source: "IEC 60079-17:2013 Table 1 A2 (checked)".to_owned(),
                result: "fail".to_owned(),
                note: "unsuitable: group IIB does not cover hydrogen".to_owned(),
            }],
            findings: vec![ShownFinding {
                priority: "1 immediate".to_owned(),
                text: "wrong group".to_owned(),
                due: "2026-03-01".to_owned(),
            }],
            next: "2029-03-01".to_owned(),
        },
    }
}

fn made(build: impl FnOnce(&mut Report<Vec<u8>>)) -> (usize, Vec<u8>) {
    let mut report = Report::new(Vec::new(), &head()).unwrap();
    build(&mut report);
    report.finish().unwrap()
}

/// The text of every page, blanks and line breaks made one blank.
fn pages(bytes: &[u8]) -> Vec<String> {
    let document = Document::load_mem(bytes).unwrap();
    document
        .get_pages()
        .keys()
        .map(|number| {
            let text = document.extract_text(&[*number]).unwrap();
            text.split_whitespace().collect::<Vec<_>>().join(" ")
        })
        .collect()
}

#[test]
fn a_sheet_says_what_must_be_said() {
    let (count, bytes) = made(|report| {
        report
            .overview(&[LocationRow {
                tag: "STILL-1".to_owned(),
                name: "Still house".to_owned(),
                place: "zone 1, ethanol".to_owned(),
                counts: [1, 0, 2, 12, 0],
                waiting: 3,
            }])
            .unwrap();
        report.list("Unsuitable, and why", "Worst first.").unwrap();
        report
            .entry(&Entry {
                plate: 7,
                name: "P-101".to_owned(),
                location: "STILL-1".to_owned(),
                marking: "Ex db eb IIB T4 Gb".to_owned(),
                points: vec![
                    "group IIB does not cover hydrogen [IEC 60079-14:2013 5.5]".to_owned(),
                ],
            })
            .unwrap();
        report.location("STILL-1").unwrap();
        report.plate(&sheet(7)).unwrap();
    });
    let pages = pages(&bytes);
    assert_eq!(pages.len(), count);
    let front = &pages[0];
    assert!(front.contains("Corrieburn distillery"));
    assert!(front.contains("Decision support only"));
    assert!(front.contains("licensed engineer"));
    assert!(front.contains("STILL-1 – Still house"));
    assert!(front.contains("Page 1 of"));
    assert!(pages[1].contains("Unsuitable, and why"));
    assert!(pages[1].contains("[IEC 60079-14:2013 5.5]"));
    let sheet = pages[2..].join(" ");
    for wanted in [
        "Plate 7 · P-101",
        "UNSUITABLE",
        "Ex db eb IIB T4 Gb",
        "lI10O",
        "To do: replace it by equipment of group IIC",
        "Waits for a person",
        "A. Inspector, 2026-03-01: confirmed",
        "Table 1 A2 (checked)",
        "1 immediate",
        "by 2026-03-01",
        "Next inspection: 2029-03-01",
        "signature",
        "Marking to one scheme is not approval under another.",
    ] {
        assert!(sheet.contains(wanted), "{wanted} is not in: {sheet}");
    }
}

#[test]
fn every_font_is_in_the_file() {
    let (_, bytes) = made(|report| report.plate(&sheet(1)).unwrap());
    let document = Document::load_mem(&bytes).unwrap();
    let of_type = |wanted: &[u8]| {
        document
            .objects
            .values()
            .filter_map(|object| object.as_dict().ok())
            .filter(|dict| dict.get(b"Type").and_then(Object::as_name).ok() == Some(wanted))
            .cloned()
            .collect::<Vec<_>>()
    };
    let fonts = of_type(b"Font");
    let descriptors = of_type(b"FontDescriptor");
    // Three composite fonts, each with its descendant and its descriptor.
    assert_eq!(fonts.len(), 6);
    assert_eq!(descriptors.len(), 3);
    for descriptor in descriptors {
        assert!(descriptor.has(b"FontFile2"));
    }
}

#[test]
fn long_texts_and_long_lists_break_and_lose_nothing() {
    let (count, bytes) = made(|report| {
        report
            .list("Waits for review", "Most urgent first.")
            .unwrap();
        for plate in 1..=400 {
            report
                .entry(&Entry {
                    plate,
                    name: format!("tag-{plate}-end"),
                    points: vec!["the class may be T4 or T6".to_owned()],
                    ..Entry::default()
                })
                .unwrap();
        }
        let mut long = sheet(9);
        long.grounds = (0..60)
            .map(|n| GroundLine {
                outcome: "undecided".to_owned(),
                detail: format!("ground {n}: {} ground-end-{n}", "many words ".repeat(60)),
                source: "IEC 60079-14".to_owned(),
                next: String::new(),
            })
            .collect();
        long.markings = vec!["Q".repeat(900), "防爆 Ex".to_owned()];
        report.plate(&long).unwrap();
    });
    let pages = pages(&bytes);
    assert_eq!(pages.len(), count);
    assert!(count > 20, "{count}");
    let all = pages.join(" ");
    for plate in 1..=400 {
        assert!(all.contains(&format!("tag-{plate}-end")), "{plate}");
    }
    for n in 0..60 {
        assert!(all.contains(&format!("ground-end-{n}")), "{n}");
    }
    assert_eq!(all.matches('Q').count(), 900);
    assert!(all.contains("[U+9632][U+7206] Ex"));
    assert!(all.contains("Waits for review (continued)"));
    assert!(all.contains("Plate 9 · P-101 (continued)"));
    for (number, page) in pages.iter().enumerate() {
        assert!(page.contains(&format!("Page {} of", number + 1)));
    }
}

#[test]
fn the_same_plates_give_the_same_bytes() {
    let once = || made(|report| report.plate(&sheet(1)).unwrap()).1;
    assert_eq!(once(), once());
}

/// Counts what passes and keeps nothing.
struct Counter(usize);

impl std::io::Write for Counter {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0 += bytes.len();
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_page_leaves_before_the_next_begins() {
    use std::cell::Cell;
    use std::rc::Rc;

    struct Watched(Rc<Cell<usize>>);
    impl std::io::Write for Watched {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0.set(self.0.get() + bytes.len());
            Ok(bytes.len())
        }

        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    let written = Rc::new(Cell::new(0));
    let mut report = Report::new(Watched(Rc::clone(&written)), &head()).unwrap();
    let mut steps = Vec::new();
    for plate in 0..50 {
        report.plate(&sheet(plate)).unwrap();
        steps.push(written.get());
    }
    // What one plate adds leaves with the next one, so nothing gathers.
    let grown: Vec<usize> = steps.windows(2).map(|w| w[1] - w[0]).skip(1).collect();
    let (least, most) = (grown.iter().min().unwrap(), grown.iter().max().unwrap());
    assert!(*least > 0 && *most < 2 * least + 4096, "{least} to {most}");
    let (pages, _) = report.finish().unwrap();
    assert!(pages >= 50);
}

#[test]
fn a_target_that_fails_is_said() {
    struct Full;
    impl std::io::Write for Full {
        fn write(&mut self, _: &[u8]) -> std::io::Result<usize> {
            Err(std::io::Error::from(std::io::ErrorKind::StorageFull))
        }

        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    let error = Report::new(Full, &head()).err().unwrap();
    assert!(error.to_string().contains("check the space left"));
    let mut counter = Counter(0);
    Report::new(&mut counter, &head())
        .unwrap()
        .finish()
        .unwrap();
    assert!(counter.0 > 10_000);
}
