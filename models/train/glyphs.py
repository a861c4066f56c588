"""Which fonts draw characters so that nobody can tell which one is meant.

The rule looks at outlines alone, before any network reads them, and holds for training and
held-out fonts alike:

- small letters are small capitals: of ten letters whose two cases differ in every alphabet
  of ordinary make, in eight the small one covers the same part of its box as the capital;
- nought and capital O are the same outline in the same place.

`I` and `l` may look alike, as in most sans serifs: these fonts stay.
"""

from fontTools.pens.recordingPen import DecomposingRecordingPen

CELLS = 32  # along a glyph's box, and down it
LETTERS, ENOUGH = "abdeghnqrt", 8
ALIKE, SAME = 0.7, 0.97  # of what both cover, that which either does


def between(points, steps):
    """Points on a Bézier curve of any degree, behind its first."""
    for k in range(1, steps + 1):
        level, t = points, k / steps
        while len(level) > 1:
            level = [(a + (c - a) * t, b + (d - b) * t) for (a, b), (c, d) in zip(level, level[1:])]
        yield level[0]


def contours(glyphs, name):
    """The outline of a glyph as polygons."""
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    out = []
    for kind, points in pen.value:
        if kind == "moveTo":
            out.append([points[0]])
        elif kind == "lineTo":
            out[-1].append(points[0])
        elif kind == "curveTo":
            out[-1].extend(between([out[-1][-1], *points], 6))
        elif kind == "qCurveTo":
            points = list(points)
            if points[-1] is None:  # no point of this contour lies on it
                (a, b), (c, d) = points[-2], points[0]
                points[-1] = ((a + c) / 2, (b + d) / 2)
                out.append([points[-1]])
            for i, (a, b) in enumerate(points[:-1]):
                c, d = points[i + 1]
                end = (c, d) if i + 2 == len(points) else ((a + c) / 2, (b + d) / 2)
                out[-1].extend(between([out[-1][-1], (a, b), end], 4))
    return [contour for contour in out if len(contour) > 2]


def box(shape):
    xs, ys = zip(*(point for contour in shape for point in contour))
    return min(xs), min(ys), max(xs), max(ys)


def covered(shape, around):
    """The cells of the box `around` whose middles lie inside the outline."""
    left, low, right, high = around
    cells = set()
    for row in range(CELLS):
        y = low + (row + 0.5) / CELLS * (high - low)
        crossings = sorted(
            (a + (y - b) / (d - b) * (c - a), 1 if d > b else -1)
            for contour in shape
            for (a, b), (c, d) in zip(contour, contour[1:] + contour[:1])
            if (b <= y) != (d <= y)
        )
        for column in range(CELLS):
            x = left + (column + 0.5) / CELLS * (right - left)
            if sum(way for at, way in crossings if at <= x):
                cells.add((row, column))
    return cells


def overlap(font, first, second, in_place):
    """How much of what two glyphs cover both do, each in its own box or `in_place`."""
    glyphs, names = font.getGlyphSet(), font.getBestCmap()
    shapes = [contours(glyphs, names[ord(c)]) if ord(c) in names else [] for c in (first, second)]
    if not all(shapes):
        return 0.0
    boxes = [box(shape) for shape in shapes]
    if in_place:
        lefts, lows, rights, highs = zip(*boxes)
        boxes = [(min(lefts), min(lows), max(rights), max(highs))] * 2
    one, other = (covered(shape, around) for shape, around in zip(shapes, boxes))
    return len(one & other) / max(1, len(one | other))


def cannot_be_told(font):
    """Why no one can tell what is written in this font; nothing where one can."""
    if sum(overlap(font, c, c.upper(), False) >= ALIKE for c in LETTERS) >= ENOUGH:
        return "small letters are capitals"
    if overlap(font, "0", "O", True) >= SAME:
        return "nought and O are the same"
    return None
