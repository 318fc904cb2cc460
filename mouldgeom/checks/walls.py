"""Check 4: how thick the concrete is, everywhere, and whether the largest stone passes.

Thickness is the shortest distance from a point of a face that the core makes to the faces that panels and pour make
(and the other way round).  It is not the length of a ray: on a drafted wall the two differ by the cosine of the draft.
The wall that is cast is that thickness and the bulges of panel and core wall on its two sides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

import numpy as np

from mouldgeom import rules
from mouldgeom.checks.case import Case
from mouldgeom.checks.faces import CORE_MADE, FRONT_OUTSIDE, INSIDE, BodyFace, FaceId, FaceRole, place_words
from mouldgeom.checks.measure import Array, PlaneFace, distance, spacing_for
from mouldgeom.model.sides import SIDES
from mouldgeom.strength.bulge import bulge_of
from mouldgeom.strength.places import height_words
from mouldgeom.units import Mm
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

POINTS = 24_000


Measured = TypeVar("Measured", bound=PlaneFace)


@dataclass(frozen=True)
class WallField(Generic[Measured]):
    """Wall thickness as a field: points on the concrete, (n, 3), its thickness there, (n,), and the face of each."""

    points: Array
    thickness: Array
    faces: tuple[Measured, ...]
    face_of: Array

    def least(self) -> tuple[Mm, Array, Measured]:
        """Least thickness, where, and on which face."""
        i = int(np.argmin(np.round(self.thickness, 6)))
        return float(self.thickness[i]), self.points[i], self.faces[int(self.face_of[i])]


def wall_field(inner: Sequence[Measured], outer: Sequence[Measured], count: int = POINTS) -> WallField[Measured]:
    """Measure the thickness between two families of plane faces, from points on both.

    Corners and edges are among the points, so that the least value of plane walls is exact and not a grid's.

    Args:
        inner: faces made by the core.
        outer: faces made by the outer box, the nose and the pour.
        count: about how many points; never fewer.
    """
    spacing = spacing_for([*inner, *outer], count) * 0.99
    all_points, all_thickness, all_faces = [], [], []
    faces = (*inner, *outer)
    for first, some, others in ((0, inner, outer), (len(inner), outer, inner)):
        spread = [face.spread(spacing) for face in some]
        if not spread or not others:
            continue
        points = np.concatenate(spread)
        thickness, _ = distance(points, others)
        all_points.append(points)
        all_thickness.append(thickness)
        all_faces.append(np.repeat(np.arange(first, first + len(some)), [len(p) for p in spread]))
    return WallField(
        np.concatenate(all_points), np.concatenate(all_thickness), faces, np.concatenate(all_faces).astype(float)
    )


def body_field(case: Case, count: int = POINTS) -> WallField[BodyFace]:
    """Thickness of the four walls of a concrete body; floor and nose are measured by themselves.

    The nose ends in an edge by its shape: there the concrete around the tube counts.
    """
    return wall_field(case.faces(*INSIDE, FaceRole.LEDGE), case.faces(FaceRole.OUTSIDE), count)


def cast_bulge(case: Case, field: WallField[BodyFace]) -> Array:
    """Bulge of panel and core wall together at each point of a wall field, (n,).

    A point of the ledge counts to the wall that it lies in, in a corner to the one of the greater share.
    """
    dims, bulge = case.dims, bulge_of(case.mould)
    x, y, z = field.points.T
    beside = np.abs(x) / dims.width > np.abs(y) / dims.depth
    place = np.where(beside, np.where(x > 0, 2, 3), np.where(y < 0, 0, 1))
    known = np.array([SIDES.index(face.id.wall) if face.id.wall else -1 for face in field.faces])
    named = known[field.face_of.astype(int)]
    place = np.where(named >= 0, named, place)
    out = np.zeros(len(field.points))
    for number, wall in enumerate(SIDES):
        here = place == number
        across = (x if number < 2 else y)[here]
        out[here] = bulge.outside(wall, across, z[here]) + bulge.inside(wall, across, z[here])
    return out


def tube_cover(case: Case) -> tuple[Mm, Array, str]:
    """Least concrete between the tube and any face, where, and which face.

    The tube leaves the cavity and ends at the underside of the nose: as far as its first bend the faces of the
    cavity are left out, and after its last bend the faces that meet at its end.
    """
    dims = case.dims
    points = case.bore_points
    entry = math.hypot(dims.tube.riser_y - dims.tube.inlet[0], dims.tube.bend_radius) + dims.tube.outside / 2
    leave = math.hypot(dims.tube.bend_radius + dims.spec.tube.tail, dims.tube.bend_radius) + dims.tube.outside / 2
    reach = math.hypot(dims.spec.tube.cover, dims.tube.outside / 2) + 0.5
    inlet = np.array([0.0, dims.tube.inlet[0], dims.tube.inlet[1]])
    outlet = np.array([0.0, dims.tube.leg_y, dims.nose.lid_z])
    ends = (
        (inlet, max(reach, entry), [face.id for face in case.faces(*CORE_MADE)]),
        (outlet, max(reach, leave), [FaceId(FaceRole.NOSE_UNDERSIDE), FaceId(FaceRole.NOSE_LIP), FRONT_OUTSIDE]),
    )
    best: tuple[Mm, Array, str] = (math.inf, points[0], "")
    for face in case.body_faces:
        keep = np.ones(len(points), dtype=bool)
        for end, radius, around in ends:
            if face.id in around:
                keep &= np.linalg.norm(points - end, axis=1) > radius
        near, _ = distance(points[keep], [face])
        i = int(np.argmin(np.round(near, 6)))
        if near[i] < best[0]:
            best = (float(near[i]), points[keep][i], face.name)
    return best


def check_walls(case: Case) -> tuple[Verdict, ...]:
    """Measure walls, floor and cover of the tube on the concrete body."""
    dims, spec = case.dims, case.dims.spec
    field = body_field(case)
    least, point, face = field.least()
    bulge = cast_bulge(case, field)
    cast, cast_at, cast_face = replace(field, thickness=field.thickness + bulge).least()
    thicker = int(np.argmax(np.round(bulge, 6)))
    floor_points = np.concatenate([f.spread(20.0) for f in case.faces(FaceRole.FLOOR)])
    floor, _ = distance(floor_points, case.faces(FaceRole.UNDERSIDE))
    cover, at, beside = tube_cover(case)
    stone = spec.concrete.largest_stone
    narrowest, there = min((least, place_words(face, point, dims)), (float(floor.min()), "floor"))
    aci = "ACI 318-19 26.4.2.1(a)(5)"
    wanted = "specification, "
    return (
        Verdict(
            "4.1",
            Said("least cast wall, bulge counted, field of {points} points", points=len(field.points)),
            cast,
            spec.filter.least_wall,
            Operator.AT_LEAST,
            "mm",
            place_words(cast_face, cast_at, dims),
            wanted + "filter.least_wall",
        ),
        Verdict(
            "4.2",
            "thickness of the floor",
            float(floor.min()),
            spec.filter.floor,
            Operator.AT_LEAST,
            "mm",
            "floor",
            wanted + "filter.floor",
        ),
        Verdict(
            "4.3",
            "concrete around the outlet tube",
            cover,
            spec.tube.cover,
            Operator.AT_LEAST,
            "mm",
            Said("between tube and {face}, {height}", face=beside, height=height_words(float(at[2]), dims)),
            wanted + "tube.cover",
        ),
        Verdict(
            "4.4",
            "largest stone against the narrowest wall or floor",
            stone,
            rules.aggregate_greatest(narrowest),
            Operator.AT_MOST,
            "mm",
            there,
            aci + ": 1/5 of the narrowest width",
        ),
        Verdict(
            "4.5",
            "largest stone against the gap beside the tube",
            stone,
            rules.aggregate_greatest_beside_insert(cover),
            Operator.AT_MOST,
            "mm",
            Said("between tube and {face}, {height}", face=beside, height=height_words(float(at[2]), dims)),
            aci + ": 3/4 of the clear spacing",
        ),
        Verdict(
            "4.9",
            "greatest thickening of a wall by the bulge of panel and core wall",
            float(bulge[thicker]),
            2 * spec.shop.allowed_bulge,
            Operator.AT_MOST,
            "mm",
            place_words(field.faces[int(field.face_of[thicker])], field.points[thicker], dims),
            wanted + "shop.allowed_bulge, on both sides",
        ),
    )
