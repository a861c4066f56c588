//! Pictures as they go into a report: small enough for paper.

use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::{DynamicImage, RgbImage};

/// Quality of the pictures in a report; letters stay sharp and a page stays small.
const QUALITY: u8 = 80;

/// A picture in a report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    pub(super) jpeg: Vec<u8>,
    /// Width, pixels.
    pub width: u32,
    /// Height, pixels.
    pub height: u32,
}

/// The picture could not be made.
#[derive(Debug, thiserror::Error)]
#[error("the picture could not be made: {0}")]
pub struct PictureError(#[from] image::ImageError);

impl Picture {
    /// `image`, made smaller where its longer side has more than `side` pixels.
    ///
    /// # Errors
    ///
    /// For a picture without pixels.
    pub fn new(image: &RgbImage, side: u32) -> Result<Self, PictureError> {
        let image = if image.width().max(image.height()) > side {
            DynamicImage::ImageRgb8(image.clone())
                .resize(side, side, FilterType::Triangle)
                .into_rgb8()
        } else {
            image.clone()
        };
        let mut jpeg = Vec::new();
        JpegEncoder::new_with_quality(&mut jpeg, QUALITY).encode_image(&image)?;
        Ok(Self {
            jpeg,
            width: image.width(),
            height: image.height(),
        })
    }

    /// The bytes as JPEG.
    pub fn into_jpeg(self) -> Vec<u8> {
        self.jpeg
    }
}
