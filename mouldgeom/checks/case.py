"""What the checks share: the solids of one mould, its faces by name, measured once and on first use."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cached_property

import cadquery as cq
import numpy as np

from mouldgeom.checks.measure import Array, Box, PlaneFace, plane_faces, surface_points
from mouldgeom.dimensions import Dimensions
from mouldgeom.identity import PieceId
from mouldgeom.shapes import ConcreteFace, Placement, Plate, Vec
from mouldgeom.sides import SIDES, side_of
from mouldgeom.solids import PlacedSolid, SolidMould
from mouldgeom.strength.book import book
from mouldgeom.strength.places import height_words as height_words
from mouldgeom.strength.steps import Chapter
from mouldgeom.units import Mm
from mouldgeom.words import Said

CLOSE: Mm = 0.01
WALLS = tuple(f"{side} wall" for side in SIDES)


class Case:
    """A mould under examination.

    Args:
        solids: of the mould.
        chapters: its calculation, if it has been worked out already.
    """

    def __init__(self, solids: SolidMould, chapters: tuple[Chapter, ...] | None = None) -> None:
        self.solids = solids
        self._chapters = chapters
        self.mould = solids.mould
        self.dims: Dimensions = solids.dims

    @cached_property
    def chapters(self) -> tuple[Chapter, ...]:
        """The calculation of this mould."""
        return self._chapters or book(self.mould)

    @cached_property
    def boxes(self) -> dict[PieceId, Box]:
        """Bounding box of each piece."""
        return {piece.id: Box.of(piece.shape) for piece in self.solids.pieces}

    @cached_property
    def body_box(self) -> Box:
        """Bounding box of the concrete body."""
        return Box.of(self.solids.body)

    @cached_property
    def tube_box(self) -> Box:
        """Bounding box of the outlet tube."""
        return Box.of(self.solids.tube)

    @cached_property
    def by_id(self) -> dict[PieceId, PlacedSolid]:
        """Each piece by what it is."""
        return {piece.id: piece for piece in self.solids.pieces}

    @cached_property
    def _placements(self) -> dict[PieceId, Placement]:
        return {piece.id: piece.placement for piece in self.mould.pieces()}

    def place_of(self, piece: PieceId) -> Placement:
        """Where a piece stands in the casting frame."""
        return self._placements[piece]

    def normal_of(self, piece: PieceId) -> Vec:
        """Local z of a piece in the casting frame: for a plate, the way to the concrete."""
        return self._placements[piece].z

    @cached_property
    def body_faces(self) -> tuple[PlaneFace, ...]:
        """Plane faces of the concrete body, each with the name that ``face_name`` gives it."""
        return tuple(replace(f, name=face_name(f, self.dims)) for f in plane_faces(self.solids.body))

    def faces_named(self, *starts: str) -> list[PlaneFace]:
        """Faces of the body whose names begin so."""
        return [face for face in self.body_faces if face.name.startswith(starts)]

    @cached_property
    def bore_faces(self) -> list[cq.Face]:
        """Curved faces of the body: the bore of the outlet tube."""
        return [face for face in self.solids.body.Faces() if face.geomType() != "PLANE"]

    @cached_property
    def bore_points(self) -> Array:
        """Points on the bore of the tube, (n, 3): on the kernel's own cylinders and tori, some 2 mm apart."""
        return np.concatenate([surface_points(face, 2.0) for face in self.bore_faces])

    @cached_property
    def concrete_plates(self) -> list[PlacedSolid]:
        """Pieces whose outline touches concrete."""
        return [
            piece
            for piece in self.solids.pieces
            if isinstance(piece.part, Plate) and piece.part.concrete_face is ConcreteFace.OUTLINE
        ]

    def faces_of(self, pieces: Iterable[PieceId]) -> list[PlaneFace]:
        """Plane faces of pieces, each called by its piece."""
        return [face for piece in pieces for face in self.piece_faces(piece)]

    def piece_faces(self, piece: PieceId) -> list[PlaneFace]:
        """Plane faces of one piece, in the casting frame."""
        if piece not in self._piece_faces:
            self._piece_faces[piece] = plane_faces(self.by_id[piece].shape, piece.name)
        return self._piece_faces[piece]

    def part_faces(self, mark: str) -> list[PlaneFace]:
        """Plane faces of the pieces of a mark, in their own frame."""
        if mark not in self._part_faces:
            self._part_faces[mark] = plane_faces(self.solids.shapes[mark], mark)
        return self._part_faces[mark]

    @cached_property
    def _part_faces(self) -> dict[str, list[PlaneFace]]:
        return {}

    @cached_property
    def _piece_faces(self) -> dict[PieceId, list[PlaneFace]]:
        return {}


def face_name(face: PlaneFace, dims: Dimensions) -> str:
    """Name of a face of the concrete body in the words of the filter."""
    x, y, z = (float(c) for c in face.centre)
    nx, ny, nz = (float(c) for c in face.normal)
    half_x, half_y, nose = dims.width / 2, dims.depth / 2, dims.nose
    if y < -half_y - CLOSE:
        if nz > 0.99:
            return "nose, underside" if abs(z - nose.lid_z) < CLOSE else "nose, lip"
        if ny < -0.99:
            return "nose, lip"
        if y > nose.root_y - CLOSE:
            return "nose, root"
        if abs(nx) > 0.5:
            return f"nose, {side_of((nx, 0.0, 0.0))} side"
        return "nose, sloping front"
    if nz > 0.99:
        return "underside"
    if nz < -0.99:
        for height, name in ((0.0, "rim"), (dims.ledge_z, "ledge"), (dims.end_z, "floor")):
            if abs(z - height) < CLOSE:
                return name
    if abs(nx) > abs(ny):
        wall, outside = side_of((x, 0.0, 0.0)), abs(abs(x) - half_x) < CLOSE
    else:
        wall, outside = side_of((0.0, y, 0.0)), abs(abs(y) - half_y) < CLOSE
    if outside:
        return f"{wall} wall, outside"
    return f"{wall} wall, inside {'above' if z < dims.ledge_z else 'below'} the ledge"


def place_words(face: PlaneFace, point: Array, dims: Dimensions) -> str:
    """Where a point of the body is: its wall or part, and its height."""
    part = face.name.split(", ")[0] if face.name.startswith(WALLS) else face.name
    return Said("{part}, {height}", part=part, height=height_words(float(point[2]), dims))
