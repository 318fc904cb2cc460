"""Which pieces can be seen at all: those that do not lie wholly behind one plane face, or behind their like."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, Final

import cadquery as cq
import numpy as np
from numpy.typing import NDArray
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepTools import BRepTools, BRepTools_WireExplorer
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType
from OCP.gp import gp_Dir, gp_Pnt
from OCP.TopAbs import TopAbs_FACE, TopAbs_FORWARD, TopAbs_REVERSED, TopAbs_WIRE
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape, TopoDS_Wire
from shapely import MultiPoint, Polygon, prepare

from mouldgeom.drawing.looking import Frame, Solid, corners, unplaced, within
from mouldgeom.geometry.placement import Vec, cross, dot
from mouldgeom.model.shapes import FastenerKind, SectionKind
from mouldgeom.units import Mm

TOUCH: Final[Mm] = 1e-3
_SKIN: Final[Mm] = 0.05
_LARGE: Final[Mm] = 60.0
_BROAD: Final[Mm] = 25.0
"""Least length and breadth of a face that is looked behind for what it hides wholly."""
_LEAN: Final = 0.05
"""Least cosine between a face's direction and the eye's of a face that hides anything worth mentioning."""
_SHARES: Final[NDArray[np.float64]] = np.arange(48) / 48
_ROUND: Final = frozenset({*FastenerKind, SectionKind.ROD, SectionKind.THREADED_ROD})


@dataclass(frozen=True, eq=False)
class SolidFace:
    """A plane face of a solid: the direction it looks to, and its rings, (n, 3) each, the outer one first."""

    normal: Vec
    rings: tuple[NDArray[np.float64], ...]


@dataclass(frozen=True, eq=False)
class _Wall:
    """A plane face that looks at the eye: the direction it looks to, how far along it lies, its rings on the picture.

    Only the holes that can be seen through are among the rings.
    """

    normal: Vec
    offset: Mm
    rings: tuple[NDArray[np.float64], ...]

    @property
    def box(self) -> tuple[Mm, Mm, Mm, Mm]:
        """Least x and y, greatest x and y on the picture."""
        return _extent(self.rings[0])

    @cached_property
    def area(self) -> Any:
        """What it hides, a little less than all of it."""
        area = Polygon(self.rings[0], self.rings[1:]).buffer(-_SKIN)
        prepare(area)
        return area


def in_front(pieces: Sequence[Solid], frame: Frame) -> list[Solid]:
    """Leave out pieces that lie wholly behind one plane face, or behind their like; what is seen stays the same.

    A hole with a bolt in it counts as closed.
    """
    pieces = _foremost(pieces, frame)
    if not pieces:
        return []
    boxes = np.array([corners(piece.shape) for piece in pieces])
    flat = boxes @ _sides(frame)
    low, high = flat.min(axis=1), flat.max(axis=1)
    bolts = [n for n, piece in enumerate(pieces) if _kind(piece) == FastenerKind.BOLT]
    shanks = np.concatenate((low[bolts], high[bolts]), axis=1)
    walls = [wall for piece, box in zip(pieces, boxes, strict=True) for wall in _walls(piece, box, frame, shanks)]
    if not walls:
        return list(pieces)
    around = np.array([wall.box for wall in walls])
    behind = (boxes @ np.array([wall.normal for wall in walls]).T).max(axis=1) <= [w.offset + TOUCH for w in walls]
    behind &= (low[:, None] >= around[:, :2]).all(axis=2) & (high[:, None] <= around[:, 2:]).all(axis=2)
    kept = []
    for number, piece in enumerate(pieces):
        found = np.flatnonzero(behind[number])
        seen = MultiPoint(flat[number]).convex_hull if len(found) else None
        if not any(walls[wall].area.contains(seen) for wall in found):
            kept.append(piece)
    return kept


def _foremost(pieces: Sequence[Solid], frame: Frame) -> list[Solid]:
    """Of equal pieces, turned alike, that lie behind one another: the one nearest to the eye."""
    alike: dict[tuple[object, ...], list[tuple[Mm, int]]] = {}
    hidden = set()
    for number, piece in enumerate(pieces):
        move = piece.shape.wrapped.Location().Transformation()
        spot = (move.Value(1, 4), move.Value(2, 4), move.Value(3, 4))
        turn = tuple(round(move.Value(i, j), 6) for i in (1, 2, 3) for j in (1, 2, 3))
        x, y = frame.at(spot)
        depth = dot(spot, frame.eye)
        others = alike.setdefault((piece.mark, turn, round(x, 3), round(y, 3)), [])
        for index, (other_depth, other) in enumerate(others):
            if piece.shape.wrapped.IsPartner(pieces[other].shape.wrapped):
                hidden.add(number if depth <= other_depth else other)
                others[index] = max((depth, number), (other_depth, other))
                break
        else:
            others.append((depth, number))
    return [piece for number, piece in enumerate(pieces) if number not in hidden]


def _walls(piece: Solid, box: NDArray[np.float64], frame: Frame, bolts: NDArray[np.float64]) -> Iterator[_Wall]:
    """Plane faces of a large plate that look at the eye; ``bolts`` are the boxes of all bolts on the picture."""
    sizes = np.sort(np.ptp(box, axis=0))
    if sizes[2] < _LARGE or sizes[1] < _BROAD or _kind(piece) in _ROUND:
        return
    turn, spot = _place(piece.shape)
    sides = _sides(frame)
    for face in plane_faces(unplaced(piece.shape)):
        normal = turn @ face.normal
        if normal @ frame.eye < _LEAN:
            continue
        rings = [(ring @ turn.T + spot) @ sides for ring in face.rings]
        x0, y0, x1, y1 = _extent(rings[0])
        if min(x1 - x0, y1 - y0) >= _BROAD:
            holes = (ring for ring in rings[1:] if not _closed(ring, bolts))
            yield _Wall(tuple(normal), float((turn @ face.rings[0][0] + spot) @ normal), (rings[0], *holes))


def _sides(frame: Frame) -> NDArray[np.float64]:
    """What takes points of the model to the picture: (3, 2)."""
    return np.array((frame.right, frame.up)).T


def _place(shape: cq.Shape) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Turn (3, 3) and move (3,) of a solid."""
    move = shape.wrapped.Location().Transformation()
    rows = np.array([[move.Value(i, j) for j in (1, 2, 3, 4)] for i in (1, 2, 3)])
    return rows[:, :3], rows[:, 3]


def _extent(ring: NDArray[np.float64]) -> tuple[Mm, Mm, Mm, Mm]:
    """Least x and y, greatest x and y."""
    (x0, y0), (x1, y1) = ring.min(axis=0).tolist(), ring.max(axis=0).tolist()
    return x0, y0, x1, y1


def _closed(hole: NDArray[np.float64], bolts: NDArray[np.float64]) -> bool:
    """Whether a hole has a bolt in it."""
    x0, y0, x1, y1 = _extent(hole)
    if max(x1 - x0, y1 - y0) > _BROAD:
        return False
    return bool(((bolts[:, :2] <= (x0, y0)) & (bolts[:, 2:] >= (x1, y1))).all(axis=1).any())


def _kind(piece: Solid) -> object:
    """Kind of bar or fastener, ``None`` for anything else."""
    return getattr(getattr(piece, "part", None), "kind", None)


@lru_cache(maxsize=2048)
def plane_faces(shape: cq.Shape) -> tuple[SolidFace, ...]:
    """Plane faces of a solid."""
    out = []
    for found in within(shape.wrapped, TopAbs_FACE):
        face = TopoDS.Face_s(found)
        normal = normal_of(face)
        if normal is not None:
            out.append(SolidFace(normal, tuple(ring_of(wire) for wire in wires_of(face))))
    return tuple(out)


def normal_of(face: TopoDS_Face) -> Vec | None:
    """The direction that a plane face looks to; ``None`` for any other face."""
    surface = BRepAdaptor_Surface(face, False)
    if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Plane:
        return None
    axes = surface.Plane().Position()
    nx, ny, nz = cross(_vec(axes.XDirection()), _vec(axes.YDirection()))
    return (-nx, -ny, -nz) if face.Orientation() == TopAbs_REVERSED else (nx, ny, nz)


def wires_of(face: TopoDS_Face) -> list[TopoDS_Wire]:
    """Rings of a face, the outer one first."""
    outer = BRepTools.OuterWire_s(face)
    wires = [TopoDS.Wire_s(wire) for wire in within(face, TopAbs_WIRE)]
    return [outer, *(wire for wire in wires if not wire.IsSame(outer))]


def ring_of(wire: TopoDS_Wire) -> NDArray[np.float64]:
    """Points along a wire: (n, 3)."""
    return np.concatenate([_points(BRepAdaptor_Curve(TopoDS.Edge_s(edge)), forward) for edge, forward in along(wire)])


def _points(curve: BRepAdaptor_Curve, forward: bool) -> NDArray[np.float64]:
    """Points along an edge, the last one left out: its start if it is straight, else 48."""
    first, last = curve.FirstParameter(), curve.LastParameter()
    if not forward:
        first, last = last, first
    kind = curve.GetType()
    if kind == GeomAbs_CurveType.GeomAbs_Line:
        return np.array([_vec(curve.Value(first))])
    turns = first + (last - first) * _SHARES
    if kind == GeomAbs_CurveType.GeomAbs_Circle:
        circle = curve.Circle()
        axes = circle.Position()
        sides = np.array((_vec(axes.XDirection()), _vec(axes.YDirection())))
        ring = np.stack((np.cos(turns), np.sin(turns)), axis=1)
        points: NDArray[np.float64] = _vec(circle.Location()) + circle.Radius() * ring @ sides
        return points
    return np.array([_vec(curve.Value(turn)) for turn in turns])


def _vec(point: gp_Pnt | gp_Dir) -> Vec:
    return point.X(), point.Y(), point.Z()


def along(wire: TopoDS_Wire) -> Iterator[tuple[TopoDS_Shape, bool]]:
    """Edges of a wire in their order, and whether each runs forward."""
    explorer = BRepTools_WireExplorer(wire)
    while explorer.More():
        edge = explorer.Current()
        yield edge, edge.Orientation() == TopAbs_FORWARD
        explorer.Next()
