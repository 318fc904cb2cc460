"""Check 1.5: every piece is held: reached from the base plate over joints that are found again on the solids.

A weld is found if its lines stand as far off both solids as designed; a row of bolts, if its members lie on each other
around each bolt and head, washers and nut on them; a seat, if both solids are at its points.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Final

import cadquery as cq
import numpy as np

from mouldgeom import tables
from mouldgeom.assembly import bar_wall
from mouldgeom.checks.case import Case
from mouldgeom.checks.measure import Array, distance
from mouldgeom.checks.result import CheckResult, Operator
from mouldgeom.identity import PieceId, Role
from mouldgeom.joints import TOUCH, TOUCHES, Gap, Root, Seat, Weld
from mouldgeom.shapes import Bar, BoltRow, Plate
from mouldgeom.units import Mm

TOLERANCE: Final[Mm] = 0.2
"""How far a joint on the solids may be from the joint as designed: common practice, no source."""
_STEP: Final[Mm] = 40.0
_RING: Final = 8
_Halves = dict[PieceId, list[PieceId]]
Link = tuple[str, frozenset[PieceId], bool]
"""A joint: its label, the pieces that it holds together, and whether the solids have it."""


def links(case: Case) -> Iterator[Link]:
    """Every joint of the mould, looked for on the solids."""
    halves: _Halves = {}
    for piece in case.by_id:
        halves.setdefault(piece.whole, []).append(piece)
    yield from (_weld(case, weld, halves) for weld in case.mould.welds)
    yield from (_row(case, row) for row in case.mould.rows)
    yield from (_seat(case, seat, halves) for seat in case.mould.seats)


def reached(found: Iterable[Link], start: PieceId) -> set[PieceId]:
    """Pieces that hang together with the first, over joints that the solids have."""
    joined = [pieces for _, pieces, there in found if there]
    seen, new = {start}, {start}
    while new:
        new = {piece for pieces in joined if pieces & new for piece in pieces} - seen
        seen |= new
    return seen


def check_held(case: Case) -> tuple[CheckResult, ...]:
    """Count pieces that nothing holds, and joints that the solids do not have."""
    found = tuple(links(case))
    held = reached(found, PieceId(Role.BASE_PLATE))
    loose = [piece.name for piece in case.by_id if piece not in held]
    missing = [name for name, _, there in found if not there]
    return (
        CheckResult(
            "1.5",
            f"pieces that no joint holds and joints that no solid has, of {len(case.by_id)} and {len(found)}",
            float(len(loose) + len(missing)),
            0.0,
            Operator.AT_MOST,
            "-",
            ", ".join([*missing, *loose][:3]) or "none",
            "own rule: nothing floats; a joint is where the design has it to 0.2 mm",
        ),
    )


# ---------------------------------------------------------------- is it there


def _along(roots: Sequence[Root]) -> Array:
    """Points on lines, their ends included."""
    out = []
    for start, end in roots:
        shares = np.linspace(0.0, 1.0, math.ceil(math.dist(start, end) / _STEP) + 1)[:, None]
        out.append(np.array(start) + shares * (np.array(end) - np.array(start)))
    return np.concatenate(out)


def _away(case: Case, piece: PieceId, points: Array) -> Array:
    """Distance of points from the surface of a piece: by its plane faces, by the kernel where only a round is near."""
    at, mark = case.place_of(piece), case.by_id[piece].mark
    local = (points - np.array(at.origin)) @ np.array((at.x, at.y, at.z)).T
    away, _ = distance(local, case.part_faces(mark))
    for number in np.flatnonzero(away > TOLERANCE):
        away[number] = cq.Vertex.makeVertex(*map(float, local[number])).distance(case.solids.shapes[mark])
    return away


def _within(away: Array, gap: Gap) -> bool:
    return bool(away.min() >= gap[0] - TOLERANCE and away.max() <= gap[1] + TOLERANCE)


def _weld(case: Case, weld: Weld, halves: _Halves) -> Link:
    name = f"{weld.role}: {' and '.join(piece.name for piece in weld.pieces)}"
    return _link(case, name, weld.pieces, weld.gaps, _along(weld.roots), halves)


def _link(
    case: Case, name: str, pieces: Sequence[PieceId], gaps: Sequence[Gap], points: Array, halves: _Halves
) -> Link:
    """A joint along points; of a bar of two angles it takes the half or halves that are near."""
    held: set[PieceId] = set()
    there = True
    for whole, gap in zip(pieces, gaps, strict=True):
        own = [whole] if whole in case.by_id else halves.get(whole, [])
        away = np.array([_away(case, piece, points) for piece in own]).reshape(len(own), len(points))
        there = there and bool(own) and _within(away.min(axis=0), gap)
        near = away.min(axis=1) <= gap[1] + TOLERANCE
        held |= {piece for piece, at in zip(own, near, strict=True) if at}
    return name, frozenset(held), there and len(held) > 1


def _row(case: Case, row: BoltRow) -> Link:
    bought = {(p.role, p.number): p for p in case.by_id if p.row == row.id}
    there = all(member in case.by_id for member in row.members) and all(
        _bolt(case, row, number, bought) for number in range(1, len(row.points) + 1)
    )
    return row.name, frozenset((*row.members, *bought.values())), there


def _bolt(case: Case, row: BoltRow, number: int, bought: dict[tuple[Role, int], PieceId]) -> bool:
    """Whether head, washer, members, washer and nut follow each other along one bolt, and touch."""
    roles = (Role.BOLT, Role.HEAD_WASHER, Role.NUT_WASHER, Role.NUT)
    pieces = [bought.get((role, number)) for role in roles]
    if None in pieces:
        return False
    bolt, axis, point = tables.bolt(row.bolt), np.array(row.axis), np.array(row.points[number - 1])
    _, head, far, nut = (piece for piece in pieces if piece is not None)
    on_members = _ring(axis, (row.hole + bolt.washer_outside_mm) / 4)
    on_nut = _ring(axis, (bolt.diameter_mm + bolt.across_flats_mm) / 4)
    stack = pairwise((head, *row.members, far))
    touching = [
        *((pair, point + level * axis + on_members) for pair, level in zip(stack, _levels(case, row), strict=True)),
        ((far, nut), point + (row.grip + bolt.washer_thickness_mm) * axis + on_nut),
    ]
    return all(_within(_away(case, piece, ring), TOUCH) for pair, ring in touching for piece in pair)


def _ring(axis: Array, radius: Mm) -> Array:
    """Points around an axis."""
    side = np.array((1.0, 0.0, 0.0) if abs(axis[0]) < 0.5 else (0.0, 1.0, 0.0))
    turns = np.arange(_RING)[:, None] * 2 * math.pi / _RING
    return np.asarray(radius * (np.cos(turns) * side + np.sin(turns) * np.cross(axis, side)))


def _levels(case: Case, row: BoltRow) -> list[Mm]:
    """From the bearing face of the heads to each face on which two things lie on each other, along the bolts."""
    levels = [0.0]
    for member in row.members:
        part = case.by_id[member].part
        levels.append(
            levels[-1]
            + (part.thickness if isinstance(part, Plate) else bar_wall(part) if isinstance(part, Bar) else 0.0)
        )
    return levels


def _seat(case: Case, seat: Seat, halves: _Halves) -> Link:
    name = " on ".join(piece.name for piece in seat.pieces)
    return _link(case, name, seat.pieces, TOUCHES, np.array(seat.points), halves)
