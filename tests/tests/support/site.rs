//! A register with plates of an invented site, without models.
#![allow(dead_code, reason = "each test program uses its part")]

use std::path::Path;
use std::sync::Arc;
use vetplate::Environment;
use vetplate::answer::ModelDto;
use vetplate::pipeline::{GivenPlace, PhotoReader, read_photo};
use vetplate::register::{
    Evidence, LocationFacts, NewPhoto, NewReading, Offered, Photos, Sighting, SqliteRegister, Store,
};
use vetplate_ocr::{Glyph, Limits, OcrError, Photo, PhotoLines, TextLine};
use vetplate_parser::Language;
use vetplate_parser::place::PlaceFields;

/// A plate that nobody needs to look at.
pub(crate) const SURE: &[(&str, f32)] = &[
    ("II 2 G Ex db IIC T4 Gb", 1.0),
    ("ABC 19 ATEX 1234", 1.0),
    ("IP66", 1.0),
];
/// A plate that a person must look at.
pub(crate) const DOUBTFUL: &[(&str, f32)] = &[
    ("II 2 G Ex db IIC T4 Gb", 0.6),
    ("ABC 19 ATEX 99", 1.0),
    ("IP66", 1.0),
];

/// Sees the same lines on every photo, each character as sure as told.
struct Fake(Vec<(&'static str, f32)>);

impl PhotoReader for Fake {
    fn lines(&self, _: &Photo) -> Result<PhotoLines, OcrError> {
        let lines = self.0.iter().enumerate().map(|(row, (text, sure))| {
            let count = text.chars().count() as f32;
            let top = 6.0 + 10.0 * row as f32;
            TextLine {
                glyphs: text
                    .chars()
                    .enumerate()
                    .map(|(i, ch)| Glyph {
                        ch,
                        probability: *sure,
                        also: Vec::new(),
                        x: (i as f32 + 0.5) / count,
                    })
                    .collect(),
                quad: [[8.0, top], [50.0, top], [50.0, top + 8.0], [8.0, top + 8.0]],
                ..TextLine::default()
            }
        });
        Ok(PhotoLines {
            lines: lines.collect(),
            ..PhotoLines::default()
        })
    }

    fn models(&self) -> Vec<ModelDto> {
        Vec::new()
    }
}

/// The place of the still house.
fn still_house() -> PlaceFields {
    PlaceFields {
        zone: Some("1".to_owned()),
        gas: vec!["ethanol".to_owned()],
        ..PlaceFields::default()
    }
}

/// A new register in `folder` with the still house in it.
pub(crate) fn register(folder: &Path) -> Arc<SqliteRegister> {
    let path = folder.join("register.vetplate");
    let register = SqliteRegister::open(&path, true, Environment::system()).unwrap();
    let facts = LocationFacts {
        tag: "STILL-1".to_owned(),
        description: Some("Still house".to_owned()),
        place: still_house(),
    };
    register.put_location(&facts, "A. Inspector").unwrap();
    Arc::new(register)
}

/// Takes a photo in on which `lines` are read; gives back its plate.
pub(crate) fn take_in(
    register: &SqliteRegister,
    folder: &Path,
    name: u8,
    lines: &[(&'static str, f32)],
) -> i64 {
    let photo = image::RgbImage::from_pixel(80, 60, image::Rgb([name, 90, 200]));
    let path = folder.join(format!("{name}.png"));
    photo.save(&path).unwrap();
    let bytes = std::fs::read(&path).unwrap();
    let place = GivenPlace::check(still_house()).unwrap();
    let reader = Fake(lines.to_vec());
    let found = read_photo(
        &reader,
        &bytes,
        &Limits::default(),
        None,
        place.as_ref(),
        Language::English,
    )
    .unwrap();
    let evidence = Evidence::of(&found).unwrap();
    let reading = NewReading::new(&evidence, &found.answer, None).unwrap();
    let new = NewPhoto {
        sha256: evidence.photo.sha256.clone(),
        bytes: bytes.len() as u64,
        sighting: Sighting::new(path.display().to_string()),
        kept: false,
        location: Some("STILL-1".to_owned()),
        tag: None,
    };
    let Offered::ToRead(lease) = register.offer(&new, "test", 60, false).unwrap() else {
        panic!("the photo is new")
    };
    let joined = register.finish(&lease, &[reading], false, None, "test");
    joined.unwrap()[0].plate().0
}
