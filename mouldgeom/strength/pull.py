"""What holds the core when it is drawn, and the jack screw that draws it: forces and stresses, no judgement.

Adhesion, what is left of the fresh pressure and shrinkage have no agreed values: each lies anywhere in a range, that of
the core apart from that of the panels, and every force is a function of a corner of these ranges.  The screw is turned
by two nuts that are locked against each other; it turns in the nut on the anchor plate, and they rub on the washer.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from mouldgeom import tables
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.filter.concrete import body_volume
from mouldgeom.identity import FOOT, SCREW, Role
from mouldgeom.model.assembly import Mould
from mouldgeom.model.shapes import Stand
from mouldgeom.rules import screw
from mouldgeom.rules.flanges import LOAD_FACTOR
from mouldgeom.strength.bulge import bulge_of
from mouldgeom.strength.fields import WALLS, core_name
from mouldgeom.strength.restraint import restraint
from mouldgeom.strength.steps import ResultTable
from mouldgeom.units import GRAVITY, AnyUnit, Hour, Kg, Kpa, Mm, Mm2, Mpa, Newton, NewtonMm, Ratio
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
class Sticking:
    """One state within the ranges of what is not known.

    Args:
        core: adhesion on the core; ``panels``: on the panels.
        core_grip: share of the fresh pressure that is left on the core; ``panel_grip``: on the panels.
        shrinkage: share of the greatest grip of shrinkage.
        age: of the concrete when the core is drawn.
    """

    core: Kpa
    panels: Kpa
    core_grip: Ratio
    panel_grip: Ratio
    shrinkage: Ratio
    age: Hour

    @classmethod
    def worst(cls, dims: Dimensions) -> Sticking:
        """The core held as fast, and the panels as loosely, as is to be expected, on the last day."""
        given = dims.spec.extraction
        return cls(
            given.core_adhesion_greatest, given.panel_adhesion_least,
            given.grip_greatest, given.grip_least, 1.0, latest_age(dims),
        )  # fmt: skip

    @classmethod
    def easiest(cls, dims: Dimensions) -> Sticking:
        """The core held as loosely, and the panels as fast, as is to be expected, at stripping."""
        given = dims.spec.extraction
        return cls(
            given.core_adhesion_least, given.panel_adhesion_greatest,
            given.grip_least, given.grip_greatest, 0.0, dims.spec.concrete.stripping_age,
        )  # fmt: skip


def latest_age(dims: Dimensions) -> Hour:
    """Age of the concrete until which the core may be drawn."""
    return dims.spec.concrete.stripping_age + dims.spec.extraction.draw_within


@dataclass(frozen=True, slots=True)
class Pull:
    """What it takes to start the core, by cause; ``friction`` is that of the grip which the fresh pressure left."""

    weight: Newton
    adhesion: Newton
    friction: Newton
    shrinkage: Newton
    suction: Newton

    @property
    def concrete(self) -> Newton:
        """Force with which the concrete holds the core, and is itself lifted."""
        return self.adhesion + self.friction + self.shrinkage + self.suction

    @property
    def running(self) -> Newton:
        """Force once the core moves: adhesion and shrinkage have let go after a fraction of a millimetre."""
        return self.weight + self.friction + self.suction

    @property
    def total(self) -> Newton:
        """Force that the gear starts the core with."""
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


def friction_force(dims: Dimensions, friction: Ratio, normal: Newton) -> Newton:
    """Force along the pull of walls that are gripped by a normal force: draft eases it, and it never pushes here.

    Source: statics of a wedge, N (mu cos d - sin d).
    """
    draft = math.radians(dims.draft)
    return normal * max(0.0, friction * math.cos(draft) - math.sin(draft))


def pull(mould: Mould, corner: Sticking) -> Pull:
    """Force that starts the core, every cause in full at once, which is the safe side.

    Source: statics; specification, [extraction]; ``restraint``.
    """
    dims, given = mould.dims, mould.dims.spec.extraction
    shrunk = corner.shrinkage * restraint(dims, corner.age).normal
    return Pull(
        lifted_mass(mould) * GRAVITY,
        corner.core * 1e-3 * sum(face.area * face.share for face in faces(dims)),
        friction_force(dims, given.friction, corner.core_grip * grip_force(dims)),
        friction_force(dims, given.friction, shrunk),
        given.suction * 1e-3 * plan_area(dims, dims.end_z, 0),
    )


def greatest_pull(mould: Mould, age: Hour | None = None) -> Newton:
    """Pull at the worst corner of the ranges, at an age or else on the last day, when it is greatest."""
    worst = Sticking.worst(mould.dims)
    return pull(mould, worst if age is None else replace(worst, age=age)).total


def wearing_pull(mould: Mould) -> Newton:
    """Pull under which the screws turn once the core has started, at the worst corner of the ranges."""
    return pull(mould, Sticking.worst(mould.dims)).running


def design_pull(mould: Mould, age: Hour | None = None) -> Newton:
    """The pull that every part is held against: ``LOAD_FACTOR`` times the greatest, at an age or on the last day.

    Source: EN 1990:2002 Table A1.2(B), gamma_Q = 1.5 (from memory).
    """
    return LOAD_FACTOR * greatest_pull(mould, age)


@dataclass(frozen=True, slots=True)
class Release:
    """Travel of the core until a cause has let go: the grip that the fresh pressure left, and that of shrinkage."""

    grip: Mm
    shrinkage: Mm


def release(mould: Mould, corner: Sticking) -> Release:
    """How far the core is drawn until its walls are free.

    The fresh pressure bent the core walls in; what is left of it is what they still spring out by.  Draft opens a gap
    of ``s sin d`` over a travel s, and a wall is free when that is the elastic approach.

    Source: geometry, s = u/sin d.
    """
    dims = mould.dims
    sine = math.sin(math.radians(dims.draft))
    bulges = bulge_of(mould).greatest()
    bent = corner.core_grip * max(bulges[core_name(wall)] for wall in WALLS)
    return Release(bent / sine, corner.shrinkage * restraint(dims, corner.age).approach / sine)


def hold_down(mould: Mould, corner: Sticking) -> tuple[Newton, Newton]:
    """What keeps the body in its box, and what would lift it.

    Kept: its weight, the adhesion of the four panels, and their friction at its least published value.  The nose, which
    is keyed into the front panel, is left as a reserve.

    Source: statics; friction BS 5975:2008.
    """
    dims = mould.dims
    girth = 2 * (dims.width + dims.depth)
    squeeze = corner.panel_grip * girth * dims.height * dims.pressure_at(0) / 2
    kept = body_weight(mould) + corner.panels * 1e-3 * girth * dims.height + OUTSIDE_FRICTION * squeeze
    return kept, pull(mould, corner).concrete


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

    def force(self, torque: NewtonMm) -> Newton:
        """Force that a torque draws with, the reverse of ``up``."""
        return torque / self.up(1.0)

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


def drive(dims: Dimensions, friction: Ratio) -> Drive:
    """Return the screw of a mould, jack screw or forcing screw, at one friction.

    The nut of a jack screw rubs between the screw and its across flats; the end of a forcing screw rubs on its pad.

    Source: collar diameter: mean of the two; of a full end under even pressure 2/3 of its diameter (statics).
    """
    row = dims.stock.jack
    thread = screw.vee_thread(row.diameter_mm, row.pitch_mm)
    collar = (row.across_flats_mm + row.diameter_mm) / 2 if dims.has_bridge else 2 / 3 * row.diameter_mm
    return Drive(row, thread, friction, collar)


def slick(dims: Dimensions) -> Drive:
    """The screw at the least friction, at which a torque makes the most force."""
    return drive(dims, dims.spec.extraction.thread_friction_least)


def rough(dims: Dimensions) -> Drive:
    """The screw at the greatest friction, at which a force asks for the most torque."""
    return drive(dims, dims.spec.extraction.thread_friction_greatest)


# ---------------------------------------------------------------- tables

AGES: Final[tuple[Hour, ...]] = (24.0, 48.0, 96.0)
"""Ages at which the pull is written down, besides those of stripping and of the last day."""


def between(mould: Mould, share: Ratio) -> Sticking:
    """A state between the easiest corner (0) and the worst (1), all ranges gone through evenly."""
    low, high = Sticking.easiest(mould.dims), Sticking.worst(mould.dims)
    given = mould.dims.spec.extraction

    def at(least: AnyUnit, greatest: AnyUnit) -> AnyUnit:
        return least + share * (greatest - least)

    return Sticking(
        at(low.core, high.core),
        at(given.panel_adhesion_least, given.panel_adhesion_greatest),
        at(low.core_grip, high.core_grip),
        at(given.grip_least, given.grip_greatest),
        share,
        high.age,
    )


def range_table(mould: Mould) -> ResultTable:
    """Pull on the last day from the least to the greatest of every range, and the torque at either friction."""
    low, high = slick(mould.dims), rough(mould.dims)
    rows = []
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        corner = between(mould, share)
        force = pull(mould, corner).total
        row = (corner.core, corner.core_grip, corner.shrinkage, force / 1000)
        torques = (low.up(force) / 1000, high.up(force) / 1000)
        rows.append((*(round(value, 3) for value in row), *(round(value, 1) for value in torques)))
    return ResultTable(
        "Pull over the ranges, on the last day",
        (
            "adhesion, kPa",
            "share of the fresh pressure",
            "share of the shrinkage",
            "pull, kN",
            "torque at the least friction, N m",
            "torque at the greatest friction, N m",
        ),
        tuple(rows),
        "No agreed value of the adhesion of hardened concrete to oiled or bare steel was found, nor of what is left of "
        "the fresh pressure, nor of the grip of shrinkage: the ranges are assumptions. The torque of the first mould "
        "tells its pull within a factor of two.",
    )


def age_table(mould: Mould) -> ResultTable:
    """Grip of shrinkage, pull and travel to release by age, from stripping on."""
    dims, given = mould.dims, mould.dims.spec.extraction
    stripped, last = dims.spec.concrete.stripping_age, latest_age(dims)
    easiest, worst = Sticking.easiest(dims), Sticking.worst(dims)
    rows: list[tuple[str | Quantity, ...]] = []
    for age in sorted({stripped, last, *(age for age in AGES if age > stripped)}):
        found, most = restraint(dims, age), replace(worst, age=age)
        rows.append((
            age,
            round(found.strain.total * 1e6, 2),
            round(found.approach * 1000, 2),
            round(found.normal / 1000, 2),
            round(found.rigid / 1000, 2),
            round(friction_force(dims, given.friction, found.normal) / 1000, 2),
            round(pull(mould, replace(easiest, age=age)).total / 1000, 2),
            round(pull(mould, most).total / 1000, 2),
            round(release(mould, most).shrinkage, 3),
            "yes" if age <= last else "no",
        ))  # fmt: skip
    return ResultTable(
        "Pull by the age of the concrete",
        (
            "age, h",
            "strain since the first day, microstrain",
            "approach of the concrete, micrometre",
            "force on the core walls, kN",
            "the same on a rigid core, kN",
            "friction of it, kN",
            "least pull, kN",
            "greatest pull, kN",
            "travel until it lets go, mm",
            "may be drawn",
        ),
        tuple(rows),
        "The force starts the core; after the travel shrinkage grips no more. A kelvin by which the concrete is colder "
        "than the core counts for 10 microstrain: draw the core in the shade, and never warm it. Cold water into the "
        "core loosens it.",
    )


def corner_table(mould: Mould) -> ResultTable:
    """What keeps the body down and what lifts it at the four corners of adhesion on core and panels."""
    given, worst = mould.dims.spec.extraction, Sticking.worst(mould.dims)
    rows = []
    for core in (given.core_adhesion_least, given.core_adhesion_greatest):
        for panels in (given.panel_adhesion_least, given.panel_adhesion_greatest):
            kept, lifts = hold_down(mould, replace(worst, core=core, panels=panels))
            rows.append((core, panels, round(kept / 1000, 2), round(lifts / 1000, 2)))
    return ResultTable(
        "What keeps the concrete down by itself, and what lifts it, core and panels sticking unequally",
        ("adhesion on the core, kPa", "adhesion on the panels, kPa", "kept down by, kN", "lifted by, kN"),
        tuple(rows),
    )


def comparison_table(mould: Mould) -> ResultTable:
    """What the concrete holds the core with, by other published values of friction and by stripping multipliers."""
    given = mould.dims.spec.extraction
    corner = between(mould, 0.5)
    body, own = body_weight(mould), pull(mould, corner)
    normal = corner.core_grip * grip_force(mould.dims) + corner.shrinkage * restraint(mould.dims, corner.age).normal
    rest = own.concrete - own.friction - own.shrinkage
    rows: list[tuple[str | Quantity, ...]] = [
        (
            Said("this chapter, middle of the ranges, friction {friction:p}", friction=given.friction),
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
        force = rest + friction_force(mould.dims, value, normal)
        rows.append((Said("the same with a friction of {value:p}", value=value), round(force / 1000, 2), source))
    for factor, what in ((1.3, "flat with oil, removable sides"), (1.7, "sculptured with oil")):
        how = Said(
            "stripping multiplier {factor:p} ({what}): (k - 1) x weight of the concrete", factor=factor, what=what
        )
        rows.append((how, round((factor - 1) * body / 1000, 2), "PCI Design Handbook, Table 5.2.2.1 (from memory)"))
    sticking = sum(face.area * face.share for face in faces(mould.dims)) * 1e-6
    rows.append(("adhesion of 1 kPa, oiled steel", round(sticking, 2), "precast lifting manuals, mould adhesion"))
    return ResultTable(
        "What the concrete holds the core with, by other published values, for comparison",
        ("by", "force, kN", "source"),
        tuple(rows),
        "The multipliers are for open precast forms, not for a core inside its concrete.",
    )
