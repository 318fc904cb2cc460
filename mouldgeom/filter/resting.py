"""Where the water comes to rest: at the end of a tube that stays full, at the crest of one that empties.

Air climbs into the open end of a wide tube and its leg runs empty; the water then runs over the crest as over a weir
and stops there.  In a narrow tube surface tension holds the water at the end, the leg draws like a siphon, and the
water stops at the level of the end.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from mouldgeom.filter.water import capillary_length
from mouldgeom.spec import Spec
from mouldgeom.units import Celsius, Mm, Ratio

FULL_RADIUS: Final[Ratio] = 1.5
"""Radius of the bore, in capillary lengths of clean water, up to which a tube stays full (8.2 mm bore at 20 C).

Below 0.92 (5 mm) a long bubble does not rise at all (Bond number on the radius 0.842: Bretherton, J. Fluid Mech.
10(2):166-188, 1961); up to 1.84 (10 mm) a meniscus that may slide in a round tube holds (Rayleigh-Taylor, root from
memory).  Between the two, so that it still holds in household water whose surface tension is a third lower.
"""
WEIR_BORE: Final[Mm] = 15.0
"""Bore above which a tube full of water surely empties: the widest of the 10 to 15 mm at which the open end of a tube
still held its water (Extrand, Langmuir 33(45):12903-12907, 2017, measured)."""


class Running(StrEnum):
    """How a tube runs when the flow stops."""

    FULL = "stays full"
    WEIR = "runs as a weir"
    EITHER = "stays full or runs as a weir"


def full_bore(temperature: Celsius) -> Mm:
    """Widest bore that stays full, by the surface tension of clean water."""
    return 2 * FULL_RADIUS * capillary_length(temperature)


def running(bore: Mm, temperature: Celsius) -> Running:
    """How a tube of this bore runs, its end pointing down and open."""
    if bore <= full_bore(temperature):
        return Running.FULL
    return Running.WEIR if bore > WEIR_BORE else Running.EITHER


@dataclass(frozen=True, slots=True)
class TubeLevels:
    """Levels of the outlet tube: its open end, and its axis and the invert of its bore at the crest."""

    running: Running
    end: Mm
    crest: Mm
    bore: Mm

    @property
    def invert(self) -> Mm:
        """Bottom of the bore at the crest."""
        return self.crest - self.bore / 2

    @property
    def lowest(self) -> Mm:
        """Lowest level at which the water may come to rest."""
        return self.invert if self.running is Running.WEIR else self.end

    @property
    def highest(self) -> Mm:
        """Highest level at which the water may come to rest."""
        return self.end if self.running is Running.FULL else self.invert

    def crest_head(self, full: Mm) -> Mm:
        """Full level above the bore at the crest.

        Where the water may rest at either, the charge that is poured on the lower reaches less high: by their
        difference, or less.
        """
        return full - (self.highest - self.lowest) - (self.crest + self.bore / 2)


def tube_levels(spec: Spec, rest: Mm, shell: Mm) -> TubeLevels:
    """Lay the tube for a rest level: by its end if it stays full, else by the invert of its crest.

    Where it may do either it rests at the level asked for, or below.  The tube ends flush with a nose lid ``shell``
    thick.
    """
    tube = spec.tube
    over = shell + tube.tail + tube.bend_radius
    how = running(tube.bore, spec.water.temperature)
    end = rest if how is Running.FULL else rest + tube.bore / 2 - over
    return TubeLevels(how, end, end + over, tube.bore)
