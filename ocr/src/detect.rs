//! View → places of text.

use image::RgbImage;
use imageproc::point::Point as PixelPoint;

use crate::error::OcrError;
use crate::geometry::{Point, Quad, grown, least_rectangle, length, thickness};
use crate::model::{Model, Planes};

/// Mean and spread per plane with which the detector was trained, in the order of
/// its planes (PP-OCR applies the figures of `ImageNet` to blue, green, red as they come).
const MEAN: [f32; 3] = [0.485, 0.456, 0.406];
const STD: [f32; 3] = [0.229, 0.224, 0.225];

/// A pixel belongs to text from this probability on. 0.3 is PP-OCR's figure.
const TEXT_PIXEL: f32 = 0.3;
/// Places whose mean probability is lower are texture. PP-OCR takes 0.5 to 0.6;
/// faint stamping needs less, and what is no text reads with low confidence.
const TEXT_PLACE: f32 = 0.45;
/// The detector marks the core of each line; this restores the full letters.
/// PP-OCR takes 1.5 to 1.6.
const UNCLIP: f32 = 1.6;
/// Cores thinner than this many pixels are specks.
const THINNEST: f32 = 2.0;

/// A place that looks like a line of text.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Place {
    /// Corners in the view's pixels.
    pub(crate) quad: Quad,
    /// Mean probability of text.
    #[cfg_attr(not(test), expect(dead_code, reason = "for tests and for eyes"))]
    pub(crate) score: f32,
}

/// The places of text in `view`, whose sides are multiples of 32, topmost first.
pub(crate) fn places(detector: &dyn Model, view: &RgbImage) -> Result<Vec<Place>, OcrError> {
    let (width, height) = (view.width() as usize, view.height() as usize);
    let area = width * height;
    let mut data = vec![0.0; 3 * area];
    for (i, pixel) in view.pixels().enumerate() {
        for plane in 0..3 {
            data[plane * area + i] =
                (f32::from(pixel.0[2 - plane]) / 255.0 - MEAN[plane]) / STD[plane];
        }
    }
    let output = detector.run(Planes {
        height,
        width,
        data,
    })?;
    if output.data.len() != area {
        return Err(OcrError::model(
            "detector",
            &format!("output shape {:?}", output.shape),
        ));
    }
    Ok(regions(&output.data, width, height))
}

/// Turns a probability map into places.
pub(crate) fn regions(map: &[f32], width: usize, height: usize) -> Vec<Place> {
    let mut seen = vec![false; map.len()];
    let mut found = Vec::new();
    let mut todo = Vec::new();
    let mut edge: Vec<PixelPoint<i32>> = Vec::new();
    for start in 0..map.len() {
        if seen[start] || map[start] <= TEXT_PIXEL {
            continue;
        }
        edge.clear();
        todo.push(start);
        seen[start] = true;
        let (mut count, mut sum) = (0.0_f32, 0.0_f32);
        while let Some(i) = todo.pop() {
            let (x, y) = (i % width, i / width);
            count += 1.0;
            sum += map[i];
            let mut inner = 0;
            for (nx, ny) in neighbours(x, y, width, height) {
                let n = ny * width + nx;
                if map[n] > TEXT_PIXEL {
                    inner += 1;
                    if !seen[n] {
                        seen[n] = true;
                        todo.push(n);
                    }
                }
            }
            if inner < 8 {
                // The four corners of the pixel, so that a core one pixel thin has a thickness.
                for (dx, dy) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
                    edge.push(PixelPoint::new(x as i32 + dx, y as i32 + dy));
                }
            }
        }
        let score = sum / count;
        if score < TEXT_PLACE {
            continue;
        }
        let hull: Vec<Point> = imageproc::geometry::convex_hull(edge.as_slice())
            .iter()
            .map(|p| [p.x as f32, p.y as f32])
            .collect();
        let core = least_rectangle(&hull);
        let (l, t) = (length(&core), thickness(&core));
        if l.min(t) < THINNEST {
            continue;
        }
        let quad = grown(&core, l * t * UNCLIP / (2.0 * (l + t)));
        found.push(Place { quad, score });
    }
    found
}

/// The up to eight pixels around `(x, y)`.
fn neighbours(
    x: usize,
    y: usize,
    width: usize,
    height: usize,
) -> impl Iterator<Item = (usize, usize)> {
    let xs = x.saturating_sub(1)..=(x + 1).min(width - 1);
    let ys = y.saturating_sub(1)..=(y + 1).min(height - 1);
    ys.flat_map(move |ny| xs.clone().map(move |nx| (nx, ny)))
        .filter(move |&n| n != (x, y))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{angle, centre};

    /// A map with a bar of text around `(x, y)`, turned by `turn`.
    fn map(x: f32, y: f32, long: f32, thick: f32, turn: f32, p: f32) -> Vec<f32> {
        let (s, c) = turn.sin_cos();
        (0..200 * 160)
            .map(|i| {
                let (dx, dy) = ((i % 200) as f32 + 0.5 - x, (i / 200) as f32 + 0.5 - y);
                let inside =
                    (dx * c + dy * s).abs() < long / 2.0 && (dy * c - dx * s).abs() < thick / 2.0;
                if inside { p } else { 0.01 }
            })
            .collect()
    }

    #[test]
    fn bars_are_found_at_any_angle() {
        for turn in [0.0, 0.2, -0.5, 1.2, 1.55] {
            let found = regions(&map(100.0, 80.0, 90.0, 12.0, turn, 0.9), 200, 160);
            assert_eq!(found.len(), 1, "turn {turn}");
            let q = &found[0].quad;
            let [x, y] = centre(q);
            assert!(
                (x - 100.0).abs() < 1.5 && (y - 80.0).abs() < 1.5,
                "turn {turn}: {q:?}"
            );
            assert!((angle(q) - turn).abs() < 0.05, "turn {turn}: {}", angle(q));
            // 90 × 12 grown by 90 · 12 · 1.6 / (2 · 102) = 8.5 on each side.
            assert!(
                (length(q) - 107.0).abs() < 4.0 && (thickness(q) - 29.0).abs() < 4.0,
                "{q:?}"
            );
            assert!((found[0].score - 0.9).abs() < 0.01);
        }
    }

    #[test]
    fn specks_and_texture_are_left_out() {
        assert!(regions(&map(100.0, 80.0, 90.0, 12.0, 0.0, 0.4), 200, 160).is_empty());
        assert!(regions(&map(100.0, 80.0, 30.0, 1.0, 0.0, 0.9), 200, 160).is_empty());
        assert!(regions(&[0.0; 200], 20, 10).is_empty());
    }

    #[test]
    fn touching_corners_are_one_place() {
        let mut map = vec![0.0; 30 * 30];
        for (x, y) in (0..8).flat_map(|y| (0..8).map(move |x| (x, y))) {
            map[(y + 2) * 30 + x + 2] = 0.9;
            map[(y + 10) * 30 + x + 10] = 0.9;
        }
        assert_eq!(regions(&map, 30, 30).len(), 1);
    }
}
