//! Which lines stand on one plate.
//!
//! Between two plates lies what they are mounted on: along every way from a line of one to a line of
//! the other the surface is, for longer than a ruled line is thick, neither that of the one nor that
//! of the other. Two columns of one plate are no further apart in surface than its own letters are.

use crate::geometry::{Frame, Lie, Point, Quad, bounds, thickness};
use crate::sample::Pyramid;

/// Fewer lines are no plate of their own: a logo, a label, a line of text behind.
const LEAST_LINES: usize = 3;
/// Plates are at least this many line heights apart.
const APART: f32 = 1.0;
/// So many line heights of foreign surface between two lines part them.
const FOREIGN: f32 = 0.8;
/// Steps of 255 by which a surface is another one.
const OTHER: f32 = 28.0;
/// Lines further apart than this many of their heights are not compared: they belong together where
/// others lead from one to the other.
const FAR: f32 = 14.0;

/// The lines of each plate as indices into `quads`; all lines on one where there is no telling.
pub(crate) fn apart(pyramid: &Pyramid, quads: &[Quad], lie: Lie) -> Vec<Vec<usize>> {
    let one = || vec![(0..quads.len()).collect::<Vec<usize>>()];
    if quads.len() < 2 * LEAST_LINES {
        return one();
    }
    let frame = Frame::new([0.0, 0.0], lie, 1.0);
    let boxes: Vec<[f32; 4]> = quads
        .iter()
        .map(|q| bounds(&q.map(|p| frame.onto_frame(p))))
        .collect();
    let heights: Vec<f32> = quads.iter().map(thickness).collect();
    let mut plate: Vec<usize> = (0..quads.len()).collect();
    for a in 0..quads.len() {
        for b in a + 1..quads.len() {
            if plate[a] == plate[b] {
                continue;
            }
            let height = heights[a].min(heights[b]);
            let Some(way) = way(&boxes[a], &boxes[b]) else {
                join(&mut plate, a, b);
                continue;
            };
            let long = (way[1][0] - way[0][0]).hypot(way[1][1] - way[0][1]);
            if long > FAR * height {
                continue;
            }
            let way = way.map(|p| frame.to_picture(p));
            if long < APART * height || !is_parted(pyramid, way, height) {
                join(&mut plate, a, b);
            }
        }
    }
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (line, name) in plate.iter().enumerate() {
        match groups.iter_mut().find(|g| plate[g[0]] == *name) {
            Some(group) => group.push(line),
            None => groups.push(vec![line]),
        }
    }
    let whole = |group: &Vec<usize>| group.len() >= LEAST_LINES;
    if groups.iter().filter(|g| whole(g)).count() < 2 {
        return one();
    }
    let around = |group: &[usize]| -> [f32; 4] {
        group.iter().map(|&i| boxes[i]).fold(
            [
                f32::INFINITY,
                f32::INFINITY,
                f32::NEG_INFINITY,
                f32::NEG_INFINITY,
            ],
            |a, b| {
                [
                    a[0].min(b[0]),
                    a[1].min(b[1]),
                    a[2].max(b[2]),
                    a[3].max(b[3]),
                ]
            },
        )
    };
    // What is too small for a plate belongs to the nearest one.
    let (mut plates, rest): (Vec<_>, Vec<_>) = groups.into_iter().partition(whole);
    let outlines: Vec<[f32; 4]> = plates.iter().map(|p| around(p)).collect();
    for (i, a) in outlines.iter().enumerate() {
        if outlines[i + 1..].iter().any(|b| way(a, b).is_none()) {
            // One within the other: a frame, or a surface that was misjudged.
            return one();
        }
    }
    for line in rest.into_iter().flatten() {
        let far = |k: &usize| -> f32 {
            way(&outlines[*k], &boxes[line])
                .map_or(0.0, |w| (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]))
        };
        let nearest = (0..plates.len()).min_by(|a, b| far(a).total_cmp(&far(b)));
        if let Some(nearest) = nearest {
            plates[nearest].push(line);
        }
    }
    plates
}

fn join(plate: &mut [usize], a: usize, b: usize) {
    let (from, to) = (plate[b], plate[a]);
    for name in plate {
        if *name == from {
            *name = to;
        }
    }
}

/// The shortest way from one box to another; none where they overlap.
fn way(a: &[f32; 4], b: &[f32; 4]) -> Option<[Point; 2]> {
    let axis = |low: usize| -> (f32, f32) {
        let high = low + 2;
        if a[high] < b[low] {
            (a[high], b[low])
        } else if b[high] < a[low] {
            (a[low], b[high])
        } else {
            let middle = f32::midpoint(a[low].max(b[low]), a[high].min(b[high]));
            (middle, middle)
        }
    };
    let ((x0, x1), (y0, y1)) = (axis(0), axis(1));
    let touching = (x1 - x0).abs() < f32::EPSILON && (y1 - y0).abs() < f32::EPSILON;
    (!touching).then_some([[x0, y0], [x1, y1]])
}

/// True where the way leads over a surface that is that of neither of its ends.
fn is_parted(pyramid: &Pyramid, way: [Point; 2], height: f32) -> bool {
    let long = (way[1][0] - way[0][0]).hypot(way[1][1] - way[0][1]);
    let step = 0.2 * height;
    let count = (long / step).ceil().max(1.0) as usize;
    let surface = |k: usize| {
        let t = k as f32 / count as f32;
        let at = |axis: usize| way[0][axis] * (1.0 - t) + way[1][axis] * t;
        pyramid.surface([at(0), at(1)], 0.3 * height)
    };
    let ends = [surface(0), surface(count)];
    let foreign = (1..count)
        .map(surface)
        .filter(|c| {
            ends.iter()
                .all(|end| (0..3).any(|i| (end[i] - c[i]).abs() > OTHER))
        })
        .count();
    foreign as f32 * step >= FOREIGN * height
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{Rgb, RgbImage};

    const PLATE: Rgb<u8> = Rgb([200, 200, 205]);
    const WALL: Rgb<u8> = Rgb([70, 90, 60]);

    fn line(x: f32, y: f32) -> Quad {
        [[x, y], [x + 160.0, y], [x + 160.0, y + 20.0], [x, y + 20.0]]
    }

    fn fill(picture: &mut RgbImage, [x0, y0, x1, y1]: [u32; 4], colour: Rgb<u8>) {
        for (x, y) in (y0..y1).flat_map(|y| (x0..x1).map(move |x| (x, y))) {
            picture.put_pixel(x, y, colour);
        }
    }

    /// Two columns of four lines each.
    fn columns() -> Vec<Quad> {
        (0..8)
            .map(|i| line(40.0 + 240.0 * (i / 4) as f32, 40.0 + 36.0 * (i % 4) as f32))
            .collect()
    }

    #[test]
    fn two_plates_on_a_wall_are_two() {
        let mut picture = RgbImage::from_pixel(520, 240, WALL);
        fill(&mut picture, [25, 25, 220, 200], PLATE);
        fill(&mut picture, [260, 25, 460, 200], PLATE);
        let found = apart(&Pyramid::new(&picture), &columns(), Lie::default());
        assert_eq!(found, [vec![0, 1, 2, 3], vec![4, 5, 6, 7]]);
    }

    #[test]
    fn two_columns_of_one_plate_are_one_ruled_or_not() {
        let mut picture = RgbImage::from_pixel(520, 240, PLATE);
        let pyramid = Pyramid::new(&picture);
        assert_eq!(apart(&pyramid, &columns(), Lie::default()).len(), 1);
        fill(&mut picture, [238, 0, 241, 240], Rgb([20; 3]));
        let pyramid = Pyramid::new(&picture);
        assert_eq!(apart(&pyramid, &columns(), Lie::default()).len(), 1);
    }

    #[test]
    fn a_label_of_two_lines_is_no_plate() {
        let mut picture = RgbImage::from_pixel(520, 240, WALL);
        fill(&mut picture, [25, 25, 220, 200], PLATE);
        fill(&mut picture, [260, 25, 460, 200], PLATE);
        let quads: Vec<Quad> = columns().into_iter().take(6).collect();
        assert_eq!(
            apart(&Pyramid::new(&picture), &quads, Lie::default()).len(),
            1
        );
    }
}
