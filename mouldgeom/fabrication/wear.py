"""Wear of the screws that draw the core: turns at a cast, casts that they last, and spares over the mould's life."""

from __future__ import annotations

import math
from collections.abc import Iterator, Set
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from mouldgeom import tables
from mouldgeom.fabrication.quantities import material_of
from mouldgeom.identity import Role
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import Bar, Fastener
from mouldgeom.rules import screw
from mouldgeom.strength_classes import strength_class
from mouldgeom.units import Casts, Mm, Newton, Ratio, plain

SCREWS: Final[Set[StrEnum]] = frozenset({Role.JACK_SCREW, Role.FORCING_SCREW})
"""Pieces that draw the core by being turned; the pull is shared evenly."""
WORN: Final[Set[StrEnum]] = SCREWS | {Role.ANCHOR_NUT, Role.PLATE_NUT}
"""Pieces that are changed together once their thread is worn."""


@dataclass(frozen=True)
class Spare:
    """A rod or nut that wears out, and how many more of it than are in the mould its life takes."""

    part: Bar | Fastener
    count: int

    @property
    def name(self) -> str:
        """What to ask for: ``"hexagon nut M24, class 5"``, ``"threaded rod M24, class 4.6, 432 mm"``."""
        length = f", {plain(self.part.length, 1)} mm" if isinstance(self.part, Bar) else ""
        return material_of(self.part) + length


def turns(mould: Mould) -> Ratio:
    """Turns of all screws together that draw the core at one cast; letting down is quick, and left out."""
    stroke = mould.dims.stroke
    return sum(count * stroke / _row(part).pitch_mm for part, count in _pieces(mould, SCREWS))


def screw_casts(row: tables.Bolt, strength: str, force: Newton, stroke: Mm) -> Casts:
    """Casts that one screw of a strength class lasts in a nut of its thread: order of magnitude only.

    The force acts over the whole stroke at every cast, which is the safe side.

    Raises:
        InputError: a force or stroke not above 0.

    Source: ``rules.screw.wear_life``.
    """
    thread = screw.vee_thread(row.diameter_mm, row.pitch_mm)
    pressure = screw.thread_bearing(force, thread, row.nut_height_mm / row.pitch_mm)
    return screw.wear_life(thread, pressure, stroke, strength_class(strength, row).ultimate_mpa)


def wear_casts(mould: Mould, pull: Newton) -> Casts:
    """Casts that the screws of a mould last, each with its share of the pull; without end if there are none."""
    screws = list(_pieces(mould, SCREWS))
    each, stroke = pull / max(1, sum(count for _, count in screws)), mould.dims.stroke
    return min((screw_casts(_row(part), part.strength, each, stroke) for part, _ in screws), default=math.inf)


def spare_sets(mould: Mould, pull: Newton) -> int:
    """How many times the screws and their nuts are changed in the mould's life, ``use.life``: ceil(life/casts) - 1."""
    return max(0, math.ceil(mould.dims.spec.use.life / wear_casts(mould, pull)) - 1)


def spares(mould: Mould, pull: Newton) -> tuple[Spare, ...]:
    """What is bought beside the mould to last its life under a pull; empty if its first screws do."""
    sets = spare_sets(mould, pull)
    return tuple(Spare(part, sets * count) for part, count in _pieces(mould, WORN)) if sets else ()


def _pieces(mould: Mould, roles: Set[StrEnum]) -> Iterator[tuple[Bar | Fastener, int]]:
    parts: list[Bar | Fastener] = [*mould.bars, *mould.fasteners]
    for part in parts:
        if count := sum(stand.id.role in roles for stand in part.stands):
            yield part, count


def _row(part: Bar | Fastener) -> tables.Bolt:
    return tables.bolt(part.section if isinstance(part, Bar) else part.designation)
