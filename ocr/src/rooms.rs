//! Room between the lines of a plate in which another one, or the beginning of one, may stand.

use crate::geometry::{Frame, Lie, Quad, middle, thickness};
use crate::line::TextLine;
use crate::median::median;

/// Neighbours differ in height by less than this factor: a mark of conformity is higher than a line.
const LIKE: f32 = 2.0;
/// Two lines stand in one column where they overlap by this share of the shorter one.
const OVERLAP: f32 = 0.5;
/// A distance is a multiple of the pitch up to this share of it.
const REGULAR: f32 = 0.25;
/// Lines that may be missing between two others.
const MOST: f32 = 2.0;
/// Heights of the lower of two lines that must be free between them for another one.
const ROOM: f32 = 0.7;
/// The next line is no more than this many heights away.
const NEXT: f32 = 2.2;
/// Heights of a line by which it begins further right than its neighbours where letters may be missing before
/// it: about four letters.
const BEGINNING: f32 = 1.6;

/// A place that is as long as the lines above and below it together.
pub(crate) struct Room {
    /// The line that it stands before, by its index.
    pub(crate) before: usize,
    /// The line above and the one below.
    pub(crate) neighbours: [usize; 2],
    pub(crate) quad: Quad,
    /// Whether the lines stand at a regular pitch and one is left out here.
    pub(crate) regular: bool,
}

/// Where lines may stand between others of their plate, upper places first; `taken` are places of
/// codes.
pub(crate) fn rooms(lines: &[TextLine], lie: Lie, taken: &[Quad]) -> Vec<Room> {
    let frame = Frame::new([0.0, 0.0], lie, 1.0);
    let rows = upright(frame, lines.iter().map(|line| &line.quad));
    let taken = upright(frame, taken);
    let pairs: Vec<(usize, usize)> = (0..lines.len())
        .filter_map(|upper| Some((upper, below(&rows, upper)?)))
        .filter(|(a, b)| lines[*a].plate == lines[*b].plate)
        .collect();
    let mut pitches: Vec<f32> = pairs.iter().map(|(a, b)| rows[*a].to(&rows[*b])).collect();
    // A pitch needs more than two distances to be regular.
    let pitch = median(&mut pitches).filter(|_| pitches.len() > 2);
    let mut found = Vec::new();
    for (upper, lower) in pairs {
        let (a, b) = (rows[upper], rows[lower]);
        let low = a.height.min(b.height);
        let away = a.to(&b);
        let free = away - f32::midpoint(a.height, b.height);
        let left_out = pitch.and_then(|pitch| left_out(away / pitch));
        let missing = match left_out {
            Some(missing) => missing,
            None if free >= ROOM * low => (free / low).round().clamp(1.0, MOST),
            None => continue,
        };
        for number in 1..=missing as usize {
            let place = if left_out.is_some() {
                let t = number as f32 / (missing + 1.0);
                // Places of small letters reach into each other, and no line is higher than the pitch.
                let height = a.height * (1.0 - t) + b.height * t;
                a.between(&b, t, height.min(away / (missing + 1.0)))
            } else {
                // Within what is free, since the two stand at any distance.
                let at = a.height / 2.0 + free * (number as f32 - 0.5) / missing;
                a.between(&b, at / away, low.min(free / missing))
            };
            if rows.iter().chain(&taken).any(|other| other.meets(&place)) {
                continue;
            }
            found.push(Room {
                before: upper + 1,
                neighbours: [upper, lower],
                quad: place.quad().map(|p| frame.to_picture(p)),
                regular: left_out.is_some(),
            });
        }
    }
    found
}

/// Where a line may begin that was found from some letter on: it stands further right than the lines right
/// above and below it, and nothing else stands before it. Places come in the order of these lines; `taken`
/// are places of codes.
pub(crate) fn beginnings(lines: &[TextLine], lie: Lie, taken: &[Quad]) -> Vec<Room> {
    let frame = Frame::new([0.0, 0.0], lie, 1.0);
    let rows = upright(frame, lines.iter().map(|line| &line.quad));
    let taken = upright(frame, taken);
    let mut found = Vec::new();
    for (index, own) in rows.iter().enumerate() {
        let ahead = |&i: &usize| {
            let other = rows[i];
            i != index
                && lines[i].plate == lines[index].plate
                && is_like(own, &other)
                && other.x0 + BEGINNING * own.height < own.x0
        };
        let next = |away: &dyn Fn(&Row) -> f32| {
            let near = |i: &usize| (0.5..NEXT).contains(&(away(&rows[*i]) / own.height));
            let beside = (0..rows.len()).filter(|i| ahead(i) && near(i));
            beside.min_by(|&i, &j| away(&rows[i]).total_cmp(&away(&rows[j])))
        };
        let Some(upper) = next(&|other| other.to(own)) else {
            continue;
        };
        let Some(lower) = next(&|other| own.to(other)) else {
            continue;
        };
        // A short line's slope is not known well.
        let between = rows[upper].between(&rows[lower], 0.5, own.height);
        let (x0, x1) = (rows[upper].x0.max(rows[lower].x0), own.x0);
        let place = Row {
            x0,
            x1,
            y: own.y - between.slope * (f32::midpoint(own.x0, own.x1) - f32::midpoint(x0, x1)),
            slope: between.slope,
            height: own.height,
        };
        let others = rows.iter().enumerate().filter(|(i, _)| *i != index);
        let mut others = others.map(|(_, row)| row).chain(&taken);
        if !others.any(|other| other.meets(&place)) {
            found.push(Room {
                before: index,
                neighbours: [upper, lower],
                quad: place.quad().map(|p| frame.to_picture(p)),
                regular: false,
            });
        }
    }
    found
}

/// Places as rows of the plate's frame.
fn upright<'a>(frame: Frame, places: impl IntoIterator<Item = &'a Quad>) -> Vec<Row> {
    let row = |q: &Quad| Row::of(&q.map(|p| frame.onto_frame(p)));
    places.into_iter().map(row).collect()
}

/// True where two lines differ in height as lines of one column do.
fn is_like(a: &Row, b: &Row) -> bool {
    b.height.max(a.height) < LIKE * b.height.min(a.height)
}

/// A line in the plate's frame: from `x0` to `x1` around its axis.
#[derive(Clone, Copy)]
struct Row {
    x0: f32,
    x1: f32,
    /// Of the axis, in the middle.
    y: f32,
    /// Of the axis: what is left of the photo's perspective.
    slope: f32,
    height: f32,
}

impl Row {
    fn of(quad: &Quad) -> Self {
        let (left, right) = (middle(quad[0], quad[3]), middle(quad[1], quad[2]));
        let long = (right[0] - left[0]).max(1.0);
        Self {
            x0: left[0],
            x1: right[0],
            y: f32::midpoint(left[1], right[1]),
            slope: (right[1] - left[1]) / long,
            height: thickness(quad),
        }
    }

    fn long(&self) -> f32 {
        self.x1 - self.x0
    }

    fn at(&self, x: f32) -> f32 {
        self.y + self.slope * (x - f32::midpoint(self.x0, self.x1))
    }

    /// The middle of what two rows have in common, or of what lies between them.
    fn common(&self, other: &Self) -> f32 {
        f32::midpoint(self.x0.max(other.x0), self.x1.min(other.x1))
    }

    /// How far below this row another one stands.
    fn to(&self, lower: &Self) -> f32 {
        let x = self.common(lower);
        lower.at(x) - self.at(x)
    }

    /// A row at a share of the way to a lower one, as long as both together.
    fn between(&self, lower: &Self, share: f32, height: f32) -> Self {
        let (x0, x1) = (self.x0.min(lower.x0), self.x1.max(lower.x1));
        // A short line's slope is not known well.
        let slope = if self.long() > lower.long() {
            self.slope
        } else {
            lower.slope
        };
        let x = self.common(lower);
        let y = self.at(x) * (1.0 - share) + lower.at(x) * share;
        Self {
            x0,
            x1,
            y: y + slope * (f32::midpoint(x0, x1) - x),
            slope,
            height,
        }
    }

    /// True where two rows share more than a touch.
    fn meets(&self, other: &Self) -> bool {
        let slack = 0.2 * self.height.min(other.height);
        let x = self.common(other);
        self.x0 + slack < other.x1
            && other.x0 + slack < self.x1
            && (self.at(x) - other.at(x)).abs() + slack < f32::midpoint(self.height, other.height)
    }

    fn quad(&self) -> Quad {
        let half = self.height / 2.0;
        let (left, right) = (self.at(self.x0), self.at(self.x1));
        [
            [self.x0, left - half],
            [self.x1, right - half],
            [self.x1, right + half],
            [self.x0, left + half],
        ]
    }
}

/// How many lines are left out between two that stand so many pitches apart.
fn left_out(steps: f32) -> Option<f32> {
    let missing = steps.round() - 1.0;
    let is_regular = (steps - steps.round()).abs() <= REGULAR;
    ((1.0..=MOST).contains(&missing) && is_regular).then_some(missing)
}

/// The next line below in the same column.
fn below(rows: &[Row], upper: usize) -> Option<usize> {
    let a = rows[upper];
    (0..rows.len())
        .filter(|&i| {
            let b = rows[i];
            let overlap = a.x1.min(b.x1) - a.x0.max(b.x0);
            a.to(&b) > 0.5 * a.height
                && is_like(&a, &b)
                && overlap > OVERLAP * a.long().min(b.long())
        })
        .min_by(|&i, &j| a.to(&rows[i]).total_cmp(&a.to(&rows[j])))
}
