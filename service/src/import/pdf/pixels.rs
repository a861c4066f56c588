//! A picture of a PDF as a file of its own.

use super::Limits;
use flate2::read::ZlibDecoder;
use hayro_syntax::Filter;
use hayro_syntax::object::dict::keys::{
    BITS_PER_COMPONENT, BPC, COLORSPACE, CS, D, DECODE, IM, IMAGE_MASK, N,
};
use hayro_syntax::object::stream::{ImageColorSpace, ImageDecodeParams};
use hayro_syntax::object::{Array, Dict, Name, Object, Stream};
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder};
use std::io::Read;

/// True for a stencil, which is no picture.
pub(super) fn is_mask(dict: &Dict<'_>) -> bool {
    let mask = dict
        .get::<bool>(IMAGE_MASK)
        .or_else(|| dict.get::<bool>(IM));
    mask.unwrap_or(false)
}

/// The picture as the JPEG that it is, or else as PNG.
///
/// # Errors
///
/// A sentence with the way out.
pub(super) fn file(
    stream: &Stream<'_>,
    (width, height): (u32, u32),
    limits: &Limits,
) -> Result<Vec<u8>, String> {
    if u64::from(width) * u64::from(height) > limits.pixels {
        return Err(format!(
            "the picture has {width} × {height} pixels, more than the {} allowed; save it smaller",
            limits.pixels
        ));
    }
    let filters = stream.filters();
    match filters.as_slice() {
        [Filter::DctDecode] => jpeg(stream.raw_data().into_owned(), limits),
        [Filter::FlateDecode, Filter::DctDecode] => {
            let mut bytes = Vec::new();
            let most = limits.bytes + 1;
            ZlibDecoder::new(stream.raw_data().as_ref())
                .take(most)
                .read_to_end(&mut bytes)
                .map_err(|e| format!("it is damaged ({e}); save the page as JPEG"))?;
            jpeg(bytes, limits)
        }
        [] | [Filter::FlateDecode | Filter::AsciiHexDecode | Filter::Ascii85Decode] => {
            png(stream, (width, height), limits)
        }
        // The guard has seen that a line of it is no longer than a picture may be wide.
        [Filter::CcittFaxDecode] => png(stream, (width, height), limits),
        [Filter::JpxDecode] => {
            let (real_width, real_height) = jpeg_2000_size(&stream.raw_data()).unwrap_or((0, 0));
            let pixels = u64::from(real_width) * u64::from(real_height);
            if pixels == 0 || pixels > limits.pixels {
                return Err(
                    "the JPEG 2000 picture is too large or damaged; save the page as JPEG"
                        .to_owned(),
                );
            }
            png(stream, (width, height), limits)
        }
        _ => Err("it is packed in a way that is not read; save the page as JPEG".to_owned()),
    }
}

fn jpeg(bytes: Vec<u8>, limits: &Limits) -> Result<Vec<u8>, String> {
    if bytes.len() as u64 > limits.bytes {
        return Err(too_large(limits.bytes));
    }
    Ok(bytes)
}

/// Width and height of a JPEG 2000 picture, as its code says and not as the page does.
fn jpeg_2000_size(bytes: &[u8]) -> Option<(u32, u32)> {
    // Start of code, size marker; then length and capabilities, four bytes together.
    const MARK: [u8; 4] = [0xff, 0x4f, 0xff, 0x51];
    let at = bytes.windows(4).position(|window| window == MARK)? + 8;
    let number = |n: usize| {
        let four = bytes.get(at + 4 * n..at + 4 * n + 4)?;
        four.try_into().ok().map(u32::from_be_bytes)
    };
    Some((
        number(0)?.checked_sub(number(2)?)?,
        number(1)?.checked_sub(number(3)?)?,
    ))
}

/// What the numbers of a picture stand for.
enum Colours {
    Grey,
    Rgb,
    Cmyk,
    /// Each number is the place of a colour in a list.
    Listed {
        base: u8,
        list: Vec<u8>,
    },
}

impl Colours {
    /// Numbers a pixel.
    fn numbers(&self) -> usize {
        match self {
            Self::Grey | Self::Listed { .. } => 1,
            Self::Rgb => 3,
            Self::Cmyk => 4,
        }
    }

    fn of(object: &Object<'_>, deeper: bool) -> Option<Self> {
        match object {
            Object::Name(name) => Self::named(name),
            Object::Array(array) => {
                let mut items = array.flex_iter();
                let kind = items.next::<Name<'_>>()?;
                match &*kind {
                    b"ICCBased" => {
                        let profile = items.next::<Stream<'_>>()?;
                        Self::by_count(profile.dict().get::<u8>(N)?)
                    }
                    b"CalGray" => Some(Self::Grey),
                    b"CalRGB" => Some(Self::Rgb),
                    b"Indexed" | b"I" if deeper => {
                        let base = items.next::<Object<'_>>()?;
                        let base = Self::of(&base, false)?.numbers() as u8;
                        let _most = items.next::<u8>()?;
                        let list = items.next::<Object<'_>>()?;
                        let list = match list {
                            Object::String(text) => text.as_bytes().to_vec(),
                            Object::Stream(stream) => stream.decoded_data().ok()?.into_owned(),
                            _ => return None,
                        };
                        Some(Self::Listed { base, list })
                    }
                    _ => None,
                }
            }
            _ => None,
        }
    }

    fn named(name: &[u8]) -> Option<Self> {
        match name {
            b"DeviceGray" | b"G" | b"CalGray" => Some(Self::Grey),
            b"DeviceRGB" | b"RGB" | b"CalRGB" => Some(Self::Rgb),
            b"DeviceCMYK" | b"CMYK" => Some(Self::Cmyk),
            _ => None,
        }
    }

    fn by_count(count: u8) -> Option<Self> {
        match count {
            1 => Some(Self::Grey),
            3 => Some(Self::Rgb),
            4 => Some(Self::Cmyk),
            _ => None,
        }
    }
}

/// Numbers from 0 to 255, as they stand in the file.
struct Samples {
    width: u32,
    height: u32,
    data: Vec<u8>,
    colours: Colours,
}

fn png(stream: &Stream<'_>, size: (u32, u32), limits: &Limits) -> Result<Vec<u8>, String> {
    let samples = samples(stream, size)?;
    let pixels = (samples.width as usize) * (samples.height as usize);
    let inverted = is_inverted(stream.dict());
    let level = |value: u8| if inverted { 255 - value } else { value };
    let (kind, out) = match &samples.colours {
        Colours::Grey => (
            ExtendedColorType::L8,
            samples.data.iter().map(|v| level(*v)).collect(),
        ),
        Colours::Rgb => (
            ExtendedColorType::Rgb8,
            samples.data.iter().map(|v| level(*v)).collect(),
        ),
        Colours::Cmyk => {
            let rgb = |four: &[u8]| rgb_of_cmyk([0, 1, 2, 3].map(|n| level(four[n])));
            (
                ExtendedColorType::Rgb8,
                samples.data.chunks_exact(4).flat_map(rgb).collect(),
            )
        }
        Colours::Listed { base, list } => {
            let base = usize::from(*base);
            let rgb = |place: &u8| {
                let at = usize::from(*place) * base;
                match list.get(at..at + base) {
                    Some([grey]) => [*grey; 3],
                    Some([r, g, b]) => [*r, *g, *b],
                    Some([c, m, y, k]) => rgb_of_cmyk([*c, *m, *y, *k]),
                    _ => [255; 3],
                }
            };
            (
                ExtendedColorType::Rgb8,
                samples.data.iter().flat_map(rgb).collect::<Vec<u8>>(),
            )
        }
    };
    let bytes: usize = if kind == ExtendedColorType::L8 { 1 } else { 3 };
    if out.len() != pixels * bytes {
        return Err("it ends before its last line; save the page as JPEG".to_owned());
    }
    let mut file = Vec::new();
    PngEncoder::new_with_quality(&mut file, CompressionType::Fast, FilterType::Up)
        .write_image(&out, samples.width, samples.height, kind)
        .map_err(|e| format!("it cannot be written as PNG ({e}); save the page as JPEG"))?;
    if file.len() as u64 > limits.bytes {
        return Err(too_large(limits.bytes));
    }
    Ok(file)
}

fn samples(stream: &Stream<'_>, (width, height): (u32, u32)) -> Result<Samples, String> {
    let unread = |what: &str| format!("{what}; save the page as JPEG");
    let dict = stream.dict();
    let given = dict
        .get::<Object<'_>>(COLORSPACE)
        .or_else(|| dict.get::<Object<'_>>(CS));
    let colours = given.as_ref().and_then(|object| Colours::of(object, true));
    let bits = dict
        .get::<u8>(BITS_PER_COMPONENT)
        .or_else(|| dict.get::<u8>(BPC));
    let params = ImageDecodeParams {
        is_indexed: matches!(colours, Some(Colours::Listed { .. })),
        bpc: bits,
        num_components: colours.as_ref().map(|c| c.numbers() as u8),
        target_dimension: None,
        width,
        height,
    };
    let decoded = stream
        .decoded_image(&params)
        .map_err(|_| unread("it is damaged"))?;
    // Picture formats within the PDF know their size and colours better than the page.
    let (width, height, bits, colours) = match &decoded.image_data {
        None => (width, height, bits.unwrap_or(8), colours),
        Some(own) => {
            let of_own = own.color_space.and_then(|space| match space {
                ImageColorSpace::Gray => Some(Colours::Grey),
                ImageColorSpace::Rgb => Some(Colours::Rgb),
                ImageColorSpace::Cmyk => Some(Colours::Cmyk),
                ImageColorSpace::Unknown(_) => None,
            });
            let colours = match colours {
                listed @ Some(Colours::Listed { .. }) => listed,
                other => of_own.or(other),
            };
            (own.width, own.height, own.bits_per_component, colours)
        }
    };
    let colours =
        colours.ok_or_else(|| unread("its colours are given in a way that is not read"))?;
    let a_line = width as usize * colours.numbers();
    let scaled = !matches!(colours, Colours::Listed { .. });
    let data = match bits {
        8 => decoded.data.into_owned(),
        16 => decoded.data.chunks_exact(2).map(|two| two[0]).collect(),
        1 | 2 | 4 => spread(&decoded.data, a_line, bits, scaled),
        _ => return Err(unread("its numbers have a width that is not read")),
    };
    let mut data = data;
    // What is behind the last line is no picture.
    data.truncate(a_line * height as usize);
    Ok(Samples {
        width,
        height,
        data,
        colours,
    })
}

/// Numbers of 1, 2 or 4 bits as bytes; each line begins with a byte of its own. `scaled` makes the
/// largest 255.
fn spread(data: &[u8], a_line: usize, bits: u8, scaled: bool) -> Vec<u8> {
    let each = usize::from(8 / bits);
    let most = (1u16 << bits) - 1;
    let factor = if scaled { 255 / most } else { 1 };
    let mut out = Vec::new();
    for line in data.chunks_exact(a_line.div_ceil(each).max(1)) {
        out.extend((0..a_line).map(|n| {
            let shift = 8 - bits as usize * (n % each + 1);
            let value = u16::from(line[n / each] >> shift) & most;
            (value * factor) as u8
        }));
    }
    out
}

/// True where the page turns the numbers over, as it does for negatives.
fn is_inverted(dict: &Dict<'_>) -> bool {
    let decode = dict
        .get::<Array<'_>>(DECODE)
        .or_else(|| dict.get::<Array<'_>>(D));
    let mut numbers = decode.iter().flat_map(Array::iter::<f32>);
    numbers
        .next()
        .zip(numbers.next())
        .is_some_and(|(from, to)| from > to)
}

fn rgb_of_cmyk([c, m, y, k]: [u8; 4]) -> [u8; 3] {
    let light = |ink: u8| (u16::from(255 - ink) * u16::from(255 - k) / 255) as u8;
    [c, m, y].map(light)
}

fn too_large(limit: u64) -> String {
    format!(
        "as a file it has more than the {} MiB that a photo may have",
        limit >> 20
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn narrow_numbers_are_spread_line_by_line() {
        assert_eq!(
            spread(&[0b1010_0000, 0b0100_0000], 3, 1, true),
            [255, 0, 255, 0, 255, 0]
        );
        assert_eq!(spread(&[0x1b], 4, 2, false), [0, 1, 2, 3]);
        assert_eq!(spread(&[0xf0, 0x10], 2, 4, true), [255, 0, 17, 0]);
    }

    #[test]
    fn ink_takes_light_away() {
        assert_eq!(rgb_of_cmyk([0, 0, 0, 0]), [255; 3]);
        assert_eq!(rgb_of_cmyk([0, 0, 0, 255]), [0; 3]);
        assert_eq!(rgb_of_cmyk([255, 0, 0, 0]), [0, 255, 255]);
    }

    #[test]
    fn the_size_of_jpeg_2000_is_that_of_its_code() {
        let mut code = vec![0xff, 0x4f, 0xff, 0x51, 0, 41, 0, 0];
        for number in [1000u32, 700, 10, 20] {
            code.extend(number.to_be_bytes());
        }
        assert_eq!(jpeg_2000_size(&code), Some((990, 680)));
        assert_eq!(jpeg_2000_size(b"nothing"), None);
    }
}
