"""Which face of the concrete body is which, and the label that people read.

What is told apart is told apart by role and side; a name is made from these, and nothing takes one apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from mouldgeom.checks.measure import Array, PlaneFace
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.identity import Side
from mouldgeom.model.sides import side_of
from mouldgeom.strength.places import height_words
from mouldgeom.units import Mm
from mouldgeom.words import Said

CLOSE: Mm = 0.01


class FaceRole(StrEnum):
    """What a plane face of the concrete body is, in the words of the filter."""

    OUTSIDE = "outside"
    ABOVE_LEDGE = "inside above the ledge"
    BELOW_LEDGE = "inside below the ledge"
    RIM = "rim"
    LEDGE = "ledge"
    FLOOR = "floor"
    UNDERSIDE = "underside"
    NOSE_UNDERSIDE = "nose, underside"
    NOSE_LIP = "nose, lip"
    NOSE_ROOT = "nose, root"
    NOSE_SIDE = "nose, side"
    NOSE_FRONT = "nose, sloping front"


INSIDE: Final = (FaceRole.ABOVE_LEDGE, FaceRole.BELOW_LEDGE)
"""Inner faces of the four walls."""
CORE_MADE: Final = (*INSIDE, FaceRole.LEDGE, FaceRole.FLOOR)
"""Faces that the core makes."""
NOSE: Final = (
    FaceRole.NOSE_UNDERSIDE, FaceRole.NOSE_LIP, FaceRole.NOSE_ROOT, FaceRole.NOSE_SIDE, FaceRole.NOSE_FRONT,
)  # fmt: skip
"""Faces of the nose."""


@dataclass(frozen=True, slots=True)
class FaceId:
    """A plane face of the body; ``side`` is that of a wall, or of a side of the nose."""

    role: FaceRole
    side: Side | None = None

    @property
    def wall(self) -> Side | None:
        """The wall that it is a face of, if of one."""
        return self.side if self.role in (FaceRole.OUTSIDE, *INSIDE) else None

    @property
    def name(self) -> str:
        """Its English label."""
        if self.wall:
            return f"{self.wall} wall, {self.role}"
        return f"nose, {self.side} side" if self.side else str(self.role)


FRONT_OUTSIDE: Final = FaceId(FaceRole.OUTSIDE, Side.FRONT)
"""The face that the nose stands on."""


@dataclass(frozen=True)
class BodyFace(PlaneFace):
    """A plane face of the concrete body, and which one it is."""

    id: FaceId

    @staticmethod
    def of(face: PlaneFace, dims: Dimensions) -> BodyFace:
        """Find out which face of the body one is."""
        found = face_id(face, dims)
        return BodyFace(**{**vars(face), "name": found.name}, id=found)


def face_id(face: PlaneFace, dims: Dimensions) -> FaceId:
    """Which face of the concrete body stands there and faces that way."""
    x, y, z = (float(c) for c in face.centre)
    nx, ny, nz = (float(c) for c in face.normal)
    if y < -dims.depth / 2 - CLOSE:
        return _nose_face(y, z, (nx, ny, nz), dims)
    if nz > 0.99:
        return FaceId(FaceRole.UNDERSIDE)
    if nz < -0.99:
        for height, role in ((0.0, FaceRole.RIM), (dims.ledge_z, FaceRole.LEDGE), (dims.end_z, FaceRole.FLOOR)):
            if abs(z - height) < CLOSE:
                return FaceId(role)
    beside = abs(nx) > abs(ny)
    wall = side_of((x, 0.0, 0.0) if beside else (0.0, y, 0.0))
    off = abs(x) - dims.width / 2 if beside else abs(y) - dims.depth / 2
    if abs(off) < CLOSE:
        return FaceId(FaceRole.OUTSIDE, wall)
    return FaceId(FaceRole.ABOVE_LEDGE if z < dims.ledge_z else FaceRole.BELOW_LEDGE, wall)


def _nose_face(y: Mm, z: Mm, normal: tuple[float, float, float], dims: Dimensions) -> FaceId:
    nx, ny, nz = normal
    if nz > 0.99:
        return FaceId(FaceRole.NOSE_UNDERSIDE if abs(z - dims.nose.lid_z) < CLOSE else FaceRole.NOSE_LIP)
    if ny < -0.99:
        return FaceId(FaceRole.NOSE_LIP)
    if y > dims.nose.root_y - CLOSE:
        return FaceId(FaceRole.NOSE_ROOT)
    return FaceId(FaceRole.NOSE_SIDE, side_of((nx, 0.0, 0.0))) if abs(nx) > 0.5 else FaceId(FaceRole.NOSE_FRONT)


def place_words(face: BodyFace, point: Array, dims: Dimensions) -> str:
    """Where a point of the body is: its wall or part, and its height."""
    part = f"{face.id.wall} wall" if face.id.wall else face.name
    return Said("{part}, {height}", part=part, height=height_words(float(point[2]), dims))
