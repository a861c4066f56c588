//! What a file is, by its first bytes.

use image::ImageFormat;

/// What the content of a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A picture that is read.
    Readable(&'static str, ImageFormat),
    /// A picture of a phone that has a decoder of its own.
    Heic,
    /// A picture or document that is known but not read.
    Unsupported(&'static str),
    /// Neither, with what it looks like.
    NoPicture(&'static str),
}

/// Signatures: offset, bytes, kind.
const SIGNATURES: [(usize, &[u8], Kind); 15] = [
    (
        0,
        b"\xFF\xD8\xFF",
        Kind::Readable("JPEG", ImageFormat::Jpeg),
    ),
    (
        0,
        b"\x89PNG\r\n\x1A\n",
        Kind::Readable("PNG", ImageFormat::Png),
    ),
    (0, b"II*\0", Kind::Readable("TIFF", ImageFormat::Tiff)),
    (0, b"MM\0*", Kind::Readable("TIFF", ImageFormat::Tiff)),
    (0, b"GIF8", Kind::Unsupported("GIF")),
    (0, b"BM", Kind::Unsupported("BMP")),
    (0, b"%PDF", Kind::Unsupported("PDF")),
    (0, b"\0\0\x01\0", Kind::Unsupported("icon")),
    (0, b"8BPS", Kind::Unsupported("Photoshop")),
    (0, b"\xFF\x0A", Kind::Unsupported("JPEG XL")),
    (0, b"\0\0\0\x0CJXL ", Kind::Unsupported("JPEG XL")),
    (0, b"\0\0\0\x0CjP  ", Kind::Unsupported("JPEG 2000")),
    (
        0,
        b"PK\x03\x04",
        Kind::NoPicture("it is a ZIP archive or an office document"),
    ),
    (
        0,
        b"\x1F\x8B",
        Kind::NoPicture("it is a compressed archive"),
    ),
    (4, b"ftypavif", Kind::Unsupported("AVIF")),
];

/// Brands of the ISO base media format, at byte 8 after `ftyp`.
const HEIF_BRANDS: [&[u8]; 9] = [
    b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1", b"avis",
];

pub(super) fn of(bytes: &[u8]) -> Kind {
    let has = |at: usize, what: &[u8]| bytes.get(at..).is_some_and(|rest| rest.starts_with(what));
    for (at, signature, kind) in SIGNATURES {
        if has(at, signature) {
            return kind;
        }
    }
    if has(0, b"RIFF") && has(8, b"WEBP") {
        return Kind::Readable("WebP", ImageFormat::WebP);
    }
    if has(4, b"ftyp") {
        return if HEIF_BRANDS.iter().any(|brand| has(8, brand)) {
            Kind::Heic
        } else {
            Kind::Unsupported("video")
        };
    }
    let head = &bytes[..bytes.len().min(1024)];
    let looks_like_text = std::str::from_utf8(head)
        .map_or_else(|e| e.error_len().is_none() && e.valid_up_to() > 0, |_| true)
        && !head.contains(&0);
    if looks_like_text && head.trim_ascii_start().starts_with(b"<svg") {
        Kind::Unsupported("SVG")
    } else if looks_like_text {
        Kind::NoPicture("it is text")
    } else {
        Kind::NoPicture("its first bytes are of no known kind")
    }
}

/// Whether the file holds more than one picture: an animation or several pages.
pub(super) fn has_several_pictures(bytes: &[u8], format: ImageFormat) -> bool {
    match format {
        // The animation header comes before the first picture data.
        ImageFormat::Png => png_chunks(bytes).any(|name| name == b"acTL"),
        ImageFormat::WebP => {
            bytes.get(12..16) == Some(b"VP8X") && bytes.get(20).is_some_and(|f| f & 2 != 0)
        }
        ImageFormat::Tiff => second_page(bytes).is_some_and(|offset| offset != 0),
        _ => false,
    }
}

/// Names of the chunks up to the picture data.
fn png_chunks(bytes: &[u8]) -> impl Iterator<Item = &[u8]> {
    let mut at = 8;
    std::iter::from_fn(move || {
        let length = u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?);
        let name = bytes.get(at + 4..at + 8)?;
        at = at.checked_add(12)?.checked_add(length as usize)?;
        (name != b"IDAT").then_some(name)
    })
}

/// Offset of the second image directory, 0 if there is none.
fn second_page(bytes: &[u8]) -> Option<u32> {
    let little = bytes.starts_with(b"II");
    let word = |at: usize| -> Option<u32> {
        let raw = bytes.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(if little {
            u32::from_le_bytes(raw)
        } else {
            u32::from_be_bytes(raw)
        })
    };
    let first = word(4)? as usize;
    let raw = bytes.get(first..first.checked_add(2)?)?.try_into().ok()?;
    let entries = if little {
        u16::from_le_bytes(raw)
    } else {
        u16::from_be_bytes(raw)
    };
    word(first + 2 + 12 * usize::from(entries))
}
