"""Triangle meshes of the parts straight from their outlines and sections, without the kernel.

Every mesh is closed, its triangles anticlockwise seen from outside, its vertices in the part's own frame (mm).  An arc
is drawn by chords between points that lie on it, so that a mesh lies inside a convex arc, and a hole is a little small:
by no more than the chord tolerance.  Two bodies that do not overlap may so show a gap, but seldom an overlap.

Faces with holes are triangulated by shapely's constrained Delaunay triangulation (GEOS): it adds no vertex, and shapely
is needed for the flat patterns anyway.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from mouldgeom import tables
from mouldgeom.errors import GeometryError
from mouldgeom.geometry.outline import SAME, Outline, Point, arc_of
from mouldgeom.geometry.placement import Placement, Vec
from mouldgeom.model.sections import angle_section, tube_section
from mouldgeom.model.shapes import (
    Bar,
    BarHole,
    Fastener,
    FastenerKind,
    Part,
    Plate,
    SectionKind,
    bar_diameter,
)
from mouldgeom.units import Deg, Mm, Mm3

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]

CHORD: Final = 0.05
"""How far a chord may lie from its arc, mm."""
FEATURE_ANGLE: Final = 25.0
"""An edge whose faces turn by more than this (deg) is drawn as a line."""

WELD: Final = 1e-6
"""Points of a mesh closer than this (mm) are one."""

Strip = tuple[int, int]
"""A flat side of a bar: the number of its ring, and of its first corner in the ring."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """A closed surface of triangles.

    Args:
        vertices: (n, 3) float64, mm.
        triangles: (m, 3) int32, numbers of vertices, anticlockwise seen from outside.
        edges: (k, 2) int32, the feature lines: edges whose faces turn by more than ``FEATURE_ANGLE``.
    """

    vertices: Floats
    triangles: Ints
    edges: Ints

    @property
    def volume(self) -> Mm3:
        """Enclosed volume, measured from the middle of the vertices to keep digits."""
        a, b, c = np.moveaxis((self.vertices - self.vertices.mean(axis=0))[self.triangles], 1, 0)
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)

    def placed(self, at: Placement) -> Mesh:
        """The mesh moved to its place."""
        matrix = np.array(at.matrix)
        return Mesh(self.vertices @ matrix[:3, :3].T + matrix[:3, 3], self.triangles, self.edges)


def make_mesh(vertices: Floats, triangles: Ints, angle: Deg = FEATURE_ANGLE) -> Mesh:
    """Make a mesh and find its feature lines.

    Raises:
        GeometryError: the surface is not closed.
    """
    pairs, sides = edge_sides(triangles)
    normals = triangle_normals(vertices, triangles)
    turn = np.einsum("ij,ij->i", normals[sides[:, 0]], normals[sides[:, 1]])
    return Mesh(vertices, triangles, pairs[turn < math.cos(math.radians(angle))])


def edge_sides(triangles: Ints) -> tuple[Ints, Ints]:
    """Return every edge as (k, 2) vertex numbers, and the (k, 2) triangles on its left and right.

    Raises:
        GeometryError: an edge does not have exactly two triangles that run along it in opposite directions.
    """
    start = triangles.astype(np.int64).ravel()
    end = np.roll(triangles, -1, axis=1).astype(np.int64).ravel()
    count = int(start.max()) + 1
    forth, back = start * count + end, end * count + start
    order, reverse = np.argsort(forth, kind="stable"), np.argsort(back, kind="stable")
    ordered = forth[order]
    if np.any(ordered[1:] == ordered[:-1]) or not np.array_equal(ordered, back[reverse]):
        raise GeometryError("the surface of a mesh is not closed")
    kept = start[order] < end[order]
    left, right = order[kept], reverse[kept]
    pairs = np.stack((start[left], end[left]), axis=1)
    return pairs.astype(np.int32), np.stack((left // 3, right // 3), axis=1).astype(np.int32)


def triangle_normals(vertices: Floats, triangles: Ints) -> Floats:
    """Unit normals of the triangles, (m, 3); a triangle without area has none (zeros)."""
    a, b, c = np.moveaxis(vertices[triangles], 1, 0)
    normals: Floats = np.cross(b - a, c - a)
    length = np.sqrt(np.einsum("ij,ij->i", normals, normals))
    return normals / np.where(length > 0, length, 1.0)[:, None]


@dataclass(frozen=True, eq=False)
class Surface:
    """What a mesh needs to be shaded and to have its lines drawn.

    Args:
        normals: (m, 3, 3) unit normals at the corners of triangles, smoothed across edges that are no feature lines.
        patch: (m,) number of the smooth surface that each triangle belongs to.
        pairs: (k, 2) vertices of every edge.
        sides: (k, 2) triangles of every edge.
        sharp: (k,) whether the edge is a feature line.
    """

    normals: Floats
    patch: NDArray[np.int64]
    pairs: Ints
    sides: Ints
    sharp: NDArray[np.bool_]


def surface_of(mesh: Mesh, angle: Deg = FEATURE_ANGLE) -> Surface:
    """Find the smooth surfaces of a mesh, and the normals by area and angle of the triangles that meet in one."""
    a, b, c = np.moveaxis(mesh.vertices[mesh.triangles], 1, 0)
    large, flat = np.cross(b - a, c - a), triangle_normals(mesh.vertices, mesh.triangles)
    pairs, sides = edge_sides(mesh.triangles)
    sharp = np.einsum("ij,ij->i", flat[sides[:, 0]], flat[sides[:, 1]]) < math.cos(math.radians(angle))
    patch = _connected(len(flat), sides[~sharp])
    corner = np.stack([_corner_angle(b - a, c - a), _corner_angle(c - b, a - b), _corner_angle(a - c, b - c)], axis=1)
    weight = (corner[:, :, None] * large[:, None, :]).reshape(-1, 3)
    _, group = np.unique(mesh.triangles * np.int64(len(flat)) + patch[:, None], return_inverse=True)
    total = np.stack([np.bincount(group.ravel(), weight[:, i]) for i in range(3)], axis=1)
    length = np.sqrt(np.einsum("ij,ij->i", total, total))
    smooth = total / np.where(length > 0, length, 1.0)[:, None]
    return Surface(smooth[group.ravel()].reshape(-1, 3, 3), patch, pairs, sides, sharp)


def _corner_angle(a: Floats, b: Floats) -> Floats:
    """Angles between rows, rad."""
    sine = np.cross(a, b)
    angle: Floats = np.arctan2(np.sqrt(np.einsum("ij,ij->i", sine, sine)), np.einsum("ij,ij->i", a, b))
    return angle


def _connected(count: int, links: Ints) -> NDArray[np.int64]:
    """Number of the connected set that each of ``count`` things belongs to: the least number in it."""
    label = np.arange(count)
    while True:
        before = label.copy()
        least = np.minimum(label[links[:, 0]], label[links[:, 1]])
        np.minimum.at(label, links[:, 0], least)
        np.minimum.at(label, links[:, 1], least)
        label = label[label]
        if np.array_equal(label, before):
            return label


def part_mesh(part: Part, chord: Mm = CHORD) -> Mesh:
    """Mesh of one piece in its local frame.

    Raises:
        GeometryError: a hole of a bar reaches into a rounded corner, or lies in a rod.
    """
    if isinstance(part, Plate):
        return plate_mesh(part, chord)
    if isinstance(part, Bar):
        return bar_mesh(part, chord)
    return fastener_mesh(part, chord)


def plate_mesh(plate: Plate, chord: Mm = CHORD) -> Mesh:
    """Mesh of one plate in its local frame: the steel fills -thickness <= z <= 0."""
    holes = [circle(h.diameter, chord, (h.x, h.y)) for h in plate.holes]
    rings = [ring(plate.outline, chord), *holes, *(ring(o, chord) for o in plate.openings)]
    return prism(rings, -plate.thickness, 0.0)


def bar_mesh(bar: Bar, chord: Mm = CHORD) -> Mesh:
    """Mesh of one bar in its local frame, its holes in flat sides only; a threaded rod has its nominal diameter.

    Raises:
        GeometryError: a hole reaches into a rounded corner, or lies in a rod.
    """
    if bar.kind is SectionKind.ANGLE:
        levels: tuple[Mm, ...] = (0.0, tables.angle(bar.section).thickness_mm)
        rings = [ring(angle_section(bar.section), chord)]
    elif bar.kind is SectionKind.SQUARE_TUBE:
        row = tables.square_tube(bar.section)
        half, wall = row.side_mm / 2, row.thickness_mm
        levels = (-half, -half + wall, half - wall, half)
        rings = [ring(line, chord) for line in tube_section(bar.section)]
    else:
        levels = ()
        rings = [circle(bar_diameter(bar), chord)]
    if not bar.holes:
        return prism(rings, 0.0, bar.length)
    if not levels:
        raise GeometryError(f"bar {bar.mark or bar.name} has a hole, but {bar.kind} {bar.section} has no flat side")
    return _drilled(bar, rings, levels, chord)


def fastener_mesh(part: Fastener, chord: Mm = CHORD) -> Mesh:
    """Envelope of one fastener: hexagon over the corners, shank of the nominal diameter."""
    row = tables.bolt(part.designation)
    if part.kind is FastenerKind.WASHER:
        rings = [circle(row.washer_outside_mm, chord), circle(row.hole_fine_mm, chord)]
        return prism(rings, 0.0, row.washer_thickness_mm)
    radius = row.across_flats_mm / math.sqrt(3)
    hexagon = [(radius * math.cos(math.pi / 3 * i), radius * math.sin(math.pi / 3 * i)) for i in range(6)]
    round_ = circle(row.diameter_mm, chord)
    if part.kind is FastenerKind.NUT:
        return prism([hexagon, round_], 0.0, row.nut_height_mm)
    out = _Builder()
    top, seat = out.ring(hexagon, -row.head_height_mm), out.ring(hexagon, 0.0)
    root, end = out.ring(round_, 0.0), out.ring(round_, part.length)
    out.face([hexagon], [top], flip=True)
    out.band(top, seat)
    out.face([hexagon, round_], [seat, root])
    out.band(root, end)
    out.face([round_], [end])
    return out.mesh()


def ring(outline: Outline, chord: Mm = CHORD) -> list[Point]:
    """Points of an outline, anticlockwise, no two the same, no chord farther than ``chord`` from its arc."""
    out: list[Point] = []
    for a, b in outline.edges:
        out.append((a.x, a.y))
        if a.arc:
            centre, radius, start, sweep = arc_of(a, b)
            count = math.ceil(abs(sweep) / _turn(radius, chord) - 1e-9)
            turns = (start + sweep * i / count for i in range(1, count))
            out += [(centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in turns]
    return [p for i, p in enumerate(out) if math.dist(p, out[i - 1]) > SAME]


def circle(diameter: Mm, chord: Mm = CHORD, centre: Point = (0.0, 0.0)) -> list[Point]:
    """Points of a circle, anticlockwise, its quarter points among them."""
    count = 4 * math.ceil(math.pi / 2 / _turn(diameter / 2, chord) - 1e-9)
    turns = [2 * math.pi * i / count for i in range(count)]
    return [(centre[0] + diameter / 2 * math.cos(t), centre[1] + diameter / 2 * math.sin(t)) for t in turns]


def prism(rings: Sequence[Sequence[Point]], start: Mm, end: Mm) -> Mesh:
    """Mesh between two heights: an anticlockwise ring of points and, after it, the anticlockwise rings of its holes."""
    out = _Builder()
    low, high = [out.ring(r, start) for r in rings], [out.ring(r, end) for r in rings]
    out.face(rings, low, flip=True)
    out.face(rings, high)
    out.band(low[0], high[0])
    for below, above in zip(low[1:], high[1:], strict=True):
        out.band(above, below)
    return out.mesh()


def triangulate(rings: Sequence[Sequence[Point]]) -> list[tuple[int, int, int]]:
    """Triangles of a polygon and the holes after it, anticlockwise, as numbers of the points counted through all rings.

    Raises:
        GeometryError: the rings cross or touch, or the triangles do not use each point as they must.
    """
    points = [p for r in rings for p in r]
    number = {point: i for i, point in enumerate(points)}
    try:
        found = shapely.constrained_delaunay_triangles(shapely.Polygon(rings[0], rings[1:]))
    except shapely.errors.GEOSException as error:
        raise GeometryError(f"a face cannot be cut into triangles: {error}") from error
    corners = shapely.get_coordinates(found).reshape(-1, 4, 2)[:, :3].tolist()
    if len(number) != len(points) or len(corners) != len(points) + 2 * len(rings) - 4:
        raise GeometryError(f"a face of {len(points)} corners and {len(rings) - 1} holes cannot be cut into triangles")
    out = []
    for a, b, c in corners:
        left = (b[0] - a[0]) * (c[1] - a[1]) > (b[1] - a[1]) * (c[0] - a[0])
        i, j, k = (number[x, y] for x, y in (a, b, c))
        out.append((i, j, k) if left else (i, k, j))
    return out


def _turn(radius: Mm, chord: Mm) -> float:  # rad
    """Greatest angle of a chord that stays within ``chord`` of its arc, and is no feature line."""
    return min(math.pi / 8, 2 * math.acos(max(0.0, 1 - chord / radius)))


class _Builder:
    """Collects vertices and triangles."""

    def __init__(self) -> None:
        self.vertices: list[Vec] = []
        self.triangles: list[tuple[int, int, int]] = []

    def add(self, points: Iterable[Vec]) -> list[int]:
        """Add vertices and return their numbers."""
        before = len(self.vertices)
        self.vertices += points
        return list(range(before, len(self.vertices)))

    def ring(self, points: Sequence[Point], z: Mm) -> list[int]:
        """Add a ring of vertices at one height."""
        return self.add((x, y, z) for x, y in points)

    def face(self, flat: Sequence[Sequence[Point]], rings: Sequence[Sequence[int]], *, flip: bool = False) -> None:
        """Add a flat face whose rings look like ``flat`` from its outside (``flip``: from its inside)."""
        number = [i for r in rings for i in r]
        for a, b, c in triangulate(flat):
            self.triangles.append((number[a], number[c], number[b]) if flip else (number[a], number[b], number[c]))

    def quad(self, a: int, b: int, c: int, d: int) -> None:
        """Add four corners, anticlockwise from outside."""
        self.triangles += [(a, b, c), (a, c, d)]

    def band(self, low: Sequence[int], high: Sequence[int]) -> None:
        """Add the wall between two like rings that run anticlockwise seen from ``high``, steel inside them."""
        for i in range(len(low)):
            self.quad(low[i - 1], low[i], high[i], high[i - 1])

    def mesh(self) -> Mesh:
        """Make the mesh."""
        return make_mesh(np.array(self.vertices, dtype=np.float64), np.array(self.triangles, dtype=np.int32))


def _drilled(bar: Bar, rings: Sequence[Sequence[Point]], levels: Sequence[Mm], chord: Mm) -> Mesh:
    """A bar whose flat sides have holes; ``levels`` are the places of the two faces of each wall, from low to high."""
    out = _Builder()
    turned = [list(rings[0]), *(list(reversed(r)) for r in rings[1:])]  # steel lies to the left of each edge
    low, high = [out.ring(r, 0.0) for r in turned], [out.ring(r, bar.length) for r in turned]
    out.face(turned, low, flip=True)
    out.face(turned, high)
    drilled: dict[Strip, list[tuple[list[Point], list[int]]]] = {}
    for hole in bar.holes:
        flat = circle(hole.diameter, chord, (hole.offset, hole.along))
        faces = []
        for level in levels:
            face = out.add((u, level, v) if hole.leg == "x" else (level, u, v) for u, v in flat)
            drilled.setdefault(_strip_of(bar, hole, turned, level), []).append((flat, face))
            faces.append(face)
        for near, far in zip(faces[::2], faces[1::2], strict=True):
            if hole.leg == "x":
                out.band(near, far)
            else:
                out.band(far, near)
    for r, points in enumerate(turned):
        for i in range(len(points)):
            j = (i + 1) % len(points)
            corners = [low[r][i], low[r][j], high[r][j], high[r][i]]
            holes = drilled.get((r, i))
            if holes is None:
                out.quad(*corners)
                continue
            run = 0 if abs(points[j][0] - points[i][0]) > abs(points[j][1] - points[i][1]) else 1
            u, v = points[i][run], points[j][run]
            side = [(u, 0.0), (v, 0.0), (v, bar.length), (u, bar.length)]
            out.face([side, *(h[0] for h in holes)], [corners, *(h[1] for h in holes)], flip=v < u)
    return out.mesh()


def _strip_of(bar: Bar, hole: BarHole, rings: Sequence[Sequence[Point]], level: Mm) -> Strip:
    """Find the flat side at ``level`` that holds the whole hole."""
    run, fixed = (0, 1) if hole.leg == "x" else (1, 0)
    low, high = hole.offset - hole.diameter / 2, hole.offset + hole.diameter / 2
    inside = hole.diameter / 2 < hole.along < bar.length - hole.diameter / 2
    for r, points in enumerate(rings):
        for i, a in enumerate(points):
            b = points[(i + 1) % len(points)]
            flat = abs(a[fixed] - level) < SAME and abs(b[fixed] - level) < SAME
            if inside and flat and min(a[run], b[run]) < low and high < max(a[run], b[run]):
                return r, i
    raise GeometryError(
        f"bar {bar.mark or bar.name}: the {hole.diameter:g} mm hole {hole.offset:g} mm from the datum and "
        f"{hole.along:g} mm along does not lie in a flat side of {bar.section}"
    )
