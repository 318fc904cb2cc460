"""Turning the filled mould about its pins, base bolts and handles on the way, and what tips over which edge.

The mould stands on its runners in the casting position; everything here is statics of a block.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from mouldgeom import rules, tables
from mouldgeom.fabrication.welds import Seam, seams
from mouldgeom.geometry.outline import Point
from mouldgeom.geometry.placement import Vec
from mouldgeom.identity import FOOT, PieceId, Role, RowRole, Side
from mouldgeom.model.assembly import Mould, Piece
from mouldgeom.model.joints import WeldRole
from mouldgeom.model.shapes import Bar, SectionKind, bar_diameter
from mouldgeom.model.turning_places import PUSHERS, team_push
from mouldgeom.model.weights import Lump
from mouldgeom.rules import NewtonPerMm, beams, lifting
from mouldgeom.rules.lifting import LOAD_FACTOR, Lift
from mouldgeom.strength.masses import Masses, upright
from mouldgeom.strength_classes import strength_class
from mouldgeom.units import GRAVITY, Deg, Kg, Mm, Mm3, Mpa, Newton, NewtonMm, Ratio

PUSH: Final[Newton] = 250.0
"""Push of one person, and of one who leans on a rim (common practice, no source)."""
PIN_FRICTION: Final[Ratio] = 0.3
"""Steel pin in a steel saddle or hanger, dry (from memory); greased about half."""


def handles(mould: Mould) -> list[tuple[Piece, Bar]]:
    """Every handle of the box, the piece and its bar."""
    found = ((p, p.part) for p in mould.pieces() if p.id.role is Role.HANDLE)
    return [(piece, part) for piece, part in found if isinstance(part, Bar)]


def ground(mould: Mould) -> Mm:
    """From the ground up to the top face of the base plate, in the casting position."""
    return mould.dims.base + mould.dims.stock.tube.side_mm


def lift_of(depth: Mm, vertical: Mm, travel: Mm) -> Lift:
    """A lift with the hands as far away as a load of this depth asks."""
    return Lift(lifting.hands_distance(depth, vertical), vertical, travel)


# ---------------------------------------------------------------- standing and tipping


@dataclass(frozen=True, slots=True)
class Standing:
    """Something that stands: offset and height of its centre of gravity from one edge, and its top, all in mm.

    ``edge`` is what people call the edge, ``side`` where it is.
    """

    name: str
    side: Side
    edge: str
    mass: Kg
    offset: Mm
    height: Mm
    top: Mm

    @property
    def angle(self) -> Deg:
        """Tilt at which it balances on this edge."""
        return lifting.stability_angle(self.offset, self.height)

    def factor(self, slope: Deg) -> Ratio:
        """Moment that holds over the one that tips, this edge downhill."""
        return lifting.slope_safety(self.offset, self.height, slope)

    def tipping_push(self, slope: Deg = 0.0) -> Newton:
        """Push at the top, along the slope, that tips it over this edge."""
        return lifting.tipping_force(self.mass, self.offset, self.height, self.top, slope)


def edges(name: str, mass: Kg, centre: Vec, half: Point, top: Mm, names: Mapping[Side, str]) -> list[Standing]:
    """Four edges of something on a rectangle around the origin; z of ``centre`` is from the ground.

    ``names`` are those of its edges at +x, -x, +y and -y, in that order.
    """
    places = ((0, 1.0), (0, -1.0), (1, 1.0), (1, -1.0))
    return [
        Standing(name, side, edge, mass, half[axis] - sign * centre[axis], centre[2], top)
        for (side, edge), (axis, sign) in zip(names.items(), places, strict=True)
    ]


def mould_edges(mould: Mould, name: str, lump: Lump) -> list[Standing]:
    """The mould on its runners, in the casting position; a runner's side is its outer one."""
    dims, up = mould.dims, ground(mould)
    half = (dims.runner_half, dims.runner_y + dims.stock.tube.side_mm / 2)
    centre = (lump.centre[0], lump.centre[1], lump.centre[2] + up)
    names = {
        Side.LEFT: "runner ends, left",
        Side.RIGHT: "runner ends, right",
        Side.BACK: "side of the back runner",
        Side.FRONT: "side of the front runner",
    }
    return edges(name, lump.mass, centre, half, dims.height + up, names)


def filter_edges(mould: Mould, name: str, lump: Lump) -> list[Standing]:
    """The finished filter on its base."""
    dims = mould.dims
    sides = (Side.RIGHT, Side.LEFT, Side.BACK, Side.FRONT)  # right is +x when it stands upright
    names = {side: f"base, {side}" for side in sides}
    return edges(name, lump.mass, upright(lump.centre, dims), (dims.width / 2, dims.depth / 2), dims.height, names)


# ---------------------------------------------------------------- turning about the pins


@dataclass(frozen=True, slots=True)
class PinTurn:
    """The filled mould goes round its two pins.

    ``above`` and ``aside``: pins from its centre of gravity, in z and y.  ``radius`` of the pins, ``lever`` of the
    hands.
    """

    mass: Kg
    above: Mm
    aside: Mm
    radius: Mm
    lever: Mm
    people: int
    limit: Newton

    @property
    def offset(self) -> Mm:
        """From the centre of gravity to the axis of the pins."""
        return math.hypot(self.above, self.aside)

    @property
    def lean(self) -> Deg:
        """Out of plumb when it hangs freely."""
        return math.degrees(math.atan2(abs(self.aside), self.above))

    @property
    def friction(self) -> NewtonMm:
        """Moment of the pins' friction.

        Source: statics, mu m g r.
        """
        return PIN_FRICTION * self.mass * GRAVITY * self.radius

    @property
    def heaviest(self) -> NewtonMm:
        """Greatest moment of the weight about the pins, a quarter turn from rest.

        Source: statics, m g e.
        """
        return self.mass * GRAVITY * self.offset

    def moment(self, turned: Deg) -> NewtonMm:
        """Moment that brings it back from an angle, by weight alone; upside down it is that which topples it."""
        return self.mass * GRAVITY * self.above * math.sin(math.radians(turned))

    @property
    def push(self) -> Newton:
        """All hands together, where it is heaviest."""
        return (self.heaviest + self.friction) / self.lever


def pin_turn(mould: Mould, filled: Lump) -> PinTurn:
    """Turn the filled mould, hands on the edge of the base plate or at the pour face, whichever is nearer to the pins.

    Source: statics; 200 N men, 150 N women to start a load: HSE L23; two people (own rule).
    """
    dims, at, who = mould.dims, mould.trunnions, mould.dims.spec.handling
    lever = min(at.z + dims.base, dims.height - at.z)
    people = min(who.team, PUSHERS)
    return PinTurn(
        filled.mass, at.z - filled.centre[2], at.y - filled.centre[1], at.diameter / 2, lever, people,
        team_push(dims),
    )  # fmt: skip


# ---------------------------------------------------------------- bolts and handles


@dataclass(frozen=True, slots=True)
class BoltCase:
    """What the worst base bolt bears at one moment of the turning, factored, and the share of its strength."""

    name: str
    shear: Newton
    tension: Newton
    use: Ratio


def base_bolts(mould: Mould, found: Masses) -> tuple[BoltCase, ...]:
    """Base bolts while the mould hangs on its pins and goes round; concrete holds nothing.

    As it is cast, core, base plate and concrete hang on the bolts of the side panels alone; a quarter turn on, core and
    base plate are a bracket on the flanges: shear on all bolts alike, tension about the edge of the base plate.

    Source: EN 1993-1-8:2005 Table 3.4; factor 1.5 (common practice, no source), 1.3 for motion.
    """
    dims, steel = mould.dims, strength_class(mould.dims.spec.steel.bolt_class, mould.dims.stock.bolt)
    rows = [row for row in mould.rows if row.id.role is RowRole.BASE]
    points = [p for row in rows for p in row.points]
    area = dims.stock.bolt.stress_area_mm2
    shear_limit = rules.bolt_shear_resistance(steel.ultimate_mpa, area, rules.shear_factor(steel.designation))
    tension_limit = rules.bolt_tension_resistance(steel.ultimate_mpa, area)
    core = found.carried[FOOT].lump
    weight = LOAD_FACTOR * lifting.DYNAMIC * core.mass * GRAVITY

    def case(name: str, shear: Newton, tension: Newton) -> BoltCase:
        both = rules.shear_tension_use(shear, shear_limit, tension, tension_limit)
        return BoltCase(name, shear, tension, max(both, tension / tension_limit))

    pull = max(
        bracket_pull(weight * core.centre[2], [p[axis] + edge for p in points])
        for axis, edge in ((0, dims.base_half_x), (1, dims.base_half_y))
    )
    return (
        case("hanging on its pins as it is cast", 0.0, side_bolt_pull(mould, found)),
        case("a quarter turn on, core and base plate as a bracket", weight / len(points), pull),
    )


def side_bolt_pull(mould: Mould, found: Masses) -> Newton:
    """Pull of one base bolt of the side panels that hold core, base plate and concrete alone, factored."""
    sides = [len(row.points) for row in mould.rows if row.id.role is RowRole.BASE and row.id.place[0].crosswise]
    hung = found.carried[FOOT].lump.mass + found.fresh.mass
    return LOAD_FACTOR * lifting.DYNAMIC * hung * GRAVITY / sum(sides)


def bracket_pull(moment: NewtonMm, arms: Sequence[Mm]) -> Newton:
    """Greatest tension in bolts at these distances from the edge about which a bracket turns.

    Source: elastic bolt group, M r/sum(r^2), any handbook (from memory).
    """
    return moment * max(arms) / sum(arm**2 for arm in arms)


@dataclass(frozen=True, slots=True)
class HandleCheck:
    """A handle that bears its whole panel: bending of the rod and the welds at its ends, as shares of their strength.

    ``holds`` is the force across the middle of one handle that its rod bears at most.
    """

    span: Mm
    force: Newton
    moment: NewtonMm
    strength: NewtonMm
    rod: Ratio
    throat: Mm
    weld_force: NewtonPerMm
    weld_strength: NewtonPerMm
    weld: Ratio
    holds: Newton


def handle(mould: Mould, panel: Kg) -> HandleCheck | None:
    """The handle that bears least under the whole panel; ``None`` where no rod is welded across stiffeners as one."""
    own: dict[PieceId, list[Seam]] = defaultdict(list)
    for seam in seams(mould):
        if seam.role is WeldRole.HANDLE_TO_STIFFENER:
            own[seam.pieces[0]].append(seam)
    rods = ((bar, own[piece.id]) for piece, bar in handles(mould) if piece.id in own and bar.kind in _RODS)
    checked = (_handle(mould, bar, welded, panel) for bar, welded in rods)
    return max(checked, key=lambda check: max(check.rod, check.weld), default=None)


_RODS: Final = (SectionKind.ROD, SectionKind.THREADED_ROD)


def _handle(mould: Mould, bar: Bar, own: Sequence[Seam], panel: Kg) -> HandleCheck:
    """One handle under the whole panel with factor 1.5: the rod as simply supported, the welds as if it were fixed.

    A throat below 3 mm is no structural weld by EN 1993-1-8 4.5.2: the strength is a guide, its use must stay small.

    Source: beam theory; EN 1993-1-8:2005 4.5.3.3; throat AISC 360-10 Table J2.2 and note a.
    """
    tube = mould.dims.stock.tube.side_mm
    span = bar.length - 1.5 * tube
    modulus, yield_mpa = _rod(mould, bar)
    force = LOAD_FACTOR * panel * GRAVITY
    moment, strength = beams.point_moment(force, span), modulus * yield_mpa
    run = min(s.length / len(s.lines) for s in own)  # each of the two lines at one end
    steel = mould.dims.stock.steel
    throat = own[0].throat
    correlation = 0.8 if steel.yield_mpa <= 250 else 0.9
    resistance = rules.fillet_resistance_per_mm(throat, steel.ultimate_mpa, correlation)
    along = force / 2 / (2 * run) + 6 * (force * span / 8) / (2 * run**2)
    return HandleCheck(
        span,
        force,
        moment,
        strength,
        moment / strength,
        throat,
        along,
        resistance,
        along / resistance,
        4 * strength / span,
    )


def _rod(mould: Mould, bar: Bar) -> tuple[Mm3, Mpa]:
    """Elastic modulus and yield of a handle; a threaded one by its stress area and strength class."""
    if bar.kind is SectionKind.THREADED_ROD:
        thread = tables.bolt(bar.section)
        diameter = math.sqrt(4 / math.pi * thread.stress_area_mm2)
        return math.pi / 32 * diameter**3, strength_class(bar.strength, thread).yield_mpa
    size = bar_diameter(bar)
    return math.pi / 32 * size**3, mould.dims.stock.steel.at(size).yield_mpa
