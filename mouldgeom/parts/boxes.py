"""Square tubes, or the two angles welded toe to toe that take the place of one."""

from __future__ import annotations

from mouldgeom.choices import PAIR
from mouldgeom.dimensions import Dimensions
from mouldgeom.shapes import Bar, Group, Placement, SectionKind
from mouldgeom.units import Mm


def square_bars(dims: Dimensions, name: str, group: Group, length: Mm, at: Placement) -> list[Bar]:
    """Describe one square bar centred on the local z axis: a tube, or a pair of angles heel to opposite heel."""
    tube = dims.stock.tube
    if not tube.designation.startswith(PAIR):
        return [Bar(name, group, SectionKind.SQUARE_TUBE, tube.designation, length, (at,))]
    angle, half = tube.designation.removeprefix(PAIR).strip(), tube.side_mm / 2
    return [
        Bar(
            f"{name} {which}",
            group,
            SectionKind.ANGLE,
            angle,
            length,
            (at.of(Placement((-turn * half, -turn * half, 0.0), (turn, 0.0, 0.0), (0.0, turn, 0.0))),),
        )
        for which, turn in (("a", 1.0), ("b", -1.0))
    ]
