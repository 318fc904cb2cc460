"""How the model is looked at, and what is looked at: frames, solids in their places, their boxes."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Protocol

import cadquery as cq
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape

from mouldgeom.geometry.outline import Point
from mouldgeom.geometry.placement import Vec, cross, dot
from mouldgeom.identity import PieceId
from mouldgeom.model.sides import DOWN, OUTWARDS, UP

X: Final[Vec] = (1.0, 0.0, 0.0)
Z: Final[Vec] = (0.0, 0.0, 1.0)

Key = PieceId | str
"""Which thing it is: a piece, or a word for what is none."""
CONCRETE: Final = "concrete"
TUBE: Final = "outlet tube"


def order(key: Key) -> tuple[str, ...]:
    """What puts things into one order, whatever they are called."""
    return key.order if isinstance(key, PieceId) else (key,)


class Solid(Protocol):
    """A solid in its place, such as ``solids.PlacedSolid``."""

    @property
    def mark(self) -> str:
        """Mark of the part; empty for what is none."""
        ...

    @property
    def id(self) -> Key:
        """Which it is."""
        ...

    @property
    def shape(self) -> cq.Shape:
        """The solid in its place."""
        ...


@dataclass(frozen=True)
class Thing:
    """A solid in its place that is no part: concrete, tube, or a part moved from its place."""

    mark: str
    id: Key
    shape: cq.Shape


@dataclass(frozen=True)
class Frame:
    """How the model is looked at: unit vectors to the right, up, and towards the eye."""

    right: Vec
    up: Vec
    eye: Vec

    @staticmethod
    def towards(eye: Vec, up: Vec = Z) -> Frame:
        """Return the frame of an eye in that direction; ``up`` need only be roughly up, but not along it."""
        length = math.sqrt(dot(eye, eye))
        back = (eye[0] / length, eye[1] / length, eye[2] / length)
        side = cross(up, back)
        wide = math.sqrt(dot(side, side))
        right = (side[0] / wide, side[1] / wide, side[2] / wide)
        return Frame(right, cross(back, right), back)

    def at(self, point: Vec) -> Point:
        """A point of the model on the picture."""
        return dot(point, self.right), dot(point, self.up)


FRONT, BACK, LEFT, RIGHT = (Frame.towards(OUTWARDS[side]) for side in ("front", "back", "left", "right"))
ABOVE: Final = Frame.towards(UP, OUTWARDS["back"])
BELOW: Final = Frame.towards(DOWN, OUTWARDS["back"])
ISOMETRIC: Final = Frame.towards((1.0, -1.0, 1.0))


@lru_cache(maxsize=2048)
def corners(shape: cq.Shape) -> tuple[Vec, ...]:
    """Corners of the box around a solid."""
    box = Bnd_Box()
    BRepBndLib.Add_s(shape.wrapped, box, False)
    box.SetGap(0.0)
    low, high = box.CornerMin(), box.CornerMax()
    return tuple(itertools.product((low.X(), high.X()), (low.Y(), high.Y()), (low.Z(), high.Z())))


def unplaced(shape: cq.Shape) -> cq.Shape:
    """A solid in its own frame: the same object for all that share it."""
    return cq.Shape(shape.wrapped.Located(TopLoc_Location()))


def within(shape: TopoDS_Shape, kind: TopAbs_ShapeEnum) -> Iterator[TopoDS_Shape]:
    """All parts of a shape that are of a kind, in their order."""
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()
