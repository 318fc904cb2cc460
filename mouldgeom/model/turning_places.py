"""Where the pins are that the filled mould is turned about, and the stand that they rest in: lengths, no parts.

The pins follow from the centre of gravity of all that goes round, the pins' own parts included.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from mouldgeom import tables
from mouldgeom.design.bought import PairOfAngles
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.geometry.placement import Vec
from mouldgeom.model.joints import GroupParts
from mouldgeom.model.parts.outer_box import side_flange_half
from mouldgeom.model.shapes import Bar, Plate
from mouldgeom.model.weights import Lump, body_lump, combined, part_lump
from mouldgeom.rules import lifting, pins
from mouldgeom.tables import Rod, SheetSize
from mouldgeom.units import GRAVITY, Kg, Mm, Newton, Ratio

ABOVE: Final[Mm] = 15.0
"""Pins above the centre of gravity of the filled mould: it hangs upright, and goes round by hand (own rule)."""
STEP: Final[Mm] = 5.0
"""Grid of the pins from front to back: most side panels are alike then, and no weld is truer (own rule)."""
SWEEP: Final[Mm] = 10.0
"""From what goes round with the mould to hanger or saddle (own rule)."""
PLAY: Final[Mm] = 2.0
"""Between a keeper and what turns beside it (own rule)."""
LEAST_PIN: Final[Mm] = 15.0
"""No thinner rod makes a pin (own rule)."""
PIN_FIT: Final[Mm] = 1.0
"""Hole less pin (own rule)."""
PLATE_HALF: Final[Mm] = 50.0
"""Half width of a pin plate, where the handles leave room for it (own rule)."""
CLIP: Final[Mm] = 60.0
"""Length of a closing clip, at most (own rule)."""
LOCK_DOWN: Final[Mm] = 60.0
"""From a pin to the rod that locks the mould, at least (own rule)."""
LOCK_LEVERS: Final[Ratio] = 2.2
"""The same over the lever of a pin, at least: the rod bends less then than the pin (own rule)."""
SHACKLE_HOLE: Final[Mm] = 20.0
"""Hole of a hanger for the pin of a shackle of 2 t: 16 to 19 mm (from memory)."""
SHACKLE_PIN: Final[Mm] = 16.0
"""Pin of that shackle (from memory)."""
SHACKLE_WEB: Final[Mm] = 22.0
"""Hanger above that hole (own rule)."""
HANGER_RISE: Final[Mm] = 70.0
"""From the pin up to the shackle (own rule)."""
_EDGE: Final[Mm] = 20.0
_WELD_ROOM: Final[Mm] = 6.0
"""Room for a fillet."""
RIM: Final[Mm] = 15.0
"""Keeper beyond its pin, saddle and cheek beyond their post (own rule)."""
HORN: Final[Mm] = 12.0
"""Saddle beside and over its pin (own rule)."""
LOCK_GRIP: Final[Mm] = 100.0
"""Lock rod beyond its saddle, to be pulled by (own rule)."""
CHORDS: Final = 8
"""Straight lines that stand for a weld around a pin: they are shorter than it, on the safe side."""


@dataclass(frozen=True)
class Trunnions:
    """Where the pins are, in the casting frame, and what they carry.

    Args:
        hoisted: a hoist takes the mould; else it is turned in a stand.
        y, z: axis of the pins.
        rod: what they are cut from.
        sheet: of plates, keepers, hangers and saddles.
        face: from the middle of the mould to the inner face of a pin plate.
        bears: the same to the middle of hanger or saddle.
        end: the same to the end of a pin.
        half, low, high: half width of a pin plate, and its ends.
        lines: numbers of the two stiffeners that it lies across.
        reach: from the axis to the farthest corner of what goes round.
        mass: filled mould.
    """

    hoisted: bool
    y: Mm
    z: Mm
    rod: Rod
    sheet: SheetSize
    face: Mm
    bears: Mm
    end: Mm
    half: Mm
    low: Mm
    high: Mm
    lines: tuple[int, int]
    reach: Mm
    mass: Kg

    @property
    def diameter(self) -> Mm:
        """Of a pin."""
        return self.rod.diameter_mm

    @property
    def lock_down(self) -> Mm:
        """From a pin to the rod that locks the mould."""
        return max(LOCK_DOWN, float(math.ceil(LOCK_LEVERS * self.lever)))

    @property
    def lever(self) -> Mm:
        """From the outer face of a pin plate to the middle of hanger or saddle."""
        return self.bears - self.face - self.sheet.thickness_mm


def hoist_takes(dims: Dimensions, mass: Kg) -> bool:
    """Whether the hoist on site lifts the filled mould, starting and stopping included."""
    return lifting.DYNAMIC * mass <= dims.spec.handling.hoist_capacity


def pin_force(mass: Kg) -> Newton:
    """Force on one pin, with the factors on weight and motion."""
    return lifting.LOAD_FACTOR * lifting.DYNAMIC * mass * GRAVITY / 2


def place_trunnions(
    dims: Dimensions, filled: Lump, corners: Sequence[Vec], make: Callable[[Dimensions, Trunnions], GroupParts]
) -> Trunnions:
    """Find the pins of a filled mould.

    Args:
        dims: its lengths.
        filled: all that goes round, these parts left out.
        corners: of all that goes round.
        make: what describes these parts, which go round too.
    """
    density = dims.stock.steel.density_kg_m3 * 1e-9
    found = _placed(dims, filled, corners)
    for _ in range(3):
        made = make(dims, found)
        parts: tuple[Plate | Bar, ...] = (*made.plates, *made.bars)
        own = (part_lump(part, part.placements[0], density) for part in parts)
        found = _placed(dims, combined([filled, *own]), corners)
    return found


def _placed(dims: Dimensions, filled: Lump, corners: Sequence[Vec]) -> Trunnions:
    stock, hoisted, force = dims.stock, hoist_takes(dims, filled.mass), pin_force(filled.mass)
    y, z = STEP * round(filled.centre[1] / STEP), float(math.ceil(filled.centre[2] + ABOVE))
    face = dims.width / 2 + dims.shell + stock.tube.side_mm
    swept = max(face + stock.rod.diameter_mm, *(abs(x) for x, _, _ in corners))
    half = min(PLATE_HALF, side_flange_half(dims) / 2 - stock.rod.diameter_mm / 2 - _WELD_ROOM)
    pair = min(
        itertools.pairwise(enumerate(dims.stiffener_z, 1)),
        key=lambda two: (not two[0][1] <= z <= two[1][1], abs(two[0][1] + two[1][1] - 2 * z)),
    )
    (lower, low), (upper, high) = pair
    share = max(z - low, high - z) / (high - low)
    sheet = _sheet(dims, force, share * (swept + SWEEP + PLAY - face), half)
    thick = sheet.thickness_mm
    near = max(max(swept, face + thick) + SWEEP, face + 2 * thick + _WELD_ROOM)  # outer face of the near keeper
    inner = near + PLAY
    bears = inner + thick / 2
    rod = _rod(dims, force, bears - face - thick)
    outside = inner + thick + (PLAY + thick + _WELD_ROOM if hoisted else _EDGE)
    bar = (0.0, clip_y(dims) - stock.angle.gauge_mm + stock.angle.leg_mm, dims.height + stock.angle.leg_mm)
    reach = max(math.hypot(abs(corner[1]) + abs(y), corner[2] - z) for corner in (bar, *corners))
    found = Trunnions(
        hoisted=hoisted, y=y, z=z, rod=rod, sheet=sheet, face=face, bears=bears, end=outside, half=half,
        low=low, high=high, lines=(lower, upper), reach=reach, mass=filled.mass,
    )  # fmt: skip
    end, least = flat(dims) - _WELD_ROOM, _EDGE + (rod.diameter_mm / 2 if hoisted else found.lock_down)
    return replace(found, low=min(low - end, z - least), high=max(high + end, z + least))


def _sheet(dims: Dimensions, force: Newton, lever: Mm, half: Mm) -> SheetSize:
    """The thicker sheet of base plate and ledge strips, or the next that bears the pins' moment; else the thickest.

    ``lever`` of the force on the more loaded side of the pin.
    """
    stock = dims.stock
    own = max((stock.base, stock.ledge), key=lambda one: one.thickness_mm)
    thicker = (row for row in tables.sheets() if row.system == own.system and row.thickness_mm > own.thickness_mm)
    rows = [own, *sorted(thicker, key=lambda row: row.thickness_mm)]
    net = 2 * half - max(row.diameter_mm for row in _rods(dims)) - PIN_FIT

    def bears(row: SheetSize) -> bool:
        thick = row.thickness_mm
        stress = force * lever / (net * thick**2 / 6) + force / (net * thick)
        return stress <= stock.steel.at(thick).yield_mpa

    return next(filter(bears, rows), rows[-1])


def flat(dims: Dimensions) -> Mm:
    """Half of the flat of a stiffener's outer side, least of tube and two angles."""
    tube = dims.stock.tube
    notch = tube.thickness_mm if isinstance(tube, PairOfAngles) else 0.0
    return tube.side_mm / 2 - tube.outer_radius_mm - notch


def _rods(dims: Dimensions) -> list[Rod]:
    """Rods of the tables that a pin may be cut from, the thinnest first."""
    system = dims.stock.bolt.system
    fitting = (row for row in tables.rods() if row.system == system and row.diameter_mm >= LEAST_PIN)
    return sorted(fitting, key=lambda row: row.diameter_mm)


def _rod(dims: Dimensions, force: Newton, lever: Mm) -> Rod:
    """The thinnest rod that bears the force; the thickest where none does."""
    rows = _rods(dims)

    def bears(row: Rod) -> bool:
        steel, size = dims.stock.steel, row.diameter_mm
        moment = pins.pin_moment_resistance(size, steel.at(size).yield_mpa)
        shear = pins.pin_shear_resistance(size, steel.ultimate_mpa)
        return pins.pin_use(force * lever, moment, force, shear) <= 1

    return next(filter(bears, rows), rows[-1])


def hanger_half(at: Trunnions) -> Mm:
    """Half width of a hanger."""
    return at.diameter / 2 + _EDGE


def lock_hole(at: Trunnions) -> Mm:
    """Hole that a lock rod goes through; the rod is as thick as the pin."""
    return at.diameter + PIN_FIT


def clip_y(dims: Dimensions) -> Mm:
    """From the middle of a side panel to the middle of a closing clip."""
    return side_flange_half(dims) / 2


# ---------------------------------------------------------------- the stand

ROOM: Final[Mm] = 40.0
"""Under the farthest corner while the mould goes round, at least (own rule)."""
OVER_TIES: Final[Mm] = 25.0
"""Over the ties, at least (own rule)."""
PUSHERS: Final = 2
"""People who turn it (own rule)."""
STANDS: Final = 1.5
"""Moment that holds the stand over the moment that tips it (common practice, no source)."""
CHEEK: Final[Mm] = 120.0
"""Cheek above the foot, and beyond the post at each side (own rule)."""
LAP: Final[Mm] = 120.0
"""Saddle on its post (own rule)."""
CLEAT: Final[Mm] = 110.0
"""Length of a cleat, for two bolts (own rule)."""
PITCH: Final[Mm] = 50.0
"""Between the two bolts of a cleat (own rule)."""
_WEDGED: Final[Mm] = 60.0
"""Blocks and wedges under the runners, at least (own rule)."""


@dataclass(frozen=True)
class Trestles:
    """The stand: ``height`` of the pins above the ground, ``ground`` in the casting frame, half length of a foot,
    middle of a post and heels of the ties from the middle of the mould.
    """

    height: Mm
    ground: Mm
    foot_half: Mm
    post_x: Mm
    tie_y: Mm

    def room(self, at: Trunnions) -> Mm:
        """Between the ground and the farthest corner at its lowest."""
        return self.height - at.reach


def team_push(dims: Dimensions) -> Newton:
    """Push of those who turn it, together."""
    who = dims.spec.handling
    return min(who.team, PUSHERS) * lifting.starting_push(who.lifter)


def place_trestles(dims: Dimensions, at: Trunnions) -> Trestles:
    """How high, how long and how far apart: the mould goes round over ground and ties, and the stand does not tip."""
    tube, angle = dims.stock.tube.side_mm, dims.stock.angle
    tie = tube / 2 + CHEEK + angle.leg_mm + dims.spec.shop.weld_gap
    inner = tie - angle.leg_mm
    over_ties = math.sqrt(max(at.reach**2 - inner**2, 0.0)) + tube + angle.leg_mm
    below = at.z + dims.base + tube + _WEDGED
    height = 5.0 * math.ceil(max(at.reach + ROOM, over_ties + OVER_TIES, below) / 5)
    leans = math.radians(dims.spec.handling.slope)
    fresh = body_lump(dims, dims.spec.concrete.unit_weight_fresh * 1000 / GRAVITY).mass
    empty = (at.mass - fresh) * GRAVITY
    held = STANDS * height * (team_push(dims) / empty + math.sin(leans)) / math.cos(leans)
    half = 10.0 * math.ceil(max(held, tie + angle.leg_mm + dims.spec.shop.weld_gap) / 10)
    post = at.bears + at.sheet.thickness_mm / 2 + tube / 2
    return Trestles(height, at.z - height, half, post, tie)


def post_top(at: Trunnions) -> Mm:
    """Upper end of a post: the lock rod passes over it."""
    return at.z - at.lock_down - lock_hole(at)


def saddle_half(dims: Dimensions, at: Trunnions) -> Mm:
    """Half width of a saddle."""
    return max(dims.stock.tube.side_mm / 2 + RIM, at.diameter / 2 + PIN_FIT + 20)


def cheek_foot(dims: Dimensions) -> Mm:
    """From the ground to the lower edge of a cheek: its weld lies on the flat of the foot."""
    return dims.stock.tube.side_mm / 2 - flat(dims) + _WELD_ROOM
