"""The records behind the designations of a specification, and whether they go together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Final

from mouldgeom import rules, tables
from mouldgeom.errors import SpecError, UnknownDesignationError
from mouldgeom.spec import Spec
from mouldgeom.spec.fields import LEAST, PAIR, Gear, HoleMethod, angle_of_pair, pair_of
from mouldgeom.spec.own_rows import NO_ROWS, OwnRows
from mouldgeom.strength_classes import class_text, classes_for, welded_class
from mouldgeom.units import Mm, plain

LEAST_PITCH: Final[Mm] = 60.0
"""A row has no closer bolts: a spanner works between them (common practice, no source)."""


@dataclass(frozen=True)
class Stock:
    """The records behind the designations of a specification."""

    shell: tables.SheetSize
    ledge: tables.SheetSize
    base: tables.SheetSize
    angle: tables.Angle
    tube: tables.SquareTube
    rod: tables.Rod
    bolt: tables.Bolt
    jack: tables.Bolt
    steel: tables.Steel

    @property
    def own(self) -> OwnRows:
        """Those of them that no table has."""
        own = NO_ROWS
        for row in vars(self).values():
            own = own.taking(angle_of_pair(row.designation))
        return own

    def handle_class(self, bolt_class: str) -> str:
        """The strength class of handles of threaded rod, which are welded; empty if they are plain rod."""
        try:
            return welded_class(bolt_class, tables.bolt(self.rod.designation))
        except UnknownDesignationError:
            return ""


@dataclass(frozen=True)
class PairOfAngles(tables.SquareTube):
    """Two equal angles that stand for a square tube; ``angle`` is one of them."""

    angle: tables.Angle


def square_tube(designation: str) -> tables.SquareTube:
    """Return the row of a square tube, or of two angles welded toe to toe into one (``"two 40x40x4"``).

    Raises:
        UnknownDesignationError: no table has it.
    """
    return pair_of_angles(designation) if designation.startswith(PAIR) else tables.square_tube(designation)


def pair_of_angles(designation: str) -> PairOfAngles:
    """Two equal angles welded toe to toe: a square box as wide as leg and thickness together.

    Area and second moment are twice the angle's, about the middle of the box; the welds are not counted.

    Source: common practice, no source, for the replacement; parallel axis theorem.
    """
    angle = tables.angle(angle_of_pair(designation))
    side = angle.leg_mm + angle.thickness_mm
    away = side / 20 - angle.centroid_cm  # cm, from the middle of the box to the centroid of an angle
    second = 2 * (angle.second_moment_cm4 + angle.area_cm2 * away**2)
    return PairOfAngles(
        designation=pair_of(angle.designation),
        side_mm=side,
        thickness_mm=angle.thickness_mm,
        outer_radius_mm=0.0,
        inner_radius_mm=angle.root_radius_mm,
        mass_kg_m=2 * angle.mass_kg_m,
        area_cm2=2 * angle.area_cm2,
        second_moment_cm4=second,
        section_modulus_cm3=second / (side / 20),
        system=angle.system,
        source=f"two of: {angle.source}",
        angle=angle,
    )


def rod(designation: str) -> tables.Rod:
    """Return the row of a rod, or of a bolt or threaded rod that takes its place (``"M12"``).

    Raises:
        UnknownDesignationError: no table has it.
    """
    try:
        return tables.rod(designation)
    except UnknownDesignationError:
        bolt = tables.bolt(designation)
        return tables.Rod(bolt.designation, bolt.diameter_mm, bolt.system, bolt.source)


def buy(spec: Spec) -> Stock:
    """Look up every designation, and refuse steel that does not go together.

    Where the least angle is asked for, it is the first of ``offers``.

    Raises:
        SpecError: a sheet is too thin, bolt, angle, tube and screw do not fit each other, a bolt pitch that is neither
            found nor practical, the kerf swallows a hole, or the range of the adhesion runs backwards.
    """
    return next(iter(offers(spec)))


def offers(spec: Spec) -> Iterator[Stock]:
    """Yield the steel with each angle that takes the bolts, the bridge's legs and the washers, lightest first.

    An angle that is named is the only one.  Whether an angle is strong enough is not asked here (``dimensions``).

    Raises:
        SpecError: as ``buy``.
    """
    steel = spec.steel
    named = steel.angle != LEAST
    bolt = tables.bolt(steel.bolt)
    own = spec.own.angle
    rows = (tables.angle(steel.angle),) if named else angles_by_mass(bolt.system, own)
    stock = Stock(
        tables.sheet(steel.shell),
        tables.sheet(steel.ledge),
        tables.sheet(steel.base),
        rows[0],
        square_tube(steel.square_tube),
        rod(steel.rod),
        bolt,
        tables.bolt(steel.jack_screw),
        tables.steel(steel.grade),
    )
    _sheet_and_fit(spec, stock)
    _jack_and_bolts(spec, stock)
    _classes(spec, stock)
    _pilot_holes(spec)
    _bolt_pitch(spec)
    _ranges(spec)
    room = spec.shop.fit_gap + spec.shop.leg_clearance if spec.extraction.gear is Gear.BRIDGE else None
    if named:
        refusal = _angle_refusal(stock.angle, bolt, stock.tube, room)
        if refusal is not None:
            raise refusal
        yield stock
        return
    fitting = _angles_that_fit(bolt, stock.tube, room, own)
    if not fitting:
        refusal = _angle_refusal(rows[-1], bolt, stock.tube, room)
        assert refusal is not None
        raise SpecError(
            "steel.angle",
            repr(steel.angle),
            f"no {bolt.system} angle of the tables takes bolt {bolt.designation} and tube {stock.tube.designation}; "
            f"for the heaviest, {refusal.name} = {refusal.value}: {refusal.limit}",
            "Choose a smaller steel.bolt or steel.square_tube.",
        )
    for row in fitting:
        yield replace(stock, angle=row)


@lru_cache(maxsize=256)
def _angles_that_fit(
    bolt: tables.Bolt, tube: tables.SquareTube, room: Mm | None, own: tuple[tables.Angle, ...]
) -> tuple[tables.Angle, ...]:
    return tuple(row for row in angles_by_mass(bolt.system, own) if _angle_refusal(row, bolt, tube, room) is None)


@cache
def angles_by_mass(system: str, own: tuple[tables.Angle, ...] = ()) -> tuple[tables.Angle, ...]:
    """Every equal angle of a system of units, ``own`` among them, the lightest metre first, then by designation."""
    rows = (row for row in (*tables.angles(), *own) if row.system == system)
    return tuple(sorted(rows, key=lambda row: (row.mass_kg_m, row.designation)))


def _sheet_and_fit(spec: Spec, stock: Stock) -> None:
    least = rules.least_shell_thickness()
    for field, sheet in (("shell", stock.shell), ("ledge", stock.ledge), ("base", stock.base)):
        if sheet.thickness_mm < least:
            raise SpecError(
                f"steel.{field}",
                repr(sheet.designation),
                f"sheet that touches concrete is at least {plain(least)} mm, since thinner sheet bends too easily",
                "Choose 3 mm, 1/8 in or thicker.",
            )
    if 1.2 * spec.shop.fit_gap > spec.shop.allowed_leak:
        raise SpecError(
            "shop.fit_gap",
            f"{plain(spec.shop.fit_gap)} mm",
            f"around the nose lid it leaves gaps wider than the allowed leak of {plain(spec.shop.allowed_leak)} mm",
            f"Choose {plain(spec.shop.allowed_leak / 1.2, 2)} mm or less, or allow a wider leak (shop.allowed_leak).",
        )


def _angle_refusal(
    angle: tables.Angle, bolt: tables.Bolt, tube: tables.SquareTube, room: Mm | None
) -> SpecError | None:
    """Say why an angle does not take these bolts, or a bridge leg, if any, ``room`` off it; ``None`` if it does."""
    hole, far = bolt.hole_medium_mm, angle.leg_mm - angle.gauge_mm
    if hole > angle.largest_hole_mm + 0.2:
        return SpecError(
            "steel.bolt",
            repr(bolt.designation),
            f"its {plain(hole)} mm hole is too large for angle {angle.designation}, "
            f"which takes {plain(angle.largest_hole_mm)} mm",
            "Choose a smaller bolt or a larger angle.",
        )
    edge = rules.end_distance_least(hole)
    if far < edge:
        return SpecError(
            "steel.angle",
            repr(angle.designation),
            f"a {plain(hole)} mm hole on its gauge line stands {plain(far)} mm from the edge, less than "
            f"{plain(edge)} mm",
            "Choose a larger angle or a smaller bolt.",
        )
    seat = angle.gauge_mm - angle.thickness_mm - angle.root_radius_mm
    if seat < bolt.washer_outside_mm / 2:
        return SpecError(
            "steel.bolt",
            repr(bolt.designation),
            f"its {plain(bolt.washer_outside_mm)} mm washer does not lie flat in angle "
            f"{angle.designation}: {plain(2 * seat)} mm is free",
            "Choose a smaller bolt or a larger angle.",
        )
    overhang = tube.side_mm + room - angle.leg_mm if room is not None else 0.0
    if overhang > tube.side_mm / 4:
        return SpecError(
            "steel.square_tube",
            repr(tube.designation),
            f"the bridge leg would stand {plain(overhang)} mm beyond angle {angle.designation}",
            "Choose a square tube no wider than the angle's leg.",
        )
    return None


def _jack_and_bolts(spec: Spec, stock: Stock) -> None:
    if stock.jack.diameter_mm < stock.bolt.diameter_mm:
        raise SpecError(
            "steel.jack_screw",
            repr(spec.steel.jack_screw),
            f"it is thinner than the bolts ({spec.steel.bolt})",
            "Choose a larger jack screw.",
        )


def _classes(spec: Spec, stock: Stock) -> None:
    """Refuse a strength class that a thread is not made in, and handles that look like the jack screw and are weaker.

    Source: metric classes ISO 898-1, inch grades SAE J429; likeness: common practice, no source.
    """
    for field, thread in (("bolt", stock.bolt), ("jack_screw", stock.jack)):
        name = f"{field.removeprefix('jack_')}_class"
        given, offered = getattr(spec.steel, name), classes_for(thread)
        if given not in offered:
            raise SpecError(
                f"steel.{name}",
                repr(given),
                f"steel.{field} is {thread.designation}, and {thread.system} threads are not made in that class",
                f"Choose one of {', '.join(repr(other) for other in offered)}.",
            )
    handle = stock.handle_class(spec.steel.bolt_class)
    if stock.rod.designation == stock.jack.designation and handle != spec.steel.screw_class:
        raise SpecError(
            "steel.rod",
            repr(spec.steel.rod),
            f"handles are welded, of {class_text(handle)}, and the jack screw of the same thread is of "
            f"{class_text(spec.steel.screw_class)}: one would be taken for the other",
            "Choose another steel.rod.",
        )


def _pilot_holes(spec: Spec) -> None:
    shop = spec.shop
    if shop.hole_method is HoleMethod.PILOT and shop.kerf_compensation and shop.pilot_diameter <= shop.kerf:
        raise SpecError(
            "shop.pilot_diameter",
            f"{plain(shop.pilot_diameter)} mm",
            f"a cut {plain(shop.kerf)} mm wide (shop.kerf) leaves nothing of it to cut",
            "Choose a larger pilot hole, a narrower kerf, or no kerf compensation (shop.kerf_compensation).",
        )


def _bolt_pitch(spec: Spec) -> None:
    """Refuse a pitch that a spanner does not fit between.

    Source: common practice, no source.
    """
    if 0 < spec.shop.bolt_pitch < LEAST_PITCH:
        raise SpecError(
            "shop.bolt_pitch",
            f"{plain(spec.shop.bolt_pitch)} mm",
            f"it is 0, to be found, or from {plain(LEAST_PITCH)} to 250 mm",
            f"Choose 0 or at least {plain(LEAST_PITCH)} mm.",
        )


_RANGES: Final = (
    ("core_adhesion_least", "core_adhesion_greatest", " kPa"),
    ("panel_adhesion_least", "panel_adhesion_greatest", " kPa"),
    ("grip_least", "grip_greatest", ""),
    ("thread_friction_least", "thread_friction_greatest", ""),
)
"""Fields of ``[extraction]`` that are the two ends of a range, and their unit."""


def _ranges(spec: Spec) -> None:
    """Refuse a range that runs backwards."""
    for low, high, unit in _RANGES:
        least, greatest = (getattr(spec.extraction, name) for name in (low, high))
        if least > greatest:
            raise SpecError(
                f"extraction.{low}",
                f"{plain(least)}{unit}",
                f"it is more than the greatest, extraction.{high} = {plain(greatest)}{unit}",
                "Choose the greater of the two as the greatest, or give both the same value.",
            )
