"""What the concrete grips the core with as it shrinks after its first day, and after which travel it lets go.

No agreed formula was found; this is a model of this program's own.  Concrete that shrinks by a strain e moves against
each wall of the core by the approach u = e x half the core.  A core of sheet is no rigid block: the middle of a wall
gives way at almost no force, and what bears is the neighbourhood of the lines that cannot move, which are the four
upright corners and the level plates inside.  At such a line the wall is a strip on an elastic bed, the bed being half
of the concrete's thickness; in series with it stand what holds the line in the steel (the wall across the corner, or
the level plate, squeezed in its own plane) and what answers in the concrete (a wall in tension at a corner, a wall bent
at a level plate).  Every part is at its stiffest: concrete by its upper curve of age, contact everywhere, no film of
oil, no slip; only creep is let off.

In its first day concrete creeps fast and has next to no stiffness: what is left by then is
``extraction.grip_greatest`` of the fresh pressure.  Cooling in common frees the core, steel shrinks more than concrete;
what the concrete cools ahead of the core is part of ``extraction.drying``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Final

from mouldgeom import rules
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.filter.early_age import RAPID, age_at_20, age_factor, aged_modulus
from mouldgeom.rules import shrinkage
from mouldgeom.strength.fields import inner_plates
from mouldgeom.units import AnyUnit, Hour, Mm, Mpa, Newton, NewtonMm, Percent, Ratio

MpaPerMm = Annotated[float, "MPa/mm"]
NewtonPerMm2 = Annotated[float, "N/mm for each mm of approach and each mm of line"]

CREEP: Final[Ratio] = 0.7
"""Part of the restraint that creep leaves: 1/(1 + 0.8 phi) with phi 0.5 for a day under load from an age of one day,
EN 1992-1-1:2004, Annex B (from memory); tension creeps twice to three times as much (Forth 2015), which is let off."""
FIRM: Final[Hour] = 24.0
"""Age from which what the concrete shrinks counts, if it is not stripped before: what strain leaves by then is within
the share of the fresh pressure (own rule)."""
HUMIDITY: Final[Percent] = 60.0
"""Of the air in which the wall that ``extraction.drying`` is a share of would dry (own rule)."""


@dataclass(frozen=True, slots=True)
class Strain:
    """Strain of the concrete since stripping: what it does sealed, and by drying and cooling at most."""

    sealed: Ratio
    dried: Ratio

    @property
    def total(self) -> Ratio:
        """Both."""
        return self.sealed + self.dried


@dataclass(frozen=True, slots=True)
class Restraint:
    """Force with which a shrinking wall presses on the core, all four walls summed up, where it bears.

    Args:
        strain: since stripping.
        approach: of the concrete to the longer half of the core at the rim.
        modulus: of the concrete, creep let off.
        corners: normal force along the four upright corners.
        plates: normal force along the edges of the level plates.
        rigid: normal force if the core could not give way at all, the upper bound.
    """

    strain: Strain
    approach: Mm
    modulus: Mpa
    corners: Newton
    plates: Newton
    rigid: Newton

    @property
    def normal(self) -> Newton:
        """Normal force on the core."""
        return self.corners + self.plates


def in_series(*stiffnesses: AnyUnit) -> AnyUnit:
    """Stiffness of springs that pass on the same force; one that is infinite does not give way.

    Source: statics.
    """
    return 1 / sum(1 / one for one in stiffnesses)


def strip_stiffness(rigidity: NewtonMm, bed: MpaPerMm) -> NewtonPerMm2:
    """Force on a line at which a strip on an elastic bed is held, a right-angled edge, for each mm the bed moves.

    Args:
        rigidity: of the strip in bending, N mm.
        bed: pressure of the bed for each mm, MPa/mm.

    Source: beam on an elastic foundation, semi-infinite, its end held against turning: 4 D b^3, b^4 = k/(4 D) (Hetenyi;
        from memory).
    """
    return 4 * rigidity * math.pow(bed / (4 * rigidity), 0.75)


def strain_at(dims: Dimensions, age: Hour) -> Strain:
    """Strain at an age, which is not younger than that of stripping: sealed from ``FIRM`` on, drying from stripping on.

    Source: EN 1992-1-1:2004, 3.1.4: autogenous; drying of a wall that is open on both sides, of which
        ``extraction.drying`` is taken (own rule).
    """
    mix, given = dims.spec.concrete, dims.spec.extraction
    days = [age_at_20(hours, mix.curing_temperature) for hours in (min(FIRM, mix.stripping_age), age)]
    sealed = shrinkage.autogenous(mix.strength, days[1]) - shrinkage.autogenous(mix.strength, days[0])
    open_days = (age - mix.stripping_age) / 24
    return Strain(
        sealed, given.drying * shrinkage.drying(mix.strength, HUMIDITY, dims.spec.filter.least_wall, open_days)
    )


def modulus_high(dims: Dimensions, age: Hour) -> Mpa:
    """Modulus of the concrete at an age by its upper curve, that of a rapid cement, creep let off.

    Source: EN 1992-1-1:2004, 3.1.3(3) and 3.1.2(6); ``CREEP``.
    """
    mix = dims.spec.concrete
    return CREEP * aged_modulus(mix.strength, age_factor(age_at_20(age, mix.curing_temperature), RAPID.rate))


def restraint(dims: Dimensions, age: Hour) -> Restraint:
    """Grip of shrinkage at an age, nothing slipped or let go yet.

    Source: own rule; parts by plate and beam theory.
    """
    modulus = modulus_high(dims, age)
    strain = strain_at(dims, age)
    corners = rigid = 0.0
    for low, high, step in ((0.0, dims.ledge_z, dims.step), (dims.ledge_z, dims.end_z, 0.0)):
        for z, weight in ((low, 1 / 6), ((low + high) / 2, 4 / 6), (high, 1 / 6)):
            for half in (dims.core_half_x(z) + step, dims.core_half_y(z) + step):
                wall = dims.width / 2 - dims.core_half_x(z) - step
                sheets = (dims.shell, dims.ledge) if step else (dims.shell,)
                each = strain.total * half * weight * (high - low) * 4
                corners += each * _corner(dims, modulus, half, wall, sheets)
                rigid += each * modulus * wall / half
    plates = sum(
        4 * strain.total * half * across * _level(dims, modulus, half, across, z, thick, ends)
        for z, thick, ends in _lines(dims)
        for half, across in _halves(dims, z)
    )
    half = max(dims.core_half_x(0), dims.core_half_y(0)) + dims.step
    return Restraint(strain, strain.total * half, modulus, corners, plates, rigid)


def _corner(dims: Dimensions, modulus: Mpa, half: Mm, wall: Mm, sheets: tuple[Mm, ...]) -> NewtonPerMm2:
    """Force on one face beside one corner, for each mm of height: strip, wall across it, and the concrete's wall."""
    steel = dims.stock.steel
    rigidity = sum(rules.plate_rigidity(steel.elastic_modulus_mpa, thick, steel.poisson) for thick in sheets)
    return in_series(
        strip_stiffness(rigidity, modulus / (wall / 2)),
        steel.elastic_modulus_mpa * sum(sheets) / half,
        modulus * wall / half,
    )


def _lines(dims: Dimensions) -> list[tuple[Mm, Mm, int]]:
    """Height, thickness and number of neighbouring strips of each level plate inside the core, the rim's first."""
    inner = [(z, thick, 2) for _, z, thick in inner_plates(dims)]
    return [(0.0, dims.base, 1), *inner, (dims.end_z, dims.shell, 1)]


def _halves(dims: Dimensions, z: Mm) -> tuple[tuple[Mm, Mm], tuple[Mm, Mm]]:
    """Half of the core towards a face and half along it, for the two kinds of faces."""
    step = dims.step if z < dims.ledge_z else 0.0
    x, y = dims.core_half_x(z) + step, dims.core_half_y(z) + step
    return (x, y), (y, x)


def _level(dims: Dimensions, modulus: Mpa, half: Mm, across: Mm, z: Mm, thick: Mm, strips: int) -> NewtonPerMm2:
    """Force along the edge of a level plate, each mm: strips, plate, and the concrete wall bent between its corners.

    At the end plate the concrete's floor answers, which is taken as rigid.
    """
    steel = dims.stock.steel
    step = dims.step if z < dims.ledge_z else 0.0
    wall = dims.width / 2 - dims.core_half_x(z) - step
    sheets = (dims.shell, dims.ledge) if step else (dims.shell,)
    rigidity = sum(rules.plate_rigidity(steel.elastic_modulus_mpa, one, steel.poisson) for one in sheets)
    concrete = rules.plate_rigidity(modulus, wall, 0.2)
    bed = 720 * concrete / (2 * across) ** 4
    bent = math.inf if z == dims.end_z else strip_stiffness(concrete, bed) * (2 if strips == 2 else 0.5)
    return in_series(
        strips * strip_stiffness(rigidity, modulus / (wall / 2)),
        steel.elastic_modulus_mpa * thick / ((1 - steel.poisson) * half),
        bent,
    )
