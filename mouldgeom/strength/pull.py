"""What holds the core when it is drawn, and the jack screw that draws it: forces and stresses, no judgement.

Adhesion has no agreed value, so every force is a function of it.  The screw is turned by two nuts that are locked
against each other; it turns in the nut on the anchor plate, and they rub on the washer.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from mouldgeom import tables
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.filter.concrete import body_volume
from mouldgeom.identity import FOOT, SCREW, Role
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import Stand
from mouldgeom.rules import screw
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.strength.steps import ResultTable
from mouldgeom.units import GRAVITY, AnyUnit, Kg, Kpa, Mm, Mm2, Mpa, Newton, NewtonMm, Ratio
from mouldgeom.verdict import Quantity
from mouldgeom.words import Said

OUTSIDE_FRICTION: Final[Ratio] = 0.1
"""Friction of the panels on the concrete, where friction helps: plain unrusted steel on cast concrete, BS 5975:2008."""


# ---------------------------------------------------------------- what holds the core


@dataclass(frozen=True, slots=True)
class StuckFace:
    """A face that concrete sticks to; ``share`` is the part of its adhesion that acts along the pull."""

    name: str
    area: Mm2
    share: Ratio


@dataclass(frozen=True, slots=True)
class Pull:
    """What it takes to start the core, by cause."""

    weight: Newton
    adhesion: Newton
    friction: Newton
    suction: Newton

    @property
    def concrete(self) -> Newton:
        """Force with which the concrete holds the core, and is itself lifted."""
        return self.adhesion + self.friction + self.suction

    @property
    def total(self) -> Newton:
        """Force in the jack screw."""
        return self.weight + self.concrete


def _girth(dims: Dimensions, z: Mm, step: Mm) -> Mm:
    return 4 * (dims.core_half_x(z) + dims.core_half_y(z) + 2 * step)


def plan_area(dims: Dimensions, z: Mm, step: Mm) -> Mm2:
    """Area of the core in plan at a height, its walls moved out by a step."""
    return 4 * (dims.core_half_x(z) + step) * (dims.core_half_y(z) + step)


def _over_walls(dims: Dimensions, low: Mm, high: Mm, step: Mm, value: Callable[[Mm], AnyUnit]) -> AnyUnit:
    """A value that is even or grows evenly with the height, summed up over four drafted walls: Simpson, exact."""
    marks = ((low, 1.0), ((low + high) / 2, 4.0), (high, 1.0))
    total = sum(weight * _girth(dims, z, step) * value(z) for z, weight in marks)
    return total * (high - low) / 6 / math.cos(math.radians(dims.draft))


def faces(dims: Dimensions) -> tuple[StuckFace, ...]:
    """Every face of core and base plate that comes off concrete when the core is drawn.

    Source: geometry; on a drafted face adhesion acts as shear, its part along the pull is cos(draft) (own rule).
    """
    along = math.cos(math.radians(dims.draft))
    rim = dims.width * dims.depth - plan_area(dims, 0, dims.step)
    ledge = plan_area(dims, dims.ledge_z, dims.step) - plan_area(dims, dims.ledge_z, 0)
    return (
        StuckFace("core walls above the ledge", _over_walls(dims, dims.ledge_z, dims.end_z, 0, lambda z: 1.0), along),
        StuckFace("ledge strips", _over_walls(dims, 0, dims.ledge_z, dims.step, lambda z: 1.0), along),
        StuckFace("ledge, upper edge of the strips", ledge, 1.0),
        StuckFace("end plate", plan_area(dims, dims.end_z, 0), 1.0),
        StuckFace("base plate, ring of the rim", rim, 1.0),
    )


def grip_force(dims: Dimensions) -> Newton:
    """Pressure of the fresh concrete summed up over the drafted walls of the core.

    Source: geometry, integral of p dA.
    """
    strips = _over_walls(dims, 0, dims.ledge_z, dims.step, dims.pressure_at)
    return strips + _over_walls(dims, dims.ledge_z, dims.end_z, 0, dims.pressure_at)


def mass_of(mould: Mould, wanted: Callable[[Stand], bool]) -> Kg:
    """Mass of the pieces that are wanted; each part is weighed once."""
    counts = ((part, sum(map(wanted, part.stands))) for part in mould.parts)
    return sum(mould.mass(part) * count for part, count in counts if count)


def lifted_mass(mould: Mould) -> Kg:
    """Mass of what hangs on the screw: core, base plate with its runners, and the screw with its three nuts."""
    return mass_of(mould, lambda stand: stand.unit.within(FOOT, SCREW) and stand.id.role is not Role.JACK_WASHER)


def body_weight(mould: Mould) -> Newton:
    """Weight of the hardened concrete."""
    dims = mould.dims
    volume = body_volume(dims.spec, dims.levels, dims.cavity, dims.nose, dims.tube, dims.shell)
    return volume * 1e-9 * dims.spec.concrete.density * GRAVITY


def friction_force(dims: Dimensions, friction: Ratio) -> Newton:
    """Force along the pull of walls that are still gripped: their draft eases it, and never pushes here.

    Source: statics of a wedge, N (mu cos d - sin d).
    """
    draft = math.radians(dims.draft)
    squeeze = dims.spec.extraction.grip * grip_force(dims)
    return squeeze * max(0.0, friction * math.cos(draft) - math.sin(draft))


def pull(mould: Mould, adhesion: Kpa) -> Pull:
    """Force that starts the core at an adhesion; each cause at its greatest at once, which is the safe side.

    Source: statics; specification, [extraction].
    """
    dims, given = mould.dims, mould.dims.spec.extraction
    sticking = adhesion * 1e-3 * sum(face.area * face.share for face in faces(dims))
    return Pull(
        lifted_mass(mould) * GRAVITY,
        sticking,
        friction_force(dims, given.friction),
        given.suction * 1e-3 * plan_area(dims, dims.end_z, 0),
    )


def greatest_pull(mould: Mould) -> Newton:
    """Pull at the greatest adhesion that is to be expected."""
    given = mould.dims.spec.extraction
    return pull(mould, max(given.adhesion_least, given.adhesion_greatest)).total


def design_pull(mould: Mould) -> Newton:
    """The pull that every part is held against: ``LOAD_FACTOR`` times the greatest.

    Source: EN 1990:2002 Table A1.2(B), gamma_Q = 1.5 (from memory).
    """
    return LOAD_FACTOR * greatest_pull(mould)


def hold_down(mould: Mould, adhesion: Kpa) -> tuple[Newton, Newton]:
    """What keeps the body in its box, and what would lift it, at one adhesion.

    Kept: its weight, the adhesion of the four panels, and their friction at its least published value under the same
    grip as the core's.  The nose, which is keyed into the front panel, is left as a reserve.

    Source: statics; friction BS 5975:2008.
    """
    dims = mould.dims
    girth = 2 * (dims.width + dims.depth)
    squeeze = dims.spec.extraction.grip * girth * dims.height * dims.pressure_at(0) / 2
    kept = body_weight(mould) + adhesion * 1e-3 * girth * dims.height + OUTSIDE_FRICTION * squeeze
    return kept, pull(mould, adhesion).concrete


# ---------------------------------------------------------------- screw


@dataclass(frozen=True, slots=True)
class Drive:
    """The jack screw of a mould: its thread, friction, and the mean diameter of the face that rubs."""

    row: tables.Bolt
    thread: screw.Thread
    friction: Ratio
    collar: Mm

    @property
    def turns(self) -> Ratio:
        """Engaged turns of one nut."""
        return self.row.nut_height_mm / self.row.pitch_mm

    @property
    def lock(self) -> Ratio:
        """Friction of the thread over the least that holds the load: above 1 it is self-locking.

        Source: Shigley's Mechanical Engineering Design, ch. 8, pi f dm sec a / l (term sec a from memory).
        """
        thread = self.thread
        return math.pi * self.friction * thread.mean / math.cos(math.radians(thread.flank)) / thread.lead

    def up(self, force: Newton) -> NewtonMm:
        """Torque that draws."""
        return screw.torque_to_raise(force, self.thread, self.friction, self.friction, self.collar)

    def down(self, force: Newton) -> NewtonMm:
        """Torque that lets down."""
        return screw.torque_to_lower(force, self.thread, self.friction, self.friction, self.collar)

    def body(self, force: Newton) -> Mpa:
        """Equivalent stress in the screw between its nuts: the pull and the torque of the thread."""
        torque = screw.torque_to_raise(force, self.thread, self.friction)
        root = self.thread.root
        return screw.combined_stress(screw.body_axial(force, root), screw.body_shear(torque, root))

    def turn(self, force: Newton) -> Mpa:
        """Equivalent stress at the root of the first engaged turn."""
        first = screw.FIRST_THREAD_SHARE * force
        return screw.combined_stress(screw.thread_bending(first, self.thread), screw.thread_shear(first, self.thread))

    def pressure(self, force: Newton) -> Mpa:
        """Pressure between the flanks, spread over the nut."""
        return screw.thread_bearing(force, self.thread, self.turns)


def drive(dims: Dimensions) -> Drive:
    """Return the jack screw of a mould; the nut rubs between the screw and its across flats.

    Source: collar diameter: mean of the two, common practice, no source.
    """
    row = dims.stock.jack
    thread = screw.vee_thread(row.diameter_mm, row.pitch_mm)
    return Drive(row, thread, dims.spec.extraction.thread_friction, (row.across_flats_mm + row.diameter_mm) / 2)


# ---------------------------------------------------------------- tables


def _adhesions(least: Kpa, greatest: Kpa) -> list[Kpa]:
    return [least + (greatest - least) * i / 4 for i in range(5)]


def range_table(mould: Mould) -> ResultTable:
    """Pull, torque, hand and stress at five adhesions from the least to the greatest."""
    given, gear = mould.dims.spec.extraction, drive(mould.dims)
    rows = []
    for adhesion in _adhesions(given.adhesion_least, given.adhesion_greatest):
        force = pull(mould, adhesion).total
        torque = gear.up(force)
        hand = screw.hand_force(torque, given.lever)
        row = (adhesion, force / 1000, torque / 1000, hand, gear.body(force))
        rows.append(tuple(round(value, digits) for value, digits in zip(row, (2, 2, 1, 0, 1), strict=True)))
    return ResultTable(
        "Pull over the range of adhesion",
        (
            "adhesion, kPa",
            "pull, kN",
            "torque, N m",
            Said("hand at {lever:p} mm, N", lever=given.lever),
            "stress in the screw, MPa",
        ),
        tuple(rows),
        "No agreed value of the adhesion of hardened concrete to oiled or bare steel was found: the range is an "
        "assumption. Weigh the pull on the first mould by its torque.",
    )


def comparison_table(mould: Mould) -> ResultTable:
    """What the concrete holds the core with, by other published values of friction and by stripping multipliers."""
    given = mould.dims.spec.extraction
    body, own = body_weight(mould), pull(mould, (given.adhesion_least + given.adhesion_greatest) / 2)
    rest = own.concrete - own.friction
    rows: list[tuple[str | Quantity, ...]] = [
        (
            Said("this chapter, middle of the range, friction {friction:p}", friction=given.friction),
            round(own.concrete / 1000, 2),
            "specification, [extraction]; no agreed value",
        )
    ]
    for value, source in (
        (0.1, "BS 5975:2008, plain unrusted steel on cast concrete"),
        (0.57, "Rabbat and Russell 1985, concrete cast on rolled steel, dry"),
        (0.65, "Rabbat and Russell 1985, concrete cast on rolled steel, wet"),
        (0.70, "Rabbat and Russell 1985, greatest of the tests"),
    ):
        force = rest + friction_force(mould.dims, value)
        rows.append((Said("the same with a friction of {value:p}", value=value), round(force / 1000, 2), source))
    for factor, what in ((1.3, "flat with oil, removable sides"), (1.7, "sculptured with oil")):
        how = Said(
            "stripping multiplier {factor:p} ({what}): (k - 1) x weight of the concrete", factor=factor, what=what
        )
        rows.append((how, round((factor - 1) * body / 1000, 2), "PCI Design Handbook, Table 5.2.2.1 (from memory)"))
    return ResultTable(
        "What the concrete holds the core with, by other published values, for comparison",
        ("by", "force, kN", "source"),
        tuple(rows),
        "The multipliers are for open precast forms, not for a core inside its concrete.",
    )
