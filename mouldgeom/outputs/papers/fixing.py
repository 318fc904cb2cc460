"""What a plate is fixed by: its outline as sharp corners with roundings and chamfers, and the way back from dimensions.

``skeleton`` takes an outline apart; ``fixed`` puts a plate together again from drawn dimensions alone, and says which
place none of them fixes or two do.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from mouldgeom.drawing.primitives import Dimension
from mouldgeom.geometry.outline import Outline, Point, Vertex, arc_of
from mouldgeom.model.shapes import Plate
from mouldgeom.units import Mm, Ratio

_SAME = 1e-4
CHAMFER_SHARE: Ratio = 0.25
"""A slanting edge is a chamfer if its legs are shorter than this share of the outline's smaller extent."""


@dataclass(frozen=True)
class Corner:
    """A sharp corner; what is taken off it (radius or chamfer, 0 if nothing); the bulge of the edge that leaves it."""

    x: Mm
    y: Mm
    radius: Mm = 0.0
    chamfer: Mm = 0.0
    arc: Ratio = 0.0


def skeleton(outline: Outline) -> tuple[Corner, ...]:
    """The outline as sharp corners, in its order; arcs that are no roundings stay as bulges."""
    ring, n = outline.vertices, len(outline.vertices)
    x0, y0, x1, y1 = outline.bounds
    limit = CHAMFER_SHARE * min(x1 - x0, y1 - y0)
    start = next((i for i in range(n) if _cut(ring, i - 1, limit) is None), 0)
    corners: list[Corner] = []
    i = 0
    while i < n:
        k = (start + i) % n
        cut = _cut(ring, k, limit)
        if cut is not None:
            corners.append(cut)
            i += 2
        else:
            v = ring[k]
            corners.append(Corner(v.x, v.y, arc=v.arc))
            i += 1
    return tuple(corners)


def _cut(ring: Sequence[Vertex], i: int, limit: Mm) -> Corner | None:
    """The sharp corner that the edge leaving vertex ``i`` cuts off, if it is a rounding or a chamfer."""
    n = len(ring)
    before, a, b, after = (ring[(i + k) % n] for k in (-1, 0, 1, 2))
    if n < 4 or before.arc or b.arc:
        return None
    d1, d2 = _unit(before, a), _unit(b, after)
    turn = d1[0] * d2[1] - d1[1] * d2[0]
    if abs(turn) < 1e-3:
        return None
    along = ((b.x - a.x) * d2[1] - (b.y - a.y) * d2[0]) / turn
    back = ((b.x - a.x) * d1[1] - (b.y - a.y) * d1[0]) / turn
    if along <= 0 or back >= 0 or abs(along + back) > 1e-6:
        return None
    x, y = a.x + along * d1[0], a.y + along * d1[1]
    if a.arc:
        centre, radius, _, _ = arc_of(a, b)
        if turn * a.arc < 0 or abs((a.x - centre[0]) * d1[0] + (a.y - centre[1]) * d1[1]) > 1e-6:
            return None
        return Corner(x, y, radius=radius)
    level = min(abs(d1[0]), abs(d1[1])) < 1e-9 and min(abs(d2[0]), abs(d2[1])) < 1e-9
    return Corner(x, y, chamfer=along) if level and along <= limit else None


def _unit(a: Vertex, b: Vertex) -> Point:
    length = math.hypot(b.x - a.x, b.y - a.y)
    return (b.x - a.x) / length, (b.y - a.y) / length


def fleshed(corners: Sequence[Corner]) -> tuple[Vertex, ...]:
    """The outline of sharp corners with their roundings and chamfers."""
    out: list[Vertex] = []
    n = len(corners)
    for i, c in enumerate(corners):
        if not (c.radius or c.chamfer):
            out.append(Vertex(c.x, c.y, c.arc))
            continue
        before, after = corners[i - 1], corners[(i + 1) % n]
        d1 = _unit(Vertex(before.x, before.y), Vertex(c.x, c.y))
        d2 = _unit(Vertex(c.x, c.y), Vertex(after.x, after.y))
        turn = math.atan2(d1[0] * d2[1] - d1[1] * d2[0], d1[0] * d2[0] + d1[1] * d2[1])
        leg = c.chamfer or c.radius * abs(math.tan(turn / 2))
        out.append(Vertex(c.x - leg * d1[0], c.y - leg * d1[1], math.tan(turn / 4) if c.radius else 0.0))
        out.append(Vertex(c.x + leg * d2[0], c.y + leg * d2[1]))
    return tuple(out)


def is_trapezoid(corners: Sequence[Corner]) -> bool:
    """Whether the corners are those of a trapezoid that is alike on both sides of an upright line."""
    if len(corners) != 4 or any(c.radius or c.chamfer or c.arc for c in corners):
        return False
    ys = sorted({round(c.y, 6) for c in corners})
    if len(ys) != 2:
        return False
    low, high = (sorted(c.x for c in corners if abs(c.y - y) < 1e-5) for y in ys)
    if len(low) != 2 or len(high) != 2:
        return False
    return abs(sum(low) - sum(high)) < _SAME and abs(low[0] - high[0]) > _SAME


def same(a: Mm, b: Mm) -> bool:
    """Whether two places count as one on a drawing."""
    return abs(a - b) < _SAME


@dataclass(frozen=True)
class Fixed:
    """What dimensions alone say: outlines (outside first) and holes (x, y, diameter); and what is wrong with them."""

    outlines: tuple[tuple[Vertex, ...], ...]
    holes: tuple[tuple[Mm, Mm, Mm], ...]
    faults: tuple[str, ...]


def fixed(plate: Plate, dimensions: Iterable[Dimension]) -> Fixed:
    """Put a plate together from its dimensions.

    Of the plate itself only the picture is used: how many corners a line has, which of them are rounded, chamfered or
    bent, and which lie on the datum edges (the least x and y of the outline).  A place that no dimension fixes, or that
    two fix, is a fault, and then no outline is made.

    Args:
        plate: as drawn.
        dimensions: those of a sheet; those of other marks are left out.
    """
    rings = [skeleton(shape) for shape in (plate.outline, *plate.openings)]
    known: dict[tuple[int, int, str], list[Mm]] = {}
    for i, ring in enumerate(rings):
        for k, c in enumerate(ring):
            for name, value in (("x", c.x), ("y", c.y)):
                known[i, k, name] = [0.0] if same(value, 0.0) else []
            if c.radius:
                known[i, k, "radius"] = []
            if c.chamfer:
                known[i, k, "chamfer"] = []
            if c.arc:
                known[i, k, "arc"] = []
    faults: list[str] = []
    own = [d for d in dimensions if d.feature.mark == plate.mark]
    widest = max((d.value for d in own if d.feature.kind == "across"), default=0.0)
    holes: list[tuple[Mm, Mm, Mm]] = []
    for d in own:
        feature = d.feature
        if feature.kind == "hole":
            holes.append((feature.at[0], feature.at[1], feature.at[2]))
        elif feature.kind == "across":
            for place, half in zip(feature.places, (-0.5, 0.5), strict=True):
                spot = known[*place, "x"]
                spot[:] = [v for v in spot if v != 0.0]  # the datum edge is where the widest measure begins
                spot.append(widest / 2 + half * d.value)
        elif feature.kind != "reference":
            for place in feature.places:
                known.setdefault((*place, feature.kind), []).append(d.value)
    for (i, k, name), values in known.items():
        if len(values) != 1:
            how = "not fixed" if not values else f"fixed {len(values)} times"
            faults.append(f"{plate.mark}: {name} of corner {k} of ring {i} is {how}")
    if faults:
        return Fixed((), tuple(holes), tuple(faults))
    outlines = []
    for i, ring in enumerate(rings):
        read = {(k, name): known.get((i, k, name), [0.0])[0] for k in range(len(ring)) for name in _NAMES}
        corners = [Corner(*(read[k, name] for name in _NAMES[:4])) for k in range(len(ring))]
        bent = []
        for k, (c, drawn) in enumerate(zip(corners, ring, strict=True)):
            nxt = corners[(k + 1) % len(ring)]
            bent.append(
                Corner(c.x, c.y, c.radius, c.chamfer, _bulge(c, nxt, read[k, "arc"], drawn.arc) if drawn.arc else 0.0)
            )
        outlines.append(fleshed(bent))
    return Fixed(tuple(outlines), tuple(holes), tuple(faults))


_NAMES = ("x", "y", "radius", "chamfer", "arc")


def _bulge(a: Corner, b: Corner, radius: Mm, drawn: Ratio) -> Ratio:
    """Bulge of an arc of a radius; which side, and whether it is more than half a circle, is seen on the drawing."""
    half = min(1.0, math.hypot(b.x - a.x, b.y - a.y) / (2 * radius)) if radius else 0.0
    sweep = 2 * math.asin(half)
    if abs(drawn) > 1:
        sweep = 2 * math.pi - sweep
    return math.copysign(math.tan(sweep / 4), drawn)
