"""The records behind the designations of a specification, and whether they go together."""

from __future__ import annotations

from dataclasses import dataclass

from mouldgeom import rules, tables
from mouldgeom.choices import LEAST, PAIR, HoleMethod
from mouldgeom.errors import SpecError, UnknownDesignationError
from mouldgeom.spec import Spec
from mouldgeom.units import plain


@dataclass(frozen=True)
class Stock:
    """The records behind the designations of a specification."""

    shell: tables.Sheet
    ledge: tables.Sheet
    base: tables.Sheet
    angle: tables.Angle
    tube: tables.SquareTube
    rod: tables.Rod
    bolt: tables.Bolt
    jack: tables.Bolt
    steel: tables.Steel


def square_tube(designation: str) -> tables.SquareTube:
    """Return the row of a square tube, or of two angles welded toe to toe into one (``"two 40x40x4"``).

    Raises:
        UnknownDesignationError: no table has it.
    """
    return pair_of_angles(designation) if designation.startswith(PAIR) else tables.square_tube(designation)


def pair_of_angles(designation: str) -> tables.SquareTube:
    """Two equal angles welded toe to toe: a square box as wide as leg and thickness together.

    Area and second moment are twice the angle's, about the middle of the box; the welds are not counted.

    Source: common practice, no source, for the replacement; parallel axis theorem.
    """
    angle = tables.angle(designation.removeprefix(PAIR).strip())
    side = angle.leg_mm + angle.thickness_mm
    away = side / 20 - angle.centroid_cm  # cm, from the middle of the box to the centroid of an angle
    second = 2 * (angle.second_moment_cm4 + angle.area_cm2 * away**2)
    return tables.SquareTube(
        designation=f"{PAIR}{angle.designation}",
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

    Raises:
        SpecError: a sheet is too thin, bolt, angle, tube and screw do not fit each other, or the kerf swallows a hole.
    """
    stock = Stock(
        tables.sheet(spec.steel.shell),
        tables.sheet(spec.steel.ledge),
        tables.sheet(spec.steel.base),
        tables.angle("40x40x4" if spec.steel.angle == LEAST else spec.steel.angle),
        square_tube(spec.steel.square_tube),
        rod(spec.steel.rod),
        tables.bolt(spec.steel.bolt),
        tables.bolt(spec.steel.jack_screw),
        tables.steel(spec.steel.grade),
    )
    _sheet_and_fit(spec, stock)
    _bolt_in_angle(spec, stock)
    _bridge_steel(spec, stock)
    _pilot_holes(spec)
    return stock


def _sheet_and_fit(spec: Spec, stock: Stock) -> None:
    least = rules.least_shell_thickness()
    if stock.shell.thickness_mm < least:
        raise SpecError(
            "steel.shell",
            repr(spec.steel.shell),
            f"sheet that touches concrete is at least {plain(least)} mm, since thinner sheet bends too easily",
            "Choose 3 mm, 1/8 in or thicker.",
        )
    if 1.2 * spec.shop.fit_gap > spec.shop.allowed_leak:
        raise SpecError(
            "shop.fit_gap",
            f"{plain(spec.shop.fit_gap)} mm",
            f"around the nose cover it leaves gaps wider than the allowed leak of {plain(spec.shop.allowed_leak)} mm",
            f"Choose {plain(spec.shop.allowed_leak / 1.2, 2)} mm or less, or allow a wider leak (shop.allowed_leak).",
        )


def _bolt_in_angle(spec: Spec, stock: Stock) -> None:
    hole = stock.bolt.hole_medium_mm
    if hole > stock.angle.largest_hole_mm + 0.2:
        raise SpecError(
            "steel.bolt",
            repr(spec.steel.bolt),
            f"its {plain(hole)} mm hole is too large for angle {stock.angle.designation}, "
            f"which takes {plain(stock.angle.largest_hole_mm)} mm",
            "Choose a smaller bolt or a larger angle.",
        )
    edge = rules.end_distance_least(hole)
    if stock.angle.leg_mm - stock.angle.gauge_mm < edge:
        raise SpecError(
            "steel.angle",
            repr(spec.steel.angle),
            f"a {plain(hole)} mm hole on its gauge line stands "
            f"{plain(stock.angle.leg_mm - stock.angle.gauge_mm)} mm from the edge, less than {plain(edge)} mm",
            "Choose a larger angle or a smaller bolt.",
        )
    seat = stock.angle.gauge_mm - stock.angle.thickness_mm - stock.angle.root_radius_mm
    if seat < stock.bolt.washer_outside_mm / 2:
        raise SpecError(
            "steel.bolt",
            repr(spec.steel.bolt),
            f"its {plain(stock.bolt.washer_outside_mm)} mm washer does not lie flat in angle "
            f"{stock.angle.designation}: {plain(2 * seat)} mm is free",
            "Choose a smaller bolt or a larger angle.",
        )


def _bridge_steel(spec: Spec, stock: Stock) -> None:
    overhang = stock.tube.side_mm + spec.shop.fit_gap + spec.shop.leg_clearance - stock.angle.leg_mm
    if overhang > stock.tube.side_mm / 4:
        raise SpecError(
            "steel.square_tube",
            repr(spec.steel.square_tube),
            f"the bridge leg would stand {plain(overhang)} mm beyond angle {stock.angle.designation}",
            "Choose a square tube no wider than the angle's leg.",
        )
    if stock.jack.diameter_mm < stock.bolt.diameter_mm:
        raise SpecError(
            "steel.jack_screw",
            repr(spec.steel.jack_screw),
            f"it is thinner than the bolts ({spec.steel.bolt})",
            "Choose a larger jack screw.",
        )


def _pilot_holes(spec: Spec) -> None:
    shop = spec.shop
    if shop.hole_method is HoleMethod.PILOT and shop.kerf_compensation and shop.pilot_diameter <= shop.kerf:
        raise SpecError(
            "shop.pilot_diameter",
            f"{plain(shop.pilot_diameter)} mm",
            f"a cut {plain(shop.kerf)} mm wide (shop.kerf) leaves nothing to draw of it",
            "Choose a larger pilot hole, a narrower kerf, or no kerf compensation (shop.kerf_compensation).",
        )
