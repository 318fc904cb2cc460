"""Every derived length, worked out once, in the casting frame unless said otherwise.

Casting frame: z = 0 on the top face of the base plate (the rim of the filter), z up, the nose at -y.  An upright level
h stands at z = rim - h.  ``derive`` is the only way in; it refuses what two fields make impossible.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Final

from mouldgeom import plates, rules, tables
from mouldgeom.bought import Stock, buy
from mouldgeom.errors import GeometryError, SpecError
from mouldgeom.filter.levels import Cavity, Levels, ledge_step, solve_levels
from mouldgeom.outlet import Nose, TubePath, nose_box, tube_path
from mouldgeom.spacing import bolt_positions, support_lines
from mouldgeom.spec import Spec
from mouldgeom.units import Deg, Mm, Mpa, Ratio, plain

SLACK: Final[Mm] = 1.0
"""Room left between things that must not touch (common practice, no source)."""
NOTCH_RADIUS: Final[Mm] = 5.0
"""Inner corners of the leg notches, at most: a torch turns them, and no crack starts (common practice, no source)."""
OPENING_RADIUS: Final[Mm] = 15.0
"""Corners of the access opening, at most: a hand passes them (common practice, no source)."""
PLATE_OVERHANG: Final[Mm] = 10.0
"""Bridge plates beyond the tubes that they lie on, each side, to weld on (common practice, no source)."""


@dataclass(frozen=True)
class Bolting:
    """Bolts, holes and the room that they need."""

    hole: Mm
    pitch: Mm
    edge: Mm
    gauge: Mm
    socket_radius: Mm
    corner_z: tuple[Mm, ...]
    front_x: tuple[Mm, ...]
    side_y: tuple[Mm, ...]


@dataclass(frozen=True)
class NosePosts:
    """Upright tubes on the front panel, either side of the nose: distance from the middle, lower and upper end."""

    x: Mm
    low: Mm
    high: Mm


@dataclass(frozen=True)
class Bridge:
    """The extraction bridge, fitted: it hangs below the base plate in the casting frame."""

    notch_x: Mm
    notch_half: Mm
    leg_x: Mm
    leg_length: Mm
    stroke: Mm
    beam_y: Mm
    beam_length: Mm
    plate_width: Mm
    screw_hole: Mm
    screw_top: Mm
    screw_bottom: Mm
    gusset_leg: Mm
    gusset_y: Mm


@dataclass(frozen=True)
class Dimensions:
    """All that the parts are made from."""

    spec: Spec
    stock: Stock
    levels: Levels
    cavity: Cavity
    draft: Deg
    taper: Ratio
    step: Mm
    height: Mm
    width: Mm
    depth: Mm
    end_z: Mm
    ledge_z: Mm
    tube: TubePath
    nose: Nose
    bolting: Bolting
    stiffener_z: tuple[Mm, ...]
    front_stiffener_z: tuple[Mm, ...]
    nose_posts: NosePosts | None
    diaphragm_z: tuple[Mm, ...]
    anchor_z: Mm
    front_half: Mm
    base_half_x: Mm
    base_half_y: Mm
    runner_y: Mm
    runner_half: Mm
    access_half_x: Mm
    access_half_y: Mm
    bridge: Bridge

    @property
    def shell(self) -> Mm:
        """Thickness of the shell sheet."""
        return self.stock.shell.thickness_mm

    @property
    def ledge(self) -> Mm:
        """Thickness of the ledge strips."""
        return self.stock.ledge.thickness_mm

    @property
    def base(self) -> Mm:
        """Thickness of the base plate."""
        return self.stock.base.thickness_mm

    @property
    def handle_is_bolt(self) -> bool:
        """Whether the handles are threaded rod or long bolts, since no rod can be had."""
        return self.stock.rod.designation not in {row.designation for row in tables.rods()}

    def core_half_x(self, z: Mm) -> Mm:
        """Half width of the core over its walls, ledge strips not counted."""
        return self.spec.filter.cavity_width / 2 - z * self.taper

    def core_half_y(self, z: Mm) -> Mm:
        """Half depth of the core over its walls, ledge strips not counted."""
        return self.spec.filter.cavity_depth / 2 - z * self.taper

    @property
    def wall_inset(self) -> Mm:
        """Thickness of a drafted core wall measured level."""
        return self.shell / math.cos(math.radians(self.draft))

    def pressure_at(self, z: Mm) -> Mpa:
        """Full liquid head of fresh concrete at a height of the casting frame."""
        return rules.hydrostatic_pressure(self.spec.concrete.unit_weight_fresh, max(0.0, self.height - z))


def derive(spec: Spec) -> Dimensions:
    """Work out every length of a mould.

    Raises:
        SpecError: two fields disagree; the message names the one to change.
    """
    stock = buy(spec)
    step = ledge_step(spec, stock.ledge.thickness_mm)
    levels, cavity = solve_levels(spec, step)
    taper = cavity.taper
    height = levels.rim
    width = spec.filter.cavity_width + 2 * (step + spec.filter.least_wall)
    depth = spec.filter.cavity_depth + 2 * (step + spec.filter.least_wall)
    tube = tube_path(spec, stock, levels, cavity, depth)
    nose = nose_box(spec, stock, levels, tube, depth)
    anchor_z = spec.shop.weld_access + stock.base.thickness_mm
    stiffener_z, front_stiffener_z, nose_posts = _stiffeners(spec, stock, height, max(width, depth), nose)
    bridge = _bridge(spec, stock, width, anchor_z)
    bolting = _bolting(spec, stock, height, width, depth, stiffener_z, bridge)
    angle, side = stock.angle.leg_mm, stock.tube.side_mm
    shell = stock.shell.thickness_mm
    inset = shell / math.cos(math.radians(spec.filter.draft)) + spec.shop.weld_land
    access = (spec.filter.cavity_width / 2 - inset, spec.filter.cavity_depth / 2 - inset)
    if min(access) < 40.0:
        raise SpecError(
            "shop.weld_land",
            f"{plain(spec.shop.weld_land)} mm",
            f"it leaves an opening of only {2 * min(access):.0f} mm in the base plate, less than 80 mm",
            "Choose a narrower land or a wider cavity.",
        )
    base_half_x = width / 2 + shell + angle + spec.shop.base_margin
    return Dimensions(
        spec=spec,
        stock=stock,
        levels=levels,
        cavity=cavity,
        draft=spec.filter.draft,
        taper=taper,
        step=step,
        height=height,
        width=width,
        depth=depth,
        end_z=height - levels.floor,
        ledge_z=height - levels.ledge,
        tube=tube,
        nose=nose,
        bolting=bolting,
        stiffener_z=stiffener_z,
        front_stiffener_z=front_stiffener_z,
        nose_posts=nose_posts,
        diaphragm_z=_diaphragms(spec, stock, height, levels, anchor_z),
        anchor_z=anchor_z,
        front_half=width / 2 + shell + angle,
        base_half_x=base_half_x,
        base_half_y=depth / 2 + shell + angle + spec.shop.base_margin,
        runner_y=depth / 2 + shell + bolting.gauge - bolting.socket_radius - SLACK - side / 2,
        runner_half=base_half_x + rules.runner_overhang(stock.base.thickness_mm, side),
        access_half_x=access[0],
        access_half_y=access[1],
        bridge=bridge,
    )


def field_bulge(spec: Spec, stock: Stock, height: Mm, across: Mm, low: Mm, high: Mm, free: bool) -> Mm:
    """Bulge of one field of sheet between two lines of support, simply supported, under its fresh concrete.

    A field taller than wide bulges most near its foot: it is loaded as by the pressure half its width above that.

    Args:
        height: of the pour face; ``across``: width of the field; ``low``, ``high``: its edges;
            ``free``: upper edge free.
    """
    return sheet_bulge(spec, stock, height)(across, low, high, free)


def sheet_bulge(spec: Spec, stock: Stock, height: Mm) -> Callable[[Mm, Mm, Mm, bool], Mm]:
    """Return ``field_bulge`` of one shell sheet and one pour as a function of width, lower and upper edge, and free."""
    steel, weight = stock.steel, spec.concrete.unit_weight_fresh
    rigidity = rules.plate_rigidity(steel.elastic_modulus_mpa, stock.shell.thickness_mm, steel.poisson)

    def bulge(across: Mm, low: Mm, high: Mm, free: bool) -> Mm:
        tall = high - low
        if free:
            return plates.deflection_free_top(across, tall, rules.hydrostatic_pressure(weight, height - low), rigidity)
        head = height - low - (tall if tall < across else across) / 2
        return plates.deflection_held(
            across, tall, rules.hydrostatic_pressure(weight, head if head > 0 else 0), rigidity
        )

    return bulge


def _stiffeners(
    spec: Spec, stock: Stock, height: Mm, across: Mm, nose: Nose
) -> tuple[tuple[Mm, ...], tuple[Mm, ...], NosePosts | None]:
    """Heights of the stiffeners, those that the front panel has, and the posts beside its nose if it needs them.

    At least one pair of neighbours stands above the nose, for the handles.  Where the lines that keep clear of the nose
    would leave too high a field below them, back and sides get a line there, and the front two posts beside the nose.
    """
    side = stock.tube.side_mm
    lift = rules.socket_depth() + rules.socket_outside_diameter(stock.bolt.across_flats_mm) / 2 + SLACK
    top = nose.cover_z + stock.shell.thickness_mm + lift + side / 2
    low = nose.low_z - stock.shell.thickness_mm * 3 - side / 2
    start = stock.angle.leg_mm
    sheet = sheet_bulge(spec, stock, height)

    @cache
    def bulge(lower: Mm, upper: Mm, free: bool) -> Mm:
        """Between the edges of the tubes, which the panel is welded to."""
        clear = (lower if lower == start else lower + side / 2, upper if free else upper - side / 2)
        return sheet(across, *clear, free) if clear[1] > clear[0] else 0.0

    failure = GeometryError("no room for two stiffeners above the nose")
    for keep_out in ([(low, top)], []):
        for least in range(2, 6):
            try:
                lines = support_lines(
                    start,
                    height,
                    bulge,
                    lambda lower, upper: spec.shop.allowed_bulge,
                    keep_out,
                    end_supported=False,
                    least=least,
                    nearest=side + 20.0,
                )
            except GeometryError as error:
                failure = error
                break
            front = tuple(z for z in lines if not low < z < top)
            above = [z for z in front if z >= top]
            if len(above) >= 2:
                if keep_out:
                    return lines, front, None
                try:
                    return lines, front, _nose_posts(spec, stock, height, across, nose, above[0])
                except GeometryError as error:
                    failure = error
                    break
    raise _no_supports(spec, "panels", failure) from failure


def _nose_posts(spec: Spec, stock: Stock, height: Mm, across: Mm, nose: Nose, line: Mm) -> NosePosts:
    """Posts from the base flange to the first stiffener above the nose, clear of the sockets of cover and base bolts.

    Raises:
        GeometryError: a strip of the panel beside or between them would still bulge too far.
    """
    side, gap, angle = stock.tube.side_mm, spec.shop.weld_gap, stock.angle
    socket = rules.socket_outside_diameter(stock.bolt.across_flats_mm) / 2 + SLACK
    cover = nose.root_half + stock.shell.thickness_mm / math.cos(math.radians(nose.splay)) + angle.leg_mm
    x = cover + gap + side / 2
    low = max(angle.leg_mm + gap, angle.thickness_mm + rules.socket_depth() + socket)
    for wide in (2 * x - side, across / 2 - x - side / 2):
        if wide > 0 and field_bulge(spec, stock, height, wide, low, line, False) > spec.shop.allowed_bulge:
            raise GeometryError(f"a strip of {wide:.0f} mm beside the nose bulges too far")
    return NosePosts(x=x, low=low, high=line - side / 2)


def _diaphragms(spec: Spec, stock: Stock, height: Mm, levels: Levels, anchor_z: Mm) -> tuple[Mm, ...]:
    """Place diaphragms so that the core walls neither bulge too far nor lock the core.

    A wall bulges inwards and the hardened concrete keeps that bulge; the stiff line that lies deeper must still pass
    it: bulge at most draft x distance to the next deeper stiff line.
    """
    taper = math.tan(math.radians(spec.filter.draft))
    end = height - levels.floor - stock.shell.thickness_mm
    across = max(spec.filter.cavity_width, spec.filter.cavity_depth)
    sheet = sheet_bulge(spec, stock, height)
    try:
        return support_lines(
            anchor_z,
            end,
            cache(lambda low, high, free: sheet(across, low, high, free)),
            lambda low, high: min(spec.shop.allowed_bulge, taper * (high - low) / 2),
            end_supported=True,
            nearest=30.0,
        )
    except GeometryError as error:
        raise _no_supports(spec, "core walls", error) from error


def _no_supports(spec: Spec, what: str, cause: GeometryError) -> SpecError:
    return SpecError(
        "shop.allowed_bulge",
        f"{plain(spec.shop.allowed_bulge)} mm",
        f"the {what} cannot be held to it: {cause}",
        "Allow more bulge or choose a thicker steel.shell.",
    )


def _bridge(spec: Spec, stock: Stock, width: Mm, anchor_z: Mm) -> Bridge:
    shell, base = stock.shell.thickness_mm, stock.base.thickness_mm
    side, shop = stock.tube.side_mm, spec.shop
    hole = rules.jack_screw_hole(stock.jack.diameter_mm)
    stroke = shop.release_clearance / math.sin(math.radians(spec.filter.draft))
    leg_length = math.ceil(base + stroke + shop.stroke_spare)
    notch_x = width / 2 + shell + shop.fit_gap
    leg_x = notch_x + shop.leg_clearance + side / 2
    beam_y = (hole + side) / 2
    outer = -leg_length - base - side - base  # outer face of the washer plate
    jack = stock.jack
    bottom = outer - jack.washer_thickness_mm - 2 * jack.nut_height_mm - 2 * jack.pitch_mm
    top = anchor_z + jack.nut_height_mm + 2 * jack.pitch_mm
    screw = 5 * math.ceil((top - bottom) / 5)
    flat = stock.angle.leg_mm - stock.angle.thickness_mm - stock.angle.toe_radius_mm
    return Bridge(
        notch_x=notch_x,
        notch_half=side / 2 + shop.leg_clearance,
        leg_x=leg_x,
        leg_length=float(leg_length),
        stroke=stroke,
        beam_y=beam_y,
        beam_length=2 * (leg_x + side / 2),
        plate_width=side + 2 * PLATE_OVERHANG,
        screw_hole=hole,
        screw_top=bottom + screw,
        screw_bottom=bottom,
        gusset_leg=flat,
        gusset_y=(side - stock.tube.thickness_mm) / 2,
    )


def _bolting(
    spec: Spec, stock: Stock, height: Mm, width: Mm, depth: Mm, stiffener_z: tuple[Mm, ...], bridge: Bridge
) -> Bolting:
    bolt, angle, side = stock.bolt, stock.angle, stock.tube.side_mm
    shell, pitch = stock.shell.thickness_mm, spec.shop.bolt_pitch or 180.0
    hole = bolt.hole_medium_mm
    edge = max(math.ceil(rules.end_distance_least(hole)), math.ceil(bolt.washer_outside_mm / 2))
    socket = rules.socket_outside_diameter(bolt.across_flats_mm) / 2
    seat = max(socket, bolt.washer_outside_mm / 2) + SLACK
    least = rules.pitch_least(hole)
    keep = [(z - side / 2 - seat, z + side / 2 + seat) for z in stiffener_z]
    flange_half = depth / 2 - angle.leg_mm - spec.shop.weld_gap
    runner = depth / 2 + shell + angle.gauge_mm - seat - SLACK - side
    gusset = bridge.gusset_y + stock.base.thickness_mm / 2
    first = max(bridge.notch_half + edge, gusset + seat)
    last = min(flange_half - edge, runner - seat)
    if last < first:
        raise SpecError(
            "filter.cavity_depth",
            f"{plain(spec.filter.cavity_depth)} mm",
            f"the side base flange is too short for a bolt on each side of the bridge leg by {first - last:.0f} mm",
            "Choose a deeper cavity or smaller steel.square_tube.",
        )
    try:
        corner = bolt_positions(angle.leg_mm + seat + SLACK, height - edge, pitch, keep, least)
        half = width / 2 + shell + angle.leg_mm - edge
        front = bolt_positions(-half, half, pitch, (), least)
        one_side = bolt_positions(first, last, pitch, (), max(least, 60.0))
    except GeometryError as error:
        raise SpecError(
            "shop.bolt_pitch", f"{plain(pitch)} mm", f"the bolts cannot be placed: {error}", "Choose a larger pitch."
        ) from error
    return Bolting(
        hole=hole,
        pitch=pitch,
        edge=float(edge),
        gauge=angle.gauge_mm,
        socket_radius=seat,
        corner_z=corner,
        front_x=front,
        side_y=(*(-y for y in reversed(one_side)), *one_side),
    )
