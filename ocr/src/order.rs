//! Reading order of lines.

use std::borrow::Borrow;

use crate::geometry::{Quad, bounds, centre, thickness};

/// Lines whose middles differ by less than this share of the lower line's height
/// stand in one row.
const SAME_ROW: f32 = 0.5;
/// Caption and value differ in height by less than this factor, but where all captions differ from
/// their values alike; a mark of conformity stands level with some line or other, too.
const LIKE: f32 = 1.6;
/// How exactly they stand level, by their middles or by their feet, in shares of the lower one's height.
const LEVEL: f32 = 0.3;

/// Lines across the plate above and below columns that are looked for.
const HEADINGS: usize = 6;
/// Items that a column beneath a heading has at least.
const FEWEST: usize = 2;
/// Share of its height by which an item may reach over a cut: places have margins.
const CUT: f32 = 0.2;

struct Item {
    index: usize,
    x0: f32,
    x1: f32,
    y: f32,
    height: f32,
}

/// Which of two lines that stand level is the higher one.
#[derive(Clone, Copy, PartialEq)]
enum Level {
    Like,
    First,
    Second,
}

/// The rows of `quads`, which stand upright: indices, each row from left to right.
///
/// A gutter with nothing across it parts columns, left column first, unless the lines
/// on its two sides stand in rows (captions beside their values). Headings and footings across
/// them are rows of their own. Within a column, rows go from top to bottom.
pub(crate) fn rows(quads: &[Quad]) -> Vec<Vec<usize>> {
    let items = quads
        .iter()
        .enumerate()
        .map(|(index, q)| {
            let [x0, _, x1, _] = bounds(q);
            Item {
                index,
                x0,
                x1,
                y: centre(q)[1],
                height: thickness(q),
            }
        })
        .collect();
    let mut out = Vec::new();
    column(items, &mut out);
    out
}

fn column(mut items: Vec<Item>, out: &mut Vec<Vec<usize>>) {
    items.sort_by(|a, b| a.x0.total_cmp(&b.x0).then(a.y.total_cmp(&b.y)));
    if let Some(right) = gutter(&items) {
        let right = items.split_off(right);
        column(items, out);
        column(right, out);
        return;
    }
    items.sort_by(|a, b| a.y.total_cmp(&b.y).then(a.x0.total_cmp(&b.x0)));
    if let Some((from, to)) = beneath_heading(&items) {
        let foot = items.split_off(to);
        let columns = items.split_off(from);
        for part in [items, columns, foot] {
            column(part, out);
        }
        return;
    }
    let mut row: Vec<Item> = Vec::new();
    for item in items {
        let starts_row = row.last().is_some_and(|last| !same_row(last, &item))
            || row.iter().any(|other| {
                other.x0 < item.x1 - 0.5 * item.height && item.x0 < other.x1 - 0.5 * other.height
            });
        if starts_row {
            finish(&mut row, out);
        }
        row.push(item);
    }
    finish(&mut row, out);
}

/// Where columns begin and end that stand between lines across the plate, `items` being sorted from top to
/// bottom: the longest such part.
fn beneath_heading(items: &[Item]) -> Option<(usize, usize)> {
    let mut cuts = clean_cuts(items);
    if cuts.len() > 2 * HEADINGS {
        cuts.drain(HEADINGS..cuts.len() - HEADINGS);
    }
    let mut parts: Vec<(usize, usize)> = cuts
        .iter()
        .flat_map(|&from| cuts.iter().map(move |&to| (from, to)))
        .filter(|(from, to)| from + 2 * FEWEST <= *to && to - from < items.len())
        .collect();
    parts.sort_by_key(|(from, to)| (items.len() - (to - from), *from));
    parts.into_iter().find(|(from, to)| {
        let mut part: Vec<&Item> = items[*from..*to].iter().collect();
        part.sort_by(|a, b| a.x0.total_cmp(&b.x0).then(a.y.total_cmp(&b.y)));
        gutter(&part).is_some_and(|at| {
            let (left, right) = part.split_at(at);
            left.len().min(right.len()) >= FEWEST && are_beside(left, right)
        })
    })
}

/// Places between items, from top to bottom, at which all those above end where those below begin.
fn clean_cuts(items: &[Item]) -> Vec<usize> {
    let edge = |item: &Item, side: f32| item.y + side * (0.5 - CUT) * item.height;
    let mut highest = vec![f32::INFINITY; items.len() + 1];
    for (i, item) in items.iter().enumerate().rev() {
        highest[i] = highest[i + 1].min(edge(item, -1.0));
    }
    let mut lowest = f32::NEG_INFINITY;
    let mut cuts = vec![0];
    for (i, item) in items.iter().enumerate() {
        lowest = lowest.max(edge(item, 1.0));
        if lowest <= highest[i + 1] {
            cuts.push(i + 1);
        }
    }
    cuts
}

/// Whether two columns stand beside each other for more than half of the shorter one.
fn are_beside(left: &[&Item], right: &[&Item]) -> bool {
    let extent = |side: &[&Item]| {
        side.iter()
            .fold((f32::INFINITY, f32::NEG_INFINITY), |(top, foot), item| {
                let half = item.height / 2.0;
                (top.min(item.y - half), foot.max(item.y + half))
            })
    };
    let ((a, b), (c, d)) = (extent(left), extent(right));
    b.min(d) - a.max(c) > 0.5 * (b - a).min(d - c)
}

fn finish(row: &mut Vec<Item>, out: &mut Vec<Vec<usize>>) {
    row.sort_by(|a, b| a.x0.total_cmp(&b.x0));
    if !row.is_empty() {
        out.push(row.drain(..).map(|item| item.index).collect());
    }
}

fn same_row(a: &Item, b: &Item) -> bool {
    (a.y - b.y).abs() < SAME_ROW * a.height.min(b.height)
}

/// Whether a caption and its value can stand so beside each other.
fn level(a: &Item, b: &Item) -> Option<Level> {
    let low = a.height.min(b.height);
    let feet = |item: &Item| item.y + item.height / 2.0;
    let apart = (a.y - b.y).abs().min((feet(a) - feet(b)).abs());
    if apart > LEVEL * low {
        return None;
    }
    Some(if a.height.max(b.height) < LIKE * low {
        Level::Like
    } else if a.height > b.height {
        Level::First
    } else {
        Level::Second
    })
}

/// Where the items right of a gutter begin, `items` being sorted by their left edge.
fn gutter<T: Borrow<Item>>(items: &[T]) -> Option<usize> {
    let mut reach = f32::NEG_INFINITY;
    for (i, item) in items.iter().map(Borrow::borrow).enumerate() {
        let (left, right) = items.split_at(i);
        if i > 0 && item.x0 > reach {
            let (few, many) = if left.len() < right.len() {
                (left, right)
            } else {
                (right, left)
            };
            let found: Vec<Level> = few
                .iter()
                .filter_map(|a| many.iter().find_map(|b| level(a.borrow(), b.borrow())))
                .collect();
            let count = |wanted| found.iter().filter(|level| **level == wanted).count();
            let all_alike = [Level::First, Level::Second]
                .into_iter()
                .any(|one| count(one) == few.len());
            // Up to half of the shorter column may stand level with a line by chance.
            if 2 * count(Level::Like) <= few.len() && !all_alike {
                return Some(i);
            }
        }
        reach = reach.max(item.x1);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(x: f32, y: f32, w: f32) -> Quad {
        [[x, y], [x + w, y], [x + w, y + 20.0], [x, y + 20.0]]
    }

    #[test]
    fn captions_and_values_are_read_row_by_row() {
        let quads = [
            line(200.0, 40.0, 80.0),
            line(0.0, 2.0, 60.0),
            line(200.0, 0.0, 80.0),
            line(0.0, 41.0, 60.0),
        ];
        assert_eq!(rows(&quads), [vec![1, 2], vec![3, 0]]);
    }

    #[test]
    fn a_column_of_its_own_comes_last() {
        let quads = [
            line(300.0, 55.0, 60.0),
            line(0.0, 0.0, 200.0),
            line(0.0, 40.0, 220.0),
            line(0.0, 80.0, 180.0),
        ];
        assert_eq!(rows(&quads), [vec![1], vec![2], vec![3], vec![0]]);
    }

    #[test]
    fn marks_beside_the_lines_are_a_column() {
        let mut quads: Vec<Quad> = (0..6).map(|k| line(0.0, 30.0 * k as f32, 200.0)).collect();
        // As high as two lines and level with one, then a number level with the next but one.
        quads.push([[300.0, 48.0], [350.0, 48.0], [350.0, 92.0], [300.0, 92.0]]);
        quads.push(line(300.0, 122.0, 50.0));
        let found: Vec<usize> = rows(&quads).into_iter().flatten().collect();
        assert_eq!(found, [0, 1, 2, 3, 4, 5, 6, 7]);
    }

    #[test]
    fn small_captions_stay_beside_their_values() {
        let small = |y: f32| -> Quad { [[0.0, y], [40.0, y], [40.0, y + 10.0], [0.0, y + 10.0]] };
        let quads = [
            small(7.0),
            line(100.0, 0.0, 80.0),
            small(47.0),
            line(100.0, 40.0, 80.0),
        ];
        assert_eq!(rows(&quads), [vec![0, 1], vec![2, 3]]);
    }

    #[test]
    fn a_heading_across_two_columns_keeps_rows_together() {
        let quads = [
            line(0.0, 0.0, 400.0),
            line(0.0, 40.0, 100.0),
            line(250.0, 44.0, 100.0),
            line(0.0, 80.0, 100.0),
        ];
        assert_eq!(rows(&quads), [vec![0], vec![1, 2], vec![3]]);
    }

    #[test]
    fn marks_beneath_a_heading_and_above_a_footing_are_a_column() {
        let mark: Quad = [[300.0, 50.0], [350.0, 50.0], [350.0, 92.0], [300.0, 92.0]];
        let mut quads = vec![line(0.0, 0.0, 400.0)];
        quads.extend((1..6).map(|k| line(0.0, 30.0 * k as f32, 200.0)));
        quads.extend([mark, line(300.0, 104.0, 50.0), line(0.0, 190.0, 380.0)]);
        let found: Vec<usize> = rows(&quads).into_iter().flatten().collect();
        assert_eq!(found, [0, 1, 2, 3, 4, 5, 6, 7, 8]);
        // One line more beside the others is no column.
        let quads = [
            line(0.0, 0.0, 400.0),
            line(0.0, 40.0, 100.0),
            line(0.0, 80.0, 100.0),
            line(250.0, 61.0, 100.0),
        ];
        let found: Vec<usize> = rows(&quads).into_iter().flatten().collect();
        assert_eq!(found, [0, 1, 3, 2]);
    }

    #[test]
    fn nothing_has_no_rows() {
        assert!(rows(&[]).is_empty());
    }
}
