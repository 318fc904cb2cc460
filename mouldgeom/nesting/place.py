"""Where one more part goes in a layout: among all places where it touches two others or the edge, the leftmost."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mouldgeom.nesting.lp import Room, Spot
from mouldgeom.nesting.polygons import Apart, Array, Shape
from mouldgeom.units import Mm

_LOOSE = 2e-6
_BITE = 4096


def insert(item: int, shapes: Sequence[Shape], spots: Sequence[Spot], room: Room, apart: Apart) -> Spot | None:
    """Return the spot of a further part whose right end is least (then lowest), or ``None`` if it goes nowhere."""
    best: tuple[Mm, Mm, int] | None = None
    found: Spot | None = None
    for order, shape in enumerate(shapes):
        limit = best[0] if best else None
        at = _place(shape, spots, room, apart, limit)
        if at is not None:
            key = (round(at[0] + shape.width, 6), round(at[1], 6), order)
            if best is None or key < best:
                best, found = key, Spot(item, shape, *at)
    return found


def _place(shape: Shape, spots: Sequence[Spot], room: Room, apart: Apart, limit: Mm | None) -> tuple[Mm, Mm] | None:
    low = np.array([room.x0, room.y0])
    high = np.array([room.x1 - shape.width, room.y1 - shape.height])
    if limit is not None:
        high[0] = min(high[0], limit - shape.width)
    if (high < low - _LOOSE).any():
        return None
    around = [
        (s, rule)
        for group, rule in ((spots, apart), (room.obstacles, room.to_obstacle))
        if rule is not None
        for s in group
        if s.x - shape.width - rule.gap < high[0]
        and s.right + rule.gap > low[0]
        and s.y - shape.height - rule.gap < high[1]
        and s.top + rule.gap > low[1]
    ]
    sets: list[tuple[Array, Array]] = []
    boxes: list[tuple[Mm, Mm, Mm, Mm]] = []
    for s, rule in around:
        wide = 2 * rule.gap + _LOOSE
        reach = (s.x - shape.width - wide, s.y - shape.height - wide, s.right + wide, s.top + wide)
        for normals, offsets in rule.planes(s.shape, shape):
            sets.append((normals, offsets + normals[:, 0] * s.x + normals[:, 1] * s.y))
            boxes.append(reach)
    points = _corners(sets, np.array(boxes).reshape(-1, 4), low, high)
    points = points[np.lexsort((np.round(points[:, 1], 6), np.round(points[:, 0], 6)))]
    for start in range(0, len(points), _BITE):
        bite = points[start : start + _BITE]
        for normals, offsets in sets:
            clear = (normals[:, :1] * bite[:, 0] + normals[:, 1:] * bite[:, 1] - offsets[:, None]).max(0) >= -_LOOSE
            bite = bite[clear]
            if not len(bite):
                break
        if len(bite):
            return float(bite[0, 0]), float(bite[0, 1])
    return None


def _corners(sets: Sequence[tuple[Array, Array]], boxes: Array, low: Array, high: Array) -> Array:
    """Return the points where two lines meet, of the sides of the no-fit polygons and of the box, inside the box.

    Only no-fit polygons whose bounding boxes overlap can meet.
    """
    frame = np.array([(1.0, 0.0), (1.0, 0.0), (0.0, 1.0), (0.0, 1.0)])
    normals = np.concatenate([n for n, _ in sets] + [frame])
    offsets = np.concatenate([o for _, o in sets] + [np.array([low[0], high[0], low[1], high[1]])])
    boxes = np.concatenate((boxes, [(*(low - 1), *(high + 1))]))
    owner = np.repeat(np.arange(len(boxes)), [*(len(n) for n, _ in sets), 4])
    meet = (
        (boxes[:, None, 0] <= boxes[:, 2])
        & (boxes[:, 0] <= boxes[:, None, 2])
        & (boxes[:, None, 1] <= boxes[:, 3])
        & (boxes[:, 1] <= boxes[:, None, 3])
    )
    i, j = np.nonzero(np.triu(meet[owner[:, None], owner], 1))
    n, m, p, q = normals[i], normals[j], offsets[i], offsets[j]
    det = n[:, 0] * m[:, 1] - n[:, 1] * m[:, 0]
    keep = np.abs(det) > 1e-9
    n, m, p, q, det, i, j = n[keep], m[keep], p[keep], q[keep], det[keep], i[keep], j[keep]
    points = np.stack(((p * m[:, 1] - q * n[:, 1]) / det, (n[:, 0] * q - m[:, 0] * p) / det), 1)
    least = np.maximum(np.maximum(boxes[owner[i], :2], boxes[owner[j], :2]), low - _LOOSE)
    most = np.minimum(np.minimum(boxes[owner[i], 2:], boxes[owner[j], 2:]), high + _LOOSE)
    inside = ((points >= least) & (points <= most)).all(1)
    corners: Array = np.clip(points[inside], low, high)
    return corners
