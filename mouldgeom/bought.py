"""The records behind the designations of a specification, and whether they go together."""

from __future__ import annotations

from dataclasses import dataclass

from mouldgeom import rules, tables
from mouldgeom.errors import SpecError
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


def buy(spec: Spec) -> Stock:
    """Look up every designation, and refuse steel that does not go together.

    Raises:
        SpecError: a sheet is too thin, or bolt, angle, tube and screw do not fit each other.
    """
    stock = Stock(
        tables.sheet(spec.steel.shell),
        tables.sheet(spec.steel.ledge),
        tables.sheet(spec.steel.base),
        tables.angle(spec.steel.angle),
        tables.square_tube(spec.steel.square_tube),
        tables.rod(spec.steel.rod),
        tables.bolt(spec.steel.bolt),
        tables.bolt(spec.steel.jack_screw),
        tables.steel(spec.steel.grade),
    )
    _sheet_and_fit(spec, stock)
    _bolt_in_angle(spec, stock)
    _bridge_steel(spec, stock)
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
