//! A photo at a fraction of its size, for a quick look.

use std::io::Cursor;

use image::{ColorType, DynamicImage, GrayImage, ImageDecoder, ImageFormat, ImageReader};

use super::kind::{self, Kind};
use super::{Limits, Photo, PhotoError};

/// A photo, upright, in grey, at a fraction of its size.
#[derive(Debug, Clone)]
pub struct Reduced {
    pub(crate) picture: GrayImage,
    /// Pixels of the photo for one of the picture.
    pub(crate) step: f32,
    width: u32,
    height: u32,
}

impl Reduced {
    /// The photo in `bytes` with its longer side reduced to `longest` pixels or little more.
    ///
    /// A JPEG is never unpacked at full size: its coefficients are put together at a half, a quarter
    /// or an eighth. Other kinds are decoded and then reduced.
    ///
    /// # Errors
    ///
    /// As [`Photo::decode`].
    pub fn decode(bytes: &[u8], limits: &Limits, longest: u32) -> Result<Self, PhotoError> {
        if matches!(kind::of(bytes), Kind::Readable(_, ImageFormat::Jpeg))
            && bytes.len() <= limits.bytes
            && let Some(reduced) = jpeg(bytes, limits, longest)
        {
            return Ok(reduced);
        }
        Ok(Self::of(&Photo::decode(bytes, limits)?, longest))
    }

    /// A decoded photo, reduced.
    pub fn of(photo: &Photo, longest: u32) -> Self {
        let (width, height) = (photo.width(), photo.height());
        let picture = image::imageops::grayscale(photo.image());
        Self {
            picture: thumbnail(picture, longest),
            step: step(width, height, longest),
            width,
            height,
        }
    }

    /// Pixels in a row of the upright photo.
    pub fn width(&self) -> u32 {
        self.width
    }

    /// Rows of the upright photo.
    pub fn height(&self) -> u32 {
        self.height
    }
}

fn step(width: u32, height: u32, longest: u32) -> f32 {
    (width.max(height) as f32 / longest as f32).max(1.0)
}

fn thumbnail(picture: GrayImage, longest: u32) -> GrayImage {
    let (width, height) = picture.dimensions();
    let step = step(width, height, longest);
    if step <= 1.0 {
        return picture;
    }
    let side = |pixels: u32| ((pixels as f32 / step).round() as u32).max(1);
    image::imageops::thumbnail(&picture, side(width), side(height))
}

/// None for what this way cannot decode; the other way tells why.
fn jpeg(bytes: &[u8], limits: &Limits, longest: u32) -> Option<Reduced> {
    let reader = ImageReader::with_format(Cursor::new(bytes), ImageFormat::Jpeg);
    let mut header = reader.into_decoder().ok()?;
    let (width, height) = header.dimensions();
    let plain = matches!(header.color_type(), ColorType::Rgb8 | ColorType::L8);
    let allowed = u64::from(width) * u64::from(height) <= limits.pixels;
    if !plain || !allowed || width == 0 || height == 0 {
        return None;
    }
    let orientation = header.orientation().ok()?;
    let mut decoder = jpeg_decoder::Decoder::new(bytes);
    decoder.set_max_decoding_buffer_size(usize::try_from(limits.decoder_bytes).ok()?);
    // The picture is at least as large as asked for; the rest is taken off below.
    let wanted = |side: u32| u16::try_from((side * longest / width.max(height)).max(1)).ok();
    let (w, h) = decoder.scale(wanted(width)?, wanted(height)?).ok()?;
    let pixels = decoder.decode().ok()?;
    let (w, h) = (u32::from(w), u32::from(h));
    let picture = if pixels.len() == (w * h) as usize {
        GrayImage::from_raw(w, h, pixels)?
    } else {
        // Green is most of the brightness, and a quick look needs no more.
        let green = pixels.chunks_exact(3).map(|p| p[1]).collect();
        GrayImage::from_raw(w, h, green)?
    };
    let mut picture = DynamicImage::ImageLuma8(thumbnail(picture, longest));
    picture.apply_orientation(orientation);
    let picture = picture.into_luma8();
    let turned = (picture.width() > picture.height()) != (width > height);
    let (width, height) = if turned {
        (height, width)
    } else {
        (width, height)
    };
    Some(Reduced {
        step: width.max(height) as f32 / picture.width().max(picture.height()) as f32,
        picture,
        width,
        height,
    })
}
