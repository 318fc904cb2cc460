"""Handling: who lifts what, turning the filled mould about its pins, base bolts and handles, and what tips over.

Lifts are judged at both of their ends, the lower limit counts.  The mould is turned after the concrete has hardened,
with the weight of fresh concrete taken, which is more.  A lift that is too much for the people that are there is one
for the hoist, if there is one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from mouldgeom.identity import BOLTS, BRIDGE, CLOSING, FOOT, FORCING, LID, PADS, PANELS, SCREW, STAND, Unit
from mouldgeom.model.assembly import Mould
from mouldgeom.model.weights import Lump
from mouldgeom.rules import lifting
from mouldgeom.rules.lifting import DYNAMIC, LOAD_FACTOR, Lift, Team
from mouldgeom.strength.masses import Masses, masses
from mouldgeom.strength.standing_cures import cured
from mouldgeom.strength.steps import Chapter, ResultTable, Step
from mouldgeom.strength.turning import (
    PIN_FRICTION,
    PUSH,
    Standing,
    base_bolts,
    filter_edges,
    ground,
    handle,
    handles,
    lift_of,
    mould_edges,
    pin_turn,
)
from mouldgeom.units import GRAVITY, Deg, Kg, Mm, Ratio, plain
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said, joined

LEVEL: Final[Deg] = 0.1
"""A lesser slope counts as this one: on the level the factor against tipping has no end."""
SLOPE_FACTOR: Final[Ratio] = 1.5
"""Moment that holds over moment that tips, on a slope (common practice, no source)."""
CLEAR_LIFT: Final[Mm] = 50.0
"""Core lifted beyond its own length, to pass the rim (common practice, no source)."""
_LIFTING: Final = "NIOSH 94-110 (rev. 9/2021); ISO 11228-1 reference masses; railway guidance on teams"
_STATICS: Final = "statics"
_PRACTICE: Final = "common practice, no source"
_PUSHED: Final = "statics; HSE L23, 200 N men, 150 N women to start a load"
_BOLTS: Final = "EN 1993-1-8:2005 Table 3.4"


# ---------------------------------------------------------------- lifting


@dataclass(frozen=True, slots=True)
class Lifted:
    """A load, the end of its lift at which least may be lifted, and who lifts it.

    ``hold`` of those there can get hold of it; ``single`` is the limit of one person, ``limit`` theirs together.
    """

    name: str
    lump: Lump
    lift: Lift
    hold: int
    single: Kg
    limit: Kg
    team: Team


def judge(name: str, lump: Lump, ends: Sequence[Lift], mould: Mould, hold: int, least: int = 1) -> Lifted:
    """Judge a lift at the worse of its ends; ``hold`` people can get hold of it, and fewer than ``least`` cannot.

    Source: NIOSH 94-110 (rev. 9/2021), ISO 11228-1, team shares, by ``mechanics.lifting``.
    """
    who = mould.dims.spec.handling
    reference = min(lifting.LOAD_CONSTANT, lifting.reference_mass(who.lifter))
    worse = min(ends, key=lambda end: lifting.lift_limit(end, reference))
    single = lifting.lift_limit(worse, reference)
    there = max(n for n in (1, 2, 4) if n <= min(hold, who.team))
    limit = lifting.team_limit(single, there) if there >= least else 0.0
    team = lifting.who_lifts(lump.mass, worse, who.lifter, there)
    if 0 < team.people < least:
        may = lifting.team_limit(single, least) if there >= least else 0.0
        team = Team(lump.mass, least if may else 0, may, lifting.lifting_index(lump.mass, may))
    return Lifted(name, lump, worse, there, single, limit, team)


def lifts(mould: Mould, found: Masses) -> dict[Unit, Lifted]:
    """Judge every load that is carried: panels by their handles, or at the middle of their edges where they have none,
    the core and its base plate at the plate's edges.
    """
    dims, up = mould.dims, ground(mould)
    out: dict[Unit, Lifted] = {}
    hand = {p.unit: p.placement.origin[2] + bar.length / 2 for p, bar in handles(mould)}
    for side, load in PANELS.items():
        item, at = found.carried[load], hand.get(load, dims.height / 2)
        heights = (at, at + up, dims.height - at)
        ends = [lift_of(item.size[0 if side.crosswise else 1], height, up) for height in heights]
        out[load] = judge(load.name, item.lump, ends, mould, hold=2)
    core = found.carried[FOOT]
    rise = dims.end_z + CLEAR_LIFT
    ends = [lift_of(0.0, dims.height + off, rise) for off in (0.0, rise)]
    out[FOOT] = judge(FOOT.name, core.lump, ends, mould, hold=4, least=2)
    if dims.has_bridge:
        bridge, stand = found.carried[BRIDGE], dims.bridge.leg_length + dims.base
        ends = [lift_of(bridge.size[1], height + stand, dims.height) for height in (0.0, dims.height)]
        out[BRIDGE] = judge(BRIDGE.name, bridge.lump, ends, mould, hold=2)
    for load in (load for load in (LID, SCREW, FORCING, PADS, BOLTS, CLOSING) if load in found.carried):
        item = found.carried[load]
        out[load] = judge(
            load.name, item.lump, [lift_of(0.0, height, dims.height) for height in (0.0, dims.height)], mould, 1
        )
    if STAND in found.carried:
        ends = [lift_of(0.0, height, dims.height / 2) for height in (0.0, dims.height / 2)]
        out[STAND] = judge(STAND.name, found.carried[STAND].lump, ends, mould, hold=2, least=2)
    return out


# ---------------------------------------------------------------- the chapter


def chapter(mould: Mould) -> Chapter:
    """Lifting, turning, bolts and handles on the way, stability: calculation and requirements 10.1 to 10.10."""
    return _Book(mould).chapter()


class _Book:
    """Everything worked out once, then written down."""

    def __init__(self, mould: Mould) -> None:
        self.mould, self.who = mould, mould.dims.spec.handling
        self.masses = masses(mould)
        self.lifts = lifts(mould, self.masses)
        self.turn = pin_turn(mould, self.masses.filled)
        self.bolts = base_bolts(mould, self.masses)
        self.panel = max((self.lifts[load] for load in PANELS.values()), key=lambda item: item.lump.mass / item.limit)
        self.handle = handle(mould, max(self.lifts[load].lump.mass for load in PANELS.values()))
        self.filled = mould_edges(mould, "filled mould", self.masses.filled)
        self.empty = mould_edges(mould, "empty mould", self.masses.empty)
        self.moulds = [*self.filled, *self.empty]
        self.filters = [
            *filter_edges(mould, "filter, empty", self.masses.filter_empty),
            *filter_edges(mould, "filter at rest, water at the rest level", self.masses.filter_resting),
            *filter_edges(mould, "filter, full", self.masses.filter_full),
        ]
        self.hoisted: dict[str, Kg] = {}

    def chapter(self) -> Chapter:
        requirements = cured(self.mould, self.requirements(), lambda other: _Book(other).requirements())
        return Chapter(
            "Handling",
            self._assumptions(),
            self._steps(),
            (self._loads(), self._bolt_cases(), self._stability()),
            requirements,
            self._cautions(),
        )

    def requirements(self) -> tuple[Verdict, ...]:
        """Checks 10.1 to 10.10, without a cure."""
        slope = self.who.slope
        bolt = max(self.bolts, key=lambda case: case.use)
        made = [
            self._carry("10.1", "heaviest panel against what may be lifted", self.panel),
            self._carry("10.2", "core with base plate, drawn and lifted off", self.lifts[FOOT]),
            *([self._carry("10.3", "bridge", self.lifts[BRIDGE])] if BRIDGE in self.lifts else []),
        ]
        turn = self.turn
        made.append(
            Verdict(
                "10.4", "push that turns the filled mould about its pins", turn.push, turn.limit, Operator.AT_MOST, "N",
                Said("{people}, {lever:p0} mm from the pins", people=_people(turn.people), lever=turn.lever), _PUSHED,
            )
        )  # fmt: skip
        if self.mould.trunnions.hoisted:
            self.hoisted["filled mould"] = self.masses.filled.mass
        if self.hoisted:
            name, mass = max(self.hoisted.items(), key=lambda item: item[1])
            made.append(
                Verdict(
                    "10.5", "load on the hoist, starting and stopping included", DYNAMIC * mass,
                    self.who.hoist_capacity, Operator.AT_MOST, "kg", name, f"factor {DYNAMIC}: {_PRACTICE}",
                )
            )  # fmt: skip
        made += [
            Verdict(
                "10.6", "use of the base bolts while turning", bolt.use, 1.0, Operator.AT_MOST, "-", bolt.name, _BOLTS
            ),
            self._on_slope("10.7", "mould on its runners: factor against tipping on the slope", self.moulds, slope),
            self._on_slope("10.8", "finished filter: factor against tipping on the slope", self.filters, slope),
            *self._handle_requirement(),
            self._push(slope),
        ]
        return tuple(made)

    def _no_help(self, mass: Kg) -> str:
        """Why no hoist lifts what people cannot."""
        hoist = self.who.hoist_capacity
        return (
            Said("its {mass:.0f} kg are too much for the hoist of {hoist:p} kg", mass=mass, hoist=hoist)
            if hoist
            else "there is no hoist"
        )

    def _hoist(self, code: str, title: str, name: str, mass: Kg) -> Verdict:
        self.hoisted[name] = mass
        where = Said("{what}, with a hoist", what=name)
        return Verdict(code, title, mass, self.who.hoist_capacity, Operator.AT_MOST, "kg", where, _LIFTING)

    def _carry(self, code: str, title: str, item: Lifted) -> Verdict:
        if item.team.people == 0 and item.lump.mass <= self.who.hoist_capacity:
            return self._hoist(code, title, item.name, item.lump.mass)
        if item.team.people:
            words, limit = item.team.words, item.team.limit
        elif item.single > 0:
            words = "one person is too few" if item.hold == 1 else Said("{count} people are too few", count=item.hold)
            limit = item.limit
        else:
            words = Said(
                "no people may lift it, with their hands {height:p0} mm above the ground", height=item.lift.vertical
            )
            limit = 0.0
        if not item.team.people:
            words = Said("{few}; {help}", few=words, help=self._no_help(item.lump.mass))
        where = Said("{what}, {words}", what=item.name, words=words)
        return Verdict(code, title, item.lump.mass, limit, Operator.AT_MOST, "kg", where, _LIFTING)

    @staticmethod
    def _on_slope(code: str, title: str, standing: Sequence[Standing], slope: Deg) -> Verdict:
        worst = min(standing, key=lambda s: math.tan(math.radians(s.angle)))
        factor = worst.factor(max(slope, LEVEL))
        where = Said("{what}, {edge}", what=worst.name, edge=worst.edge)
        return Verdict(code, title, factor, SLOPE_FACTOR, Operator.AT_LEAST, "-", where, _STATICS)

    def _push(self, slope: Deg) -> Verdict:
        worst = min((*self.filled, *self.filters), key=lambda s: s.tipping_push(slope))
        where = Said("{what}, {edge}, on the slope", what=worst.name, edge=worst.edge)
        return Verdict(
            "10.10", "push at the rim that tips it", worst.tipping_push(slope), PUSH, Operator.AT_LEAST, "N", where,
            f"{_STATICS}; one leaning person: {_PRACTICE}",
        )  # fmt: skip

    def _handle_requirement(self) -> Iterator[Verdict]:
        if found := self.handle:
            part = "rod" if found.rod >= found.weld else "weld"
            yield Verdict(
                "10.9", "use of a handle that bears its whole panel", max(found.rod, found.weld), 1.0,
                Operator.AT_MOST, "-", f"{part} of the heaviest panel's handle",
                "EN 1993-1-8:2005 4.5.3.3; beam theory",
            )  # fmt: skip

    def _assumptions(self) -> tuple[str, ...]:
        who, hoist = self.who, self.who.hoist_capacity
        return (
            Said(
                "{people} to lift and turn, the weakest: {lifter}; teams of one, two and four; {hoist}.",
                people=_people(who.team),
                lifter=who.lifter,
                hoist=Said("a hoist of {mass:p} kg", mass=hoist) if hoist else "no hoist",
            ),
            "Few lifts (at most one in five minutes, for an hour), no twist, fair grip; hands at the handles, or at "
            "the edges of what has none.",
            "Fresh concrete by its unit weight: the hardened body is lighter.",
            Said("A person pushes, or holds a rope, with {push:p} N.", push=PUSH),
            Said("The ground slopes by {slope:p} deg, whichever way is worst.", slope=who.slope),
        )

    def _steps(self) -> tuple[Step, ...]:
        panel, turn, bolt = self.panel, self.turn, max(self.bolts, key=lambda case: case.use)
        weight = turn.mass * GRAVITY
        return (
            self._limit_step(panel),
            Step(
                Said("lifting index of the {what}, {words}", what=panel.name, words=panel.team.words),
                "LI = m / (n RWL 2/(n + 1))",
                f"{panel.lump.mass:.1f} kg / {panel.team.limit:.1f} kg", panel.team.index, "-", _LIFTING,
            ),
            self._limit_step(self.lifts[FOOT]),
            Step(
                "filled mould", "m = steel + concrete",
                f"{self.masses.empty.mass:.1f} kg + {self.masses.fresh.mass:.1f} kg", self.masses.filled.mass, "kg",
                "volumes and densities",
            ),
            Step(
                "greatest moment of the filled mould about its pins", "M = m g e + mu m g r",
                f"{weight:.0f} N x ({turn.offset:.1f} mm + {PIN_FRICTION} x {turn.radius:.1f} mm)",
                (turn.heaviest + turn.friction) / 1000, "N m", _STATICS,
            ),
            Step(
                "push that turns it, all people", "F = M / l", f"over {turn.lever:.0f} mm", turn.push, "N",
                f"limit {turn.limit:.0f} N: {_PUSHED}",
            ),
            Step(
                Said("worst base bolt, {name}", name=bolt.name), "Fv/Fv,Rd + Ft/(1.4 Ft,Rd), or Ft/Ft,Rd",
                f"shear {bolt.shear:.0f} N, tension {bolt.tension:.0f} N, factors {LOAD_FACTOR} and {DYNAMIC} in them",
                bolt.use, "-", _BOLTS,
            ),
            *self._handle_steps(),
        )  # fmt: skip

    def _handle_steps(self) -> tuple[Step, ...]:
        found = self.handle
        if found is None:
            return ()
        return (
            Step(
                "bending of a handle that bears its whole panel", "M = F l / 4",
                f"{found.force:.0f} N x {found.span:.0f} mm / 4; the rod bears {found.strength:.0f} N mm",
                found.moment, "N mm", "beam theory, F L/4, any handbook (from memory)",
            ),
            Step(
                "weld at the end of a handle", "f = F/(4 l) + 6 (F L/8)/(2 l^2)",
                f"throat {found.throat:.1f} mm, which bears {found.weld_strength:.0f} N/mm", found.weld_force, "N/mm",
                "EN 1993-1-8:2005 4.5.3.3; throat of the fillet laid on the filled corner, below a radius of 10 mm "
                "nothing else counts: AISC 360-10 Table J2.2 note a",
            ),
        )  # fmt: skip

    def _limit_step(self, item: Lifted) -> Step:
        lift = item.lift
        reference = min(lifting.LOAD_CONSTANT, lifting.reference_mass(self.who.lifter))
        factors = (
            lifting.horizontal_multiplier(lift.horizontal),
            lifting.vertical_multiplier(lift.vertical),
            lifting.distance_multiplier(lift.travel),
            lifting.asymmetry_multiplier(lift.asymmetry),
            lifting.frequency_multiplier(lift.frequency, lift.duration, lift.vertical),
            lifting.coupling_multiplier(lift.coupling, lift.vertical),
        )
        return Step(
            Said("what one person may lift of the {what}", what=item.name), "RWL = LC HM VM DM AM FM CM",
            f"{plain(reference)} kg x {' x '.join(f'{f:.3f}' for f in factors)} "
            f"(H {plain(lift.horizontal, 0)} mm, V {plain(lift.vertical, 0)} mm, D {plain(lift.travel, 0)} mm)",
            item.single, "kg", "NIOSH 94-110 (rev. 9/2021); LC or ISO 11228-1 reference mass, the less",
        )  # fmt: skip

    def _loads(self) -> ResultTable:
        rows: list[tuple[str | Kg, ...]] = []
        for load, item in self.lifts.items():
            rows.append((load.name, *_numbers(item.lump), item.team.words, round(item.team.limit, 1)))
        whole = (
            ("mould, empty", self.masses.empty),
            ("mould, filled", self.masses.filled),
            ("filter, empty", self.masses.filter_empty),
            ("filter with gravel, sand and water", self.masses.filter_full),
        )
        rows += [(name, *_numbers(lump), "hoist, tripod or trolley", "-") for name, lump in whole]
        return ResultTable(
            "Loads, and who lifts them",
            ("load", "mass, kg", "x, mm", "y, mm", "z, mm", "who lifts", "limit, kg"),
            tuple(rows),
            "Centres of gravity in the casting frame. The limit is that of the people named, of the largest team "
            "beside a hoist.",
        )

    def _bolt_cases(self) -> ResultTable:
        return ResultTable(
            "Base bolts while turning",
            ("case", "shear of a bolt, N", "tension of a bolt, N", "use"),
            tuple((c.name, round(c.shear), round(c.tension), round(c.use, 3)) for c in self.bolts),
            Said(
                "Factor {factor} in the forces, {motion} for motion; the grip of the concrete left out.",
                factor=LOAD_FACTOR,
                motion=DYNAMIC,
            ),
        )

    def _stability(self) -> ResultTable:
        slope = self.who.slope
        return ResultTable(
            "What tips it over",
            ("what", "edge", "offset, mm", "height, mm", "balances at, deg", "factor on slope", "push at the top, N"),
            tuple(
                (
                    s.name, s.edge, round(s.offset, 1), round(s.height, 1), round(s.angle, 1),
                    round(s.factor(slope), 2) if slope >= LEVEL else "level", round(s.tipping_push(slope)),
                )
                for s in (*self.moulds, *self.filters)
            ),
            Said("Slope {slope:p} deg, the edge downhill; the push acts along it.", slope=slope),
        )  # fmt: skip

    def _cautions(self) -> tuple[str, ...]:
        empty = min(self.empty, key=lambda s: s.tipping_push(self.who.slope))
        force = empty.tipping_push(self.who.slope)
        out = [
            Said(
                "Lifting equation and reference masses hold for healthy grown people, not for {cases}; local rules on "
                "lifting decide.",
                cases=joined(lifting.NOT_FOR),
            ),
            "Turning a filled mould is a lifting operation: nobody below or downhill of it, one person gives the word.",
            "Hoist, slings and shackles are marked with their safe working load and inspected before use.",
            "Turn only when the concrete has its stripping age, every bolt is tight and both closing bars are on.",
            "Level and wedge the runners before filling; never lean a ladder on the mould.",
        ]
        if force < PUSH:
            out.append(
                Said(
                    "The empty mould tips over the {edge} under a push of {force:.0f} N at its rim, less "
                    "than a leaning person's {push:p} N: wedge it, or tie it down, until it is filled.",
                    edge=empty.edge,
                    force=force,
                    push=PUSH,
                )
            )
        return tuple(out)


def _people(count: int) -> str:
    return "one person" if count == 1 else Said("{count} people", count=count)


def _numbers(lump: Lump) -> tuple[Kg, Mm, Mm, Mm]:
    x, y, z = (round(value, 1) + 0.0 for value in lump.centre)
    return round(lump.mass, 1), x, y, z
