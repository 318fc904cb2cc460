"""Where the bolts of the outer box stand: as far apart as their joints hold and stay tight, clear of obstacles."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Final

from mouldgeom import rules
from mouldgeom.design.bought import LEAST_PITCH, Stock
from mouldgeom.design.spacing import bolt_positions
from mouldgeom.design.supports import SLACK, NosePosts, pressure_of
from mouldgeom.errors import GeometryError, SpecError
from mouldgeom.identity import Side
from mouldgeom.rules.flanges import CornerJoint, Foot, Joint, JointRow
from mouldgeom.spec import Spec
from mouldgeom.strength_classes import strength_class
from mouldgeom.units import Mm, Mpa, Ratio, plain

GREATEST_PITCH: Final[Mm] = 200.0
"""Bolts of a found row stand at most so far apart (common practice, no source)."""
PITCH_STEP: Final[Mm] = 5.0


@lru_cache(maxsize=256)
def joints_of(stock: Stock, bolt_class: str, row_edge: Mm, base_margin: Mm) -> tuple[Joint, Joint]:
    """The joint of a corner flange with a panel, and that of a base flange with the base plate."""
    angle, bolt_steel = stock.angle, strength_class(bolt_class, stock.bolt)
    edge = angle.leg_mm - angle.gauge_mm
    shell, base = stock.shell.thickness_mm, stock.base.thickness_mm
    return (
        Joint(angle, shell, stock.bolt, bolt_steel, stock.steel, edge, row_edge),
        Joint(angle, base, stock.bolt, bolt_steel, stock.steel, edge + base_margin, row_edge),
    )


@dataclass(frozen=True)
class OuterBox:
    """What the rows of the outer box are worked out from.

    Args:
        lines: heights of the stiffeners of back and sides; ``front_lines``: of the front.
        row_edge: from the last bolt of a row to an end, at least; ``base_margin``: base plate beyond the flanges.
        post: from the middle to each of the posts beside the nose, 0 if there are none.
    """

    stock: Stock
    bolt_class: str
    width: Mm
    depth: Mm
    height: Mm
    lines: tuple[Mm, ...]
    front_lines: tuple[Mm, ...]
    row_edge: Mm
    base_margin: Mm
    pressure: Callable[[Mm], Mpa]
    post: Mm = 0.0

    @cached_property
    def joints(self) -> tuple[Joint, Joint]:
        """The joint at a corner, and at a foot."""
        return joints_of(self.stock, self.bolt_class, self.row_edge, self.base_margin)

    def corner(self, front: bool) -> JointRow:
        """A row of corner bolts, front or back: from the base plate to the rim."""
        lines = self.front_lines if front else self.lines
        corner = CornerJoint(self.width, self.depth, self.height, lines, self.pressure)
        return JointRow(self.joints[0], corner, 0.0, self.height)

    def base(self, face: Side) -> JointRow:
        """A row of base bolts: it reaches over the panel's pressed width."""
        across = self.depth if face.crosswise else self.width
        lines = self.front_lines if face is Side.FRONT else self.lines
        foot = Foot(across, self.height, lines, self.pressure, self.post if face is Side.FRONT else 0.0)
        return JointRow(self.joints[1], foot, -across / 2, across / 2)

    def corner_strain(self, places: Sequence[Mm], allowed: Mm) -> Ratio:
        """Of the corner bolts, front and back, which stand alike."""
        back = self.corner(False).strain(places, allowed)
        return back if self.front_lines == self.lines else max(back, self.corner(True).strain(places, allowed))

    def front_strain(self, places: Sequence[Mm], allowed: Mm) -> Ratio:
        """Of the base bolts, front and back, which stand alike."""
        back = self.base(Side.BACK).strain(places, allowed)
        return back if self.front_lines == self.lines else max(back, self.base(Side.FRONT).strain(places, allowed))

    def side_strain(self, places: Sequence[Mm], allowed: Mm) -> Ratio:
        """Of the base bolts of the sides."""
        return self.base(Side.LEFT).strain(places, allowed)

    def strain(self, corner: Sequence[Mm], front: Sequence[Mm], side: Sequence[Mm], allowed: Mm) -> Ratio:
        """Of all rows."""
        return max(
            self.corner_strain(corner, allowed), self.front_strain(front, allowed), self.side_strain(side, allowed)
        )


@dataclass(frozen=True)
class Found:
    """A row with its bolts placed: greatest distance asked for, places, and how far it is used (``Row.strain``)."""

    pitch: Mm
    places: tuple[Mm, ...]
    strain: Ratio

    @property
    def widest(self) -> Mm:
        """Greatest distance between neighbours, 0 for a single bolt."""
        return max((b - a for a, b in pairwise(self.places)), default=0.0)


def spread(place: Callable[[Mm], tuple[Mm, ...]], strain: Callable[[Sequence[Mm]], Ratio], given: Mm) -> Found:
    """Place the bolts of a row: as far apart as they hold, or at most ``given`` apart if that is not 0.

    From the greatest pitch it comes down in steps until the row serves, or to the least pitch.

    Raises:
        GeometryError: there is no room for the row.
    """
    if given:
        places = place(given)
        return Found(given, places, strain(places))
    places = place(GREATEST_PITCH)
    best = Found(GREATEST_PITCH, places, strain(places))
    pitch = GREATEST_PITCH
    while best.strain > 1 and pitch > LEAST_PITCH:
        guess = min(pitch - PITCH_STEP, best.widest / best.strain ** (1 / 3))
        pitch = max(LEAST_PITCH, PITCH_STEP * math.floor(guess / PITCH_STEP))
        try:
            places = place(pitch)
        except GeometryError:
            break
        now = Found(pitch, places, strain(places))
        best = min(best, now, key=lambda found: found.strain)
    return best


@dataclass(frozen=True)
class Bolting:
    """Bolts, holes and the room that they need; ``pitch`` is the given one, or the greatest that was found."""

    hole: Mm
    pitch: Mm
    edge: Mm
    gauge: Mm
    socket_radius: Mm
    corner_z: tuple[Mm, ...]
    front_x: tuple[Mm, ...]
    side_y: tuple[Mm, ...]


def row_edge(stock: Stock) -> Mm:
    """From the last bolt of a row to the end of a member, at least: in whole millimetres, the washer on the steel."""
    bolt = stock.bolt
    least = rules.end_distance_least(bolt.hole_medium_mm)
    return float(max(math.ceil(least), math.ceil(bolt.washer_outside_mm / 2)))


def flange_box(
    spec: Spec,
    stock: Stock,
    size: tuple[Mm, Mm, Mm],
    lines: tuple[Mm, ...],
    front_lines: tuple[Mm, ...],
    posts: NosePosts | None,
) -> OuterBox:
    """What the bolt rows of a box have to bear: ``size`` is its pressed width, depth and height."""
    width, depth, height = size
    fresh = pressure_of(spec, height)
    return OuterBox(
        stock,
        spec.steel.bolt_class,
        width,
        depth,
        height,
        lines,
        front_lines,
        row_edge(stock),
        spec.shop.base_margin,
        lambda z: fresh.at(height - z),
        posts.x if posts else 0.0,
    )


def place_bolts(spec: Spec, box: OuterBox, leg: tuple[Mm, Mm] | None) -> tuple[Bolting, Ratio]:
    """Place the bolts of a box: at most the given pitch apart, or as far as their joints hold and stay tight.

    Returns them with the most used part of bolts and flanges, or the widest gap over the allowed leak.

    Args:
        leg: half the notch of a bridge leg, and from its middle to the outside of the gussets below its landing; if
            no leg stands there, nothing.

    Raises:
        SpecError: there is no room for a row, or given stiffeners leave none.

    Source: bolts beside each other at least as EN 1993-1-8:2005 Table 3.3; its greatest pitch of 14 t, 42 mm for 3 mm
    sheet, keeps outer plies in compression from buckling and weather out of joints, and is not asked of a mould: what a
    mould's joint needs is to let no paste out, so the gap between bolts is held instead.
    """
    stock, height = box.stock, box.height
    bolt, angle, side, shell = stock.bolt, stock.angle, stock.tube.side_mm, stock.shell.thickness_mm
    hole, edge, leak = bolt.hole_medium_mm, box.row_edge, spec.shop.allowed_leak
    socket = rules.socket_outside_diameter(bolt.across_flats_mm) / 2
    seat = max(socket, bolt.washer_outside_mm / 2) + SLACK
    least = rules.pitch_least(hole)
    keep = [(z - side / 2 - seat, z + side / 2 + seat) for z in box.lines]
    flange_half = box.depth / 2 - angle.leg_mm - spec.shop.weld_gap
    runner = box.depth / 2 + shell + angle.gauge_mm - seat - SLACK - side
    first = max(leg[0] + edge, leg[1] + seat) if leg else 0.0
    last = min(flange_half - edge, runner - seat)
    if leg and last < first:
        raise SpecError(
            "filter.cavity_depth",
            f"{plain(spec.filter.cavity_depth)} mm",
            f"the side base flange is too short for a bolt on each side of the bridge leg by {first - last:.0f} mm",
            "Choose a deeper cavity or smaller steel.square_tube.",
        )
    half, grid = box.width / 2 + shell + angle.leg_mm - edge, rules.MARKED[bolt.system]

    def row(place: Callable[[Mm], tuple[Mm, ...]], strain: Callable[[Sequence[Mm], Mm], Ratio]) -> Found:
        return spread(place, lambda places: strain(places, leak), spec.shop.bolt_pitch)

    try:
        corner = row(
            lambda pitch: bolt_positions(angle.leg_mm + seat + SLACK, height - edge, pitch, keep, least, grid),
            box.corner_strain,
        )
        front = row(lambda pitch: bolt_positions(-half, half, pitch, (), least, grid), box.front_strain)
        sides = row(
            (lambda pitch: _both_sides(bolt_positions(first, last, pitch, (), max(least, 60.0), grid)))
            if leg
            else (lambda pitch: bolt_positions(-last, last, pitch, (), max(least, 60.0), grid)),
            box.side_strain,
        )
    except GeometryError as error:
        if spec.shop.stiffener_heights and not spec.shop.bolt_pitch:
            raise SpecError(
                "shop.stiffener_heights",
                f"[{', '.join(plain(z) for z in spec.shop.stiffener_heights)}]",
                f"they leave no room for the corner bolts beside them: {error}",
                "Move them further apart, or give [] to have the heights found.",
            ) from error
        raise SpecError(
            "shop.bolt_pitch",
            f"{plain(spec.shop.bolt_pitch)} mm",
            f"the bolts cannot be placed: {error}",
            "Choose a larger pitch." if spec.shop.bolt_pitch else "Choose a smaller steel.bolt or steel.square_tube.",
        ) from error
    bolts = Bolting(
        hole=hole,
        pitch=spec.shop.bolt_pitch
        or max(corner.widest, front.widest, *(b - a for a, b in pairwise(sides.places) if a > 0 or not leg)),
        edge=edge,
        gauge=angle.gauge_mm,
        socket_radius=seat,
        corner_z=corner.places,
        front_x=front.places,
        side_y=sides.places,
    )
    return bolts, max(corner.strain, front.strain, sides.strain)


def _both_sides(places: tuple[Mm, ...]) -> tuple[Mm, ...]:
    return (*(-y for y in reversed(places)), *places)


def no_angle_holds(spec: Spec, strain: Ratio, designation: str) -> SpecError:
    """The refusal of a pour that no angle of the bolts' system holds; the best is strained that far."""
    return SpecError(
        "steel.angle",
        repr(spec.steel.angle),
        f"none holds this pour: with the best, {designation}, bolts, flanges or gaps between bolts reach "
        f"{strain:.0%} of what is allowed",
        "Choose a thicker steel.shell, a larger steel.bolt or a closer shop.bolt_pitch, or allow a wider leak "
        "(shop.allowed_leak).",
    )
