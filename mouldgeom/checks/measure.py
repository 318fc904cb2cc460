"""Measuring on solids: plane faces as polygons, distances from many points at once, and points spread over faces."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import cadquery as cq
import numpy as np
import numpy.typing as npt
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepTools import BRepTools_WireExplorer
from OCP.GeomAbs import GeomAbs_Line
from OCP.TopAbs import TopAbs_REVERSED

from mouldgeom.errors import KernelError
from mouldgeom.units import Mm, Mm2

Array = npt.NDArray[np.float64]
FAR = 1e9
_ARC_POINTS = 24


@dataclass(frozen=True)
class PlaneFace:
    """A plane face: its frame, its loops in that frame (outer first), and what it is called.

    ``normal`` points out of the material; ``loops`` are (n, 2) arrays of corners, arcs as short chords.
    """

    name: str
    origin: Array
    u: Array
    v: Array
    normal: Array
    loops: tuple[Array, ...]

    @property
    def centre(self) -> Array:
        """Middle of the corners of the outer loop, in space."""
        middle: Array = self.lift(self.loops[0].mean(axis=0)[None])[0]
        return middle

    @property
    def corners(self) -> Array:
        """Corners of all loops in space, (n, 3)."""
        return self.lift(np.concatenate(self.loops))

    @property
    def area(self) -> Mm2:
        """Area inside the outer loop, less the others."""
        areas = [abs(_shoelace(loop)) for loop in self.loops]
        return areas[0] - sum(areas[1:])

    def lift(self, flat: Array) -> Array:
        """Points of the face's plane, (n, 2), in space."""
        return self.origin + flat[:, :1] * self.u + flat[:, 1:2] * self.v

    def lay(self, points: Array) -> tuple[Array, Array]:
        """Points in space, (n, 3), in the plane's frame (n, 2), and their heights over it (n,)."""
        gap = points - self.origin
        return np.stack([gap @ self.u, gap @ self.v], axis=1), gap @ self.normal

    @property
    def edges(self) -> tuple[Array, Array]:
        """Start and end of every edge in the plane's frame, two (n, 2) arrays."""
        starts = np.concatenate(self.loops)
        ends = np.concatenate([np.roll(loop, -1, axis=0) for loop in self.loops])
        return starts, ends

    def spread(self, spacing: Mm, *, rim: bool = True) -> Array:
        """Points over the face on a grid of this spacing, (n, 3), and with ``rim`` along its edges and corners."""
        low, high = self.loops[0].min(axis=0), self.loops[0].max(axis=0)
        counts = np.maximum(1, np.ceil((high - low) / spacing)).astype(int)
        axes = [low[i] + (np.arange(counts[i]) + 0.5) * (high[i] - low[i]) / counts[i] for i in (0, 1)]
        flat = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 2)
        flat = flat[_inside(flat, *self.edges)]
        if rim:
            starts, ends = self.edges
            parts = [flat]
            for a, b in zip(starts, ends, strict=True):
                count = max(1, math.ceil(float(np.hypot(*(b - a))) / spacing))
                parts.append(a + (b - a) * (np.arange(count) / count)[:, None])
            flat = np.concatenate(parts)
        return self.lift(flat)


def _shoelace(loop: Array) -> float:
    following = np.roll(loop, -1, axis=0)
    return float(np.sum(loop[:, 0] * following[:, 1] - following[:, 0] * loop[:, 1]) / 2)


def _inside(points: Array, starts: Array, ends: Array) -> npt.NDArray[np.bool_]:
    """Even-odd rule over all edges."""
    inside = np.zeros(len(points), dtype=bool)
    x, y = points[:, 0], points[:, 1]
    for (ax, ay), (bx, by) in zip(starts, ends, strict=True):
        if ay == by:
            continue
        crosses = (ay > y) != (by > y)
        inside ^= crosses & (x < ax + (y - ay) * ((bx - ax) / (by - ay)))
    return inside


def _edge_distance(points: Array, starts: Array, ends: Array) -> Array:
    best = np.full(len(points), FAR)
    for a, b in zip(starts, ends, strict=True):
        along = b - a
        square = float(along @ along)
        if square == 0:
            continue
        gap = points - a
        share = np.clip((gap @ along) / square, 0.0, 1.0)
        rest = gap - share[:, None] * along
        np.minimum(best, np.einsum("ij,ij->i", rest, rest), out=best)
    return np.asarray(np.sqrt(best))


def plane_faces(shape: cq.Shape, name: str = "") -> list[PlaneFace]:
    """Plane faces of a solid; curved ones are left out."""
    return [_plane_face(face, name) for face in shape.Faces() if face.geomType() == "PLANE"]


def _plane_face(face: cq.Face, name: str) -> PlaneFace:
    wires = [face.outerWire(), *face.innerWires()]
    loops = [_corners(wire, face) for wire in wires]
    normal = np.array(face.normalAt().toTuple(), dtype=float)
    start = loops[0]
    spans = start - start[0]
    u = spans[int(np.argmax(np.einsum("ij,ij->i", spans, spans)))]
    u = u - (u @ normal) * normal
    u = u / np.linalg.norm(u)
    v = np.cross(normal, u)
    flat = tuple(np.stack([(loop - start[0]) @ u, (loop - start[0]) @ v], axis=1) for loop in loops)
    return PlaneFace(name, start[0], u, v, normal, flat)


def _corners(wire: cq.Wire, face: cq.Face) -> Array:
    points: list[tuple[float, float, float]] = []
    explorer = BRepTools_WireExplorer(wire.wrapped, face.wrapped)
    while explorer.More():
        edge = explorer.Current()
        curve = BRepAdaptor_Curve(edge)
        first, last = curve.FirstParameter(), curve.LastParameter()
        if edge.Orientation() == TopAbs_REVERSED:
            first, last = last, first
        count = 1 if curve.GetType() == GeomAbs_Line else _ARC_POINTS
        for i in range(count):
            at = curve.Value(first + (last - first) * i / count)
            points.append((at.X(), at.Y(), at.Z()))
        explorer.Next()
    return np.array(points)


def distance(points: Array, faces: Sequence[PlaneFace], reach: Mm = FAR) -> tuple[Array, npt.NDArray[np.int64]]:
    """Nearest distance from each point to the faces, and which face it is.

    Args:
        points: (n, 3).
        faces: any number of plane faces.
        reach: faces further away than this need not be found; the distance is then ``reach`` or more.

    Returns:
        distances (n,) in mm, and face numbers (n,), -1 where none is within reach.
    """
    best = np.full(len(points), float(reach))
    which = np.full(len(points), -1, dtype=np.int64)
    for number, face in enumerate(faces):
        height = np.abs((points - face.origin) @ face.normal)
        near = np.flatnonzero(height < best)
        if not near.size:
            continue
        corners = face.corners
        low, high = corners.min(axis=0), corners.max(axis=0)
        some = points[near]
        outside = np.maximum(np.maximum(low - some, some - high), 0.0)
        near = near[np.einsum("ij,ij->i", outside, outside) < best[near] ** 2]
        if not near.size:
            continue
        flat, over = face.lay(points[near])
        starts, ends = face.edges
        beside = np.zeros(len(near))
        out = ~_inside(flat, starts, ends)
        if out.any():
            beside[out] = _edge_distance(flat[out], starts, ends)
        total = np.hypot(beside, over)
        closer = total < best[near]
        best[near[closer]] = total[closer]
        which[near[closer]] = number
    return best, which


def surface_points(face: cq.Face, spacing: Mm) -> Array:
    """Points over a cylinder or torus face by its own parameters, (n, 3).

    Raises:
        KernelError: the face is of another kind.
    """
    low_u, high_u, low_v, high_v = face._uvBounds()
    kind = face.geomType()
    if kind == "CYLINDER":
        surface = BRepAdaptor_Surface(face.wrapped).Cylinder()
        radius = surface.Radius()
        spans = ((high_u - low_u) * radius, high_v - low_v)
    elif kind == "TORUS":
        surface = BRepAdaptor_Surface(face.wrapped).Torus()
        radius = surface.MinorRadius()
        spans = ((high_u - low_u) * (surface.MajorRadius() + radius), (high_v - low_v) * radius)
    else:
        raise KernelError("curved face", f"{face.Area():.0f} mm2", f"no way to spread points over a {kind}")
    counts = [max(2, math.ceil(span / spacing)) for span in spans]
    u = np.linspace(low_u, high_u, counts[0] + 1)[:, None]
    v = np.linspace(low_v, high_v, counts[1] + 1)[None, :]
    frame = surface.Position()
    x, y, z = (_xyz(d) for d in (frame.XDirection(), frame.YDirection(), frame.Direction()))
    across = radius if kind == "CYLINDER" else surface.MajorRadius() + radius * np.cos(v)
    along = v if kind == "CYLINDER" else radius * np.sin(v)
    parts = (across * np.cos(u), across * np.sin(u), along + 0.0 * u)
    points = _xyz(frame.Location()) + sum(
        part[..., None] * axis for part, axis in zip(np.broadcast_arrays(*parts), (x, y, z), strict=True)
    )
    return np.asarray(points, dtype=float).reshape(-1, 3)


def _xyz(triple: Any) -> Array:
    return np.array([triple.X(), triple.Y(), triple.Z()], dtype=float)


def torus_rings(shape: cq.Shape) -> list[tuple[Array, Mm]]:
    """Middle and radius of the axis of every bent tube in a shape: one for each of its torus faces."""
    tori = [BRepAdaptor_Surface(face.wrapped).Torus() for face in shape.Faces() if face.geomType() == "TORUS"]
    return [(_xyz(torus.Position().Location()), torus.MajorRadius()) for torus in tori]


def spacing_for(faces: Iterable[PlaneFace], count: int) -> Mm:
    """Grid spacing that spreads about this many points over the faces."""
    return math.sqrt(sum(face.area for face in faces) / max(1, count))


@dataclass(frozen=True)
class Bounds:
    """A box along the axes, to tell quickly which solids cannot meet."""

    low: tuple[Mm, Mm, Mm]
    high: tuple[Mm, Mm, Mm]

    @staticmethod
    def of(shape: cq.Shape) -> Bounds:
        """Bounding box of a shape."""
        box = shape.BoundingBox()
        return Bounds((box.xmin, box.ymin, box.zmin), (box.xmax, box.ymax, box.zmax))

    def moved(self, shift: tuple[Mm, Mm, Mm]) -> Bounds:
        """The box moved."""
        low = (self.low[0] + shift[0], self.low[1] + shift[1], self.low[2] + shift[2])
        high = (self.high[0] + shift[0], self.high[1] + shift[1], self.high[2] + shift[2])
        return Bounds(low, high)

    def meets(self, other: Bounds, margin: Mm = -1e-6) -> bool:
        """Whether the boxes come within ``margin``; by default touching does not count."""
        return all(self.low[i] < other.high[i] + margin and other.low[i] < self.high[i] + margin for i in range(3))
