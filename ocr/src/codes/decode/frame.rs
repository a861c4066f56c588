//! A code by its frame alone, whatever it says: worn and painted ones still show that they are codes.

use rxing::Point;
use rxing::common::{BitMatrix, DetectorRXingResult};
use rxing::datamatrix::detector::zxing_cpp_detector;
use rxing::qrcode::cpp_port::detector::{FindFinderPatterns, GenerateFinderPatternSets, SampleQR};

/// Share of the modules of each part of a frame that are as they must be. No print but a code has four
/// sides of ten modules and more, two full and two alternating, or three nested squares.
const WHOLE: f32 = 0.9;
/// Modules along a finder pattern of a QR code (ISO/IEC 18004, from memory).
const FINDER: u32 = 7;

/// Triples of finder patterns that are looked at, the likeliest first. It bounds the work.
const SETS: usize = 4;

/// Corners of a code whose frame is whole.
pub(super) fn found(picture: &BitMatrix) -> Option<Vec<Point>> {
    qr(picture).or_else(|| data_matrix(picture))
}

fn qr(picture: &BitMatrix) -> Option<Vec<Point>> {
    // 0: modules of any size.
    let mut patterns = FindFinderPatterns(picture, true, 0);
    let sets = GenerateFinderPatternSets(&mut patterns);
    let sampled = sets
        .iter()
        .take(SETS)
        .filter_map(|set| SampleQR(picture, set).ok());
    let mut whole = sampled.filter(|code| is_qr(code.getBits()));
    whole.next().map(|code| code.getPoints().to_vec())
}

fn data_matrix(picture: &BitMatrix) -> Option<Vec<Point>> {
    let found = zxing_cpp_detector::detect(picture, true, true).ok()?;
    let mut whole = found.iter().filter(|code| is_data_matrix(code.getBits()));
    whole.next().map(|code| code.getPoints().to_vec())
}

/// Finder patterns in three corners, and the timing patterns between them (ISO/IEC 18004, from memory).
fn is_qr(bits: &BitMatrix) -> bool {
    let side = bits.width();
    if bits.height() != side || side < 3 * FINDER {
        return false;
    }
    let far = side - FINDER;
    let finder = (0..FINDER).flat_map(|y| (0..FINDER).map(move |x| (x, y)));
    let finders = [(0, 0), (far, 0), (0, far)].into_iter().all(|(left, top)| {
        is_whole(finder.clone().map(|(x, y)| {
            let from_middle = x.abs_diff(FINDER / 2).max(y.abs_diff(FINDER / 2));
            bits.get(left + x, top + y) == (from_middle != 2)
        }))
    });
    let between = FINDER + 1..far - 1;
    let timing = |dark: &dyn Fn(u32) -> bool| {
        is_whole(between.clone().map(|i| dark(i) == i.is_multiple_of(2)))
    };
    finders && timing(&|x| bits.get(x, FINDER - 1)) && timing(&|y| bits.get(FINDER - 1, y))
}

/// A full side left and below, an alternating one above and right (ISO/IEC 16022, from memory).
fn is_data_matrix(bits: &BitMatrix) -> bool {
    let (right, bottom) = (bits.width() - 1, bits.height() - 1);
    is_whole((0..=bottom).map(|y| bits.get(0, y)))
        && is_whole((0..=right).map(|x| bits.get(x, bottom)))
        && is_whole((0..=right).map(|x| bits.get(x, 0) == x.is_multiple_of(2)))
        && is_whole((0..=bottom).map(|y| bits.get(right, y) == (bottom - y).is_multiple_of(2)))
}

fn is_whole(modules: impl Iterator<Item = bool>) -> bool {
    let (right, all) = modules.fold((0, 0), |(right, all), m| (right + u32::from(m), all + 1));
    all > 0 && right as f32 >= WHOLE * all as f32
}
