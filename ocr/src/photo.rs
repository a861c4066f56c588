//! Bytes → upright photo.

use std::io::Cursor;

use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageError, ImageFormat, ImageReader, RgbImage};

mod exif;
mod heic;
mod kind;
mod reduced;

pub use reduced::Reduced;

use kind::Kind;

/// What a photo may cost before it is decoded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Largest file in bytes.
    pub bytes: usize,
    /// Most pixels, width times height.
    pub pixels: u64,
    /// Memory in bytes that the decoder may take beside the picture itself.
    pub decoder_bytes: u64,
}

impl Default for Limits {
    /// 64 MiB of file, 100 megapixels, 1 GiB for the decoder (a 100-megapixel photo
    /// of 16 bits and four channels takes 0.8 GB).
    fn default() -> Self {
        Self {
            bytes: 64 << 20,
            pixels: 100_000_000,
            decoder_bytes: 1 << 30,
        }
    }
}

/// Why a file cannot be taken as a photo.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PhotoError {
    /// No bytes.
    #[error("the file is empty; take or copy the photo again")]
    Empty,
    /// The file is larger than [`Limits::bytes`].
    #[error(
        "the file has {actual} bytes, more than the {limit} allowed; send a smaller photo or raise the limit"
    )]
    TooManyBytes {
        /// Size of the file.
        actual: usize,
        /// What is allowed.
        limit: usize,
    },
    /// The picture is larger than [`Limits::pixels`].
    #[error(
        "the picture has {width} × {height} pixels, more than the {limit} allowed; send a smaller photo or raise the limit"
    )]
    TooManyPixels {
        /// Pixels in a row.
        width: u32,
        /// Rows.
        height: u32,
        /// What is allowed, width times height.
        limit: u64,
    },
    /// Decoding would take more than [`Limits::decoder_bytes`].
    #[error(
        "decoding the picture takes more than the {limit} bytes of memory allowed; save it as a plain JPEG or raise the limit"
    )]
    TooMuchMemory {
        /// What is allowed.
        limit: u64,
    },
    /// The content is of no kind of picture, whatever its name says.
    #[error("the file is not a picture: {found}; send a JPEG, HEIC, PNG, WebP or TIFF photo")]
    NotAPicture {
        /// What the content looks like.
        found: &'static str,
    },
    /// A picture or document that is not read.
    #[error("{kind} files are not read; save the photo as JPEG, HEIC, PNG, WebP or TIFF")]
    UnsupportedKind {
        /// What it is, by its content.
        kind: &'static str,
    },
    /// A known kind in a form that the decoder does not know.
    #[error("this form of {kind} is not read ({reason}); save the photo as a plain JPEG")]
    UnsupportedForm {
        /// What it is, by its content.
        kind: &'static str,
        /// The decoder's words.
        reason: String,
    },
    /// The file ends early or holds what cannot be.
    #[error("the {kind} file is cut short or damaged ({reason}); copy or take the photo again")]
    Damaged {
        /// What it is, by its content.
        kind: &'static str,
        /// The decoder's words.
        reason: String,
    },
}

/// A decoded photo, upright as its EXIF orientation says.
#[derive(Debug, Clone)]
pub struct Photo {
    image: RgbImage,
    taken_at: Option<String>,
    gps: Option<(f64, f64)>,
    notes: Vec<String>,
}

impl Photo {
    /// The photo in `bytes`, whatever the file was called.
    ///
    /// JPEG, PNG, WebP, TIFF and HEIC are read, with 8 or 16 bits, grey, colour or CMYK.
    /// What is transparent is laid on white; of several pictures the first is taken,
    /// and a note says so. Faults of the EXIF data are notes, too.
    ///
    /// # Errors
    ///
    /// [`PhotoError`], whose text says what to do. The limits are checked before
    /// pixels are decoded.
    pub fn decode(bytes: &[u8], limits: &Limits) -> Result<Self, PhotoError> {
        if bytes.is_empty() {
            return Err(PhotoError::Empty);
        }
        if bytes.len() > limits.bytes {
            return Err(PhotoError::TooManyBytes {
                actual: bytes.len(),
                limit: limits.bytes,
            });
        }
        let (kind, format) = match kind::of(bytes) {
            Kind::Readable(kind, format) => (kind, format),
            Kind::Heic => return heic::decode(bytes, limits),
            Kind::Unsupported(kind) => return Err(PhotoError::UnsupportedKind { kind }),
            Kind::NoPicture(found) => return Err(PhotoError::NotAPicture { found }),
        };
        let mut notes = Vec::new();
        let (image, chunk, orientation) = pixels(bytes, kind, format, limits)?;
        if kind::has_several_pictures(bytes, format) {
            notes.push(format!(
                "The {kind} file holds several pictures; the first one is read."
            ));
        }
        let meta = exif::read(bytes, chunk.as_deref(), format, &mut notes);
        if image.color().has_alpha() {
            notes.push("Transparent parts are taken as white.".to_owned());
        }
        let mut image = image;
        image.apply_orientation(orientation);
        Ok(Self {
            image: opaque(image),
            taken_at: meta.taken_at,
            gps: meta.gps,
            notes,
        })
    }

    /// A photo of pixels that are at hand, already upright; it has no time or place.
    pub fn from_image(image: RgbImage) -> Self {
        Self {
            image,
            taken_at: None,
            gps: None,
            notes: Vec::new(),
        }
    }

    /// Pixels in a row of the upright photo.
    pub fn width(&self) -> u32 {
        self.image.width()
    }

    /// Rows of the upright photo.
    pub fn height(&self) -> u32 {
        self.image.height()
    }

    /// When the camera says it was taken, local time as `2026-03-02T10:11:12`.
    pub fn taken_at(&self) -> Option<&str> {
        self.taken_at.as_deref()
    }

    /// Where the camera says it was taken: degrees north and east.
    pub fn gps(&self) -> Option<(f64, f64)> {
        self.gps
    }

    /// What a reader should know of how the file was taken.
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// The upright pixels.
    pub fn image(&self) -> &RgbImage {
        &self.image
    }
}

type Decoded = (DynamicImage, Option<Vec<u8>>, Orientation);

fn pixels(
    bytes: &[u8],
    kind: &'static str,
    format: ImageFormat,
    limits: &Limits,
) -> Result<Decoded, PhotoError> {
    let fault = |e: ImageError| match e {
        ImageError::Unsupported(e) => PhotoError::UnsupportedForm {
            kind,
            reason: e.to_string(),
        },
        ImageError::Limits(_) => PhotoError::TooMuchMemory {
            limit: limits.decoder_bytes,
        },
        e => PhotoError::Damaged {
            kind,
            reason: e.to_string(),
        },
    };
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    // Side lengths are judged below with a message of their own; what the decoder
    // allocates for itself is limited here.
    let mut decoder_limits = image::Limits::no_limits();
    decoder_limits.max_alloc = Some(limits.decoder_bytes);
    reader.limits(decoder_limits);
    let mut decoder = reader.into_decoder().map_err(fault)?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > limits.pixels {
        return Err(PhotoError::TooManyPixels {
            width,
            height,
            limit: limits.pixels,
        });
    }
    if width == 0 || height == 0 {
        return Err(PhotoError::Damaged {
            kind,
            reason: "it has no pixels".to_owned(),
        });
    }
    if decoder.total_bytes() > limits.decoder_bytes {
        return Err(PhotoError::TooMuchMemory {
            limit: limits.decoder_bytes,
        });
    }
    let chunk = decoder.exif_metadata().ok().flatten();
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let image = DynamicImage::from_decoder(decoder).map_err(fault)?;
    Ok((image, chunk, orientation))
}

/// 8-bit colour; transparent parts are laid on white, as print programs do.
fn opaque(image: DynamicImage) -> RgbImage {
    if !image.color().has_alpha() {
        return image.into_rgb8();
    }
    let image = image.into_rgba8();
    let mut out = RgbImage::new(image.width(), image.height());
    for (to, from) in out.pixels_mut().zip(image.pixels()) {
        let alpha = u32::from(from.0[3]);
        for (t, f) in to.0.iter_mut().zip(from.0) {
            *t = ((u32::from(f) * alpha + 255 * (255 - alpha) + 127) / 255) as u8;
        }
    }
    out
}
