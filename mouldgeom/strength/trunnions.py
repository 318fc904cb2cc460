"""Pins, plates, bars and stand by which the filled mould is lifted and turned: what each bears, and how it is rigged.

A pin bears half of the filled mould with the factors on weight and motion.  From hanger or saddle the force goes
through the pin into its plate, across two stiffeners into the side panel, and by corner and base bolts to the rest.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from mouldgeom import rules
from mouldgeom.fabrication.welds import Seam, seams
from mouldgeom.identity import APART, FOOT, PANELS, RowRole
from mouldgeom.model.assembly import Mould
from mouldgeom.model.joints import WeldRole
from mouldgeom.model.parts.outer_box import side_flange_half
from mouldgeom.model.turning_places import (
    ABOVE,
    PIN_FIT,
    SHACKLE_HOLE,
    SHACKLE_PIN,
    SHACKLE_WEB,
    STANDS,
    Trestles,
    hanger_half,
    pin_force,
    place_trestles,
    post_top,
    saddle_half,
)
from mouldgeom.model.weights import body_lump, combined, part_corners
from mouldgeom.rules import lifting, pins, screw
from mouldgeom.rules.lifting import DYNAMIC, LOAD_FACTOR
from mouldgeom.rules.pins import Lug
from mouldgeom.strength.bridge import buckling_factor
from mouldgeom.strength.masses import masses
from mouldgeom.strength.seats import seams_of, weld_resistance
from mouldgeom.strength.steps import Chapter, ResultTable, Step
from mouldgeom.strength.turning import PUSH, pin_turn, side_bolt_pull
from mouldgeom.strength_classes import strength_class
from mouldgeom.units import GRAVITY, Deg, Kg, Mm, Newton, Ratio, plain
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

LEAST_ABOVE: Final[Mm] = 5.0
"""Pins above the centre of gravity, whatever the concrete weighs: it must not topple as it is cast (own rule)."""
MOST_LEAN: Final[Deg] = 10.0
"""Out of plumb when it hangs freely: a hand brings it back (own rule)."""
LEAST_ROOM: Final[Mm] = 20.0
"""Under what goes round, over ground and ties (own rule)."""
SIDE_SHARE: Final[Ratio] = 0.1
"""Of the load on a trestle, sideways (own rule)."""
DESIGN_FACTOR: Final[Ratio] = 3.0
"""Nd of a hanger: category B, ASME BTH-1."""
SLING: Final[Deg] = 60.0
"""Slings over the spreader from the horizontal, at least (own rule)."""
_PIN: Final = "EN 1993-1-8:2005 Table 3.10"
_WELD: Final = "EN 1993-1-8:2005 4.5.3.3"
_YIELD: Final = "EN 1993-1-1:2005 6.2 (from memory), fy / gamma_M0, gamma_M0 = 1"
_LUG: Final = "ASME BTH-1-2005 3-3.3, category B"
_OWN: Final = "own rule"
_STATICS: Final = "statics"


@dataclass(frozen=True, slots=True)
class Rig:
    """How the mould hangs on a hoist: two plumb legs from a spreader, two slings from its ends to the hook.

    ``spread`` between the plumb legs, ``leg`` from pin to spreader, ``hook`` of the hook over the ground when the
    mould's underside is ``clear`` of it; tension of a leg and of a sling with the factor of motion, unfactored.
    """

    spread: Mm
    leg: Mm
    hook: Mm
    leg_force: Newton
    sling_force: Newton
    capacity: Kg


def rig(mould: Mould, filled: Kg) -> Rig:
    """Lengths and forces of spreader and slings.

    The legs are longer than what goes round under the spreader.

    Source: statics, 1/sin of the angle from the horizontal.
    """
    at, room = mould.trunnions, 100.0
    spread, leg = 2 * at.bears, 10 * math.ceil((at.reach + room) / 10)
    force = DYNAMIC * filled * GRAVITY / 2
    rise = spread / 2 * math.tan(math.radians(SLING))
    hook = at.reach + room + leg + rise
    sling = force * lifting.sling_factor(SLING)
    return Rig(spread, float(leg), hook, force, sling, DYNAMIC * filled)


def chapter(mould: Mould) -> Chapter:
    """Pins, plates, bars, hangers or stand: calculation and requirements 10.11 to 10.25."""
    return _Book(mould).chapter()


Found = tuple[Ratio, str]
"""A share of what something bears, and what it is."""


class _Book:
    """Everything worked out once, then written down."""

    def __init__(self, mould: Mould) -> None:
        self.mould, self.dims, self.at = mould, mould.dims, mould.trunnions
        self.masses, self.steel = masses(mould), mould.dims.stock.steel
        self.turn = pin_turn(mould, self.masses.filled)
        self.force = pin_force(self.masses.filled.mass)
        self.made = seams(mould)
        self.moment = self.force * self.at.lever
        self.stand: Trestles | None = None if self.at.hoisted else place_trestles(self.dims, self.at)

    def chapter(self) -> Chapter:
        tables = [self._turned()]
        if self.at.hoisted:
            tables.append(self._rigged())
        return Chapter(
            "Lifted and turned about its pins",
            self._assumptions(),
            self._steps(),
            tuple(tables),
            tuple(self._requirements()),
            self._cautions(),
        )

    # ------------------------------------------------------------ what each part bears

    def _use(self, code: str, title: str, found: Sequence[Found], source: str) -> Verdict:
        value, where = max(found)
        return Verdict(code, f"{title}: share of what it bears", value, 1.0, Operator.AT_MOST, "-", where, source)

    def _bears(self, seam: Seam) -> Newton:
        return weld_resistance(self.mould, seam.leg)

    def above(self) -> tuple[Mm, str]:
        """Least height of the pins above the centre of gravity, over concrete fresh and hardened."""
        hard = body_lump(self.dims, self.dims.spec.concrete.density)
        cases = (("fresh concrete", self.masses.fresh), ("hardened concrete", hard), ("empty", None))
        heights = (
            (self.at.z - combined([self.masses.empty, *([lump] if lump else [])]).centre[2], name)
            for name, lump in cases
        )
        return min(heights)

    def pin(self) -> list[Found]:
        size = self.at.diameter
        moment = pins.pin_moment_resistance(size, self.steel.at(size).yield_mpa)
        shear = pins.pin_shear_resistance(size, self.steel.ultimate_mpa)
        return [
            (self.moment / moment, "bending at the face of the pin plate"),
            (pins.pin_use(self.moment, moment, self.force, shear), "bending with shear at the face of the pin plate"),
        ]

    def bearing(self) -> list[Found]:
        size, thick, fy = self.at.diameter, self.at.sheet.thickness_mm, self.steel.at(self.at.diameter).yield_mpa
        hole = size + (PIN_FIT if self.at.hoisted else 2 * PIN_FIT)
        service = self.force / LOAD_FACTOR
        contact = pins.pin_contact_stress(service, size, hole, thick, self.steel.elastic_modulus_mpa)
        return [
            (self.force / pins.pin_bearing_resistance(thick, size, fy), "bearing"),
            (contact / (pins.CONTACT * fy), "contact while it turns"),
        ]

    def pin_weld(self) -> list[Found]:
        """A round fillet about the pin: bending by its line modulus, pi r^2, and shear on its whole length."""
        seam, radius = seams_of(self.made, WeldRole.PIN_TO_PLATE)[0], self.at.diameter / 2
        bent, shear = self.moment / (math.pi * radius**2), self.force / (2 * math.pi * radius)
        return [(math.hypot(bent, shear) / self._bears(seam), "fillet around the pin")]

    def _shares(self) -> tuple[Mm, Ratio]:
        """Between the two stiffeners of a pin plate, and the greater share of the force that one takes."""
        low, high = (self.dims.stiffener_z[number - 1] for number in self.at.lines)
        return high - low, max(self.at.z - low, high - self.at.z) / (high - low)

    def plate(self) -> list[Found]:
        """As it is cast: bent out of its plane by the pin's moment; a quarter turn on: bent in it, and twisted."""
        thick, wide = self.at.sheet.thickness_mm, 2 * self.at.half
        net = wide - self.at.diameter - PIN_FIT
        span, share = self._shares()
        moment = self.force * (self.at.lever + thick / 2)
        bent = share * moment / (net * thick**2 / 6) + self.force / (net * thick)
        deep = thick * (wide**3 - (wide - net) ** 3) / (6 * wide)
        along = self.force * share * (1 - share) * span / deep
        twist = 3 * share * moment / (net * thick**2)
        fy = self.steel.at(thick).yield_mpa
        return [
            (bent / fy, "pin plate, as it is cast"),
            (screw.combined_stress(along, twist) / fy, "pin plate, a quarter turn on"),
        ]

    def plate_welds(self) -> list[Found]:
        """Ends and sides of a pin plate on one stiffener."""
        span, share = self._shares()
        sides = seams_of(self.made, WeldRole.PIN_PLATE_SIDE)
        ends = seams_of(self.made, WeldRole.PIN_PLATE_END)
        moment = self.force * (self.at.lever + self.at.sheet.thickness_mm / 2)
        out = []
        for seam in sides:
            end = sum(other.length for other in ends if other.pieces == seam.pieces)
            level, pull = share * self.force / (seam.length + end), moment / span / (seam.length + end)
            twist = share * moment / (2 * self.at.half) / (seam.length / 2)
            use = math.hypot(level, pull + twist) / self._bears(seam)
            out.append((use, seam.pieces[1].name))
        return out

    def stiffener(self) -> list[Found]:
        """A stiffener pulled out by the couple of the pin plate, and its end welds on the corner flanges.

        They bear all: what fills the corner along the panel has no throat that counts.  The load lies on the far side
        of the stiffener and turns each end weld about its middle, both halves of it yielding (EN 1993-1-8:2005 2.5).
        """
        tube, (span, share) = self.dims.stock.tube, self._shares()
        pull, load = self.force * (self.at.bears - self.at.face + tube.side_mm) / span, share * self.force
        long = 2 * side_flange_half(self.dims)
        bent = pull * long / 4 / (tube.section_modulus_cm3 * 1000)
        out: list[Found] = [(bent / self.steel.yield_mpa, "stiffener")]
        for seam in seams_of(self.made, WeldRole.STIFFENER_TO_CORNER):
            if seam.pieces[0].number in self.at.lines:
                turned = load / 2 * tube.side_mm / (seam.length**2 / 4)
                flow = math.hypot(load / 2 / seam.length, pull / 2 / seam.length + turned)
                out.append((flow / self._bears(seam), "weld of a stiffener's end on the corner flange"))
        return out

    def bolts(self) -> list[Found]:
        """Corner bolts and the leg of the side base flanges, the rest of the mould hanging on the side panels."""
        dims, bolt = self.dims, self.dims.stock.bolt
        strength = strength_class(dims.spec.steel.bolt_class, bolt)
        shear = rules.bolt_shear_resistance(
            strength.ultimate_mpa, bolt.stress_area_mm2, rules.shear_factor(strength.designation)
        )
        tension = rules.bolt_tension_resistance(strength.ultimate_mpa, bolt.stress_area_mm2)
        corners = sum(len(row.points) for row in self.mould.rows if row.id.role is RowRole.CORNER)
        sides = sum(self.masses.carried[load].lump.mass for side, load in PANELS.items() if side.crosswise)
        hung = LOAD_FACTOR * DYNAMIC * (self.masses.filled.mass - sides) * GRAVITY
        pull = side_bolt_pull(self.mould, self.masses)
        return [
            (hung / corners / shear, "corner bolts, as it is cast"),
            (hung / (corners / 2) / tension, "corner bolts, a quarter turn on"),
            (self._leg(pull), "leg of the side base flange"),
        ]

    def _leg(self, pull: Newton) -> Ratio:
        """An angle's leg under one bolt: bent at the other leg, as wide as the washer and 45 degrees on both sides."""
        angle, washer = self.dims.stock.angle, self.dims.stock.bolt.washer_outside_mm
        lever = angle.gauge_mm - angle.thickness_mm
        return pull * lever / ((washer + 2 * lever) * angle.thickness_mm**2 / 4) / self.steel.yield_mpa

    def closing(self) -> list[Found]:
        """Bars under concrete, core and base plate, upside down: the bar, the legs at its bolts, bolts, clip welds."""
        dims, angle, bolt = self.dims, self.dims.stock.angle, self.dims.stock.bolt
        held = LOAD_FACTOR * DYNAMIC * (self.masses.fresh.mass + self.masses.carried[FOOT].lump.mass) * GRAVITY
        load, span = held / 2, dims.width + 2 * (dims.shell + angle.gauge_mm)
        moment = load * (span / 4 - dims.width / 8)
        modulus = angle.second_moment_cm4 / (angle.leg_mm / 10 - angle.centroid_cm) * 1000
        strength = strength_class(dims.spec.steel.bolt_class, bolt)
        tension = rules.bolt_tension_resistance(strength.ultimate_mpa, bolt.stress_area_mm2)
        toe, heel = (seams_of(self.made, role)[0] for role in (WeldRole.CLIP_TOE, WeldRole.CLIP_HEEL))
        couple = load / 2 * angle.gauge_mm / angle.leg_mm / toe.length
        weld = math.hypot(couple, load / 2 / (toe.length + heel.length))
        return [
            (moment / modulus / self.steel.yield_mpa, "closing bar"),
            (self._leg(load / 2), "legs of closing bar and clip at the bolt"),
            (load / 2 / tension, "closing bolt"),
            (weld / min(self._bears(toe), self._bears(heel)), "welds of a closing clip"),
        ]

    def hanger(self) -> list[Found]:
        """Both eyes of a hanger, by allowed loads: no other factor on the weight."""
        at, half, load = self.at, hanger_half(self.at), self.force / LOAD_FACTOR
        hole, steel = at.diameter + PIN_FIT, self.steel
        thick = at.sheet.thickness_mm
        fy, fu = steel.at(thick).yield_mpa, steel.ultimate_mpa
        eyes = (
            (Lug(thick, SHACKLE_HOLE, SHACKLE_PIN, SHACKLE_WEB, half - SHACKLE_HOLE / 2, fy, fu, DESIGN_FACTOR),
             "eye for the shackle"),
            (Lug(thick, hole, at.diameter, half + PIN_FIT / 2 - hole / 2, half - hole / 2, fy, fu, DESIGN_FACTOR),
             "eye for the pin"),
        )  # fmt: skip
        return [(load / lug.allowed, name) for lug, name in eyes]

    def lock(self) -> list[Found]:
        """Lock rods that hold the mould's own moment and two people who lean on its farthest edge."""
        at = self.at
        size, thick, fy = at.diameter, at.sheet.thickness_mm, self.steel.at(at.diameter).yield_mpa
        moment = LOAD_FACTOR * (self.turn.heaviest + 2 * PUSH * at.reach)
        force = moment / at.lock_down / 2
        bend = pins.pin_moment_resistance(size, fy, replaceable=True)
        shear = pins.pin_shear_resistance(size, self.steel.ultimate_mpa)
        return [
            (force / LOAD_FACTOR * at.lever / bend, "bending between pin plate and saddle"),
            (pins.pin_use(force * at.lever, bend * 1.5 / 0.8, force, shear), "bending with shear"),
            (force / pins.pin_bearing_resistance(thick, size, fy), "bearing in pin plate and saddle"),
        ]

    def trestle(self, stand: Trestles) -> list[Found]:
        """Post as a cantilever under the pin's force off its axis and the push of the team; its saddle; its welds."""
        dims, tube, at, steel = self.dims, self.dims.stock.tube, self.at, self.steel
        long, thick = post_top(at) - stand.ground - tube.side_mm, at.sheet.thickness_mm
        high = at.z - stand.ground - tube.side_mm
        radius = math.sqrt(tube.second_moment_cm4 / tube.area_cm2) * 10
        factor = buckling_factor(2 * long, radius, steel.yield_mpa, steel.elastic_modulus_mpa)
        off, level = self.force * (tube.side_mm + thick) / 2, LOAD_FACTOR * self.turn.limit / 2 * high
        across = off + SIDE_SHARE * self.force * high
        modulus = tube.section_modulus_cm3 * 1000
        area = tube.area_cm2 * 100
        post = (self.force / (factor * area) + (level + across) / modulus) / steel.yield_mpa
        free = at.z - post_top(at)
        saddle = SIDE_SHARE * self.force * free / (2 * saddle_half(dims, at) * thick**2 / 6)
        seam = seams_of(self.made, WeldRole.CHEEK_TO_FOOT)[0]
        each = seam.length
        up = across / (tube.side_mm + thick) / each + level / 2 / (each**2 / 6) + self.force / (2 * each)
        held = seams_of(self.made, WeldRole.CHEEK_ALONG)[0]
        run = held.length / 2
        bears = rules.fillet_resistance_per_mm(held.throat, steel.ultimate_mpa, _correlation(steel.yield_mpa))
        lever = math.dist(held.lines[0][0], held.lines[1][0])
        side = self.force / (4 * run) + level / 2 / (lever * run) + across / (tube.side_mm + thick) / (2 * run)
        lap = seams_of(self.made, WeldRole.SADDLE_ALONG)[0]
        shear = self.force / lap.length + (off + SIDE_SHARE * self.force * free) / (lap.length**2 / 12)
        return [
            (post, "post, above the cheeks and at the foot"),
            (saddle / steel.at(thick).yield_mpa + self.force / (2 * saddle_half(dims, at) * thick) / steel.yield_mpa,
             "saddle above its post"),
            (up / self._bears(seam), "welds of the cheeks on the foot"),
            (side / bears, "welds of the cheeks on the post"),
            (shear / bears, "welds of the saddle"),
        ]  # fmt: skip

    def steady(self, stand: Trestles) -> tuple[Ratio, str]:
        """Moment that holds the stand over the team's push at the pins and the slope, filled and empty."""
        slope, cases = math.radians(self.dims.spec.handling.slope), []
        for name, mass in (("filled mould", self.masses.filled.mass), ("empty mould", self.masses.empty.mass)):
            weight = mass * GRAVITY
            tips = (self.turn.limit + weight * math.sin(slope)) * stand.height
            cases.append((weight * math.cos(slope) * stand.foot_half / tips, name))
        return min(cases)

    def room(self, stand: Trestles) -> tuple[Mm, str]:
        """Least room under what goes round: over the ground, and over the ties."""
        at, angle, tube = self.at, self.dims.stock.angle, self.dims.stock.tube.side_mm
        reach = max(
            math.hypot(abs(y - at.y), z - at.z)
            for piece in self.mould.pieces() if not piece.unit.within(*APART)
            for _, y, z in part_corners(piece.part, piece.placement)
        )  # fmt: skip
        inner = stand.tie_y - angle.leg_mm
        low = math.sqrt(max(reach**2 - inner**2, 0.0))
        over = stand.height - low - tube - angle.leg_mm
        return min((stand.height - reach, "farthest corner over the ground"), (over, "farthest corner over the ties"))

    # ------------------------------------------------------------ what is written

    def _requirements(self) -> Iterator[Verdict]:
        above, what = self.above()
        yield Verdict("10.11", "pins above the centre of gravity of the mould as it is cast", above, LEAST_ABOVE,
                      Operator.AT_LEAST, "mm", what, _OWN)  # fmt: skip
        yield Verdict("10.12", "mould out of plumb when it hangs on its pins", self.turn.lean, MOST_LEAN,
                      Operator.AT_MOST, "deg", "filled mould", _OWN)  # fmt: skip
        yield self._use("10.13", "trunnion pin", self.pin(), _PIN)
        yield self._use("10.14", "pin in hanger or saddle", self.bearing(), f"{_PIN}, eq. 3.15 and 3.16")
        yield self._use("10.15", "weld of a pin in its plate", self.pin_weld(), _WELD)
        yield self._use("10.16", "pin plate", self.plate(), _YIELD)
        yield self._use("10.17", "welds of a pin plate", self.plate_welds(), _WELD)
        yield self._use("10.18", "stiffener under a pin plate, with its welds", self.stiffener(), f"{_YIELD}; {_WELD}")
        yield self._use("10.19", "bolts and flanges of the box on its pins", self.bolts(),
                        f"EN 1993-1-8:2005 Table 3.4; {_YIELD}")  # fmt: skip
        yield self._use("10.20", "closing bars, upside down", self.closing(), f"{_YIELD}; {_WELD}")
        if self.stand is None:
            yield self._use("10.21", "hanger", self.hanger(), _LUG)
            return
        yield self._use("10.22", "lock rods", self.lock(), _PIN)
        yield self._use("10.23", "trestle", self.trestle(self.stand), f"EN 1993-1-1:2005 6.3.1 (from memory); {_WELD}")
        steady, what = self.steady(self.stand)
        yield Verdict("10.24", "stand: factor against tipping while it is pushed", steady, STANDS,
                      Operator.AT_LEAST, "-", what, _STATICS)  # fmt: skip
        room, what = self.room(self.stand)
        yield Verdict("10.25", "room under the mould while it goes round", room, LEAST_ROOM, Operator.AT_LEAST, "mm",
                      what, _OWN)  # fmt: skip

    def _assumptions(self) -> tuple[str, ...]:
        out = [
            Said(
                "Each pin bears half of the filled mould, with {motion} for motion and {factor} on the weight.",
                motion=DYNAMIC, factor=LOAD_FACTOR,
            ),
            Said(
                "The pins stand {above:p0} mm above the centre of gravity of the filled mould: it hangs as it is cast, "
                "and upside down it wants to turn back.", above=ABOVE,
            ),
            "Upside down nothing holds the concrete but the two closing bars: its grip is left out.",
        ]  # fmt: skip
        if self.stand is not None:
            out.append(
                Said(
                    "The hoist does not take the filled mould: it is cast and turned in a stand, pins {height:p0} mm "
                    "above the ground.", height=self.stand.height,
                )
            )  # fmt: skip
        else:
            out.append("The hoist takes the filled mould: it hangs on two hangers from a spreader.")
        return tuple(out)

    def _steps(self) -> tuple[Step, ...]:
        at, filled = self.at, self.masses.filled
        steps = [
            Step("force on one pin, with both factors", "F = 1.5 x 1.3 m g / 2", f"{filled.mass:.1f} kg", self.force,
                 "N", _STATICS),
            Step("moment of a pin at its plate", "M = F c", f"{self.force:.0f} N x {at.lever:.1f} mm",
                 self.moment / 1000, "N m", _STATICS),
            Step("moment resistance of a pin", "MRd = 1.5 Wel fy", f"d {plain(at.diameter)} mm",
                 pins.pin_moment_resistance(at.diameter, self.steel.at(at.diameter).yield_mpa) / 1000, "N m", _PIN),
            Step("shear resistance of a pin", "Fv,Rd = 0.6 A fu / 1.25", f"d {plain(at.diameter)} mm",
                 pins.pin_shear_resistance(at.diameter, self.steel.ultimate_mpa) / 1000, "kN", _PIN),
            Step("farthest corner from the axis of the pins", "R", "every corner of what goes round", at.reach, "mm",
                 "geometry"),
        ]  # fmt: skip
        if self.stand is not None:
            steps.append(
                Step("pins above the ground", "h = R + room",
                     f"{at.reach:.0f} mm + {self.stand.room(at):.0f} mm", self.stand.height, "mm", "geometry")
            )  # fmt: skip
        return tuple(steps)

    def _turned(self) -> ResultTable:
        turn = self.turn
        rows = []
        for angle in range(0, 181, 30):
            moment = turn.moment(float(angle))
            rows.append((angle, round(moment / 1000, 1), round((moment + turn.friction) / turn.lever)))
        return ResultTable(
            "Turning about the pins",
            ("turned, deg", "moment back, N m", "push on, with friction, N"),
            tuple(rows),
            Said(
                "Push of all hands together, {lever:p0} mm from the pins; dry pins. Where the push ends it wants to "
                "turn back, upside down too: it is held until it is locked or set down.", lever=turn.lever,
            ),
        )  # fmt: skip

    def _rigged(self) -> ResultTable:
        made = rig(self.mould, self.masses.filled.mass)
        return ResultTable(
            "Spreader and slings",
            ("what", "value", "unit"),
            (
                ("spreader between its two plumb legs", round(made.spread), "mm"),
                ("plumb leg, from pin to spreader, at least", round(made.leg), "mm"),
                ("hook over the ground while it goes round, at least", round(made.hook), "mm"),
                ("pull of a plumb leg", round(made.leg_force), "N"),
                ("pull of a sling over the spreader, 60 deg from the horizontal", round(made.sling_force), "N"),
                ("safe working load of spreader and hoist, at least", round(made.capacity), "kg"),
            ),
            Said(
                "Shackles with a pin of {least:p0} to {most:p0} mm in the hangers. Never slings straight from hook to "
                "pins: they would lie against the mould and pull the hangers sideways.",
                least=SHACKLE_PIN, most=SHACKLE_HOLE - 1,
            ),
        )  # fmt: skip

    def _cautions(self) -> tuple[str, ...]:
        common = (
            "Never turn the filled mould without both closing bars: young concrete slides out of an oiled box.",
            "Nobody under the mould, nor hand or foot between mould and stand or ground, while it hangs on its pins.",
            "Look at pins, their welds and the stiffeners behind them before every cast; a crack: do not lift.",
            "Lifting gear is proved and inspected as local law asks, before its first use; licensed practice decides.",
        )
        if self.stand is None:
            return (*common, "Spreader, slings and shackles are bought with their marks, never made in the yard.")
        return (
            *common,
            "Both lock rods are in whenever nobody turns it; only those two who turn it are near.",
            "The stand is on firm level ground, all tie bolts tight, and carries nothing but this mould.",
        )


def _correlation(yield_stress: float) -> Ratio:
    return 0.8 if yield_stress < 270 else 0.85 if yield_stress < 300 else 0.9
