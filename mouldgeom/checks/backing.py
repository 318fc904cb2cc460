"""Check 2: the body does not cut into steel, and steel backs every concrete face but the pour face.

The body's surface is sampled all over, and crowded along every edge of a plate that touches concrete: there paste is
lost if anywhere.  A gap's width is twice the greatest distance from a point of the surface to the nearest steel.
"""

from __future__ import annotations

import numpy as np

from mouldgeom.checks.case import Case
from mouldgeom.checks.clashes import OVERLAP_NOISE
from mouldgeom.checks.faces import BodyFace, FaceRole, place_words
from mouldgeom.checks.measure import Array, Bounds, PlaneFace, distance, spacing_for
from mouldgeom.model.shapes import Fastener, Group
from mouldgeom.solids import common_volume
from mouldgeom.units import Mm
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

POINTS = 20_000
_EDGE_STEP: Mm = 8.0
_OFFSETS = (0.05, 0.15, 0.3, 0.5, 0.75, 1.0)


def check_body_and_steel(case: Case) -> tuple[Verdict, ...]:
    """Look for steel inside the concrete."""
    body, box = case.solids.body, Bounds.of(case.solids.body)
    worst, where = 0.0, "none"
    for piece in case.solids.pieces:
        if piece.part.group is Group.EXTRACTION or isinstance(piece.part, Fastener):
            continue
        if case.boxes[piece.id].meets(box):
            volume = common_volume(body, piece.shape)
            if volume > worst:
                worst, where = volume, piece.name
    return (
        Verdict(
            "2.1",
            "steel inside the concrete",
            worst,
            OVERLAP_NOISE,
            Operator.AT_MOST,
            "mm3",
            where,
            "own rule: body and steel share no volume",
        ),
    )


def surface_points(case: Case, count: int = POINTS) -> tuple[Array, Array, list[BodyFace]]:
    """Points over every face of the body but the pour face: (n, 3), the number of their face (n,), and the faces."""
    faces = [face for face in case.body_faces if face.id.role is not FaceRole.UNDERSIDE]
    spacing = spacing_for(faces, count) * 0.99
    spread = [face.spread(spacing, rim=False) for face in faces]
    crowd = _along_steel_edges(case)
    numbers = [np.full(len(p), float(i)) for i, p in enumerate(spread)]
    for i, face in enumerate(faces):
        on = _on_face(crowd, face)
        spread.append(crowd[on])
        numbers.append(np.full(int(on.sum()), float(i)))
    return np.concatenate(spread), np.concatenate(numbers), faces


def _on_face(points: Array, face: PlaneFace) -> np.ndarray:
    height = np.abs((points - face.origin) @ face.normal)
    on = height < 1.0
    out = np.zeros(len(points), dtype=bool)
    if on.any():
        flat, _ = face.lay(points[on])
        dropped = face.lift(flat)
        near, _ = distance(dropped, [face])
        out[on] = near < 1e-6
        points[on] = np.where((near < 1e-6)[:, None], dropped, points[on])
    return out


def _along_steel_edges(case: Case) -> Array:
    """Points beside every edge of the concrete faces of the plates, at several distances up to the allowed leak."""
    leak = case.dims.spec.shop.allowed_leak
    out = []
    for piece in case.concrete_plates:
        towards = np.array(case.normal_of(piece.id))
        face = max(
            (f for f in case.piece_faces(piece.id) if float(f.normal @ towards) > 1 - 1e-6), key=lambda f: f.area
        )
        starts, ends = face.edges
        for a, b in zip(starts, ends, strict=True):
            along = b - a
            length = float(np.hypot(*along))
            if length < 1e-9:
                continue
            side = np.array([along[1], -along[0]]) / length
            steps = max(2, round(length / _EDGE_STEP))
            line = a + along * ((np.arange(steps) + 0.5) / steps)[:, None]
            for share in _OFFSETS:
                for sign in (1.0, -1.0):
                    out.append(face.lift(line + sign * share * 1.02 * leak * side))
    return np.concatenate(out)


def check_backing(case: Case) -> tuple[Verdict, ...]:
    """Find the widest gap between the concrete and the steel that should back it."""
    points, numbers, faces = surface_points(case)
    steel = case.faces_of(piece.id for piece in case.concrete_plates)
    away, _ = distance(points, steel, reach=50.0)
    i = int(np.argmax(np.round(away, 6)))
    return (
        Verdict(
            "2.2",
            Said("widest gap between concrete and steel, {points} points", points=len(points)),
            2 * float(away[i]),
            case.dims.spec.shop.allowed_leak,
            Operator.AT_MOST,
            "mm",
            place_words(faces[int(numbers[i])], points[i], case.dims),
            "specification, shop.allowed_leak",
        ),
    )
