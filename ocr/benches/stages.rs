//! Time of each stage on one photo: `cargo bench -p vetplate-ocr`.
//!
//! The photo is `fixtures/photos/boiler-house-solenoid.jpg`, or the path in
//! `VETPLATE_BENCH_PHOTO`.

use std::sync::LazyLock;

use divan::{Bencher, black_box};
use vetplate_ocr::{JUDGED_AT, Limits, Photo, Reader, Reduced, line_picture};

fn main() {
    divan::main();
}

fn bytes() -> Vec<u8> {
    let own = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../fixtures/photos/boiler-house-solenoid.jpg"
    );
    let path = std::env::var("VETPLATE_BENCH_PHOTO").unwrap_or_else(|_| own.to_owned());
    std::fs::read(path).expect("the photo to measure with")
}

static READER: LazyLock<Reader> = LazyLock::new(|| Reader::bundled().expect("the bundled models"));
static PHOTO: LazyLock<Photo> =
    LazyLock::new(|| Photo::decode(&bytes(), &Limits::default()).expect("a photo"));
static QUADS: LazyLock<Vec<[[f32; 2]; 4]>> =
    LazyLock::new(|| READER.places(&PHOTO).expect("the detector to run"));

#[divan::bench(sample_count = 10)]
fn decode(bencher: Bencher) {
    let bytes = bytes();
    bencher.bench_local(|| Photo::decode(black_box(&bytes), &Limits::default()).expect("a photo"));
}

/// Both looks of the detector, and the look that tells which way is up.
#[divan::bench(sample_count = 10)]
fn detect(bencher: Bencher) {
    let expected = QUADS.len();
    bencher.bench_local(|| {
        let quads = READER
            .places(black_box(&PHOTO))
            .expect("the detector to run");
        assert_eq!(quads.len(), expected);
        quads
    });
}

#[divan::bench(sample_count = 10)]
fn crop_one_line(bencher: Bencher) {
    let quad = QUADS[0];
    bencher.bench_local(|| line_picture(black_box(&PHOTO), quad));
}

#[divan::bench(sample_count = 10)]
fn recognise_one_line(bencher: Bencher) {
    let quad = QUADS[0];
    let expected = READER
        .read_line(&PHOTO, quad)
        .expect("the recogniser to run");
    bencher.bench_local(|| {
        let line = READER
            .read_line(black_box(&PHOTO), quad)
            .expect("the recogniser to run");
        assert_eq!(line, expected);
        line
    });
}

#[divan::bench(sample_count = 10)]
fn whole(bencher: Bencher) {
    let expected = READER.read(&PHOTO).expect("the models to run").lines.len();
    bencher.bench_local(|| {
        let read = READER.read(black_box(&PHOTO)).expect("the models to run");
        assert_eq!(read.lines.len(), expected);
        read
    });
}

/// The quick judgement of the same photo, decoding included; `whole` beside `decode` is the reading
/// that it stands before.
#[divan::bench(sample_count = 10)]
fn judge_from_bytes(bencher: Bencher) {
    let bytes = bytes();
    let expected = vetplate_ocr::judge(
        &Reduced::decode(&bytes, &Limits::default(), JUDGED_AT).expect("a photo"),
    );
    bencher.bench_local(|| {
        let photo = Reduced::decode(black_box(&bytes), &Limits::default(), JUDGED_AT);
        let judged = vetplate_ocr::judge(&photo.expect("a photo"));
        assert_eq!(judged, expected);
        judged
    });
}
