//! Lines that begin in one column.

use crate::geometry::{Point, Quad, angle, middle, thickness};
use crate::line::TextLine;

/// Lines within this many heights of a line may be of its column.
const COLUMN: f32 = 8.0;
/// Starts within this many heights of a line are flush: first letters differ in width by as much.
const FLUSH: f32 = 0.45;

/// Where the first letter of a line stands.
pub(super) fn start_of(line: &TextLine) -> Point {
    let first = line
        .glyphs
        .iter()
        .find(|g| g.ch != ' ')
        .map_or(0.0, |g| g.x);
    let q = &line.quad;
    let (left, right) = (middle(q[0], q[3]), middle(q[1], q[2]));
    [0, 1].map(|axis| left[axis] * (1.0 - first) + right[axis] * first)
}

/// True where a line begins in one column with the lines beside it: then nothing is missing at its
/// start, and what lies there is a fastener or the plate's edge.
pub(super) fn is_flush(index: usize, quad: &Quad, starts: &[Point]) -> bool {
    let height = thickness(quad).max(1.0);
    let (sin, cos) = angle(quad).sin_cos();
    let own = starts[index];
    // Along the line and downwards from its start, in heights of the line.
    let mut others: Vec<[f32; 2]> = starts
        .iter()
        .enumerate()
        .filter(|(i, _)| *i != index)
        .map(|(_, p)| [(p[0] - own[0]) / height, (p[1] - own[1]) / height])
        .map(|[x, y]| [x * cos + y * sin, y * cos - x * sin])
        .filter(|[u, v]| u.abs() < COLUMN && v.abs() > 0.5 && v.abs() < COLUMN)
        .collect();
    others.sort_by(|a, b| a[1].abs().total_cmp(&b[1].abs()));
    let side = |sign: f32| others.iter().filter(move |o| o[1] * sign > 0.0);
    let (above, below): (Vec<_>, Vec<_>) = (side(-1.0).collect(), side(1.0).collect());
    let pairs = [
        (above.first(), below.first()),
        (above.first(), above.get(1)),
        (below.first(), below.get(1)),
    ];
    pairs.into_iter().any(|(a, b)| match (a, b) {
        (Some([u, v]), Some([s, t])) if (v - t).abs() > 0.5 => {
            // The column's place at the height of this line.
            (u - v * (s - u) / (t - v)).abs() < FLUSH
        }
        _ => false,
    })
}
