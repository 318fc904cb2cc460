"""Shapes as the nester sees them: convex bits, and the half-planes that keep two of them apart.  Plain numpy.

A shape is a cover of the part by convex polygons ("bits"); arcs are replaced by straight lines on the scrap side, so
that the cover never lies inside the part.  Two convex bits are ``gap`` apart if their offset satisfies one of the
half-planes of their no-fit polygon.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from shapely import constrained_delaunay_triangles, get_parts, union_all
from shapely.geometry import Polygon, box
from shapely.geometry.polygon import orient

from mouldgeom.geometry.outline import Outline, Point, Vertex, arc_of
from mouldgeom.units import Deg, Mm, Mm2, Ratio

Array = NDArray[np.float64]

_STEP = 30.0
"""Longest piece of an arc (degrees) that one straight line stands for."""
_FLAT = 1e-6
_MITRE: Ratio = 10.0
"""Corners are mitred up to this many times the growth, as by ``outputs.offset``."""
_NOTCH: Ratio = 0.015
"""A notch of less than this share of a part is taken as filled: too small to nest in, and it costs time."""


@dataclass(frozen=True, eq=False)
class Shape:
    """Convex bits in one orientation, the lower left corner of their bounding box at the origin.

    ``angle`` is the turn anticlockwise that was given to the part; ``origin`` is where the part's own origin lies.
    """

    bits: tuple[Array, ...]
    width: Mm
    height: Mm
    angle: Deg
    origin: Point
    area: Mm2

    @cached_property
    def hull(self) -> Array:
        """Corners of the convex hull, anticlockwise."""
        return convex_hull(np.concatenate(self.bits))

    @cached_property
    def normals(self) -> tuple[Array, ...]:
        """Outward unit normals of each bit; between the sides of a sharp corner one more, that cuts its mitre off."""
        return tuple(_normals(bit) for bit in self.bits)


def cover(outline: Outline, grown: Mm = 0.0) -> tuple[Array, ...]:
    """Return convex polygons that cover an outline grown by so much, its corners mitred as a compensated cut is.

    They reach beyond it only at its arcs, and over small notches.
    """
    ring = Polygon(scrap_side(outline)).buffer(grown, join_style="mitre", mitre_limit=_MITRE)
    hull = ring.convex_hull
    if not isinstance(ring, Polygon) or ring.interiors:
        return (convex_hull(np.array(hull.exterior.coords)),)
    notches = [part for part in get_parts(hull.difference(ring)) if part.area < _NOTCH * hull.area]
    filled = union_all([ring, *(part.buffer(1e-6, join_style="mitre") for part in notches)]).simplify(1e-4)
    return convex_bits(filled if isinstance(filled, Polygon) and not filled.interiors else ring)


def scrap_side(outline: Outline, step: Deg = _STEP) -> list[Point]:
    """Return a polygon around an outline: a hollow arc by its chord, a bulging one by tangents."""
    points: list[Point] = []
    for a, b in outline.edges:
        points.append((a.x, a.y))
        if a.arc > 0:
            points += _tangents(a, b, step)
    return points


def _tangents(a: Vertex, b: Vertex, step: Deg) -> list[Point]:
    (cx, cy), radius, start, sweep = arc_of(a, b)
    count = max(1, math.ceil(abs(math.degrees(sweep)) / step - 1e-9))
    far = radius / math.cos(sweep / count / 2)
    turns = (start + sweep * (i + 0.5) / count for i in range(count))
    return [(cx + far * math.cos(turn), cy + far * math.sin(turn)) for turn in turns]


def inscribed(outline: Outline, step: Deg = _STEP) -> list[Point]:
    """Return a polygon within an outline: a bulging arc by its chords, a hollow one by its tangents."""
    points: list[Point] = []
    for a, b in outline.edges:
        points.append((a.x, a.y))
        if a.arc < 0:
            points += _tangents(a, b, step)
        elif a.arc > 0:
            (cx, cy), radius, start, sweep = arc_of(a, b)
            count = max(1, math.ceil(math.degrees(sweep) / step - 1e-9))
            turns = (start + sweep * i / count for i in range(1, count))
            points += [(cx + radius * math.cos(turn), cy + radius * math.sin(turn)) for turn in turns]
    return points


def convex_hull(points: Array) -> Array:
    """Return the corners of the convex hull, anticlockwise, without points on its sides."""
    ordered = sorted({(round(float(x), 9), round(float(y), 9)) for x, y in points})

    def half(source: Iterable[Point]) -> list[Point]:
        chain: list[Point] = []
        for p in source:
            while len(chain) > 1 and _cross(chain[-2], chain[-1], p) <= _FLAT:
                chain.pop()
            chain.append(p)
        return chain[:-1]

    return np.array(half(ordered) + half(reversed(ordered)))


def _cross(a: Point, b: Point, c: Point) -> Mm2:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def convex_bits(polygon: Polygon) -> tuple[Array, ...]:
    """Cut a polygon, with holes or without, into convex polygons: triangles, joined while they stay convex."""
    if not polygon.interiors:
        hull = convex_hull(np.array(polygon.exterior.coords))
        if Polygon(hull).area - polygon.area < 1.0:
            return (hull,)
    triangles = [list(orient(t).exterior.coords)[:-1] for t in get_parts(constrained_delaunay_triangles(polygon))]
    pieces = sorted(triangles, key=lambda t: (-Polygon(t).area, t))
    while True:
        found = next(_joinable(pieces), None)
        if found is None:
            return tuple(np.array(piece) for piece in pieces)
        i, j, both = found
        pieces[i] = both
        del pieces[j]


def _joinable(pieces: Sequence[list[Point]]) -> Iterator[tuple[int, int, list[Point]]]:
    """Yield pairs of pieces that are convex together."""
    areas = [Polygon(piece).area for piece in pieces]
    for i in range(len(pieces)):
        for j in range(i + 1, len(pieces)):
            both = convex_hull(np.array(pieces[i] + pieces[j]))
            if Polygon(both).area - areas[i] - areas[j] < 1e-3:
                yield i, j, [(float(x), float(y)) for x, y in both]


def outside_bits(outline: Sequence[Point], reach: Mm = 20.0) -> tuple[Array, ...]:
    """Return convex polygons that cover what lies around an outline, as far as ``reach`` beyond its bounding box."""
    polygon = Polygon(outline)
    x0, y0, x1, y1 = polygon.bounds
    around = box(x0 - reach, y0 - reach, x1 + reach, y1 + reach).difference(polygon)
    return tuple(bit for part in get_parts(around) if isinstance(part, Polygon) for bit in convex_bits(part))


def turned(points: Array, angle: Deg) -> Array:
    """Return points turned anticlockwise about the origin; quarter turns are exact."""
    quarters, rest = divmod(angle, 90)
    c, s = math.cos(math.radians(rest)), math.sin(math.radians(rest))
    for _ in range(int(quarters) % 4):
        c, s = -s, c
    x, y = points[:, 0], points[:, 1]
    return np.stack((c * x - s * y, s * x + c * y), 1)


def shape_of(bits: Sequence[Array], angle: Deg) -> Shape:
    """Return a cover turned by an angle and moved to the origin."""
    spun = [turned(bit, angle) for bit in bits]
    low = np.min([bit.min(0) for bit in spun], 0)
    high = np.max([bit.max(0) for bit in spun], 0)
    area = sum(_area(bit) for bit in spun)
    size = high - low
    return Shape(
        tuple(bit - low for bit in spun), float(size[0]), float(size[1]), angle, (-float(low[0]), -float(low[1])), area
    )


def _area(bit: Array) -> Mm2:
    after = np.roll(bit, -1, 0)
    return float((bit[:, 0] * after[:, 1] - bit[:, 1] * after[:, 0]).sum() / 2)


def same_place(one: Shape, other: Shape) -> bool:
    """Tell whether two orientations cover the same ground."""
    if abs(one.width - other.width) > _FLAT or len(one.hull) != len(other.hull) or len(one.bits) != len(other.bits):
        return False
    if any(len(a) != len(b) for a, b in zip(one.bits, other.bits, strict=True)):
        return False
    mine, theirs = (sorted(np.round(np.concatenate(s.bits), 3).tolist()) for s in (one, other))
    return mine == theirs


def _normals(bit: Array) -> Array:
    along = np.roll(bit, -1, 0) - bit
    along = along[np.hypot(along[:, 0], along[:, 1]) > 1e-3]
    out = np.stack((along[:, 1], -along[:, 0]), 1) / np.hypot(along[:, 0], along[:, 1])[:, None]
    extra = []
    for a, b in zip(out, np.roll(out, -1, 0), strict=True):
        if a @ b < -0.05:  # a corner sharper than a right angle
            middle = a + b
            size = math.hypot(middle[0], middle[1])
            if size > 1e-6:
                extra.append(middle / size)
    return np.concatenate((out, np.array(extra).reshape(-1, 2)))


class Apart:
    """Half-planes that keep pairs of shapes apart, made once for each pair of shapes.

    For shapes a (standing) and b (moving), ``planes(a, b)`` is one (normals, offsets) for each pair of bits: the bits
    are ``gap`` apart if ``normals @ (b - a) >= offsets`` holds in at least one line.
    """

    def __init__(self, gap: Mm) -> None:
        self.gap = gap
        self._known: dict[tuple[int, int], list[tuple[Array, Array]]] = {}
        self._kept: list[Shape] = []

    def planes(self, a: Shape, b: Shape) -> list[tuple[Array, Array]]:
        """Return the half-planes of each pair of bits."""
        key = (id(a), id(b))
        if key not in self._known:
            self._kept += [a, b]
            self._known[key] = [
                _planes(bit_a, na, bit_b, nb, self.gap)
                for bit_a, na in zip(a.bits, a.normals, strict=True)
                for bit_b, nb in zip(b.bits, b.normals, strict=True)
            ]
        return self._known[key]


def _planes(a: Array, na: Array, b: Array, nb: Array, gap: Mm) -> tuple[Array, Array]:
    normals = np.concatenate((na, -nb))
    _, first = np.unique(np.round(normals, 7), axis=0, return_index=True)
    normals = normals[np.sort(first)]
    offsets = (normals[:, :1] * a[:, 0] + normals[:, 1:] * a[:, 1]).max(1)
    offsets -= (normals[:, :1] * b[:, 0] + normals[:, 1:] * b[:, 1]).min(1)
    return normals, offsets + gap
