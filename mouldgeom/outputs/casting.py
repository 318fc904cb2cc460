"""Mould, concrete and outlet tube in one frame, the casting frame: for one STEP file, and as an assembly of the kernel.

The mould's parts are those of ``solid/mould.step``; the concrete is the body as it is cast, turned over, and the tube
is hollow, its wall being that of the specification.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

import cadquery as cq

from mouldgeom.drawing.colours import CONCRETE_COLOUR, GROUP_COLOURS, TUBE_COLOUR, Colour
from mouldgeom.identity import Unit
from mouldgeom.model.assembly import Mould, Piece
from mouldgeom.outputs.step import StepPart
from mouldgeom.solids import SolidMould, location

CASTING: Final = "casting"
CONCRETE: Final = "concrete"
TUBE: Final = "tube"
UNMOVED: Final = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))


def mould_parts(solids: SolidMould) -> tuple[StepPart, ...]:
    """Every mark of the mould with its places."""
    return tuple(
        StepPart(
            part.mark, GROUP_COLOURS[part.group], solids.shapes[part.mark], tuple(p.matrix for p in part.placements)
        )
        for part in solids.mould.parts
    )


def cast_parts(solids: SolidMould) -> tuple[StepPart, ...]:
    """The concrete, and the tube in it."""
    return tuple(StepPart(name, colour, shape, (UNMOVED,)) for name, colour, shape in _cast(solids))


def _cast(solids: SolidMould) -> tuple[tuple[str, Colour, cq.Shape], ...]:
    return (CONCRETE, CONCRETE_COLOUR, solids.body), (TUBE, TUBE_COLOUR, solids.hollow_tube)


def numbered(mould: Mould) -> Iterator[tuple[str, Piece]]:
    """Every piece with its mark and its number, as the STEP files call it: ``"A1.1"``, ``"A1.2"`` ..."""
    counts: dict[str, int] = {}
    for piece in mould.pieces():
        counts[piece.mark] = counts.get(piece.mark, 0) + 1
        yield f"{piece.mark}.{counts[piece.mark]}", piece


def casting_assembly(solids: SolidMould) -> cq.Assembly:
    """The mould by its units, each within the one that it is part of, and beside it concrete and tube.

    A piece is named by its mark and number (``"A1.1"``), and its label stands in the metadata as ``label``.  Pieces of
    one mark share one shape.
    """
    members: dict[Unit, list[tuple[str, Piece]]] = {}
    parts: dict[Unit | None, dict[Unit, None]] = {}
    for name, piece in numbered(solids.mould):
        members.setdefault(piece.unit, []).append((name, piece))
        for unit in piece.unit.line:
            parts.setdefault(unit.parent, {})[unit] = None
    whole = cq.Assembly(name=CASTING)
    for unit in parts[None]:
        whole.add(_unit(solids, unit, parts, members))
    for name, colour, shape in _cast(solids):
        whole.add(shape, name=name, color=cq.Color(*colour))
    return whole


def _unit(
    solids: SolidMould,
    unit: Unit,
    parts: Mapping[Unit | None, Mapping[Unit, None]],
    members: Mapping[Unit, Sequence[tuple[str, Piece]]],
) -> cq.Assembly:
    """A unit with the units that are part of it, and its own pieces."""
    out = cq.Assembly(name=unit.name)
    for inner in parts.get(unit, ()):
        out.add(_unit(solids, inner, parts, members))
    for name, piece in members.get(unit, ()):
        out.add(
            solids.shapes[piece.mark],
            name=name,
            loc=location(piece.placement),
            color=cq.Color(*GROUP_COLOURS[piece.part.group]),
            metadata={"label": piece.name},
        )
    return out
