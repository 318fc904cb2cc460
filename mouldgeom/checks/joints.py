"""Check 6: pitch, edge distance, room for head, nut and socket in every joint, on the solids; reach to every weld."""

from __future__ import annotations

import itertools
import math

import numpy as np

from mouldgeom import rules, tables
from mouldgeom.checks.case import Case
from mouldgeom.checks.measure import PlaneFace, distance
from mouldgeom.design.bolting import GREATEST_PITCH
from mouldgeom.fabrication.reach import deepest
from mouldgeom.geometry.placement import Vec
from mouldgeom.identity import APART, PieceId
from mouldgeom.model.shapes import BoltRow, Fastener
from mouldgeom.units import Mm
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

_EC3 = "EN 1993-1-8:2005 Table 3.3"


def check_pitch(case: Case) -> tuple[Verdict, ...]:
    """Least and greatest distance between neighbours of a row.

    Where a stiffener or the bridge leg stands between two bolts, they may stand as far apart as it needs with a socket
    on each side.  A found pitch is held by the gap between bolts (8.14) and has a greatest value in practice.
    """
    gaps = [(math.dist(a, b), row, a, b) for row in case.mould.rows for a, b in itertools.pairwise(row.points)]
    least = min(gaps, key=lambda g: round(g[0], 6))
    given = case.dims.spec.shop.bolt_pitch
    pitch = given or GREATEST_PITCH
    allowed = [(gap, max(pitch, _obstacle(case, a, b)), row) for gap, row, a, b in gaps]
    greatest = max(allowed, key=lambda g: round(g[0] - g[1], 6))
    return (
        Verdict(
            "6.1",
            "least pitch",
            least[0],
            rules.pitch_least(least[1].hole),
            Operator.AT_LEAST,
            "mm",
            least[1].name,
            _EC3 + ": 2.2 d0",
        ),
        Verdict(
            "6.2",
            "greatest pitch",
            greatest[0],
            greatest[1],
            Operator.AT_MOST,
            "mm",
            greatest[2].name,
            (
                "specification, shop.bolt_pitch"
                if given
                else "common practice, no source: 200 mm; found, so that 8.14 holds"
            )
            + "; or the width of what stands between with its sockets",
        ),
    )


def _obstacle(case: Case, one: Vec, other: Vec) -> Mm:
    """Room that a stiffener or bridge leg between two bolts needs, 0 if none stands there."""
    dims = case.dims
    if any(one[2] < z < other[2] for z in dims.stiffener_z):
        return dims.stock.tube.side_mm + 2 * dims.bolting.socket_radius + 0.1
    if one[0] == other[0] and one[1] < 0 < other[1] and one[2] == other[2]:
        return 2 * min(y for y in dims.bolting.side_y if y > 0)
    return 0.0


def check_edges(case: Case) -> tuple[Verdict, ...]:
    """Least distance from the middle of a bolt hole to the nearest edge of its member."""
    worst: tuple[Mm, str, Mm] = (math.inf, "", 0.0)
    for row in case.mould.rows:
        axis = np.array(row.axis)
        needed = rules.end_distance_least(row.hole)
        for member in row.members:
            sides = [f for f in case.piece_faces(member) if abs(float(f.normal @ axis)) < 0.5]
            for point in row.points:
                near = min(_in_plane(np.array(point), face, axis) for face in sides)
                if near - needed < worst[0] - worst[2] - 1e-9 or not worst[1]:
                    worst = (near, Said("{row} in {piece}", row=row.name, piece=member.name), needed)
    return (
        Verdict(
            "6.3",
            "least distance from a bolt hole to an edge",
            worst[0],
            worst[2],
            Operator.AT_LEAST,
            "mm",
            worst[1],
            _EC3 + ": 1.2 d0",
        ),
    )


def _in_plane(point: np.ndarray, face: PlaneFace, axis: np.ndarray) -> Mm:
    """Distance from the bolt's axis to a face, measured square to the axis."""
    flat = face.corners - np.outer((face.corners - point) @ axis, axis) - point
    best = math.inf
    for a, b in zip(flat, np.roll(flat, -1, axis=0), strict=True):
        along = b - a
        square = float(along @ along)
        share = min(1.0, max(0.0, float(-a @ along) / square)) if square > 1e-12 else 0.0
        best = min(best, float(np.linalg.norm(a + share * along)))
    return best


def check_room(case: Case) -> tuple[Verdict, ...]:
    """Least free radius around each head and nut, over the depth of a socket, against that of the socket."""
    worst: tuple[Mm, str, Mm] = (math.inf, "", 0.0)
    made = [p.id for p in case.solids.pieces if not isinstance(p.part, Fastener) and not p.unit.within(*APART)]
    for row in case.mould.rows:
        bolt = tables.bolt(row.bolt)
        needed = rules.socket_outside_diameter(bolt.across_flats_mm) / 2
        axis = np.array(row.axis)
        reach = 3 * needed
        for point in row.points:
            at = np.array(point)
            for end, start, way in (("head", at, -axis), ("nut", at + row.grip * axis, axis)):
                depths = np.arange(bolt.washer_thickness_mm, rules.socket_depth(), 2.0)
                line = start + depths[:, None] * way
                faces = _obstacles(case, made, row, line, reach, way, start)
                free = float(distance(line, faces, reach=reach)[0].min()) if faces else reach
                if free - needed < worst[0] - worst[2] - 1e-9 or not worst[1]:
                    worst = (free, Said("{row}, {end}", row=row.name, end=end), needed)
    return (
        Verdict(
            "6.4",
            "room for a socket around each head and nut, free radius",
            worst[0],
            worst[2],
            Operator.AT_LEAST,
            "mm",
            worst[1],
            "common practice, no source: socket 1.5 x across flats, free for 30 mm",
        ),
    )


def _obstacles(
    case: Case, pieces: list[PieceId], row: BoltRow, line: np.ndarray, reach: Mm, way: np.ndarray, seat: np.ndarray
) -> list[PlaneFace]:
    """Faces near the axis that stand up from the seat and not all beyond the socket; the seat itself is none."""
    low, high = line.min(axis=0) - reach, line.max(axis=0) + reach
    out = []
    for piece in pieces:
        box = case.boxes[piece]
        if any(box.high[i] < low[i] or box.low[i] > high[i] for i in range(3)):
            continue
        for face in case.piece_faces(piece):
            heights = (face.corners - seat) @ way
            if heights.max() > 0.01 and heights.min() < rules.socket_depth():
                out.append(face)
    return out


def check_reach(case: Case) -> tuple[Verdict, ...]:
    """Depth of the weld that is hardest to reach, against the reach of arm and torch through its opening."""
    way = deepest(case.mould)
    if way is None:
        return ()
    return (
        Verdict(
            "6.5",
            "weld inside the core that is hardest to reach, depth behind its opening",
            way.depth,
            way.reach,
            Operator.AT_MOST,
            "mm",
            Said("{weld}, {opening}, {width:.0f} mm wide", weld=way.seam.role, opening=way.opening, width=way.width),
            "own rule: 4/3 of the lesser width of the opening, 500 mm at most",
        ),
    )
