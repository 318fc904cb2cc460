"""Square tubes, or the two angles welded toe to toe that take the place of one."""

from __future__ import annotations

from dataclasses import replace

from mouldgeom.choices import PAIR
from mouldgeom.dimensions import Dimensions
from mouldgeom.identity import PieceId, Unit
from mouldgeom.shapes import Bar, Group, Placement, SectionKind, Stand
from mouldgeom.units import Mm, Ratio


def square_bars(dims: Dimensions, piece: PieceId, unit: Unit, group: Group, length: Mm, at: Placement) -> list[Bar]:
    """Describe one square bar centred on the local z axis: a tube, or a pair of angles heel to opposite heel."""
    tube = dims.stock.tube
    if not tube.designation.startswith(PAIR):
        return [Bar(group, (Stand(piece, unit, at),), SectionKind.SQUARE_TUBE, tube.designation, length)]
    angle, half = tube.designation.removeprefix(PAIR).strip(), tube.side_mm / 2

    def stand(which: str, turn: Ratio) -> Stand:
        inner = Placement((-turn * half, -turn * half, 0.0), (turn, 0.0, 0.0), (0.0, turn, 0.0))
        return Stand(replace(piece, half=which), unit, at.of(inner))

    return [
        Bar(group, (stand(which, turn),), SectionKind.ANGLE, angle, length) for which, turn in (("a", 1.0), ("b", -1.0))
    ]
