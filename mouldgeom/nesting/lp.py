"""Compaction: slide all parts of a layout together, none past another, by a linear programme."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mouldgeom.nesting.polygons import Apart, Array, Shape
from mouldgeom.nesting.solver import Rows, minimise
from mouldgeom.units import AnyUnit, Mm


@dataclass(frozen=True, eq=False)
class Spot:
    """A shape with the lower left corner of its bounding box at (x, y); ``item`` says whose shape it is."""

    item: int
    shape: Shape
    x: Mm
    y: Mm

    @property
    def right(self) -> Mm:
        """Greatest x."""
        return self.x + self.shape.width

    @property
    def top(self) -> Mm:
        """Greatest y."""
        return self.y + self.shape.height


@dataclass(frozen=True, eq=False)
class Room:
    """The rectangle that parts may fill, and what stands in it already (for stock that is no rectangle)."""

    x0: Mm
    y0: Mm
    x1: Mm
    y1: Mm
    obstacles: tuple[Spot, ...] = ()
    to_obstacle: Apart | None = None


def compact(spots: Sequence[Spot], room: Room, apart: Apart, rounds: int = 4) -> list[Spot] | None:
    """Return the layout with the least length that keeps every pair on the sides of each other on which it stands.

    Overlaps are pushed apart if that is possible; ``None`` if it is not.
    """
    now = list(spots)
    if not now:
        return now
    before = None
    for number in range(rounds):
        moved = _solve(now, room, apart)
        if moved is None:
            return None if number == 0 else now
        now = moved
        length = max(s.right for s in now)
        if before is not None and before - length < 0.05:
            break
        before = length
    return now


_REACH: Mm = 200.0
"""Parts further from each other than this are left out of the programme, and looked at again in its answer."""

_SLACK: Mm = 1e-6
"""Parts that fill a width exactly may be so much too near, far below what a place is rounded to."""

_Row = tuple[Array, Mm, int, int]
"""Normal, offset, numbers of the standing spot (-1: none) and of the moving one."""


def _solve(spots: Sequence[Spot], room: Room, apart: Apart) -> list[Spot] | None:
    rows, far = _rows(spots, room, apart)
    while True:
        answer = _programme(spots, room, rows)
        if answer is None:
            return None
        moved = [Spot(s.item, s.shape, float(answer[2 * i]), float(answer[2 * i + 1])) for i, s in enumerate(spots)]
        crossed = [row for row in far if not _clear(row, moved)]
        if not crossed:
            return moved
        rows = rows + crossed
        far = [row for row in far if _clear(row, moved)]


def _clear(row: _Row, spots: Sequence[Spot]) -> bool:
    (nx, ny), offset, i, j = row
    a, b = spots[i], spots[j]
    return bool(nx * (b.x - a.x) + ny * (b.y - a.y) >= offset - 2 * _SLACK)


def _rows(spots: Sequence[Spot], room: Room, apart: Apart) -> tuple[list[_Row], list[_Row]]:
    """Return a half-plane for each pair of bits, the one they clear best: those that are near, and the others."""
    sides: list[tuple[Array, Array]] = []
    apart_by: list[tuple[Mm, Mm, int, int]] = []
    for j, b in enumerate(spots):
        for i in range(j):
            a = spots[i]
            for planes in apart.planes(a.shape, b.shape):
                sides.append(planes)
                apart_by.append((b.x - a.x, b.y - a.y, i, j))
        for number, a in enumerate(room.obstacles, 1):
            assert room.to_obstacle is not None
            for planes in room.to_obstacle.planes(a.shape, b.shape):
                sides.append(planes)
                apart_by.append((b.x - a.x, b.y - a.y, -number, j))
    if not sides:
        return [], []
    counts = np.array([len(offsets) for _, offsets in sides])
    starts = np.concatenate(([0], np.cumsum(counts)[:-1]))
    x, y = (np.repeat([by[axis] for by in apart_by], counts) for axis in (0, 1))
    normals, offsets = (np.concatenate([side[which] for side in sides]) for which in (0, 1))
    values = normals[:, 0] * x + normals[:, 1] * y - offsets
    rounded = np.round(values, 6)
    greatest = np.flatnonzero(rounded == np.repeat(np.maximum.reduceat(rounded, starts), counts))
    first = greatest[np.searchsorted(greatest, starts)]
    near: list[_Row] = []
    far: list[_Row] = []
    for best, (_, _, i, j) in zip(first, apart_by, strict=True):
        if i < 0:
            a = room.obstacles[-i - 1]
            near.append((normals[best], float(offsets[best] + normals[best] @ (a.x, a.y)), -1, j))
        else:
            (near if values[best] < _REACH else far).append((normals[best], float(offsets[best]), i, j))
    return near, far


def _programme(spots: Sequence[Spot], room: Room, rows: Sequence[_Row]) -> Array | None:
    count = len(spots)
    starts: list[int] = []
    index: list[int] = []
    value: list[AnyUnit] = []
    lower: list[AnyUnit] = []
    for normal, offset, i, j in rows:
        starts.append(len(index))
        for at, sign in ((j, 1.0), (i, -1.0)):
            if at >= 0:
                for axis in (0, 1):
                    if abs(normal[axis]) > 1e-12:
                        index.append(2 * at + axis)
                        value.append(sign * float(normal[axis]))
        lower.append(offset - _SLACK)
    for j, b in enumerate(spots):
        starts.append(len(index))
        index += [2 * count, 2 * j]
        value += [1.0, -1.0]
        lower.append(b.shape.width)
    weight = [s.shape.area for s in spots]
    most = sum(weight)
    cost = [c for w in weight for c in (0.05 * w / most, 0.01 * w / most)] + [1.0]
    low = [room.x0, room.y0] * count + [room.x0]
    high = [c for s in spots for c in (room.x1 - s.shape.width, room.y1 - s.shape.height)] + [room.x1]
    answer = minimise(cost, low, high, Rows(starts, index, value, lower))
    return None if answer is None else answer.values
