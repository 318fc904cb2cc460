"""Turning the filled mould: what tips over which edge, the forces on the way, base bolts and handles while it turns.

The mould stands on its runners in the casting position; everything here is statics of a block on an edge.
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
from mouldgeom.rules import NewtonPerMm, beams, lifting
from mouldgeom.rules.lifting import Lift
from mouldgeom.strength.masses import Lump, Masses, upright
from mouldgeom.strength_classes import strength_class
from mouldgeom.units import GRAVITY, Deg, Kg, Mm, Mm3, Mpa, Newton, NewtonMm, Ratio
from mouldgeom.words import Said

PUSH: Final[Newton] = 250.0
"""Push of one person, and of one who leans on a rim (common practice, no source)."""
MOST_IN_A_TEAM: Final = 4
"""Railway guidance on lifting in teams: over four not advised."""
LOAD_FACTOR: Final[Ratio] = 1.5
"""On weights that hang on bolts, rods and welds (common practice, no source)."""


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


# ---------------------------------------------------------------- turning


@dataclass(frozen=True, slots=True)
class Heave:
    """One moment of the turning: the force that is needed and what as many as are there can give."""

    name: str
    force: Newton
    limit: Newton
    how: str

    @property
    def use(self) -> Ratio:
        """Force over limit."""
        return self.force / self.limit if self.limit > 0 else math.inf


@dataclass(frozen=True)
class Turning:
    """The filled mould is tilted over ``edge`` on to its side and raised from there to stand upright."""

    edge: Standing
    people: int
    start: Heave
    on_the_way: Heave
    held: Heave
    raised: Heave
    stood: Heave

    @property
    def stages(self) -> tuple[Heave, ...]:
        """Its stages in order."""
        return self.start, self.on_the_way, self.held, self.raised, self.stood

    @property
    def governing(self) -> Heave:
        """The stage that asks most of the people."""
        return max(self.stages, key=lambda stage: stage.use)


def push_on_the_way(edge: Standing, span: Mm, tilt: Deg) -> Newton:
    """Level push at the far upper edge, ``span`` beyond the tipping edge, at a tilt; below 0 it must be held back.

    Source: statics, moment of the weight over the height of the hands above the edge.
    """
    turned = math.radians(tilt)
    return lifting.tipping_force(
        edge.mass, edge.offset, edge.height, edge.top * math.cos(turned) + span * math.sin(turned), tilt
    )


def turning(mould: Mould, filled: Lump) -> Turning:
    """Turn the filled mould over the edge on which it balances latest; never over the front, where the nose is.

    Source: statics; a team of at most four (railway guidance), 250 N of push each (common practice, no source).
    """
    dims, who = mould.dims, mould.dims.spec.handling
    ways = [e for e in mould_edges(mould, "filled mould", filled) if e.side is not Side.FRONT]
    edge = max(reversed(ways), key=lambda e: round(e.angle, 6))
    over_end = edge.side.crosswise
    half = (dims.width if over_end else dims.depth) / 2 + dims.shell
    span = (dims.runner_half if over_end else dims.runner_y + dims.stock.tube.side_mm / 2) + half
    people = min(who.team, MOST_IN_A_TEAM)
    push = people * PUSH
    weight, long = edge.mass * GRAVITY, edge.top
    tilts = range(math.ceil(edge.angle))
    greatest, at = max((push_on_the_way(edge, span, float(t)), -t) for t in tilts)
    held = -lifting.tipping_force(edge.mass, edge.offset, edge.height, math.hypot(long, span), 90.0)
    raised = weight * (long - edge.height) / long
    back = weight * half / math.hypot(long, 2 * half)
    return Turning(
        edge,
        people,
        Heave(
            Said("start, over the {edge}", edge=edge.edge), edge.tipping_push(), push, "level push at the upper edge"
        ),
        Heave(Said("greatest on the way, at {at} deg", at=-at), greatest, push, "level push at the upper edge"),
        Heave("held back before it lies", held, push, "ropes at the upper edge, square to it"),
        Heave("raised from its side", raised, GRAVITY * _raise_limit(mould, long, people), "lift at the base plate"),
        Heave("held back before it stands", back, push, "ropes at the base plate, square to it"),
    )


def _raise_limit(mould: Mould, long: Mm, people: int) -> Kg:
    """What a team may lift at the end of the lying mould, hands at the middle of the base plate."""
    who = mould.dims.spec.handling
    reference = min(lifting.LOAD_CONSTANT, lifting.reference_mass(who.lifter))
    start = lift_of(0.0, min(mould.dims.base_half_x, mould.dims.base_half_y), long)
    return lifting.team_limit(lifting.lift_limit(start, reference), people)


# ---------------------------------------------------------------- bolts and handles


@dataclass(frozen=True, slots=True)
class BoltCase:
    """What the worst base bolt bears at one moment of the turning, factored, and the share of its strength."""

    name: str
    shear: Newton
    tension: Newton
    use: Ratio


def base_bolts(mould: Mould, found: Masses, raised: Newton) -> tuple[BoltCase, ...]:
    """Base bolts while the mould lies, is raised by its base plate, and hangs by its runners; concrete holds nothing.

    Lying, core and base plate are a bracket on the flanges: shear on all bolts alike, tension about the edge of the
    base plate.  ``raised`` is the force at the base plate, unfactored.

    Source: EN 1993-1-8:2005 Table 3.4; factor 1.5 (common practice, no source).
    """
    dims, steel = mould.dims, strength_class(mould.dims.spec.steel.bolt_class, mould.dims.stock.bolt)
    points = [p for row in mould.rows if row.id.role is RowRole.BASE for p in row.points]
    area = dims.stock.bolt.stress_area_mm2
    shear_limit = rules.bolt_shear_resistance(steel.ultimate_mpa, area, rules.shear_factor(steel.designation))
    tension_limit = rules.bolt_tension_resistance(steel.ultimate_mpa, area)
    core = found.carried[FOOT].lump
    weight = LOAD_FACTOR * core.mass * GRAVITY

    def case(name: str, shear: Newton, tension: Newton) -> BoltCase:
        both = rules.shear_tension_use(shear, shear_limit, tension, tension_limit)
        return BoltCase(name, shear, tension, max(both, tension / tension_limit))

    count = len(points)
    pull = max(
        bracket_pull(weight * core.centre[2], [p[axis] + edge for p in points])
        for axis, edge in ((0, dims.base_half_x), (1, dims.base_half_y))
    )
    hanging = LOAD_FACTOR * (found.filled.mass - core.mass) * GRAVITY
    return (
        case("lying on its side, core and base plate as a bracket", weight / count, pull),
        case("raised by the base plate", LOAD_FACTOR * raised / count, 0.0),
        case("hanging by its runners, box and concrete below", 0.0, hanging / count),
    )


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
