//! The bundled models on pictures drawn here.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail the test")]

use image::{Rgb, RgbImage};
use vetplate_ocr::{Photo, Reader, annotate};

/// Digits as 5 × 7 dots, one row after the other.
const DIGITS: [[u8; 7]; 10] = [
    [0x0E, 0x11, 0x13, 0x15, 0x19, 0x11, 0x0E],
    [0x04, 0x0C, 0x04, 0x04, 0x04, 0x04, 0x0E],
    [0x0E, 0x11, 0x01, 0x02, 0x04, 0x08, 0x1F],
    [0x1F, 0x02, 0x04, 0x02, 0x01, 0x11, 0x0E],
    [0x02, 0x06, 0x0A, 0x12, 0x1F, 0x02, 0x02],
    [0x1F, 0x10, 0x1E, 0x01, 0x01, 0x11, 0x0E],
    [0x06, 0x08, 0x10, 0x1E, 0x11, 0x11, 0x0E],
    [0x1F, 0x01, 0x02, 0x04, 0x08, 0x08, 0x08],
    [0x0E, 0x11, 0x11, 0x0E, 0x11, 0x11, 0x0E],
    [0x0E, 0x11, 0x11, 0x0F, 0x01, 0x02, 0x0C],
];

/// Writes digits with dots of `dot` pixels, as a dot-peening machine would.
fn write(picture: &mut RgbImage, text: &str, left: u32, top: u32, dot: u32) {
    for (i, digit) in text.bytes().enumerate() {
        let rows = DIGITS[usize::from(digit - b'0')];
        for (y, x) in (0..7 * dot).flat_map(|y| (0..5 * dot).map(move |x| (y, x))) {
            if rows[(y / dot) as usize] >> (4 - x / dot) & 1 == 1 {
                picture.put_pixel(left + i as u32 * 6 * dot + x, top + y, Rgb([30, 30, 35]));
            }
        }
    }
}

fn plate() -> RgbImage {
    let mut picture = RgbImage::from_pixel(640, 400, Rgb([205, 205, 200]));
    write(&mut picture, "8254573", 80, 60, 6);
    write(&mut picture, "1029", 80, 170, 6);
    write(&mut picture, "364", 80, 280, 6);
    image::imageops::blur(&picture, 1.2)
}

fn texts(reader: &Reader, picture: RgbImage) -> (Vec<String>, u16) {
    let read = reader.read(&Photo::from_image(picture)).unwrap();
    (
        read.lines
            .iter()
            .map(vetplate_ocr::TextLine::text)
            .collect(),
        read.turn,
    )
}

#[test]
fn digits_are_read_from_every_side_with_their_places() {
    let reader = Reader::bundled().unwrap();
    let expected = ["8254573", "1029", "364"].map(str::to_owned).to_vec();
    let upright = plate();
    assert_eq!(texts(&reader, upright.clone()), (expected.clone(), 0));
    assert_eq!(
        texts(&reader, image::imageops::rotate90(&upright)),
        (expected.clone(), 90)
    );
    assert_eq!(
        texts(&reader, image::imageops::rotate180(&upright)),
        (expected.clone(), 180)
    );
    assert_eq!(
        texts(&reader, image::imageops::rotate270(&upright)),
        (expected, 270)
    );

    let photo = Photo::from_image(upright);
    let read = reader.read(&photo).unwrap();
    let [[x0, y0], [x1, _], [_, y1], _] = read.lines[0].quad;
    for (found, drawn) in [(x0, 80.0), (y0, 60.0), (x1, 80.0 + 41.0 * 6.0), (y1, 102.0)] {
        assert!((found - drawn).abs() < 20.0, "{:?}", read.lines[0].quad);
    }
    let glyphs = &read.lines[0].glyphs;
    assert!(glyphs.windows(2).all(|pair| pair[0].x < pair[1].x));
    assert!(
        glyphs
            .iter()
            .all(|g| g.probability > 0.0 && g.probability <= 1.0)
    );
    assert!(
        read.lines[0].confidence() > 0.5,
        "{}",
        read.lines[0].confidence()
    );

    let drawn = annotate(&photo, &read, &[]);
    let changed = drawn
        .pixels()
        .zip(photo.image().pixels())
        .filter(|(a, b)| a.0[..3] != b.0)
        .count();
    assert!(changed > 1000, "{changed} pixels drawn");
}

#[test]
fn the_same_photo_gives_the_same_reading() {
    let reader = Reader::bundled().unwrap();
    let photo = Photo::from_image(plate());
    let first = reader.read(&photo).unwrap();
    assert_eq!(reader.read(&photo).unwrap(), first);
    let from_threads: Vec<_> = std::thread::scope(|scope| {
        let tasks: Vec<_> = (0..2)
            .map(|_| scope.spawn(|| reader.read(&photo).unwrap()))
            .collect();
        tasks.into_iter().map(|task| task.join().unwrap()).collect()
    });
    assert!(from_threads.iter().all(|read| *read == first));
}

#[test]
fn a_photo_without_text_gives_no_lines() {
    let reader = Reader::bundled().unwrap();
    for (width, height) in [(1, 1), (1, 900), (900, 1), (300, 200)] {
        let blank = RgbImage::from_pixel(width, height, Rgb([120, 130, 125]));
        let read = reader.read(&Photo::from_image(blank)).unwrap();
        assert!(read.lines.is_empty(), "{width} × {height}");
    }
}

#[test]
fn the_models_tell_what_they_are() {
    let reader = Reader::bundled().unwrap();
    let names: Vec<&str> = reader.models().iter().map(|m| m.name.as_str()).collect();
    assert_eq!(names, ["detector", "recogniser", "recogniser-plate"]);
    assert!(
        reader
            .models()
            .iter()
            .all(|m| m.sha256.len() == 64 && !m.version.is_empty())
    );
}
