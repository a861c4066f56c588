//! Picture → what a code says. No other file names the decoder.

mod frame;

use std::collections::HashSet;
use std::panic::{AssertUnwindSafe, catch_unwind};

use image::GrayImage;
use rxing::common::HybridBinarizer;
use rxing::datamatrix::DataMatrixReader;
use rxing::qrcode::cpp_port::QrReader;
use rxing::{
    BarcodeFormat, BinaryBitmap, DecodeHints, ImmutableReader, Luma8LuminanceSource, RXingResult,
};

use super::CodeKind;
use crate::geometry::{Quad, centre};

/// Characters that the largest QR code holds (version 40, digits alone): what is longer is no code.
const LONGEST: usize = 7089;

/// A code in a picture; corners are clockwise, in pixels of the picture.
#[derive(Debug, PartialEq)]
pub(super) enum Seen {
    Read {
        kind: CodeKind,
        text: String,
        corners: Quad,
        /// Light on dark.
        inverted: bool,
    },
    /// Its frame is a code's, and what it says cannot be read.
    Unread { corners: Quad },
}

/// The code in `picture`. Six attempts at most.
pub(super) fn decode(picture: &GrayImage) -> Option<Seen> {
    let mut inverted = picture.clone();
    image::imageops::invert(&mut inverted);
    let both = [(picture, false), (&inverted, true)];
    for (picture, inverted) in both {
        for kind in [CodeKind::Qr, CodeKind::DataMatrix] {
            if let Some((text, corners)) = attempt(picture, kind) {
                return Some(Seen::Read {
                    kind,
                    text,
                    corners,
                    inverted,
                });
            }
        }
    }
    let corners = both.iter().find_map(|(picture, _)| unread(picture))?;
    Some(Seen::Unread { corners })
}

fn attempt(picture: &GrayImage, kind: CodeKind) -> Option<(String, Quad)> {
    let result = guarded(|| -> Option<RXingResult> {
        let mut bitmap = bitmap(picture)?;
        match kind {
            CodeKind::Qr => {
                let hints = DecodeHints {
                    PossibleFormats: Some(HashSet::from([BarcodeFormat::QR_CODE])),
                    ..DecodeHints::default()
                };
                QrReader.immutable_decode_with_hints(&mut bitmap, &hints)
            }
            CodeKind::DataMatrix => {
                let hints = DecodeHints {
                    TryHarder: Some(true),
                    ..DecodeHints::default()
                };
                DataMatrixReader.immutable_decode_with_hints(&mut bitmap, &hints)
            }
        }
        .ok()
    })?;
    let text = result.getText();
    if text.is_empty() || text.chars().count() > LONGEST {
        return None;
    }
    let points: Vec<[f32; 2]> = result.getPoints().iter().map(|p| [p.x, p.y]).collect();
    let corners = clockwise(&points)?;
    Some((text.to_owned(), corners))
}

/// Corners of a code that shows its frame.
fn unread(picture: &GrayImage) -> Option<Quad> {
    let found = guarded(|| frame::found(bitmap(picture)?.get_black_matrix()))?;
    let points: Vec<[f32; 2]> = found.iter().map(|p| [p.x, p.y]).collect();
    clockwise(&points)
}

/// The decoder's own comments say that its search can panic. Whatever is printed on a plate, the
/// photo must still be read: a picture that it cannot cope with shows no code.
fn guarded<T>(search: impl FnOnce() -> Option<T>) -> Option<T> {
    catch_unwind(AssertUnwindSafe(search)).ok().flatten()
}

fn bitmap(picture: &GrayImage) -> Option<BinaryBitmap<HybridBinarizer<Luma8LuminanceSource>>> {
    let (width, height) = picture.dimensions();
    let source = Luma8LuminanceSource::new(picture.as_raw().clone(), width, height).ok()?;
    Some(BinaryBitmap::new(HybridBinarizer::new(source)))
}

/// The four corners clockwise on the picture, beginning with the one at the top left.
fn clockwise(points: &[[f32; 2]]) -> Option<Quad> {
    let mut quad: Quad = match *points {
        [a, b, c, d] => [a, b, c, d],
        _ => return None,
    };
    if quad.iter().flatten().any(|v| !v.is_finite()) {
        return None;
    }
    let [x, y] = centre(&quad);
    let around = |p: &[f32; 2]| (p[1] - y).atan2(p[0] - x);
    quad.sort_by(|a, b| around(a).total_cmp(&around(b)));
    Some(quad)
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use rxing::datamatrix::DataMatrixWriter;
    use rxing::datamatrix::encoder::SymbolShapeHint;
    use rxing::qrcode::QRCodeWriter;
    use rxing::{EncodeHints, Writer};

    /// The modules of a code that says `text`: true is dark, rows from the top, no quiet zone.
    pub(in super::super) fn modules(kind: CodeKind, text: &str) -> Vec<Vec<bool>> {
        let hints = EncodeHints {
            Margin: Some("0".to_owned()),
            DataMatrixShape: Some(SymbolShapeHint::FORCE_SQUARE),
            ErrorCorrection: (kind == CodeKind::Qr).then(|| "M".to_owned()),
            ..EncodeHints::default()
        };
        let bits = match kind {
            CodeKind::Qr => {
                QRCodeWriter.encode_with_hints(text, &BarcodeFormat::QR_CODE, 0, 0, &hints)
            }
            CodeKind::DataMatrix => {
                DataMatrixWriter.encode_with_hints(text, &BarcodeFormat::DATA_MATRIX, 0, 0, &hints)
            }
        }
        .unwrap();
        (0..bits.height())
            .map(|y| (0..bits.width()).map(|x| bits.get(x, y)).collect())
            .collect()
    }

    fn drawn(kind: CodeKind, text: &str) -> GrayImage {
        picture(&modules(kind, text))
    }

    /// Five pixels a module, with a quiet zone of four modules.
    fn picture(modules: &[Vec<bool>]) -> GrayImage {
        let side = modules.len() as u32;
        GrayImage::from_fn(5 * (side + 8), 5 * (side + 8), |x, y| {
            let at = |v: u32| (v / 5).checked_sub(4).filter(|v| *v < side);
            let dark = at(x)
                .zip(at(y))
                .is_some_and(|(u, v)| modules[v as usize][u as usize]);
            image::Luma([if dark { 30 } else { 220 }])
        })
    }

    #[test]
    fn any_text_comes_out_as_it_went_in() {
        let hostile = [
            "\u{1b}[2J\u{1b}]0;owned\u{7}",
            "<script>alert(1)</script>",
            "'; DROP TABLE plates; --",
            "=cmd|' /C calc'!A0",
            "S/N 4711\nII 2 G Ex db IIC T6 Gb",
        ];
        for kind in [CodeKind::Qr, CodeKind::DataMatrix] {
            for text in hostile {
                let Some(Seen::Read {
                    kind: as_kind,
                    text: says,
                    ..
                }) = decode(&drawn(kind, text))
                else {
                    panic!("{kind:?} {text:?}");
                };
                assert_eq!((as_kind, says.as_str()), (kind, text));
            }
        }
    }

    /// The modules with those turned over for which `is_other` holds.
    fn changed(
        mut modules: Vec<Vec<bool>>,
        is_other: impl Fn(usize, usize) -> bool,
    ) -> Vec<Vec<bool>> {
        for (y, row) in modules.iter_mut().enumerate() {
            for (x, module) in row.iter_mut().enumerate() {
                *module ^= is_other(x, y);
            }
        }
        modules
    }

    const LONG: &str = "https://id.corrieburn.example/?sn=CB-4711";

    #[test]
    fn a_code_whose_content_is_gone_is_still_a_code() {
        for kind in [CodeKind::Qr, CodeKind::DataMatrix] {
            let whole = modules(kind, LONG);
            let side = whole.len();
            // Half of the modules inside are wrong: no error correction mends that.
            let frame = if kind == CodeKind::Qr { 9 } else { 1 };
            let inside = frame..side - frame;
            let content = changed(whole, |x, y| {
                inside.contains(&x) && inside.contains(&y) && (x + y).is_multiple_of(2)
            });
            for inverted in [false, true] {
                let mut picture = picture(&content);
                if inverted {
                    image::imageops::invert(&mut picture);
                }
                let Some(Seen::Unread { corners }) = decode(&picture) else {
                    panic!("{kind:?} inverted: {inverted}");
                };
                let (near, far) = (20.0, 20.0 + 5.0 * side as f32);
                let expected = [[near, near], [far, near], [far, far], [near, far]];
                for (corner, expected) in corners.iter().zip(expected) {
                    assert!(
                        crate::geometry::distance(*corner, expected) < 6.0,
                        "{corners:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_square_without_the_frame_of_a_code_is_none() {
        for kind in [CodeKind::Qr, CodeKind::DataMatrix] {
            // A third of all modules is wrong, those of the frame as well.
            let broken = changed(modules(kind, LONG), |x, y| (7 * x + 5 * y) % 3 == 0);
            assert_eq!(decode(&picture(&broken)), None, "{kind:?}");
        }
        let checkered = vec![vec![false; 24]; 24];
        let checkered = changed(checkered, |x, y| (x + y).is_multiple_of(2));
        assert_eq!(decode(&picture(&checkered)), None);
        let framed = changed(vec![vec![false; 24]; 24], |x, y| {
            x.min(y).min(23 - x).min(23 - y).is_multiple_of(3)
        });
        assert_eq!(decode(&picture(&framed)), None);
    }

    #[test]
    fn corners_are_ordered_clockwise() {
        let expected = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
        let mixed = [expected[2], expected[0], expected[1], expected[3]];
        assert_eq!(clockwise(&mixed), Some(expected));
        assert_eq!(clockwise(&[[0.0, 0.0]]), None);
        assert_eq!(clockwise(&[[f32::NAN, 0.0]; 4]), None);
    }

    #[test]
    fn noise_of_any_size_neither_panics_nor_says_anything() {
        let mut state = 7_u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            state >> 24
        };
        for round in 0..60 {
            let (width, height) = (1 + next() % 90, 1 + next() % 90);
            // Coarse and fine, bright and dark.
            let block = 1 + round % 5;
            let tones: Vec<u8> = (0..90 * 90).map(|_| next() as u8).collect();
            let picture = GrayImage::from_fn(width, height, |x, y| {
                image::Luma([tones[(y / block * 90 + x / block) as usize]])
            });
            assert!(decode(&picture).is_none());
        }
    }
}
