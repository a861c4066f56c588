//! How a picture looks, in 64 bits: copies that were scaled or saved again look the same.

/// Bits in which two copies of one picture may differ. Splitting the 64 bits in four, copies
/// within this distance share one quarter at least, by which they are found.
pub const LOOK_DISTANCE: u32 = 3;

/// Columns and rows of the grid; each row of nine gives eight comparisons.
const GRID: (usize, usize) = (9, 8);

/// The look of an upright picture of 8-bit RGB pixels: whether each cell of a grid of 9 by 8 is
/// brighter than its right neighbour (a difference hash).
///
/// None for a picture that is too small to have one, or whose bytes are too few.
pub fn look(pixels: &[u8], width: u32, height: u32) -> Option<u64> {
    let (width, height) = (width as usize, height as usize);
    if width < GRID.0 || height < GRID.1 || pixels.len() < width * height * 3 {
        return None;
    }
    let mut cells = [[0u64; GRID.0]; GRID.1];
    for (row, line) in cells.iter_mut().enumerate() {
        let (top, bottom) = (row * height / GRID.1, (row + 1) * height / GRID.1);
        for (column, cell) in line.iter_mut().enumerate() {
            let (left, right) = (column * width / GRID.0, (column + 1) * width / GRID.0);
            let mut sum = 0u64;
            for y in top..bottom {
                let start = (y * width + left) * 3;
                let end = (y * width + right) * 3;
                // The sum of the three colours is brightness enough for a comparison.
                sum += pixels[start..end]
                    .iter()
                    .map(|v| u64::from(*v))
                    .sum::<u64>();
            }
            *cell = sum * 16 / ((bottom - top) * (right - left)) as u64;
        }
    }
    let mut bits = 0;
    for line in &cells {
        for pair in line.windows(2) {
            bits = bits << 1 | u64::from(pair[0] > pair[1]);
        }
    }
    Some(bits)
}

/// In how many bits two looks differ.
pub fn look_distance(a: u64, b: u64) -> u32 {
    (a ^ b).count_ones()
}

/// The four quarters by which close looks are found.
pub(super) fn quarters(look: u64) -> [i64; 4] {
    [0, 16, 32, 48].map(|shift| (look >> shift & 0xffff) as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Waves that differ from place to place.
    fn picture(width: u32, height: u32, seed: f64) -> Vec<u8> {
        let mut pixels = Vec::new();
        for y in 0..height {
            for x in 0..width {
                let (u, v) = (
                    f64::from(x) / f64::from(width),
                    f64::from(y) / f64::from(height),
                );
                let value = (u * (7.0 + seed)).sin() * (v * (5.0 + 2.0 * seed)).cos();
                let byte = (127.0 + 120.0 * value) as u8;
                pixels.extend([byte, byte / 2, byte]);
            }
        }
        pixels
    }

    #[test]
    fn a_scaled_copy_looks_the_same_and_another_picture_does_not() {
        let big = look(&picture(640, 480, 1.0), 640, 480).unwrap();
        let small = look(&picture(200, 150, 1.0), 200, 150).unwrap();
        let other = look(&picture(640, 480, 4.0), 640, 480).unwrap();
        assert!(
            look_distance(big, small) <= LOOK_DISTANCE,
            "{big:x} {small:x}"
        );
        assert!(look_distance(big, other) > 3 * LOOK_DISTANCE);
    }

    #[test]
    fn what_is_too_small_or_cut_has_no_look() {
        assert_eq!(look(&[0; 8 * 8 * 3], 8, 8), None);
        assert_eq!(look(&[0; 10], 100, 100), None);
    }

    #[test]
    fn close_looks_share_a_quarter() {
        let a = 0x0123_4567_89ab_cdef;
        for bits in [(0, 16, 32), (1, 2, 63), (15, 31, 47)] {
            let b = a ^ 1u64 << bits.0 ^ 1u64 << bits.1 ^ 1u64 << bits.2;
            let shared = quarters(a).iter().zip(quarters(b)).any(|(x, y)| *x == y);
            assert!(shared);
        }
    }
}
