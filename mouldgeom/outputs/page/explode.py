"""Where each piece goes when the mould is taken apart: first each group along its pull, then its parts.

Panels come off sideways with all that is welded to them, the nose with the front panel; core and base are drawn
out of the body through its rim; the gear for the extraction goes further.  Bolts go with what lies under their heads,
nuts with what lies under them, and both leave along their axis.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from mouldgeom.geometry.placement import Vec, add, dot
from mouldgeom.identity import BASE, BOX, CLOSING, CORE, GEAR, LID, NOSE, STAND, PieceId, Role, Unit
from mouldgeom.model.assembly import Mould, Piece
from mouldgeom.model.shapes import Bar, BoltRow, Fastener, FastenerKind, Plate
from mouldgeom.units import Mm, Ratio

STILL: Final[Vec] = (0.0, 0.0, 0.0)
_SPREAD: Final[dict[str, tuple[Ratio, Ratio]]] = {"panel": (2.5, 0.1), "core": (0.4, 0.7), "base": (2.0, 0.25)}
"""How far parts move from the middle of their family, along its pull and across it, as shares of where they stand."""
_HEAD, _WASHER, _NUT = 70.0, 35.0, 55.0

Moves = dict[PieceId, tuple[Vec, Vec]]
"""For each piece: the move with its group, and after it the move from its group, mm in the casting frame."""


def moves(mould: Mould) -> Moves:
    """Moves of every piece."""
    families: dict[Unit, list[Piece]] = {}
    bolts: list[tuple[Piece, BoltRow]] = []
    rows = {row.id: row for row in mould.rows}
    for piece in mould.pieces():
        if piece.id.row is not None:
            bolts.append((piece, rows[piece.id.row]))
        else:
            families.setdefault(_family(piece), []).append(piece)
    out: Moves = {}
    for family, pieces in families.items():
        pull, far, kind = _pull(mould, family)
        middle = _middle(_centre(piece) for piece in pieces)
        along, across = _SPREAD[kind]
        for piece in pieces:
            gap = add(_centre(piece), middle, -1)
            straight = dot(gap, pull)
            own = add(add(STILL, gap, across), pull, straight * (along - across))
            out[piece.id] = (add(STILL, pull, far), own)
    for piece, row in bolts:
        out[piece.id] = _bolt_move(piece, row, out)
    return out


def _family(piece: Piece) -> Unit:
    """The unit that a piece moves with: a panel, the nose with its cover, core, base, or all of the gear."""
    if piece.unit is LID:
        return NOSE
    return GEAR if piece.unit.within(GEAR) else piece.unit


def _pull(mould: Mould, family: Unit) -> tuple[Vec, Mm, str]:
    """Direction in which a family is drawn, how far, and how its parts spread."""
    dims = mould.dims
    if family.within(BOX):
        reach = 0.6 * max(dims.width, dims.depth)
        return family.pull, 1.7 * reach if family is NOSE else reach, "panel"
    further = {BASE: 0.2 * dims.height, GEAR: 0.3 * dims.height}.get(family, 0.0)
    if family.within(CLOSING, STAND):
        return family.pull, 0.15 * dims.height if family is CLOSING else 0.9 * dims.height, "base"
    return family.pull, 1.08 * dims.end_z + further, "core" if family is CORE else "base"


def _centre(piece: Piece) -> Vec:
    """Middle of a piece, near enough."""
    part = piece.part
    if isinstance(part, Plate):
        x0, y0, x1, y1 = part.outline.bounds
        return piece.placement.to_casting(((x0 + x1) / 2, (y0 + y1) / 2, -part.thickness / 2))
    length = part.length if isinstance(part, Bar) else 0.0
    return piece.placement.to_casting((0.0, 0.0, length / 2))


def _middle(points: Iterable[Vec]) -> Vec:
    """Middle of the box around points."""
    axes = list(zip(*points, strict=True))
    x, y, z = ((min(axis) + max(axis)) / 2 for axis in axes)
    return (x, y, z)


def _bolt_move(piece: Piece, row: BoltRow, done: Moves) -> tuple[Vec, Vec]:
    """With the first member what stands under the head, with the last what stands under the nut."""
    part = piece.part
    nut_side = piece.id.role in (Role.NUT, Role.NUT_WASHER)
    group, own = done[row.members[-1 if nut_side else 0]]
    kind = part.kind if isinstance(part, Fastener) else FastenerKind.BOLT
    lift = {FastenerKind.BOLT: _HEAD, FastenerKind.WASHER: _WASHER, FastenerKind.NUT: _NUT}[kind]
    return group, add(own, row.axis, lift if nut_side else -lift)
