"""The thickness of the concrete at the corners of its mesh, and the colours that show it.

The thickness of walls is that of check 4.1, as cast: the nearest distance from a wall's inside to the outside faces, or
the other way round, and the bulge of panel and core wall.  The floor is measured to the underside, as drawn.  Rim, nose
and bore have none.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mouldgeom.checks.case import Case
from mouldgeom.checks.faces import INSIDE, FaceRole
from mouldgeom.checks.measure import PlaneFace, distance
from mouldgeom.checks.walls import WallField, cast_bulge
from mouldgeom.drawing.colours import Colour
from mouldgeom.model.mesh import Floats, Ints, Mesh, make_mesh, triangle_normals
from mouldgeom.units import Mm, Ratio

Flags = NDArray[np.bool_]
Whole = NDArray[np.int64]

NONE: Final = -1.0
"""Stands where there is no thickness."""
LONGEST: Final[Mm] = 32.0
"""No edge of the mesh that carries the thickness is longer."""
_VALUED: Final = (FaceRole.OUTSIDE, *INSIDE, FaceRole.FLOOR, FaceRole.UNDERSIDE)
_ON_FACE: Final[Mm] = 0.2
_ROUNDED: Final[Mm] = 0.02
"""What rounded corners may take from a thickness."""
_VIRIDIS: Final = np.array(
    [
        (0.2777273272234177, 0.005407344544966578, 0.3340998053353061),
        (0.1050930431085774, 1.404613529898575, 1.384590162594685),
        (-0.3308618287255563, 0.214847559468213, 0.09509516302823659),
        (-4.634230498983486, -5.799100973351585, -19.33244095627987),
        (6.228269936347081, 14.17993336680509, 56.69055260068105),
        (4.776384997670288, -13.74514537774601, -65.35303263337234),
        (-5.435455855934631, 4.645852612178535, 26.3124352495832),
    ]
)


def ramp(share: Ratio) -> Colour:
    """Colour for a share from 0 (dark) to 1 (light): lightness rises all the way, so that grey copies read too.

    Source: van der Walt and Smith, colour map "viridis", 2015; polynomial of degree 6 fitted to it (from memory).
    """
    powers = min(1.0, max(0.0, share)) ** np.arange(len(_VIRIDIS))
    red, green, blue = (float(c) for c in np.clip(powers @ _VIRIDIS, 0.0, 1.0))
    return red, green, blue


def subdivide(mesh: Mesh, chosen: Flags, longest: Mm = LONGEST) -> tuple[Mesh, Ints]:
    """Halve longer edges of chosen triangles, until none is; the mesh stays closed and its shape as it was.

    Args:
        mesh: what to cut up.
        chosen: (m,) of its triangles; the others are cut only where they share an edge with a chosen one.
        longest: edge that is left whole.

    Returns:
        the mesh, and for each of its triangles the number of the old one that it lies in.
    """
    vertices, triangles = mesh.vertices, mesh.triangles.astype(np.int64)
    owner = np.arange(len(triangles))
    while True:
        ends = np.sort(np.stack((triangles, np.roll(triangles, -1, axis=1)), axis=2), axis=2).reshape(-1, 2)
        keys, number = np.unique(ends[:, 0] * len(vertices) + ends[:, 1], return_inverse=True)
        first, last = np.divmod(keys, len(vertices))
        number = number.reshape(-1, 3)
        asked = np.zeros(len(keys), dtype=np.bool_)
        asked[number[chosen[owner]]] = True
        halved = asked & (np.linalg.norm(vertices[first] - vertices[last], axis=1) > longest)
        if not halved.any():
            return make_mesh(vertices, triangles.astype(np.int32)), owner.astype(np.int32)
        middle = np.where(halved, len(vertices) + np.cumsum(halved) - 1, -1)
        vertices = np.concatenate((vertices, (vertices[first[halved]] + vertices[last[halved]]) / 2))
        triangles, owner = _pieces(triangles, middle[number], owner, vertices)


def _pieces(triangles: Whole, middles: Whole, owner: Whole, at: Floats) -> tuple[Whole, Whole]:
    """Triangles cut by the middles of their edges (-1: the edge is kept), and the owner of each, in its old order."""
    cut = middles >= 0
    count = cut.sum(axis=1)
    # turn them so that the first edge is halved, and with two halved edges the last is whole
    turn = np.where(count == 2, np.argmin(cut, axis=1) + 1, np.argmax(cut, axis=1))
    order = (turn[:, None] + np.arange(3)) % 3
    a, b, c = np.take_along_axis(triangles, order, axis=1).T
    ab, bc, ca = np.take_along_axis(middles, order, axis=1).T
    short = np.linalg.norm(at[a] - at[bc], axis=1) <= np.linalg.norm(at[ab] - at[c], axis=1)
    one, two, three = count == 1, count == 2, count == 3
    made = (
        (count == 0, (a, b, c)),
        (one, (a, ab, c)),
        (one, (ab, b, c)),
        (two | three, (ab, b, bc)),
        (two & short, (a, ab, bc)),
        (two & short, (a, bc, c)),
        (two & ~short, (a, ab, c)),
        (two & ~short, (ab, bc, c)),
        (three, (a, ab, ca)),
        (three, (bc, c, ca)),
        (three, (ab, bc, ca)),
    )
    found = np.concatenate([np.stack(corners, axis=1)[which] for which, corners in made])
    of = np.concatenate([owner[which] for which, _ in made])
    kept = np.argsort(of, kind="stable")
    return found[kept], of[kept]


def valued_faces(case: Case, mesh: Mesh) -> tuple[Ints, Flags]:
    """For each triangle of the body's mesh the number of its plane face, -1 on the bore; whether that has values."""
    face_of = _faces_of(mesh, case.body_faces)
    valued = [i for i, face in enumerate(case.body_faces) if face.id.role in _VALUED]
    return face_of, np.isin(face_of, valued)


def wall_values(case: Case, points: Floats, face_of: Ints) -> Floats:
    """Thickness of the concrete as it is cast at each point, (n,); ``NONE`` where there is none.

    Args:
        case: the mould's concrete body.
        points: (n, 3) on the body, in the casting frame.
        face_of: (n,) number of the plane face that each of them lies on, -1 for none.
    """
    faces = case.body_faces
    outside, floor, underside = (FaceRole.OUTSIDE,), (FaceRole.FLOOR,), (FaceRole.UNDERSIDE,)
    pairs = ((INSIDE, outside), (outside, (*INSIDE, FaceRole.LEDGE)), (floor, underside), (underside, floor))
    out = np.full(len(points), NONE)
    for here, there in pairs:
        numbers = [i for i, face in enumerate(faces) if face.id.role in here]
        chosen = np.isin(face_of, numbers)
        if not chosen.any():
            continue
        drawn, _ = distance(points[chosen], case.faces(*there))
        field = WallField(points[chosen], drawn, faces, face_of[chosen].astype(float))
        out[chosen] = drawn + cast_bulge(case, field) if here in (INSIDE, outside) else drawn
    return out


def _faces_of(mesh: Mesh, faces: tuple[PlaneFace, ...]) -> Ints:
    """Number of the plane face that each triangle lies in, -1 on the bore."""
    normals = triangle_normals(mesh.vertices, mesh.triangles)
    middles = mesh.vertices[mesh.triangles].mean(axis=1)
    out = np.full(len(middles), -1, dtype=np.int32)
    for number, face in enumerate(faces):
        some = np.flatnonzero(
            (normals @ face.normal > 0.9999) & (np.abs((middles - face.origin) @ face.normal) < _ON_FACE)
        )
        if len(some):
            near, _ = distance(middles[some], [face])
            out[some[near < _ON_FACE]] = number
    return out


def scale_of(values: Floats) -> tuple[Mm, Mm]:
    """Ends of the colour scale, four whole steps apart: least wall, and what all but a tenth stay below."""
    found = values[values != NONE]
    low = math.floor(float(found.min()) + _ROUNDED)
    step = math.ceil((float(np.quantile(found, 0.9)) - _ROUNDED - low) / 4)
    return float(low), float(low + 4 * max(1, step))
