"""Outlines moved sideways by half a kerf, exactly: straight edges stay straight, arcs keep their centres."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mouldgeom.errors import GeometryError
from mouldgeom.geometry.outline import SAME, Outline, Point, Vertex, arc_of
from mouldgeom.units import Mm

_TANGENT = 1e-3
"""Directions that differ by less than this (rad) run on into each other."""
_MITRE_LIMIT = 10.0
"""A corner sharper than this many offsets from its tip is rounded about its tip instead."""


@dataclass(frozen=True, slots=True)
class _Edge:
    """An edge with its unit normals to the right of travel at both ends; radius 0 if straight."""

    a: Vertex
    b: Vertex
    first: Point
    last: Point
    centre: Point = (0.0, 0.0)
    radius: Mm = 0.0
    sweep: float = 0.0


def offset_outline(outline: Outline, distance: Mm) -> Outline:
    """Move every edge sideways: outwards by ``distance``, inwards if it is negative.

    Corners are mitred; a corner that opens and whose mitre would be longer than ten offsets, or whose edges would not
    meet, is rounded about its tip.

    Raises:
        GeometryError: an edge or arc vanishes or flips, or the moved outline crosses itself or encloses nothing.
    """
    if not distance:
        return outline
    edges = [_edge(a, b) for a, b in outline.edges]
    joints = [_joint(before, after, distance) for before, after in zip([edges[-1], *edges[:-1]], edges, strict=True)]
    vertices: list[Vertex] = []
    for edge, here, there in zip(edges, joints, [*joints[1:], joints[0]], strict=True):
        if here[0] != here[-1]:
            vertices.append(_round(here, edge.a))
        vertices.append(Vertex(*here[-1], _moved_bulge(edge, here[-1], there[0], distance)))
    try:
        moved = Outline(tuple(vertices))
    except GeometryError as error:
        raise GeometryError(f"nothing is left of an outline moved by {distance:g} mm") from error
    if _crosses_itself(moved.points(3.0)):
        raise GeometryError(f"an outline moved by {distance:g} mm crosses itself: a neck or slot is narrower than that")
    return moved


def _edge(a: Vertex, b: Vertex) -> _Edge:
    length = math.hypot(b.x - a.x, b.y - a.y)
    if length == 0:
        raise GeometryError(f"an outline has an edge without length at ({a.x:g}, {a.y:g})")
    if not a.arc:
        normal = ((b.y - a.y) / length, (a.x - b.x) / length)
        return _Edge(a, b, normal, normal)
    centre, radius, _, sweep = arc_of(a, b)
    out = math.copysign(1 / radius, sweep)
    return _Edge(
        a,
        b,
        ((a.x - centre[0]) * out, (a.y - centre[1]) * out),
        ((b.x - centre[0]) * out, (b.y - centre[1]) * out),
        centre,
        radius,
        sweep,
    )


def _joint(before: _Edge, after: _Edge, distance: Mm) -> tuple[Point, ...]:
    """Return where two moved edges meet: one point, or two that an arc about the old corner joins."""
    corner, n1, n2 = after.a, before.last, after.first
    turn = _turn(n1, n2)
    both = 1 + n1[0] * n2[0] + n1[1] * n2[1]
    opens = turn * distance > 0
    reach = _MITRE_LIMIT if opens else 1e6
    if both > 2 / reach**2:  # the mitre is sqrt(2 / both) offsets long
        middle = (corner.x + distance * (n1[0] + n2[0]) / both, corner.y + distance * (n1[1] + n2[1]) / both)
        if abs(turn) < _TANGENT or not (before.radius or after.radius):
            return (middle,)
        meetings = _meetings(before, after, distance)
        found = [p for p in meetings if math.dist(p, (corner.x, corner.y)) <= reach * abs(distance)]
        if found:
            return (min(found, key=lambda p: (math.dist(p, middle), p)),)
    if not opens:
        raise GeometryError(
            f"two edges no longer meet at ({corner.x:.3f}, {corner.y:.3f}) when the outline is moved by {distance:g} mm"
        )
    return tuple((corner.x + distance * n[0], corner.y + distance * n[1]) for n in (n1, n2))


def _round(ends: tuple[Point, ...], corner: Vertex) -> Vertex:
    """Return the first vertex of the arc about ``corner`` from one end to the other, the short way."""
    (x1, y1), (x2, y2) = ends
    turn = _turn((x1 - corner.x, y1 - corner.y), (x2 - corner.x, y2 - corner.y))
    return Vertex(x1, y1, math.tan(turn / 4))


def _turn(u: Point, v: Point) -> float:
    """Return the angle from ``u`` to ``v`` (rad), anticlockwise positive, at most half a turn."""
    return math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1])


def _meetings(before: _Edge, after: _Edge, distance: Mm) -> Iterator[Point]:
    """Yield the points where the full line or circle of one moved edge meets that of the other."""
    if before.radius and after.radius:
        radii = _moved_radius(before, distance), _moved_radius(after, distance)
        yield from _circles_meet(before.centre, radii[0], after.centre, radii[1])
        return
    line, arc = (after, before) if before.radius else (before, after)
    (nx, ny), radius = line.first, _moved_radius(arc, distance)
    x, y = line.a.x + distance * nx, line.a.y + distance * ny
    gap = (x - arc.centre[0]) * nx + (y - arc.centre[1]) * ny
    if abs(gap) <= radius:
        half = math.sqrt(radius**2 - gap**2)
        for along in (-half, half):
            yield (arc.centre[0] + gap * nx - along * ny, arc.centre[1] + gap * ny + along * nx)


def _circles_meet(c1: Point, r1: Mm, c2: Point, r2: Mm) -> Iterator[Point]:
    dx, dy = c2[0] - c1[0], c2[1] - c1[1]
    apart = math.hypot(dx, dy)
    if apart and abs(r1 - r2) <= apart <= r1 + r2:
        along = (apart**2 + r1**2 - r2**2) / (2 * apart)
        half = math.sqrt(max(0.0, r1**2 - along**2))
        for side in (-half, half):
            yield (c1[0] + (along * dx - side * dy) / apart, c1[1] + (along * dy + side * dx) / apart)


def _moved_radius(edge: _Edge, distance: Mm) -> Mm:
    radius = edge.radius + math.copysign(distance, edge.sweep * distance)
    if radius <= 0:
        raise GeometryError(
            f"an arc of radius {edge.radius:g} mm at ({edge.a.x:.3f}, {edge.a.y:.3f}) vanishes "
            f"when the outline is moved by {distance:g} mm"
        )
    return radius


def _moved_bulge(edge: _Edge, start: Point, end: Point, distance: Mm) -> float:
    """Return the bulge of an edge between its moved ends.

    Raises:
        GeometryError: the edge runs the other way now.
    """
    if not edge.radius:
        ahead = (end[0] - start[0]) * (edge.b.x - edge.a.x) + (end[1] - start[1]) * (edge.b.y - edge.a.y)
        if ahead <= 0:
            raise _flipped(edge, distance)
        return 0.0
    _moved_radius(edge, distance)
    (cx, cy), (a, b) = edge.centre, (edge.a, edge.b)
    sweep = (
        edge.sweep
        + _turn((b.x - cx, b.y - cy), (end[0] - cx, end[1] - cy))
        - _turn((a.x - cx, a.y - cy), (start[0] - cx, start[1] - cy))
    )
    if sweep * edge.sweep <= 0 or abs(sweep) >= 2 * math.pi:
        raise _flipped(edge, distance)
    return math.tan(sweep / 4)


def _flipped(edge: _Edge, distance: Mm) -> GeometryError:
    a, b = edge.a, edge.b
    return GeometryError(
        f"the edge from ({a.x:.3f}, {a.y:.3f}) to ({b.x:.3f}, {b.y:.3f}) vanishes "
        f"when the outline is moved by {distance:g} mm"
    )


def _crosses_itself(points: list[Point]) -> bool:
    """Tell whether two sides of a closed polygon that are not neighbours cross, touch or lie on each other.

    Arcs come as chords of at most 3 degrees, so an overlap of less than radius / 3000 of an arc may pass.
    """
    before = [points[-1], *points[:-1]]
    start = np.array([p for p, q in zip(points, before, strict=True) if math.dist(p, q) > SAME])
    end = np.roll(start, -1, axis=0)
    (x, y), (dx, dy) = start.T, (end - start).T
    length = np.hypot(dx, dy)[:, None]

    def side(of: NDArray[np.float64]) -> NDArray[np.float64]:
        """Distance of point j from line i: positive on its left, 0 within a millionth of a millimetre."""
        left = (dx[:, None] * (of[:, 1] - y[:, None]) - dy[:, None] * (of[:, 0] - x[:, None])) / length
        return np.where(np.abs(left) < SAME, 0.0, left)

    parted = side(start) * side(end) <= 0
    low, high = np.minimum(start, end), np.maximum(start, end)
    beside = ((low[:, None] <= high + SAME) & (high[:, None] >= low - SAME)).all(2)
    apart = np.abs(np.subtract.outer(range(len(start)), range(len(start))))
    neighbours = (apart <= 1) | (apart == len(start) - 1)
    return bool((parted & parted.T & beside & ~neighbours).any())
