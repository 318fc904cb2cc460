"""Every derived length, worked out once, in the casting frame unless said otherwise.

Casting frame: z = 0 on the top face of the base plate (the rim of the filter), z up, the nose at -y.  An upright level
h stands at z = rim - h.  ``derive`` is the only way in; it refuses what two fields make impossible.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final, TypeVar

from mouldgeom import rules, tables
from mouldgeom.design import supports
from mouldgeom.design.bolting import Bolting, OuterBox, flange_box, no_angle_holds, place_bolts
from mouldgeom.design.bought import Stock, buy, offers
from mouldgeom.design.outlet import Nose, TubePath, nose_box, tube_path
from mouldgeom.design.supports import NosePosts, place_diaphragms, place_stiffeners, pressure_of
from mouldgeom.design.supports import field_bulge as field_bulge
from mouldgeom.design.supports import sheet_bulge as sheet_bulge
from mouldgeom.errors import GeometryError, SpecError
from mouldgeom.filter.cures import CurableError, Cure
from mouldgeom.filter.early_age import refuse_too_young
from mouldgeom.filter.levels import Cavity, Levels, ledge_step, solve_levels
from mouldgeom.filter.resting import TubeLevels
from mouldgeom.filter.working import Working
from mouldgeom.rules.pressure import FreshPressure
from mouldgeom.spec import Spec
from mouldgeom.spec.fields import LEAST, Gear
from mouldgeom.units import NOISE, Deg, Mm, Mpa, Ratio, plain, rounded_down, rounded_up

SLACK: Final[Mm] = supports.SLACK
"""Room left between things that must not touch (common practice, no source)."""
NOTCH_RADIUS: Final[Mm] = 5.0
"""Inner corners of the leg notches, at most: a torch turns them, and no crack starts (common practice, no source)."""
OPENING_RADIUS: Final[Mm] = 15.0
"""Corners of the access opening, at most: a hand passes them (common practice, no source)."""
ACCESS: Final[Mm] = 80.0
"""Width of the opening in the base plate, at least, for a hand and a welding torch (common practice, no source)."""
PLATE_OVERHANG: Final[Mm] = 10.0
"""Bridge plates beyond the tubes that they lie on, each side, to weld on (common practice, no source)."""


PAD_RATIO: Final[Ratio] = 2.2
"""Length of a pad along the rim over its width, at most: longer, it would bend under the screw (own rule)."""
PAD_RADIUS: Final[Mm] = 5.0
"""Corners of a pad: a torch turns them (common practice, no source)."""
PLATE_LAP: Final[Mm] = 12.0
"""Nut plate beyond the opening of a pad, along the rim, to lie and be welded on (own rule)."""


@dataclass(frozen=True)
class Bridge:
    """The extraction bridge, fitted: it hangs below the base plate in the casting frame."""

    notch_x: Mm
    notch_half: Mm
    leg_x: Mm
    leg_length: Mm
    beam_y: Mm
    beam_length: Mm
    plate_width: Mm
    screw_hole: Mm
    screw_top: Mm
    screw_bottom: Mm
    gusset_leg: Mm
    gusset_y: Mm
    anchor_z: Mm


@dataclass(frozen=True)
class Forcing:
    """The forcing screws, fitted, one in each corner of the base plate: the place of that at +x, +y, and its sizes.

    A pad of base plate fills an opening of the base plate over the rim, under a nut plate; the screw runs in a nut on
    the nut plate and presses the pad on the concrete.
    """

    x: Mm
    y: Mm
    pad_half_x: Mm
    pad_half_y: Mm
    pad_radius: Mm
    plate_inner_x: Mm
    plate_outer_x: Mm
    plate_half_y: Mm
    room: Mm
    screw_hole: Mm
    screw_length: Mm


_Gear = TypeVar("_Gear", Bridge, Forcing)


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
    front_half: Mm
    base_half_x: Mm
    base_half_y: Mm
    runner_y: Mm
    runner_half: Mm
    access_half_x: Mm
    access_half_y: Mm
    stroke: Mm
    gear: Bridge | Forcing

    @property
    def bridge(self) -> Bridge:
        """The extraction bridge.

        Raises:
            GeometryError: other gear draws this core.
        """
        return _wanted(self.gear, Bridge)

    @property
    def forcing(self) -> Forcing:
        """The forcing screws.

        Raises:
            GeometryError: other gear draws this core.
        """
        return _wanted(self.gear, Forcing)

    @property
    def has_bridge(self) -> bool:
        """Whether a bridge draws the core, not forcing screws."""
        return isinstance(self.gear, Bridge)

    @property
    def inner_z(self) -> tuple[Mm, ...]:
        """Heights of the plates across the inside of the core: the anchor plate of a bridge, and the diaphragms."""
        return (*((self.bridge.anchor_z,) if self.has_bridge else ()), *self.diaphragm_z)

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
        return bool(self.stock.handle_class(self.spec.steel.bolt_class))

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

    @property
    def flanges(self) -> OuterBox:
        """What the bolt rows of the box have to bear."""
        size = (self.width, self.depth, self.height)
        return flange_box(self.spec, self.stock, size, self.stiffener_z, self.front_stiffener_z, self.nose_posts)

    @cached_property
    def fresh(self) -> FreshPressure:
        """Pressure of the fresh concrete by the method of the specification, against depth below the pour face."""
        return pressure_of(self.spec, self.height)

    @cached_property
    def resting(self) -> TubeLevels:
        """Levels of the outlet tube, and where the water comes to rest."""
        return Working.of(self.spec, self.levels, self.cavity, self.shell).resting

    @property
    def flange_strain(self) -> Ratio:
        """The most used part of the box's bolts and flanges, or its widest gap over the allowed leak: at most 1."""
        bolts = self.bolting
        return self.flanges.strain(bolts.corner_z, bolts.front_x, bolts.side_y, self.spec.shop.allowed_leak)

    def pressure_at(self, z: Mm) -> Mpa:
        """Pressure of the fresh concrete at a height of the casting frame."""
        return self.fresh.at(self.height - z)


def _wanted(gear: Bridge | Forcing, kind: type[_Gear]) -> _Gear:
    if not isinstance(gear, kind):
        raise GeometryError(f"the core is drawn by {type(gear).__name__}, not by {kind.__name__}")
    return gear


def derive(spec: Spec) -> Dimensions:
    """Work out every length of a mould.

    If the least angle is asked for: with the lightest that takes the bolts and whose flanges hold this pour.

    Raises:
        SpecError: two fields disagree, the message names the one to change; or no angle holds.
    """
    try:
        return _with_angle(spec)
    except CurableError as refusal:
        raise refusal.tried(spec, _outcome) from None


def _outcome(spec: Spec) -> str | None:
    """Name of the field that a specification is refused for, if any."""
    try:
        _with_angle(spec)
    except SpecError as refusal:
        return refusal.name
    return None


def _with_angle(spec: Spec) -> Dimensions:
    """The dimensions with the angle that is named, or the lightest that holds."""
    refuse_too_young(spec)
    if spec.steel.angle != LEAST:
        return _derive(spec, buy(spec))[0]
    strains: list[tuple[Ratio, str]] = []
    for stock in offers(spec):
        try:
            dims, strain = _derive(spec, stock)
        except SpecError:
            if not strains:
                raise
            continue
        strains.append((strain, stock.angle.designation))
        if strain <= 1:
            return dims
    raise no_angle_holds(spec, *min(strains))


def _derive(spec: Spec, stock: Stock) -> tuple[Dimensions, Ratio]:
    """The dimensions with this steel, and how far bolts and flanges of the box are used (``bolting``)."""
    step = ledge_step(spec, stock.ledge.thickness_mm)
    levels, cavity = solve_levels(spec, step)
    taper = cavity.taper
    height = levels.rim
    width = spec.filter.cavity_width + 2 * (step + spec.filter.least_wall)
    depth = spec.filter.cavity_depth + 2 * (step + spec.filter.least_wall)
    tube = tube_path(spec, stock, levels, cavity, depth)
    nose = nose_box(spec, stock, levels, tube, depth)
    stiffener_z, front_stiffener_z, nose_posts = place_stiffeners(spec, stock, height, width, depth, nose)
    stroke = spec.shop.release_clearance / math.sin(math.radians(spec.filter.draft))
    bridge = _bridge(spec, stock, width, stroke) if spec.extraction.gear is Gear.BRIDGE else None
    leg = (bridge.notch_half, bridge.gusset_y + stock.base.thickness_mm / 2) if bridge else None
    box = flange_box(spec, stock, (width, depth, height), stiffener_z, front_stiffener_z, nose_posts)
    bolting, strain = place_bolts(spec, box, leg)
    angle, side = stock.angle.leg_mm, stock.tube.side_mm
    shell = stock.shell.thickness_mm
    access = _access(spec, stock)
    base_half_x = width / 2 + shell + angle + spec.shop.base_margin
    runner_y = depth / 2 + shell + bolting.gauge - bolting.socket_radius - SLACK - side / 2
    gear = bridge or _forcing(spec, stock, (width, step, stroke), bolting, (access[0], runner_y))
    dims = Dimensions(
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
        diaphragm_z=place_diaphragms(spec, stock, height, levels, bridge.anchor_z if bridge else None),
        front_half=width / 2 + shell + angle,
        base_half_x=base_half_x,
        base_half_y=depth / 2 + shell + angle + spec.shop.base_margin,
        runner_y=runner_y,
        runner_half=base_half_x + rules.runner_overhang(stock.base.thickness_mm, side),
        access_half_x=access[0],
        access_half_y=access[1],
        stroke=stroke,
        gear=gear,
    )
    return dims, strain


def _access(spec: Spec, stock: Stock) -> tuple[Mm, Mm]:
    """Half width and half depth of the opening in the base plate.

    Raises:
        SpecError: less than 80 mm is left for a hand.
    """
    wanted, land = spec.filter, spec.shop.weld_land

    def opening(of: Spec) -> tuple[Mm, Mm]:
        inset = stock.shell.thickness_mm / math.cos(math.radians(of.filter.draft)) + of.shop.weld_land
        return of.filter.cavity_width / 2 - inset, of.filter.cavity_depth / 2 - inset

    short = ACCESS / 2 - min(opening(spec))
    if short <= NOISE:
        return opening(spec)
    left = rounded_down(ACCESS - 2 * short)
    raise CurableError(
        "shop.weld_land",
        f"{plain(land)} mm",
        f"it leaves an opening of only {plain(left)} mm in the base plate, less than {plain(ACCESS)} mm",
        (
            Cure.at_most("a narrower land", "shop.weld_land", land - short),
            Cure.at_least("a wider cavity", "filter.cavity_width", wanted.cavity_width + 2 * short),
            Cure.at_least("a deeper cavity", "filter.cavity_depth", wanted.cavity_depth + 2 * short),
        ),
    ).tried(spec, lambda changed: None if min(opening(changed)) >= ACCESS / 2 - NOISE else "shop.weld_land")


def _bridge(spec: Spec, stock: Stock, width: Mm, stroke: Mm) -> Bridge:
    anchor_z = spec.shop.weld_access + stock.base.thickness_mm
    shell, base = stock.shell.thickness_mm, stock.base.thickness_mm
    side, shop = stock.tube.side_mm, spec.shop
    hole = rules.jack_screw_hole(stock.jack.diameter_mm, stock.jack.system)
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
        beam_y=beam_y,
        beam_length=2 * (leg_x + side / 2),
        plate_width=side + 2 * PLATE_OVERHANG,
        screw_hole=hole,
        screw_top=bottom + screw,
        screw_bottom=bottom,
        gusset_leg=flat,
        gusset_y=(side - stock.tube.thickness_mm) / 2,
        anchor_z=anchor_z,
    )


def _forcing(spec: Spec, stock: Stock, size: tuple[Mm, Mm, Mm], bolting: Bolting, bounds: tuple[Mm, Mm]) -> Forcing:
    """Place the forcing screws on the rims at the sides, as near to the runners as their nut plates come.

    A pad is as long as the rim is wide for it, or shorter, where two nut plates meet in the middle.

    Args:
        size: width of the filter, step of its ledge, stroke.
        bounds: half width of the access opening, and middle of a runner.

    Raises:
        CurableError: the rim is too narrow for a pad that covers the hole of the screw, or the runners leave no room.
    """
    (width, step, stroke), (access, runner) = size, bounds
    base, jack, shop = stock.base.thickness_mm, stock.jack, spec.shop
    rim = (spec.filter.cavity_width / 2 + step, width / 2)
    hole = rules.forcing_screw_hole(jack.diameter_mm, jack.system)
    grid = rules.MARKED[jack.system]

    def marked(length: Mm) -> Mm:
        return math.floor(length / grid + NOISE) * grid

    def least_rim(row: tables.Bolt) -> Mm:
        return rules.forcing_rim(row.diameter_mm, row.system)

    rim_least = least_rim(jack)
    half_x, cover = marked((rim[1] - rim[0]) / 2 - rules.ARRIS), rim_least / 2 - rules.ARRIS
    bridge = Cure("a bridge", "extraction.gear", Gear.BRIDGE)
    if half_x < cover - NOISE:
        thinner = (
            row
            for row in tables.bolts()
            if row.system == jack.system and stock.bolt.diameter_mm <= row.diameter_mm < jack.diameter_mm
            if least_rim(row) / 2 - rules.ARRIS <= half_x + NOISE
        )
        screw = max(thinner, key=lambda row: row.diameter_mm, default=None)
        raise CurableError(
            "steel.jack_screw",
            repr(spec.steel.jack_screw),
            f"its hole of {plain(hole)} mm is not covered by a pad on a rim of "
            f"{plain(rounded_down(rim[1] - rim[0]))} mm; that takes {plain(rounded_up(rim_least))} mm",
            (
                *((Cure("a thinner screw", "steel.jack_screw", screw.designation),) if screw else ()),
                Cure.at_least("a thicker wall", "filter.least_wall", rim_least),
                bridge,
            ),
        )
    room, lap = marked(runner - stock.tube.side_mm / 2 - shop.weld_gap), shop.fit_gap + PLATE_LAP
    half_y = marked(min(PAD_RATIO * half_x, marked((room - SLACK) / 2) - lap))
    if half_y < cover - NOISE:
        short = 2 * marked(cover + lap + grid) + SLACK + grid - room
        raise CurableError(
            "filter.cavity_depth",
            f"{plain(spec.filter.cavity_depth)} mm",
            f"two forcing screws stand in each other's way between the runners, by {plain(rounded_up(short))} mm",
            (
                Cure.at_least("a deeper cavity", "filter.cavity_depth", spec.filter.cavity_depth + 2 * short),
                bridge,
            ),
        )
    plate_half_y = marked(half_y + lap)
    y = room - plate_half_y
    outer = width / 2 + stock.shell.thickness_mm + bolting.gauge - bolting.socket_radius - SLACK
    taken = base + 3 * jack.nut_height_mm + 2 * jack.pitch_mm
    length = 5.0 * math.ceil((taken + stroke + shop.stroke_spare) / 5)
    return Forcing(
        x=marked(sum(rim) / 2),
        y=y,
        pad_half_x=half_x,
        pad_half_y=half_y,
        pad_radius=PAD_RADIUS,
        plate_inner_x=marked(access + shop.weld_gap) + grid,
        plate_outer_x=marked(outer),
        plate_half_y=plate_half_y,
        room=length - taken,
        screw_hole=hole,
        screw_length=length,
    )
