"""Line art by exact hidden-line removal: what is seen of some placed pieces along any direction, and cut open.

Line art of a few pieces is ``view(some_pieces, direction)``: pieces that are not given neither show nor hide anything.
Pieces that are in ``bold`` have their lines in ``View.bold`` instead of ``View.visible``, to be drawn wide.  Lines are
in millimetres of the model, x to the right and y up on the picture; ``View.at`` takes points of the model there.
Lines where surfaces run smoothly into each other are left out; lines that lie on one another are drawn once.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Builder
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape
from OCP.TopAbs import TopAbs_EDGE, TopAbs_SHELL
from OCP.TopoDS import TopoDS, TopoDS_Compound, TopoDS_Face, TopoDS_Shape
from shapely import Polygon

from mouldgeom.drawing.culling import TOUCH, along, in_front, ring_of, wires_of
from mouldgeom.drawing.looking import (
    ABOVE,
    BACK,
    BELOW,
    FRONT,
    ISOMETRIC,
    LEFT,
    RIGHT,
    Frame,
    Key,
    Solid,
    Thing,
    X,
    Z,
    corners,
    order,
    within,
)
from mouldgeom.drawing.opened import behind
from mouldgeom.drawing.strokes import Arc, Curve, Path, Segment, box_of, curve_through, merged, points_of
from mouldgeom.geometry.outline import Point
from mouldgeom.geometry.placement import Vec, dot
from mouldgeom.units import Mm

_FINE: Final[Mm] = 0.02
"""Most that a chain of short lines may stand off the curve that it stands for."""
_FLAT: Final = Frame(X, (0.0, 1.0, 0.0), Z)


@dataclass(frozen=True)
class CutFace:
    """A face where a solid is cut open: its closed lines, the outer one first, and the area within."""

    id: Key
    mark: str
    rings: tuple[tuple[Curve, ...], ...]
    area: Polygon


@dataclass(frozen=True)
class View:
    """Line art of some pieces, in millimetres of the model.

    ``of_piece`` has the visible lines of each piece; pieces of which no line is seen have none.
    """

    frame: Frame
    visible: tuple[Curve, ...]
    bold: tuple[Curve, ...]
    hidden: tuple[Curve, ...]
    of_piece: Mapping[Key, tuple[Curve, ...]]
    marks: Mapping[Key, str]
    cuts: tuple[CutFace, ...] = ()

    def at(self, point: Vec) -> Point:
        """A point of the model on the picture."""
        return self.frame.at(point)

    @cached_property
    def box(self) -> tuple[Mm, Mm, Mm, Mm]:
        """Least x and y, greatest x and y of all that is drawn."""
        return box_of((*self.visible, *self.bold, *self.hidden))

    @cached_property
    def anchors(self) -> Mapping[Key, Point]:
        """A point for a balloon's leader on each piece that is seen: in a cut face or just inside a line.

        It lies beside the middle of the longest line that the piece does not share with another.
        """
        cut = {c.id: c for c in self.cuts}
        found = {}
        for key, curves in self.of_piece.items():
            if key in cut:
                spot = cut[key].area.representative_point()
                found[key] = (round(spot.x, 4) + 0.0, round(spot.y, 4) + 0.0)
            elif curves:
                found[key] = self._beside(key, curves)
        return found

    def _beside(self, key: Key, curves: Sequence[Curve]) -> Point:
        x0, y0, x1, y1 = box_of(curves)
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        best, rating = middle, -1.0
        for curve in curves:
            points = points_of(curve)
            length = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
            a, b = points[(len(points) - 1) // 2], points[len(points) // 2]
            spot = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            if length > rating and not self._shared(key, spot):
                best, rating = spot, length
        away = math.dist(best, middle)
        step = min(4.0, 0.3 * away) / away if away > 0 else 0.0
        return best[0] + step * (middle[0] - best[0]), best[1] + step * (middle[1] - best[1])

    @cached_property
    def _lines(self) -> tuple[tuple[Key, ...], NDArray[np.float64]]:
        """The straight lines, (n, 4), x and y of both ends, and which piece each belongs to."""
        found = [(k, c) for k, curves in self.of_piece.items() for c in curves if isinstance(c, Segment)]
        ends = [(*line.start, *line.end) for _, line in found]
        return tuple(k for k, _ in found), np.array(ends).reshape(-1, 4)

    def _shared(self, key: Key, spot: Point) -> bool:
        """Whether a line of another piece passes a point."""
        keys, ends = self._lines
        start, along = ends[:, :2], ends[:, 2:] - ends[:, :2]
        gone = np.array(spot) - start
        share = np.clip((gone * along).sum(axis=1) / (along**2).sum(axis=1), 0.0, 1.0)
        off = gone - share[:, None] * along
        return any(keys[i] != key for i in np.flatnonzero((off**2).sum(axis=1) < 0.01))


def view(
    pieces: Sequence[Solid],
    direction: Vec = FRONT.eye,
    up: Vec = Z,
    *,
    bold: Collection[Key] = (),
    hidden: bool = False,
) -> View:
    """Line art of these pieces (``SolidMould.pieces`` or some of them), seen by an eye in that direction.

    Args:
        direction: from the pieces to the eye: (0, -1, 0) looks at the front, (1, -1, 1) is isometric.
        up: what is up on the picture, roughly.
        bold: pieces whose lines go to ``View.bold``.
        hidden: give hidden lines too; slower, since nothing can be left out.

    Raises:
        ZeroDivisionError: ``up`` lies along ``direction``.
    """
    return _drawn(pieces, Frame.towards(direction, up), bold, hidden, ())


def section(
    pieces: Sequence[Solid],
    direction: Vec = X,
    up: Vec = Z,
    *,
    level: Mm = 0.0,
    whole: Collection[Key] = (),
    beyond: bool = True,
) -> View:
    """Pieces cut by the plane square to ``direction`` at ``level`` along it, the half towards the eye taken away.

    Args:
        whole: pieces that are not cut, as bolts, rods and screws are not.
        beyond: draw what is seen behind the plane too; without it the cut faces alone are there.
    """
    frame = Frame.towards(direction, up)
    kept: list[Solid] = []
    cuts: list[CutFace] = []
    for piece in pieces:
        depths = [dot(corner, frame.eye) for corner in corners(piece.shape)]
        if min(depths) >= level - TOUCH:
            continue
        if max(depths) <= level + TOUCH or piece.id in whole:
            kept.append(piece)
            continue
        rest, faces = behind(piece.shape, frame.eye, level)
        kept.append(Thing(piece.mark, piece.id, rest))
        cuts += (_cut_face(piece, face, frame) for face in faces)
    cuts.sort(key=lambda c: (order(c.id), c.area.bounds))
    if not beyond:
        lines = {c.id: tuple(merged([s for d in cuts if d.id == c.id for r in d.rings for s in r])) for c in cuts}
        everything = tuple(merged([s for curves in lines.values() for s in curves]))
        return View(frame, everything, (), (), lines, {c.id: c.mark for c in cuts}, tuple(cuts))
    return _drawn(kept, frame, (), False, cuts)


# --- kernel ----------------------------------------------------------------------------------------------------------


def _drawn(pieces: Sequence[Solid], frame: Frame, bold: Collection[Key], hidden: bool, cuts: Sequence[CutFace]) -> View:
    drawn = pieces if hidden else in_front(pieces, frame)
    result, shells = _removed([piece.shape.wrapped for piece in drawn], frame)
    of_piece: dict[Key, tuple[Curve, ...]] = {}
    unseen: list[Curve] = []
    for piece, own in zip(drawn, shells, strict=True):
        of_piece[piece.id] = tuple(
            merged(_curves(lines for s in own for lines in (result.VCompound(s), result.OutLineVCompound(s))))
        )
        if hidden:
            unseen += list(_curves(lines for s in own for lines in (result.HCompound(s), result.OutLineHCompound(s))))
    seen = {key: of_piece[key] for key in sorted(of_piece, key=order) if of_piece[key]}
    return View(
        frame,
        tuple(merged([c for key, curves in seen.items() if key not in bold for c in curves])),
        tuple(merged([c for key, curves in seen.items() if key in bold for c in curves])),
        tuple(merged(unseen)),
        seen,
        {piece.id: piece.mark for piece in pieces},
        tuple(cuts),
    )


def _removed(shapes: Sequence[TopoDS_Shape], frame: Frame) -> tuple[HLRBRep_HLRToShape, list[list[TopoDS_Shape]]]:
    """Hidden lines found for some shapes; with the kernel's own shells of each, by which it is asked for its lines.

    The shapes go in as one: of several, the kernel goes through all edges once more for each two of them.
    """
    builder, everything = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(everything)
    for shape in shapes:
        builder.Add(everything, shape)
    algorithm = HLRBRep_Algo()
    algorithm.Add(everything, 0)
    algorithm.Projector(HLRAlgo_Projector(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*frame.eye), gp_Dir(*frame.right))))
    algorithm.Update()
    algorithm.Hide()
    shells = within(algorithm.ShapeBounds(1).Shape().OutLinedShape(), TopAbs_SHELL)
    own = [[next(shells) for _ in within(shape, TopAbs_SHELL)] for shape in shapes]
    return HLRBRep_HLRToShape(algorithm), own


def _curves(compounds: Iterable[TopoDS_Shape | None]) -> Iterator[Curve]:
    for compound in compounds:
        if compound is None or compound.IsNull():
            continue
        BRepLib.BuildCurves3d_s(compound)
        for edge in within(compound, TopAbs_EDGE):
            curve = _curve(BRepAdaptor_Curve(TopoDS.Edge_s(edge)), _FLAT)
            if curve is not None:
                yield curve


def _curve(edge: BRepAdaptor_Curve, frame: Frame) -> Curve | None:
    """One edge of the kernel on the picture; ``None`` if it is a point there."""
    first, last = edge.FirstParameter(), edge.LastParameter()
    kind = edge.GetType()

    (ax, ay, az), (bx, by, bz) = frame.right, frame.up

    def at(parameter: float) -> Point:
        point = edge.Value(parameter)
        x, y, z = point.X(), point.Y(), point.Z()
        return ax * x + ay * y + az * z, bx * x + by * y + bz * z

    if kind == GeomAbs_CurveType.GeomAbs_Line:
        return curve_through((at(first), at(last)), _FINE)
    if kind == GeomAbs_CurveType.GeomAbs_Circle:
        circle = edge.Circle()
        centre, axis = circle.Location(), circle.Axis().Direction()
        lean = dot((axis.X(), axis.Y(), axis.Z()), frame.eye)
        if abs(abs(lean) - 1) < 1e-9:
            middle = frame.at((centre.X(), centre.Y(), centre.Z()))
            start = at(first)
            turn = math.atan2(start[1] - middle[1], start[0] - middle[0])
            return Arc(middle, circle.Radius(), turn, math.copysign(last - first, lean)).rounded()
        radius = circle.Radius()
    elif kind == GeomAbs_CurveType.GeomAbs_Ellipse:
        radius = edge.Ellipse().MajorRadius()
    elif kind == GeomAbs_CurveType.GeomAbs_BSplineCurve and edge.Degree() == 1:
        knots = max(2, edge.NbPoles())
        return curve_through([at(first + (last - first) * i / (knots - 1)) for i in range(knots)], _FINE)
    else:
        return curve_through([at(first + (last - first) * i / 48) for i in range(49)], _FINE)
    count = max(4, math.ceil((last - first) / (2 * math.acos(max(0.0, 1 - _FINE / radius)))))
    return curve_through([at(first + (last - first) * i / count) for i in range(count + 1)], _FINE)


def _cut_face(piece: Solid, face: TopoDS_Face, frame: Frame) -> CutFace:
    wires = wires_of(face)
    rings = []
    for wire in wires:
        curves = (_curve(BRepAdaptor_Curve(edge), frame) for edge, _ in along(wire))
        rings.append(tuple(curve for curve in curves if curve is not None))
    sides = np.array((frame.right, frame.up)).T
    outer, *inner = (ring_of(wire) @ sides for wire in wires)
    return CutFace(piece.id, piece.mark, tuple(rings), Polygon(outer, inner))


__all__ = ["ABOVE", "BACK", "BELOW", "FRONT", "ISOMETRIC", "LEFT", "RIGHT", "Arc", "Curve", "CutFace", "Frame", "Key",
           "Path", "Segment", "Solid", "Thing", "View", "in_front", "section", "view"]  # fmt: skip
