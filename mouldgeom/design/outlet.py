"""The outlet tube in the front wall, and the nose that follows from it, in the casting frame."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from mouldgeom.design.bought import Stock
from mouldgeom.errors import SpecError
from mouldgeom.filter.cures import CurableError, Cure
from mouldgeom.filter.levels import Cavity, Levels, ledge_step, litres, solve_levels
from mouldgeom.filter.resting import WEIR_BORE, Running, TubeLevels, full_bore, tube_levels
from mouldgeom.filter.working import WATER_OVER_SAND, Working
from mouldgeom.spec import Spec
from mouldgeom.units import NOISE, Deg, Litre, Mm, plain, rounded_down, rounded_up

_STRAIGHT: Final[Mm] = 2.0
"""Straight tube between a bend and what stands before it, at least (common practice, no source)."""


@dataclass(frozen=True)
class TubePath:
    """Axis of the outlet tube in the plane x = 0, as (y, z): inlet, end of the first bend, crest bend, end."""

    inlet: tuple[Mm, Mm]
    first_centre: tuple[Mm, Mm]
    riser_y: Mm
    crest_centre: tuple[Mm, Mm]
    leg_y: Mm
    end_z: Mm
    bend_radius: Mm
    outside: Mm
    bore: Mm

    @property
    def length(self) -> Mm:
        """Developed length of the axis."""
        radius = self.bend_radius
        return (
            abs(self.inlet[0] - self.first_centre[0])
            + abs(self.first_centre[1] - self.crest_centre[1])
            + abs(self.end_z - self.crest_centre[1])
            + 1.5 * math.pi * radius
        )


@dataclass(frozen=True)
class Nose:
    """Concrete faces of the nose; ``root`` is the outer face of the front panel, where the nose box begins."""

    root_y: Mm
    tip_y: Mm
    root_half: Mm
    tip_half: Mm
    lid_z: Mm
    low_z: Mm
    slope: Deg
    splay: Deg
    opening_top: Mm

    def half_at(self, y: Mm) -> Mm:
        """Half width between the nose sides at a depth y."""
        return self.root_half - (self.root_y - y) * math.tan(math.radians(self.splay))


def tube_path(spec: Spec, stock: Stock, levels: Levels, cavity: Cavity, depth: Mm) -> TubePath:
    """Lay the tube in the front wall and the nose, so that the water comes to rest at the rest level.

    Raises:
        SpecError: the tube does not fit its wall, its bends, the front panel, or the levels; or the water may come to
            rest at either of two levels and one is too low.
    """
    try:
        return _path(spec, stock, levels, cavity, depth)
    except CurableError as refusal:
        raise refusal.tried(spec, lambda changed: _outcome(changed, stock)) from None


def _outcome(spec: Spec, stock: Stock) -> str | None:
    """What a specification with this steel is refused for, as far as levels, tube and nose go, or fails at work for."""
    try:
        levels, cavity = solve_levels(spec, ledge_step(spec, stock.ledge.thickness_mm))
        depth = spec.filter.cavity_depth + 2 * (cavity.step + spec.filter.least_wall)
        _nose(spec, stock, levels, _path(spec, stock, levels, cavity, depth), depth)
    except SpecError as refusal:
        return refusal.name
    limits = Working.of(spec, levels, cavity, stock.shell.thickness_mm).flow_limits()
    return next((limit.title for limit in limits if not limit.holds), None)


def _path(spec: Spec, stock: Stock, levels: Levels, cavity: Cavity, depth: Mm) -> TubePath:
    tube, rim = spec.tube, levels.rim
    outside, radius = tube.outside_diameter, tube.bend_radius
    _tube_itself(spec, stock)
    laid = tube_levels(spec, levels.rest, stock.shell.thickness_mm)
    _rests_well(spec, laid, levels)

    def wall_at(level: Mm) -> Mm:
        return (depth - cavity.depth_at(level)) / 2

    bend = laid.crest - radius
    face = -depth / 2
    riser = face + tube.cover + outside / 2
    need = outside + 2 * tube.cover
    short = need - wall_at(laid.crest)
    if short > NOISE:
        raise CurableError(
            "tube.cover",
            f"{plain(tube.cover)} mm",
            f"the wall is {plain(rounded_down(need - short))} mm thick at the tube's crest; the tube with its cover "
            f"needs {plain(rounded_up(need))} mm",
            (
                Cure.at_most("less cover", "tube.cover", tube.cover - short / 2),
                Cure.at_most("a thinner tube", "tube.outside_diameter", outside - short),
                Cure.at_least("a thicker wall", "filter.least_wall", spec.filter.least_wall + short),
            ),
        )
    head = laid.crest_head(levels.full)
    if head < tube.crest_head - NOISE:
        lies = f"only {plain(rounded_down(head))} mm below" if head > 0 else f"{plain(rounded_up(-head))} mm above"
        raise CurableError(
            "tube.crest_head",
            f"{plain(tube.crest_head)} mm",
            f"the bore at the crest lies {lies} the full level, so the filter might never start",
            (
                Cure.at_least("a larger charge", "filter.charge", _charge_for(spec, stock, tube.crest_head - head)),
                Cure.at_most("a smaller bend radius", "tube.bend_radius", radius - (tube.crest_head - head)),
                Cure.at_most("less head", "tube.crest_head", head),
            ),
        )
    _leg_in_front_of_panel(spec, stock)
    _cover_inside_the_turn(spec, stock)
    inlet = levels.floor + tube.inlet_rise
    straight = wall_at(inlet) - (riser - face) - radius
    short = _STRAIGHT - straight
    if short > NOISE:
        raise CurableError(
            "tube.bend_radius",
            f"{plain(radius)} mm",
            f"the first bend needs {plain(rounded_up(radius + _STRAIGHT))} mm between inlet and riser; "
            f"the wall at the floor leaves {plain(rounded_down(straight + radius))} mm",
            (
                Cure.at_most("a smaller bend radius", "tube.bend_radius", radius - short),
                Cure.at_most("less cover", "tube.cover", tube.cover - short),
                Cure.at_least("a thicker wall", "filter.least_wall", spec.filter.least_wall + short),
            ),
        )
    return TubePath(
        inlet=(-cavity.depth_at(inlet) / 2, rim - inlet),
        first_centre=(riser + radius, rim - inlet - radius),
        riser_y=riser,
        crest_centre=(riser - radius, rim - bend),
        leg_y=riser - 2 * radius,
        end_z=rim - laid.end,
        bend_radius=radius,
        outside=outside,
        bore=tube.bore,
    )


def _charge_for(spec: Spec, stock: Stock, more: Mm) -> Litre:
    """Charge whose full level is higher by so much, or a little more: the area at the rim is reckoned with."""
    wider = 2 * ledge_step(spec, stock.ledge.thickness_mm)
    return spec.filter.charge + litres(more * (spec.filter.cavity_width + wider) * (spec.filter.cavity_depth + wider))


def _tube_itself(spec: Spec, stock: Stock) -> None:
    """Refuse a tube whose bore, bends or inlet do not go with its outside diameter."""
    tube = spec.tube
    full = full_bore(spec.water.temperature)
    outside = tube.outside_diameter
    if tube.bore > outside - 1.0 + NOISE:
        raise CurableError(
            "tube.bore",
            f"{plain(tube.bore)} mm",
            f"a tube of {plain(outside)} mm outside diameter leaves less than 0.5 mm of wall",
            (
                Cure.at_most("a smaller bore", "tube.bore", outside - 1.0),
                Cure.at_most("a smaller bore that stays full", "tube.bore", min(outside - 1.0, full)),
                Cure.at_least("a larger tube", "tube.outside_diameter", tube.bore + 1.0),
            ),
        )
    if tube.bend_radius < 1.5 * outside - NOISE:
        raise CurableError(
            "tube.bend_radius",
            f"{plain(tube.bend_radius)} mm",
            f"a tube of {plain(outside)} mm is bent to {plain(rounded_up(1.5 * outside))} mm (1.5 diameters) or more",
            (
                Cure.at_least("a larger bend radius", "tube.bend_radius", max(1.5 * outside, _least_turn(spec, stock))),
                Cure.at_most("a thinner tube", "tube.outside_diameter", tube.bend_radius / 1.5),
            ),
        )
    if tube.inlet_rise < outside / 2 + 1 - NOISE:
        raise CurableError(
            "tube.inlet_rise",
            f"{plain(tube.inlet_rise)} mm",
            f"the tube's underside would lie in the floor; it needs {plain(rounded_up(outside / 2 + 1))} mm",
            (Cure.at_least("a higher inlet", "tube.inlet_rise", outside / 2 + 1),),
        )


def _rests_well(spec: Spec, laid: TubeLevels, levels: Levels) -> None:
    """Refuse a bore of which nobody can say whether it stays full, where the sand would lie bare at the lower level."""
    least = WATER_OVER_SAND[0]
    if laid.running is not Running.EITHER or laid.lowest - levels.sand_top >= least - NOISE:
        return
    water = laid.lowest - levels.sand_top
    full = full_bore(spec.water.temperature)
    higher = laid.highest - laid.lowest + least
    more = Cure.at_least("more water over the sand", "filter.water_over_sand", higher)
    raise CurableError(
        "tube.bore",
        f"{plain(spec.tube.bore)} mm",
        f"between {plain(rounded_down(full))} and {plain(WEIR_BORE)} mm it may stay full or not: the water would come "
        f"to rest at its crest, or at its end with {plain(rounded_down(water))} mm over the sand instead of "
        f"{plain(least)} mm or more",
        (
            Cure.at_most("a smaller bore that stays full", "tube.bore", full),
            Cure.at_least("a bore that runs as a weir", "tube.bore", WEIR_BORE + 0.5),
            *((more,) if rounded_up(higher) <= WATER_OVER_SAND[1] else ()),
        ),
    )


def _least_turn(spec: Spec, stock: Stock) -> Mm:
    """Bend radius with which the tube comes down in front of the front panel, its hole clear of the cover's edge.

    The web that is left between the hole and the edge of the lid is at least as wide as the sheet is thick.

    Source: common practice, no source.
    """
    tube, shell = spec.tube, stock.shell.thickness_mm
    hole = tube.outside_diameter + spec.shop.fit_gap
    return (tube.cover + tube.outside_diameter / 2 + 2 * shell + spec.shop.fit_gap / 2 + hole / 2) / 2


def _leg_in_front_of_panel(spec: Spec, stock: Stock) -> None:
    """Refuse a turn so tight that the tube comes down in the front panel, or its hole breaks out of the nose lid."""
    tube, least = spec.tube, _least_turn(spec, stock)
    short = least - tube.bend_radius
    if short > NOISE:
        raise CurableError(
            "tube.bend_radius",
            f"{plain(tube.bend_radius)} mm",
            "the tube would come down inside or close to the front panel; its turn needs "
            f"{plain(rounded_up(least))} mm",
            (
                Cure.at_least("a larger bend radius", "tube.bend_radius", least),
                Cure.at_most("less cover", "tube.cover", tube.cover - 2 * short),
            ),
        )


def _cover_inside_the_turn(spec: Spec, stock: Stock) -> None:
    """Refuse a turn that leaves less than the cover between its crest and the edge of the front panel's opening.

    That edge lies inside the turn: beside its centre by the first number, and beyond it by the second.
    """
    tube = spec.tube
    closer = tube.bend_radius - tube.outside_diameter / 2
    beside = tube.cover - closer
    beyond = tube.tail + stock.shell.thickness_mm + spec.shop.fit_gap
    left = math.hypot(beside, closer + beyond)
    if beside > 0 and left < tube.cover - NOISE:
        raise CurableError(
            "tube.bend_radius",
            f"{plain(tube.bend_radius)} mm",
            f"the turn leaves {plain(rounded_down(left))} mm of concrete below its crest, less than the cover of "
            f"{plain(tube.cover)} mm",
            (
                Cure.at_least(
                    "a longer tail", "tube.tail",
                    tube.tail + math.sqrt(tube.cover**2 - beside**2) - closer - beyond,
                ),
                Cure.at_most(
                    "less cover", "tube.cover", (closer**2 + (closer + beyond) ** 2) / (2 * closer)
                ),
            ),
        )  # fmt: skip


def nose_box(spec: Spec, stock: Stock, levels: Levels, tube: TubePath, depth: Mm) -> Nose:
    """Follow the tube: clear of both bends by the cover, sloping so that its root clears the base flange.

    Raises:
        SpecError: no slope keeps the nose off the base flange.
    """
    try:
        return _nose(spec, stock, levels, tube, depth)
    except CurableError as refusal:
        raise refusal.tried(spec, lambda changed: _outcome(changed, stock)) from None


def _nose(spec: Spec, stock: Stock, levels: Levels, tube: TubePath, depth: Mm) -> Nose:
    shell, cover = stock.shell.thickness_mm, spec.tube.cover
    root_y = -depth / 2 - shell
    lid_z = tube.end_z - shell
    reach = tube.bend_radius + tube.outside / 2 + cover
    centre_y, centre_z = tube.crest_centre
    floor_z = stock.angle.leg_mm + spec.shop.weld_gap
    for slope in range(30, 66):
        sine, cosine = math.sin(math.radians(slope)), math.cos(math.radians(slope))
        # sloping front: cosine * (centre_y - y) - sine * (z - centre_z) = reach, in the casting frame
        tip_y = centre_y - (reach + sine * (lid_z - centre_z)) / cosine
        low_z = centre_z - (reach - cosine * (centre_y - root_y)) / sine
        short = floor_z - (low_z - shell / sine)
        if short <= NOISE:
            break
    else:
        raise CurableError(
            "filter.freeboard",
            f"{plain(spec.filter.freeboard)} mm",
            f"the nose comes down {plain(rounded_up(short))} mm too low: it is to end {plain(rounded_up(floor_z))} mm "
            "or more above the base plate, clear of the base flange",
            (
                Cure.at_least("more freeboard", "filter.freeboard", spec.filter.freeboard + short),
                Cure.at_least("a larger charge", "filter.charge", _charge_for(spec, stock, short)),
                Cure.at_most("a smaller bend radius", "tube.bend_radius", tube.bend_radius - short),
            ),
        )
    splay = spec.shop.nose_draft
    tip_half = tube.outside / 2 + cover / math.cos(math.radians(splay))
    root_half = tip_half + (root_y - tip_y) * math.tan(math.radians(splay))
    return Nose(
        root_y=root_y,
        tip_y=tip_y,
        root_half=root_half,
        tip_half=tip_half,
        lid_z=lid_z,
        low_z=low_z,
        slope=float(slope),
        splay=splay,
        opening_top=tube.end_z + spec.shop.fit_gap,
    )
