//! The part of a photo on which the marking stands.

use crate::facts::Facts;
use image::RgbImage;
use image::imageops::crop_imm;
use serde_json::Value;

/// Share of its height that is kept around the marking: enough to see the neighbours.
const MARGIN: f64 = 0.6;

/// A rectangle of pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PixelBox {
    /// Left edge.
    pub x: u32,
    /// Upper edge.
    pub y: u32,
    /// Width, at least 1.
    pub width: u32,
    /// Height, at least 1.
    pub height: u32,
}

/// The box around the lines with markings or, where none was read, around all lines; none
/// where no line has a place on the photo.
pub fn marking_box(answer: &Value, width: u32, height: u32) -> Option<PixelBox> {
    let facts = Facts::new(answer);
    let wanted = facts.marking_lines();
    let quads = |all: bool| {
        facts
            .lines()
            .enumerate()
            .filter(|(index, _)| all || wanted.contains(index))
            .filter_map(|(_, line)| line.quad)
            .flatten()
            .collect::<Vec<[f64; 2]>>()
    };
    let mut corners = quads(false);
    if corners.is_empty() {
        corners = quads(true);
    }
    if corners.is_empty() || width == 0 || height == 0 {
        return None;
    }
    let end = |axis: usize, pick: fn(f64, f64) -> f64| {
        corners.iter().map(|c| c[axis]).reduce(pick).unwrap_or(0.0)
    };
    let (left, right) = (end(0, f64::min), end(0, f64::max));
    let (top, bottom) = (end(1, f64::min), end(1, f64::max));
    let margin = (bottom - top).max(8.0) * MARGIN;
    let x = (left - margin).clamp(0.0, f64::from(width - 1)) as u32;
    let y = (top - margin).clamp(0.0, f64::from(height - 1)) as u32;
    let to_x = ((right + margin).ceil().clamp(0.0, f64::from(width)) as u32).max(x + 1);
    let to_y = ((bottom + margin).ceil().clamp(0.0, f64::from(height)) as u32).max(y + 1);
    Some(PixelBox {
        x,
        y,
        width: to_x - x,
        height: to_y - y,
    })
}

/// That part of the photo.
pub fn cut(photo: &RgbImage, part: PixelBox) -> RgbImage {
    crop_imm(photo, part.x, part.y, part.width, part.height).to_image()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn answer() -> Value {
        json!({
            "lines": [
                {"text": "maker", "quad": [[0, 0], [90, 0], [90, 9], [0, 9]]},
                {"text": "Ex", "quad": [[20, 50], [60, 52], [60, 62], [20, 60]]}
            ],
            "markings": [{"spans": [{"line": 1}]}]
        })
    }

    #[test]
    fn the_marking_is_in_the_box_with_a_margin() {
        let got = marking_box(&answer(), 100, 80).unwrap();
        assert!(got.x < 20 && got.x + got.width > 60);
        assert!(got.y < 50 && got.y + got.height > 62 && got.y > 9);
    }

    #[test]
    fn boxes_never_leave_the_photo() {
        for (width, height) in [(1, 1), (25, 10), (100, 80)] {
            let got = marking_box(&answer(), width, height).unwrap();
            assert!(got.x + got.width <= width && got.y + got.height <= height);
            let photo = RgbImage::new(width, height);
            assert_eq!(cut(&photo, got).dimensions(), (got.width, got.height));
        }
        let mut wild = answer();
        wild["lines"][1]["quad"] = json!([[-1e9, 5], [1e9, 5], [1e9, 1e9], [-1e9, 9]]);
        let got = marking_box(&wild, 100, 80).unwrap();
        assert_eq!((got.x, got.width), (0, 100));
    }

    #[test]
    fn without_a_marking_all_lines_count_and_without_places_nothing() {
        let mut all = answer();
        all["markings"] = json!([]);
        assert_eq!(marking_box(&all, 100, 80).unwrap().y, 0);
        assert_eq!(marking_box(&json!({}), 100, 80), None);
    }
}
