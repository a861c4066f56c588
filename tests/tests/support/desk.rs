//! A service with a register, copies and imports, and a reader that reads the number of a picture.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail as tests do")]
#![allow(dead_code, reason = "each test program uses its part")]

use axum::Router;
use axum::body::{Body, Bytes};
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderMap, Request, StatusCode};
use jiff::Timestamp;
use serde_json::Value;
use std::io::Cursor;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tempfile::TempDir;
use vetplate::answer::ModelDto;
use vetplate::pipeline::PhotoReader;
use vetplate::register::{Folder, LocationFacts, Originals, SqliteRegister, Store};
use vetplate::{AppState, Code, Desk, Environment, ServeConfig, app};
use vetplate_ocr::{Glyph, OcrError, Photo, PhotoLines, TextLine};
use vetplate_parser::place::PlaceFields;

#[path = "sent.rs"]
mod sent;

use sent::sent;

/// From here on a picture shows a plate that a person must look at.
pub(crate) const DOUBTFUL: u32 = 1000;

/// From here on a picture shows two plates, one beside the other.
pub(crate) const TWO_PLATES: u32 = 1_000_000;

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
pub(crate) struct StandIn {
    /// How long a photo takes.
    pub(crate) takes: Duration,
}

impl PhotoReader for StandIn {
    fn lines(&self, photo: &Photo) -> Result<PhotoLines, OcrError> {
        // The picture of the self-check is the only one of this size.
        let [a, b, c] = photo.image().get_pixel(0, 0).0;
        let n = u32::from_be_bytes([0, a, b, c]);
        let lines = if (photo.width(), photo.height()) == (640, 160) {
            vec![line("Ex db IIC T4 Gb", 1.0)]
        } else if n >= TWO_PLATES {
            let on = |plate: usize, text: &str| TextLine {
                plate,
                ..line(text, 1.0)
            };
            vec![
                on(0, "II 2 G Ex db IIC T4 Gb"),
                on(0, &format!("Serial No. MO-{n:07}")),
                on(1, "II 3 G Ex ec IIC T4 Gc"),
                on(1, &format!("Serial No. HT-{n:07}")),
            ]
        } else {
            std::thread::sleep(self.takes);
            let sure = if n >= DOUBTFUL { 0.6 } else { 1.0 };
            vec![
                line("II 2 G Ex db IIC T4 Gb", sure),
                line(&format!("ABC 14 ATEX {:04}", n % 1000), 1.0),
                line(&format!("Serial No. CB-{n:06}"), 1.0),
                line("IP66", 1.0),
            ]
        };
        Ok(PhotoLines {
            lines,
            ..PhotoLines::default()
        })
    }

    fn models(&self) -> Vec<ModelDto> {
        Vec::new()
    }
}

fn line(text: &str, probability: f32) -> TextLine {
    TextLine {
        glyphs: text
            .chars()
            .map(|ch| Glyph {
                ch,
                probability,
                also: Vec::new(),
                x: 0.5,
            })
            .collect(),
        quad: [[1.0, 1.0], [30.0, 1.0], [30.0, 8.0], [1.0, 8.0]],
        ..TextLine::default()
    }
}

/// The clock stands a year ahead, so that files of now are at rest.
pub(crate) fn environment() -> Environment {
    Environment::system()
        .with_clock(|| Timestamp::from_second(Timestamp::now().as_second() + 31_536_000).unwrap())
}

/// A service on a register of its own.
pub(crate) struct Service {
    pub(crate) folder: TempDir,
    pub(crate) register: Arc<SqliteRegister>,
    pub(crate) state: AppState,
    pub(crate) router: Router,
}

impl Service {
    pub(crate) fn new() -> Self {
        Self::with(tempfile::tempdir().unwrap(), &environment(), Duration::ZERO)
    }

    /// On a folder that may hold a register already.
    pub(crate) fn with(folder: TempDir, environment: &Environment, takes: Duration) -> Self {
        let path = folder.path().join("register.vetplate");
        let register = Arc::new(SqliteRegister::open(&path, true, environment.clone()).unwrap());
        let still_house = LocationFacts {
            tag: "STILL-1".to_owned(),
            description: Some("Still house".to_owned()),
            place: PlaceFields {
                zone: Some("1".to_owned()),
                gas: vec!["ethanol".to_owned()],
                ..PlaceFields::default()
            },
        };
        register.put_location(&still_house, "A. Inspector").unwrap();
        let copies = Folder::new(folder.path().join("copies"), environment.clone());
        let originals = Arc::new(copies) as Arc<dyn Originals>;
        std::fs::create_dir_all(folder.path().join("archive")).unwrap();
        let desk = Desk::new(register.clone(), Some(originals))
            .with_imports(&path, Some(folder.path().join("archive")))
            .unwrap();
        let config = ServeConfig {
            workers: 2,
            max_photo_mib: 1,
            max_import_mib: 4,
            ..ServeConfig::default()
        };
        let state = AppState::new(&config, environment.clone());
        state.install(Ok(Arc::new(StandIn { takes })));
        state.attach(desk);
        Self {
            folder,
            register,
            router: app(state.clone()),
            state,
        }
    }

    pub(crate) fn archive(&self) -> PathBuf {
        self.folder.path().join("archive")
    }

    pub(crate) async fn send(&self, request: Request<Body>) -> Answered {
        let (parts, body) = sent(&self.router, request).await;
        Answered {
            status: parts.status,
            headers: parts.headers,
            body,
        }
    }

    pub(crate) async fn get(&self, path: &str) -> Answered {
        self.send(Request::get(path).body(Body::empty()).unwrap())
            .await
    }

    pub(crate) async fn json(&self, path: &str) -> Value {
        let answered = self.get(path).await;
        assert_eq!(answered.status, StatusCode::OK, "{path}: {answered:?}");
        answered.json()
    }

    pub(crate) async fn post_json(&self, path: &str, body: &Value) -> Answered {
        let request = Request::post(path)
            .header(CONTENT_TYPE, "application/json")
            .body(Body::from(body.to_string()));
        self.send(request.unwrap()).await
    }

    /// The register is whole, and every copy that it keeps is there.
    #[track_caller]
    pub(crate) fn is_whole(&self) {
        let mut findings = Vec::new();
        self.register.check(&mut |f| findings.push(f)).unwrap();
        let copies = Folder::new(self.folder.path().join("copies"), environment());
        self.register
            .check_copies(&copies, &mut || {}, &mut |f| findings.push(f))
            .unwrap();
        assert_eq!(findings, []);
    }
}

/// What came back.
#[derive(Debug)]
pub(crate) struct Answered {
    pub(crate) status: StatusCode,
    pub(crate) headers: HeaderMap,
    pub(crate) body: Bytes,
}

impl Answered {
    #[track_caller]
    pub(crate) fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap()
    }

    #[track_caller]
    pub(crate) fn is_problem(&self, code: Code) -> Value {
        let json = self.json();
        assert_eq!(json["code"], code.name(), "{json}");
        assert_eq!(self.status, code.status(), "{json}");
        json
    }
}

/// A form of several parts: name, file name, bytes.
pub(crate) fn form(path: &str, parts: &[(&str, Option<&str>, &[u8])]) -> Request<Body> {
    let mut body = Vec::new();
    for (name, file, bytes) in parts {
        body.extend(
            format!("--frontier\r\nContent-Disposition: form-data; name=\"{name}\"").bytes(),
        );
        if let Some(file) = file {
            body.extend(format!("; filename=\"{file}\"\r\nContent-Type: image/png").bytes());
        }
        body.extend(b"\r\n\r\n");
        body.extend(*bytes);
        body.extend(b"\r\n");
    }
    body.extend(b"--frontier--\r\n");
    Request::post(path)
        .header(CONTENT_TYPE, "multipart/form-data; boundary=frontier")
        .body(Body::from(body))
        .unwrap()
}
