"""Solids cut open by a plane."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import cadquery as cq
from OCP.BRep import BRep_Tool
from OCP.TopAbs import TopAbs_FACE, TopAbs_VERTEX
from OCP.TopoDS import TopoDS, TopoDS_Face

from mouldgeom.drawing.culling import normal_of
from mouldgeom.drawing.looking import unplaced, within
from mouldgeom.geometry.placement import Vec, dot
from mouldgeom.units import Mm

_FAR: Final[Mm] = 1e4


def behind(shape: cq.Shape, eye: Vec, level: Mm) -> tuple[cq.Shape, list[TopoDS_Face]]:
    """What is left of a solid behind the plane square to ``eye`` at ``level`` along it, and its faces in that plane.

    Solids that share a shape and are cut alike are cut once.
    """
    place = shape.wrapped.Location()
    move = place.Transformation()
    turned = tuple(round(sum(move.Value(j, i) * eye[j - 1] for j in (1, 2, 3)), 12) + 0.0 for i in (1, 2, 3))
    off = level - sum(move.Value(j, 4) * eye[j - 1] for j in (1, 2, 3))
    rest, faces = _behind(unplaced(shape), turned, round(off, 9) + 0.0)
    return rest.moved(cq.Location(place)), [TopoDS.Face_s(face.Moved(place)) for face in faces]


@lru_cache(maxsize=1024)
def _behind(shape: cq.Shape, eye: Vec, level: Mm) -> tuple[cq.Shape, tuple[TopoDS_Face, ...]]:
    plane = cq.Plane(origin=(level * eye[0], level * eye[1], level * eye[2]), normal=eye)
    block = cq.Solid.makeBox(2 * _FAR, 2 * _FAR, _FAR, cq.Vector(-_FAR, -_FAR, -_FAR)).moved(cq.Location(plane))
    rest = shape.intersect(block)
    faces = (TopoDS.Face_s(face) for face in within(rest.wrapped, TopAbs_FACE))
    return rest, tuple(face for face in faces if _lies_in(face, eye, level))


def _lies_in(face: TopoDS_Face, eye: Vec, level: Mm) -> bool:
    """Whether a face lies in a plane and looks the way that it does."""
    normal = normal_of(face)
    if normal is None or dot(normal, eye) < 1 - 1e-9:
        return False
    point = BRep_Tool.Pnt_s(TopoDS.Vertex_s(next(within(face, TopAbs_VERTEX))))
    return abs(dot((point.X(), point.Y(), point.Z()), eye) - level) < 1e-6
