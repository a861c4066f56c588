//! Where a code may be: a compact place full of edges in both directions that is no text.

use image::GrayImage;

use crate::geometry::{Quad, bounds, contains};

/// Side of a cell in pixels: less than the eighth of the smallest code that is looked for.
const CELL: usize = 6;
/// Mean step of 255 between neighbouring pixels, along and across, from which a cell is busy. A
/// code whose modules are one and a half pixels and whose contrast is a quarter of the range has
/// about ten.
const BUSY: f32 = 7.0;
/// Cells that a code has at least on each side.
const LEAST: usize = 4;
/// The longer side is at most this many times the shorter one; Data Matrix has oblong forms.
const OBLONG: f32 = 3.0;
/// Share of its bounds that a code fills at least: one that stands on its corner fills half.
const FILLED: f32 = 0.4;
/// A place that covers more than this share of the view is texture.
const TEXTURE: f32 = 0.4;

/// Bounds `[x0, y0, x1, y1]` of the places, the likeliest first. Places in `text` are none.
pub(super) fn suspects(view: &GrayImage, text: &[Quad]) -> Vec<[f32; 4]> {
    let (width, height) = (view.width() as usize / CELL, view.height() as usize / CELL);
    if width < LEAST || height < LEAST {
        return Vec::new();
    }
    let busy = busyness(view, width, height);
    let mut marked: Vec<bool> = busy.iter().map(|b| *b >= BUSY).collect();
    for quad in text {
        clear(&mut marked, width, height, quad);
    }
    let marked = cleaned(&marked, width, height);
    let mut found = Vec::new();
    for place in regions(&marked, width, height) {
        let [x0, y0, x1, y1] = place.bounds;
        let (w, h) = (x1 - x0, y1 - y0);
        let (long, short) = (w.max(h) as f32, w.min(h) as f32);
        let filled = place.cells.len() as f32 / (w * h) as f32;
        let whole = (w * h) as f32 > TEXTURE * (width * height) as f32;
        if w.min(h) < LEAST || long > OBLONG * short || filled < FILLED || whole {
            continue;
        }
        let strength: f32 = place.cells.iter().map(|&i| busy[i]).sum();
        let weight = strength * filled * short / long;
        found.push((weight, [x0, y0, x1, y1].map(|v| (v * CELL) as f32)));
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.into_iter().map(|f| f.1).collect()
}

/// For each cell the lesser of the mean steps along and across, over the nine cells around it: a
/// module may be larger than a cell, and then most cells have edges in one direction only.
fn busyness(view: &GrayImage, width: usize, height: usize) -> Vec<f32> {
    let stride = view.width() as usize;
    let tones = view.as_raw();
    let mut steps = Vec::with_capacity(width * height);
    for row in 0..height {
        for column in 0..width {
            let mut sums = [0_u32; 2];
            for y in row * CELL..(row + 1) * CELL {
                for x in column * CELL..(column + 1) * CELL {
                    let here = tones[y * stride + x];
                    let left = tones[y * stride + x.saturating_sub(1)];
                    let upper = tones[y.saturating_sub(1) * stride + x];
                    sums[0] += u32::from(here.abs_diff(left));
                    sums[1] += u32::from(here.abs_diff(upper));
                }
            }
            steps.push(sums.map(|sum| sum as f32 / (CELL * CELL) as f32));
        }
    }
    (0..width * height)
        .map(|i| {
            let (mut along, mut across, mut count) = (0.0, 0.0, 0.0);
            for j in around(i, width, height) {
                along += steps[j][0];
                across += steps[j][1];
                count += 1.0;
            }
            along.min(across) / count
        })
        .collect()
}

/// The up to nine cells around and with cell `i`.
fn around(i: usize, width: usize, height: usize) -> impl Iterator<Item = usize> {
    let (x, y) = (i % width, i / width);
    let columns = x.saturating_sub(1)..(x + 2).min(width);
    (y.saturating_sub(1)..(y + 2).min(height))
        .flat_map(move |row| columns.clone().map(move |column| row * width + column))
}

/// Takes the cells away whose middle lies in `quad`.
fn clear(marked: &mut [bool], width: usize, height: usize, quad: &Quad) {
    let [x0, y0, x1, y1] = bounds(quad);
    let cell = |v: f32| (v / CELL as f32).max(0.0) as usize;
    for row in cell(y0)..(cell(y1) + 1).min(height) {
        for column in cell(x0)..(cell(x1) + 1).min(width) {
            let middle = |v: usize| (v * CELL + CELL / 2) as f32;
            if contains(quad, [middle(column), middle(row)]) {
                marked[row * width + column] = false;
            }
        }
    }
}

/// A cell is as most of the nine cells around it are: single ones and thin bridges go, small holes
/// are filled.
fn cleaned(marked: &[bool], width: usize, height: usize) -> Vec<bool> {
    (0..marked.len())
        .map(|i| around(i, width, height).filter(|&j| marked[j]).count() >= 5)
        .collect()
}

struct Region {
    cells: Vec<usize>,
    /// In cells, the ends excluded.
    bounds: [usize; 4],
}

fn regions(marked: &[bool], width: usize, height: usize) -> Vec<Region> {
    let mut seen = vec![false; marked.len()];
    let mut all = Vec::new();
    for start in 0..marked.len() {
        if seen[start] || !marked[start] {
            continue;
        }
        seen[start] = true;
        let mut cells = vec![start];
        let mut next = 0;
        let mut bounds = [usize::MAX, usize::MAX, 0, 0];
        while next < cells.len() {
            let (x, y) = (cells[next] % width, cells[next] / width);
            next += 1;
            bounds = [
                bounds[0].min(x),
                bounds[1].min(y),
                bounds[2].max(x + 1),
                bounds[3].max(y + 1),
            ];
            let beside = [
                (x > 0).then(|| y * width + x - 1),
                (x + 1 < width).then(|| y * width + x + 1),
                (y > 0).then(|| (y - 1) * width + x),
                (y + 1 < height).then(|| (y + 1) * width + x),
            ];
            for cell in beside.into_iter().flatten() {
                if marked[cell] && !seen[cell] {
                    seen[cell] = true;
                    cells.push(cell);
                }
            }
        }
        all.push(Region { cells, bounds });
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::Luma;

    /// A plain view with a checkerboard of `module` pixels in a square.
    fn view(place: [u32; 4], module: u32, contrast: u8) -> GrayImage {
        GrayImage::from_fn(600, 400, |x, y| {
            let [x0, y0, x1, y1] = place;
            let inside = x >= x0 && x < x1 && y >= y0 && y < y1;
            let dark = inside && (x / module + y / module).is_multiple_of(2);
            Luma([if dark { 180 - contrast } else { 180 }])
        })
    }

    #[test]
    fn a_checkered_square_is_suspected_and_text_is_not() {
        let place = [120, 90, 210, 180];
        let found = suspects(&view(place, 3, 90), &[]);
        assert_eq!(found.len(), 1);
        for (found, expected) in found[0].into_iter().zip(place) {
            assert!(
                (found - expected as f32).abs() <= 12.0,
                "{found} {expected}"
            );
        }
        let [x0, y0, x1, y1] = place.map(|v| v as f32);
        let text = [
            [x0 - 9.0, y0 - 9.0],
            [x1 + 9.0, y0 - 9.0],
            [x1 + 9.0, y1 + 9.0],
            [x0 - 9.0, y1 + 9.0],
        ];
        assert!(suspects(&view(place, 3, 90), &[text]).is_empty());
    }

    #[test]
    fn lines_stripes_and_plain_surfaces_are_none() {
        assert!(suspects(&view([0, 0, 0, 0], 3, 90), &[]).is_empty());
        // A line of text is too long.
        assert!(suspects(&view([60, 90, 400, 120], 3, 90), &[]).is_empty());
        let stripes = GrayImage::from_fn(600, 400, |x, _| Luma([if x % 6 < 3 { 60 } else { 190 }]));
        assert!(suspects(&stripes, &[]).is_empty());
        assert!(suspects(&GrayImage::new(3, 3), &[]).is_empty());
    }
}
