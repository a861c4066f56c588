//! A reader that takes no time, pictures for it, and imports with both.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]
#![allow(dead_code, reason = "each test program uses its part")]

pub(crate) mod acts;
pub(crate) mod folder;

use jiff::Timestamp;
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::time::Duration;
use vetplate::Environment;
use vetplate::answer::ModelDto;
use vetplate::import::{
    ArchiveLimits, Control, Import, ImportError, Locator, Observer, Outcome, Progress, Settings,
};
use vetplate::pipeline::PhotoReader;
use vetplate::register::{Asked, Folder, PlateQuery, Problem, SqliteRegister, Store};
use vetplate_ocr::{Glyph, Limits, OcrError, Photo, PhotoLines, TextLine};

/// A picture of plate number `n`: the number stands in the first pixel, the rest looks different
/// for each number.
pub(crate) fn picture(n: u32) -> Vec<u8> {
    let mut pixels = image::RgbImage::new(36, 32);
    for (x, y, pixel) in pixels.enumerate_pixels_mut() {
        let cell = (x / 4 + 9 * (y / 4)).wrapping_mul(0x9e37_79b9) ^ n.wrapping_mul(0x85eb_ca6b);
        let value = (cell.wrapping_mul(0xc2b2_ae35) >> 24) as u8;
        *pixel = image::Rgb([value; 3]);
    }
    let [_, a, b, c] = n.to_be_bytes();
    pixels.put_pixel(0, 0, image::Rgb([a, b, c]));
    let mut bytes = Cursor::new(Vec::new());
    pixels
        .write_to(&mut bytes, image::ImageFormat::Png)
        .unwrap();
    bytes.into_inner()
}

/// Reads the number of a [`picture`] and says what its plate says.
#[derive(Default)]
pub(crate) struct StandIn {
    pub(crate) fails_on: Option<u32>,
    pub(crate) panics_on: Option<u32>,
    /// How long a photo takes.
    pub(crate) takes: Duration,
}

impl PhotoReader for StandIn {
    fn lines(&self, photo: &Photo) -> Result<PhotoLines, OcrError> {
        std::thread::sleep(self.takes);
        let [a, b, c] = photo.image().get_pixel(0, 0).0;
        let n = u32::from_be_bytes([0, a, b, c]);
        if self.fails_on == Some(n) {
            return Err(OcrError::Manifest(
                "the stand-in was told to fail".to_owned(),
            ));
        }
        assert_ne!(self.panics_on, Some(n), "the stand-in was told to");
        let texts = [
            "Ex db IIC T4 Gb".to_owned(),
            format!("ABC 14 ATEX {:04}", n / 100),
            format!("Serial No. CB-{n:06}"),
        ];
        Ok(PhotoLines {
            lines: texts.iter().map(|t| line(t)).collect(),
            ..PhotoLines::default()
        })
    }

    fn models(&self) -> Vec<ModelDto> {
        Vec::new()
    }
}

fn line(text: &str) -> TextLine {
    TextLine {
        glyphs: text
            .chars()
            .map(|ch| Glyph {
                ch,
                probability: 1.0,
                also: Vec::new(),
                x: 0.5,
            })
            .collect(),
        quad: [[0.0; 2]; 4],
        ..TextLine::default()
    }
}

/// The clock stands a year ahead, so that files of now are at rest.
pub(crate) fn environment() -> Environment {
    Environment::system()
        .with_clock(|| Timestamp::from_second(Timestamp::now().as_second() + 31_536_000).unwrap())
}

pub(crate) fn settings(sources: &[PathBuf]) -> Settings {
    Settings {
        sources: sources.to_vec(),
        jobs: 2,
        retry_failed: false,
        limits: Limits::default(),
        archives: ArchiveLimits::default(),
        own: Vec::new(),
        who: "test".to_owned(),
        hidden: None,
        asked: Asked::default(),
    }
}

struct Deaf;

impl Observer for Deaf {
    fn progress(&self, _: &Progress) {}

    fn problem(&self, _: &Problem) {}
}

/// Imports a folder into the register at `path`, with copies beside it.
pub(crate) fn import_with(
    folder: &Path,
    path: &Path,
    environment: &Environment,
) -> Result<Outcome, ImportError> {
    import_slowly(folder, path, environment, Duration::ZERO)
}

/// As [`import_with`]; each photo takes so long.
pub(crate) fn import_slowly(
    folder: &Path,
    path: &Path,
    environment: &Environment,
    takes: Duration,
) -> Result<Outcome, ImportError> {
    let register = SqliteRegister::open(path, true, environment.clone())?;
    let copies = folder.join("register.photos");
    let originals = Folder::new(&copies, environment.clone());
    let suffixed = |suffix: &str| PathBuf::from(format!("{}{suffix}", path.display()));
    let own = ["", "-wal", "-shm", "-journal", ".lock"].map(suffixed);
    Import {
        store: &register,
        photos: &register,
        originals: Some(&originals),
        reader: &StandIn {
            takes,
            ..StandIn::default()
        },
        locator: &Locator::default(),
        environment,
        control: &Control::new(),
        observer: &Deaf,
    }
    .run(&Settings {
        own: own.into_iter().chain([copies]).collect(),
        ..settings(&[folder.to_owned()])
    })
}

/// The register is whole, holds so many plates with one photo each, and every copy is there.
#[track_caller]
pub(crate) fn assert_whole(path: &Path, plates: usize) {
    let register = SqliteRegister::open(path, false, environment()).unwrap();
    let mut findings = Vec::new();
    register.check(&mut |f| findings.push(f)).unwrap();
    let copies = path.with_file_name("register.photos");
    let folder = Folder::new(copies, environment());
    register
        .check_copies(&folder, &mut || {}, &mut |f| findings.push(f))
        .unwrap();
    assert_eq!(findings, []);
    let query = PlateQuery {
        limit: 1000,
        ..PlateQuery::default()
    };
    let page = register.plates(&query).unwrap();
    assert_eq!(page.plates.len(), plates);
    for plate in page.plates {
        assert_eq!(plate.photos, 1, "{plate:?}");
    }
}
