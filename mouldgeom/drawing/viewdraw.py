"""Line art on paper: views at a scale, hatched cut faces, dimensions between points, and call-outs in columns.

Everything is in millimetres of paper.  ``Place`` takes points of a view to the paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product
from typing import Final

import numpy as np
from shapely import LineString, MultiLineString, Polygon, contains_xy
from shapely.affinity import affine_transform

from mouldgeom.drawing import lettering
from mouldgeom.drawing.hidden import CutFace, View
from mouldgeom.drawing.layout import Obstacles, overlap, spread
from mouldgeom.drawing.lettering import NORMAL, SMALL
from mouldgeom.drawing.looking import CONCRETE
from mouldgeom.drawing.primitives import (
    ARROW,
    GAP,
    Area,
    Box,
    Circle,
    Dimension,
    Feature,
    Item,
    Line,
    Primitive,
    Stroke,
    Text,
    arrow,
    balloon,
    leader,
    line,
    primitives,
)
from mouldgeom.drawing.strokes import Arc, Curve, Segment
from mouldgeom.geometry.outline import Point, Vertex
from mouldgeom.units import Deg, Mm, Ratio

BLACK_BELOW: Final[Mm] = 2.0
"""Cut faces thinner than this on paper are filled black.

Source: ISO 128-3:2020, thin sections (from memory).
"""
STEEL_HATCH: Final[Mm] = 1.6
FIRST: Final[Mm] = 10.0
NEXT: Final[Mm] = 8.0
"""First dimension line from the outline, and from one to the next.

Source: drawing practice (seen).
"""


@dataclass(frozen=True)
class ViewPlace:
    """Where a view lies: its scale, and the paper's point of its origin."""

    scale: Ratio
    x: Mm
    y: Mm

    def __call__(self, point: Point) -> Point:
        """A point of the view on paper."""
        return self.x + self.scale * point[0], self.y + self.scale * point[1]

    def box(self, box: Box) -> Box:
        """A box of the view on paper."""
        return (*self((box[0], box[1])), *self((box[2], box[3])))


def at_corner(view: View, scale: Ratio, left: Mm, low: Mm) -> ViewPlace:
    """The place that puts the lower left corner of a view at a point."""
    x0, y0, _, _ = view.box
    return ViewPlace(scale, left - scale * x0, low - scale * y0)


def strokes(curves: Iterable[Curve], kind: Line, place: ViewPlace) -> list[Primitive]:
    """Curves of a view as primitives."""
    return [_stroke(curve, kind, place) for curve in curves]


def _stroke(curve: Curve, kind: Line, place: ViewPlace) -> Primitive:
    if isinstance(curve, Arc):
        if curve.whole:
            return Circle(kind, *place(curve.centre), place.scale * curve.radius)
        half = curve.sweep / 2
        arc = math.tan(half / 4)
        ends = [place(curve.at(curve.start + turn)) for turn in (0.0, half, curve.sweep)]
        return Stroke(kind, tuple(Vertex(*p, b) for p, b in zip(ends, (arc, arc, 0.0), strict=True)))
    points = [curve.start, curve.end] if isinstance(curve, Segment) else list(curve.points)
    return line(kind, *(place(p) for p in points))


def drawn(view: View, place: ViewPlace, *, hidden: bool = False) -> list[Primitive]:
    """A view on paper: cut faces, visible lines, and hidden ones if asked for."""
    out: list[Primitive] = []
    for number, cut in enumerate(view.cuts):
        out += filled(cut, place, number)
    if hidden:
        out += strokes(view.hidden, Line.HIDDEN, place)
    return out + strokes((*view.visible, *view.bold), Line.VISIBLE, place)


def filled(cut: CutFace, place: ViewPlace, number: int) -> list[Primitive]:
    """A cut face: aggregate for concrete, black for thin steel, else hatched at 45 degrees, neighbours the other way.

    Source: ISO 128-3:2020 (hatching, thin sections; from memory).
    """
    area = affine_transform(cut.area, [place.scale, 0, 0, place.scale, place.x, place.y])
    if not cut.mark:
        return list(aggregate(area)) if cut.id == CONCRETE else list(hatch(area, STEEL_HATCH, 45.0))
    if thickness(area) < BLACK_BELOW:
        return [Area(Line.VISIBLE, tuple(list(p.exterior.coords)[:-1])) for p in _without_holes(area)]
    return list(hatch(area, STEEL_HATCH, 135.0 if number % 2 else 45.0))


def thickness(area: Polygon) -> Mm:
    """Thickness of a narrow area: twice its area through the length of its edges."""
    return 2 * area.area / area.length if area.length else 0.0


def _without_holes(area: Polygon) -> list[Polygon]:
    """An area cut upright through its holes, so that each piece has one ring."""
    if not area.interiors:
        return [area]
    x = area.interiors[0].centroid.x
    x0, y0, x1, y1 = area.bounds
    halves = (
        area.intersection(Polygon([(a, y0 - 1), (b, y0 - 1), (b, y1 + 1), (a, y1 + 1)]))
        for a, b in ((x0 - 1, x), (x, x1 + 1))
    )
    pieces = [p for half in halves for p in getattr(half, "geoms", [half]) if isinstance(p, Polygon)]
    return [q for p in pieces for q in _without_holes(p)]


def hatch(area: Polygon, spacing: Mm, turn: Deg) -> Iterator[Primitive]:
    """Parallel narrow lines over an area."""
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    x0, y0, x1, y1 = area.bounds
    offs = [y * c - x * s for x in (x0, x1) for y in (y0, y1)]
    alongs = [x * c + y * s for x in (x0, x1) for y in (y0, y1)]
    lines = []
    for step in range(math.ceil(min(offs) / spacing), math.floor(max(offs) / spacing) + 1):
        off = step * spacing
        lines.append([(u * c - off * s, u * s + off * c) for u in (min(alongs) - 1, max(alongs) + 1)])
    cut = area.intersection(MultiLineString(lines)) if lines else area.boundary
    for piece in getattr(cut, "geoms", [cut]):
        if isinstance(piece, LineString) and piece.length > 0.3 and lines:
            yield line(Line.HATCH, *piece.coords)


def aggregate(area: Polygon, spacing: Mm = 4.5) -> Iterator[Primitive]:
    """Dots and small triangles over an area, as concrete is drawn; the same each time."""
    x0, y0, x1, y1 = area.bounds
    rows, columns = np.mgrid[
        math.ceil(y0 / spacing) : math.floor(y1 / spacing) + 1, math.ceil(x0 / spacing) : math.floor(x1 / spacing) + 1
    ]
    shake = (rows * 7919 + columns * 104729 + rows * columns * 13) % 8633
    xs = (columns + shake % 97 / 97 * 0.8) * spacing
    ys = (rows + shake // 97 / 89 * 0.8) * spacing
    inside = contains_xy(area.buffer(-0.9), xs, ys)
    for x, y, number in zip(xs[inside].tolist(), ys[inside].tolist(), shake[inside].tolist(), strict=True):
        if number % 5 == 0:
            turns = [number % 11 + i * 2 * math.pi / 3 for i in range(3)]
            yield line(Line.HATCH, *((x + 0.7 * math.cos(t), y + 0.7 * math.sin(t)) for t in turns), closed=True)
        else:
            yield Circle(Line.HATCH, x, y, 0.16, filled=True)


# --- dimensions ------------------------------------------------------------------------------------------------------


def linear(
    a: Point, b: Point, level: Mm, text: str, value: Mm, feature: Feature, *,
    upright: bool = False, height: Mm = NORMAL, outside: int = -1,
) -> Dimension:  # fmt: skip
    """A dimension between two points, its line level at y = ``level``, or upright at x = ``level``.

    A text that is too long stands beyond the lower (``outside`` -1) or the upper end (1).
    """
    a, b = sorted((a, b), key=lambda p: p[1] if upright else p[0])
    low, high = (a[1], b[1]) if upright else (a[0], b[0])

    def at(along: Mm, off: Mm) -> Point:
        return (level - off, along) if upright else (along, level + off)

    parts: list[Primitive] = []
    for point, where in ((a, low), (b, high)):
        here = point[0] if upright else point[1]
        sign = 1.0 if level > here else -1.0
        ends = ((here + sign * 0.8, where), (level + sign * 2.0, where))
        if abs(level - here) > 1.0:
            parts.append(line(Line.THIN, *(end if upright else end[::-1] for end in ends)))
    wide = lettering.width(text, height)
    tight = high - low < 2 * ARROW + 1.5
    beyond = wide > high - low - 1.0
    along = (1.0, 0.0) if not upright else (0.0, 1.0)
    reach_low, reach_high = low, high
    if tight:
        reach_low, reach_high = low - 2 * ARROW, high + 2 * ARROW
    if beyond:
        extra = wide + ARROW + 2.5
        reach_low, reach_high = (low - extra, reach_high) if outside < 0 else (reach_low, high + extra)
    back = (-along[0], -along[1])
    parts += [
        line(Line.THIN, at(reach_low, 0), at(reach_high, 0)),
        arrow(at(low, 0), along if tight else back),
        arrow(at(high, 0), back if tight else along),
    ]
    middle = (low + high) / 2
    if beyond:
        middle = low - ARROW - 1.2 - wide / 2 if outside < 0 else high + ARROW + 1.2 + wide / 2
    parts.append(Text(text, *at(middle, GAP), height, "middle", 90.0 if upright else 0.0))
    return Dimension(feature, value, text, (a, b), tuple(parts))


@dataclass(frozen=True)
class Size:
    """A length to be written on a view: the points that it lies between, its value, its text and what it fixes."""

    a: Point
    b: Point
    value: Mm
    text: str
    feature: Feature


def stacked(
    sizes: Sequence[Size], level: Mm, around: Iterable[Item], *, upright: bool = False, height: Mm = NORMAL
) -> list[Dimension]:  # fmt: skip
    """Dimensions one beyond the other below a view, or on the left of it if ``upright``, as ``linear`` draws them.

    The first stands at ``level``.  One that would meet something puts its text at its other end, or stands further out;
    what stands ``around`` and the extension lines of the dimensions that follow are in its way.
    """
    obstacles = Obstacles(primitives(around))
    out: list[Dimension] = []
    for number, size in enumerate(sizes):
        ends = [end for other in sizes[number + 1 :] for end in (other.a, other.b)]
        far = level - _REACH
        coming = Obstacles([line(Line.THIN, (x, y), (far, y) if upright else (x, far)) for x, y in ends])
        for step, outside in product(range(_STEPS), (-1, 1)):
            here = level - step * NEXT / 2
            made = linear(
                size.a, size.b, here, size.text, size.value, size.feature,
                upright=upright, height=height, outside=outside,
            )  # fmt: skip
            if step == 0 and outside < 0:
                best = made, level
            if not any(o.struck(p, _CLEAR) for p in made.parts for o in (obstacles, coming)):
                best = made, here
                break
        dimension, here = best
        out.append(dimension)
        for part in dimension.parts:
            obstacles.add(part)
        level = here - NEXT
    return out


_REACH: Final[Mm] = 200.0
"""Extension lines of dimensions that follow end beyond all others."""
_STEPS: Final = 12
"""How many half rows further out a dimension is tried."""
_CLEAR: Final[Mm] = 0.2


# --- call-outs -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Callout:
    """Something written beside a view that points at a spot of it.

    ``right`` and ``left`` are its primitives for the column on that side of the view; the leader meets them at (0, 0).
    """

    target: Point
    height: Mm
    right: tuple[Primitive, ...]
    left: tuple[Primitive, ...]
    dot: bool = True


def mark_callout(mark: str, target: Point, height: Mm = NORMAL, *, dot: bool = True) -> Callout:
    """A part mark in a circle."""
    ring = balloon(mark, (0.0, 0.0), (0.0, 0.0), height=height)
    radius = next(p.radius for p in ring if isinstance(p, Circle))
    right, left = (tuple(p.moved(x, 0.0) for p in ring) for x in (radius, -radius))
    return Callout(target, 2 * radius, right, left, dot)


def columns(
    callouts: Sequence[Callout], box: Box, gap: Mm = 8.0, *, sides: str = "both", room: tuple[Mm, Mm] | None = None
) -> list[Primitive]:
    """Call-outs in a column on each side of a box, none on another, no two leaders crossing.

    Args:
        callouts: what to place; targets lie in the box.
        box: what they keep clear of.
        gap: between box and columns.
        sides: ``"both"``, ``"left"`` or ``"right"``.
        room: least and greatest y of the columns.
    """
    x0, y0, x1, y1 = box
    middle = (x0 + x1) / 2
    ordered = sorted(callouts, key=lambda c: (c.target[0], c.target[1]))
    if sides == "both":
        half = [c for c in ordered if c.target[0] < middle]
        most = math.ceil(0.62 * len(ordered))
        number = min(max(len(half), len(ordered) - most), most)
        lefts, rights = ordered[:number], ordered[number:]
    else:
        lefts, rights = (ordered, []) if sides == "left" else ([], ordered)
    out: list[Primitive] = []
    for side, x in ((lefts, x0 - gap), (rights, x1 + gap)):
        out += _column(side, x, x < middle, room or (y0, y1))
    return out


def _column(callouts: Sequence[Callout], x: Mm, left: bool, room: tuple[Mm, Mm]) -> list[Primitive]:
    if not callouts:
        return []
    pitch = max(c.height for c in callouts) + 1.8
    queue = sorted(callouts, key=lambda c: (c.target[1], c.target[0]))
    places = spread([c.target[1] for c in queue], pitch)
    low, high = places[0] - pitch / 2, places[-1] + pitch / 2
    shift = max(0.0, room[0] - low) if high - low <= room[1] - room[0] else (sum(room) - low - high) / 2
    shift -= max(0.0, high + shift - room[1]) if high - low <= room[1] - room[0] else 0.0
    places = [y + shift for y in places]
    for _ in range(len(queue) ** 2):
        crossing = next(
            (
                (i, j)
                for i, j in combinations(range(len(queue)), 2)
                if _cross(queue[i].target, (x, places[i]), queue[j].target, (x, places[j]))
            ),
            None,
        )
        if crossing is None:
            break
        i, j = crossing
        queue[i], queue[j] = queue[j], queue[i]
    out: list[Primitive] = []
    for callout, y in zip(queue, places, strict=True):
        out += leader(callout.target, (x, y), dot=callout.dot)
        out += [p.moved(x, y) for p in (callout.left if left else callout.right)]
    return out


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> Mm:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def caption(text: str, box: Box, height: Mm = NORMAL, gap: Mm = 4.0, around: Iterable[Item] = ()) -> Text:
    """The name of a view above its box, and above what stands there ``around`` it as long as that is not too far."""
    made = Text(text, (box[0] + box[2]) / 2, box[3] + gap, height, "middle", bold=True)
    x0, y0, x1, y1 = made.box
    strip = (x0, y0, x1, y1 + _RAISED)
    obstacles = Obstacles(primitives(item for item in around if overlap(item.box, strip, _CLEAR)))
    raised = (replace(made, y=made.y + step) for step in range(_RAISED))
    return next((spot for spot in raised if not obstacles.meets(spot, _CLEAR)), made)


_RAISED: Final = 16
"""Millimetres that the name of a view is raised at most."""


__all__ = [
    "BLACK_BELOW", "FIRST", "NEXT", "SMALL", "Callout", "Size", "ViewPlace", "aggregate", "at_corner", "caption",
    "columns", "drawn", "filled", "hatch", "linear", "mark_callout", "replace", "stacked",
    "strokes", "thickness",
]  # fmt: skip
