//! Time and place out of EXIF data. Cameras write much nonsense here: whatever
//! cannot be read is left out with a note and never stops a photo.

use std::io::Cursor;

use exif::{Exif, In, Reader, Tag, Value};
use image::ImageFormat;

/// What the EXIF data say.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Meta {
    pub(super) taken_at: Option<String>,
    pub(super) gps: Option<(f64, f64)>,
}

/// Reads `chunk` (as the picture decoder found it) or, for TIFF, the file itself; `format` is that of
/// the file, and only TIFF makes a difference.
pub(super) fn read(
    bytes: &[u8],
    chunk: Option<&[u8]>,
    format: ImageFormat,
    notes: &mut Vec<String>,
) -> Meta {
    let mut reader = Reader::new();
    reader.continue_on_error(true);
    let parsed = match chunk {
        Some(chunk) => reader.read_raw(chunk.to_vec()),
        None if format == ImageFormat::Tiff => reader.read_from_container(&mut Cursor::new(bytes)),
        None => return Meta::default(),
    };
    let parsed = parsed.or_else(|e| e.distill_partial_result(|_| ()));
    let Ok(exif) = parsed else {
        notes.push("The EXIF data are damaged; time and place are unknown.".to_owned());
        return Meta::default();
    };
    let taken_at = time(&exif);
    if taken_at.is_none() && exif.get_field(Tag::DateTimeOriginal, In::PRIMARY).is_some() {
        notes.push("The time in the EXIF data is no time; it is left out.".to_owned());
    }
    let gps = position(&exif);
    if gps.is_none() && exif.get_field(Tag::GPSLatitude, In::PRIMARY).is_some() {
        notes.push("The place in the EXIF data is no place; it is left out.".to_owned());
    }
    if let Some(value) = exif
        .get_field(Tag::Orientation, In::PRIMARY)
        .and_then(|f| f.value.get_uint(0))
        && !(1..=8).contains(&value)
    {
        notes.push(format!(
            "The EXIF orientation is {value}, which means nothing; the photo is taken as upright."
        ));
    }
    Meta { taken_at, gps }
}

/// `DateTimeOriginal`, `2026:03:02 10:11:12`, in ISO form.
fn time(exif: &Exif) -> Option<String> {
    let field = exif.get_field(Tag::DateTimeOriginal, In::PRIMARY)?;
    let Value::Ascii(texts) = &field.value else {
        return None;
    };
    let t = exif::DateTime::from_ascii(texts.first()?).ok()?;
    let plausible = (1..=12).contains(&t.month)
        && (1..=31).contains(&t.day)
        && t.hour < 24
        && t.minute < 60
        && t.second <= 60
        && t.year > 0;
    plausible.then(|| {
        format!(
            "{:04}-{:02}-{:02}T{:02}:{:02}:{:02}",
            t.year, t.month, t.day, t.hour, t.minute, t.second
        )
    })
}

fn position(exif: &Exif) -> Option<(f64, f64)> {
    let north = degrees(exif, Tag::GPSLatitude, Tag::GPSLatitudeRef, b'S', 90.0)?;
    let east = degrees(exif, Tag::GPSLongitude, Tag::GPSLongitudeRef, b'W', 180.0)?;
    // Cameras without a fix write zeros.
    (north != 0.0 || east != 0.0).then_some((north, east))
}

/// Degrees, minutes and seconds as degrees, negative on the side called `negative`.
fn degrees(exif: &Exif, tag: Tag, side: Tag, negative: u8, largest: f64) -> Option<f64> {
    let Value::Rational(parts) = &exif.get_field(tag, In::PRIMARY)?.value else {
        return None;
    };
    let mut value = 0.0;
    for (part, unit) in parts.iter().zip([1.0, 60.0, 3600.0]) {
        value += part.to_f64() / unit;
    }
    let Value::Ascii(texts) = &exif.get_field(side, In::PRIMARY)?.value else {
        return None;
    };
    let sign = if texts.first()?.first()? == &negative {
        -1.0
    } else {
        1.0
    };
    // Six decimals are a tenth of a metre; more would only be noise in the answer.
    let value = sign * (value * 1e6).round() / 1e6;
    (!parts.is_empty() && value.is_finite() && value.abs() <= largest).then_some(value)
}
