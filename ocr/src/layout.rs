//! How lines lie on the plate: its turn and lean, pieces of one line, reading order.

use crate::geometry::{Frame, Lie, Quad, angle, bounds, centre, length, middle, thickness};
use crate::order;

/// Columns that lean more are no columns but chance. A plate seen from 30° aside and
/// turned by 20° leans by about 0.35.
const STEEPEST: f32 = 0.7;
/// Ends within this slope of each other belong to one column.
const SAME_SLOPE: f32 = 0.025;
/// Share of all pairs of lines that must agree on a lean; by chance a fifth do.
const AGREEING: f32 = 0.3;
/// Pieces of one line are no further apart than this share of their height: less than
/// the gap between a caption and its value, more than a blank in widely set text.
const GAP: f32 = 0.8;

/// How the plate lies, from lines that read near the angle `turn`.
pub(crate) fn lie(quads: &[Quad], turn: f32) -> Lie {
    let turn = middle_angle(quads, turn);
    let straight = Frame::new([0.0, 0.0], Lie { turn, lean: 0.0 }, 1.0);
    let standing = stand(quads, straight);
    Lie {
        turn,
        lean: lean(&standing),
    }
}

/// The lines in reading order, with the pieces of each joined, but for what `is_parted`.
pub(crate) fn ordered(quads: &[Quad], lie: Lie, is_parted: impl Fn(&Quad) -> bool) -> Vec<Quad> {
    let frame = Frame::new([0.0, 0.0], lie, 1.0);
    let mut standing = stand(quads, frame);
    standing = (0..standing.len())
        .filter(|&i| !nested(&standing, i))
        .map(|i| standing[i])
        .collect();
    let may_join = |joined: &Quad| !is_parted(&joined.map(|p| frame.to_picture(p)));
    while let Some((a, b, joined)) = pieces(&standing, &may_join) {
        standing[a] = joined;
        standing.remove(b);
    }
    order::rows(&standing)
        .into_iter()
        .flatten()
        .map(|i| standing[i].map(|p| frame.to_picture(p)))
        .collect()
}

/// Whether a place lies in the middle of a larger one: a speck, read with it anyway.
fn nested(standing: &[Quad], i: usize) -> bool {
    let [x0, y0, x1, y1] = bounds(&standing[i]);
    let (x, y) = (f32::midpoint(x0, x1), f32::midpoint(y0, y1));
    standing.iter().enumerate().any(|(j, other)| {
        let [left, top, right, bottom] = bounds(other);
        let inside = left < x && x < right && top < y && y < bottom;
        j != i && inside && (x1 - x0) * (y1 - y0) < 0.5 * (right - left) * (bottom - top)
    })
}

fn stand(quads: &[Quad], frame: Frame) -> Vec<Quad> {
    quads
        .iter()
        .map(|q| q.map(|p| frame.onto_frame(p)))
        .collect()
}

/// The weighted median of the lines' angles, near `turn`; long lines weigh more.
fn middle_angle(quads: &[Quad], turn: f32) -> f32 {
    let mut deviations: Vec<(f32, f32)> = quads
        .iter()
        .map(|q| {
            let d = angle(q) - turn;
            (d.sin().atan2(d.cos()), length(q))
        })
        .filter(|(d, _)| d.abs() < 0.8)
        .collect();
    deviations.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half: f32 = deviations.iter().map(|d| d.1).sum::<f32>() / 2.0;
    let mut sum = 0.0;
    for (deviation, weight) in deviations {
        sum += weight;
        if sum >= half {
            return turn + deviation;
        }
    }
    turn
}

/// The slope on which most left ends, middles or right ends of lines stand above each
/// other; 0 when too few agree.
fn lean(standing: &[Quad]) -> f32 {
    let mut best = (AGREEING, 0.0);
    let ends: [fn(&Quad) -> [f32; 2]; 3] = [|q| middle(q[0], q[3]), centre, |q| middle(q[1], q[2])];
    for end in ends {
        let mut slopes = Vec::new();
        let mut pairs = 0.0;
        for (i, a) in standing.iter().enumerate() {
            for b in &standing[i + 1..] {
                let ([ax, ay], [bx, by]) = (end(a), end(b));
                if (ay - by).abs() < 2.0 * thickness(a).min(thickness(b)) {
                    continue;
                }
                pairs += 1.0;
                let slope = (bx - ax) / (by - ay);
                if slope.abs() <= STEEPEST {
                    slopes.push(slope);
                }
            }
        }
        if pairs < 6.0 {
            continue;
        }
        slopes.sort_unstable_by(f32::total_cmp);
        for (i, &from) in slopes.iter().enumerate() {
            let near = slopes[i..].partition_point(|s| *s <= from + 2.0 * SAME_SLOPE);
            let share = near as f32 / pairs;
            if share > best.0 {
                best = (share, slopes[i + near / 2]);
            }
        }
    }
    best.1
}

/// Two places that are pieces of one line, and this line: level, of like height, and hardly apart.
fn pieces(standing: &[Quad], may_join: &impl Fn(&Quad) -> bool) -> Option<(usize, usize, Quad)> {
    for (a, left) in standing.iter().enumerate() {
        for (b, right) in standing.iter().enumerate().skip(a + 1) {
            let (left, right) = if centre(left)[0] <= centre(right)[0] {
                (left, right)
            } else {
                (right, left)
            };
            let (h, k) = (thickness(left), thickness(right));
            let low = h.min(k);
            let like = h.max(k) < 1.4 * low;
            let end = middle(left[1], left[2]);
            let start = middle(right[0], right[3]);
            let gap = start[0] - end[0];
            let beyond = middle(right[1], right[2])[0] > end[0];
            if like
                && beyond
                && gap < GAP * low
                && gap > -1.5 * low
                && (start[1] - end[1]).abs() < 0.3 * low
            {
                let joined = join(left, right);
                if may_join(&joined) {
                    return Some((a, b, joined));
                }
            }
        }
    }
    None
}

/// One quad around two pieces of a line.
fn join(left: &Quad, right: &Quad) -> Quad {
    [left[0], right[1], right[2], left[3]]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(x: f32, y: f32, w: f32) -> Quad {
        [[x, y], [x + w, y], [x + w, y + 20.0], [x, y + 20.0]]
    }

    #[test]
    fn turn_and_lean_of_a_plate_are_found() {
        let lie_of = Lie {
            turn: 0.3,
            lean: 0.2,
        };
        let frame = Frame::new([50.0, 80.0], lie_of, 1.5);
        let quads: Vec<Quad> = [200.0, 150.0, 300.0, 220.0, 90.0]
            .iter()
            .enumerate()
            .map(|(i, w)| line(10.0, 40.0 * i as f32, *w).map(|p| frame.to_picture(p)))
            .collect();
        let found = lie(&quads, 0.0);
        assert!((found.turn - 0.3).abs() < 0.01, "{found:?}");
        assert!((found.lean - 0.2).abs() < 0.02, "{found:?}");
    }

    #[test]
    fn pieces_of_a_line_are_joined_and_columns_are_not() {
        let quads = [
            line(0.0, 0.0, 80.0),
            line(90.0, 1.0, 50.0),
            line(240.0, 0.0, 60.0),
        ];
        let joined = ordered(&quads, Lie::default(), |_| false);
        assert_eq!(joined.len(), 2);
        assert_eq!(ordered(&quads, Lie::default(), |_| true).len(), 3);
        for (quad, expected) in joined
            .iter()
            .zip([[0.0, 0.0, 140.0, 21.0], [240.0, 0.0, 300.0, 20.0]])
        {
            for (found, expected) in bounds(quad).into_iter().zip(expected) {
                assert!((found - expected).abs() < 0.5, "{quad:?}");
            }
        }
    }

    #[test]
    fn a_frame_leads_there_and_back() {
        let frame = Frame::new(
            [7.0, -3.0],
            Lie {
                turn: 2.0,
                lean: -0.4,
            },
            0.7,
        );
        let p = frame.onto_frame(frame.to_picture([12.0, 34.0]));
        assert!(
            (p[0] - 12.0).abs() < 1e-3 && (p[1] - 34.0).abs() < 1e-3,
            "{p:?}"
        );
    }
}
