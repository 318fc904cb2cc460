"""Where things go on a sheet: blocks packed on pages, labels spread along a line, free spots; and the proof of it.

``clashes`` finds every text that meets another text, a line or the frame: a good sheet has none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from mouldgeom.drawing.primitives import Area, Block, Box, Circle, Line, Primitive, Sheet, Stroke, Text
from mouldgeom.geometry.outline import Point
from mouldgeom.units import Mm

MARGIN: Mm = 6.0
"""Distance of blocks from the frame: clear of the centring marks, which reach 5 mm into the drawing space."""

_Grid = NDArray[np.float64]


def overlap(a: Box, b: Box, gap: Mm = 0.0) -> bool:
    """Whether two boxes come closer than a gap."""
    return a[0] < b[2] + gap and b[0] < a[2] + gap and a[1] < b[3] + gap and b[1] < a[3] + gap


def inside(inner: Box, outer: Box) -> bool:
    """Whether a box lies in another."""
    return inner[0] >= outer[0] and inner[1] >= outer[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


def pack(
    blocks: Sequence[Block], space: Box, taken: Sequence[Box] = (), gap: Mm = 8.0, margin: Mm = MARGIN, *,
    ordered: bool = False,
) -> list[list[Block]]:  # fmt: skip
    """Put blocks on as few pages as a simple rule finds: in their order, highest free place first, then leftmost.

    Args:
        blocks: in reading order.
        space: drawing space of each page.
        taken: boxes in it that stay free, such as the title block.
        gap: between blocks, and between blocks and ``taken``.
        margin: between blocks and the frame.
        ordered: no block stands on an earlier page than the block before it.

    Raises:
        ValueError: a block is larger than an empty page.
    """
    pages: list[list[Block]] = []
    for block in blocks:
        spots = (
            (page, placed(block, page, space, taken, gap, margin)) for page in [*(pages[-1:] if ordered else pages), []]
        )
        page, spot = next((pair for pair in spots if pair[1] is not None), ([], None))
        if spot is None:
            raise ValueError(f"{block.name} finds no room on a page: {block.width:.0f} x {block.height:.0f} mm")
        if not page:
            pages.append(page)
        page.append(spot)
    return pages


def placed(
    block: Block, page: Sequence[Block], space: Box, taken: Sequence[Box] = (), gap: Mm = 8.0, margin: Mm = MARGIN
) -> Block | None:
    """The block at the highest, then leftmost free place of a page; ``None`` if there is none."""
    x0, y0, x1, y1 = space[0] + margin, space[1] + margin, space[2] - margin, space[3] - margin
    wide, high = block.width, block.height
    others = [b.box for b in page] + list(taken)
    lefts = sorted({x0, *(b[2] + gap for b in others)})
    tops = sorted({y1, *(b[1] - gap for b in others), *(b[3] for b in others)}, reverse=True)
    for top in tops:
        for left in lefts:
            box = (left, top - high, left + wide, top)
            room = (x0 - 1e-6, y0 - 1e-6, x1 + 1e-6, y1 + 1e-6)
            if inside(box, room) and not any(overlap(box, other, gap - 1e-6) for other in others):
                return block.put(left, top)
    return None


def spread(targets: Sequence[Mm], gap: Mm) -> list[Mm]:
    """Places nearest to the targets (least squares), in the same order, each at least ``gap`` from the one before.

    ``targets`` ascend.
    """
    groups: list[tuple[float, int]] = []
    for index, target in enumerate(targets):
        total, count = target - index * gap, 1
        while groups and groups[-1][0] / groups[-1][1] > total / count:
            more, number = groups.pop()
            total, count = total + more, count + number
        groups.append((total, count))
    means = [total / count for total, count in groups for _ in range(count)]
    return [mean + index * gap for index, mean in enumerate(means)]


# --- what meets what -------------------------------------------------------------------------------------------------


class _Pieces:
    """Straight pieces (x, y, x, y) with their bounds."""

    def __init__(self, grid: _Grid) -> None:
        self.grid = grid
        self.low, self.high = np.minimum(grid[:, :2], grid[:, 2:]).T, np.maximum(grid[:, :2], grid[:, 2:]).T

    def crossed(self, text: Text, clear: Mm = 0.0) -> NDArray[np.intp]:
        """Numbers of the pieces that meet the box of a text grown by ``clear``."""
        x0, y0, x1, y1 = text.box
        near = (self.high[0] > x0 - clear) & (self.low[0] < x1 + clear)
        near &= (self.high[1] > y0 - clear) & (self.low[1] < y1 + clear)
        hits = np.flatnonzero(near)
        return hits[_crossing(text, self.grid[hits], clear)] if hits.size else hits


class Obstacles:
    """Lines and boxes that lettering keeps off, quick to ask."""

    def __init__(self, primitives: Sequence[Primitive] = ()) -> None:
        self._pieces: list[_Grid] = []
        self._texts: list[Text] = []
        self._all: _Pieces | None = None
        for primitive in primitives:
            self.add(primitive)

    def add(self, primitive: Primitive) -> None:
        """Count one more primitive among the obstacles."""
        if isinstance(primitive, Text):
            self._texts.append(primitive)
        else:
            self._pieces.append(_straight(primitive))
            self._all = None

    def struck(self, primitive: Primitive, clear: Mm = 0.0) -> bool:
        """Whether something drawn comes closer than ``clear`` to writing, or writing to anything."""
        if isinstance(primitive, Text):
            return self.meets(primitive, clear)
        pieces = _straight(primitive)
        x0, y0, x1, y1 = primitive.box
        near = (text for text in self._texts if overlap((x0, y0, x1, y1), text.box, clear))
        return any(bool(_crossing(text, pieces, clear).any()) for text in near)

    def meets(self, text: Text, clear: Mm = 0.0) -> bool:
        """Whether a line of writing comes closer than ``clear`` to a line or to other writing."""
        x0, y0, x1, y1 = text.box
        for other in self._texts:
            box = other.box
            near = box[0] < x1 + clear and x0 < box[2] + clear and box[1] < y1 + clear and y0 < box[3] + clear
            if near and _texts_meet(text, other, clear):
                return True
        return self._lines.crossed(text, clear).size > 0

    @property
    def _lines(self) -> _Pieces:
        if self._all is None:
            self._all = _Pieces(np.vstack(self._pieces) if self._pieces else np.zeros((0, 4)))
        return self._all

    def crossings(self, a: Point, b: Point, skip: Mm = 0.0) -> int:
        """How many obstacles a straight line crosses, other than within ``skip`` of its end ``b``; writing counts ten.

        A line must not run through writing, but may cross lines if it has to.
        """
        far = max(1e-9, _far(a, b))
        end = (b[0] + (a[0] - b[0]) * skip / far, b[1] + (a[1] - b[1]) * skip / far)
        piece = np.array([[*a, *end]])
        count = int(_pieces_cross(piece[0], self._lines.grid).sum())
        box = (min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))
        near = (text for text in self._texts if overlap(box, text.box, 0.4))
        return count + 10 * sum(bool(_crossing(text, piece, 0.4)[0]) for text in near)


def _straight(primitive: Stroke | Area | Circle) -> _Grid:
    """The straight pieces (x, y, x, y) of something drawn."""
    points = np.array(primitive.points)
    return np.hstack([points[:-1], points[1:]])


def _pieces_cross(piece: _Grid, others: _Grid) -> NDArray[np.bool_]:
    """Which straight pieces one piece crosses."""

    def side(a: _Grid, b: _Grid, p: _Grid) -> _Grid:
        ab, ap = b - a, p - a
        value: _Grid = ab[..., 0] * ap[..., 1] - ab[..., 1] * ap[..., 0]
        return value

    a, b, c, d = piece[:2], piece[2:], others[:, :2], others[:, 2:]
    apart = (side(a, b, c) * side(a, b, d) > 0) | (side(c, d, a) * side(c, d, b) > 0)
    apart |= ((np.minimum(c, d) > np.maximum(a, b)) | (np.maximum(c, d) < np.minimum(a, b))).any(axis=1)
    result: NDArray[np.bool_] = ~apart
    return result


def _frame_of(text: Text) -> tuple[Point, Point, Point, Mm, Mm]:
    """Lower left corner, unit vectors along and up, width and height of a text's box."""
    a, b, _, d = text.corners
    wide, high = max(1e-9, _far(a, b)), max(1e-9, _far(a, d))
    return a, ((b[0] - a[0]) / wide, (b[1] - a[1]) / wide), ((d[0] - a[0]) / high, (d[1] - a[1]) / high), wide, high


def _far(a: Point, b: Point) -> Mm:
    return float(np.hypot(b[0] - a[0], b[1] - a[1]))


def _crossing(text: Text, pieces: _Grid, clear: Mm = 0.0) -> NDArray[np.bool_]:
    """Which straight pieces (x, y, x, y) meet the box of a text grown by ``clear``: separating axes."""
    corner, along, up, wide, high = _frame_of(text)
    move = np.array([*corner, *corner])
    gone = pieces - move
    ends = gone.reshape(-1, 2, 2)
    u, v = ends @ np.array(along), ends @ np.array(up)
    c = clear - 1e-6
    near: NDArray[np.bool_] = (u.max(1) > -c) & (u.min(1) < wide + c) & (v.max(1) > -c) & (v.min(1) < high + c)
    hits = np.flatnonzero(near)
    if hits.size:
        u, v = u[hits], v[hits]
        nu, nv = v[:, 0] - v[:, 1], u[:, 1] - u[:, 0]
        at = nu * u[:, 0] + nv * v[:, 0]
        corners = np.stack([nu * x + nv * y for x in (-c, wide + c) for y in (-c, high + c)])
        near[hits] = (corners.min(0) < at) & (corners.max(0) > at)
    return near


def _texts_meet(a: Text, b: Text, clear: Mm = 0.0) -> bool:
    if not overlap(a.box, b.box, clear - 1e-6):
        return False
    for one, other in ((a, b), (b, a)):
        corner, along, up, wide, high = _frame_of(one)
        gone = [(x - corner[0], y - corner[1]) for x, y in other.corners]
        us, vs = ([x * d[0] + y * d[1] for x, y in gone] for d in (along, up))
        c = clear - 1e-6
        if max(us) <= -c or min(us) >= wide + c or max(vs) <= -c or min(vs) >= high + c:
            return False
    return True


def clashes(sheet: Sheet, lines: Sequence[Line] = tuple(Line)) -> list[str]:
    """What is wrong with the lettering of a sheet, in words: none if it is good.

    Texts meet no other text, no line of the kinds ``lines``, no arrowhead; the drawing lies in the drawing space.
    """
    return list(_clashes(sheet, lines))


def _clashes(sheet: Sheet, lines: Sequence[Line]) -> Iterator[str]:
    for what in meetings(list(sheet.primitives()), lines):
        yield f"{sheet.name}: {what}"
    x0, y0, x1, y1 = sheet.space
    for item in sheet.items:
        box = item.box
        if box[0] < x0 - 1e-6 or box[1] < y0 - 1e-6 or box[2] > x1 + 1e-6 or box[3] > y1 + 1e-6:
            what = item.text if isinstance(item, Text) else type(item).__name__
            yield f"{sheet.name}: {what} lies outside of the drawing space"


def meetings(primitives: Sequence[Primitive], lines: Sequence[Line] = tuple(Line)) -> Iterator[str]:
    """Which texts meet other texts or lines of the kinds ``lines``, in words."""
    texts = sorted((p for p in primitives if isinstance(p, Text)), key=lambda t: t.box)
    for index, text in enumerate(texts):
        for other in texts[index + 1 :]:
            if other.box[0] > text.box[2]:
                break
            if _texts_meet(text, other):
                yield f"{text.text!r} meets {other.text!r}"
    solid = [p for p in primitives if not isinstance(p, Text) and p.kind in lines and not _shade(p)]
    pieces = [(*a, *b) for p in solid for a, b in pairwise(p.points)]
    owners = [p for p in solid for _ in p.points[1:]]
    lines_there = _Pieces(np.array(pieces) if pieces else np.zeros((0, 4)))
    for text in texts:
        hit = lines_there.crossed(text)
        if hit.size:
            place = lines_there.grid[hit[0]]
            yield f"{text.text!r} meets a line of {owners[int(hit[0])].kind} at {place}"


def _shade(primitive: Stroke | Area | object) -> bool:
    """Pale areas that lettering may lie on."""
    return isinstance(primitive, Area) and primitive.grey > 0.5
