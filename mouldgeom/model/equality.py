"""When two parts are the same part, and how the one must be turned to stand where the other stands.

Only turns and moves count, as in the workshop.  A plate may also be turned over, but only if neither face touches
concrete: so a part and its mirror image are equal only if turning it over keeps the concrete face right.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from mouldgeom.geometry.outline import Outline, Point, Vertex
from mouldgeom.geometry.placement import Placement
from mouldgeom.model.shapes import Bar, BarHole, ConcreteFace, Plate, SectionKind

_TOLERANCE = 1e-4
"""Lengths within this (mm) count as the same."""


def same_plate(one: Plate, other: Plate) -> Placement | None:
    """Return the placement that lays ``one`` on ``other``, in the other's frame; ``None`` if they differ."""
    if (one.sheet, one.concrete_face, one.group) != (other.sheet, other.concrete_face, other.group):
        return None
    if len(one.holes) != len(other.holes) or len(one.openings) != len(other.openings):
        return None
    if abs(one.outline.area - other.outline.area) > 1.0 or abs(one.area - other.area) > 1.0:
        return None
    for lay in _ways(one, other):
        if _holes_agree(one, other, lay) and _openings_agree(one, other, lay):
            return lay
    return None


def _ways(one: Plate, other: Plate) -> Iterator[Placement]:
    for flip in (False, True) if one.concrete_face is ConcreteFace.NONE else (False,):
        vertices = _turned_over(one.outline) if flip else one.outline.vertices
        for lay in _fits(vertices, other.outline.vertices):
            (origin, angle) = lay
            cosine, sine = math.cos(angle), math.sin(angle)
            if flip:
                yield Placement((*origin, -one.thickness), (-cosine, -sine, 0.0), (-sine, cosine, 0.0))
            else:
                yield Placement((*origin, 0.0), (cosine, sine, 0.0), (-sine, cosine, 0.0))


def _turned_over(outline: Outline) -> tuple[Vertex, ...]:
    """Vertices seen from the other face (x reversed), anticlockwise again."""
    vertices = outline.vertices
    count = len(vertices)
    return tuple(Vertex(-vertices[i].x, vertices[i].y, vertices[(i - 1) % count].arc) for i in range(count - 1, -1, -1))


def _fits(one: Sequence[Vertex], other: Sequence[Vertex]) -> Iterator[tuple[Point, float]]:
    count = len(one)
    if count != len(other):
        return
    a0, a1 = one[0], one[1]
    for shift in range(count):
        b0, b1 = other[shift], other[(shift + 1) % count]
        if abs(math.hypot(a1.x - a0.x, a1.y - a0.y) - math.hypot(b1.x - b0.x, b1.y - b0.y)) > _TOLERANCE:
            continue
        angle = math.atan2(b1.y - b0.y, b1.x - b0.x) - math.atan2(a1.y - a0.y, a1.x - a0.x)
        cosine, sine = math.cos(angle), math.sin(angle)
        origin = (b0.x - cosine * a0.x + sine * a0.y, b0.y - sine * a0.x - cosine * a0.y)
        if all(
            _near((origin[0] + cosine * a.x - sine * a.y, origin[1] + sine * a.x + cosine * a.y), (b.x, b.y))
            and abs(a.arc - b.arc) < _TOLERANCE
            for a, b in ((one[i], other[(i + shift) % count]) for i in range(count))
        ):
            yield origin, angle


def _near(a: Point, b: Point) -> bool:
    return math.hypot(a[0] - b[0], a[1] - b[1]) < _TOLERANCE


def _holes_agree(one: Plate, other: Plate, lay: Placement) -> bool:
    left = list(other.holes)
    for hole in one.holes:
        x, y, _ = lay.to_casting((hole.x, hole.y, 0.0))
        match = next(
            (
                h
                for h in left
                if _near((x, y), (h.x, h.y))
                and abs(h.diameter - hole.diameter) < _TOLERANCE
                and h.purpose is hole.purpose
            ),
            None,
        )
        if match is None:
            return False
        left.remove(match)
    return True


def _openings_agree(one: Plate, other: Plate, lay: Placement) -> bool:
    left = list(other.openings)
    for opening in one.openings:
        vertices = opening.vertices if lay.z[2] > 0 else _turned_over(opening)
        laid = [_laid(lay, v) for v in vertices]
        match = next((o for o in left if _same_line(laid, o.vertices)), None)
        if match is None:
            return False
        left.remove(match)
    return True


def _laid(lay: Placement, vertex: Vertex) -> Vertex:
    """A vertex, turned over already if the placement turns over, where the placement lays it."""
    x, y, _ = lay.to_casting((vertex.x if lay.z[2] > 0 else -vertex.x, vertex.y, 0.0))
    return Vertex(x, y, vertex.arc)


def _same_line(one: Sequence[Vertex], other: Sequence[Vertex]) -> bool:
    """Whether two closed lines run through the same corners and arcs, from whichever corner they begin."""
    count = len(one)
    return count == len(other) and any(
        all(
            _near((a.x, a.y), (b.x, b.y)) and abs(a.arc - b.arc) < _TOLERANCE
            for a, b in ((one[i], other[(i + shift) % count]) for i in range(count))
        )
        for shift in range(count)
    )


def same_bar(one: Bar, other: Bar) -> Placement | None:
    """Return the placement that lays ``one`` on ``other``, in the other's frame; ``None`` if they differ.

    An equal angle comes to lie on itself when its legs change places and its ends too.
    """
    if any(getattr(one, name) != getattr(other, name) for name in ("kind", "section", "group", "strength")):
        return None
    if abs(one.length - other.length) > _TOLERANCE or len(one.holes) != len(other.holes):
        return None
    if _bar_holes_agree(one.holes, other.holes):
        return Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    if one.kind is SectionKind.ANGLE:
        swapped = tuple(
            BarHole("y" if h.leg == "x" else "x", h.offset, one.length - h.along, h.diameter, h.purpose)
            for h in one.holes
        )
        if _bar_holes_agree(swapped, other.holes):
            return Placement((0.0, 0.0, one.length), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
    return None


def _bar_holes_agree(one: Sequence[BarHole], other: Sequence[BarHole]) -> bool:
    def key(hole: BarHole) -> tuple[str, float, float, float, str]:
        return (hole.leg, round(hole.along, 3), round(hole.offset, 3), round(hole.diameter, 3), hole.purpose)

    return sorted(map(key, one)) == sorted(map(key, other))
