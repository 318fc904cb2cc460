"""What holds the sheet under fresh concrete: stiffeners and posts behind the panels, diaphragms in the core.

Their number and heights follow from the pressure, or are given by the specification.  Heights in the casting frame.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from mouldgeom import rules
from mouldgeom.design.bought import Stock
from mouldgeom.design.outlet import Nose
from mouldgeom.design.spacing import Bulge, bar_reaches, elastic_lines, support_lines
from mouldgeom.errors import GeometryError, InputError, SpecError
from mouldgeom.filter.levels import Levels
from mouldgeom.rules import NewtonPerMm, beams
from mouldgeom.rules.plate_fields import EDGE_SLOPE, PressedBar, PressedSheet
from mouldgeom.rules.pressure import (
    FreshPressure,
    Placing,
    aci_347,
    ciria_108,
    din_18218_1980,
    liquid_head,
)
from mouldgeom.spec import Spec
from mouldgeom.units import Mm, plain

SLACK: Final[Mm] = 1.0
"""Room left between things that must not touch (common practice, no source)."""
WELD_ROOM: Final[Mm] = 20.0
"""Between neighbouring stiffeners, to weld (common practice, no source)."""
PLATE_ROOM: Final[Mm] = 30.0
"""Between neighbouring plates in the core, to weld (common practice, no source)."""


@dataclass(frozen=True)
class NosePosts:
    """Upright tubes on the front panel, either side of the nose: distance from the middle, lower and upper end."""

    x: Mm
    low: Mm
    high: Mm


# ---------------------------------------------------------------- pressure


def reduced_pressure(spec: Spec, height: Mm, method: str) -> FreshPressure:
    """Pressure of the fresh concrete by one of the methods of ``concrete.pressure``.

    The mould is a column: its plan is always below 2 m.  Cement without retarder; needles inside.

    Raises:
        InputError: the pour lies outside of the limits of the formula.
    """
    concrete = spec.concrete
    if method == "liquid head":
        return liquid_head(concrete.unit_weight_fresh, height, concrete.vibration_allowance)
    placing = Placing(
        concrete.unit_weight_fresh, height, concrete.rate_of_rise, concrete.placing_temperature, concrete.slump
    )
    if method == "ACI 347":
        return aci_347(placing, "column")
    if method == "CIRIA 108":
        return ciria_108(placing, "column")
    return din_18218_1980(placing, concrete.consistency)


def pressure_of(spec: Spec, height: Mm) -> FreshPressure:
    """Pressure of the fresh concrete that the mould is designed for; ``height`` of the pour face.

    Raises:
        SpecError: the pour lies outside of the limits of the formula chosen.
    """
    method = spec.concrete.pressure
    try:
        return reduced_pressure(spec, height, method)
    except InputError as error:
        raise SpecError(
            "concrete.pressure",
            repr(str(method)),
            f"this pour lies outside of the formula: {error.name} = {error.value}, {error.limit}",
            'Choose "liquid head", or pour as the formula asks.',
        ) from error


# ---------------------------------------------------------------- sheet and bars


def pressed_sheet(spec: Spec, stock: Stock, height: Mm) -> PressedSheet:
    """Return the shell sheet under the pour of this height."""
    return PressedSheet(pressure_of(spec, height), stock.shell.thickness_mm, stock.steel.elastic_modulus_mpa)


def pressed_bar(stock: Stock, fresh: FreshPressure, across: Mm, span: Mm) -> PressedBar:
    """Return a stiffener behind a panel ``across`` wide, held at a distance ``span`` apart."""
    tube = stock.tube
    return PressedBar(fresh, across, span, tube.side_mm, stock.steel.elastic_modulus_mpa, tube.second_moment_cm4 * 1e4)


def front_span(stock: Stock, width: Mm) -> Mm:
    """Span of the stiffeners of front and back panel: from one row of corner bolts to the other."""
    return width + 2 * (stock.shell.thickness_mm + stock.angle.gauge_mm)


def field_bulge(spec: Spec, stock: Stock, height: Mm, across: Mm, low: Mm, high: Mm, free: bool) -> Mm:
    """Bulge of one field of sheet between two stiff lines, simply supported, under its fresh concrete.

    Args:
        height: of the pour face; ``across``: width of the field; ``low``, ``high``: its edges;
            ``free``: upper edge free.
    """
    return pressed_sheet(spec, stock, height).bulge(across, low, high, free)


def sheet_bulge(spec: Spec, stock: Stock, height: Mm) -> Callable[[Mm, Mm, Mm, bool], Mm]:
    """Return ``field_bulge`` of one shell sheet and one pour as a function of width, lower and upper edge, and free."""
    return pressed_sheet(spec, stock, height).bulge


def panel_bulge(sheet: PressedSheet, across: Mm, start: Mm, side: Mm) -> Bulge:
    """Bulge of a panel between two lines, from edge to edge of the tubes, which the panel is welded to."""
    half = side / 2

    @cache
    def bulge(lower: Mm, upper: Mm, free: bool) -> Mm:
        low, high = (lower if lower == start else lower + half), (upper if free else upper - half)
        return sheet.bulge(across, low, high, free) if high > low else 0.0

    return bulge


# ---------------------------------------------------------------- stiffeners


def nose_band(stock: Stock, nose: Nose) -> tuple[Mm, Mm]:
    """Heights between which no stiffener's axis may cross the front panel: nose, lid, and sockets on its bolts."""
    side = stock.tube.side_mm
    lift = rules.socket_depth() + rules.socket_outside_diameter(stock.bolt.across_flats_mm) / 2 + SLACK
    top = nose.lid_z + stock.shell.thickness_mm + lift + side / 2
    return nose.low_z - stock.shell.thickness_mm * 3 - side / 2, top


def place_stiffeners(
    spec: Spec, stock: Stock, height: Mm, width: Mm, depth: Mm, nose: Nose
) -> tuple[tuple[Mm, ...], tuple[Mm, ...], NosePosts | None]:
    """Heights of the stiffeners, those that the front panel has, and the posts beside its nose if it needs them.

    At least one pair of neighbours stands above the nose, for the handles.  Where the lines that keep clear of the nose
    would leave too high a field below them, back and sides get a line there, and the front two posts beside the nose.

    Raises:
        SpecError: nothing keeps the bulge within what is allowed, or a given height is in the way of something.
    """
    low, top = nose_band(stock, nose)
    if spec.shop.stiffener_heights:
        lines = _given_stiffeners(spec, stock, height, top)
        front = tuple(z for z in lines if not low < z < top)
        posts = None if len(front) == len(lines) else _nose_posts(spec, stock, nose, min(z for z in front if z >= top))
        return lines, front, posts
    across, start, side = max(width, depth), stock.angle.leg_mm, stock.tube.side_mm
    sheet = pressed_sheet(spec, stock, height)
    bar = pressed_bar(stock, sheet.fresh, across, max(front_span(stock, width), depth))
    bulge, allowed = panel_bulge(sheet, across, start, side), spec.shop.allowed_bulge
    failure = GeometryError("no room for two stiffeners above the nose")
    for keep_out in ([(low, top)], []):
        least = 2
        for _ in range(4):
            try:
                lines = elastic_lines(start, bulge, bar, allowed, keep_out, least=least, nearest=side + WELD_ROOM)
            except GeometryError as error:
                failure = error
                break
            front = tuple(z for z in lines if not low < z < top)
            above = [z for z in front if z >= top]
            least = len(lines) + 1
            if len(above) < 2:
                continue
            if keep_out:
                return lines, front, None
            posts = _nose_posts(spec, stock, nose, above[0])
            try:
                _posts_hold(stock, sheet, bar, posts, above, allowed)
            except GeometryError as error:
                failure = error
                continue
            return lines, front, posts
    raise _no_supports(spec, "panels", failure) from failure


def _nose_posts(spec: Spec, stock: Stock, nose: Nose, line: Mm) -> NosePosts:
    """Posts from base flange to the first stiffener above the nose, clear of the sockets of lid and base bolts."""
    side, gap, angle = stock.tube.side_mm, spec.shop.weld_gap, stock.angle
    socket = rules.socket_outside_diameter(stock.bolt.across_flats_mm) / 2 + SLACK
    lid = nose.root_half + stock.shell.thickness_mm / math.cos(math.radians(nose.splay)) + angle.leg_mm
    low = max(angle.leg_mm + gap, angle.thickness_mm + rules.socket_depth() + socket)
    return NosePosts(x=lid + gap + side / 2, low=low, high=line - side / 2)


def post_bend(stock: Stock, sheet: PressedSheet, across: Mm, posts: NosePosts) -> tuple[Mm, Mm, NewtonPerMm]:
    """Deflection of a post, its span, and the load on each mm of it: by the pressure at its foot, all the way up.

    The post brings its load to base flange and stiffener; it takes half of the strips beside it.
    """
    half = across / 2 - posts.x
    wide = min(stock.tube.side_mm / 2, half) + half / 2 + posts.x / 2
    foot = stock.angle.leg_mm
    load = sheet.fresh.at(sheet.fresh.height - foot) * wide
    span = posts.high + stock.tube.side_mm / 2 - foot
    inertia = stock.tube.second_moment_cm4 * 1e4
    return beams.uniform_deflection(load, span, stock.steel.elastic_modulus_mpa, inertia), span, load


def strip_reach(stock: Stock, across: Mm, posts: NosePosts) -> Mm:
    """How far at most the strips beside and between the posts bring their load to the stiffener above."""
    return min((posts.high - stock.angle.leg_mm) / 2, max(posts.x, across / 2 - posts.x) / 2)


def _posts_hold(
    stock: Stock, sheet: PressedSheet, bar: PressedBar, posts: NosePosts, above: Sequence[Mm], allowed: Mm
) -> None:
    """Refuse posts that leave a strip of the panel beside or between them bulging too far, or the field above them.

    Raises:
        GeometryError: one does.
    """
    side, across, start = stock.tube.side_mm, bar.across, stock.angle.leg_mm
    line, below = posts.high + side / 2, strip_reach(stock, across, posts)
    bent, span, load = post_bend(stock, sheet, across, posts)
    reaches = bar_reaches(start, above, bar)
    sunk = bar.deflection(line, below, reaches[1]) + bar.pair(load * span / 2, posts.x)[0]
    for wide in (2 * posts.x - side, across / 2 - posts.x - side / 2):
        if wide > 0 and sheet.bulge(wide, start, posts.high, False) + bent + sunk > allowed:
            raise GeometryError(f"a strip of {wide:.0f} mm beside the nose bulges too far")
    sunk = max(sunk, bar.deflection(above[1], reaches[1], reaches[2]))
    if sheet.bulge(across, line + side / 2, above[1] - side / 2, False) + sunk > allowed:
        raise GeometryError("the stiffener above the posts beside the nose bends too far")


def _given_stiffeners(spec: Spec, stock: Stock, height: Mm, nose_top: Mm) -> tuple[Mm, ...]:
    """Stiffeners at the heights that the specification gives, unless one is in the way of something."""
    lines, half, angle, bolt = spec.shop.stiffener_heights, stock.tube.side_mm / 2, stock.angle, stock.bolt
    lowest = max(
        angle.leg_mm + spec.shop.weld_gap,
        angle.thickness_mm + bolt.washer_thickness_mm + bolt.head_height_mm + rules.socket_depth(),
    )
    trouble = ""
    if lines[0] - half < lowest:
        trouble = (
            f"the tube at {plain(lines[0])} mm is in the way of the base flange and the sockets on its bolts; "
            f"the lowest height is {plain(math.ceil(lowest + half))} mm"
        )
    elif lines[-1] + half > height:
        trouble = (
            f"the tube at {plain(lines[-1])} mm reaches above the pour face; "
            f"the greatest height is {plain(math.floor(height - half))} mm"
        )
    elif len([z for z in lines if z >= nose_top]) < 2:
        trouble = (
            f"two stand above the nose and the sockets on its lid, at {plain(math.ceil(nose_top))} mm or higher, "
            "to weld the handles to"
        )
    else:
        for one, other in itertools.pairwise(lines):
            if other - one < 2 * half + WELD_ROOM:
                trouble = (
                    f"the tubes at {plain(one)} and {plain(other)} mm are in each other's way; "
                    f"they stand at least {plain(2 * half + WELD_ROOM)} mm apart"
                )
    if trouble:
        raise _given_in_the_way("shop.stiffener_heights", lines, trouble)
    return lines


def _given_in_the_way(field: str, lines: Sequence[Mm], trouble: str) -> SpecError:
    shown = f"[{', '.join(plain(z) for z in lines)}]"
    return SpecError(field, shown, trouble, "Move it, or give [] to have the heights found.")


# ---------------------------------------------------------------- diaphragms


def place_diaphragms(spec: Spec, stock: Stock, height: Mm, levels: Levels, anchor_z: Mm | None) -> tuple[Mm, ...]:
    """Place diaphragms so that the core walls neither bulge too far nor lock the core.

    A wall bulges inwards and the hardened concrete keeps that bulge; the stiff line that lies deeper must still pass
    it: at each height the bulge is at most draft x distance to the next deeper line.

    Raises:
        SpecError: nothing keeps the bulge within what is allowed, or a given height is in the way of something.
    """
    end = height - levels.floor - stock.shell.thickness_mm
    if spec.shop.diaphragm_heights:
        return _given_diaphragms(spec, stock, end, anchor_z)
    taper = math.tan(math.radians(spec.filter.draft))
    across = max(spec.filter.cavity_width, spec.filter.cavity_depth)
    sheet = pressed_sheet(spec, stock, height)
    try:
        return support_lines(
            anchor_z or 0.0,
            end,
            cache(lambda low, high, free: sheet.bulge(across, low, high, free)),
            lambda low, high: min(spec.shop.allowed_bulge, taper * (high - low) / EDGE_SLOPE),
            [(0.0, spec.shop.weld_access + stock.shell.thickness_mm)] if anchor_z is None else (),
            end_supported=True,
            least=anchor_z is None,
            nearest=PLATE_ROOM,
        )
    except GeometryError as error:
        raise _no_supports(spec, "core walls", error) from error


def _given_diaphragms(spec: Spec, stock: Stock, end: Mm, anchor_z: Mm | None) -> tuple[Mm, ...]:
    lines, shell = spec.shop.diaphragm_heights, stock.shell.thickness_mm
    if anchor_z is None:
        lowest, way = spec.shop.weld_access + shell, "the welds of the core's foot"
    else:
        lowest, way = (
            anchor_z + max(PLATE_ROOM, stock.jack.nut_height_mm + shell + SLACK),
            "the anchor plate and its nut",
        )
    trouble = ""
    if lines[0] < lowest:
        trouble = (
            f"the diaphragm at {plain(lines[0])} mm is in the way of {way}; "
            f"the lowest height is {plain(math.ceil(lowest))} mm"
        )
    elif lines[-1] > end - PLATE_ROOM:
        trouble = (
            f"the diaphragm at {plain(lines[-1])} mm is in the way of the end plate; "
            f"the greatest height is {plain(math.floor(end - PLATE_ROOM))} mm"
        )
    else:
        for one, other in itertools.pairwise(lines):
            if other - one < PLATE_ROOM:
                trouble = (
                    f"the diaphragms at {plain(one)} and {plain(other)} mm are in each other's way; "
                    f"they stand at least {plain(PLATE_ROOM)} mm apart"
                )
    if trouble:
        raise _given_in_the_way("shop.diaphragm_heights", lines, trouble)
    return lines


def _no_supports(spec: Spec, what: str, cause: GeometryError) -> SpecError:
    return SpecError(
        "shop.allowed_bulge",
        f"{plain(spec.shop.allowed_bulge)} mm",
        f"the {what} cannot be held to it: {cause}",
        "Allow more bulge, or choose a thicker steel.shell or a larger steel.square_tube.",
    )
