"""Forcing screws under a load: what screw, nut, plates, welds and the rim of the concrete bear.

A screw thrusts its pad on the rim and pulls its nut away from the nut plate; the nut plate hangs on the base plate by
the weld round it, and the base plate on the core.  The couple of screw and core wall goes along the base plate and its
runners from side to side.  Every part bears half of the pull: what comes on a screw when two that stand diagonally
carry all.  The concrete is judged by its strength at its age.
"""

from __future__ import annotations

import math
from typing import Final

from mouldgeom import rules
from mouldgeom.design.dimensions import Dimensions
from mouldgeom.fabrication.welds import Seam, seams
from mouldgeom.filter.early_age import factor_at, plain_design_tension
from mouldgeom.model.assembly import Mould
from mouldgeom.model.joints import WeldRole
from mouldgeom.rules import beams
from mouldgeom.strength.jack import thread_needs, thread_stresses
from mouldgeom.strength.pull import rough
from mouldgeom.strength.seats import plastic_boss_load, seams_of, weld_resistance
from mouldgeom.strength.steps import Checked, Step
from mouldgeom.units import Hour, Mm, Mm2, Mpa, Newton, NewtonMm, Ratio, plain
from mouldgeom.verdict import Operator, Verdict
from mouldgeom.words import Said

CONCRETE_FACTOR: Final[Ratio] = 1.5
"""gamma_C, permanent and transient situations: EN 1992-1-1:2004, Table 2.1N (from memory)."""
SPALLING: Final[Ratio] = 0.02
"""Part of a thrust that pulls on the edge beside it: AASHTO LRFD 5.9.5.6.5b, the least to be taken (from memory)."""

_YIELD: Final = "EN 1993-1-1:2005 6.2 (from memory), fy / gamma_M0, gamma_M0 = 1"
_PLASTIC: Final = "EN 1993-1-1:2005 6.2.5 (from memory), plastic modulus of a solid plate"
_WELD: Final = "EN 1993-1-8:2005 4.5.3.3, a fu/(sqrt 3 beta_w gamma_M2)"
_BEARING: Final = "EN 1992-1-1:2004, 6.7, FRdu = Ac0 fcd sqrt(Ac1/Ac0) <= 3 fcd Ac0 (from memory)"
_PLAIN: Final = "EN 1992-1-1:2004, 12.3.1 and 3.1.2(9) (12.3.1 from memory)"
_BURST: Final = "strut and tie of a thrust that spreads, 0.25 F (1 - a/h): Moersch (from memory)"


# ---------------------------------------------------------------- the rim


def bearing_resistance(loaded: Mm2, spread: Mm2, strength: Mpa) -> Newton:
    """Thrust that concrete bears on a part of its face.

    Args:
        loaded: area under the thrust, Ac0.
        spread: area that it spreads over, Ac1: similar to Ac0 in shape, with the same middle, and within the concrete.
        strength: design strength fcd.

    Source: EN 1992-1-1:2004, 6.7, eq. (6.63) (from memory).
    """
    return loaded * strength * min(3.0, math.sqrt(spread / loaded))


def pad_area(dims: Dimensions) -> Mm2:
    """Area of a pad, its corners round."""
    forcing = dims.forcing
    return 4 * forcing.pad_half_x * forcing.pad_half_y - (4 - math.pi) * forcing.pad_radius**2


def rim_half(dims: Dimensions) -> Mm:
    """From the middle of a pad to the nearer edge of the rim, a broken arris left out; never less than the pad."""
    inner, outer = dims.core_half_x(0) + dims.step, dims.width / 2
    return max(dims.forcing.pad_half_x, min(dims.forcing.x - inner, outer - dims.forcing.x) - rules.ARRIS)


def crushing(dims: Dimensions, age: Hour, factor: Ratio = CONCRETE_FACTOR) -> Newton:
    """Thrust that the rim bears under one pad at an age; Ac1 is as long to the rim's width as the pad is to its own.

    Source: EN 1992-1-1:2004, 6.7 (from memory); strength at the age by ``early_age``.
    """
    mix = dims.spec.concrete
    area = pad_area(dims)
    spread = area * (rim_half(dims) / dims.forcing.pad_half_x) ** 2
    return bearing_resistance(area, spread, mix.strength * factor_at(mix, age) / factor)


def _splits(dims: Dimensions, thrust: Newton) -> dict[str, tuple[Mpa, str]]:
    """Tension in the rim under a pad: through the wall, along the wall, and at the edge beside the pad."""
    forcing = dims.forcing
    wall = dims.width / 2 - dims.core_half_x(0) - dims.step
    wide, long = 2 * forcing.pad_half_x, 2 * forcing.pad_half_y
    between = min(2 * forcing.y, dims.depth - 2 * forcing.y)
    through = 0.25 * thrust * (1 - wide / wall) / (0.8 * wall * long)
    along = 0.25 * thrust * max(0.0, 1 - long / between) / (0.8 * between * wall)
    edge = SPALLING * thrust / (long * wall / 2)
    return {
        "through the wall": (through, f"a {wide:.0f} mm, h {wall:.1f} mm, 0.8 h x {long:.0f} mm"),
        "along the wall": (along, f"a {long:.0f} mm, h {between:.1f} mm, 0.8 h x {wall:.1f} mm"),
        "at the edge beside the pad": (edge, f"2 % of it on {long:.0f} x {wall / 2:.1f} mm"),
    }


def rim(mould: Mould, thrust: Newton, age: Hour) -> Checked:
    """The rim under one pad at an age: crushing, and the tension that would split or spall it."""
    dims, mix = mould.dims, mould.dims.spec.concrete
    share = factor_at(mix, age)
    bears, area = crushing(dims, age), pad_area(dims)
    tension = plain_design_tension(mix.strength, share)
    splits = _splits(dims, thrust)
    worst = max(splits, key=lambda name: splits[name][0])
    at = Said("rim under a pad, {age:p} h after casting", age=age)
    steps = [
        Step(
            Said("rim: thrust that it bears under one pad, {age:p} h after casting", age=age),
            "FRdu = Ac0 fcd sqrt(Ac1/Ac0)",
            f"Ac0 {area:.0f} mm2, Ac1/Ac0 {(rim_half(dims) / dims.forcing.pad_half_x) ** 2:.2f}, a broken arris of "
            f"{plain(rules.ARRIS)} mm left out; fcd {share:.3f} x {plain(mix.strength)} MPa/{CONCRETE_FACTOR:g}",
            bears / 1000,
            "kN",
            _BEARING,
        ),
        *(
            Step(
                Said("rim: tension {where}, {age:p} h after casting", where=where, age=age),
                "s = T/A",
                f"F {thrust / 1000:.2f} kN; {numbers}",
                stress,
                "MPa",
                "AASHTO LRFD 5.9.5.6.5b (from memory); area: own rule" if "2 %" in numbers else _BURST,
            )
            for where, (stress, numbers) in splits.items()
        ),
    ]
    older = "Draw later, when the concrete is stronger, or take a stronger mix or a quicker cement."
    return steps, [
        Verdict(
            "8.53", "rim: thrust of a pad, two that stand diagonally carry the design pull", thrust / 1000,
            bears / 1000, Operator.AT_MOST, "kN", at, _BEARING, older,
        ),
        Verdict(
            "8.54", "rim: tension that splits or spalls it under a pad", splits[worst][0], tension, Operator.AT_MOST,
            "MPa", Said("{at}: {worst}", at=at, worst=worst), f"{_PLAIN}; {_BURST}", older,
        ),
    ]  # fmt: skip


# ---------------------------------------------------------------- steel


def lever_arm(dims: Dimensions) -> Mm:
    """From the middle of a core wall at the base plate to the axis of a screw."""
    return dims.forcing.x - dims.core_half_x(0) + dims.wall_inset / 2


def _nut(mould: Mould, load: Newton, made: list[Seam]) -> Checked:
    dims, steel, jack = mould.dims, mould.dims.stock.steel, mould.dims.stock.jack
    nut, plate = (seams_of(made, role)[0] for role in (WeldRole.NUT_TO_PLATE, WeldRole.NUT_PLATE_TO_BASE))
    boss = jack.across_flats_mm / 2 + nut.leg
    half = min(dims.forcing.plate_half_y, (dims.forcing.plate_outer_x - dims.forcing.plate_inner_x) / 2)
    holds = plastic_boss_load(steel.yield_mpa, dims.base, half, boss)
    # the weld nearest to the core wall: one edge across, and as much of both sides as the wall is away
    counted = 2 * dims.forcing.plate_half_y + 2 * (dims.forcing.x - dims.forcing.plate_inner_x)
    steps = [
        Step(
            "forcing nut: force on its weld, which hangs on it",
            "f = F/l",
            f"{load / 1000:.2f} kN over {nut.welded:.0f} mm, leg {plain(nut.leg, 2)} mm",
            load / nut.welded,
            "N/mm",
            _WELD,
        ),
        Step(
            "nut plate: load at which it yields around the nut",
            "P = 2 pi (fy t^2/4) a/(a - c), c = s/2 + z",
            f"fy {plain(steel.yield_mpa)} MPa, t {plain(dims.base)} mm, a {half:.1f} mm, c {boss:.1f} mm",
            holds / 1000,
            "kN",
            "yield lines, hinge at the toe of the nut's weld, edges not held against turning (from memory)",
        ),
        Step(
            "nut plate to base plate: force on its weld, that from the core to the screw's axis counted",
            "f = F/l",
            f"{load / 1000:.2f} kN over {counted:.0f} mm, leg {plain(plate.leg, 2)} mm",
            load / counted,
            "N/mm",
            _WELD,
        ),
    ]
    return steps, [
        Verdict(
            "8.45", "forcing nut: force on its weld", load / nut.welded, weld_resistance(mould, nut.leg),
            Operator.AT_MOST, "N/mm", "forcing nut to nut plate", _WELD,
        ),
        Verdict(
            "8.46", "nut plate: load that it bears around its nut", holds / 1000, load / 1000, Operator.AT_LEAST, "kN",
            "nut plate, around the forcing nut", f"yield lines (from memory); {_YIELD}",
        ),
        Verdict(
            "8.47", "nut plate: force on its weld", load / counted, weld_resistance(mould, plate.leg),
            Operator.AT_MOST, "N/mm", "nut plate to base plate", _WELD,
        ),
    ]  # fmt: skip


def wall_moment(dims: Dimensions, load: Newton) -> NewtonMm:
    """Moment of one screw about the core wall: it bends base plate and nut plate there, and goes into a runner.

    Source: statics.
    """
    return load * lever_arm(dims)


def _base(mould: Mould, load: Newton, made: list[Seam]) -> Checked:
    dims, steel, tube = mould.dims, mould.dims.stock.steel, mould.dims.stock.tube
    moment, width = wall_moment(dims, load), 2 * dims.forcing.plate_half_y
    stress = moment / (2 * width * dims.base**2 / 4)
    runner = beams.bending_stress(moment, tube.section_modulus_cm3 * 1000)
    weld = seams_of(made, WeldRole.CORE_TO_BASE)[0]
    share = weld.welded / weld.length
    pulled = load / (share * width)
    form = f"F {load / 1000:.2f} kN, c {lever_arm(dims):.1f} mm"
    steps = [
        Step(
            "base plate and nut plate at the core wall, one on the other, as wide as the nut plate",
            "s = F c/(2 b t^2/4)",
            f"{form}, b {width:.0f} mm, t {plain(dims.base)} mm",
            stress,
            "MPa",
            _PLASTIC,
        ),
        Step(
            "runner: the same couple goes along it from side to side",
            "s = F c/Wel",
            f"{form}, Wel {tube.section_modulus_cm3:.2f} cm3",
            runner,
            "MPa",
            "beam theory",
        ),
        Step(
            "core to base plate: force on its weld beside a screw, as long as the nut plate is wide",
            "f = F/(k b)",
            f"F {load / 1000:.2f} kN, b {width:.0f} mm, share welded {share:.2f}",
            pulled,
            "N/mm",
            _WELD,
        ),
    ]
    return steps, [
        Verdict(
            "8.48", "base plate and nut plate: bending by a forcing screw", stress, steel.yield_mpa, Operator.AT_MOST,
            "MPa", "base plate, at the core wall beside a screw", _PLASTIC,
        ),
        Verdict(
            "8.49", "runners: bending by the forcing screws", runner, steel.yield_mpa, Operator.AT_MOST, "MPa",
            "runners, between the screws", _YIELD,
        ),
        Verdict(
            "8.50", "core to base plate: force on its weld by a forcing screw", pulled,
            weld_resistance(mould, weld.leg), Operator.AT_MOST, "N/mm",
            "core to base plate, inside, beside a screw", _WELD,
        ),
    ]  # fmt: skip


def _pad(mould: Mould, load: Newton) -> Checked:
    dims, gear = mould.dims, rough(mould.dims)
    tip = gear.thread.root
    pressed = load / pad_area(dims)
    longer = max(dims.forcing.pad_half_x, dims.forcing.pad_half_y)
    arm = longer - tip / math.pi  # to the middle of half a disc of contact
    stress = pressed * arm**2 / 2 / (dims.base**2 / 4)
    contact = load / (math.pi * tip**2 / 4)
    limit = dims.stock.steel.yield_mpa
    steps = [
        Step(
            "pad: bending over the end of the screw, the rim pressing evenly",
            "s = p c^2/2/(t^2/4)",
            f"p {pressed:.2f} MPa, c {arm:.1f} mm, t {plain(dims.base)} mm",
            stress,
            "MPa",
            _PLASTIC,
        ),
        Step(
            "pressure of the screw's end on its pad",
            "p = F/(pi d3^2/4)",
            f"F {load / 1000:.2f} kN, d3 {tip:.2f} mm",
            contact,
            "MPa",
            "statics",
        ),
    ]
    return steps, [
        Verdict("8.51", "pad: bending", stress, limit, Operator.AT_MOST, "MPa", "pad, over the screw", _PLASTIC),
        Verdict(
            "8.52", "pad: pressure of the screw's end", contact, limit, Operator.AT_MOST, "MPa",
            "pad, under the screw", _YIELD,
        ),
    ]  # fmt: skip


def bears(mould: Mould, load: Newton) -> list[Checked]:
    """Screw, nut, plates, welds and pad under a load in one screw; every force and stress grows evenly with it."""
    gear, made = rough(mould.dims), list(seams(mould))
    return [
        (thread_stresses(gear, load), thread_needs(mould, gear, load, ("8.41", "8.42"))),
        _nut(mould, load, made),
        _base(mould, load, made),
        _pad(mould, load),
    ]


# ---------------------------------------------------------------- tilt


def tilt_arm(dims: Dimensions) -> Mm:
    """From a screw to the diagonal through its two neighbours, about which it tilts the core."""
    x, y = dims.forcing.x, dims.forcing.y
    return 2 * x * y / math.hypot(x, y)


def lead_allowed(dims: Dimensions) -> Mm:
    """How far one screw may be ahead at the end of the stroke until the far end of the core touches the concrete.

    Source: geometry, c r/h; the clearance is then ``shop.release_clearance``.
    """
    return dims.spec.shop.release_clearance * tilt_arm(dims) / (dims.end_z + dims.base)


def tilt_levers(dims: Dimensions) -> tuple[Mm, Mm]:
    """From a screw, along x and along y, to where the core holds against it when it thrusts alone.

    The two nearer walls hold first; the middle of both is a quarter of the core from its axis (own rule).
    """
    return dims.forcing.x - dims.core_half_x(0) / 2, dims.forcing.y - dims.core_half_y(0) / 2


def tilt_pressure(dims: Dimensions, load: Newton) -> Mpa:
    """Greatest pressure of a core that is still held, when one screw alone tilts it: straight along its height.

    Source: statics, 6 F c/(b h^2).
    """
    across, along = tilt_levers(dims)
    over = max(across / (2 * dims.core_half_y(dims.end_z)), along / (2 * dims.core_half_x(dims.end_z)))
    return 6 * load * over / dims.end_z**2


def tilt_tension(dims: Dimensions, load: Newton) -> Mpa:
    """Tension in the concrete walls beside the pressed one, half of the pressure each, at the thin rim.

    Source: statics of a ring, p b/(2 t).
    """
    wall = dims.width / 2 - dims.core_half_x(0) - dims.step
    return 3 * load * max(tilt_levers(dims)) / (dims.end_z**2 * wall)


def tilting(dims: Dimensions, age: Hour) -> Newton:
    """Thrust of one screw alone whose tilt the concrete walls bear at an age.

    Source: EN 1992-1-1:2004, 12.3.1 (from memory).
    """
    mix = dims.spec.concrete
    return plain_design_tension(mix.strength, factor_at(mix, age)) / tilt_tension(dims, 1.0)
