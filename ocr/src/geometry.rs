//! Points, quads and the frames they are measured in. Coordinates are pixels, x to
//! the right and y downwards.

/// A point, `[x, y]`.
pub(crate) type Point = [f32; 2];

/// The corners of a text line, clockwise from the text's own top left.
pub(crate) type Quad = [Point; 4];

pub(crate) fn distance(a: Point, b: Point) -> f32 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

pub(crate) fn middle(a: Point, b: Point) -> Point {
    [f32::midpoint(a[0], b[0]), f32::midpoint(a[1], b[1])]
}

/// Extent along the text.
pub(crate) fn length(q: &Quad) -> f32 {
    f32::midpoint(distance(q[0], q[1]), distance(q[3], q[2]))
}

/// Extent across the text.
pub(crate) fn thickness(q: &Quad) -> f32 {
    f32::midpoint(distance(q[0], q[3]), distance(q[1], q[2]))
}

pub(crate) fn centre(q: &Quad) -> Point {
    middle(middle(q[0], q[2]), middle(q[1], q[3]))
}

/// Whether a point lies in a quad, edges included.
pub(crate) fn contains(q: &Quad, [x, y]: Point) -> bool {
    (0..4).all(|i| {
        let (a, b) = (q[i], q[(i + 1) % 4]);
        (b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]) >= 0.0
    })
}

/// Angle of the text in radians, clockwise on the picture, in `(-π, π]`.
pub(crate) fn angle(q: &Quad) -> f32 {
    let from = middle(q[0], q[3]);
    let to = middle(q[1], q[2]);
    (to[1] - from[1]).atan2(to[0] - from[0])
}

/// The place at a share `u` of the way from the left edge of `q` to its right one and a share `v` from its
/// top edge to its bottom; beyond 0 and 1 the edges go on.
pub(crate) fn at(q: &Quad, u: f32, v: f32) -> Point {
    [0, 1].map(|axis| {
        let top = q[0][axis] * (1.0 - u) + q[1][axis] * u;
        let bottom = q[3][axis] * (1.0 - u) + q[2][axis] * u;
        top * (1.0 - v) + bottom * v
    })
}

/// The part of `q` between two shares of its length.
pub(crate) fn along(q: &Quad, from: f32, to: f32) -> Quad {
    [
        at(q, from, 0.0),
        at(q, to, 0.0),
        at(q, to, 1.0),
        at(q, from, 1.0),
    ]
}

/// The part of `q` between two shares of its height.
pub(crate) fn across(q: &Quad, from: f32, to: f32) -> Quad {
    [
        at(q, 0.0, from),
        at(q, 1.0, from),
        at(q, 1.0, to),
        at(q, 0.0, to),
    ]
}

/// The same place read in the opposite direction.
pub(crate) fn half_turned(q: &Quad) -> Quad {
    [q[2], q[3], q[0], q[1]]
}

/// Smallest and largest x and y of some points: `[x0, y0, x1, y1]`.
pub(crate) fn bounds<'a>(points: impl IntoIterator<Item = &'a Point>) -> [f32; 4] {
    points.into_iter().fold(
        [
            f32::INFINITY,
            f32::INFINITY,
            f32::NEG_INFINITY,
            f32::NEG_INFINITY,
        ],
        |b, p| {
            [
                b[0].min(p[0]),
                b[1].min(p[1]),
                b[2].max(p[0]),
                b[3].max(p[1]),
            ]
        },
    )
}

/// The rectangle of least area around convex `hull`, its longer sides first and
/// pointing right (down, when upright).
///
/// Tries each edge of the hull as one side, which is where the least rectangle lies
/// (Freeman and Shapira, 1975). A hull of one or two points gives a flat rectangle.
pub(crate) fn least_rectangle(hull: &[Point]) -> Quad {
    let mut best: Option<(f32, Quad)> = None;
    for (i, &a) in hull.iter().enumerate() {
        let b = hull[(i + 1) % hull.len()];
        let side = distance(a, b);
        let [ux, uy] = if side > 0.0 {
            [(b[0] - a[0]) / side, (b[1] - a[1]) / side]
        } else {
            [1.0, 0.0]
        };
        let turned: Vec<Point> = hull
            .iter()
            .map(|p| [p[0] * ux + p[1] * uy, p[1] * ux - p[0] * uy])
            .collect();
        let [x0, y0, x1, y1] = bounds(&turned);
        let area = (x1 - x0) * (y1 - y0);
        if best.as_ref().is_none_or(|(least, _)| area < *least) {
            let back = |x: f32, y: f32| [x * ux - y * uy, x * uy + y * ux];
            best = Some((
                area,
                [back(x0, y0), back(x1, y0), back(x1, y1), back(x0, y1)],
            ));
        }
    }
    let mut quad = best.map_or([[0.0; 2]; 4], |(_, quad)| quad);
    // Near-square boxes (a single letter) are taken as upright text.
    let squarish = length(&quad).max(thickness(&quad)) < 1.2 * length(&quad).min(thickness(&quad));
    let lying = |q: &Quad| angle(q).cos().abs() >= angle(q).sin().abs();
    if (squarish && !lying(&quad)) || (!squarish && length(&quad) < thickness(&quad)) {
        quad.rotate_left(1);
    }
    let a = angle(&quad);
    let points_back = if lying(&quad) {
        a.cos() < 0.0
    } else {
        a.sin() < 0.0
    };
    if points_back {
        half_turned(&quad)
    } else {
        quad
    }
}

/// `q` with each side moved outwards by `by`, for a rectangle.
pub(crate) fn grown(q: &Quad, by: f32) -> Quad {
    let (s, c) = angle(q).sin_cos();
    let moved = |p: Point, along: f32, across: f32| {
        [
            p[0] + by * (along * c - across * s),
            p[1] + by * (along * s + across * c),
        ]
    };
    [
        moved(q[0], -1.0, -1.0),
        moved(q[1], 1.0, -1.0),
        moved(q[2], 1.0, 1.0),
        moved(q[3], -1.0, 1.0),
    ]
}

/// How a plate lies in the picture.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Lie {
    /// Angle of its lines, radians clockwise.
    pub(crate) turn: f32,
    /// How far its columns lean: pixels to the right per pixel down, seen along its lines.
    pub(crate) lean: f32,
}

/// A turned, leaning, scaled and shifted frame laid over a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    /// Where the frame's `[0, 0]` lies in the picture.
    origin: Point,
    /// Way in the picture of one frame pixel to the right.
    right: Point,
    /// Way in the picture of one frame pixel down.
    down: Point,
}

impl Frame {
    /// The frame that shows a plate lying like `lie` upright; `step` is the picture
    /// pixels per frame pixel.
    pub(crate) fn new(origin: Point, lie: Lie, step: f32) -> Self {
        let (s, c) = lie.turn.sin_cos();
        let right = [step * c, step * s];
        let down = [
            lie.lean * right[0] - right[1],
            lie.lean * right[1] + right[0],
        ];
        Self {
            origin,
            right,
            down,
        }
    }

    pub(crate) fn step(self) -> f32 {
        self.right[0].hypot(self.right[1])
    }

    pub(crate) fn to_picture(self, p: Point) -> Point {
        let axis = |i: usize| self.origin[i] + p[0] * self.right[i] + p[1] * self.down[i];
        [axis(0), axis(1)]
    }

    pub(crate) fn onto_frame(self, p: Point) -> Point {
        let [x, y] = [p[0] - self.origin[0], p[1] - self.origin[1]];
        let area = self.right[0] * self.down[1] - self.right[1] * self.down[0];
        [
            (x * self.down[1] - y * self.down[0]) / area,
            (y * self.right[0] - x * self.right[1]) / area,
        ]
    }
}
