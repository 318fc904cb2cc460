"""What the checks share: the solids of one mould, its faces, measured once and on first use."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

import cadquery as cq
import numpy as np

from mouldgeom.checks.faces import BodyFace, FaceId, FaceRole
from mouldgeom.checks.measure import Array, Bounds, PlaneFace, plane_faces, surface_points
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.geometry.placement import Placement, Vec
from mouldgeom.identity import PieceId, Side
from mouldgeom.model.shapes import ConcreteFace, Plate
from mouldgeom.solids import PlacedSolid, SolidMould
from mouldgeom.strength.book import book
from mouldgeom.strength.steps import Chapter


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
    def boxes(self) -> dict[PieceId, Bounds]:
        """Bounding box of each piece."""
        return {piece.id: Bounds.of(piece.shape) for piece in self.solids.pieces}

    @cached_property
    def body_box(self) -> Bounds:
        """Bounding box of the concrete body."""
        return Bounds.of(self.solids.body)

    @cached_property
    def tube_box(self) -> Bounds:
        """Bounding box of the outlet tube."""
        return Bounds.of(self.solids.tube)

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
    def body_faces(self) -> tuple[BodyFace, ...]:
        """Plane faces of the concrete body."""
        return tuple(BodyFace.of(face, self.dims) for face in plane_faces(self.solids.body))

    def faces(self, *roles: FaceRole) -> list[BodyFace]:
        """Faces of the body of these roles."""
        return [face for face in self.body_faces if face.id.role in roles]

    def face(self, role: FaceRole, side: Side | None = None) -> BodyFace:
        """A face of the body that there is once."""
        return next(face for face in self.body_faces if face.id == FaceId(role, side))

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
