"""Check 1.5: every piece is held: reached from the base plate over joints that are found again on the solids.

A weld is found if its lines stand as far off both solids as designed; a row of bolts, if its members lie on each other
around each bolt and head, washers and nut on them; a seat, if both solids are at its points.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import Final

import cadquery as cq
import numpy as np

from mouldgeom import tables
from mouldgeom.checks.case import Case
from mouldgeom.checks.measure import Array, distance
from mouldgeom.identity import PieceId, Role
from mouldgeom.model.joints import TOUCH, Gap, Root
from mouldgeom.model.shapes import Bar, BoltRow, Plate
from mouldgeom.model.weights import bar_wall
from mouldgeom.units import Mm
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said, joined

TOLERANCE: Final[Mm] = 0.2
"""How far a joint on the solids may be from the joint as designed: common practice, no source."""
_STEP: Final[Mm] = 40.0
_RING: Final = 8
Ask = tuple[tuple[PieceId, ...], Array, Gap]
"""What a joint asks of one of its sides: pieces, any of which will do, at points (n, 3), as far off as the gap."""
Link = tuple[str, frozenset[PieceId], bool]
"""A joint: its label, the pieces that it holds together, and whether the solids have it."""


@dataclass(frozen=True)
class _Joint:
    """A joint to be looked for.  ``bought`` holds with it whatever else it does."""

    name: str
    sides: tuple[Ask, ...]
    bought: frozenset[PieceId] = frozenset()


def links(case: Case) -> tuple[Link, ...]:
    """Every joint of the mould, looked for on the solids."""
    joints = tuple(_joints(case))
    asked = [(piece, points, gap) for joint in joints for pieces, points, gap in joint.sides for piece in pieces]
    found = iter(_away(case, asked))
    return tuple(_link(joint, found) for joint in joints)


def _link(joint: _Joint, away: Iterator[Array]) -> Link:
    held, there = set(joint.bought), True
    for pieces, points, gap in joint.sides:
        each = np.array([next(away) for _ in pieces]).reshape(len(pieces), len(points))
        there = there and bool(pieces) and _within(each.min(axis=0), gap)
        held |= {piece for piece, own in zip(pieces, each, strict=True) if own.min() <= gap[1] + TOLERANCE}
    return joint.name, frozenset(held), there and len(held) > 1


def reached(found: Iterable[Link], start: PieceId) -> set[PieceId]:
    """Pieces that hang together with the first, over joints that the solids have."""
    joined = [pieces for _, pieces, there in found if there]
    seen, new = {start}, {start}
    while new:
        new = {piece for pieces in joined if pieces & new for piece in pieces} - seen
        seen |= new
    return seen


def check_held(case: Case) -> tuple[Verdict, ...]:
    """Count pieces that nothing holds, and joints that the solids do not have."""
    found = links(case)
    held = reached(found, PieceId(Role.BASE_PLATE))
    loose = [piece.name for piece in case.by_id if piece not in held]
    missing = [name for name, _, there in found if not there]
    return (
        Verdict(
            "1.5",
            Said(
                "pieces that no joint holds and joints that no solid has, of {pieces} and {joints}",
                pieces=len(case.by_id),
                joints=len(found),
            ),
            float(len(loose) + len(missing)),
            0.0,
            Operator.AT_MOST,
            "-",
            joined([*missing, *loose][:3]) or "none",
            "own rule: nothing floats; a joint is where the design has it to 0.2 mm",
        ),
    )


# ---------------------------------------------------------------- what to look for


def _joints(case: Case) -> Iterator[_Joint]:
    halves: dict[PieceId, list[PieceId]] = {}
    for piece in case.by_id:
        halves.setdefault(piece.whole, []).append(piece)

    def own(piece: PieceId) -> tuple[PieceId, ...]:
        """A piece, or the two halves of a bar of two angles; nothing where it is missing."""
        return (piece,) if piece in case.by_id else tuple(halves.get(piece, ()))

    for weld in case.mould.welds:
        name = Said("{weld}: {pieces}", weld=weld.role, pieces=joined((piece.name for piece in weld.pieces), " and "))
        points = _along(weld.roots)
        pairs = zip(weld.pieces, weld.gaps, strict=True)
        yield _Joint(name, tuple((own(piece), points, gap) for piece, gap in pairs))
    for row in case.mould.rows:
        bought = {(p.role, p.number): p for p in case.by_id if p.row == row.id}
        sides = tuple(
            side for number in range(1, len(row.points) + 1) for side in _bolt(case, row, number, bought, own)
        )
        yield _Joint(row.name, sides, frozenset(bought.values()))
    for seat in case.mould.seats:
        points = np.array(seat.points)
        name = joined((piece.name for piece in seat.pieces), " on ")
        yield _Joint(name, tuple((own(piece), points, TOUCH) for piece in seat.pieces))


def _along(roots: Sequence[Root]) -> Array:
    """Points on lines, their ends included."""
    out = []
    for start, end in roots:
        shares = np.linspace(0.0, 1.0, math.ceil(math.dist(start, end) / _STEP) + 1)[:, None]
        out.append(np.array(start) + shares * (np.array(end) - np.array(start)))
    return np.concatenate(out)


def _bolt(
    case: Case,
    row: BoltRow,
    number: int,
    bought: Mapping[tuple[StrEnum, int], PieceId],
    own: Callable[[PieceId], tuple[PieceId, ...]],
) -> Iterator[Ask]:
    """Head washer, members, washer and nut follow each other along a bolt, and touch; missing ones are no pieces."""
    bolt, axis, point = tables.bolt(row.bolt), np.array(row.axis), np.array(row.points[number - 1])
    head, far, nut = ((p,) if (p := bought.get((role, number))) else () for role in _BOUGHT)
    on_members = _ring(axis, (row.hole + bolt.washer_outside_mm) / 4)
    on_nut = _ring(axis, (bolt.diameter_mm + bolt.across_flats_mm) / 4)
    stack = pairwise((head, *map(own, row.members), far))
    for pair, level in zip(stack, _levels(case, row), strict=True):
        for pieces in pair:
            yield pieces, point + level * axis + on_members, TOUCH
    for pieces in (far, nut):
        yield pieces, point + (row.grip + bolt.washer_thickness_mm) * axis + on_nut, TOUCH


_BOUGHT: Final = (Role.HEAD_WASHER, Role.NUT_WASHER, Role.NUT)


def _ring(axis: Array, radius: Mm) -> Array:
    """Points around an axis."""
    side = np.array((1.0, 0.0, 0.0) if abs(axis[0]) < 0.5 else (0.0, 1.0, 0.0))
    turns = np.arange(_RING)[:, None] * 2 * math.pi / _RING
    return np.asarray(radius * (np.cos(turns) * side + np.sin(turns) * np.cross(axis, side)))


def _levels(case: Case, row: BoltRow) -> list[Mm]:
    """From the bearing face of the heads to each face on which two things lie on each other, along the bolts."""
    levels = [0.0]
    for member in row.members:
        part = case.by_id[member].part if member in case.by_id else None
        thick = part.thickness if isinstance(part, Plate) else bar_wall(part) if isinstance(part, Bar) else 0.0
        levels.append(levels[-1] + thick)
    return levels


# ---------------------------------------------------------------- is it there


def _within(away: Array, gap: Gap) -> bool:
    return bool(away.min() >= gap[0] - TOLERANCE and away.max() <= gap[1] + TOLERANCE)


def _away(case: Case, asked: Sequence[tuple[PieceId, Array, Gap]]) -> list[Array]:
    """Distance of points from the surface of a piece, for each that is asked: by its plane faces, by the kernel where
    none is as near as it should be.  Pieces of one mark are measured together, in their own frame.
    """
    groups: dict[str, list[int]] = {}
    local = []
    for number, (piece, points, _) in enumerate(asked):
        at = case.place_of(piece)
        local.append((points - np.array(at.origin)) @ np.array((at.x, at.y, at.z)).T)
        groups.setdefault(case.by_id[piece].mark, []).append(number)
    out: list[Array] = [np.empty(0)] * len(asked)
    for mark, numbers in groups.items():
        away, _ = distance(np.concatenate([local[n] for n in numbers]), case.part_faces(mark))
        ends = np.cumsum([len(local[n]) for n in numbers])[:-1]
        for number, own in zip(numbers, np.split(away, ends), strict=True):
            for far in np.flatnonzero(own > asked[number][2][1] + TOLERANCE):
                own[far] = cq.Vertex.makeVertex(*map(float, local[number][far])).distance(case.solids.shapes[mark])
            out[number] = own
    return out
