//! Reports as PDF: their pictures are photos like any others.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]

mod support;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use image::{GrayImage, Luma, RgbImage};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref};
use std::collections::BTreeMap;
use std::io::{Cursor, Write};
use support::folder::{Fixture, counts};
use support::{environment, picture};
use vetplate::import::{Control, dry_run, fetch};
use vetplate::register::{Photos, PlateQuery, Sighting, Store};

/// A picture in a PDF: its facts, and its bytes as they stand there.
struct Embedded {
    size: (i32, i32),
    colours: &'static str,
    filter: Filter,
    data: Vec<u8>,
}

/// The picture of plate number `n`, large enough for a photo, as pixels.
fn large(n: u32) -> RgbImage {
    let small = image::load_from_memory(&picture(n)).unwrap().to_rgb8();
    image::imageops::resize(&small, 360, 320, image::imageops::FilterType::Nearest)
}

fn flate(data: &[u8]) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(data).unwrap();
    encoder.finish().unwrap()
}

fn packed(n: u32) -> Embedded {
    Embedded {
        size: (360, 320),
        colours: "DeviceRGB",
        filter: Filter::FlateDecode,
        data: flate(large(n).as_raw()),
    }
}

fn jpeg(n: u32) -> Embedded {
    let mut data = Cursor::new(Vec::new());
    large(n)
        .write_to(&mut data, image::ImageFormat::Jpeg)
        .unwrap();
    Embedded {
        size: (360, 320),
        colours: "DeviceRGB",
        filter: Filter::DctDecode,
        data: data.into_inner(),
    }
}

fn logo() -> Embedded {
    Embedded {
        size: (40, 40),
        colours: "DeviceGray",
        filter: Filter::FlateDecode,
        data: flate(&[7; 1600]),
    }
}

/// A PDF whose pages show these pictures by number; a picture may be on several pages.
fn pdf(pictures: &[Embedded], pages: &[&[usize]]) -> Vec<u8> {
    let mut pdf = Pdf::new();
    let (catalog, tree) = (Ref::new(1), Ref::new(2));
    let picture = |n: usize| Ref::new(10 + n as i32);
    let page = |n: usize| Ref::new(100 + n as i32);
    pdf.catalog(catalog).pages(tree);
    pdf.pages(tree)
        .kids((0..pages.len()).map(page))
        .count(pages.len() as i32);
    for (at, shown) in pages.iter().enumerate() {
        let mut one = pdf.page(page(at));
        one.parent(tree)
            .media_box(Rect::new(0.0, 0.0, 595.0, 842.0));
        let mut resources = one.resources();
        let mut objects = resources.x_objects();
        for number in *shown {
            let name = format!("Im{number:02}");
            objects.pair(Name(name.as_bytes()), picture(*number));
        }
        objects.finish();
        resources.finish();
    }
    for (at, one) in pictures.iter().enumerate() {
        let mut object = pdf.image_xobject(picture(at), &one.data);
        object.filter(one.filter);
        object
            .width(one.size.0)
            .height(one.size.1)
            .bits_per_component(8);
        object.pair(Name(b"ColorSpace"), Name(one.colours.as_bytes()));
    }
    pdf.finish()
}

fn serials(f: &Fixture) -> Vec<String> {
    let page = f.register.plates(&PlateQuery::default()).unwrap();
    let serial = |row: &vetplate::register::PlateRow| row.serial.clone().unwrap_or_default();
    page.plates.iter().map(serial).collect()
}

#[test]
fn every_large_picture_of_every_page_is_taken_once() {
    let f = Fixture::new();
    // A letterhead on both pages, a logo that is too small, a photo twice under two names.
    let report = pdf(
        &[packed(1), packed(2), logo(), packed(3), packed(1)],
        &[&[0, 1, 2], &[0, 3, 4]],
    );
    f.put("mill/round 7.pdf", report);
    let outcome = f.import();
    assert_eq!(counts(outcome.record.accounts), [4, 3, 1, 0, 0, 0]);
    assert_eq!(serials(&f), ["CB-000001", "CB-000002", "CB-000003"]);
    let row = &f.register.plates(&PlateQuery::default()).unwrap().plates[2];
    assert_eq!(row.location.as_deref(), Some("mill"));
    let plate = f.register.plate(row.id).unwrap().unwrap();
    let source = &plate.photos[0].sources[0];
    assert!(
        source.ends_with("round 7.pdf!/page 2/picture 2"),
        "{source}"
    );
    // Again, and nothing is new.
    assert_eq!(counts(f.import().record.accounts), [4, 0, 4, 0, 0, 0]);
}

#[test]
fn a_jpeg_comes_out_as_the_bytes_it_is_and_every_picture_is_found_again() {
    let f = Fixture::new();
    let bytes = jpeg(5).data.clone();
    let report = pdf(&[jpeg(5), packed(6)], &[&[0], &[1]]);
    let file = f.put("r.pdf", &report);
    f.import();
    let photos = Store::photos(&f.register, None, 10).unwrap();
    assert_eq!(photos[0].bytes, bytes.len() as u64);
    for photo in &photos {
        let sightings = f.register.sightings(photo.id).unwrap();
        let found = fetch(&sightings, &photo.sha256, 1 << 20).unwrap();
        assert_eq!(found.len() as u64, photo.bytes);
    }
    // The same from within an archive, where the PDF is a member.
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    zip.start_file("old/r.pdf", zip::write::SimpleFileOptions::default())
        .unwrap();
    zip.write_all(&report).unwrap();
    let archive = f.put("old.zip", zip.finish().unwrap().into_inner());
    std::fs::remove_file(&file).unwrap();
    assert_eq!(counts(f.import().record.accounts), [2, 0, 2, 0, 0, 0]);
    let within = Sighting::new(format!(
        "{}!/old/r.pdf!/page 1/picture 1",
        archive.display()
    ));
    let found = fetch(&[within], &photos[0].sha256, 1 << 20).unwrap();
    assert_eq!(found, bytes);
}

#[test]
fn a_dry_run_counts_what_the_import_takes() {
    let f = Fixture::new();
    f.put("r.pdf", pdf(&[packed(1), jpeg(2), logo()], &[&[0, 1, 2]]));
    let settings = f.settings(&[f.photos()]);
    let tried = dry_run(
        &settings,
        Some(&f.register),
        &environment(),
        &Control::new(),
        &f.heard,
    );
    assert_eq!(counts(tried.unwrap().accounts), [2, 2, 0, 0, 0, 0]);
    assert_eq!(counts(f.import().record.accounts), [2, 2, 0, 0, 0, 0]);
}

#[test]
fn stopped_within_a_report_the_next_run_goes_on() {
    let mut f = Fixture::new();
    let pictures: Vec<Embedded> = (0..12).map(packed).collect();
    let pages: Vec<[usize; 1]> = (0..12).map(|n| [n]).collect();
    let pages: Vec<&[usize]> = pages.iter().map(<[usize; 1]>::as_slice).collect();
    f.put("r.pdf", pdf(&pictures, &pages));
    f.heard.stop = Some((f.control.clone(), 3));
    let first = f.import().record.accounts.taken;
    assert!((3..12).contains(&first), "{first}");
    f.control = Control::new();
    f.heard.stop = None;
    assert_eq!(
        counts(f.import().record.accounts),
        [12, 12 - first, first, 0, 0, 0]
    );
    assert_eq!(f.plates(), 12);
}

#[test]
fn grey_ink_and_listed_colours_come_out_as_they_look() {
    let grey = GrayImage::from_fn(300, 300, |x, y| Luma([(x ^ y) as u8]));
    let ink = [0u8, 255, 255, 0].repeat(300 * 300);
    let f = Fixture::new();
    let of = |colours, data: &[u8]| Embedded {
        size: (300, 300),
        colours,
        filter: Filter::FlateDecode,
        data: flate(data),
    };
    let report = pdf(
        &[of("DeviceGray", grey.as_raw()), of("DeviceCMYK", &ink)],
        &[&[0, 1]],
    );
    let path = f.put("r.pdf", report);
    f.import();
    let look = |n: usize| {
        let photo = &Store::photos(&f.register, None, 10).unwrap()[n];
        let sighting = Sighting::new(format!("{}!/page 1/picture {}", path.display(), n + 1));
        let bytes = fetch(&[sighting], &photo.sha256, 1 << 20).unwrap();
        image::load_from_memory(&bytes).unwrap().to_rgb8()
    };
    assert_eq!(look(0).get_pixel(7, 200).0, [0x07 ^ 0xC8; 3]);
    assert_eq!(look(1).get_pixel(9, 9).0, [255, 0, 0]);
}

/// What an import says of each hostile PDF; none where it takes a picture from it.
#[test]
fn hostile_reports_are_refused_with_a_sentence() {
    let folder =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/hostile/archives");
    let built = "built in a way that is not read";
    let expected: BTreeMap<&str, &str> = [
        ("arrays-in-arrays", ""),
        ("bomb-abbreviated", built),
        ("bomb-behind-a-wrong-length", "unpacks to more than"),
        ("bomb-by-reference", built),
        ("bomb-hidden-stream", built),
        ("bomb-layers", built),
        ("bomb-layers-escaped", built),
        ("bomb-objects", "unpacks to more than"),
        ("bomb-picture", "unpacks to more than"),
        ("bomb-picture-huge", "more than the 100000000 allowed"),
        ("bomb-runs", built),
        ("bomb-table", "unpacks to more than"),
        ("bomb-wide-lines", built),
        ("cut", "has no page; save it again"),
        ("dictionaries-in-dictionaries", ""),
        ("encrypted", "encrypted"),
        ("encrypted-escaped", "encrypted"),
        ("forms-in-a-ring", "no page of the PDF holds a picture"),
        ("forms-that-double", "no page of the PDF holds a picture"),
        ("head-alone", "cut short or damaged"),
        ("lengths-in-a-ring", ""),
        ("no-pages", "no page"),
        ("no-pictures", "no page of the PDF holds a picture"),
        ("noise", "cut short or damaged"),
        ("objects-over-each-other", built),
        ("pages-in-a-ring", ""),
        ("picture-colours-in-a-ring", "save the page as JPEG"),
        ("picture-huge-jpeg-2000", "save the page as JPEG"),
        ("picture-list-of-itself", "save the page as JPEG"),
        ("picture-list-too-short", ""),
        ("picture-no-jpeg", "not a picture"),
        (
            "picture-of-negative-size",
            "no page of the PDF holds a picture",
        ),
        ("picture-too-short", "ends before its last line"),
        ("picture-wide-fax", "save the page as JPEG"),
        ("tables-in-a-ring", ""),
    ]
    .into();
    let mut wrong = Vec::new();
    let mut met = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let Some(name) = name.strip_prefix("pdf-") else {
            continue;
        };
        met += 1;
        let f = Fixture::new();
        f.put("r.pdf", std::fs::read(&path).unwrap());
        let accounts = f.import().record.accounts;
        let reasons: Vec<String> = f.problems().into_values().collect();
        let expected = expected[name];
        let as_expected = if expected.is_empty() {
            accounts.taken == 1
        } else {
            accounts.taken == 0 && reasons.len() == 1 && reasons[0].contains(expected)
        };
        if !as_expected {
            wrong.push(format!("{name}: {accounts:?} {reasons:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(met, expected.len());
}
