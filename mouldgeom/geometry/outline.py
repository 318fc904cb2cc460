"""Closed planar outlines of straight edges and arcs, with their area, centroid and bounds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from mouldgeom.errors import GeometryError
from mouldgeom.units import Deg, Mm, Mm2, Rad, Ratio

Point = tuple[Mm, Mm]

SAME = 1e-6
"""Lengths closer than this (mm) are the same length."""


@dataclass(frozen=True, slots=True)
class Vertex:
    """A corner of an outline and the bulge of the edge that leaves it: tan(angle / 4) of the arc, 0 if straight."""

    x: Mm
    y: Mm
    arc: Ratio = 0.0


@dataclass(frozen=True)
class Outline:
    """A closed line of straight edges and arcs, anticlockwise, the last vertex joined to the first."""

    vertices: tuple[Vertex, ...]

    def __post_init__(self) -> None:
        if len(self.vertices) < 3 and not any(v.arc for v in self.vertices):
            raise GeometryError("an outline needs three corners")
        if self.area <= 0:
            raise GeometryError(f"an outline runs clockwise or encloses nothing (area {self.area:g} mm2)")

    @staticmethod
    def polygon(points: Iterable[Point]) -> Outline:
        """Make an outline of straight edges, turned anticlockwise if need be."""
        kept = [Vertex(float(x), float(y)) for x, y in points]
        twice = sum(a.x * b.y - b.x * a.y for a, b in _pairs(kept))
        return Outline(tuple(kept if twice > 0 else reversed(kept)))

    @staticmethod
    def rectangle(x0: Mm, y0: Mm, x1: Mm, y1: Mm, radius: Mm = 0.0) -> Outline:
        """Make a rectangle, its corners rounded if a radius is given."""
        if radius <= 0:
            return Outline.polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
        r, k = radius, QUARTER
        return Outline(
            (
                Vertex(x0 + r, y0),
                Vertex(x1 - r, y0, k),
                Vertex(x1, y0 + r),
                Vertex(x1, y1 - r, k),
                Vertex(x1 - r, y1),
                Vertex(x0 + r, y1, k),
                Vertex(x0, y1 - r),
                Vertex(x0, y0 + r, k),
            )
        )

    @property
    def edges(self) -> list[tuple[Vertex, Vertex]]:
        """Each vertex with the next."""
        return _pairs(self.vertices)

    @property
    def area(self) -> Mm2:
        """Enclosed area, arcs exact, positive when anticlockwise."""
        return sum((a.x * b.y - b.x * a.y) / 2 + _segment_area(a, b) for a, b in self.edges)

    @property
    def length(self) -> Mm:
        """Length of the line, arcs exact."""
        return sum(edge_length(a, b) for a, b in self.edges)

    @property
    def bounds(self) -> tuple[Mm, Mm, Mm, Mm]:
        """Least x and y, greatest x and y; arcs by their ends and quarter points."""
        points = self.points(1.0)
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return min(xs), min(ys), max(xs), max(ys)

    def points(self, step: Deg = 5.0) -> list[Point]:
        """Return corners, and points along each arc at most ``step`` apart, the quarter points of the circle kept."""
        out: list[Point] = []
        for a, b in self.edges:
            out.append((a.x, a.y))
            if a.arc:
                centre, radius, start, sweep = arc_of(a, b)
                count = max(1, math.ceil(abs(math.degrees(sweep)) / step - 1e-9))
                turns = {start + sweep * i / count for i in range(1, count)}
                low, high = sorted((start, start + sweep))
                turns |= {q for q in (i * math.pi / 2 for i in range(-8, 9)) if low + 1e-9 < q < high - 1e-9}
                for turn in sorted(turns, reverse=sweep < 0):
                    out.append((centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)))
        return out

    def moved(self, dx: Mm, dy: Mm) -> Outline:
        """Return the outline moved in its plane."""
        return Outline(tuple(Vertex(v.x + dx, v.y + dy, v.arc) for v in self.vertices))


QUARTER = math.tan(math.pi / 8)
"""Bulge of a quarter circle."""


def _pairs(vertices: Sequence[Vertex]) -> list[tuple[Vertex, Vertex]]:
    return list(zip(vertices, [*vertices[1:], vertices[0]], strict=True))


def arc_of(a: Vertex, b: Vertex) -> tuple[Point, Mm, Rad, Rad]:
    """Return centre, radius, start angle and signed sweep (rad) of the arc from ``a`` to ``b``."""
    sweep = 4 * math.atan(a.arc)
    chord = math.hypot(b.x - a.x, b.y - a.y)
    radius = chord / (2 * abs(math.sin(sweep / 2)))
    offset = (1 - a.arc**2) / (4 * a.arc)
    centre = ((a.x + b.x) / 2 - offset * (b.y - a.y), (a.y + b.y) / 2 + offset * (b.x - a.x))
    return centre, radius, math.atan2(a.y - centre[1], a.x - centre[0]), sweep


def edge_length(a: Vertex, b: Vertex) -> Mm:
    """Return the length of the edge from ``a`` to ``b``."""
    if not a.arc:
        return math.hypot(b.x - a.x, b.y - a.y)
    _, radius, _, sweep = arc_of(a, b)
    return radius * abs(sweep)


def _segment_area(a: Vertex, b: Vertex) -> Mm2:
    if not a.arc:
        return 0.0
    _, radius, _, sweep = arc_of(a, b)
    return radius**2 * (sweep - math.sin(sweep)) / 2
