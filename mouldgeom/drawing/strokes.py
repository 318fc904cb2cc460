"""Plane curves that line art is made of: straight lines, arcs, chains of short lines; joined, rounded and sorted."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from mouldgeom.geometry.outline import Point
from mouldgeom.units import Mm, Rad

_STEP: Final[Rad] = math.pi / 30
_DIGITS: Final = 4
_SHORT: Final[Mm] = 1e-3
_OFF: Final[Mm] = 2e-3
_GAP: Final[Mm] = 5e-3


@dataclass(frozen=True, slots=True, order=True)
class Segment:
    """A straight line."""

    start: Point
    end: Point

    def distance(self, spot: Point) -> Mm:
        """How far a point is from the line."""
        (ax, ay), (bx, by) = self.start, self.end
        dx, dy = bx - ax, by - ay
        share = max(0.0, min(1.0, ((spot[0] - ax) * dx + (spot[1] - ay) * dy) / (dx * dx + dy * dy)))
        return math.hypot(spot[0] - ax - share * dx, spot[1] - ay - share * dy)


@dataclass(frozen=True, slots=True, order=True)
class Arc:
    """A circular arc from the angle ``start`` on, anticlockwise if ``sweep`` is above 0; a circle if it is 2 pi."""

    centre: Point
    radius: Mm
    start: Rad
    sweep: Rad

    def rounded(self) -> Arc:
        """The same arc, anticlockwise, its numbers rounded."""
        start, sweep = (self.start, self.sweep) if self.sweep > 0 else (self.start + self.sweep, -self.sweep)
        start %= 2 * math.pi
        start = 0.0 if max(start, sweep) > 2 * math.pi - 1e-6 else start
        return Arc(_point(self.centre), round(self.radius, _DIGITS), round(start, 6), round(sweep, 6))

    @property
    def whole(self) -> bool:
        """Whether it is a circle."""
        return self.sweep > 2 * math.pi - 1e-5

    def at(self, turn: Rad) -> Point:
        """The point at an angle."""
        return (self.centre[0] + self.radius * math.cos(turn), self.centre[1] + self.radius * math.sin(turn))


@dataclass(frozen=True, slots=True, order=True)
class Path:
    """A chain of short lines for any other curve."""

    points: tuple[Point, ...]


Curve = Segment | Arc | Path


def _point(point: Point) -> Point:
    return (round(point[0], _DIGITS) + 0.0, round(point[1], _DIGITS) + 0.0)


def points_of(curve: Curve, step: Rad = _STEP) -> list[Point]:
    """A curve as a chain of points; the quarter points of a circle are kept."""
    if isinstance(curve, Segment):
        return [curve.start, curve.end]
    if isinstance(curve, Path):
        return list(curve.points)
    count = max(2, math.ceil(curve.sweep / step))
    turns = {curve.start + curve.sweep * i / count for i in range(count + 1)}
    turns |= {q for q in (i * math.pi / 2 for i in range(9)) if curve.start < q < curve.start + curve.sweep}
    return [curve.at(turn) for turn in sorted(turns)]


def box_of(curves: Iterable[Curve]) -> tuple[Mm, Mm, Mm, Mm]:
    """Least x and y, greatest x and y; zeros if there are none."""
    return extent([p for curve in curves for p in points_of(curve)] or [(0.0, 0.0)])


def extent(points: Sequence[Point]) -> tuple[Mm, Mm, Mm, Mm]:
    """Least x and y, greatest x and y of points."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def curve_through(points: Sequence[Point], fine: Mm) -> Curve | None:
    """The simplest curve through points, within ``fine`` of them all: line, arc, chain; ``None`` for one point."""
    first = points[0]
    far = max(points, key=lambda p: math.dist(p, first))
    length = math.dist(first, far)
    if length < _SHORT:
        return None
    if len(points) == 2:
        return line_between(first, far)
    ux, uy = (far[0] - first[0]) / length, (far[1] - first[1]) / length
    along = [(p[0] - first[0]) * ux + (p[1] - first[1]) * uy for p in points]
    if all(abs((p[0] - first[0]) * uy - (p[1] - first[1]) * ux) < _OFF for p in points):
        low, high = min(along), max(along)
        return line_between((first[0] + low * ux, first[1] + low * uy), (first[0] + high * ux, first[1] + high * uy))
    arc = _arc(points, fine) if len(points) > 4 else None
    return arc or _path(points)


def line_between(a: Point, b: Point) -> Segment:
    """A line whose lower end comes first, so that equal lines are equal."""
    a, b = sorted((_point(a), _point(b)))
    return Segment(a, b)


def _path(points: Sequence[Point]) -> Path:
    forward = tuple(_point(p) for p in points)
    return Path(min(forward, forward[::-1]))


def _arc(points: Sequence[Point], fine: Mm) -> Arc | None:
    closed = math.dist(points[0], points[-1]) < _SHORT
    places = (len(points) // 3, 2 * len(points) // 3) if closed else (len(points) // 2, -1)
    a, b, c = points[0], points[places[0]], points[places[1]]
    twice = 2 * ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
    if abs(twice) < 1e-9:
        return None
    bb = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2
    cc = (c[0] - a[0]) ** 2 + (c[1] - a[1]) ** 2
    x = a[0] + ((c[1] - a[1]) * bb - (b[1] - a[1]) * cc) / twice
    y = a[1] + ((b[0] - a[0]) * cc - (c[0] - a[0]) * bb) / twice
    radius = math.dist((x, y), a)
    if any(abs(math.dist((x, y), p) - radius) > fine for p in points):
        return None
    turns = [math.atan2(p[1] - y, p[0] - x) for p in points]
    full = 2 * math.pi
    sweep = sum((later - turn + math.pi) % full - math.pi for turn, later in itertools.pairwise(turns))
    return Arc((x, y), radius, turns[0], sweep).rounded() if sweep else None


def merged(curves: Iterable[Curve]) -> list[Curve]:
    """Curves without repeats, lines that lie on one another joined, in a fixed order."""
    lines, arcs, paths = [], [], set()
    for curve in curves:
        if isinstance(curve, Segment):
            lines.append(curve)
        elif isinstance(curve, Arc):
            arcs.append(curve)
        else:
            paths.add(curve)
    return [*sorted(_joined(lines)), *sorted(_joined_arcs(arcs)), *sorted(paths)]


def _joined(lines: Sequence[Segment]) -> list[Segment]:
    placed = []
    for line in lines:
        (ax, ay), (bx, by) = line.start, line.end
        length = math.dist(line.start, line.end)
        if length < _SHORT:
            continue
        ux, uy = (bx - ax) / length, (by - ay) / length
        if ux < -1e-9 or (abs(ux) <= 1e-9 and uy < 0):
            ux, uy = -ux, -uy
        turn = round(math.atan2(uy, ux), 4)
        if turn <= round(-math.pi / 2, 4):
            turn = round(math.pi / 2, 4)
        placed.append((turn, ax * uy - ay * ux, length, line))
    placed.sort()
    out: list[Segment] = []
    bundle: list[Segment] = []
    before: tuple[float, Mm] | None = None
    for turn, off, _, line in placed:
        if before is None or turn != before[0] or off - before[1] > _OFF:
            out += _union(bundle)
            bundle = []
        bundle.append(line)
        before = (turn, off)
    return out + _union(bundle)


def _union(lines: Sequence[Segment]) -> list[Segment]:
    """Lines on one straight line, joined where they meet."""
    if len(lines) < 2:
        return list(lines)
    base = max(lines, key=lambda line: (math.dist(line.start, line.end), line))
    (ax, ay), (bx, by) = base.start, base.end
    length = math.dist(base.start, base.end)
    ux, uy = (bx - ax) / length, (by - ay) / length

    def along(p: Point) -> Mm:
        return (p[0] - ax) * ux + (p[1] - ay) * uy

    out: list[tuple[tuple[Mm, Point], tuple[Mm, Point]]] = []
    spans = (sorted((along(p), p) for p in (line.start, line.end)) for line in lines)
    for low, high in sorted((span[0], span[1]) for span in spans):
        if out and low[0] <= out[-1][1][0] + _GAP:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return [line_between(low[1], high[1]) for low, high in out]


def _joined_arcs(arcs: Sequence[Arc]) -> list[Arc]:
    """Arcs of one circle joined where they meet."""
    circles: dict[tuple[Mm, Mm, Mm], list[Arc]] = {}
    for arc in arcs:
        key = (round(arc.centre[0], 2), round(arc.centre[1], 2), round(arc.radius, 2))
        circles.setdefault(key, []).append(arc)
    out: list[Arc] = []
    for same in circles.values():
        out += _circle(sorted(same, key=lambda arc: (arc.start, arc.sweep)))
    return out


def _circle(arcs: Sequence[Arc]) -> list[Arc]:
    first = arcs[0]
    slack = _GAP / first.radius
    spans: list[list[Rad]] = []
    for arc in arcs:
        if spans and arc.start <= spans[-1][1] + slack:
            spans[-1][1] = max(spans[-1][1], arc.start + arc.sweep)
        else:
            spans.append([arc.start, arc.start + arc.sweep])
    if len(spans) > 1 and spans[-1][1] >= spans[0][0] + 2 * math.pi - slack:
        spans[-1][1] = max(spans[-1][1], spans[0][1] + 2 * math.pi)
        spans.pop(0)
    full = 2 * math.pi
    return [Arc(first.centre, first.radius, low, min(full, high - low)).rounded() for low, high in spans]
