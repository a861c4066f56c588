//! Rows of letters on a reduced grey picture, found without a model.
//!
//! A letter is a connected stroke that is darker (or brighter) than the mean around it; a row is at
//! least four of them, side by side, about equally high. Texture seldom makes rows.

/// A grey picture.
#[derive(Debug, Clone)]
pub(super) struct Grey {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Brightness row by row, 0 to 255.
    pub(super) tones: Vec<u8>,
}

impl Grey {
    pub(super) fn at(&self, x: usize, y: usize) -> f32 {
        f32::from(self.tones[y * self.width + x])
    }

    /// Rows and columns exchanged.
    fn turned(&self) -> Self {
        let mut tones = Vec::with_capacity(self.tones.len());
        for x in 0..self.width {
            tones.extend((0..self.height).map(|y| self.tones[y * self.width + x]));
        }
        Self {
            width: self.height,
            height: self.width,
            tones,
        }
    }
}

/// Smallest and one past the largest column and row: `[x0, y0, x1, y1]`.
pub(super) type Bounds = [usize; 4];

/// Letters side by side.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    pub(super) bounds: Bounds,
    /// Median height of its letters across the row, in pixels.
    pub(super) letter: f32,
    pub(super) letters: Vec<Bounds>,
}

/// Fewest letters of a row.
const LEAST_LETTERS: usize = 4;
/// Letters are at least this many pixels high on the reduced picture; less is grain.
const LEAST_HEIGHT: usize = 4;
/// The mean is taken over a square of this share of the picture's longer side: some letters wide on a
/// plate that fills the picture, less than the plate.
const AROUND: usize = 28;
/// Steps of 255 by which a stroke differs from the mean around it.
const STROKE: f32 = 9.0;

/// The rows of the picture, both dark and bright letters, lying or standing; those of the direction
/// in which more letters stand.
pub(super) fn rows(grey: &Grey) -> Vec<Row> {
    let lying = both(grey);
    let standing = both(&grey.turned());
    let count = |rows: &[Row]| rows.iter().map(|r| r.letters.len()).sum::<usize>();
    if count(&lying) >= count(&standing) {
        return lying;
    }
    let back = |[x0, y0, x1, y1]: Bounds| [y0, x0, y1, x1];
    standing
        .into_iter()
        .map(|row| Row {
            bounds: back(row.bounds),
            letters: row.letters.into_iter().map(back).collect(),
            ..row
        })
        .collect()
}

fn both(grey: &Grey) -> Vec<Row> {
    let sums = sums(grey);
    let mut found = chained(&letters(grey, &sums, -1.0));
    found.extend(chained(&letters(grey, &sums, 1.0)));
    found
}

/// Sums of all tones above and to the left, one row and column more than the picture.
fn sums(grey: &Grey) -> Vec<u32> {
    let stride = grey.width + 1;
    let mut sums = vec![0_u32; stride * (grey.height + 1)];
    for y in 0..grey.height {
        let mut row = 0;
        for x in 0..grey.width {
            row += u32::from(grey.tones[y * grey.width + x]);
            sums[(y + 1) * stride + x + 1] = sums[y * stride + x + 1] + row;
        }
    }
    sums
}

/// Connected strokes that are brighter (`sign` 1) or darker (-1) than their surroundings and have the
/// shape of a letter, by left edge.
fn letters(grey: &Grey, sums: &[u32], sign: f32) -> Vec<Bounds> {
    let (width, height) = (grey.width, grey.height);
    let reach = (width.max(height) / AROUND).max(4);
    let stride = width + 1;
    let mut stroke = vec![false; width * height];
    for y in 0..height {
        let (top, bottom) = (y.saturating_sub(reach), (y + reach + 1).min(height));
        for x in 0..width {
            let (left, right) = (x.saturating_sub(reach), (x + reach + 1).min(width));
            let sum = sums[bottom * stride + right] + sums[top * stride + left]
                - sums[top * stride + right]
                - sums[bottom * stride + left];
            let mean = sum as f32 / ((bottom - top) * (right - left)) as f32;
            stroke[y * width + x] = sign * (grey.at(x, y) - mean) > STROKE;
        }
    }
    let mut found = Vec::new();
    let mut todo = Vec::new();
    for start in 0..stroke.len() {
        if !stroke[start] {
            continue;
        }
        stroke[start] = false;
        todo.push(start);
        let (mut bounds, mut count) = ([usize::MAX, usize::MAX, 0, 0], 0);
        while let Some(i) = todo.pop() {
            let (x, y) = (i % width, i / width);
            count += 1;
            bounds = [
                bounds[0].min(x),
                bounds[1].min(y),
                bounds[2].max(x + 1),
                bounds[3].max(y + 1),
            ];
            for ny in y.saturating_sub(1)..(y + 2).min(height) {
                for nx in x.saturating_sub(1)..(x + 2).min(width) {
                    let n = ny * width + nx;
                    if stroke[n] {
                        stroke[n] = false;
                        todo.push(n);
                    }
                }
            }
        }
        let (w, h) = (bounds[2] - bounds[0], bounds[3] - bounds[1]);
        let shaped = h >= LEAST_HEIGHT && h <= height / 5 && 2 * w <= 3 * h && 8 * w >= h;
        if shaped && 8 * count >= w * h {
            found.push(bounds);
        }
    }
    found.sort_unstable();
    found
}

/// Puts letters side by side into rows.
fn chained(letters: &[Bounds]) -> Vec<Row> {
    let mut open: Vec<Vec<Bounds>> = Vec::new();
    let mut done: Vec<Vec<Bounds>> = Vec::new();
    for letter in letters {
        let [x, top, _, bottom] = *letter;
        let h = (bottom - top) as f32;
        // What ended too far to the left gets no more letters.
        let mut index = 0;
        while index < open.len() {
            let [_, t, right, b] = open[index][open[index].len() - 1];
            if right as f32 + 3.0 * (b - t) as f32 >= x as f32 {
                index += 1;
            } else {
                done.push(open.swap_remove(index));
            }
        }
        let next = |row: &Vec<Bounds>| {
            let [_, t, right, b] = row[row.len() - 1];
            let other = (b - t) as f32;
            let like = h.max(other) < 1.6 * h.min(other);
            let level = ((top + bottom) as f32 - (t + b) as f32).abs() < 0.7 * h.min(other);
            like && level && (x as f32) < right as f32 + 1.5 * h.max(other) && x + 1 >= right
        };
        match open.iter_mut().find(|row| next(row)) {
            Some(row) => row.push(*letter),
            None => open.push(vec![*letter]),
        }
    }
    done.append(&mut open);
    done.into_iter()
        .filter(|row| row.len() >= LEAST_LETTERS)
        .map(|letters| {
            let mut heights: Vec<usize> = letters.iter().map(|l| l[3] - l[1]).collect();
            heights.sort_unstable();
            let bounds = letters.iter().fold([usize::MAX, usize::MAX, 0, 0], |b, l| {
                [
                    b[0].min(l[0]),
                    b[1].min(l[1]),
                    b[2].max(l[2]),
                    b[3].max(l[3]),
                ]
            });
            Row {
                bounds,
                letter: heights[heights.len() / 2] as f32,
                letters,
            }
        })
        .collect()
}
