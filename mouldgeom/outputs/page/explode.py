"""Where each piece goes when the mould is taken apart: first each group along its pull, then its parts.

Panels come off sideways with all that is welded to them, the nose with the front panel; core and base are drawn
out of the body through its rim; the gear for the extraction goes further.  Bolts go with what lies under their heads,
nuts with what lies under them, and both leave along their axis.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from mouldgeom.assembly import Mould, Piece
from mouldgeom.shapes import Bar, BoltRow, Fastener, FastenerKind, Group, Plate, Vec, add, dot
from mouldgeom.sides import OUTWARDS, SIDES
from mouldgeom.units import Mm, Ratio

STILL: Final[Vec] = (0.0, 0.0, 0.0)
_DOWN: Final[Vec] = (0.0, 0.0, -1.0)
_SPREAD: Final[dict[str, tuple[Ratio, Ratio]]] = {"panel": (2.5, 0.1), "core": (0.4, 0.7), "base": (2.0, 0.25)}
"""How far parts move from the middle of their family, along its pull and across it, as shares of where they stand."""
_HEAD, _WASHER, _NUT = 70.0, 35.0, 55.0

Moves = dict[str, tuple[Vec, Vec]]
"""For each piece by name: the move with its group, and after it the move from its group, mm in the casting frame."""


def is_gear(piece: Piece) -> bool:
    """Whether a piece is fitted for the extraction only; the nut on the anchor plate is not."""
    return piece.part.group is Group.EXTRACTION or (piece.name.startswith("jack") and "anchor" not in piece.name)


def moves(mould: Mould) -> Moves:
    """Moves of every piece."""
    families: dict[str, list[Piece]] = {}
    bolts: list[Piece] = []
    rows = {row.name: row for row in mould.rows}
    for piece in mould.pieces():
        if isinstance(piece.part, Fastener) and _row_of(piece, rows) is not None:
            bolts.append(piece)
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
            out[piece.name] = (add(STILL, pull, far), own)
    for piece in bolts:
        row = _row_of(piece, rows)
        assert row is not None
        out[piece.name] = _bolt_move(piece, row, out)
    return out


def _family(piece: Piece) -> str:
    """The side that a piece comes off with, or ``core``, ``base``, ``gear``."""
    group = piece.part.group
    if is_gear(piece):
        return "gear"
    if group is Group.BASE:
        return "base"
    if group is Group.NOSE:
        return "nose"
    words = piece.name.rpartition(", ")[2].split() if group is Group.OUTER_BOX else ()
    return next((side for side in SIDES if side in words), "core")


def _pull(mould: Mould, family: str) -> tuple[Vec, Mm, str]:
    """Direction in which a family is drawn, how far, and how its parts spread."""
    dims = mould.dims
    reach = 0.6 * max(dims.width, dims.depth)
    if family == "nose":
        return OUTWARDS["front"], 1.7 * reach, "panel"
    if family in OUTWARDS:
        return OUTWARDS[family], reach, "panel"
    out = 1.08 * dims.end_z
    further = {"core": 0.0, "base": 0.2 * dims.height, "gear": 0.3 * dims.height}
    return _DOWN, out + further[family], "core" if family == "core" else "base"


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


def _row_of(piece: Piece, rows: dict[str, BoltRow]) -> BoltRow | None:
    """The bolt row of a fastener called ``"nut, corner bolts, front left 3"``."""
    words = piece.name.partition(", ")[2].split(" ")
    tails = (" ".join(words[:count]) for count in range(len(words) - 1, 0, -1))
    return next((rows[tail] for tail in tails if tail in rows), None)


def _bolt_move(piece: Piece, row: BoltRow, done: Moves) -> tuple[Vec, Vec]:
    """With the first member what stands under the head, with the last what stands under the nut."""
    part = piece.part
    nut_side = piece.name.endswith(" nut") or piece.name.startswith("nut,")
    group, own = done[row.members[-1 if nut_side else 0]]
    kind = part.kind if isinstance(part, Fastener) else FastenerKind.BOLT
    lift = {FastenerKind.BOLT: _HEAD, FastenerKind.WASHER: _WASHER, FastenerKind.NUT: _NUT}[kind]
    return group, add(own, row.axis, lift if nut_side else -lift)
