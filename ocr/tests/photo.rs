//! Every kind of file that may come where a photo should.
#![expect(clippy::unwrap_used, reason = "helpers of tests fail the test")]

use std::io::Cursor;

use exif::experimental::Writer;
use exif::{Field, In, Rational, Tag, Value};
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use proptest::prelude::*;
use vetplate_ocr::{Limits, Photo, PhotoError};

fn decode(bytes: &[u8]) -> Result<Photo, PhotoError> {
    Photo::decode(bytes, &Limits::default())
}

/// Red on the left half, blue on the right.
fn two_halves(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, _| {
        Rgb(if 2 * x < width {
            [200, 20, 20]
        } else {
            [20, 20, 200]
        })
    })
}

fn encoded(image: impl Into<DynamicImage>, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.into().write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

/// A JPEG with the given EXIF block.
fn jpeg_with_exif(image: &RgbImage, exif: &[u8]) -> Vec<u8> {
    let jpeg = encoded(image.clone(), ImageFormat::Jpeg);
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xFF, 0xE1]);
    bytes.extend(((exif.len() + 8) as u16).to_be_bytes());
    bytes.extend(b"Exif\0\0");
    bytes.extend(exif);
    bytes.extend(&jpeg[2..]);
    bytes
}

fn exif_block(fields: &[(Tag, Value)]) -> Vec<u8> {
    let fields: Vec<Field> = fields
        .iter()
        .map(|(tag, value)| Field {
            tag: *tag,
            ifd_num: In::PRIMARY,
            value: value.clone(),
        })
        .collect();
    let mut writer = Writer::new();
    for field in &fields {
        writer.push_field(field);
    }
    let mut block = Cursor::new(Vec::new());
    writer.write(&mut block, false).unwrap();
    block.into_inner()
}

fn degrees(d: u32, m: u32, s: u32) -> Value {
    Value::Rational([d, m, s].map(|num| Rational { num, denom: 1 }).to_vec())
}

fn ascii(text: &str) -> Value {
    Value::Ascii(vec![text.as_bytes().to_vec()])
}

fn png_chunk(name: [u8; 4], data: &[u8]) -> Vec<u8> {
    let mut chunk = (data.len() as u32).to_be_bytes().to_vec();
    chunk.extend(name);
    chunk.extend(data);
    let crc = !chunk[4..].iter().fold(!0_u32, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| {
            if c & 1 == 1 {
                0xEDB8_8320 ^ (c >> 1)
            } else {
                c >> 1
            }
        })
    });
    chunk.extend(crc.to_be_bytes());
    chunk
}

/// An uncompressed CMYK TIFF of one row.
fn cmyk_tiff(pixels: &[[u8; 4]], next_page: u32) -> Vec<u8> {
    let width = pixels.len() as u32;
    let entries: [(u16, u16, u32, u32); 10] = [
        (256, 4, 1, width),
        (257, 4, 1, 1),
        (258, 3, 4, 200),
        (259, 3, 1, 1),
        (262, 3, 1, 5),
        (273, 4, 1, 208),
        (277, 3, 1, 4),
        (278, 4, 1, 1),
        (279, 4, 1, 4 * width),
        (284, 3, 1, 1),
    ];
    let mut bytes = b"II*\0\x08\0\0\0".to_vec();
    bytes.extend((entries.len() as u16).to_le_bytes());
    for (tag, kind, count, value) in entries {
        bytes.extend(tag.to_le_bytes());
        bytes.extend(kind.to_le_bytes());
        bytes.extend(count.to_le_bytes());
        bytes.extend(value.to_le_bytes());
    }
    bytes.extend(next_page.to_le_bytes());
    bytes.resize(200, 0);
    bytes.extend([8_u16; 4].iter().flat_map(|bits| bits.to_le_bytes()));
    bytes.extend(pixels.concat());
    bytes
}

#[test]
fn every_kind_is_known_by_its_content() {
    for format in [
        ImageFormat::Jpeg,
        ImageFormat::Png,
        ImageFormat::WebP,
        ImageFormat::Tiff,
    ] {
        let photo = decode(&encoded(two_halves(40, 30), format)).unwrap();
        assert_eq!((photo.width(), photo.height()), (40, 30), "{format:?}");
        let [r, _, b] = photo.image().get_pixel(5, 15).0;
        assert!(r > 180 && b < 40, "{format:?}");
        assert_eq!(photo.notes(), [""; 0], "{format:?}");
    }
}

#[test]
fn grey_deep_transparent_and_tiny_pictures_are_taken() {
    let grey = image::GrayImage::from_pixel(3, 3, image::Luma([77]));
    let photo = decode(&encoded(grey, ImageFormat::Png)).unwrap();
    assert_eq!(photo.image().get_pixel(1, 1).0, [77; 3]);

    let deep = image::ImageBuffer::from_pixel(3, 3, Rgb([0xFFFF_u16, 0x8000, 0]));
    let photo = decode(&encoded(deep, ImageFormat::Png)).unwrap();
    assert_eq!(photo.image().get_pixel(1, 1).0, [255, 128, 0]);

    let clear = image::RgbaImage::from_fn(2, 1, |x, _| {
        image::Rgba([0, 0, 0, if x == 0 { 0 } else { 255 }])
    });
    let photo = decode(&encoded(clear, ImageFormat::Png)).unwrap();
    assert_eq!(photo.image().get_pixel(0, 0).0, [255; 3]);
    assert_eq!(photo.image().get_pixel(1, 0).0, [0; 3]);
    assert_eq!(photo.notes(), ["Transparent parts are taken as white."]);

    let photo = decode(&encoded(two_halves(1, 1), ImageFormat::Jpeg)).unwrap();
    assert_eq!((photo.width(), photo.height()), (1, 1));
}

#[test]
fn cmyk_is_taken() {
    let photo = decode(&cmyk_tiff(
        &[[0, 0, 0, 0], [0, 0, 0, 255], [255, 0, 0, 0]],
        0,
    ))
    .unwrap();
    assert_eq!(photo.image().get_pixel(0, 0).0, [255; 3]);
    assert_eq!(photo.image().get_pixel(1, 0).0, [0; 3]);
    let [r, g, b] = photo.image().get_pixel(2, 0).0;
    assert!(r < 30 && g > 200 && b > 200, "cyan became {r} {g} {b}");
}

#[test]
fn of_several_pictures_the_first_is_taken_and_said_so() {
    let mut pages = cmyk_tiff(&[[0; 4]; 4], 224);
    let second = cmyk_tiff(&[[0; 4]; 4], 0);
    assert_eq!(pages.len(), 224);
    pages.extend(&second[8..200]);
    let photo = decode(&pages).unwrap();
    assert_eq!(
        photo.notes(),
        ["The TIFF file holds several pictures; the first one is read."]
    );

    let png = encoded(two_halves(8, 8), ImageFormat::Png);
    let mut animated = png[..33].to_vec();
    animated.extend(png_chunk(*b"acTL", &[0, 0, 0, 2, 0, 0, 0, 0]));
    animated.extend(&png[33..]);
    let photo = decode(&animated).unwrap();
    assert_eq!(
        photo.notes(),
        ["The PNG file holds several pictures; the first one is read."]
    );
}

#[test]
fn orientation_time_and_place_come_from_exif() {
    let block = exif_block(&[
        (Tag::Orientation, Value::Short(vec![6])),
        (Tag::DateTimeOriginal, ascii("2026:03:02 10:11:12")),
        (Tag::GPSLatitudeRef, ascii("N")),
        (Tag::GPSLatitude, degrees(56, 6, 0)),
        (Tag::GPSLongitudeRef, ascii("W")),
        (Tag::GPSLongitude, degrees(5, 12, 36)),
    ]);
    let photo = decode(&jpeg_with_exif(&two_halves(40, 30), &block)).unwrap();
    assert_eq!((photo.width(), photo.height()), (30, 40));
    assert!(
        photo.image().get_pixel(15, 5).0[0] > 180,
        "the left half is on top now"
    );
    assert_eq!(photo.taken_at(), Some("2026-03-02T10:11:12"));
    assert_eq!(photo.gps(), Some((56.1, -5.21)));
    assert_eq!(photo.notes(), [""; 0]);
}

#[test]
fn every_orientation_turns_the_red_half_to_its_side() {
    // Where the red half lies after each orientation: its centre in a 40 × 30 picture.
    let places = [
        (1, 10, 15),
        (2, 30, 15),
        (3, 30, 15),
        (4, 10, 15),
        (5, 15, 10),
        (6, 15, 10),
        (7, 15, 30),
        (8, 15, 30),
    ];
    for (orientation, x, y) in places {
        let block = exif_block(&[(Tag::Orientation, Value::Short(vec![orientation]))]);
        let photo = decode(&jpeg_with_exif(&two_halves(40, 30), &block)).unwrap();
        assert!(
            photo.image().get_pixel(x, y).0[0] > 180,
            "orientation {orientation}"
        );
    }
}

#[test]
fn nonsense_in_exif_is_a_note() {
    let cases = [
        (
            exif_block(&[(Tag::Orientation, Value::Short(vec![0]))]),
            "The EXIF orientation is 0, which means nothing; the photo is taken as upright.",
        ),
        (
            exif_block(&[(Tag::DateTimeOriginal, ascii("2026:13:40 99:99:99"))]),
            "The time in the EXIF data is no time; it is left out.",
        ),
        (
            exif_block(&[
                (Tag::GPSLatitudeRef, ascii("N")),
                (Tag::GPSLatitude, degrees(400, 0, 0)),
            ]),
            "The place in the EXIF data is no place; it is left out.",
        ),
        (
            b"not EXIF at all".to_vec(),
            "The EXIF data are damaged; time and place are unknown.",
        ),
    ];
    for (block, note) in cases {
        let photo = decode(&jpeg_with_exif(&two_halves(40, 30), &block)).unwrap();
        assert_eq!((photo.width(), photo.height()), (40, 30));
        assert_eq!((photo.taken_at(), photo.gps()), (None, None));
        assert_eq!(photo.notes(), [note]);
    }
}

#[test]
fn what_is_no_photo_is_refused_with_a_sentence() {
    let jpeg = encoded(two_halves(400, 300), ImageFormat::Jpeg);
    let png = encoded(two_halves(400, 300), ImageFormat::Png);
    let cases: [(&[u8], &str); 12] = [
        (b"", "the file is empty; take or copy the photo again"),
        (
            b"Ex db IIC T4 Gb\n",
            "the file is not a picture: it is text; send a JPEG, HEIC, PNG, WebP or TIFF photo",
        ),
        (
            b"\x00\x01\x02\x03",
            "the file is not a picture: its first bytes are of no known kind",
        ),
        (
            b"\0\0\0\x18ftypheic\0\0\0\0",
            "the HEIC file is cut short or damaged",
        ),
        (
            b"\0\0\0\x18ftypmif1\0\0\0\0",
            "the HEIC file is cut short or damaged",
        ),
        (b"\0\0\0\x18ftypavif\0\0\0\0", "AVIF files are not read"),
        (b"%PDF-1.7\n", "PDF files are not read"),
        (b"GIF89a\x01\0\x01\0", "GIF files are not read"),
        (b"<svg xmlns=\"\"/>", "SVG files are not read"),
        (
            b"PK\x03\x04....",
            "the file is not a picture: it is a ZIP archive",
        ),
        (
            &png[..png.len() / 2],
            "the PNG file is cut short or damaged",
        ),
        (&jpeg[..20], "the JPEG file is cut short or damaged"),
    ];
    for (bytes, expected) in cases {
        let fault = decode(bytes).unwrap_err().to_string();
        assert!(fault.starts_with(expected), "{fault}\nexpected {expected}");
    }
}

#[test]
fn a_picture_larger_than_allowed_is_refused_before_it_is_decoded() {
    let mut header = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut ihdr = 60_000_u32.to_be_bytes().repeat(2);
    ihdr.extend([8, 2, 0, 0, 0]);
    header.extend(png_chunk(*b"IHDR", &ihdr));
    header.extend(png_chunk(*b"IDAT", &[]));
    assert_eq!(
        decode(&header).unwrap_err().to_string(),
        "the picture has 60000 × 60000 pixels, more than the 100000000 allowed; \
         send a smaller photo or raise the limit"
    );

    let jpeg = encoded(two_halves(40, 30), ImageFormat::Jpeg);
    let few = Limits {
        pixels: 1199,
        ..Limits::default()
    };
    assert!(matches!(
        Photo::decode(&jpeg, &few),
        Err(PhotoError::TooManyPixels {
            width: 40,
            height: 30,
            limit: 1199
        })
    ));
    let short = Limits {
        bytes: jpeg.len() - 1,
        ..Limits::default()
    };
    assert!(matches!(
        Photo::decode(&jpeg, &short),
        Err(PhotoError::TooManyBytes { .. })
    ));
    let tight = Limits {
        decoder_bytes: 1000,
        ..Limits::default()
    };
    assert!(matches!(
        Photo::decode(&jpeg, &tight),
        Err(PhotoError::TooMuchMemory { limit: 1000 })
    ));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Damage anywhere gives a photo or an error, never a panic, and no picture larger
    /// than its limit.
    #[test]
    fn damaged_files_never_panic(
        kind in 0..4_usize,
        cut in 0.0..1.0_f64,
        changes in prop::collection::vec((0.0..1.0_f64, any::<u8>()), 0..6),
    ) {
        let formats = [ImageFormat::Jpeg, ImageFormat::Png, ImageFormat::WebP, ImageFormat::Tiff];
        let block = exif_block(&[(Tag::DateTimeOriginal, ascii("2026:03:02 10:11:12"))]);
        let mut bytes = if kind == 0 {
            jpeg_with_exif(&two_halves(24, 16), &block)
        } else {
            encoded(two_halves(24, 16), formats[kind])
        };
        for (place, value) in changes {
            let at = (place * bytes.len() as f64) as usize;
            bytes[at] = value;
        }
        if cut < 0.5 {
            bytes.truncate((2.0 * cut * bytes.len() as f64) as usize);
        }
        let limits = Limits { pixels: 1 << 20, decoder_bytes: 1 << 24, ..Limits::default() };
        if let Ok(photo) = Photo::decode(&bytes, &limits) {
            prop_assert!(u64::from(photo.width()) * u64::from(photo.height()) <= limits.pixels);
        }
    }

    #[test]
    fn arbitrary_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = decode(&bytes);
    }
}

/// Files of libheif with x265, not of the library that reads them here.
fn heic(name: &str) -> Vec<u8> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/heic");
    std::fs::read(folder.join(name)).unwrap()
}

#[test]
fn heic_is_read_with_time_and_place() {
    let photo = decode(&heic("still-house-pump-motor.heic")).unwrap();
    assert_eq!((photo.width(), photo.height()), (2048, 1536));
    assert_eq!(photo.taken_at(), Some("2026-03-02T10:11:12"));
    let (north, east) = photo.gps().unwrap();
    assert!((north - 56.1).abs() < 1e-6 && (east + 5.2).abs() < 1e-6);
    // The same photo as JPEG: what is left is the loss of both.
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures/photos/still-house-pump-motor.jpg");
    let jpeg = decode(&std::fs::read(path).unwrap()).unwrap();
    let off: u64 = (photo.image().as_raw().iter())
        .zip(jpeg.image().as_raw())
        .map(|(a, b)| u64::from(a.abs_diff(*b)))
        .sum();
    let mean = off as f64 / photo.image().as_raw().len() as f64;
    assert!(mean < 3.0, "{mean}");
}

#[test]
fn heic_is_upright_as_the_file_says_and_not_turned_twice() {
    let photo = decode(&heic("turned.heic")).unwrap();
    assert_eq!((photo.width(), photo.height()), (64, 48));
    let [red, _, blue] = photo.image().get_pixel(8, 24).0;
    assert!(red > 200 && blue < 60, "{red} {blue}");
}

#[test]
fn heic_that_is_cut_changed_or_too_large_is_refused() {
    let whole = heic("turned.heic");
    for length in 0..whole.len() {
        assert!(
            decode(&whole[..length]).is_err() || length > whole.len() - 8,
            "{length}"
        );
    }
    for at in 0..whole.len() {
        let mut changed = whole.clone();
        changed[at] ^= 0x55;
        // Whatever comes out, it comes without a panic.
        let _ = decode(&changed);
    }
    let few = Limits {
        pixels: 64 * 48 - 1,
        ..Limits::default()
    };
    let fault = Photo::decode(&whole, &few).unwrap_err().to_string();
    assert!(fault.contains("save the photo as a plain JPEG"), "{fault}");
}
